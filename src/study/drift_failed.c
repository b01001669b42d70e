/* Whether what a forecast speaks of has come already: checks outside tolerance since the change.
 *
 * R1 They are counted from the first of the dates on which it may have begun, on the side that it
 *    moved to.
 * R2 A retest is left out, being no check of its own. One whose retest passed is not: a forecast is
 *    of single checks, and a past one is scored by them (drift_past.c). */
#include "study_drift.h"

#include <math.h>

void study_drift_failed(bt_drift *drift) {
  const bt_series *checks = &drift->study->checks;
  bt_time from = (bt_time)(floor(drift->change.from) * (double)BT_DAY);
  if (!drift->moved.changed)
    return;
  for (size_t i = bt_series_from(checks, from); i < checks->n; i++) {
    bool its_side = (drift->moved.sign < 0) == (checks->value[i] < drift->centre);
    if (!its_side || (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) == 0 ||
        (checks->flags[i] & BT_POINT_RETEST) != 0)
      continue;
    if (drift->failed_n++ == 0)
      drift->first_failed = i;
  }
}
