/* The average over lines that a forecast's days of failure come from, against a plain sum over many
 * more of them. */
#include "beamtally/drift.h"
#include "drift_failures.h"
#include "drift_hinge.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { VALUES = 110, ONSETS = 300, HALF_STEPS = 10 };

static const double per_day = 5.0 / 7;

/* P(no failure within so many days of the last value), of the lines that the values allow: each
 * onset by its likelihood, and for each the errors of the mean and of the slope, normal, from -5 to
 * 5 in steps of a half. The scatter of a check is 1. */
static double none_within(const drift_hinge *of, const bt_change *change, double low, double days) {
  static drift_failures failures;
  drift_failures_make(&failures);
  drift_ramp best = drift_hinge_at(of, change->hinge.day);
  double n = (double)of->n, sigma = sqrt((of->total - best.explained) / (n - 3));
  double last = of->day[of->n - 1], limit = low - of->mean, none = 0, all = 0;
  for (int k = 0; k < ONSETS; k++) {
    drift_ramp ramp = drift_hinge_at(of, of->first + (of->last - of->first) * (k + 0.5) / ONSETS);
    double likelihood = pow((of->total - ramp.explained) / (of->total - best.explained), -n / 2);
    for (int i = -HALF_STEPS; i <= HALF_STEPS; i++)
      for (int j = -HALF_STEPS; j <= HALF_STEPS; j++) {
        double slope = ramp.xy / ramp.sxx + sigma / sqrt(ramp.sxx) * (j / 2.0);
        double mean = sigma / sqrt(n) * (i / 2.0) + slope * (last - ramp.onset - ramp.x / n);
        double weight = likelihood * exp(-(i * i + j * j) / 8.0);
        double from = limit - mean, to = limit - mean - slope * days; /* how far beyond it */
        none += weight * exp(-per_day * days * drift_failures_mean(&failures, from, to));
        all += weight;
      }
  }
  return none / all;
}

Test(forecast_average, days_of_failure_have_their_probability) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 45);
  for (int series = 0; series < 4; series++) {
    double day[VALUES], value[VALUES], slope = -0.02 - 0.02 * series, low = -8 - 2 * series;
    for (int i = 0; i < VALUES; i++) {
      day[i] = 7 * (i / 5) + i % 5;
      value[i] = slope * fmax(0, day[i] - 70) + gsl_ran_gaussian(source, 1);
    }
    bt_change change;
    bt_forecast forecast;
    bt_error error;
    bt_forecast_basis basis = {.look = {.given = true},
                               .trend = {.given = true, .slope = -1},
                               .has_low = true,
                               .low = low,
                               .check_sigma = 1,
                               .checks_a_day = per_day};
    drift_hinge of;
    cr_assert_eq(bt_change_find(day, value, VALUES, &change, &error), BT_OK);
    cr_assert_eq(bt_forecast_find(day, value, VALUES, &change, &basis, &forecast, &error), BT_OK);
    cr_assert(forecast.use == BT_FORECAST_GIVEN && forecast.has_fail_5 && forecast.has_fail_50);
    cr_assert_eq(drift_hinge_make(day, value, VALUES, &of, &error), BT_OK);
    double last = day[VALUES - 1];
    double by_5 = 1 - none_within(&of, &change, low, forecast.fail_5 - last);
    double by_50 = 1 - none_within(&of, &change, low, forecast.fail_50 - last);
    cr_expect_float_eq(by_5, 0.05, 0.001, "slope %.2f: by fail_5 %.5f", slope, by_5);
    cr_expect_float_eq(by_50, 0.5, 0.005, "slope %.2f: by fail_50 %.5f", slope, by_50);
    drift_hinge_free(&of);
  }
  gsl_rng_free(source);
}
