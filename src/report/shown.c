/* What of a study is shown: spans of points, limits, tolerance, and which sides are open. */
#include "report_room.h"

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

double report_upper_limit(const bt_study *of, const bt_segment *segment) {
  return of->characteristic == BT_TRACKER_RADIAL ? segment->radial.limit : segment->chart.ucl;
}

bool report_is_judged(const bt_study *of) {
  return !bt_characteristic_is_covariate(of->characteristic);
}

const bt_tolerance *report_tolerance(const bt_study *of) {
  return report_is_judged(of) ? of->tolerance.now : NULL;
}

bool report_fails(const bt_study *of) {
  return report_is_judged(of) && report_is_failing(of->verdict);
}

/* Whether an episode that ends at `last` is open: the study's own rule, asked for that one alone.
 */
static bool reaches_now(const bt_study *of, size_t last) {
  bt_episode probe = {.first = last, .last = last};
  bt_study alone = *of;
  alone.episodes = &probe;
  alone.episodes_n = 1;
  return bt_study_open_episode(&alone) != NULL;
}

const bt_episode *report_open_on(const bt_study *of, bt_side side) {
  for (size_t i = of->episodes_n; i > 0 && report_is_judged(of); i--) {
    const bt_episode *episode = &of->episodes[i - 1];
    if (episode->side == side && reaches_now(of, episode->last))
      return episode;
  }
  return NULL;
}

bool report_is_open_side(const bt_study *of, bt_side side) {
  bool alarm = bt_study_open_strength(of) == BT_ALARM;
  for (size_t i = of->points.n; i > 0 && reaches_now(of, i - 1); i--) {
    uint8_t bits = of->rules[side][i - 1];
    if (alarm ? (bits & BT_TOLERANCE_FAILED) != 0 : bits != 0)
      return true;
  }
  return false;
}

bool report_has_zones(const bt_study *of, const bt_segment *segment) {
  return report_has_limits(segment) && of->characteristic != BT_TRACKER_RADIAL &&
         segment->chart.sigma > 0;
}
