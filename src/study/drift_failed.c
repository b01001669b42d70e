/* Whether what a forecast speaks of has come already: checks outside tolerance since the change.
 *
 * R1 They are counted from the first of the dates on which it may have begun, on the side that it
 *    moved to.
 * R2 A retest is left out, being no check of its own. One whose retest passed is not: a forecast is
 *    of single checks, and a past one is scored by them (drift_past.c).
 * R3 Nor do the checks count of what was left out as standing alone, far from those around it
 *    (drift_values.c R4): a forgotten comma is no check that failed, and is asked about as such. */
#include "study_drift.h"

#include <math.h>

/* R3 */
bool study_drift_is_far(const bt_drift *drift, bt_time at) {
  const bt_study *study = drift->study;
  for (size_t k = 0; k < drift->far_n; k++) {
    bt_time far = study->points.at[drift->far[k]];
    if (study->every ? far == at : bt_day_of(far) == bt_day_of(at))
      return true;
  }
  return false;
}

void study_drift_failed(bt_drift *drift) {
  const bt_series *checks = &drift->study->checks;
  bt_time from = (bt_time)(floor(drift->change.from) * (double)BT_DAY);
  if (!drift->moved.changed)
    return;
  for (size_t i = bt_series_from(checks, from); i < checks->n; i++) {
    bool its_side = (drift->moved.sign < 0) == (checks->value[i] < drift->centre);
    if (!its_side || (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) == 0 ||
        (checks->flags[i] & BT_POINT_RETEST) != 0 || study_drift_is_far(drift, checks->at[i]))
      continue;
    if (drift->failed_n++ == 0)
      drift->first_failed = i;
  }
}
