/* Levels of fills and windows: edges by hand, plain loops, simulation. */
#include "beamtally/drift.h"
#include "histories.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>

enum { MOST = 80 };

typedef struct data {
  size_t n;
  double day[MOST], value[MOST], age[MOST];
  int32_t fill[MOST];
  uint8_t known[MOST], use[MOST];
} data;

/* Fills of three days, each with `each` values at ages 0, 1 ...; level 10 + f, slope -0.25. */
static data sawtooth(size_t fills, size_t each) {
  data made = {.n = fills * each};
  for (size_t i = 0; i < made.n; i++) {
    made.age[i] = (double)(i % each);
    made.fill[i] = (int32_t)(i / each);
    made.day[i] = 3 * made.fill[i] + made.age[i];
    made.value[i] = 10 + made.fill[i] - 0.25 * made.age[i];
    made.known[i] = made.use[i] = 1;
  }
  return made;
}

static bt_levels fit(const data *of, const bt_slope *slope, bt_level *level) {
  bt_levels levels;
  bt_error error = {0};
  cr_assert_eq(bt_levels_fit(of->day, of->value, of->age, of->fill, of->known, of->use, of->n,
                             slope, false, level, &levels, &error),
               BT_OK, "%s", error.text);
  return levels;
}

Test(levels, a_perfect_sawtooth) {
  data made = sawtooth(4, 3);
  bt_slope slope = {.per_day = -0.25, .se = 0.1, .mean_age_days = 2};
  bt_level level[MOST];
  bt_levels levels = fit(&made, &slope, level);
  cr_assert_eq(levels.n, 4);
  cr_expect(levels.df == 8 && levels.sigma == 0 && levels.at_age_days == 2);
  for (size_t f = 0; f < 4; f++) {
    cr_expect_float_eq(level[f].value, 10 + (double)f - 0.5, 1e-12);
    cr_expect_float_eq(level[f].se, 0.1, 1e-12, "one day from the mean age, and no scatter");
    cr_expect_float_eq(level[f].day, 3 * (double)f + 1, 1e-12);
    cr_expect(level[f].has_slope && fabs(level[f].slope + 0.25) < 1e-12);
  }
}

Test(levels, L1_two_values_of_known_age) {
  data made = sawtooth(5, 3);
  made.known[0] = 0;                                 /* fill 0: two left */
  made.known[3] = made.known[4] = made.known[5] = 0; /* fill 1: its refill isn't known */
  made.use[6] = made.use[8] = 0;                     /* fill 2: one left */
  bt_level level[MOST];
  bt_levels levels = fit(&made, NULL, level);
  cr_assert_eq(levels.n, 3);
  cr_expect(level[0].fill == 0 && level[0].n == 2 && level[1].fill == 3 && level[2].fill == 4);
  cr_expect_eq(levels.df, 5);
  made.n = 0;
  cr_expect_eq(fit(&made, NULL, level).n, 0);
}

Test(levels, L2_L3_L5_without_slope_or_freedom) {
  data made = sawtooth(1, 2);
  bt_slope slope = {.per_day = -0.25, .se = 0.1};
  bt_level level[MOST];
  bt_levels levels;
  bt_error error;
  cr_assert_eq(bt_levels_fit(made.day, made.value, made.age, made.fill, made.known, made.use,
                             made.n, &slope, true, level, &levels, &error),
               BT_OK);
  cr_expect(levels.n == 1 && levels.df == 0 && levels.sigma == 0 && level[0].se == 0);
  cr_expect(level[0].has_slope && level[0].slope_se == 0);
  made.age[1] = made.age[0];
  levels = fit(&made, NULL, level);
  cr_expect(level[0].value == 9.875 && !level[0].has_slope);
  cr_expect_float_eq(levels.sigma, 0.25 / sqrt(2), 1e-12);
}

Test(levels, a_fill_that_comes_back) {
  data made = sawtooth(3, 3);
  made.fill[8] = 0;
  bt_level level[MOST];
  bt_levels levels;
  bt_error error;
  cr_expect_eq(bt_levels_fit(made.day, made.value, made.age, made.fill, made.known, made.use,
                             made.n, NULL, false, level, &levels, &error),
               BT_INPUT);
}

/* 2,000 windows with slopes that err: the level is right within 2 se in 95 % of fills, and sigma is
 * without bias, both within 4 standard errors. */
Test(levels, standard_error_by_simulation) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 11);
  const int runs = 2000;
  int covered = 0;
  double variance = 0;
  for (int run = 0; run < runs; run++) {
    data made = sawtooth(6, 4);
    for (size_t i = 0; i < made.n; i++)
      made.value[i] += gsl_ran_gaussian(source, 0.3);
    bt_slope slope = {
        .per_day = -0.25 + gsl_ran_gaussian(source, 0.02), .se = 0.02, .mean_age_days = 10};
    bt_level level[MOST];
    bt_levels levels = fit(&made, &slope, level);
    double truth = 10 - 0.25 * 10;
    covered += fabs(level[0].value - truth) < 1.96 * level[0].se;
    variance += levels.sigma * levels.sigma / runs;
  }
  gsl_rng_free(source);
  double error = 4 * sqrt(0.95 * 0.05 / runs);
  cr_expect_float_eq((double)covered / runs, 0.95, error, "covered %.4f", (double)covered / runs);
  /* A slope that errs by e adds e^2 Sxx / df = 0.02^2 x 30 / 18 on average. */
  cr_expect_float_eq(variance, 0.09 + 0.0007, 0.003, "variance %.5f", variance);
}

Test(window, W2_the_last_event_that_moves_levels) {
  small_history made;
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  bt_window window = bt_window_find(&made.history, HISTORY_START + 100 * BT_HOUR);
  cr_expect(window.event == BT_NONE && window.from == HISTORY_START + 8 * BT_HOUR);

  static const bt_event_kind moving[] = {BT_EVENT_OPTICS_CLEANED, BT_EVENT_SERVICE,
                                         BT_EVENT_RECALIBRATION, BT_EVENT_METER_CHANGED,
                                         BT_EVENT_GAS_BOTTLE};
  history_event(&made, 9, BT_EVENT_GAS_REFILL);
  history_event(&made, 10, BT_EVENT_MOVED);
  history_event(&made, 11, BT_EVENT_OTHER);
  cr_expect_eq(bt_window_find(&made.history, HISTORY_START + 100 * BT_HOUR).event, BT_NONE);
  for (size_t e = 0; e < sizeof moving / sizeof *moving; e++) {
    history_event(&made, 12 + (double)e, moving[e]);
    window = bt_window_find(&made.history, HISTORY_START + 100 * BT_HOUR);
    cr_expect(window.event == 3 + e && window.from == HISTORY_START + (bt_time)(12 + e) * BT_HOUR);
  }
  window = bt_window_find(&made.history, HISTORY_START + 13 * BT_HOUR);
  cr_expect_eq(window.event, 4, "an event at `until` counts, a later one doesn't");
}
