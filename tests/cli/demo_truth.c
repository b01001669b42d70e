/* What was built into the demo's readings is found, at its date and on its side.
 *
 * How soon a change must be seen is not guessed: the engine is run on simulated readings with the
 * same change, noise and limits, and the demo's own delay must not exceed what 999 of 1000 of those
 * runs needed. */
#include "demo_chart.h"

#include <criterion/criterion.h>
#include <criterion/logging.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RUNS = 2000, SEED = 193 };

static const char north[] = "Suite North", south[] = "Suite South";

static gsl_rng *seeded(void) {
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  cr_assert_not_null(random);
  gsl_rng_set(random, SEED);
  return random;
}

/* The chart with the engine's pass over its own z; the program's CUSUM signals are the engine's. */
static demo_chart *chart_judged(const char *folder, const char *unit, const char *key) {
  demo_chart *chart = chart_begin(folder, unit, key);
  chart_judge_own(chart);
  const json_t *signals = json_object_get(json_object_get(chart->analysis, "cusum"), "signals");
  cr_assert_eq(json_array_size(signals), chart->pass.cusum.excursions_n);
  for (size_t i = 0; i < chart->pass.cusum.excursions_n; i++) {
    const bt_excursion *excursion = &chart->pass.cusum.excursions[i];
    const json_t *signal = json_array_get(signals, i);
    cr_expect_str_eq(text_of(signal, "side"), excursion->side == BT_LOW ? "low" : "high");
    cr_expect_str_eq(text_of(signal, "at"),
                     text_of(chart_json_point(chart, excursion->signal), "at"));
    cr_expect_str_eq(text_of(signal, "run_began"),
                     text_of(chart_json_point(chart, excursion->run_began), "at"));
    cr_expect_str_eq(text_of(signal, "last"),
                     text_of(chart_json_point(chart, excursion->last), "at"));
    cr_expect(number_of(signal, "size") * (excursion->side == BT_LOW ? -1 : 1) > 0);
  }
  return chart;
}

/* Points from `from` to the first signal of that side, 0 when it signals at once. */
static size_t points_to_signal(const demo_chart *chart, bt_side side, size_t from) {
  size_t i = from;
  while (i < chart->n && chart->pass.rules[side][i] == 0)
    i++;
  return i - from;
}

/* ---- The changes ----------------------------------------------------------------------------- */

/* A change from its first to its last day. `restarted`: an event that cured it restarts the CUSUM,
 * so that the signals end with it. */
typedef struct change {
  const char *unit, *key, *from, *last;
  bt_side side;
  bool restarted;
} change;

/* The demo's delay against simulated ones, in points. */
static void must_be_seen_in_time(demo_chart *chart, const change *c) {
  double delay[RUNS];
  size_t onset = chart_point(chart, c->from), end = chart_point(chart, c->last);
  size_t own = points_to_signal(chart, c->side, onset);
  gsl_rng *random = seeded();
  for (int run = 0; run < RUNS; run++) {
    chart_judge_simulated(chart, random);
    delay[run] = (double)points_to_signal(chart, c->side, onset);
  }
  gsl_rng_free(random);
  gsl_sort(delay, 1, RUNS);
  double usual = gsl_stats_median_from_sorted_data(delay, 1, RUNS);
  double most = gsl_stats_quantile_from_sorted_data(delay, 1, RUNS, 0.999);
  cr_log_info("%s %s: %zu points, median %g, 999 of 1000 within %g of the change's %zu", c->unit,
              c->key, own, usual, most, end - onset + 1);
  cr_expect(most < (double)(end - onset + 1), "such a change can't be missed: %g points", most);
  cr_expect((double)own <= most, "%s %s: seen after %zu points, 999 of 1000 need at most %g",
            c->unit, c->key, own, most);
  chart_judge_own(chart);
}

/* The CUSUM is quiet from the restart on. A zone rule's pattern may still look back at the days
 * before: four of five over four points, and eight in a row until the first point on the other
 * side. From the fifth point on all must be quiet. */
