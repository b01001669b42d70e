/* Resolution: the smallest step between distinct values, in their unit, against sigma.
 *
 * A log of few digits makes a chart of plateaus and jumps: above 1 sigma a warning, above 2 sigma
 * (or with sigma 0) no control chart. A sigma within rounding of the largest value is 0: means of
 * equal readings may differ in their last digits. Values count as one where they differ by no more
 * than rounding: 1e-9 sigma, or 8 units of the last binary digit of the largest value, since
 * readings that were divided or averaged differ in their last digits though the log shows the same.
 *
 * Source: the rule of thumb that the unit of measurement should not exceed sigma, Wheeler and
 * Lyday, Evaluating the Measurement Process (1989). Checked by a plain search over all pairs. */
#include "beamtally/spc.h"
#include "spc_lines.h"

#include <float.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

bt_status bt_resolution_fit(const double *value, const uint8_t *use, size_t n, double sigma,
                            bt_resolution *resolution, bt_error *error) {
  *resolution = (bt_resolution){0};
  double *sorted = bt_new(n, sizeof *sorted);
  if (sorted == NULL)
    return bt_fail_memory(error);
  size_t count = 0;
  double largest = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    sorted[count++] = value[i];
    largest = fmax(largest, fabs(value[i]));
  }
  gsl_sort(sorted, 1, count);

  double rounding = 8 * DBL_EPSILON * largest, same = fmax(SPC_ON_LINE * sigma, rounding);
  double step = INFINITY;
  for (size_t i = 1; i < count; i++) {
    double gap = sorted[i] - sorted[i - 1];
    if (gap > same && gap < step)
      step = gap;
  }
  free(sorted);

  resolution->step = isinf(step) ? 0 : step;
  resolution->coarse = resolution->step > sigma * (1 + SPC_ON_LINE);
  resolution->useless = !(sigma > rounding) || resolution->step > 2 * sigma * (1 + SPC_ON_LINE);
  return BT_OK;
}
