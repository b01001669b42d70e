/* Hotelling T² of the tracker's offset: a study whose values are counted from the baseline's own
 * vector. A point is T² of its day's mean offset, not the mean of its checks' T².
 *
 * R1 The vector is fitted to the points of the period, pooled; from successive differences where
 *    the tests for drift speak of one, in x or in y, whichever speaks louder: its p is doubled,
 *    since there were two to choose from.
 * R2 Screening is by the Phase I limit only, else as in baseline.c.
 * R3 Under 8 points there is no baseline; where all lie on one line, no chart.
 * R4 Points before the first baseline are counted from its vector, and judged by nothing.
 * R5 The chart's fields hold what can be printed: ucl the limit of the newest phase; centre, sigma,
 *    lcl and the moving range 0. A frozen vector's numbers are its limits.
 * R6 Where x or y is too coarse for a chart of its own, T² has none either. */
#include "study_room.h"

#include <stdlib.h>

double study_vector_limit(const bt_segment *segment, bt_time at) {
  return at < segment->baseline.to + BT_DAY ? segment->vector.phase1_limit
                                            : segment->vector.phase2_limit;
}

/* R2: leaves out what lies beyond the Phase I limit. False when the screening is done. */
static bool screen_pass(const study_offsets *of, bt_segment *segment, uint8_t *used, int pass) {
  const bt_vector *vector = &segment->vector;
  double limit = vector->phase1_limit * (1 + STUDY_ON_LIMIT);
  size_t beyond = 0, screened = 0;
  for (size_t p = segment->from; p < segment->phase2; p++)
    beyond += used[p] && bt_vector_t2(vector, of->x[p], of->y[p]) > limit;
  for (size_t e = 0; e < segment->exclusions_n; e++)
    screened += segment->exclusions[e].pass > 0;
  if (beyond == 0)
    return false;
  segment->screen_stopped = 10 * (screened + beyond) > segment->phase2 - segment->from;
  if (segment->screen_stopped)
    return false;
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (used[p] && bt_vector_t2(vector, of->x[p], of->y[p]) > limit) {
      used[p] = 0;
      segment->exclusions[segment->exclusions_n++] = (bt_exclusion){.point = p, .pass = pass};
    }
  return true;
}

/* R1 to R3, with the covariance of one kind. */
static bt_status fit(const bt_study *study, const study_rows *rows, const study_offsets *of,
                     bool from_differences, bt_segment *segment, uint8_t *used, bt_error *error) {
  size_t from = segment->from, n = segment->phase2 - segment->from;
  bt_status status = study_begin_period(segment, error);
  segment->slope = (bt_slope){.use = BT_AGE_NOT_ASKED};
  if (status != BT_OK)
    return status;
  study_leave_out_failed(study, rows, segment, used);
  int pass = 1;
  do {
    size_t taking = 0;
    for (size_t p = from; p < segment->phase2; p++)
      taking += used[p];
    status = bt_vector_fit(of->x + from, of->y + from, used + from, n, from_differences,
                           &segment->vector, error);
    if (status == BT_INPUT) { /* R3 */
      segment->state = taking < BT_BASELINE_LEAST_POINTS ? BT_CHART_TOO_FEW : BT_CHART_RESOLUTION;
      segment->vector = (bt_vector){0};
      segment->chart = (bt_individuals){.n = taking};
      return BT_OK;
    }
  } while (status == BT_OK && segment->baseline.screen && screen_pass(of, segment, used, pass++));
  return status;
}

/* R1: of x and y the one whose test speaks louder. step_at becomes a point of the study. */
static bt_status test_drift(const study_offsets *of, const bt_segment *segment, const uint8_t *used,
                            bt_stability *louder, bt_error *error) {
  size_t from = segment->from, n = segment->phase2 - segment->from;
  bt_status status =
      bt_stability_test_two(of->x + from, of->y + from, used + from, n, louder, error);
  louder->step_at += from;
  return status;
}

/* R5. */
static void describe(bt_segment *segment) {
  const bt_vector *vector = &segment->vector;
  bool has_phase2 = segment->phase2 < segment->to;
  segment->chart = (bt_individuals){
      .n = vector->n,
      .ucl = has_phase2 ? vector->phase2_limit : vector->phase1_limit,
      .df = vector->df,
  };
}

