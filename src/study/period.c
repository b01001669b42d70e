/* The period that a baseline comes from: which points take part, how they are moved, how fine its
 * readings are, and what a freeze keeps of it. Shared by what fits baselines and what takes frozen
 * ones as they are. */
#include "study_room.h"

#include <stdlib.h>

bt_status study_begin_period(bt_segment *segment, bt_error *error) {
  free(segment->exclusions);
  segment->exclusions_n = 0;
  segment->exclusions = bt_new(segment->phase2 - segment->from, sizeof *segment->exclusions);
  segment->state = BT_CHART_DRAWN;
  segment->screen_stopped = false;
  return segment->exclusions != NULL ? BT_OK : bt_fail_memory(error);
}

/* R1 of baseline.c. */
void study_leave_out_failed(const bt_study *study, const study_rows *rows, bt_segment *segment,
                            uint8_t *used) {
  for (size_t p = segment->from; p < segment->phase2; p++)
    used[p] = 1;
  for (size_t i = 0; i < study->checks.n; i++) {
    size_t p = rows->point[i];
    if (p != BT_NONE && p >= segment->from && p < segment->phase2 && rows->failed[i])
      used[p] = 0;
  }
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (!used[p])
      segment->exclusions[segment->exclusions_n++] = (bt_exclusion){.point = p};
}

/* R2 of frozen.c. */
void study_leave_out_stored(const bt_study *study, bt_segment *segment, uint8_t *used) {
  const bt_series *points = &study->points;
  const bt_baseline *stored = &segment->baseline;
  for (size_t p = segment->from; p < segment->phase2; p++)
    used[p] = 1;
  for (size_t e = 0; e < stored->exclusions_n; e++) {
    const bt_baseline_exclusion *left = &stored->exclusions[e];
    size_t p = bt_series_from(points, left->at);
    while (p < segment->phase2 && points->at[p] == left->at &&
           points->sequence[p] != left->sequence)
      p++;
    if (p < segment->from || p >= segment->phase2 || points->at[p] != left->at || !used[p])
      continue;
    used[p] = 0;
    segment->exclusions[segment->exclusions_n++] =
        (bt_exclusion){.point = p, .pass = left->pass, .z = left->z};
  }
}

bool study_charted(const bt_series *points, size_t p, const bt_slope *slope, double *value) {
  *value = points->raw[p];
  if (slope->use != BT_AGE_USED)
    return true;
  if ((points->flags[p] & BT_POINT_HAS_AGE) == 0)
    return false;
  *value -= slope->per_day * (points->fill_age_days[p] - slope->mean_age_days);
  return true;
}

/* R5 of baseline.c, from the single checks of the points that entered. */
bt_status study_fit_readings(const bt_study *study, const study_rows *rows, const uint8_t *used,
                             bt_segment *segment, bt_error *error) {
  size_t first, end = study_checks_of(study, rows, segment->from, segment->phase2, &first);
  uint8_t *use = bt_new(end - first, sizeof *use);
  if (use == NULL)
    return bt_fail_memory(error);
  for (size_t i = first; i < end; i++)
    use[i - first] = rows->point[i] != BT_NONE && used[rows->point[i]];
  bt_status status = bt_resolution_fit(study->checks.raw + first, use, end - first,
                                       segment->chart.sigma, &segment->resolution, error);
  free(use);
  return status;
}

void study_describe_baseline(bt_segment *segment, int64_t derivation) {
  bt_baseline *baseline = &segment->baseline;
  bool adjusted = segment->slope.use == BT_AGE_USED;
  baseline->adjusted = adjusted;
  baseline->slope_per_day = adjusted ? segment->slope.per_day : 0;
  baseline->slope_se = adjusted ? segment->slope.se : 0;
  baseline->slope_low = adjusted ? segment->slope.low : 0;
  baseline->slope_high = adjusted ? segment->slope.high : 0;
  baseline->fills = adjusted ? (int64_t)segment->slope.fills : 0;
  baseline->mean_age_days = adjusted ? segment->slope.mean_age_days : 0;
  baseline->oldest_age_days = adjusted ? segment->slope.oldest_age_days : 0;
  baseline->radial_limit = segment->radial.limit;
  baseline->derivation = derivation;
  baseline->n = (int64_t)segment->chart.n;
  baseline->centre = segment->chart.centre;
  baseline->sigma = segment->chart.sigma;
  baseline->has_centre = baseline->has_sigma = true;
}
