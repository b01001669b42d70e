/* The Theil-Sen slope and Kendall's interval: edges by hand, all orders, coverage by simulation. */
#include "beamtally/drift.h"
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

static bt_trend trend_of(const double *day, const double *value, size_t n) {
  bt_trend trend;
  bt_error error = {0};
  cr_assert_eq(bt_trend_find(day, value, n, &trend, &error), BT_OK, "%s", error.text);
  return trend;
}

Test(theil_sen, T1_no_interval_for_four_values) {
  static const double day[] = {0, 1, 2, 3, 4}, value[] = {1, 2, 4, 7, 11};
  cr_expect(!trend_of(day, value, 0).given && !trend_of(day, value, 1).given);
  for (size_t n = 2; n <= 4; n++) {
    bt_trend trend = trend_of(day, value, n);
    cr_expect(trend.given && !trend.has_interval, "n = %zu", n);
  }
  bt_trend trend = trend_of(day, value, 5);
  cr_expect(trend.has_interval && trend.low == 1 && trend.high == 4);
  cr_expect_float_eq(trend.confidence, 1 - 2.0 / 120, 1e-12, "the extreme slopes have 98.33 %%");
}

Test(theil_sen, T3_T4_days_alike_and_falling) {
  static const double alike[] = {2, 2, 2}, falling[] = {1, 2, 1.5}, value[] = {1, 5, 3};
  cr_expect(!trend_of(alike, value, 3).given);
  static const double pair[] = {0, 0, 2};
  bt_trend trend = trend_of(pair, value, 3);
  cr_expect(trend.given && trend.pairs == 2 && trend.slope == 0 && trend.s == 0);
  bt_error error;
  cr_expect_eq(bt_trend_find(falling, value, 3, &trend, &error), BT_INPUT);
}

/* 5,000 values are taken: here of one day, which have no pairs. */
Test(theil_sen, most_values) {
  enum { MOST = 5000 };
  static double day[MOST + 1], value[MOST + 1];
  cr_expect(!trend_of(day, value, MOST).given);
  bt_trend trend;
  bt_error error;
  cr_expect_eq(bt_trend_find(day, value, MOST + 1, &trend, &error), BT_INPUT);
}

/* Equal values have no trend, however many. */
Test(theil_sen, all_values_alike) {
  gsl_set_error_handler_off();
  double day[60], value[60];
  for (size_t i = 0; i < 60; i++) {
    day[i] = (double)i;
    value[i] = 0.1;
  }
  bt_trend trend = trend_of(day, value, 60);
  cr_expect(trend.slope == 0 && trend.p == 1 && trend.s == 0);
}

/* A line without scatter is found with its ends, wherever the days begin. */
Test(theil_sen, ends_of_the_line) {
  double day[9], value[9];
  for (size_t i = 0; i < 9; i++) {
    day[i] = 20000 + 2 * (double)i;
    value[i] = 7 - 0.25 * (day[i] - 20000);
  }
  bt_trend trend = trend_of(day, value, 9);
  cr_expect(trend.from_day == 20000 && trend.to_day == 20016);
  cr_expect_float_eq(trend.slope, -0.25, 1e-12);
  cr_expect_float_eq(trend.from_value, 7, 1e-9);
  cr_expect_float_eq(trend.to_value, 3, 1e-9);
}

/* The squares of S over all orders that values i.. can be put in; `orders` counts them. */
static void sum_squares(double *value, const double *day, size_t i, size_t n, double *squares,
                        double *orders) {
  if (i == n) {
    double s = (double)trend_of(day, value, n).s;
    *squares += s * s;
    *orders += 1;
  }
  for (size_t k = i; k < n; k++) {
    double kept = value[i];
    value[i] = value[k];
    value[k] = kept;
    sum_squares(value, day, i + 1, n, squares, orders);
    value[k] = value[i];
    value[i] = kept;
  }
}

