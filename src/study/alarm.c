/* Alarms: limits that the charts of a unit together are meant to cross no more often than its
 * budget of false alarms a year allows.
 *
 * R1 What alarms stands in BT_CHARACTERISTICS (setup.h); but the fluence only where it is a second
 *    witness (logged, or from the plate), and the demand only where no voltage is logged. All
 *    others, the clinic's own characteristics among them, give notices only.
 * R2 A chart counts when it is drawn and its newest baseline has 30 points or more. Each has an
 *    equal share of the budget, half for a limit and half for a CUSUM. The tracker is one chart:
 *    half of its share is for T², a quarter each for the CUSUM of x and of y.
 * R3 The limits of a segment are those of its own n and rate of checking: points that its period
 *    had when it was fitted (also those left out for a cause or for another target energy) by the
 *    days from its first point to its last, so that a check that comes late into a frozen one moves
 *    no limit. They judge Phase II; the CUSUM is the one that is drawn.
 *    Who shares the budget is counted at the segment's own end: the charts that had such a baseline
 *    when the next one of this chart began, or at `until` for the newest. So limits of the past
 *    stay what they were when a chart is added later; those in force share the budget among all
 *    charts that there are, since it is their false alarms together that it bounds.
 * R4 Problems that are the same are solved once (solved.c). */
#include "study_room.h"

static const double days_a_year = 365.25;

typedef struct budget {
  double a_year;
  size_t charts;
  bt_solved_limits *solved;
} budget;

/* All studies of the unit, seen or only counted. */
typedef struct unit_charts {
  bt_study *const *seen, *const *counted;
  size_t seen_n, counted_n;
  bool energy_fluence; /* fluence is derived from the energy */
} unit_charts;

bool study_may_alarm(bt_characteristic characteristic) {
  bt_judging judging = bt_characteristic_judging(characteristic);
  return judging == BT_JUDGING_ALARMS || judging == BT_JUDGING_TRACKER;
}

static const bt_study *find(const unit_charts *unit, bt_characteristic characteristic) {
  for (size_t s = 0; s < unit->seen_n; s++)
    if (unit->seen[s]->characteristic == characteristic)
      return unit->seen[s];
  for (size_t s = 0; s < unit->counted_n; s++)
    if (unit->counted[s]->characteristic == characteristic)
      return unit->counted[s];
  return NULL;
}

/* R1, as it was at that time. */
static bool alarms(const unit_charts *unit, bt_characteristic characteristic, bt_time at) {
  if (characteristic == BT_FLUENCE && unit->energy_fluence)
    return false;
  const bt_study *voltage = find(unit, BT_HIGH_VOLTAGE);
  if (characteristic == BT_DEMAND && voltage != NULL && voltage->points.n > 0 &&
      voltage->points.at[0] <= at)
    return false;
  return study_may_alarm(characteristic);
}

/* R2, R3: by the newest baseline that had begun by then. */
static bool counts(const unit_charts *unit, bt_characteristic characteristic, bt_time at) {
  const bt_study *study = find(unit, characteristic);
  const bt_segment *then = NULL;
  for (size_t s = 0; study != NULL && s < study->segments_n; s++)
    if (study->segments[s].baseline.from <= at)
      then = &study->segments[s];
  return then != NULL && alarms(unit, characteristic, at) && then->state == BT_CHART_DRAWN &&
         then->chart.n >= BT_ALARM_LEAST_POINTS;
}

static size_t count_charts(const unit_charts *unit, bt_time at) {
  size_t n = 0;
  bool tracker = false;
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bool counted = counts(unit, (bt_characteristic)c, at);
    bool of_tracker = bt_characteristic_judging((bt_characteristic)c) == BT_JUDGING_TRACKER;
    n += counted && !of_tracker;
    tracker = tracker || (counted && of_tracker);
  }
  return n + tracker;
}

/* R2: what part of a chart's share a characteristic has, and for what. */
static double part_of_share(bt_characteristic characteristic, bt_alarm_kind *kind) {
  switch (characteristic) {
  case BT_TRACKER_VECTOR:
    *kind = BT_ALARM_ONLY_T2;
    return 0.5;
  case BT_TRACKER_X:
  case BT_TRACKER_Y:
    *kind = BT_ALARM_ONLY_CUSUM;
    return 0.25;
  default:
    *kind = BT_ALARM_BOTH;
    return 1;
  }
}

/* R3. */
static double checks_a_year(const bt_series *points, const bt_segment *segment) {
  if (segment->phase2 == segment->from)
    return 0;
  size_t n = segment->chart.n + segment->exclusions_n;
  for (size_t p = segment->from; p < segment->phase2; p++)
    n += (points->flags[p] & (BT_POINT_OTHER_TARGET | BT_POINT_SCREENED)) == BT_POINT_OTHER_TARGET;
  int64_t days = bt_day_of(points->at[segment->phase2 - 1]) - bt_day_of(points->at[segment->from]);
  return (double)n / (double)(days + 1) * days_a_year;
}

static bt_status solve(budget *of, bt_characteristic characteristic, const bt_series *points,
                       bt_segment *segment, bt_error *error) {
  bt_alarm_kind kind;
  double part = part_of_share(characteristic, &kind);
  bt_alarm_limits *limits = &segment->alarm;
  *limits = (bt_alarm_limits){.budget_a_year = of->a_year,
                              .charts = of->charts,
                              .checks_a_year = checks_a_year(points, segment),
                              .n = segment->chart.n,
                              .screened = segment->baseline.screen};
  if (segment->state != BT_CHART_DRAWN || limits->n < BT_ALARM_LEAST_POINTS ||
      limits->checks_a_year <= 0)
    return BT_OK;
  limits->share_a_year = part * of->a_year / (double)(of->charts > 0 ? of->charts : 1);
  return study_solve_limits(of->solved, kind,
                            characteristic == BT_TRACKER_VECTOR ? &segment->vector : NULL, limits,
                            error);
}

/* The last moment that a segment judges: R3. */
static bt_time end_of(const bt_study *study, size_t segment) {
  return segment + 1 < study->segments_n ? study->segments[segment + 1].baseline.from - 1
                                         : INT64_MAX;
}

bt_status study_alarms(bt_unit_study *unit, bt_study *const *counted, size_t counted_n,
                       bt_solved_limits *solved, bt_error *error) {
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  unit_charts charts = {.seen = unit->studies,
                        .seen_n = unit->studies_n,
                        .counted = counted,
                        .counted_n = counted_n,
                        .energy_fluence = setting != NULL && setting->fluence == BT_FLUENCE_ENERGY};
  bt_solved_limits of_unit = {0};
  budget of = {.a_year = unit->settings.alarms_per_unit_year,
               .solved = solved != NULL ? solved : &of_unit};
  bt_status status = BT_OK;
  for (size_t s = 0; s < unit->studies_n && status == BT_OK; s++) {
    bt_study *study = unit->studies[s];
    for (size_t k = 0; k < study->segments_n && status == BT_OK; k++) {
      bt_time end = end_of(study, k);
      if (!alarms(&charts, study->characteristic, end))
        continue;
      of.charts = count_charts(&charts, end);
      status = solve(&of, study->characteristic, &study->points, &study->segments[k], error);
      bt_judged judged = study_judged(study);
      if (status == BT_OK)
        bt_judge_alarms(&judged, &study->segments[k]);
    }
    const bt_segment *now = bt_study_now(study);
    if (status == BT_OK && now != NULL && now->alarm.given)
      unit->false_alarms_a_year += now->alarm.share_a_year;
  }
  bt_solved_limits_free(&of_unit);
  return status;
}
