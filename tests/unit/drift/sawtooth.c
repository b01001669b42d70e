/* Fills, places and slope together: what a refill every three days does to a chart is taken out. */
#include "beamtally/drift.h"
#include "beamtally/spc.h"
#include "histories.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>

static small_history made;
static int32_t fill[HISTORY_MOST], stretch[HISTORY_MOST];
static double value[HISTORY_MOST], age[HISTORY_MOST];
static uint8_t known[HISTORY_MOST], use[HISTORY_MOST];

/* A check every morning at 8, a refill every third morning at 7; checks that fall away by `loss` a
 * day of fill age from a level of 1. */
static void make_log(size_t days) {
  history_begin(&made);
  for (size_t day = 0; day < days; day++) {
    if (day % 3 == 0)
      history_event(&made, 24.0 * (double)day + 7, BT_EVENT_GAS_REFILL);
    history_check(&made, 24.0 * (double)day + 8, -1, BT_REFILL_NONE);
    use[day] = 1;
  }
}

static bt_slope place_and_fit(void) {
  bt_fills fills;
  bt_slope slope;
  bt_error error;
  cr_assert_eq(bt_fills_find(&made.history, &fills, &error), BT_OK);
  cr_assert_eq(bt_fills_place(&fills, &made.history, fill, stretch, age, known, &error), BT_OK);
  cr_expect_float_eq(fills.interval_days, 3, 1e-12);
  cr_assert_eq(
      bt_slope_fit(value, age, stretch, stretch, known, use, made.history.n, &slope, &error),
      BT_OK);
  bt_fills_free(&fills);
  return slope;
}

/* Noise of sigma 1 and a loss of 2 a day: the raw moving ranges show a sigma of 2.43 (200,000
 * simulated days; here 399, so within 12 %), the adjusted ones 1. */
Test(sawtooth, adjusted_values_show_the_noise_alone) {
  const size_t days = 399;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 6);
  make_log(days);
  for (size_t i = 0; i < days; i++)
    value[i] = 100 - 2 * (double)(i % 3) + gsl_ran_gaussian(source, 1);
  bt_slope slope = place_and_fit();
  cr_expect_eq(slope.use, BT_AGE_USED);
  cr_expect_eq(slope.fills, 133);
  cr_expect_float_eq(slope.per_day, -2, 4 * slope.se);
  cr_expect_float_eq(slope.mean_age_days, 1 + 1.0 / 24, 1e-9);
  cr_expect_float_eq(slope.oldest_age_days, 2 + 1.0 / 24, 1e-9);

  bt_individuals raw, adjusted;
  bt_error error;
  cr_assert_eq(bt_individuals_fit(value, use, days, &raw, &error), BT_OK);
  for (size_t i = 0; i < days; i++)
    value[i] -= slope.per_day * (age[i] - slope.mean_age_days);
  cr_assert_eq(bt_individuals_fit(value, use, days, &adjusted, &error), BT_OK);
  cr_expect_float_eq(raw.sigma, 2.43, 0.3, "raw sigma %.3f", raw.sigma);
  cr_expect_float_eq(adjusted.sigma, 1, 0.15, "adjusted sigma %.3f", adjusted.sigma);
  cr_expect_float_eq(adjusted.centre, raw.centre, 1e-9, "moved to the mean age: same mean");
  gsl_rng_free(source);
}

/* Without noise, an optics cleaning inside a fill that lifts the readings: split there, the slope
 * is exact; taken as one fill it isn't. */
Test(sawtooth, a_cleaning_inside_a_fill_does_not_bend_the_slope) {
  const size_t days = 30;
  make_log(days);
  history_event(&made, 24.0 * 28 + 1, BT_EVENT_OPTICS_CLEANED);
  for (size_t i = 0; i < days; i++)
    value[i] = 1 - 0.012 * (double)(i % 3) + (i >= 28 ? 0.05 : 0);
  bt_slope slope = place_and_fit();
  cr_expect_float_eq(slope.per_day, -0.012, 1e-14);
  cr_expect_eq(slope.fills, 11);
  cr_expect_eq(stretch[28], stretch[27] + 1);

  bt_error error;
  cr_assert_eq(bt_slope_fit(value, age, fill, fill, known, use, days, &slope, &error), BT_OK);
  cr_expect_gt(slope.per_day, -0.0110);
}
