/* Mean of the last values, in their unit, with an interval from the scatter of all of them.
 *
 *   mean of the last k of n values -/+ t(0.975; n - 1) s / sqrt(k),  s the standard deviation of
 *   all n
 *
 * Requirements
 *   N1  k is n at most. Under 2 values the interval is the mean alone.
 *
 * It holds for values that didn't change; a drift too slow to be seen makes s, and the interval,
 * somewhat too wide. Source: definitions. Checked by hand (tests/unit/drift/parts.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

bt_recent bt_recent_mean(const double *value, size_t n, size_t last) {
  bt_recent found = {.n = last < n ? last : n};
  double mean = 0, squares = 0;
  for (size_t i = 0; i < n; i++) {
    double away = value[i] - mean;
    mean += away / (double)(i + 1);
    squares += away * (value[i] - mean);
  }
  for (size_t i = n - found.n; i < n; i++)
    found.mean += value[i] / (double)found.n;
  found.low = found.high = found.mean;
  if (n < 2)
    return found;
  double df = (double)n - 1;
  double half = gsl_cdf_tdist_Pinv(0.975, df) * sqrt(squares / df / (double)found.n);
  found.low -= half;
  found.high += half;
  return found;
}
