/* Which points are looked at for drift, and how they are moved.
 *
 * R1 Values are moved along the newest baseline's slope to its mean fill age, as the newest points
 *    of the chart are, whatever baseline judged them: one series, one scale.
 * R2 Left out are points that a baseline's screening left out; where values are moved, those of
 *    unknown fill age, and of fills older by over a day than the baseline knows; and those of
 *    another target energy than the newest baseline's (target.c); of those before it, that differ
 *    from it by over 1 %.
 * R3 Left out, and counted, is a misreading: a single check outside tolerance whose retest of the
 *    same day was inside.
 * R4 Left out, and named, is a value that stands alone, far from those around it (drift/far.c): a
 *    comma that was forgotten would make any slope. Rules and tolerance judge it all the same.
 * R5 Of what R2 and R3 leave out, that of the days looked at is counted, each point once: of the
 *    window, or of its newest values where they are many. What was left out before is no part of
 *    what is told of them. */
#include "study_drift.h"

#include <stdlib.h>
#include <string.h>

static const double older_by = 1.0;

static bool make_room(bt_drift_values *values, size_t n) {
  *values = (bt_drift_values){.day = bt_new(n, sizeof(double)),
                              .raw = bt_new(n, sizeof(double)),
                              .value = bt_new(n, sizeof(double)),
                              .age_days = bt_new(n, sizeof(double)),
                              .fill = bt_new(n, sizeof(int32_t)),
                              .stretch = bt_new(n, sizeof(int32_t)),
                              .known = bt_new(n, sizeof(uint8_t)),
                              .point = bt_new(n, sizeof(size_t)),
                              .row = bt_new(n, sizeof(size_t))};
  return values->day && values->raw && values->value && values->age_days && values->fill &&
         values->stretch && values->known && values->point && values->row;
}

/* R3. *check goes on from point to point. */
static bool is_misread(const bt_study *study, size_t p, size_t *check) {
  const bt_series *points = &study->points, *checks = &study->checks;
  int64_t day = bt_day_of(points->at[p]);
  if ((points->flags[p] & BT_POINT_OUT_OF_TOLERANCE) == 0 || points->checks[p] != 1)
    return false;
  while (*check < checks->n && checks->at[*check] < points->at[p])
    (*check)++;
  for (size_t i = *check; i < checks->n && bt_day_of(checks->at[i]) == day; i++)
    if ((checks->flags[i] & BT_POINT_RETEST) != 0 &&
        (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) == 0)
      return true;
  return false;
}

/* R2. */
static bool is_of_other_target(const bt_series *points, size_t p, const bt_segment *now) {
  return p >= now->from ? (points->flags[p] & BT_POINT_OTHER_TARGET) != 0
                        : study_is_other_target(points->target_mj[p], now->target_mj);
}

typedef enum left_out { TAKEN, BY_ITS_AGE, NOT_AS_THE_BASELINE } left_out;

/* R1, R2. *value is set where it is taken. */
static left_out place_of(const bt_series *points, size_t p, const bt_segment *now, double *value) {
  const bt_baseline *baseline = &now->baseline;
  double age = points->fill_age_days[p];
  bool known = (points->flags[p] & BT_POINT_HAS_AGE) != 0;
  if ((points->flags[p] & BT_POINT_SCREENED) != 0 || is_of_other_target(points, p, now))
    return NOT_AS_THE_BASELINE;
  if (baseline->adjusted && (!known || age > baseline->oldest_age_days + older_by))
    return BY_ITS_AGE;
  *value = points->raw[p];
  if (baseline->adjusted)
    *value -= baseline->slope_per_day * (age - baseline->mean_age_days);
  return TAKEN;
}

/* The history's row of a point's first check; *row goes on from point to point. */
static void find_row(const bt_history *history, const bt_series *points, size_t p, size_t *row) {
  while (*row + 1 < history->n &&
         (history->at[*row] < points->at[p] ||
          (history->at[*row] == points->at[p] && history->sequence[*row] < points->sequence[p])))
    (*row)++;
}

