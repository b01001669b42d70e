/* Forecasts: when there is none, failures counted check by check, and how often they come true. */
#include "beamtally/drift.h"
#include "drift_failures.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 130 };

typedef struct data {
  size_t n;
  double day[MOST], value[MOST];
} data;

/* Values of mean 0 and the given scatter on five days of each week, with a ramp. */
static data ramp(size_t n, double onset, double per_day, double sigma, gsl_rng *source) {
  data made = {.n = n};
  for (size_t i = 0; i < n; i++) {
    made.day[i] = 7 * (double)(i / 5) + (double)(i % 5);
    made.value[i] = per_day * fmax(0, made.day[i] - onset) + gsl_ran_gaussian(source, sigma);
  }
  return made;
}

static bt_forecast_basis basis_of(double low) {
  return (bt_forecast_basis){.look = {.given = true, .threshold = 20},
                             .trend = {.given = true, .slope = -0.01},
                             .has_low = true,
                             .low = low,
                             .check_sigma = 1,
                             .checks_a_day = 5.0 / 7};
}

static bt_forecast forecast_of(const data *of, const bt_forecast_basis *basis) {
  gsl_set_error_handler_off();
  bt_change change;
  bt_forecast forecast;
  bt_error error = {0};
  cr_assert_eq(bt_change_find(of->day, of->value, of->n, &change, &error), BT_OK);
  cr_assert_eq(bt_forecast_find(of->day, of->value, of->n, &change, basis, &forecast, &error),
               BT_OK, "%s", error.text);
  return forecast;
}

Test(forecast, R1_R2_R3_none_and_why) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 41);
  data made = ramp(120, 80, -0.05, 1, source);
  bt_forecast_basis basis = basis_of(-10);
  bt_forecast forecast = forecast_of(&made, &basis);
  cr_assert_eq(forecast.use, BT_FORECAST_GIVEN);
  double last = made.day[119];
  cr_expect(forecast.has_fail_5 && forecast.has_fail_50 && forecast.has_mean_to);
  cr_expect(last < forecast.fail_5 && forecast.fail_5 < forecast.fail_50);
  cr_expect(forecast.mean_from < forecast.mean_at && forecast.mean_at < forecast.mean_to);
  cr_expect(forecast.fail_50 < forecast.mean_at, "a check fails before the mean does");

  cr_expect(!forecast.step_possible);

  basis.look.threshold = 1000;
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_NO_DRIFT);
  basis.look = (bt_look){0};
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_NO_DRIFT, "too few for a look");
  basis = basis_of(-10);
  basis.trend.slope = 0.01;
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_SIGNS_DIFFER);
  basis.trend = (bt_trend){0};
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_SIGNS_DIFFER);
  basis = basis_of(-10);
  basis.has_low = false;
  basis.has_high = true;
  basis.high = 10;
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_NO_LIMIT);
  basis = basis_of(-2);
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_BEYOND);

  for (size_t i = 0; i < made.n; i++)
    made.value[i] = gsl_ran_gaussian(source, 1) - (i >= 60 ? 4 : 0);
  basis = basis_of(-10);
  cr_expect_eq(forecast_of(&made, &basis).use, BT_FORECAST_STEP);
  gsl_rng_free(source);
}

Test(forecast, a_change_of_other_values_or_no_rate) {
  data made = {.n = 4};
  bt_change change = {.n = 5};
  bt_forecast_basis basis = basis_of(-1);
  bt_forecast forecast;
  bt_error error;
  cr_expect_eq(bt_forecast_find(made.day, made.value, 4, &change, &basis, &forecast, &error),
               BT_USAGE);
  change = (bt_change){.n = 4,
                       .hinge = {.given = true, .likelihood_ratio = 90, .day = 2, .per_day = -1}};
  basis.checks_a_day = 0;
  cr_expect_eq(bt_forecast_find(made.day, made.value, 4, &change, &basis, &forecast, &error),
               BT_USAGE);
}

/* A mirrored series, another zero, other units: the same days. The oldest usual age acts as a limit
 * moved by slope and age. */
Test(forecast, mirror_scale_and_age) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 42);
  data made = ramp(120, 80, -0.05, 1, source), other = made;
  gsl_rng_free(source);
  for (size_t i = 0; i < made.n; i++) {
    other.day[i] += 20000;
    other.value[i] = 300 - 4 * made.value[i];
  }
  bt_forecast_basis basis = basis_of(-10), aged = basis_of(-10.5), mirrored = basis_of(0);
  bt_forecast plain = forecast_of(&made, &basis);
  mirrored.has_low = false;
  mirrored.has_high = true;
  mirrored.high = 340;
  mirrored.trend.slope = 0.1;
  mirrored.check_sigma = 4;
  bt_forecast turned = forecast_of(&other, &mirrored);
  cr_expect(turned.side == BT_HIGH && turned.use == BT_FORECAST_GIVEN);
  cr_expect_float_eq(turned.fail_5, plain.fail_5 + 20000, 1e-3);
  cr_expect_float_eq(turned.fail_50, plain.fail_50 + 20000, 1e-3);
  cr_expect_float_eq(turned.mean_at, plain.mean_at + 20000, 1e-3);
  cr_expect_float_eq(turned.mean_from, plain.mean_from + 20000, 1e-3);
  cr_expect_float_eq(turned.mean_to, plain.mean_to + 20000, 1e-3);

  aged.within_per_day = -0.25;
  aged.mean_age_days = 1;
  aged.oldest_age_days = 3; /* half a unit lower than at the mean age: meets -10.5 as 0 meets -10 */
  bt_forecast old = forecast_of(&made, &aged);
  cr_expect_float_eq(old.fail_5, plain.fail_5, 1e-6);
  cr_expect_float_eq(old.mean_to, plain.mean_to, 1e-6);
}

