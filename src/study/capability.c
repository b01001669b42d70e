/* Capability of raw readings against the tolerance in force.
 *
 * R1 Mean and overall s are those of single independent checks since the newest baseline began, in
 *    Phase I and II, without those of another target energy (target.c). The within sigma and its
 *    degrees of freedom are the baseline's own.
 *    Cp and Cpk aren't given where that sigma isn't one of raw single readings, which the tolerance
 *    judges: where days have several checks it is one of their means, and where the chart is moved
 *    to the mean fill age it lacks what the gas's ageing spreads.
 * R2 It is given only where it means something: a tolerance, limits from 30 points or more, no open
 *    signal, readings that may be normal, and newest points of the baseline's target. */
#include "study_room.h"

#include <math.h>

/* R2. */
static bt_capability_use use_of(const bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  if (bt_characteristic_is_covariate(study->characteristic) ||
      study->characteristic == BT_TRACKER_RADIAL || study->characteristic == BT_TRACKER_VECTOR)
    return BT_CAPABILITY_NOT_NORMAL;
  if (study->tolerance.now == NULL)
    return BT_CAPABILITY_NO_TOLERANCE;
  if (now == NULL || now->state != BT_CHART_DRAWN || now->chart.n < BT_ALARM_LEAST_POINTS)
    return BT_CAPABILITY_NO_BASELINE;
  if (bt_study_other_target_from(study) != BT_NONE)
    return BT_CAPABILITY_OTHER_TARGET;
  return bt_study_open_strength(study) == BT_QUIET ? BT_CAPABILITY_GIVEN
                                                   : BT_CAPABILITY_OUT_OF_CONTROL;
}

/* R1. */
static void gather(const bt_study *study, const bt_segment *now, bt_capability *capability) {
  const bt_series *checks = &study->checks;
  double squares = 0;
  int64_t day = INT64_MIN;
  for (size_t i = bt_series_from(checks, now->baseline.from); i < checks->n; i++) {
    if ((checks->flags[i] & (BT_POINT_RETEST | BT_POINT_AS_LEFT | BT_POINT_OTHER_TARGET)) != 0)
      continue;
    double step = checks->raw[i] - capability->mean;
    capability->n++;
    capability->days += bt_day_of(checks->at[i]) != day;
    day = bt_day_of(checks->at[i]);
    capability->mean += step / (double)capability->n;
    squares += step * (checks->raw[i] - capability->mean);
  }
  if (capability->n > 1)
    capability->overall_s = sqrt(squares / (double)(capability->n - 1));
  capability->baseline_n = now->chart.n;
  capability->within_sigma = now->chart.sigma;
  bool of_means = now->within.days > 0 && !study->every;
  capability->within_df = of_means || study->adjusted ? 0 : now->chart.df;
}

void study_capability(bt_study *study) {
  bt_capability *capability = &study->capability;
  capability->use = use_of(study);
  const bt_segment *now = bt_study_now(study);
  bool has_chart = now != NULL && now->state == BT_CHART_DRAWN;
  if (!has_chart || capability->use == BT_CAPABILITY_NOT_NORMAL)
    return;
  gather(study, now, capability);
  if (capability->use == BT_CAPABILITY_GIVEN)
    bt_capability_find(study->tolerance.now, capability);
}