/* Moves value `from` to the place `to`. */
static void move(bt_drift_values *values, size_t to, size_t from) {
  values->day[to] = values->day[from];
  values->raw[to] = values->raw[from];
  values->value[to] = values->value[from];
  values->age_days[to] = values->age_days[from];
  values->fill[to] = values->fill[from];
  values->stretch[to] = values->stretch[from];
  values->known[to] = values->known[from];
  values->point[to] = values->point[from];
  values->row[to] = values->row[from];
}

/* R4 */
static bt_status leave_out_far(bt_drift *drift, bt_error *error) {
  bt_drift_values *values = &drift->values;
  size_t n = values->n, kept = 0;
  uint8_t *is_far = bt_new(n, sizeof *is_far);
  if (is_far == NULL)
    return bt_fail_memory(error);
  size_t found = bt_far_values(values->value, n, drift->sigma, is_far);
  drift->far = bt_new(found, sizeof *drift->far);
  if (drift->far != NULL) {
    for (size_t i = 0; i < n; i++)
      if (is_far[i])
        drift->far[drift->far_n++] = values->point[i];
      else
        move(values, kept++, i);
    values->n = kept;
  }
  free(is_far);
  return drift->far == NULL ? bt_fail_memory(error) : BT_OK;
}

bt_status study_drift_values_make(const drift_unit *of, const bt_study *study, bt_drift *drift,
                                  bt_error *error) {
  const bt_series *points = &study->points;
  const study_place *place = of->place;
  const bt_segment *now = bt_study_now(study);
  bt_drift_values *values = &drift->values;
  size_t row = 0, check = 0;
  if (!make_room(values, points->n))
    return bt_fail_memory(error);
  for (size_t p = 0; p < points->n; p++) {
    double value;
    find_row(place->history, points, p, &row);
    if (is_misread(study, p, &check))
      continue;
    if (place_of(points, p, now, &value) != TAKEN)
      continue;
    size_t k = values->n++;
    values->day[k] = drift_day(points->at[p]);
    values->raw[k] = points->raw[p];
    values->value[k] = value;
    values->known[k] = (points->flags[p] & BT_POINT_HAS_AGE) != 0;
    values->age_days[k] = values->known[k] ? points->fill_age_days[p] : place->age_days[row];
    values->fill[k] = place->fill[row];
    values->stretch[k] = place->stretch[row];
    values->point[k] = p;
    values->row[k] = row;
  }
  return leave_out_far(drift, error);
}

#define DROP(array) memmove((array), (array) + first, left * sizeof *(array))

void study_drift_values_cut(bt_drift_values *values, double from) {
  size_t first = values->n > DRIFT_MOST_VALUES ? values->n - DRIFT_MOST_VALUES : 0;
  while (first < values->n && values->day[first] < from)
    first++;
  values->cut = first > 0 && values->day[first - 1] >= from;
  size_t left = values->n - first;
  if (first == 0)
    return;
  DROP(values->day);
  DROP(values->raw);
  DROP(values->value);
  DROP(values->age_days);
  DROP(values->fill);
  DROP(values->stretch);
  DROP(values->known);
  DROP(values->point);
  DROP(values->row);
  values->n = left;
}

void study_drift_left_out(const bt_study *study, bt_drift *drift) {
  const bt_series *points = &study->points;
  const bt_drift_values *values = &drift->values;
  size_t check = 0;
  drift->looked_from = values->cut ? points->at[values->point[0]] : drift->window.from;
  while (drift->far_before < drift->far_n &&
         points->at[drift->far[drift->far_before]] < drift->looked_from)
    drift->far_before++;
  for (size_t p = bt_series_from(points, drift->looked_from); p < points->n; p++) {
    double value;
    bool misread = is_misread(study, p, &check);
    left_out why = place_of(points, p, bt_study_now(study), &value);
    drift->misread += misread;
    drift->of_no_age += !misread && why == BY_ITS_AGE;
    drift->off_baseline += !misread && why == NOT_AS_THE_BASELINE;
  }
}
