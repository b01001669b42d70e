/* Where the level is today against the first baseline, so that freezing again and again can't hide
 * a loss: the newest points are moved to the first baseline's mean fill age by its own slope, as
 * they would be had no other followed. */
#include "study_room.h"

void study_from_first(bt_study *study) {
  bool has_centre =
      study->characteristic != BT_TRACKER_RADIAL && study->characteristic != BT_TRACKER_VECTOR;
  const bt_segment *first = study->segments_n > 1 ? &study->segments[0] : NULL;
  if (first == NULL || !has_centre || first->state != BT_CHART_DRAWN)
    return;
  double sum = 0;
  size_t n = 0;
  for (size_t p = study->points.n; p > first->to && n < STUDY_RECENT_POINTS; p--) {
    double value;
    if (study->judged[p - 1] == 0 || !study_charted(&study->points, p - 1, &first->slope, &value))
      continue;
    sum += value - first->chart.centre;
    n++;
  }
  if (n == 0)
    return;
  study->from_first = (bt_from_first){.given = true,
                                      .from = first->baseline.from,
                                      .to = first->baseline.to,
                                      .centre = first->chart.centre,
                                      .shift = sum / (double)n};
}
