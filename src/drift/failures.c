/* Chance that none of several checks fails while the mean moves in a straight line; pure numbers.
 *
 *   h(d) = -ln(1 - Phi(d)),  d how far the mean lies beyond the limit, in sigma of a check
 *   mean of h from d0 to d1 = (H(d1) - H(d0)) / (d1 - d0),  H the integral of h
 *
 * Checks are taken as spread evenly over time: m of them survive with exp(-m times that mean).
 *
 * Requirements
 *   F1  Beyond -8 sigma no check fails; beyond 8 sigma h is as at 8.
 *   F2  Where d hardly moves the mean is h in its middle.
 *
 * Accuracy: 1e-7. H is summed by Simpson's rule over steps of 1/64 sigma and interpolated with its
 * derivative h. Checked against products over single checks (tests/unit/drift/forecast.c). */
#include "drift_failures.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double reach = 8, hardly = 1e-4;

static double step_of(void) {
  return 2 * reach / (DRIFT_FAILURE_NODES - 1);
}

static double rate_of(double d) {
  return d < 0 ? -log1p(-gsl_cdf_ugaussian_P(d)) : -log(gsl_cdf_ugaussian_Q(d));
}

void drift_failures_make(drift_failures *failures) {
  double step = step_of();
  failures->rate[0] = rate_of(-reach);
  failures->sum[0] = 0;
  for (int k = 1; k < DRIFT_FAILURE_NODES; k++) {
    double d = -reach + k * step;
    failures->rate[k] = rate_of(d);
    failures->sum[k] =
        failures->sum[k - 1] +
        step / 6 * (failures->rate[k - 1] + 4 * rate_of(d - step / 2) + failures->rate[k]);
  }
}

/* H by cubic Hermite interpolation, and h as its derivative is interpolated. F1 */
static double sum_at(const drift_failures *failures, double d) {
  if (d <= -reach)
    return 0;
  if (d >= reach)
    return failures->sum[DRIFT_FAILURE_NODES - 1] +
           (d - reach) * failures->rate[DRIFT_FAILURE_NODES - 1];
  double step = step_of(), at = (d + reach) / step;
  int k = (int)fmin(floor(at), DRIFT_FAILURE_NODES - 2);
  double t = at - k, u = 1 - t;
  return (1 + 2 * t) * u * u * failures->sum[k] + t * t * (3 - 2 * t) * failures->sum[k + 1] +
         step * t * u * (u * failures->rate[k] - t * failures->rate[k + 1]);
}

double drift_failures_mean(const drift_failures *failures, double from, double to) {
  if (fabs(to - from) < hardly) /* F2 */
    return rate_of(fmin(fmax((from + to) / 2, -reach), reach));
  return (sum_at(failures, to) - sum_at(failures, from)) / (to - from);
}
