/* The target energy that a voltage held. A laser that regulates its energy sets the voltage for the
 * target it is given; with another target the voltage is another by design, and limits from the old
 * one say nothing of it.
 *
 * R1 A baseline's target is the median of the targets of all points of its period, the whole of it
 *    where a later baseline cuts it short too; of an even number the lower of the middle two, which
 *    somebody did set. It is read from the record, for frozen baselines as well.
 * R2 In its period a point is of another target where its own differs from the baseline's by over
 *    1 %. After it a target that creeps is followed, since a servo that asks for ever more energy
 * is what the voltage is charted for: there it must also differ by over 1 % from each of the last 8
 *    points that were of the baseline's target. One that was set back is of the baseline's again.
 * R3 What has no target, or a baseline without one, is judged as if it were the same.
 * R4 A point of another target enters no baseline; it is no exclusion of the screening's, as little
 *    as one of unknown fill age. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

static const double another_by = 0.01;

static int by_size(const void *a, const void *b) {
  const double *first = a, *second = b;
  return (*first > *second) - (*first < *second);
}

bt_status study_baseline_target(const bt_study *study, const bt_baseline *baseline, double *target,
                                bt_error *error) {
  const bt_series *points = &study->points;
  size_t from = bt_series_from(points, baseline->from), n = 0,
         end = bt_series_from(points, baseline->to + BT_DAY);
  *target = 0;
  if (study->characteristic != BT_HIGH_VOLTAGE || from >= end)
    return BT_OK;
  double *sorted = bt_new(end - from, sizeof *sorted);
  if (sorted == NULL)
    return bt_fail_memory(error);
  for (size_t p = from; p < end; p++)
    if (points->target_mj[p] > 0)
      sorted[n++] = points->target_mj[p];
  qsort(sorted, n, sizeof *sorted, by_size);
  if (n > 0)
    *target = sorted[(n - 1) / 2];
  free(sorted);
  return BT_OK;
}

bool study_is_other_target(double target, double usual) {
  return target > 0 && usual > 0 && fabs(target / usual - 1) > another_by + STUDY_ON_LIMIT;
}

bool study_is_followed(const study_followed *of, double target) {
  bool found = false;
  for (size_t k = 0; k < of->n && k < STUDY_FOLLOWED_POINTS; k++)
    found = found || !study_is_other_target(target, of->last[k]);
  return found;
}

void study_follow(study_followed *of, double target) {
  if (target > 0)
    of->last[of->n++ % STUDY_FOLLOWED_POINTS] = target;
}

void study_leave_out_other_target(const bt_study *study, const bt_segment *segment, uint8_t *used) {
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (study_is_other_target(study->points.target_mj[p], segment->target_mj))
      used[p] = 0;
}

static void flag(bt_series *series, size_t i, const bt_segment *segment, bool in_period,
                 const study_followed *followed) {
  double target = series->target_mj[i];
  bool other = study_is_other_target(target, segment->target_mj);
  if (other && (in_period || !study_is_followed(followed, target)))
    series->flags[i] |= BT_POINT_OTHER_TARGET;
}

static void follow_point(study_followed *followed, const bt_series *points, size_t p) {
  if ((points->flags[p] & BT_POINT_OTHER_TARGET) == 0)
    study_follow(followed, points->target_mj[p]);
}

static void flag_points(bt_study *study, const bt_segment *segment) {
  study_followed followed = {0};
  for (size_t p = segment->from; p < segment->to; p++) {
    flag(&study->points, p, segment, p < segment->phase2, &followed);
    follow_point(&followed, &study->points, p);
  }
}

/* A retest or as-left reading is in no point: it goes with the point before it. */
static void flag_checks(bt_study *study, const study_rows *rows) {
  const bt_series *points = &study->points;
  study_followed followed = {0};
  size_t its = BT_NONE;
  for (size_t i = 0; i < study->checks.n; i++) {
    size_t p = rows->point[i];
    if (p != BT_NONE && p != its) {
      if (its == BT_NONE || points->segment[its] != points->segment[p])
        followed = (study_followed){0};
      else
        follow_point(&followed, points, its);
      its = p;
    }
    study->checks.flags[i] &= (uint16_t)~BT_POINT_OTHER_TARGET;
    int32_t s = its == BT_NONE ? -1 : points->segment[its];
    if (s >= 0)
      flag(&study->checks, i, &study->segments[s], its < study->segments[s].phase2, &followed);
  }
}

void study_flag_targets(bt_study *study, const study_rows *rows) {
  if (study->characteristic != BT_HIGH_VOLTAGE)
    return;
  for (size_t s = 0; s < study->segments_n; s++)
    flag_points(study, &study->segments[s]);
  flag_checks(study, rows);
}
