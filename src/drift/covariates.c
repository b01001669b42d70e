/* Effect of one covariate (temperature, humidity, time of day) on a characteristic, in its unit per
 * unit of the covariate.
 *
 *   y_i = c + d day_i + e x_i + error,  least squares;  e with its t interval, n - 3 degrees of
 *   freedom
 *
 * Requirements
 *   V1  A straight trend over time is part of it: a room that warms up while the laser drifts isn't
 *       taken for the cause.
 *   V2  Not given under 10 degrees of freedom, or where x is a straight line of time (or constant):
 *       less than 1e-9 of its squares is left.
 *   V3  The p is that of a single look at a single covariate.
 *
 * It is found by regressing what is left of y on what is left of x, both less their own trend:
 * Frisch and Waugh, Econometrica 1 (1933). Checked against R's lm
 * (tests/published/drift/before_after.c) and by the rate of false effects of a shared trend
 * (tests/unit/drift/covariates.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#define LEAST_DF 10

static const double least_left = 1e-9;

static double mean_of(const double *value, size_t n) {
  double mean = 0;
  for (size_t i = 0; i < n; i++)
    mean += (value[i] - mean) / (double)(i + 1);
  return mean;
}

/* What is left of a series about its mean and trend; its squares before the trend was taken. */
static double leave(const double *day, const double *of, size_t n, double *left) {
  double middle = mean_of(day, n), mean = mean_of(of, n), sxx = 0, sxy = 0, squares = 0;
  for (size_t i = 0; i < n; i++) {
    sxx += (day[i] - middle) * (day[i] - middle);
    sxy += (day[i] - middle) * (of[i] - mean);
    squares += (of[i] - mean) * (of[i] - mean);
  }
  double slope = sxx > 0 ? sxy / sxx : 0;
  for (size_t i = 0; i < n; i++)
    left[i] = of[i] - mean - slope * (day[i] - middle);
  return squares;
}

bt_status bt_effect_find(const double *day, const double *value, const double *covariate, size_t n,
                         bt_effect *effect, bt_error *error) {
  *effect = (bt_effect){.n = n, .df = (double)n - 3, .p = 1};
  if (effect->df < LEAST_DF)
    return BT_OK; /* V2 */
  double *x = bt_new(2 * n, sizeof *x);
  if (x == NULL)
    return bt_fail_memory(error);
  double *y = x + n, sxx = 0, sxy = 0, rss = 0;
  double squares = leave(day, covariate, n, x);
  (void)leave(day, value, n, y);
  for (size_t i = 0; i < n; i++) {
    sxx += x[i] * x[i];
    sxy += x[i] * y[i];
  }
  if (sxx > least_left * squares) {
    effect->given = true;
    effect->slope = sxy / sxx;
    for (size_t i = 0; i < n; i++)
      rss += (y[i] - effect->slope * x[i]) * (y[i] - effect->slope * x[i]);
    effect->se = sqrt(rss / effect->df / sxx);
    double half = gsl_cdf_tdist_Pinv(0.975, effect->df) * effect->se;
    effect->low = effect->slope - half;
    effect->high = effect->slope + half;
    if (effect->se > 0)
      effect->p = 2 * gsl_cdf_tdist_Q(fabs(effect->slope) / effect->se, effect->df);
    else
      effect->p = effect->slope == 0 ? 1 : 0;
  }
  free(x);
  return BT_OK;
}
