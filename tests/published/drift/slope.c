/* The within-fill slope against R's lm: constants printed by
 *   Rscript tests/published/drift/slope_reference.R     (R 4, package stats) */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <math.h>

enum { VALUES = 17 };

static const double age[VALUES] = {0.3, 1.3, 2.3, 0.1, 1.0, 2.2, 3.1, 0.5, 1.4,
                                   0.2, 1.2, 2.1, 3.0, 0.0, 0.9, 2.0, 0.4};
static const double value[VALUES] = {1.6131, 1.6108, 1.6021, 1.6172, 1.6119, 1.6090,
                                     1.6009, 1.6102, 1.6088, 1.6143, 1.6098, 1.6037,
                                     1.6029, 1.6095, 1.6077, 1.6011, 1.6064};
static const int32_t stretch[VALUES] = {0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 3, 3, 5, 5, 5, 6};

static void expect_slope(const double *values, size_t left_out, bt_age_use use, double df,
                         double per_day, double se, double t, double low, double high) {
  uint8_t known[VALUES], taken[VALUES];
  for (size_t i = 0; i < VALUES; i++) {
    known[i] = stretch[i] != 0; /* the log begins inside the first fill */
    taken[i] = i != left_out;
  }
  bt_slope slope;
  bt_error error;
  cr_assert_eq(bt_slope_fit(values, age, stretch, stretch, known, taken, VALUES, &slope, &error),
               BT_OK);
  cr_expect_eq(slope.use, use);
  cr_expect_eq(slope.df, df);
  cr_expect_eq(slope.fills, 6);
  cr_expect_float_eq(slope.per_day, per_day, 1e-11 * fabs(per_day) + 1e-14);
  cr_expect_float_eq(slope.se, se, 1e-11 * se);
  cr_expect_float_eq(slope.t, t, 1e-10 * fabs(t));
  cr_expect_float_eq(slope.low, low, 1e-11 * fabs(low) + 1e-14);
  cr_expect_float_eq(slope.high, high, 1e-11 * fabs(high) + 1e-14);
}

Test(slope, R_lm_all_values) {
  expect_slope(value, BT_NONE, BT_AGE_USED, 10, -0.00466915408035, 0.000456739684192,
               -10.2227904471, -0.00568683351595, -0.00365147464476);
}

Test(slope, R_lm_nearly_level) {
  double level[VALUES];
  for (size_t i = 0; i < VALUES; i++)
    level[i] = value[i] + 0.0045 * age[i];
  expect_slope(level, BT_NONE, BT_AGE_NOT_SIGNIFICANT, 10, -0.000169154080354, 0.000456739684192,
               -0.370351178599, -0.00118683351595, 0.000848525355239);
}

Test(slope, R_lm_without_the_sixth_value) {
  expect_slope(value, 5, BT_AGE_FEW_DF, 9, -0.00479091190108, 0.000438338423969, -10.9297101032,
               -0.00578250230659, -0.00379932149557);
}

/* NIST/SEMATECH e-Handbook, 6.4.3.3 (data from memory): line of least squares, slope 1.926,
 * intercept 2.127 (computed). One stretch alone is that line. */
Test(slope, line_of_the_forecast_example) {
  static const double y[] = {6.4, 5.6, 7.8, 8.8, 11.0, 11.6, 16.7, 15.3, 21.6, 22.4};
  static const double x[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
  static const int32_t one[10] = {0};
  uint8_t all[10];
  double mean = 0;
  for (size_t i = 0; i < 10; i++) {
    all[i] = 1;
    mean += y[i] / 10;
  }
  bt_slope slope;
  bt_error error;
  cr_assert_eq(bt_slope_fit(y, x, one, one, all, all, 10, &slope, &error), BT_OK);
  cr_expect_float_eq(slope.per_day, 1.926, 5e-4, "%.6f", slope.per_day);
  cr_expect_float_eq(slope.mean_age_days, 5.5, 1e-12);
  cr_expect_float_eq(mean - slope.per_day * slope.mean_age_days, 2.127, 5e-4);
}