static void must_end_with_its_cure(const demo_chart *chart, const change *c) {
  const bt_cusum *cusum = &chart->pass.cusum;
  size_t end = chart_point(chart, c->last), r = 0;
  while (r < cusum->restarts_n && cusum->restarts[r].point <= end)
    r++;
  cr_assert_lt(r, cusum->restarts_n, "%s %s: no restart after it", c->unit, c->key);
  size_t cured = cusum->restarts[r].point;
  for (size_t i = cured; i < cured + 12; i++) {
    bt_rules rules = chart->pass.rules[c->side][i];
    cr_expect_eq(rules & BT_CUSUM_SIGNAL, 0, "%s %s: CUSUM %zu points after the cure", c->unit,
                 c->key, i - cured);
    cr_expect(i < cured + 4 || rules == 0, "%s %s: rules %u %zu points after the cure", c->unit,
              c->key, rules, i - cured);
    if (rules != 0)
      cr_log_info("%s %s: rules %u %zu points after the cure", c->unit, c->key, rules, i - cured);
  }
}

Test(demo_truth, each_change_is_seen_on_its_side_and_while_it_lasts) {
  static const change changes[] = {
      {north, "tracker_x", "2025-10-04", "2025-10-24", BT_HIGH, true},
      {north, "energy_ratio", "2026-02-02", "2026-09-30", BT_LOW, false},
      {north, "fluence", "2026-02-02", "2026-09-30", BT_LOW, false},
      {south, "energy_ratio", "2025-08-04", "2025-08-29", BT_LOW, false},
      {south, "fluence", "2025-08-04", "2025-08-29", BT_LOW, false},
      {south, "energy_spread", "2025-10-18", "2025-11-21", BT_HIGH, true},
      {south, "demand", "2026-01-12", "2026-05-13", BT_HIGH, true},
      {south, "high_voltage", "2026-01-12", "2026-05-13", BT_HIGH, true},
      {south, "fluence", "2026-06-20", "2026-08-14", BT_LOW, true},
  };
  char *folder = demo_folder();
  for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
    const change *c = &changes[i];
    demo_chart *chart = chart_judged(folder, c->unit, c->key);
    must_be_seen_in_time(chart, c);
    size_t end = chart_point(chart, c->last);
    cr_assert_lt(end, chart->n);
    cr_expect_neq(chart->pass.rules[c->side][end], 0, "%s %s: no signal on its last day", c->unit,
                  c->key);
    if (c->restarted)
      must_end_with_its_cure(chart, c);
    chart_end(chart);
  }
  folder_end(folder);
}

/* A 3 sigma step: in 999 of 1000 runs the first signal is within 5 points. */
Test(demo_truth, the_tracker_step_is_seen_at_once) {
  char *folder = demo_folder();
  demo_chart *chart = chart_judged(folder, north, "tracker_x");
  cr_expect_leq(points_to_signal(chart, BT_HIGH, chart_point(chart, "2025-10-04")), 5);
  chart_end(chart);
  folder_end(folder);
}

/* ---- The slow loss --------------------------------------------------------------------------- */

/* The low-side excursion that is open at the last point, or NULL. */
static const bt_excursion *open_at_the_end(const demo_chart *chart) {
  for (size_t i = chart->pass.cusum.excursions_n; i-- > 0;) {
    const bt_excursion *excursion = &chart->pass.cusum.excursions[i];
    if (excursion->side == BT_LOW && excursion->last == chart->n - 1)
      return excursion;
  }
  return NULL;
}

static double days_after(const demo_chart *chart, size_t point, size_t onset) {
  return (double)(bt_day_of(chart->at[point]) - bt_day_of(chart->at[onset]));
}

/* First point on or after the onset with the low CUSUM above h. */
static size_t first_low(const demo_chart *chart, size_t onset) {
  size_t i = onset;
  while (i + 1 < chart->n && (chart->pass.rules[BT_LOW][i] & BT_CUSUM_SIGNAL) == 0)
    i++;
  return i;
}

/* 0.02 sigma a day is 1.2 sigma after 60 days, by when the CUSUM must have signalled; the run may
 * begin before the loss by chance, but no earlier than in 1 of 1000 simulated histories, and not so
 * late that the loss had gone on for more than the last of 1000. */
