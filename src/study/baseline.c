/* Baselines, fitted: within-fill slope, 3-sigma screening, centre and sigma.
 *
 * R1 Phase I is the points of the period from..to, both days within. A point with a check outside
 *    tolerance stays out of it, and one of another target energy (target.c).
 * R2 Screening is by the 3-sigma limit only, one pass at a time: a pass fits slope, centre and
 *    sigma to the points still in, and leaves out all beyond 3 sigma; it stops when none is, or
 *    when a pass would bring the share left out above 10 %.
 * R3 The slope is fitted to the means of checks of one day and stretch, so that several alike
 *    checks a morning don't pass for as many independent ones.
 * R4 Under 8 points there is no baseline.
 * R5 A reading step above 2 sigma, or sigma 0: no control chart.
 * The radius and T² are fitted in radius.c and vector.c. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

/* Means of the checks of one day and stretch. */
typedef struct cells {
  size_t n;
  double *value, *age;
  int32_t *fill, *stretch;
  uint8_t *known, *use;
  size_t *point;
} cells;

static void cells_free(cells *c) {
  free(c->value);
  free(c->age);
  free(c->fill);
  free(c->stretch);
  free(c->known);
  free(c->use);
  free(c->point);
}

/* R3. Checks of the points [from, to). */
static bt_status cells_make(const bt_study *study, const study_rows *rows, const study_place *place,
                            size_t from, size_t to, cells *c, bt_error *error) {
  const bt_series *checks = &study->checks;
  size_t first, end = study_checks_of(study, rows, from, to, &first), most = end - first;
  *c = (cells){.value = bt_new(most, sizeof *c->value),
               .age = bt_new(most, sizeof *c->age),
               .fill = bt_new(most, sizeof *c->fill),
               .stretch = bt_new(most, sizeof *c->stretch),
               .known = bt_new(most, sizeof *c->known),
               .use = bt_new(most, sizeof *c->use),
               .point = bt_new(most, sizeof *c->point)};
  if (!c->value || !c->age || !c->fill || !c->stretch || !c->known || !c->use || !c->point)
    return bt_fail_memory(error);

  size_t in_cell = 0;
  for (size_t i = first; i < end; i++) {
    size_t p = rows->point[i];
    if (p == BT_NONE)
      continue;
    size_t row = rows->row[i];
    bool same = c->n > 0 && c->point[c->n - 1] == p && c->stretch[c->n - 1] == place->stretch[row];
    if (!same) {
      in_cell = 0;
      c->n++;
    }
    size_t k = c->n - 1;
    in_cell++;
    c->value[k] += (checks->raw[i] - c->value[k]) / (double)in_cell;
    c->age[k] += (place->age_days[row] - c->age[k]) / (double)in_cell;
    c->fill[k] = place->fill[row];
    c->stretch[k] = place->stretch[row];
    c->known[k] = place->known[row];
    c->point[k] = p;
  }
  return BT_OK;
}

/* One fit to the points still in; value and takes_part have room for the period's points. */
static bt_status fit_once(const bt_study *study, cells *c, bool may_adjust, bt_segment *segment,
                          const uint8_t *used, double *value, uint8_t *takes_part,
                          bt_error *error) {
  bt_status status = BT_OK;
  segment->slope = (bt_slope){.use = BT_AGE_NOT_ASKED};
  if (may_adjust) {
    for (size_t k = 0; k < c->n; k++)
      c->use[k] = used[c->point[k]];
    status = bt_slope_fit(c->value, c->age, c->fill, c->stretch, c->known, c->use, c->n,
                          &segment->slope, error);
    if (status != BT_OK)
      return status;
  }
  size_t n = segment->phase2 - segment->from;
  size_t taking = 0;
  for (size_t j = 0; j < n; j++) {
    takes_part[j] = study_charted(&study->points, segment->from + j, &segment->slope, &value[j]) &&
                    used[segment->from + j];
    taking += takes_part[j];
  }
  if (taking < BT_BASELINE_LEAST_POINTS) { /* R4 */
    segment->state = BT_CHART_TOO_FEW;
    segment->chart = (bt_individuals){.n = taking};
    return BT_OK;
  }
  return bt_individuals_fit(value, takes_part, n, &segment->chart, error);
}

/* Leaves out of the baseline what lies beyond 3 sigma: that pass of the screening. */
static void leave_out_beyond(bt_segment *segment, uint8_t *used, const double *value,
                             const uint8_t *takes_part, int pass) {
  double reach = segment->chart.sigma * (3 + STUDY_ON_LIMIT);
  for (size_t j = 0; j < segment->phase2 - segment->from; j++)
    if (takes_part[j] && fabs(value[j] - segment->chart.centre) > reach) {
      used[segment->from + j] = 0;
      segment->exclusions[segment->exclusions_n++] =
          (bt_exclusion){.point = segment->from + j,
                         .pass = pass,
                         .z = (value[j] - segment->chart.centre) / segment->chart.sigma};
    }
}

/* One screening pass (R2). False when the screening is done. */
static bool screen_pass(bt_segment *segment, uint8_t *used, const double *value,
                        const uint8_t *takes_part, int pass) {
  size_t n = segment->phase2 - segment->from;
  size_t beyond = 0, screened = 0;
  double reach = segment->chart.sigma * (3 + STUDY_ON_LIMIT);
  for (size_t j = 0; j < n; j++)
    beyond += takes_part[j] && fabs(value[j] - segment->chart.centre) > reach;
  for (size_t e = 0; e < segment->exclusions_n; e++)
    screened += segment->exclusions[e].pass > 0;
  if (beyond == 0 || segment->chart.sigma <= 0)
    return false;
  if (10 * (screened + beyond) > n) {
    segment->screen_stopped = true;
    return false;
  }
  leave_out_beyond(segment, used, value, takes_part, pass);
  return true;
}

bt_status study_fit_baseline(const bt_study *study, const study_rows *rows,
                             const study_place *place, bool may_adjust, bt_segment *segment,
                             uint8_t *used, bt_error *error) {
  if (study->characteristic == BT_TRACKER_RADIAL)
    return study_fit_radius(study, rows, place, segment, used, error);
  size_t n = segment->phase2 - segment->from;
  cells c = {0};
  double *value = bt_new(n, sizeof *value);
  uint8_t *takes_part = bt_new(n, sizeof *takes_part);
  int pass = 1;
  bt_status status = value != NULL && takes_part != NULL ? study_begin_period(segment, error)
                                                         : bt_fail_memory(error);
  if (status != BT_OK)
    goto done;
  study_leave_out_failed(study, rows, segment, used);
  study_leave_out_other_target(study, segment, used);
  status = cells_make(study, rows, place, segment->from, segment->phase2, &c, error);
  do {
    if (status == BT_OK)
      status = fit_once(study, &c, may_adjust, segment, used, value, takes_part, error);
  } while (status == BT_OK && segment->state == BT_CHART_DRAWN && segment->baseline.screen &&
           screen_pass(segment, used, value, takes_part, pass++));
  if (status != BT_OK || segment->state == BT_CHART_TOO_FEW)
    goto done;

  for (size_t j = 0; j < n; j++)
    used[segment->from + j] = takes_part[j];
  segment->autocorrelation = bt_autocorrelation_fit(value, takes_part, n);
  status = study_fit_readings(study, rows, used, segment, error);
  study_describe_baseline(segment, study_derivation(place, study->characteristic));
  if (status == BT_OK && segment->resolution.useless)
    segment->state = BT_CHART_RESOLUTION;
done:
  cells_free(&c);
  free(value);
  free(takes_part);
  return status;
}
