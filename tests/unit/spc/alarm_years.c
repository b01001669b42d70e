/* Alarms of clinics whose lasers never change: a unit with five independent charts, each with a
 * baseline of its own, 60 points, and limits for one false alarm a unit and year; a year of 250
 * points through the charts' own code. Alarms are counted as episodes; nothing is restarted. */
#include "baselines.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHARTS = 5, BASELINE = 60, POINTS = 250, YEARS = 500, MORE_YEARS = 4000 };

/* Episodes of alarms that a chart gives in one year. */
static size_t one_year(const bt_alarm_limits *alarms, uint64_t *seed) {
  static double value[BASELINE + POINTS], z[BASELINE + POINTS];
  static double sum_high[POINTS], sum_low[POINTS];
  static uint32_t run_high[POINTS], run_low[POINTS];
  static uint8_t used[BASELINE], all[POINTS], strength[POINTS];
  static bt_rules high[POINTS], low[POINTS];
  bt_error error;
  for (size_t i = 0; i < BASELINE + POINTS; i++)
    value[i] = 1 + 0.004 * shape_normal(seed);
  memset(all, 1, sizeof all);
  bt_individuals chart = baseline_of(value, used, BASELINE, alarms->screened);
  bt_standardise(value, BASELINE + POINTS, &chart, z);

  bt_cusum cusum = {.k = 0.5,
                    .h = alarms->h,
                    .high = sum_high,
                    .low = sum_low,
                    .run_high = run_high,
                    .run_low = run_low};
  const double *new = z + BASELINE;
  cr_assert_eq(bt_cusum_run(new, all, 0, POINTS, chart.sigma, &cusum, &error), BT_OK);
  free(cusum.excursions);
  for (size_t i = 0; i < POINTS; i++) {
    high[i] = (bt_rules)((new[i] > alarms->limit) * BT_ALARM_LIMIT |
                         (sum_high[i] > alarms->h) * BT_ALARM_CUSUM);
    low[i] = (bt_rules)((new[i] < -alarms->limit) * BT_ALARM_LIMIT |
                        (sum_low[i] > alarms->h) * BT_ALARM_CUSUM);
    strength[i] = (high[i] | low[i]) != 0 ? BT_ALARM : BT_QUIET;
  }
  bt_rules *const rules[BT_SIDES] = {[BT_LOW] = low, [BT_HIGH] = high};
  bt_episode *episodes = NULL;
  size_t episodes_n = 0;
  cr_assert_eq(bt_episodes_find(NULL, all, rules, strength, POINTS, &episodes, &episodes_n, &error),
               BT_OK);
  free(episodes);
  return episodes_n;
}

/* Alarms come in flocks, from baselines that happen to be off: their spread is wider than
 * Poisson's, but their mean must keep the budget. */
static void keep_budget(bool screened) {
  bt_alarm_limits alarms = {.budget_a_year = 1,
                            .charts = CHARTS,
                            .checks_a_year = POINTS,
                            .n = BASELINE,
                            .screened = screened,
                            .share_a_year = 1.0 / CHARTS};
  bt_error error = {0};
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_BOTH, NULL, &alarms, &error), BT_OK);
  uint64_t seed = 2026;
  size_t sum = 0, first = 0;
  double squares = 0;
  for (size_t year = 0; year < MORE_YEARS; year++) {
    size_t alarms_n = 0;
    for (int c = 0; c < CHARTS; c++)
      alarms_n += one_year(&alarms, &seed);
    sum += alarms_n;
    squares += (double)(alarms_n * alarms_n);
    if (year < YEARS)
      first += alarms_n;
  }
  double mean = (double)sum / MORE_YEARS;
  double standard_error = sqrt((squares / MORE_YEARS - mean * mean) / MORE_YEARS);
  printf("L %.2f, h %.2f: %zu alarms in %d unit years (budget %d); %.4f +- %.4f a year in %d\n",
         alarms.limit, alarms.h, first, YEARS, YEARS, mean, standard_error, MORE_YEARS);

  double at_most = gsl_cdf_poisson_P((unsigned)first, YEARS);
  cr_expect(at_most > 0.01 && at_most < 0.99, "%zu alarms in %d years", first, YEARS);
  cr_expect(mean - 3 * standard_error < 1, "%.4f +- %.4f a year", mean, standard_error);
  cr_expect(mean > 0.85, "%.4f a year: limits wider than the budget asks for", mean);
}

Test(alarm_years, a_unit_keeps_its_budget) {
  keep_budget(false);
}

/* As frozen with --screen, and as every provisional baseline is. */
Test(alarm_years, a_unit_of_screened_baselines_keeps_its_budget) {
  keep_budget(true);
}
