/* Individuals chart, moving ranges and z: edges, a plain loop, and properties. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_constants.h"

#include <criterion/criterion.h>
#include <float.h>
#include <math.h>
#include <string.h>

Test(individuals, I1_moving_ranges_bridge_what_takes_no_part) {
  static const double value[] = {1, 50, 3, 50, 50, 2};
  static const uint8_t use[] = {1, 0, 1, 0, 0, 1};
  double range[6];
  uint8_t has_range[6];
  bt_moving_ranges(value, use, 6, range, has_range);
  static const double ranges[] = {0, 0, 2, 0, 0, 1};
  static const uint8_t has[] = {0, 0, 1, 0, 0, 1};
  cr_expect_arr_eq(range, ranges, sizeof ranges);
  cr_expect_arr_eq(has_range, has, sizeof has);

  bt_individuals chart;
  bt_error error;
  cr_assert_eq(bt_individuals_fit(value, use, 6, &chart, &error), BT_OK);
  cr_expect_eq(chart.n, 3);
  cr_expect_eq(chart.centre, 2);
  cr_expect_eq(chart.mr_centre, 1.5);
  cr_expect_float_eq(chart.sigma, 1.5 * sqrt(acos(-1)) / 2, 1e-15);
}

Test(individuals, under_two_values_are_refused) {
  static const double value[] = {1, 2};
  static const uint8_t none[] = {0, 0}, one[] = {0, 1};
  bt_individuals chart;
  bt_error error = {0};
  cr_expect_eq(bt_individuals_fit(value, none, 2, &chart, &error), BT_INPUT);
  cr_expect_eq(bt_individuals_fit(value, one, 2, &chart, &error), BT_INPUT);
  cr_expect_eq(error.status, BT_INPUT);
  cr_expect(strstr(error.text, "there are 1") != NULL);
  cr_expect_eq(bt_individuals_fit(value, one, 0, &chart, NULL), BT_INPUT);
}

Test(individuals, values_too_large_are_refused) {
  static const double value[] = {DBL_MAX, -DBL_MAX, DBL_MAX};
  static const uint8_t use[] = {1, 1, 1};
  bt_individuals chart;
  bt_error error;
  cr_expect_eq(bt_individuals_fit(value, use, 3, &chart, &error), BT_INPUT);
}

Test(individuals, I3_I5_equal_values) {
  static const double value[] = {1.0 / 3, 1.0 / 3, 1.0 / 3, 1.0 / 3, 1.0 / 3, 1.0 / 3, 1.0 / 3};
  static const uint8_t use[] = {1, 1, 1, 1, 1, 1, 1};
  bt_individuals chart;
  bt_error error;
  double z[7];
  cr_assert_eq(bt_individuals_fit(value, use, 7, &chart, &error), BT_OK);
  cr_expect_eq(chart.centre, 1.0 / 3);
  cr_expect(chart.sigma == 0 && chart.lcl == chart.centre && chart.ucl == chart.centre);
  bt_standardise(value, 7, &chart, z);
  for (size_t i = 0; i < 7; i++)
    cr_expect_eq(z[i], 0);
}

Test(individuals, I4_stated_centre_and_sigma) {
  bt_individuals chart = bt_individuals_stated(1, 0.01);
  cr_expect_eq(chart.n, 0);
  cr_expect_eq(chart.df, 0);
  cr_expect_float_eq(chart.lcl, 0.97, 1e-15);
  cr_expect_float_eq(chart.ucl, 1.03, 1e-15);
  cr_expect_float_eq(chart.mr_centre, 0.011283791671, 1e-13);
  cr_expect_float_eq(chart.mr_ucl, 0.036858865663, 1e-12, "d2 + 3 d3 = 3.6858865663");
}

Test(individuals, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    long double sum = 0, ranges = 0;
    double kept[SHAPE_MOST], range[SHAPE_MOST];
    uint8_t has_range[SHAPE_MOST];
    size_t n = 0, with_range = 0;
    bt_moving_ranges(at.value, at.use, at.n, range, has_range);
    for (size_t i = 0; i < at.n; i++) {
      bool has = at.use[i] != 0 && n > 0;
      double expected = has ? fabs(at.value[i] - kept[n - 1]) : 0;
      cr_expect(has_range[i] == has && range[i] == expected, "%s %zu, point %zu", at.name, s, i);
      if (at.use[i] == 0)
        continue;
      with_range += has;
      ranges += expected;
      sum += at.value[i];
      kept[n++] = at.value[i];
    }
    bt_individuals chart;
    bt_error error;
    bt_status status = bt_individuals_fit(at.value, at.use, at.n, &chart, &error);
    cr_assert_eq(status, n < 2 ? BT_INPUT : BT_OK);
    if (n < 2)
      continue;
    cr_expect_eq(with_range, n - 1);
    cr_expect_float_eq(chart.centre, (double)(sum / n), 1e-13);
    cr_expect_float_eq(chart.mr_centre, (double)(ranges / (n - 1)), 1e-13);
    cr_expect_float_eq(chart.ucl - chart.lcl, 6 * chart.mr_centre / spc_d2(2), 1e-12);
    cr_expect_float_eq(chart.mr_ucl, spc_big_d4(2) * chart.mr_centre, 1e-13);
  }
}

/* In another unit and from another zero the chart is the same chart. Factors of 2 and whole shifts
 * keep the numbers exact. */
Test(individuals, shift_and_scale) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double scaled[SHAPE_MOST], shifted[SHAPE_MOST], z[SHAPE_MOST], z_of[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++) {
      scaled[i] = -4 * at.value[i];
      shifted[i] = at.value[i] + 1024;
    }
    bt_individuals chart, of_scaled, of_shifted;
    bt_error error;
    if (bt_individuals_fit(at.value, at.use, at.n, &chart, &error) != BT_OK)
      continue;
    cr_assert_eq(bt_individuals_fit(scaled, at.use, at.n, &of_scaled, &error), BT_OK);
    cr_assert_eq(bt_individuals_fit(shifted, at.use, at.n, &of_shifted, &error), BT_OK);
    cr_expect_eq(of_scaled.centre, -4 * chart.centre);
    cr_expect_eq(of_scaled.sigma, 4 * chart.sigma);
    cr_expect_eq(of_scaled.lcl, -4 * chart.ucl);
    cr_expect_float_eq(of_shifted.centre, chart.centre + 1024, 1e-12);
    cr_expect_float_eq(of_shifted.sigma, chart.sigma, 1e-12);
    bt_standardise(at.value, at.n, &chart, z);
    bt_standardise(scaled, at.n, &of_scaled, z_of);
    for (size_t i = 0; i < at.n; i++)
      cr_expect_eq(z_of[i], -z[i]);
  }
}
