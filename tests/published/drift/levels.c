/* Levels of fills against R's predict of an lm, and the Theil-Sen slope against R's cor.test and a
 * worked example: constants printed by
 *   Rscript tests/published/drift/reference.R     (R 4, packages stats and datasets) */
#include "../spc/nile.h"
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <math.h>

enum { VALUES = 16 };

/* Values that don't take part, of the last two, change nothing. */
static const double age[VALUES + 2] = {0.3, 1.3, 2.3, 0.1, 1.0, 2.2, 3.1, 0.5, 1.4,
                                       0.2, 1.2, 2.1, 3.0, 0.0, 0.9, 2.0, 0.4, 0.5};
static const double value[VALUES + 2] = {1.6131, 1.6108, 1.6021, 1.6172, 1.6119, 1.6090,
                                         1.6009, 1.6102, 1.6088, 1.6143, 1.6098, 1.6037,
                                         1.6029, 1.6095, 1.6077, 1.6011, 1.6064, 1.9};
static const int32_t fill[VALUES + 2] = {0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 3, 3, 5, 5, 5, 6, 6};

Test(levels, R_predict_of_lm) {
  static const double expected[] = {1.60773283585, 1.61021691541, 1.60693196526, 1.60825864426,
                                    1.60360978449};
  static const double expected_se[] = {0.000989456247329, 0.000854456275214, 0.0012325273625,
                                       0.000855142657052, 0.0010148977778};
  uint8_t use[VALUES + 2], known[VALUES + 2];
  double day[VALUES + 2];
  for (size_t i = 0; i < VALUES + 2; i++) {
    day[i] = 4 * fill[i] + age[i];
    known[i] = 1;
    use[i] = i < VALUES + 1;
  }
  bt_slope slope;
  bt_level level[VALUES + 2];
  bt_levels levels;
  bt_error error;
  cr_assert_eq(bt_slope_fit(value, age, fill, fill, known, use, VALUES, &slope, &error), BT_OK);
  slope.mean_age_days = 1.5;
  cr_assert_eq(bt_levels_fit(day, value, age, fill, known, use, VALUES + 2, &slope, true, level,
                             &levels, &error),
               BT_OK);
  cr_assert_eq(levels.n, 5);
  cr_expect_eq(levels.df, 10);
  cr_expect_float_eq(levels.sigma, 0.00170646935497, 1e-13);
  for (size_t f = 0; f < levels.n; f++) {
    cr_expect_float_eq(level[f].value, expected[f], 1e-11);
    cr_expect_float_eq(level[f].se, expected_se[f], 1e-13);
  }
  cr_expect_float_eq(level[1].slope, -0.00501724137931, 1e-13);
  cr_expect_float_eq(level[1].slope_se, 0.000853685287729, 1e-13);
}

/* Slope 0.1, S = 18, exact 96.88 % interval 0.025 to 0.2 (ordered slopes 6 and 23 of 28): worked
 * out by hand; R's exact p agrees. */
Test(theil_sen, worked_example) {
  static const double x[] = {1, 2, 3, 5, 8, 9, 12, 14};
  static const double y[] = {2.1, 1.9, 2.6, 2.2, 3.1, 2.4, 3.0, 3.6};
  bt_trend trend;
  bt_error error;
  cr_assert_eq(bt_trend_find(x, y, 8, &trend, &error), BT_OK);
  cr_expect(trend.pairs == 28 && trend.s == 18 && trend.has_interval);
  cr_expect_float_eq(trend.slope, 0.1, 1e-14);
  cr_expect_float_eq(trend.low, 0.025, 1e-14);
  cr_expect_float_eq(trend.high, 0.2, 1e-14);
  cr_expect_float_eq(trend.confidence, 0.9688, 0.00005);
  cr_expect_float_eq(trend.p, 0.0311507936508, 1e-12);
}

/* NIST/SEMATECH e-Handbook, 6.4.3.3 (data from memory): S 41, median slope 1.850, computed. */
Test(theil_sen, forecast_example) {
  static const double y[] = {6.4, 5.6, 7.8, 8.8, 11.0, 11.6, 16.7, 15.3, 21.6, 22.4};
  static const double x[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
  bt_trend trend;
  bt_error error;
  cr_assert_eq(bt_trend_find(x, y, 10, &trend, &error), BT_OK);
  cr_expect_eq(trend.s, 41);
  cr_expect_float_eq(trend.slope, 1.850, 5e-4);
}

Test(theil_sen, R_cor_test_of_the_Nile) {
  double year[100];
  for (size_t i = 0; i < 100; i++)
    year[i] = (double)i;
  bt_trend trend;
  bt_error error;
  cr_assert_eq(bt_trend_find(year, nile, 100, &trend, &error), BT_OK);
  cr_expect_float_eq(trend.slope, -2.6, 1e-12);
  cr_expect_float_eq(trend.p, 3.65826292166e-05, 1e-15);
  cr_expect(trend.has_interval && trend.low < -2.6 && trend.high > -2.6 && trend.high < 0);
}
