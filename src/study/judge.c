/* Charts, rules, CUSUM, EWMA, strengths and episodes of a study, segment by segment.
 *
 * R1 Phase I is judged by the 3-sigma limit only; Phase II by all rules, with state empty at its
 *    first point. Nothing carries over a baseline boundary.
 * R2 A point of unknown or too great a fill age, and one with no baseline, is judged by tolerance
 *    only. Room conditions are judged by nothing.
 * R3 Both sides of the CUSUM restart at the first judged point after a service, recalibration,
 *    cleaning or meter change, and the EWMA with them; the limits of the chart stay.
 * R4 A rule or the CUSUM is a notice; a failed tolerance is an alarm. The EWMA is only drawn.
 * R5 The radius isn't normal: its one rule is the 99.73 % limit of its own distribution. */
#include "study_room.h"

#include <stdlib.h>

static const double cusum_k = 0.5, cusum_h = 5.0, restart_headstart = 0.5;
static const double ewma_lambda = 0.2, ewma_limit = 2.962;

static bool restarts_cusum(bt_event_kind kind) {
  return kind == BT_EVENT_SERVICE || kind == BT_EVENT_RECALIBRATION ||
         kind == BT_EVENT_OPTICS_CLEANED || kind == BT_EVENT_METER_CHANGED;
}

static bt_status make_room(bt_study *study, bt_error *error) {
  size_t n = study->points.n;
  study->z = bt_new(n, sizeof *study->z);
  study->moving_range = bt_new(n, sizeof *study->moving_range);
  study->has_range = bt_new(n, 1);
  study->judged = bt_new(n, 1);
  study->rules[BT_LOW] = bt_new(n, 1);
  study->rules[BT_HIGH] = bt_new(n, 1);
  study->strength = bt_new(n, 1);
  study->cusum = (bt_cusum){.k = cusum_k,
                            .h = cusum_h,
                            .headstart = restart_headstart,
                            .high = bt_new(n, sizeof(double)),
                            .low = bt_new(n, sizeof(double)),
                            .run_high = bt_new(n, sizeof(uint32_t)),
                            .run_low = bt_new(n, sizeof(uint32_t))};
  study->ewma = (bt_ewma){.lambda = ewma_lambda,
                          .limit = ewma_limit,
                          .value = bt_new(n, sizeof(double)),
                          .lcl = bt_new(n, sizeof(double)),
                          .ucl = bt_new(n, sizeof(double))};
  bool made = study->z && study->moving_range && study->has_range && study->judged &&
              study->rules[BT_LOW] && study->rules[BT_HIGH] && study->strength &&
              study->cusum.high && study->cusum.low && study->cusum.run_high &&
              study->cusum.run_low && study->ewma.value && study->ewma.lcl && study->ewma.ucl;
  return made ? BT_OK : bt_fail_memory(error);
}

/* R1, R2. */
static void say_what_is_judged(bt_study *study, const uint8_t *used) {
  const bt_series *points = &study->points;
  for (size_t s = 0; s < study->segments_n; s++) {
    const bt_segment *segment = &study->segments[s];
    if (segment->state != BT_CHART_DRAWN)
      continue;
    for (size_t p = segment->from; p < segment->to; p++) {
      bool by_rules = (points->flags[p] & (BT_POINT_UNKNOWN_AGE | BT_POINT_TOO_OLD)) == 0;
      if (p >= segment->phase2)
        study->judged[p] = by_rules ? 1 : 0;
      else
        study->judged[p] = used[p] ? 2 : 0;
    }
    for (size_t e = 0; e < segment->exclusions_n; e++) {
      study->points.flags[segment->exclusions[e].point] |= BT_POINT_SCREENED;
      study->judged[segment->exclusions[e].point] = 2;
    }
  }
}

/* R3. A restart for each event that has a judged Phase II point after it; the later of two events
 * before one point. */
static bt_status find_restarts(bt_study *study, const bt_history *history, bt_error *error) {
  bt_cusum *cusum = &study->cusum;
  size_t room = 0;
  for (size_t e = 0; e < history->events_n; e++) {
    const bt_event *event = &history->events[e];
    if (!restarts_cusum(event->kind))
      continue;
    size_t p = 0;
    while (p < study->points.n && (study->points.at[p] < event->time || study->judged[p] != 1))
      p++;
    if (p == study->points.n)
      continue;
    /* An event of an earlier baseline's days belongs to no point of this one. */
    const bt_segment *segment = &study->segments[study->points.segment[p]];
    if (event->time < segment->baseline.to + BT_DAY)
      continue;
    if (cusum->restarts_n > 0 && cusum->restarts[cusum->restarts_n - 1].point == p)
      cusum->restarts_n--;
    if (!bt_grow(&cusum->restarts, &room, cusum->restarts_n + 1, sizeof *cusum->restarts))
      return bt_fail_memory(error);
    cusum->restarts[cusum->restarts_n++] =
        (bt_restart){.point = p, .at = event->time, .kind = event->kind};
  }
  return BT_OK;
}

static void phase1_limit(bt_study *study, const bt_segment *segment) {
  for (size_t p = segment->from; p < segment->phase2; p++) {
    if (study->judged[p] == 0)
      continue;
    if (study->z[p] > 3 + 1e-9)
      study->rules[BT_HIGH][p] |= BT_WE1;
    if (study->z[p] < -3 - 1e-9)
      study->rules[BT_LOW][p] |= BT_WE1;
  }
}

/* R5. */
static void judge_radius(bt_study *study, const bt_segment *segment) {
  for (size_t p = segment->from; p < segment->to; p++)
    if (study->judged[p] != 0 && study->points.value[p] > segment->radial.limit)
      study->rules[BT_HIGH][p] |= BT_WE1;
}

