/* What of a study is shown: spans of points, and whether limits and zones exist. */
#include "report_room.h"

/* The first point at or after that time. */
static size_t lower(const bt_series *series, bt_time at) {
  size_t low = 0, high = series->n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (series->at[middle] < at)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

void report_between(const bt_series *series, bt_time from, bt_time to, size_t *first,
                    size_t *last) {
  *first = lower(series, from);
  *last = lower(series, to);
  if (*last < *first)
    *last = *first;
}

bool report_has_limits(const bt_segment *segment) {
  return segment != NULL && segment->state == BT_CHART_DRAWN;
}

bool report_has_zones(const bt_study *of, const bt_segment *segment) {
  return report_has_limits(segment) && of->characteristic != BT_TRACKER_RADIAL &&
         segment->chart.sigma > 0;
}
