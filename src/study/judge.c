/* Charts, rules, CUSUM and EWMA of a study, segment by segment.
 *
 * R1 Rules, CUSUM and limits: src/spc/judge.c. Nothing carries over a baseline boundary.
 * R2 A point of unknown or too great a fill age or of another target energy, and one with no
 *    baseline, is judged by tolerance only, also where it was left out of the baseline: its
 *    distance from the centre is not one of values at the same age and target. Room conditions are
 *    judged by nothing.
 * R3 The CUSUM restarts where restarts.c says, and the EWMA with it; the limits of the chart stay.
 */
#include "study_room.h"

#include <stdlib.h>

static const double cusum_k = 0.5, cusum_h = 5.0, restart_headstart = 0.5;
static const double ewma_lambda = 0.2, ewma_limit = 2.962;

static bt_status make_room(bt_study *study, bt_error *error) {
  size_t n = study->points.n;
  study->z = bt_new(n, sizeof *study->z);
  study->moving_range = bt_new(n, sizeof *study->moving_range);
  study->has_range = bt_new(n, 1);
  study->judged = bt_new(n, 1);
  study->rules[BT_LOW] = bt_new(n, sizeof(bt_rules));
  study->rules[BT_HIGH] = bt_new(n, sizeof(bt_rules));
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
      bool by_rules = (points->flags[p] & BT_POINT_NOT_BY_RULES) == 0;
      if (p >= segment->phase2)
        study->judged[p] = by_rules ? 1 : 0;
      else
        study->judged[p] = used[p] ? 2 : 0;
    }
    for (size_t e = 0; e < segment->exclusions_n; e++) {
      size_t p = segment->exclusions[e].point;
      bool by_limit = (points->flags[p] & BT_POINT_NOT_BY_RULES) == 0;
      study->points.flags[p] |= BT_POINT_SCREENED;
      study->judged[p] = by_limit ? 2 : 0;
    }
  }
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

bt_judged study_judged(bt_study *study) {
  return (bt_judged){.characteristic = study->characteristic,
                     .value = study->points.value,
                     .judged = study->judged,
                     .z = study->z,
                     .rules = {study->rules[BT_LOW], study->rules[BT_HIGH]},
                     .cusum = &study->cusum};
}

static bt_status judge_segment(bt_study *study, const bt_segment *segment, bt_error *error) {
  bt_judged judged = study_judged(study);
  bt_status status = bt_judge_segment(&judged, segment, error);
  if (status != BT_OK || segment->state != BT_CHART_DRAWN ||
      study->characteristic == BT_TRACKER_RADIAL || study->characteristic == BT_TRACKER_VECTOR)
    return status;
  bt_ewma_run(study->points.value, study->judged, segment->phase2, segment->to, &segment->chart,
              study->cusum.restarts, study->cusum.restarts_n, &study->ewma);
  return find_ranges(study, segment, error);
}

/* A day that has only as-left readings has no point: its failed check stands in the tolerance
 * finding alone. */
static void mark_tolerance(bt_study *study, const study_rows *rows, const study_place *place) {
  const bt_series *checks = &study->checks, *points = &study->points;
  size_t next = 0; /* the first point that comes after check i */
  for (size_t i = 0; i < checks->n; i++) {
    if (rows->point[i] != BT_NONE)
      next = rows->point[i] + 1;
    if ((checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) == 0)
      continue;
    size_t p = bt_judge_failed_point(points->at, points->n, next, checks->at[i]);
    if (p == BT_NONE)
      continue;
    const bt_tolerance *tolerance = bt_settings_tolerance(place->settings, place->history->unit,
                                                          study->characteristic, checks->at[i]);
    bt_side side = tolerance->has_low && checks->raw[i] < tolerance->low ? BT_LOW : BT_HIGH;
    study->rules[side][p] |= BT_TOLERANCE_FAILED;
  }
}

bt_status study_judge(bt_study *study, const study_rows *rows, const study_place *place,
                      const uint8_t *used, bt_error *error) {
  bt_status status = make_room(study, error);
  if (status != BT_OK)
    return status;
  say_what_is_judged(study, used);
  status = study_restarts(study, place, error);
  for (size_t s = 0; s < study->segments_n && status == BT_OK; s++)
    status = judge_segment(study, &study->segments[s], error);
  if (status == BT_OK)
    mark_tolerance(study, rows, place);
  return status;
}
