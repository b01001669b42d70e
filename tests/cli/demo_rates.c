/* False signals of the demo come as often as they must: neither more, nor fewer.
 *
 * For each chart the engine is run many times on noise of the true sigma about the true mean, at
 * the chart's own points and with its actual limits, estimated as they are. The mean number of
 * episodes outside the built-in changes is that chart's expected number; episodes are far apart, so
 * their number is close to Poisson. The demo's own number must lie within the law's 1 and 99 %.
 * Where the low end is 0, too few signals would pass: so the sum over all charts is held to both
 * ends too. */
#include "demo_chart.h"

#include <criterion/criterion.h>
#include <criterion/logging.h>
#include <gsl/gsl_cdf.h>
#include <stdlib.h>
#include <string.h>

enum { RUNS = 2000, SEED = 193 };

/* Smallest number whose Poisson distribution function reaches p. */
static unsigned poisson_quantile(double p, double mean) {
  unsigned k = 0;
  while (gsl_cdf_poisson_P(k, mean) < p)
    k++;
  return k;
}

static double expected_episodes(demo_chart *chart, gsl_rng *random) {
  size_t sum = 0;
  for (int run = 0; run < RUNS; run++) {
    chart_judge_simulated(chart, random);
    sum += chart_episodes(chart);
  }
  return (double)sum / RUNS;
}

/* The program's notices at each point are the engine's on the z that it printed. */
static void rules_must_be_the_engines(const demo_chart *chart) {
  for (size_t i = chart->phase2; i < chart->n; i++)
    for (size_t r = 0; r < BT_RULE_COUNT; r++) {
      const bt_rule *rule = &bt_rule_table[r];
      unsigned both = chart->pass.rules[BT_LOW][i] | chart->pass.rules[BT_HIGH][i];
      if (rule->kind != BT_RULE_ALARM)
        cr_expect_eq((both & rule->bit) != 0, chart_says(chart, i, rule->key), "%s, point %zu, %s",
                     chart->key, i, rule->key);
    }
}

static void within(const char *name, size_t counted, double expected) {
  unsigned low = poisson_quantile(0.01, expected), high = poisson_quantile(0.99, expected);
  cr_log_info("%-28s %3zu, expected %6.2f, from %u to %u", name, counted, expected, low, high);
  cr_expect(counted >= low && counted <= high, "%s: %zu episodes, expected %.2f (%u to %u)", name,
            counted, expected, low, high);
}

Test(demo_rates, false_signals_are_as_frequent_as_the_limits_make_them) {
  static const struct {
    const char *unit, *keys[9];
  } units[] = {{"Suite North",
                {"energy_ratio", "fluence", "tracker_x", "tracker_y", "tracker_radial",
                 "energy_spread", NULL}},
               {"Suite South",
                {"energy_ratio", "demand", "fluence", "tracker_x", "tracker_y", "tracker_radial",
                 "high_voltage", "energy_spread", NULL}}};
  char *folder = folder_begin();
  demo_into(folder);
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  cr_assert_not_null(random);
  gsl_rng_set(random, SEED);
  size_t counted = 0;
  double expected = 0;
  for (size_t u = 0; u < 2; u++)
    for (const char *const *key = units[u].keys; *key != NULL; key++) {
      demo_chart *chart = chart_begin(folder, units[u].unit, *key);
      chart_judge_own(chart);
      rules_must_be_the_engines(chart);
      size_t own = chart_episodes(chart);
      double mean = expected_episodes(chart, random);
      char *name = path_in(units[u].unit, *key);
      within(name, own, mean);
      counted += own;
      expected += mean;
      free(name);
      chart_end(chart);
    }
  cr_expect_gt(poisson_quantile(0.01, expected), 10, "the sum can fail at its low end");
  within("all charts", counted, expected);
  gsl_rng_free(random);
  folder_end(folder);
}
