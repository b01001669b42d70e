/* Moves values to the baseline's mean fill age: adjusted = value - b (age - mean age).
 *
 * A point is the mean of its checks, so the mean of adjusted checks is the adjusted mean. A value
 * whose fill age is not known, or far beyond the baseline's oldest fill, stays raw and unjudged;
 * one of another target energy (target.c) is moved, and unjudged. */
#include "study_room.h"

/* A fill may be so much older than the baseline's oldest before rules stop judging it, days. */
static const double older_by = 1.0;

static void move(bt_series *series, size_t i, const bt_segment *segment) {
  series->flags[i] &= (uint16_t) ~(BT_POINT_UNKNOWN_AGE | BT_POINT_TOO_OLD);
  series->value[i] = series->raw[i];
  if (!segment->baseline.adjusted)
    return;
  if ((series->flags[i] & BT_POINT_HAS_AGE) == 0) {
    series->flags[i] |= BT_POINT_UNKNOWN_AGE;
    return;
  }
  double age = series->fill_age_days[i];
  series->value[i] -= segment->baseline.slope_per_day * (age - segment->baseline.mean_age_days);
  if (age > segment->baseline.oldest_age_days + older_by)
    series->flags[i] |= BT_POINT_TOO_OLD;
}

bt_status study_adjust(bt_study *study, const study_rows *rows, const study_place *place,
                       bt_error *error) {
  bt_series *points = &study->points;
  for (size_t p = 0; p < points->n; p++) {
    points->segment[p] = -1;
    points->value[p] = points->raw[p];
  }
  for (size_t s = 0; s < study->segments_n; s++)
    for (size_t p = study->segments[s].from; p < study->segments[s].to; p++) {
      points->segment[p] = (int32_t)s;
      move(points, p, &study->segments[s]);
    }

  /* A retest or as-left reading is in no point: it goes with the point before it. */
  bt_series *checks = &study->checks;
  int32_t segment = -1;
  for (size_t i = 0; i < checks->n; i++) {
    if (rows->point[i] != BT_NONE)
      segment = points->segment[rows->point[i]];
    checks->segment[i] = segment;
    checks->value[i] = checks->raw[i];
    if (segment >= 0)
      move(checks, i, &study->segments[segment]);
  }
  study_flag_targets(study, rows);
  study->adjusted =
      study->segments_n > 0 && study->segments[study->segments_n - 1].baseline.adjusted;
  return study->characteristic == BT_TRACKER_VECTOR ? study_vector_values(study, rows, place, error)
                                                    : BT_OK;
}
