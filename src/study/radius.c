/* The tracker's radius: a point is the length of its day's mean offset (x, y), and the limit is
 * that of such lengths, for the bivariate normal of the baseline's mean offsets. The mean of a
 * day's lengths would hardly move when the mean offset does, and a limit of single lengths is far
 * too wide for either: such a chart is blind where days have several checks.
 *
 * R1 Limit and point are of the same mean offsets, those of the points that take part.
 * R2 A length isn't normal, so screening is by that limit, never by 3 sigma of lengths; else it is
 *    as in baseline.c: one pass at a time, at most 10 %.
 * R3 Where x or y is too coarse for a chart of its own, so is what is made of both. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

bt_status study_radius_values(bt_study *study, const study_rows *rows, const study_place *place,
                              bt_error *error) {
  study_offsets of;
  bool made = study_offsets_make(study, rows, place, &of);
  for (size_t p = 0; made && p < study->points.n; p++)
    study->points.raw[p] = study->points.value[p] = hypot(of.x[p], of.y[p]); /* R1 */
  study_offsets_free(&of);
  return made ? BT_OK : bt_fail_memory(error);
}

/* One axis: its readings against the sigma of its points, as on a chart of its own. */
static bt_status fit_axis(const bt_study *study, const study_rows *rows, const study_place *place,
                          bt_reading axis, const double *mean, const uint8_t *used,
                          const bt_segment *segment, bt_resolution *resolution, double *sigma,
                          bt_error *error) {
  bt_individuals chart = {0};
  size_t first, end = study_checks_of(study, rows, segment->from, segment->phase2, &first);
  double *value = bt_new(end - first, sizeof *value);
  uint8_t *use = bt_new(end - first, sizeof *use);
  bt_status status = value != NULL && use != NULL
                         ? bt_individuals_fit(mean + segment->from, used + segment->from,
                                              segment->phase2 - segment->from, &chart, error)
                         : bt_fail_memory(error);
  for (size_t i = first; i < end && status == BT_OK; i++) {
    use[i - first] = rows->point[i] != BT_NONE && used[rows->point[i]];
    value[i - first] = place->history->reading[axis][rows->row[i]];
  }
  if (status == BT_OK) {
    *sigma = chart.sigma;
    status = bt_resolution_fit(value, use, end - first, chart.sigma, resolution, error);
  }
  free(value);
  free(use);
  return status;
}

bt_status study_fit_axes(const study_offsets *of, const bt_study *study, const study_rows *rows,
                         const study_place *place, const uint8_t *used, bt_segment *segment,
                         bt_error *error) {
  bt_resolution y = {0};
  double sigma_x = 0, sigma_y = 0;
  bt_status status = fit_axis(study, rows, place, BT_READING_OFFSET_X_UM, of->x, used, segment,
                              &segment->resolution, &sigma_x, error);
  if (status == BT_OK)
    status = fit_axis(study, rows, place, BT_READING_OFFSET_Y_UM, of->y, used, segment, &y,
                      &sigma_y, error);
  if (status != BT_OK)
    return status;
  bool y_is_coarser = y.useless == segment->resolution.useless
                          ? y.step * sigma_x > segment->resolution.step * sigma_y
                          : y.useless;
  if (y_is_coarser)
    segment->resolution = y;
  if (segment->resolution.useless) /* R3 */
    segment->state = BT_CHART_RESOLUTION;
  return BT_OK;
}

/* Points beyond the limit of the radius, left out with that pass of the screening (0: only
 * counted). */
static size_t beyond_limit(bt_segment *segment, uint8_t *used, const double *value, int pass) {
  double limit = segment->radial.limit * (1 + STUDY_ON_LIMIT);
  size_t beyond = 0;
  for (size_t j = 0; j < segment->phase2 - segment->from; j++) {
    if (!used[segment->from + j] || !(value[j] > limit))
      continue;
    beyond++;
    if (pass == 0)
      continue;
    used[segment->from + j] = 0;
    segment->exclusions[segment->exclusions_n++] =
        (bt_exclusion){.point = segment->from + j, .pass = pass};
  }
  return beyond;
}

/* R2. False when the screening is done. */
static bool screen_pass(bt_segment *segment, uint8_t *used, const double *value, int pass) {
  size_t beyond = beyond_limit(segment, used, value, 0), screened = 0;
  for (size_t e = 0; e < segment->exclusions_n; e++)
    screened += segment->exclusions[e].pass > 0;
  if (beyond == 0)
    return false;
  segment->screen_stopped = 10 * (screened + beyond) > segment->phase2 - segment->from;
  if (!segment->screen_stopped)
    (void)beyond_limit(segment, used, value, pass);
  return !segment->screen_stopped;
}

bt_status study_fit_radius(const bt_study *study, const study_rows *rows, const study_place *place,
                           bt_segment *segment, uint8_t *used, bt_error *error) {
  size_t from = segment->from, n = segment->phase2 - segment->from;
  const double *value = study->points.value + from;
  study_offsets of;
  int pass = 1;
  bt_status status = study_offsets_make(study, rows, place, &of) ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK)
    status = study_begin_period(segment, error);
  if (status != BT_OK)
    goto done;
  segment->slope = (bt_slope){.use = BT_AGE_NOT_ASKED};
  study_leave_out_failed(study, rows, segment, used);
  do {
    size_t taking = 0;
    for (size_t j = 0; j < n; j++)
      taking += used[from + j];
    if (taking < BT_BASELINE_LEAST_POINTS) {
      segment->state = BT_CHART_TOO_FEW;
      segment->chart = (bt_individuals){.n = taking};
      goto done;
    }
    status = bt_individuals_fit(value, used + from, n, &segment->chart, error);
    if (status == BT_OK)
      status =
          bt_radial_limit_fit(of.x + from, of.y + from, used + from, n, &segment->radial, error);
  } while (status == BT_OK && segment->baseline.screen &&
           screen_pass(segment, used, value, pass++));
  if (status == BT_OK)
    status = study_fit_axes(&of, study, rows, place, used, segment, error);
  if (status != BT_OK)
    goto done;
  segment->autocorrelation = bt_autocorrelation_fit(value, used + from, n);
  study_describe_baseline(segment, study_derivation(place, study->characteristic));
done:
  study_offsets_free(&of);
  return status;
}