static void must_follow_the_loss(const char *folder, const char *key) {
  double began[RUNS], signalled[RUNS];
  demo_chart *chart = chart_judged(folder, north, key);
  size_t onset = chart_point(chart, "2026-02-02");
  const bt_excursion *open = open_at_the_end(chart);
  cr_assert_not_null(open, "%s: no low side open at the end", key);
  double own_began = days_after(chart, open->run_began, onset);
  double own_signal = days_after(chart, first_low(chart, onset), onset);
  size_t stays_open = 0;
  gsl_rng *random = seeded();
  for (int run = 0; run < RUNS; run++) {
    chart_judge_simulated(chart, random);
    open = open_at_the_end(chart);
    stays_open += open != NULL;
    began[run] = open == NULL ? 0 : days_after(chart, open->run_began, onset);
    signalled[run] = days_after(chart, first_low(chart, onset), onset);
  }
  gsl_rng_free(random);
  cr_expect_eq(stays_open, RUNS, "a loss that went on for eight months is always open");
  gsl_sort(began, 1, RUNS);
  gsl_sort(signalled, 1, RUNS);
  double earliest = gsl_stats_quantile_from_sorted_data(began, 1, RUNS, 0.001);
  double latest = gsl_stats_quantile_from_sorted_data(began, 1, RUNS, 0.999);
  double slowest = gsl_stats_quantile_from_sorted_data(signalled, 1, RUNS, 0.999);
  cr_log_info("%s: run began on day %g (%g to %g), signal on day %g (at most %g)", key, own_began,
              earliest, latest, own_signal, slowest);
  cr_expect(own_began >= earliest && own_began <= latest, "%s: day %g", key, own_began);
  cr_expect(own_signal <= slowest && own_signal <= 60, "%s: day %g", key, own_signal);
  chart_end(chart);
}

Test(demo_truth, the_slow_loss_is_signalled_within_60_days_and_stays_open) {
  char *folder = demo_folder();
  must_follow_the_loss(folder, "energy_ratio");
  must_follow_the_loss(folder, "fluence");
  folder_end(folder);
}

/* ---- Single mornings ------------------------------------------------------------------------- */

Test(demo_truth, the_misreading_is_an_alarm_and_its_retest_no_part_of_the_point) {
  char *folder = demo_folder();
  demo_chart *chart = chart_judged(folder, north, "energy_ratio");
  size_t i = chart_point(chart, "2025-11-11");
  const json_t *point = chart_json_point(chart, i);
  cr_expect_eq(strncmp(text_of(point, "at"), "2025-11-11T", 11), 0);
  cr_expect_float_eq(chart->raw[i], 0.93, 1e-4, "the misreading itself, not its mean with another");
  cr_expect_eq((int)number_of(point, "checks"), 1);
  cr_expect(chart_says(chart, i, "WE1") && chart_says(chart, i, "TOLERANCE"));
  cr_expect(json_is_true(json_object_get(point, "alarm")));
  cr_expect_eq(bt_day_of(chart->at[i + 1]), bt_day_of(chart->at[i]) + 1, "one point a day");
  cr_expect(!chart_says(chart, i - 1, "WE1") && !chart_says(chart, i + 1, "WE1"));
  const json_t *tolerance = json_object_get(chart->analysis, "tolerance");
  cr_expect_eq((int)number_of(tolerance, "outside"), 1);
  cr_expect_eq((int)number_of(tolerance, "judged"), 354, "every check, the retests too");
  chart_end(chart);
  folder_end(folder);
}

Test(demo_truth, the_failed_selftest_counts_from_its_day_on) {
  char *folder = demo_folder();
  char *before = RUN_DONE(folder, "status", "--unit", north, "--until", "2025-09-15");
  char *after = RUN_DONE(folder, "status", "--unit", north, "--until", "2025-09-16");
  char *other = RUN_DONE(folder, "status", "--unit", south);
  unwrap(after);
  cr_expect_not_null(strstr(before, "0 failures in "), "%s", before);
  cr_expect_not_null(strstr(after, "1 failure in "), "%s", after);
  cr_expect_not_null(strstr(after, "9 of 9 passed on 16 Sep 2025"), "its retest: %s", after);
  cr_expect_not_null(strstr(other, "0 failures in "), "%s", other);
  free(before);
  free(after);
  free(other);
  folder_end(folder);
}

/* ---- What does not change -------------------------------------------------------------------- */

/* Signalling points of either side in [from, last], by the program's word. */
static size_t signals_in(const demo_chart *chart, const char *from, const char *last,
                         const char *rule) {
  size_t n = 0, end = chart_point(chart, last);
  for (size_t i = chart_point(chart, from); i <= end && i < chart->n; i++)
    n += chart_says(chart, i, rule);
  return n;
}

