/* From checks to points: one a day, the mean of that day's independent checks; or, where it is
 * asked for, each independent check.
 *
 * R1 A repeat within 60 minutes of a check outside tolerance or limits is a retest: kept, judged
 *    against tolerance, never in a mean, moving range, rule or CUSUM.
 * R2 Where the state is logged, the as-found reading is charted; the as-left one is kept.
 * R3 A day's point stands at its first independent check; its flags gather those of its checks.
 * The radius of a day is the length of its mean offset (radius.c), not the mean of its lengths. */
#include "study_room.h"

#include <stdlib.h>

/* R1, R2. */
bool study_set_aside(bt_study *study, const study_rows *rows, const study_place *place,
                     const uint8_t *outside) {
  bt_series *checks = &study->checks;
  size_t last_outside = BT_NONE;
  bool changed = false;
  for (size_t i = 0; i < checks->n; i++) {
    uint16_t before = checks->flags[i];
    checks->flags[i] &= (uint16_t) ~(BT_POINT_RETEST | BT_POINT_AS_LEFT);
    bool repeat = last_outside != BT_NONE &&
                  checks->at[i] - checks->at[last_outside] <= STUDY_RETEST_WITHIN &&
                  place->history->has_clock[rows->row[i]];
    if (repeat)
      checks->flags[i] |= BT_POINT_RETEST;
    if (place->history->state[rows->row[i]] == BT_AS_LEFT)
      checks->flags[i] |= BT_POINT_AS_LEFT;
    if (outside[i])
      last_outside = i;
    changed = changed || checks->flags[i] != before;
  }
  return changed;
}

static bool independent(const bt_series *checks, size_t i) {
  return (checks->flags[i] & (BT_POINT_RETEST | BT_POINT_AS_LEFT)) == 0;
}

/* Numbers each check's point; returns how many there are. */
static size_t number_points(const bt_series *checks, bool every, study_rows *rows) {
  size_t n = 0;
  int64_t day = 0;
  for (size_t i = 0; i < checks->n; i++) {
    rows->point[i] = BT_NONE;
    if (!independent(checks, i))
      continue;
    if (every || n == 0 || bt_day_of(checks->at[i]) != day) {
      day = bt_day_of(checks->at[i]);
      n++;
    }
    rows->point[i] = n - 1;
  }
  return n;
}

/* R3. */
static void gather(const bt_series *checks, const study_rows *rows, bt_series *points) {
  uint32_t targets = 0; /* of the newest point */
  for (size_t i = 0; i < checks->n; i++) {
    size_t p = rows->point[i];
    if (p == BT_NONE)
      continue;
    if (points->checks[p] == 0) {
      points->at[p] = checks->at[i];
      points->sequence[p] = checks->sequence[i];
      points->source[p] = checks->source[i];
      points->line[p] = checks->line[i];
      points->fill[p] = checks->fill[i];
      points->segment[p] = -1;
      points->flags[p] = BT_POINT_HAS_AGE | (checks->flags[i] & BT_POINT_NO_CLOCK);
    }
    targets = points->checks[p]++ == 0 ? 0 : targets;
    /* So the mean of equal readings is that very reading, and a plateau has no spread. */
    points->raw[p] += (checks->raw[i] - points->raw[p]) / points->checks[p];
    points->fill_age_days[p] += checks->fill_age_days[i];
    if (checks->target_mj[i] > 0)
      points->target_mj[p] += (checks->target_mj[i] - points->target_mj[p]) / ++targets;
    points->flags[p] |= checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE;
    if ((checks->flags[i] & BT_POINT_HAS_AGE) == 0)
      points->flags[p] &= (uint16_t)~BT_POINT_HAS_AGE;
  }
  for (size_t p = 0; p < points->n; p++) {
    points->value[p] = points->raw[p];
    points->fill_age_days[p] =
        (points->flags[p] & BT_POINT_HAS_AGE) ? points->fill_age_days[p] / points->checks[p] : 0;
  }
}

bt_status study_points(bt_study *study, study_rows *rows, const study_place *place,
                       bt_error *error) {
  bt_series_free(&study->points);
  if (!bt_series_new(&study->points, number_points(&study->checks, study->every, rows)))
    return bt_fail_memory(error);
  gather(&study->checks, rows, &study->points);
  return study->characteristic == BT_TRACKER_RADIAL ? study_radius_values(study, rows, place, error)
                                                    : BT_OK;
}