/* Of the points that entered. */
static bt_status fit_autocorrelation(const study_offsets *of, bt_segment *segment,
                                     const uint8_t *used, bt_error *error) {
  size_t n = segment->phase2 - segment->from;
  double *value = bt_new(n, sizeof *value);
  if (value == NULL)
    return bt_fail_memory(error);
  for (size_t j = 0; j < n; j++)
    value[j] = bt_vector_t2(&segment->vector, of->x[segment->from + j], of->y[segment->from + j]);
  segment->autocorrelation = bt_autocorrelation_fit(value, used + segment->from, n);
  free(value);
  return BT_OK;
}

bt_status study_fit_vector(const bt_study *study, const study_rows *rows, const study_place *place,
                           bt_segment *segment, uint8_t *used, bt_error *error) {
  study_offsets of;
  bt_status status = study_offsets_make(study, rows, place, &of) ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK)
    status = fit(study, rows, &of, false, segment, used, error);
  if (status != BT_OK || segment->state != BT_CHART_DRAWN)
    goto done;
  status = test_drift(&of, segment, used, &segment->stability, error);
  if (status == BT_OK && segment->stability.drifting)
    status = fit(study, rows, &of, true, segment, used, error);
  if (status != BT_OK || segment->state != BT_CHART_DRAWN)
    goto done;
  status = study_fit_axes(&of, study, rows, place, used, segment, error); /* R6 */
  if (status != BT_OK)
    goto done;
  describe(segment);
  status = fit_autocorrelation(&of, segment, used, error);
  bt_baseline *baseline = &segment->baseline;
  baseline->n = (int64_t)segment->vector.n;
  baseline->has_centre = baseline->has_sigma = true;
  baseline->mean_x = segment->vector.mean_x;
  baseline->mean_y = segment->vector.mean_y;
  baseline->var_x = segment->vector.var_x;
  baseline->var_y = segment->vector.var_y;
  baseline->cov_xy = segment->vector.cov_xy;
  baseline->from_differences = segment->vector.from_differences;
  baseline->derivation = study_derivation(place, study->characteristic);
done:
  study_offsets_free(&of);
  return status;
}

bt_status study_take_vector(const bt_study *study, const study_rows *rows, const study_place *place,
                            bt_segment *segment, uint8_t *used, bt_error *error) {
  const bt_baseline *stored = &segment->baseline;
  study_offsets of;
  bt_status status = study_offsets_make(study, rows, place, &of) ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK)
    status = study_begin_period(segment, error);
  if (status != BT_OK)
    goto done;
  segment->slope = (bt_slope){.use = BT_AGE_NOT_ASKED};
  segment->vector = (bt_vector){.n = (size_t)stored->n,
                                .from_differences = stored->from_differences,
                                .mean_x = stored->mean_x,
                                .mean_y = stored->mean_y,
                                .var_x = stored->var_x,
                                .var_y = stored->var_y,
                                .cov_xy = stored->cov_xy};
  bt_vector_limits(&segment->vector);
  describe(segment);
  study_leave_out_stored(study, segment, used);
  status = fit_autocorrelation(&of, segment, used, error);
done:
  study_offsets_free(&of);
  return status;
}

/* The vector that a segment's offsets are counted from: its own, or the one before where too few of
 * its points are left to have one. R4. */
static const bt_vector *vector_of(const bt_study *study, int32_t segment) {
  int32_t s = segment < 0 ? 0 : segment;
  while (s > 0 && study->segments[s].vector.n == 0)
    s--;
  return &study->segments[s].vector;
}

bt_status study_vector_values(bt_study *study, const study_rows *rows, const study_place *place,
                              bt_error *error) {
  bt_series *points = &study->points, *checks = &study->checks;
  if (study->segments_n == 0 || study->segments[0].vector.n == 0)
    return BT_OK;
  study_offsets of;
  if (!study_offsets_make(study, rows, place, &of)) {
    study_offsets_free(&of);
    return bt_fail_memory(error);
  }
  for (size_t p = 0; p < points->n; p++)
    points->raw[p] = points->value[p] =
        bt_vector_t2(vector_of(study, points->segment[p]), of.x[p], of.y[p]);
  for (size_t i = 0; i < checks->n; i++) {
    double x = study_offset_x(place, rows->row[i]), y = study_offset_y(place, rows->row[i]);
    checks->raw[i] = checks->value[i] = bt_vector_t2(vector_of(study, checks->segment[i]), x, y);
  }
  study_offsets_free(&of);
  return BT_OK;
}