Test(demo_truth, the_energy_ratio_shows_nothing_where_it_has_no_part) {
  char *folder = demo_folder();
  demo_chart *ratio = chart_judged(folder, south, "energy_ratio");
  cr_expect_eq(signals_in(ratio, "2026-06-20", "2026-08-14", NULL), 0, "the delivery optics");
  /* Over the four months of the creep one zone notice may come by chance; on the other side. */
  cr_expect_eq(signals_in(ratio, "2026-01-12", "2026-05-13", "CUSUM"), 0, "the demand's creep");
  cr_expect_eq(signals_in(ratio, "2026-01-12", "2026-05-13", "WE1"), 0);
  size_t end = chart_point(ratio, "2026-05-13");
  for (size_t i = chart_point(ratio, "2026-01-12"); i <= end; i++)
    cr_expect_eq(ratio->pass.rules[BT_HIGH][i], 0);
  chart_end(ratio);
  folder_end(folder);
}

/* The readings that came out are the tables' means with noise of the stated sigma: limits of the
 * mean's and the variance's own laws, 1 of 10,000 beyond each side. */
Test(demo_truth, readings_are_truth_and_noise) {
  static const char *const keys[] = {"energy_ratio", "fluence", "tracker_x", "tracker_y",
                                     "energy_spread"};
  char *folder = demo_folder();
  for (size_t u = 0; u < 2; u++)
    for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) {
      demo_chart *chart = chart_begin(folder, u == 0 ? north : south, keys[k]);
      double sum = 0, squares = 0, n = 0;
      for (size_t i = 0; i < chart->n; i++) {
        double noise = (chart->raw[i] - chart->truth[i]) / chart->sigma;
        if (fabs(noise) > 10) /* the misreading */
          continue;
        n++;
        sum += noise;
        squares += noise * noise;
      }
      cr_expect(n + 1 >= (double)chart->n, "%s: more than one reading is far off", keys[k]);
      cr_expect(fabs(sum) / sqrt(n) < gsl_cdf_ugaussian_Qinv(1e-4), "%s: mean %g", keys[k],
                sum / n);
      cr_expect(squares > gsl_cdf_chisq_Pinv(1e-4, n) && squares < gsl_cdf_chisq_Qinv(1e-4, n),
                "%s: variance %g", keys[k], squares / n);
      chart_end(chart);
    }
  folder_end(folder);
}

/* Centre and sigma of each chart are those of the tables, within 4 of their standard errors: sigma
 * over the root of n, and sigma over the root of twice the moving range's degrees of freedom. */
Test(demo_truth, limits_are_the_truths_within_their_errors) {
  static const char *const keys[] = {"energy_ratio",  "fluence",      "tracker_x", "tracker_y",
                                     "energy_spread", "high_voltage", "demand"};
  char *folder = demo_folder();
  for (size_t u = 0; u < 2; u++)
    for (size_t k = 0; k < (u == 0 ? 5 : sizeof keys / sizeof *keys); k++) {
      demo_chart *chart = chart_begin(folder, u == 0 ? north : south, keys[k]);
      double n = number_of(json_object_get(chart->analysis, "baseline"), "n"), mean = 0;
      for (size_t i = 0; i < chart->phase2; i++)
        mean += chart->charted[i] / (double)chart->phase2;
      double error = chart->sigma / sqrt(2 * bt_moving_range_df((size_t)n));
      cr_expect(fabs(chart->centre - mean) < 4 * chart->sigma / sqrt(n), "%s: centre %g, truth %g",
                keys[k], chart->centre, mean);
      cr_expect(fabs(chart->chart_sigma - chart->sigma) < 4 * error, "%s: sigma %g, truth %g",
                keys[k], chart->chart_sigma, chart->sigma);
      cr_expect_float_eq(chart->ucl, chart->centre + 3 * chart->chart_sigma,
                         1e-9 * fabs(chart->ucl));
      chart_end(chart);
    }
  folder_end(folder);
}

/* ---- The loss inside the fills --------------------------------------------------------------- */

