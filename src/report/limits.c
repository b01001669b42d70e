/* Which limits a chart has, and where they stand. */
#include "report_study.h"

#include <math.h>

bool report_has_limits(const bt_segment *segment) {
  return segment != NULL && segment->state == BT_CHART_DRAWN;
}

bool report_has_one_limit(const bt_study *of) {
  return of->characteristic == BT_TRACKER_RADIAL || of->characteristic == BT_TRACKER_VECTOR;
}

bool report_has_zones(const bt_study *of, const bt_segment *segment) {
  return report_has_limits(segment) && !report_has_one_limit(of) && segment->chart.sigma > 0;
}

double report_upper_limit(const bt_study *of, const bt_segment *segment) {
  return of->characteristic == BT_TRACKER_RADIAL ? segment->radial.limit : segment->chart.ucl;
}

bool report_alarm_limits(const bt_study *of, const bt_segment *segment, double *low, double *high) {
  const bt_alarm_limits *alarm = &segment->alarm;
  bool vector = of->characteristic == BT_TRACKER_VECTOR;
  if (!report_has_limits(segment) || !alarm->given)
    return false;
  *low = vector ? 0 : segment->chart.centre - alarm->limit * segment->chart.sigma;
  *high = vector ? alarm->t2_limit : segment->chart.centre + alarm->limit * segment->chart.sigma;
  return vector ? alarm->t2_limit > 0 : alarm->limit > 0;
}

double report_alarm_h(const bt_study *of, const bt_segment *segment) {
  return report_has_zones(of, segment) && segment->alarm.given ? segment->alarm.h : 0;
}

bool report_is_moved(const bt_study *of, const bt_segment *segment, size_t point) {
  double centre = segment->chart.centre;
  return fabs(of->points.value[point] - centre) > 1e-9 * fabs(centre);
}

size_t report_first_moved(const bt_study *of) {
  const bt_segment *now = bt_study_now(of);
  if (now == NULL || now->state != BT_CHART_RESOLUTION || now->resolution.step > 0 ||
      report_has_one_limit(of))
    return BT_NONE;
  for (size_t p = now->phase2; p < now->to; p++)
    if (report_is_moved(of, now, p))
      return p;
  return BT_NONE;
}

size_t report_without_age(const bt_study *of, const bt_segment *segment) {
  size_t n = 0;
  if (segment->slope.use != BT_AGE_USED)
    return 0;
  for (size_t p = segment->from; p < segment->phase2; p++)
    n += (of->points.flags[p] & BT_POINT_HAS_AGE) == 0;
  for (size_t i = 0; i < segment->exclusions_n && n > 0; i++)
    n -= (of->points.flags[segment->exclusions[i].point] & BT_POINT_HAS_AGE) == 0;
  return n;
}
