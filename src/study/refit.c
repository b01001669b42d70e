/* Periods as they read today: the tests for drift of each, and what frozen limits would be.
 *
 * R1 A frozen baseline's whole period is fitted again, as it would be frozen today. Its limits
 *    stay. That they would be others is said: n differs, or a number of them by over 1e-9 of
 *    itself.
 * R2 The tests are those of the fit: of the segment where it isn't frozen, else of the new one.
 * R3 Where there is nothing to test, each p is 1.
 * R4 Whether the screening stopped early is that of the fit where this gives the frozen numbers. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

static const double same_within = 1e-9;

static bool differ(double a, double b) {
  return fabs(a - b) > same_within * fmax(fabs(a), fabs(b));
}

/* R1. */
static bool baselines_differ(const bt_baseline *frozen, const bt_baseline *today) {
  return frozen->n != today->n || differ(frozen->centre, today->centre) ||
         differ(frozen->sigma, today->sigma) ||
         differ(frozen->slope_per_day, today->slope_per_day) ||
         differ(frozen->mean_age_days, today->mean_age_days) ||
         differ(frozen->oldest_age_days, today->oldest_age_days) ||
         differ(frozen->mean_x, today->mean_x) || differ(frozen->mean_y, today->mean_y) ||
         differ(frozen->var_x, today->var_x) || differ(frozen->var_y, today->var_y) ||
         differ(frozen->cov_xy, today->cov_xy) || differ(frozen->radial_limit, today->radial_limit);
}

static void compare(const bt_study *study, const bt_segment *today, bt_segment *frozen) {
  bt_refit *refit = &frozen->refit;
  refit->given = today->state == BT_CHART_DRAWN;
  refit->n = today->chart.n;
  refit->centre = today->chart.centre;
  refit->sigma = today->chart.sigma;
  refit->lcl = today->chart.lcl;
  refit->ucl = today->chart.ucl;
  refit->adjusted = today->baseline.adjusted;
  refit->slope_per_day = today->baseline.slope_per_day;
  refit->mean_age_days = today->baseline.mean_age_days;
  refit->from_differences = today->baseline.from_differences;
  if (study->characteristic == BT_TRACKER_RADIAL) {
    refit->lcl = 0;
    refit->ucl = today->radial.limit;
  }
  if (study->characteristic == BT_TRACKER_VECTOR && today->vector.n > 0)
    refit->ucl =
        frozen->phase2 < frozen->to ? today->vector.phase2_limit : today->vector.phase1_limit;
  refit->differs =
      today->state == BT_CHART_TOO_FEW || baselines_differ(&frozen->baseline, &today->baseline);
}

static bt_status fit_again(const bt_study *study, const study_rows *rows, const study_place *place,
                           bt_segment *segment, uint8_t *used_today, bt_error *error) {
  const bt_baseline *frozen = &segment->baseline;
  bt_segment today = {.from = segment->from,
                      .to = segment->to,
                      .phase2 = bt_series_from(&study->points, frozen->to + BT_DAY),
                      .target_mj = segment->target_mj,
                      .baseline = {.characteristic = frozen->characteristic,
                                   .from = frozen->from,
                                   .to = frozen->to,
                                   .screen = frozen->screen}};
  bool is_vector = study->characteristic == BT_TRACKER_VECTOR;
  bt_status status =
      is_vector ? study_fit_vector(study, rows, place, &today, used_today, error)
                : study_fit_baseline(study, rows, place, study_may_adjust(study->characteristic),
                                     &today, used_today, error);
  if (status == BT_OK && !is_vector && today.state != BT_CHART_TOO_FEW)
    status = study_stability(study, rows, &today, used_today, &today.stability, error);
  if (status == BT_OK) {
    segment->stability = today.stability;
    compare(study, &today, segment);
    segment->screen_stopped = !segment->refit.differs && today.screen_stopped; /* R4 */
  }
  free(today.exclusions);
  return status;
}

bt_status study_refit(bt_study *study, const study_rows *rows, const study_place *place,
                      const uint8_t *used, bt_error *error) {
  uint8_t *used_today = bt_new(study->points.n, sizeof *used_today);
  if (used_today == NULL)
    return bt_fail_memory(error);
  bt_status status = BT_OK;
  for (size_t s = 0; s < study->segments_n && status == BT_OK; s++) {
    bt_segment *segment = &study->segments[s];
    if (segment->baseline.version > 0)
      status = fit_again(study, rows, place, segment, used_today, error);
    else if (segment->state == BT_CHART_DRAWN && study->characteristic != BT_TRACKER_VECTOR)
      status = study_stability(study, rows, segment, used, &segment->stability, error);
    if (segment->stability.n == 0) /* R3 */
      segment->stability.trend_p = segment->stability.step_p = 1;
  }
  free(used_today);
  return status;
}