Test(demo_truth, the_loss_inside_the_fills_is_estimated_within_4_standard_errors) {
  static const struct {
    const char *unit, *key;
    double per_day; /* truth.csv, fill_loss */
  } losses[] = {{north, "energy_ratio", -0.004},
                {north, "fluence", -0.72},
                {south, "energy_ratio", -0.00175},
                {south, "fluence", -0.3675}};
  char *folder = demo_folder();
  for (size_t i = 0; i < sizeof losses / sizeof *losses; i++) {
    json_t *analysis = analysis_of(folder, losses[i].unit, losses[i].key, NULL);
    const json_t *baseline = json_object_get(analysis, "baseline");
    double slope = number_of(baseline, "fill_age_slope_per_day");
    double se = number_of(baseline, "fill_age_slope_se");
    cr_expect(fabs(slope - losses[i].per_day) <= 4 * se, "%s %s: %g, standard error %g",
              losses[i].unit, losses[i].key, slope, se);
    cr_expect(se > 0 && fabs(losses[i].per_day) > 4 * se, "%s %s: an error of %g says nothing",
              losses[i].unit, losses[i].key, se);
    json_decref(analysis);
  }
  folder_end(folder);
}

/* ---- The raw series -------------------------------------------------------------------------- */

static json_t *raw_analysis(const char *folder, const char *unit) {
  return analysis_of(folder, unit, "energy_ratio", (const char *const[]){"--series", "raw", NULL});
}

/* Sigma from the mean moving range of the Phase I points of truth and noise, as measured. */
static double simulated_sigma(const demo_chart *chart, gsl_rng *random) {
  double sum = 0, before = 0;
  for (size_t i = 0; i < chart->phase2; i++) {
    double value = chart->truth[i] + gsl_ran_gaussian_ziggurat(random, chart->sigma);
    if (i > 0)
      sum += fabs(value - before);
    before = value;
  }
  return sum / (double)(chart->phase2 - 1) / M_2_SQRTPI; /* d2(2) */
}

/* With a refill every three days the sawtooth swells the moving range: sigma is about 1.5 times
 * that of the adjusted series, so the raw chart's limits are that much too wide. */
Test(demo_truth, short_fills_blind_the_raw_chart) {
  char *folder = demo_folder();
  demo_chart *chart = chart_judged(folder, north, "energy_ratio");
  json_t *raw = raw_analysis(folder, north);
  double sigma = number_of(json_object_get(raw, "baseline"), "sigma");
  double sum = 0, squares = 0;
  gsl_rng *random = seeded();
  for (int run = 0; run < RUNS; run++) {
    double simulated = simulated_sigma(chart, random);
    sum += simulated;
    squares += simulated * simulated;
  }
  gsl_rng_free(random);
  double mean = sum / RUNS, sd = sqrt(squares / RUNS - mean * mean);
  cr_log_info("raw sigma %.5f, expected %.5f, sd %.5f; %.2f times the adjusted one", sigma, mean,
              sd, sigma / chart->chart_sigma);
  cr_expect(fabs(sigma - mean) < 4 * sd, "raw sigma %g, expected %g", sigma, mean);
  cr_expect(sigma / chart->chart_sigma > 1.25 && sigma / chart->chart_sigma < 2);
  cr_expect(mean / chart->sigma > 1.25, "the demo's own sawtooth: %g", mean / chart->sigma);
  json_decref(raw);
  chart_end(chart);
  folder_end(folder);
}

/* With fills of eleven days the raw chart signals at the ends of the fills of a laser that has not
 * changed: several times as many points as the adjusted chart. */
Test(demo_truth, long_fills_make_the_raw_chart_cry_wolf) {
  char *folder = demo_folder();
  demo_chart *chart = chart_judged(folder, south, "energy_ratio");
  json_t *raw = raw_analysis(folder, south);
  const json_t *points = json_object_get(raw, "points");
  cr_assert_eq(json_array_size(points), chart->n);
  cr_expect_str_eq(text_of(raw, "series"), "raw");
  size_t adjusted_n = 0, raw_n = 0;
  for (size_t i = chart->phase2; i < chart->n; i++) {
    if (chart->outside[i])
      continue;
    adjusted_n += chart_says(chart, i, NULL);
    raw_n += json_array_size(json_object_get(json_array_get(points, i), "rules")) > 0;
  }
  cr_log_info("raw %zu signalling points, adjusted %zu", raw_n, adjusted_n);
  cr_expect_geq(raw_n, 3 * adjusted_n, "raw %zu, adjusted %zu", raw_n, adjusted_n);
  cr_expect_geq(raw_n, 10);
  json_decref(raw);
  chart_end(chart);
  folder_end(folder);
}
