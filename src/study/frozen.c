/* Frozen baselines, taken as they are.
 *
 * R1 The stored numbers are the limits, whatever a fit to today's record would give: slope, mean
 *    age, centre, sigma and the radius's limit.
 * R2 What was left out then is left out, for the cause and in the pass of then; all other points of
 *    the period are taken to have entered, but those of another target energy (target.c). One that
 *    is at another time now, or gone, is no longer told from them. */
#include "study_room.h"

#include <stdlib.h>

bt_slope study_stored_slope(const bt_baseline *stored) {
  return (bt_slope){.use = stored->adjusted ? BT_AGE_USED : BT_AGE_NOT_ASKED,
                    .fills = (size_t)stored->fills,
                    .n = (size_t)stored->n,
                    .per_day = stored->slope_per_day,
                    .se = stored->slope_se,
                    .low = stored->slope_low,
                    .high = stored->slope_high,
                    .mean_age_days = stored->mean_age_days,
                    .oldest_age_days = stored->oldest_age_days};
}

/* R1: as if they had just been fitted. */
static void take_numbers(bt_segment *segment) {
  const bt_baseline *stored = &segment->baseline;
  segment->slope = study_stored_slope(stored);
  segment->chart = bt_individuals_stated(stored->centre, stored->sigma);
  segment->chart.n = (size_t)stored->n;
  segment->chart.df = bt_moving_range_df((size_t)stored->n);
  segment->state = stored->sigma > 0 ? BT_CHART_DRAWN : BT_CHART_RESOLUTION;
}

bt_status study_take_baseline(const bt_study *study, const study_rows *rows, bt_segment *segment,
                              uint8_t *used, bt_error *error) {
  size_t n = segment->phase2 - segment->from;
  bool radial = study->characteristic == BT_TRACKER_RADIAL;
  double *value = bt_new(n, sizeof *value);
  uint8_t *takes_part = bt_new(n, sizeof *takes_part);
  bt_status status = value != NULL && takes_part != NULL ? study_begin_period(segment, error)
                                                         : bt_fail_memory(error);
  if (status != BT_OK)
    goto done;
  take_numbers(segment);
  study_leave_out_stored(study, segment, used);
  study_leave_out_other_target(study, segment, used);
  for (size_t j = 0; j < n; j++)
    takes_part[j] = study_charted(&study->points, segment->from + j, &segment->slope, &value[j]) &&
                    used[segment->from + j];
  if (radial)
    segment->radial = (bt_radial_limit){.n = (size_t)segment->baseline.n,
                                        .limit = segment->baseline.radial_limit};
  for (size_t j = 0; j < n; j++)
    used[segment->from + j] = takes_part[j];
  segment->autocorrelation = bt_autocorrelation_fit(value, takes_part, n);
  if (!radial)
    status = study_fit_readings(study, rows, used, segment, error);
done:
  free(value);
  free(takes_part);
  return status;
}
