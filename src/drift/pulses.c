/* Common within-fill slope by pulses instead of days, in the characteristic's unit per 1,000
 * pulses: the regression of slope.c on the pulse counter of the gas fill.
 *
 * Requirements
 *   U1  A value takes part when its counter was read.
 *   U2  Only differences within a stretch matter: a counter that goes on over the refill serves as
 *       well as one that starts anew there.
 *   U3  A counter that falls inside a stretch was reset: values from there on count as of a stretch
 *       of their own, until the next stretch.
 *   U4  bt_slope's "days" are thousands of pulses here: per_day is per 1,000 pulses, mean and
 *       oldest age are pulses / 1,000, by the counter as read.
 *
 * Source: slope.c. Checked against the slope by day of a laser that fires evenly
 * (tests/unit/drift/pulses.c). */
#include "beamtally/drift.h"

#include <stdlib.h>

static const double pulses_a_unit = 1000;

bt_status bt_slope_by_pulses(const double *value, const double *pulses, const int32_t *fill,
                             const int32_t *stretch, const uint8_t *use, size_t n, bt_slope *slope,
                             bt_error *error) {
  *slope = (bt_slope){0};
  bt_status status = BT_OK;
  double *thousands = bt_new(n, sizeof *thousands);
  int32_t *group = bt_new(n, sizeof *group);
  if (thousands == NULL || group == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  size_t before = BT_NONE;
  int32_t at = 0;
  for (size_t i = 0; i < n; i++) {
    group[i] = -1;
    if (use[i] == 0)
      continue; /* U1 */
    thousands[i] = pulses[i] / pulses_a_unit;
    if (before != BT_NONE && (stretch[i] != stretch[before] || pulses[i] < pulses[before]))
      at++; /* U3 */
    group[i] = at;
    before = i;
  }
  status = bt_slope_fit(value, thousands, fill, group, use, use, n, slope, error);
done:
  free(thousands);
  free(group);
  return status;
}