/* A weak drift: the mean may never meet the limit, and a far limit isn't reached in 20 years. */
Test(forecast, R4_R5_no_finite_date) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 43);
  data made = ramp(60, 20, -0.01, 1, source);
  gsl_rng_free(source);
  bt_forecast_basis basis = basis_of(-8);
  basis.look.threshold = 0;
  bt_change change;
  bt_error error;
  cr_assert_eq(bt_change_find(made.day, made.value, made.n, &change, &error), BT_OK);
  cr_assert(change.hinge.per_day < 0 && change.hinge.likelihood_ratio < 3.84, "LR %.3f",
            change.hinge.likelihood_ratio);
  bt_forecast forecast = forecast_of(&made, &basis);
  cr_expect(forecast.use == BT_FORECAST_GIVEN && !forecast.has_mean_to);
  basis.low = -1e6;
  forecast = forecast_of(&made, &basis);
  cr_expect(!forecast.has_fail_5 && !forecast.has_fail_50);
}

/* The mean of h against single checks multiplied one by one. */
Test(failures, product_over_single_checks) {
  gsl_set_error_handler_off();
  static drift_failures failures;
  drift_failures_make(&failures);
  static const double ends[][2] = {{-5, 1},   {-3, -2.9}, {-1, 3},        {2, -4},
                                   {-20, -2}, {-1, -1},   {-1, -1.00005}, {-12, -9}};
  for (size_t k = 0; k < sizeof ends / sizeof *ends; k++) {
    const int checks = 20000;
    double sum = 0;
    for (int c = 0; c < checks; c++) {
      double d = ends[k][0] + (ends[k][1] - ends[k][0]) * (c + 0.5) / checks;
      sum -= log1p(-gsl_cdf_ugaussian_P(d));
    }
    double mean = drift_failures_mean(&failures, ends[k][0], ends[k][1]);
    cr_expect_float_eq(mean, sum / checks, 1e-7, "%g to %g: %.10g, %.10g", ends[k][0], ends[k][1],
                       mean, sum / checks);
  }
  cr_expect(drift_failures_mean(&failures, 9, 20) > 30);
}

/* Lasers that drift, looked at a fixed day long after the onset: the first failed check comes by
 * fail_5 in about 5 %, by fail_50 in about half of them, and the mean's set holds its day in 95 %.
 */
Test(forecast, comes_true_by_simulation, .timeout = 600) {
  gsl_set_error_handler_off();
  const bool longer = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  const int runs = longer ? 2000 : 60;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 44);
  int by_5 = 0, by_50 = 0, held = 0, given = 0;
  for (int run = 0; run < runs; run++) {
    double onset = 50 + 20 * gsl_rng_uniform(source), per_day = -0.03;
    data made = ramp(MOST, onset, per_day, 1, source);
    bt_forecast_basis basis = basis_of(-8);
    bt_forecast forecast = forecast_of(&made, &basis);
    if (forecast.use != BT_FORECAST_GIVEN)
      continue;
    given++;
    double last = made.day[MOST - 1], at = last;
    for (double day = last + 1;; day += 7.0 / 5) {
      if (gsl_ran_gaussian(source, 1) + per_day * (day - onset) < -8) {
        at = day;
        break;
      }
    }
    by_5 += at <= forecast.fail_5;
    by_50 += at <= forecast.fail_50;
    double meets = onset + 8 / 0.03;
    held += forecast.mean_from <= meets && (!forecast.has_mean_to || meets <= forecast.mean_to);
  }
  gsl_rng_free(source);
  cr_assert(given > 0.9 * runs, "%d", given);
  double n = given, share_5 = by_5 / n, share_50 = by_50 / n, in_set = held / n;
  cr_expect(share_5 < 0.05 + 4 * sqrt(0.0475 / n), "by fail_5: %.4f", share_5);
  cr_expect(!longer || share_5 > 0.03, "by fail_5: %.4f", share_5);
  cr_expect_float_eq(share_50, 0.5, 0.06 + 3 * sqrt(0.25 / n), "by fail_50: %.4f", share_50);
  cr_expect(in_set > 0.93 - 3 * sqrt(0.05 / n), "in the set: %.4f", in_set);
}