/* Moving ranges bridge points that aren't judged and those that were screened out. */
static bt_status find_ranges(bt_study *study, const bt_segment *segment, bt_error *error) {
  size_t from = segment->from, n = segment->to - segment->from;
  uint8_t *use = bt_new(n, 1);
  if (use == NULL)
    return bt_fail_memory(error);
  for (size_t j = 0; j < n; j++)
    use[j] =
        study->judged[from + j] != 0 && (study->points.flags[from + j] & BT_POINT_SCREENED) == 0;
  bt_moving_ranges(study->points.value + from, use, n, study->moving_range + from,
                   study->has_range + from);
  free(use);
  return BT_OK;
}

static bt_status judge_segment(bt_study *study, const bt_segment *segment, bt_error *error) {
  size_t from = segment->from, phase2 = segment->phase2, to = segment->to;
  if (segment->state != BT_CHART_DRAWN)
    return BT_OK;
  if (study->characteristic == BT_TRACKER_RADIAL) {
    judge_radius(study, segment);
    return BT_OK;
  }
  bt_status status = find_ranges(study, segment, error);
  if (status != BT_OK)
    return status;
  bt_standardise(study->points.value + from, to - from, &segment->chart, study->z + from);
  bt_zone_rules(study->z + phase2, study->judged + phase2, to - phase2,
                study->rules[BT_HIGH] + phase2, study->rules[BT_LOW] + phase2);
  phase1_limit(study, segment);
  bt_ewma_run(study->points.value, study->judged, phase2, to, &segment->chart,
              study->cusum.restarts, study->cusum.restarts_n, &study->ewma);
  return bt_cusum_run(study->z, study->judged, phase2, to, segment->chart.sigma, &study->cusum,
                      error);
}

static void mark_cusum(bt_study *study) {
  const bt_cusum *cusum = &study->cusum;
  for (size_t p = 0; p < study->points.n; p++) {
    if (study->judged[p] != 1)
      continue;
    double above = cusum->h * (1 + 1e-9);
    if (cusum->high[p] > above)
      study->rules[BT_HIGH][p] |= BT_CUSUM_SIGNAL;
    if (cusum->low[p] > above)
      study->rules[BT_LOW][p] |= BT_CUSUM_SIGNAL;
  }
}

/* A day's failed checks count for its point, whichever side they failed on. A day that has only
 * as-left readings has no point: its failed check stands in the tolerance finding alone. */
static void mark_tolerance(bt_study *study, const study_place *place) {
  const bt_series *checks = &study->checks;
  size_t p = 0;
  for (size_t i = 0; i < checks->n; i++) {
    while (p < study->points.n && bt_day_of(study->points.at[p]) < bt_day_of(checks->at[i]))
      p++;
    bool same_day =
        p < study->points.n && bt_day_of(study->points.at[p]) == bt_day_of(checks->at[i]);
    if (!same_day || (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) == 0)
      continue;
    const bt_tolerance *tolerance = bt_settings_tolerance(place->settings, place->history->unit,
                                                          study->characteristic, checks->at[i]);
    bt_side side = tolerance->has_low && checks->raw[i] < tolerance->low ? BT_LOW : BT_HIGH;
    study->rules[side][p] |= BT_TOLERANCE_FAILED;
  }
}

/* R4. */
static void grade(bt_study *study) {
  for (size_t p = 0; p < study->points.n; p++) {
    uint8_t both = study->rules[BT_LOW][p] | study->rules[BT_HIGH][p];
    study->strength[p] = (both & BT_TOLERANCE_FAILED) != 0 ? BT_ALARM
                         : both != 0                       ? BT_NOTICE
                                                           : BT_QUIET;
  }
}

static void find_young_restart(bt_study *study) {
  study->restarted = BT_NONE;
  if (study->cusum.restarts_n == 0)
    return;
  size_t last = study->cusum.restarts_n - 1;
  size_t judged_since = 0;
  for (size_t p = study->cusum.restarts[last].point; p < study->points.n; p++)
    judged_since += study->judged[p] == 1;
  if (judged_since < STUDY_RESTART_POINTS)
    study->restarted = last;
}

/* Where the laser is now: a CUSUM's size is that of its run's beginning. Not for the radius, whose
 * distance from a centre means nothing. */
static void find_recent_shift(bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  if (now == NULL || now->state != BT_CHART_DRAWN || study->characteristic == BT_TRACKER_RADIAL)
    return;
  double sum = 0;
  for (size_t p = study->points.n; p > now->from && study->recent_n < STUDY_RECENT_POINTS; p--)
    if (study->judged[p - 1] != 0) {
      sum += study->points.value[p - 1] - now->chart.centre;
      study->recent_n++;
    }
  if (study->recent_n > 0)
    study->recent_shift = sum / (double)study->recent_n;
}

bt_status study_judge(bt_study *study, const study_place *place, const uint8_t *used,
                      bt_error *error) {
  bt_status status = make_room(study, error);
  if (status != BT_OK)
    return status;
  say_what_is_judged(study, used);
  status = find_restarts(study, place->history, error);
  for (size_t s = 0; s < study->segments_n && status == BT_OK; s++)
    status = judge_segment(study, &study->segments[s], error);
  if (status != BT_OK)
    return status;
  mark_cusum(study);
  mark_tolerance(study, place);
  grade(study);
  find_young_restart(study);
  find_recent_shift(study);
  return bt_episodes_find(study->judged, study->rules, study->strength, study->points.n,
                          &study->episodes, &study->episodes_n, error);
}