/* With ties of days and of values: the variance behind p is that of S over all 720 orders. */
Test(theil_sen, variance_with_ties_is_that_of_all_orders) {
  gsl_set_error_handler_off();
  static const double days[][6] = {{0, 0, 0, 1, 2, 3}, {0, 0, 1, 1, 2, 2}, {0, 1, 2, 3, 3, 3}};
  static const double values[][6] = {{1, 1, 1, 2, 3, 4}, {1, 1, 2, 2, 2, 5}, {1, 2, 3, 4, 5, 5}};
  for (size_t d = 0; d < 3; d++)
    for (size_t v = 0; v < 3; v++) {
      double value[6], squares = 0, orders = 0;
      for (size_t i = 0; i < 6; i++)
        value[i] = values[v][i];
      bt_trend trend = trend_of(days[d], value, 6);
      double z = gsl_cdf_ugaussian_Qinv(trend.p / 2);
      sum_squares(value, days[d], 0, 6, &squares, &orders);
      cr_assert_eq(orders, 720);
      cr_assert_gt(trend.s, 1);
      cr_expect_float_eq(pow(((double)trend.s - 1) / z, 2), squares / orders, 1e-6,
                         "days %zu, values %zu", d, v);
    }
}

/* The p is that of Kendall's test of the values' order, exact and normal, with ties of values. */
Test(theil_sen, p_is_that_of_Kendalls_test) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 12);
  for (size_t n = 2; n < 90; n += 3) {
    double day[90], value[90], tau, p;
    bool tied = n % 2 == 0;
    for (size_t i = 0; i < n; i++) {
      day[i] = (i > 0 ? day[i - 1] : 0) + 0.1 + gsl_rng_uniform(source);
      value[i] = tied ? (double)gsl_rng_uniform_int(source, 9) : gsl_rng_uniform(source);
    }
    bt_error error;
    cr_assert_eq(bt_kendall(value, n, &tau, &p, &error), BT_OK);
    bt_trend trend = trend_of(day, value, n);
    cr_expect_float_eq(trend.p, p, 1e-12 + 1e-10 * p, "n = %zu: %.10g, %.10g", n, trend.p, p);
  }
  gsl_rng_free(source);
}

/* Adding a slope moves slope and interval by it and leaves the rest; a slope lies outside the
 * interval just when its removal makes p smaller than 1 less the confidence, or equal to it. */
Test(theil_sen, interval_is_that_of_the_test) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 13);
  for (size_t n = 5; n <= 45; n += 4) {
    double day[45], value[45], moved[45];
    for (size_t i = 0; i < n; i++) {
      day[i] = (i > 0 ? day[i - 1] : 0) + 0.1 + gsl_rng_uniform(source);
      value[i] = gsl_ran_gaussian(source, 1);
    }
    bt_trend trend = trend_of(day, value, n);
    cr_assert(trend.has_interval && trend.confidence >= 0.95);
    double width = 1e-9 + 1e-6 * (trend.high - trend.low);
    const double inside[] = {trend.low + width, trend.high - width};
    const double outside[] = {trend.low - width, trend.high + width};
    for (int end = 0; end < 2; end++) {
      for (size_t i = 0; i < n; i++)
        moved[i] = value[i] - inside[end] * day[i];
      cr_expect_gt(trend_of(day, moved, n).p, 1 - trend.confidence + 1e-9, "n = %zu", n);
      for (size_t i = 0; i < n; i++)
        moved[i] = value[i] - outside[end] * day[i];
      cr_expect_leq(trend_of(day, moved, n).p, 1 - trend.confidence + 1e-9, "n = %zu", n);
    }
  }
  gsl_rng_free(source);
}

/* 2,000 series of 12 values of heavy tails: the interval holds the slope in as many as it says,
 * within 4 standard errors. */
Test(theil_sen, coverage_by_simulation) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 14);
  const int runs = 2000;
  int covered = 0;
  double confidence = 0;
  for (int run = 0; run < runs; run++) {
    double day[12], value[12];
    for (size_t i = 0; i < 12; i++) {
      day[i] = 3 * (double)i + gsl_rng_uniform(source);
      value[i] = -0.2 * day[i] + gsl_ran_cauchy(source, 0.5);
    }
    bt_trend trend = trend_of(day, value, 12);
    covered += trend.low <= -0.2 && -0.2 <= trend.high;
    confidence = trend.confidence;
  }
  gsl_rng_free(source);
  cr_expect_float_eq((double)covered / runs, confidence, 4 * sqrt(0.05 * 0.95 / runs),
                     "covered %.4f of %.4f", (double)covered / runs, confidence);
}
