/* Days with several checks: the spread inside a day, its chart, and whether days differ.
 *
 * R1 A point's within-day s is that of its independent checks as charted: moved to the mean fill
 *    age where the point is. Radius and T² have none: their point isn't the mean of its checks'.
 * R2 The s chart stands on the baseline's days with several checks; its limits depend on how
 *    many checks a day has. A point of another target energy has none: its checks may be of
 *    several.
 * R3 Checks of one day are alike where days differ. Limits from single checks would then break
 *    every promised rate of false alarms, so each check as a point is refused, unless centre and
 *    sigma were both stated: then it is taken as asked. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

/* Days differ, and checks of one day are alike, where this p is below. */
static const double alike_p = 0.05;

/* R1. */
bt_status study_spread(bt_study *study, const study_rows *rows, bt_error *error) {
  bt_series *points = &study->points;
  double *mean = bt_new(points->n, sizeof *mean);
  uint32_t *seen = bt_new(points->n, sizeof *seen);
  if (mean == NULL || seen == NULL) {
    free(mean);
    free(seen);
    return bt_fail_memory(error);
  }
  for (size_t p = 0; p < points->n; p++)
    points->within_s[p] = 0;
  for (size_t i = 0; i < study->checks.n; i++) { /* sums of squares as they grow */
    size_t p = rows->point[i];
    if (p == BT_NONE)
      continue;
    double step = study->checks.value[i] - mean[p];
    mean[p] += step / ++seen[p];
    points->within_s[p] += step * (study->checks.value[i] - mean[p]);
  }
  for (size_t p = 0; p < points->n; p++)
    points->within_s[p] = seen[p] < 2 ? 0 : sqrt(points->within_s[p] / (seen[p] - 1));
  free(mean);
  free(seen);
  return BT_OK;
}

/* R2. */
static void chart_of_s(bt_study *study, bt_segment *segment, const uint8_t *used) {
  const bt_series *points = &study->points;
  size_t from = segment->from;
  segment->within = bt_within_fit(points->within_s + from, points->checks + from, used + from,
                                  segment->phase2 - from);
  for (size_t p = from; p < segment->to; p++) {
    double centre, lcl;
    if (p > from && points->checks[p] == points->checks[p - 1]) /* nearly always */
      study->within_s_ucl[p] = study->within_s_ucl[p - 1];
    else
      bt_within_limits(&segment->within, points->checks[p], &centre, &lcl, &study->within_s_ucl[p]);
  }
  for (size_t p = from; p < segment->to; p++)
    if ((points->flags[p] & BT_POINT_OTHER_TARGET) != 0)
      study->within_s_ucl[p] = 0;
}

/* Groups the single checks of the period's points by day. */
static bt_status compare_days(const bt_study *study, const study_rows *rows, bt_segment *segment,
                              const uint8_t *used, bt_error *error) {
  const bt_series *checks = &study->checks;
  size_t first, end = study_checks_of(study, rows, segment->from, segment->phase2, &first);
  int32_t *day = bt_new(end - first, sizeof *day);
  uint8_t *use = bt_new(end - first, sizeof *use);
  bt_status status = BT_OK;
  if (day == NULL || use == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  for (size_t i = first; i < end; i++) {
    size_t p = rows->point[i];
    day[i - first] = (int32_t)bt_day_of(checks->at[i]);
    use[i - first] = p != BT_NONE && used[p];
  }
  status =
      bt_between_days(checks->value + first, day, use, end - first, &segment->between_p, error);
done:
  free(day);
  free(use);
  return status;
}

/* R3. */
static bt_status may_be_single(const bt_study *study, const bt_segment *segment, bt_error *error) {
  bool both_stated = segment->stated && segment->chart.n == 0;
  if (!study->every || both_stated || segment->between_p >= alike_p)
    return BT_OK;
  return bt_fail(error, BT_REFUSED,
                 "%s: checks of one day are alike in its baseline (days differ, p %.2g), so limits "
                 "from single checks would give more false signals than any table says; leave "
                 "--session every out, which charts day means, or state --centre and --sigma",
                 study->quantity.key, segment->between_p);
}

bt_status study_within(bt_study *study, const study_rows *rows, const uint8_t *used,
                       bt_error *error) {
  study->within_s_ucl = bt_new(study->points.n, sizeof *study->within_s_ucl);
  if (study->within_s_ucl == NULL)
    return bt_fail_memory(error);
  bool of_offset =
      study->characteristic == BT_TRACKER_VECTOR || study->characteristic == BT_TRACKER_RADIAL;
  bt_status status = of_offset ? BT_OK : study_spread(study, rows, error);
  for (size_t s = 0; s < study->segments_n && status == BT_OK; s++) {
    bt_segment *segment = &study->segments[s];
    segment->between_p = 1;
    if (segment->state != BT_CHART_DRAWN)
      continue;
    if (!of_offset)
      chart_of_s(study, segment, used);
    status = compare_days(study, rows, segment, used, error);
    if (status == BT_OK)
      status = may_be_single(study, segment, error);
  }
  return status;
}
