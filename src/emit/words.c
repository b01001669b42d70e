/* Fixed words of the forms, and the span of points that is written. */
#include "emit_room.h"

const char *emit_strength(bt_strength strength) {
  return strength == BT_ALARM ? "alarm" : strength == BT_NOTICE ? "notice" : "quiet";
}

const char *emit_side(bt_side side) {
  return side == BT_LOW ? "low" : "high";
}

void emit_span(const bt_study *of, bt_time from, bt_time to, size_t *first, size_t *end) {
  *first = bt_series_from(&of->points, from);
  *end = bt_series_from(&of->points, to);
  if (*end < *first)
    *end = *first;
}

bool emit_has_zones(const bt_study *of) {
  return of->characteristic != BT_TRACKER_RADIAL && of->characteristic != BT_TRACKER_VECTOR;
}

bool emit_has_spread(const bt_study *of, size_t i) {
  return emit_has_zones(of) && of->points.checks[i] > 1;
}

const char *emit_at(const bt_study *of, size_t i, char *buffer) {
  bool has_clock = (of->points.flags[i] & BT_POINT_NO_CLOCK) == 0;
  return bt_time_iso(of->points.at[i], has_clock, buffer);
}
