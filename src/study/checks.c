/* Every check that has the characteristic, judged by the tolerance in force at its time on its raw
 * reading. A reading equal to a limit is inside. Room conditions are shown, not judged. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

static bool outside(const bt_tolerance *tolerance, double value) {
  return tolerance != NULL && ((tolerance->has_low && value < tolerance->low) ||
                               (tolerance->has_high && value > tolerance->high));
}

/* Which limit the newest reading is nearer to, and how far inside it lies. */
static void nearest_limit(bt_tolerance_finding *finding, double value) {
  const bt_tolerance *tolerance = finding->now;
  if (tolerance == NULL)
    return;
  double to_low = tolerance->has_low ? value - tolerance->low : INFINITY;
  double to_high = tolerance->has_high ? tolerance->high - value : INFINITY;
  finding->to_limit = to_low <= to_high ? -1 : 1;
  finding->margin = to_low <= to_high ? to_low : to_high;
}

static void judge_tolerance(const study_place *place, bt_study *study) {
  bt_tolerance_finding *finding = &study->tolerance;
  *finding = (bt_tolerance_finding){.last_outside = BT_NONE};
  bt_series *checks = &study->checks;
  if (bt_characteristic_is_covariate(study->characteristic) ||
      study->characteristic == BT_TRACKER_VECTOR)
    return;
  bt_tolerance_stretch stretch = {0};
  for (size_t i = 0; i < checks->n; i++) {
    const bt_tolerance *tolerance = bt_settings_tolerance_along(
        place->settings, place->history->unit, study->characteristic, checks->at[i], &stretch);
    finding->judged += tolerance != NULL;
    finding->last_is_outside = outside(tolerance, checks->raw[i]);
    if (finding->last_is_outside) {
      checks->flags[i] |= BT_POINT_OUT_OF_TOLERANCE;
      finding->outside++;
      finding->last_outside = i;
    }
  }
  finding->now = bt_settings_tolerance(place->settings, place->history->unit, study->characteristic,
                                       place->until - 1);
  if (finding->now == NULL)
    finding->to_come = bt_settings_next_tolerance(place->settings, place->history->unit,
                                                  study->characteristic, place->until - 1);
  if (checks->n > 0)
    nearest_limit(finding, checks->raw[checks->n - 1]);
}

/* T² has no tolerance: it depends on the baseline. Its checks are those of the offset, and fail
 * with x, y or the radius. */
enum { PARTS = 3 };
static bool offset_failed(const study_place *place, size_t row, bt_time at,
                          bt_tolerance_stretch stretch[PARTS]) {
  static const bt_characteristic parts[PARTS] = {BT_TRACKER_X, BT_TRACKER_Y, BT_TRACKER_RADIAL};
  for (size_t k = 0; k < PARTS; k++) {
    double value;
    const bt_tolerance *tolerance = bt_settings_tolerance_along(
        place->settings, place->history->unit, parts[k], at, &stretch[k]);
    if (tolerance != NULL && study_derive(place, parts[k], row, &value) &&
        outside(tolerance, value))
      return true;
  }
  return false;
}

static void mark_failed(const study_place *place, const bt_study *study, study_rows *rows) {
  const bt_series *checks = &study->checks;
  bt_tolerance_stretch stretch[PARTS] = {0};
  for (size_t i = 0; i < checks->n; i++)
    rows->failed[i] = study->characteristic == BT_TRACKER_VECTOR
                          ? offset_failed(place, rows->row[i], checks->at[i], stretch)
                          : (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
}

/* The checks of these rows, whose values stand in `value`. */
static void take_checks(const study_place *place, const study_rows *rows, const double *value,
                        bool holds_target, bt_series *checks) {
  const bt_history *history = place->history;
  for (size_t k = 0; k < checks->n; k++) {
    size_t i = rows->row[k];
    checks->at[k] = history->at[i];
    checks->sequence[k] = history->sequence[i];
    checks->source[k] = history->source[i];
    checks->line[k] = history->line[i];
    checks->raw[k] = checks->value[k] = value[k];
    checks->fill[k] = place->fill[i];
    checks->segment[k] = -1;
    checks->checks[k] = 1;
    if (!history->has_clock[i])
      checks->flags[k] |= BT_POINT_NO_CLOCK;
    if (holds_target && (history->present[i] >> BT_READING_TARGET_MJ & 1U) != 0)
      checks->target_mj[k] = history->reading[BT_READING_TARGET_MJ][i];
    if (place->known[i]) {
      checks->fill_age_days[k] = place->age_days[i];
      checks->flags[k] |= BT_POINT_HAS_AGE;
    }
  }
}

bt_status study_checks(const study_place *place, bt_characteristic characteristic, bt_study *study,
                       study_rows *rows, bt_error *error) {
  size_t n = 0;
  double *value = bt_new(place->history->n, sizeof *value);
  rows->row = bt_new(place->history->n, sizeof *rows->row);
  for (size_t i = 0; value != NULL && rows->row != NULL && i < place->history->n; i++)
    if (study_derive(place, characteristic, i, &value[n]))
      rows->row[n++] = i;

  study->characteristic = characteristic;
  study->quantity = bt_settings_quantity(place->settings, characteristic);
  study->pulses_per_day = place->setting == NULL ? 0 : place->setting->pulses_per_day;
  if (characteristic == BT_DEMAND && place->demand_is_setting) {
    study->quantity.title = "Fluence setting";
    study->quantity.unit = bt_reading_unit(BT_READING_FLUENCE_SETTING);
    study->quantity.decimals = 2;
  }
  rows->point = bt_new(n, sizeof *rows->point);
  rows->failed = bt_new(n, sizeof *rows->failed);
  bool made = value && rows->row && rows->point && rows->failed && bt_series_new(&study->checks, n);
  if (made) {
    take_checks(place, rows, value, characteristic == BT_HIGH_VOLTAGE, &study->checks);
    judge_tolerance(place, study);
    mark_failed(place, study, rows);
  }
  free(value);
  return made ? BT_OK : bt_fail_memory(error);
}

size_t study_checks_of(const bt_study *study, const study_rows *rows, size_t from, size_t to,
                       size_t *first) {
  size_t n = study->checks.n, end = 0;
  *first = n;
  for (size_t i = 0; i < n; i++) {
    size_t p = rows->point[i];
    if (p == BT_NONE || p < from || p >= to)
      continue;
    *first = *first == n ? i : *first;
    end = i + 1;
  }
  return *first == n ? n : end;
}
