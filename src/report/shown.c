/* What of a study is shown: spans of points, limits, tolerance, and which sides are open. */
#include "report_room.h"

#include <math.h>

void report_between(const bt_series *series, bt_time from, bt_time to, size_t *first,
                    size_t *last) {
  *first = bt_series_from(series, from);
  *last = bt_series_from(series, to);
  if (*last < *first)
    *last = *first;
}

bool report_has_limits(const bt_segment *segment) {
  return segment != NULL && segment->state == BT_CHART_DRAWN;
}

bool report_has_one_limit(const bt_study *of) {
  return of->characteristic == BT_TRACKER_RADIAL || of->characteristic == BT_TRACKER_VECTOR;
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

bool report_is_judged(const bt_study *of) {
  return !bt_characteristic_is_covariate(of->characteristic);
}

bool report_may_have_tolerance(const bt_study *of) {
  bool entered = of->tolerance.now != NULL || of->tolerance.judged > 0;
  return report_is_judged(of) && (entered || of->characteristic != BT_TRACKER_VECTOR);
}

/* An energy that is asked for and never changes is a setting. */
static bool is_constant_demand(const bt_study *of) {
  for (size_t i = 1; i < of->checks.n; i++)
    if (of->checks.value[i] > of->checks.value[0] || of->checks.value[i] < of->checks.value[0])
      return false;
  return of->characteristic == BT_DEMAND;
}

static bool has_tolerance(const bt_unit_study *unit, bt_characteristic characteristic) {
  const bt_study *of = bt_unit_study_of(unit, characteristic);
  return of != NULL && of->tolerance.now != NULL;
}

/* A clinic's policy limits the offset by its length or by its parts: either is enough. */
static bool is_judged_otherwise(const bt_unit_study *unit, bt_characteristic characteristic) {
  if (characteristic == BT_TRACKER_X || characteristic == BT_TRACKER_Y)
    return has_tolerance(unit, BT_TRACKER_RADIAL);
  return characteristic == BT_TRACKER_RADIAL && has_tolerance(unit, BT_TRACKER_X) &&
         has_tolerance(unit, BT_TRACKER_Y);
}

bool report_wants_tolerance(const bt_unit_study *unit, const bt_study *of) {
  return report_may_have_tolerance(of) && of->tolerance.now == NULL && !is_constant_demand(of) &&
         !is_judged_otherwise(unit, of->characteristic);
}

const bt_tolerance *report_tolerance(const bt_study *of) {
  return report_is_judged(of) ? of->tolerance.now : NULL;
}

bool report_fails(const bt_study *of) {
  return report_is_judged(of) && report_is_failing(of->verdict);
}

const bt_episode *report_open_on(const bt_study *of, bt_side side) {
  for (size_t i = of->episodes_n; i > 0 && report_is_judged(of); i--) {
    const bt_episode *episode = &of->episodes[i - 1];
    if (episode->side == side && bt_study_is_open(of, episode))
      return episode;
  }
  return NULL;
}

bool report_is_open_side(const bt_study *of, bt_side side) {
  bt_strength open = bt_study_open_strength_on(of, side);
  return open != BT_QUIET && open == bt_study_open_strength(of);
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

bool report_has_zones(const bt_study *of, const bt_segment *segment) {
  return report_has_limits(segment) && !report_has_one_limit(of) && segment->chart.sigma > 0;
}

bool report_is_failing(bt_verdict verdict) {
  return verdict == BT_VERDICT_OUT_OF_TOLERANCE || verdict == BT_VERDICT_SELFTEST_FAILED;
}
