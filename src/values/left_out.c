/* How many checks and points of a span are left out, by why. */
#include "beamtally/finding.h"

static bool is_within(bt_time at, bt_time from, bt_time to) {
  return at >= from && at < to;
}

bt_left_out bt_study_left_out(const bt_study *study, bt_time from, bt_time to) {
  const bt_series *checks = &study->checks, *points = &study->points;
  bt_left_out out = {0};
  for (size_t i = 0; i < checks->n; i++) {
    if (!is_within(checks->at[i], from, to))
      continue;
    if ((checks->flags[i] & BT_POINT_RETEST) != 0)
      out.retests++;
    else if ((checks->flags[i] & BT_POINT_AS_LEFT) != 0)
      out.as_left++;
  }
  for (size_t s = 0; s < study->segments_n; s++)
    for (size_t e = 0; e < study->segments[s].exclusions_n; e++) {
      const bt_exclusion *exclusion = &study->segments[s].exclusions[e];
      if (!is_within(points->at[exclusion->point], from, to))
        continue;
      out.failed += exclusion->pass == 0;
      out.beyond += exclusion->pass > 0;
    }
  for (size_t p = 0; p < points->n; p++) {
    if (!is_within(points->at[p], from, to) || study->judged[p] != 0)
      continue;
    int32_t s = points->segment[p];
    if (s < 0 || study->segments[s].state != BT_CHART_DRAWN)
      out.no_baseline++;
    else if ((points->flags[p] & BT_POINT_OTHER_TARGET) != 0)
      out.other_target++;
    else if ((points->flags[p] & BT_POINT_TOO_OLD) != 0)
      out.too_old++;
    else
      out.unknown_age++;
  }
  return out;
}
