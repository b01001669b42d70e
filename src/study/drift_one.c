/* The drift of one characteristic: when its values changed, how they go on, and what it may have
 * affected.
 *
 * R1 Looked at is what has a baseline to be moved by, and is neither derived from another (the
 *    radius, T², a fluence from the same energy) nor a condition of the room.
 * R2 The level now is the change's mean on the last day; where nothing changed, that of the last 8
 *    values, with the window's scatter.
 * R3 Notice and alarm are the first of the open episode on the side that it moved to; where nothing
 *    changed, of the open episode.
 * R4 Where the newest voltages held another target energy than the baseline's, nothing is said of
 *    how the ones before went on.
 * R5 Refills on the wrong side are asked about where rows of the log note refills, missing ones
 *    where fill ages follow from refills: ages that the log holds, or that a counter tells, miss
 *    none.
 * R6 How far it has gone is told in per cent as well, of what it was before: so losses of readings
 *    of different units stand side by side. Only where a side is known to be a loss: an
 *    offset, say, has no such side, and a share of what was near 0 says nothing.
 * R7 A fill's end is that of all fills since the first baseline began whose age is known and not
 *    beyond what the baseline knows. */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>

bool study_drift_looks_at(const bt_unit_study *unit, const bt_study *study) {
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  bool derived = study->characteristic == BT_TRACKER_RADIAL ||
                 study->characteristic == BT_TRACKER_VECTOR ||
                 (study->characteristic == BT_FLUENCE && setting != NULL &&
                  setting->fluence == BT_FLUENCE_ENERGY);
  return !derived && !bt_characteristic_is_covariate(study->characteristic);
}

/* R7 */
static bt_status set_fill_end(bt_drift *drift, bt_error *error) {
  const bt_series *points = &drift->study->points;
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  if (!baseline->adjusted)
    return BT_OK;
  uint8_t *known = bt_new(points->n, sizeof *known);
  if (known == NULL)
    return bt_fail_memory(error);
  for (size_t p = 0; p < points->n; p++)
    known[p] = (points->flags[p] & BT_POINT_HAS_AGE) != 0 &&
               points->fill_age_days[p] <= baseline->oldest_age_days;
  bt_status status = bt_fill_end_find(points->fill_age_days, points->fill, known, points->n,
                                      &drift->fill_end_days, error);
  free(known);
  return status;
}

/* R2 */
static void set_level(bt_drift *drift) {
  const bt_change *change = &drift->change;
  drift->now = change->now;
  drift->now_low = change->now_low;
  drift->now_high = change->now_high;
  if (!drift->moved.changed) {
    bt_recent recent = bt_recent_mean(drift->values.value, drift->values.n, STUDY_RECENT_POINTS);
    drift->now = recent.mean;
    drift->now_low = recent.low;
    drift->now_high = recent.high;
  }
  const bt_study *study = drift->study;
  const bt_baseline *baseline = &bt_study_now(study)->baseline;
  double before = change->kind == BT_CHANGE_STEP ? change->step.before : change->hinge.before;
  if (drift->moved.changed && drift->loss != 0 && before != 0) /* R6 */
    drift->gone_per_cent = 100 * change->gone / before;
  drift->last_day = drift->values.day[drift->values.n - 1];
  drift->oldest_now = drift->now;
  if (baseline->adjusted)
    drift->oldest_now += baseline->slope_per_day * (drift->fill_end_days - baseline->mean_age_days);
  double first = study->from_first.given ? study->from_first.centre : drift->centre;
  drift->from_first = drift->now - first;
}

/* R3 */
static void set_signals(bt_drift *drift) {
  const bt_study *study = drift->study;
  for (size_t e = 0; e < study->episodes_n; e++) {
    const bt_episode *episode = &study->episodes[e];
    bool of_side = !drift->moved.changed || (episode->side == BT_HIGH) == (drift->moved.sign > 0);
    if (!of_side || !bt_study_is_open(study, episode))
      continue;
    const bt_rules *rules = study->rules[episode->side];
    for (size_t p = episode->first; p <= episode->last; p++) {
      bool alarm = (rules[p] & BT_ALARM_RULES) != 0;
      if (rules[p] != 0 && (!drift->has_notice || study->points.at[p] < drift->notice_at)) {
        drift->has_notice = true;
        drift->notice_at = study->points.at[p];
      }
      if (alarm && (!drift->has_alarm || study->points.at[p] < drift->alarm_at)) {
        drift->has_alarm = true;
        drift->alarm_at = study->points.at[p];
      }
    }
  }
}

static void set_dioptres(const drift_unit *of, bt_drift *drift) {
  static const double threshold = 50, low = 40, high = 60; /* mJ/cm^2, cornea at 193 nm */
  const bt_unit_study *unit = of->unit;
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  if (drift->characteristic == BT_FLUENCE && setting != NULL)
    drift->dioptres =
        bt_dioptres_of(setting->beam, drift->centre, drift->now, threshold, low, high);
}

static bt_status suspect_refills(bt_drift *drift, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  bt_slope slope = {.use = baseline->adjusted ? BT_AGE_USED : BT_AGE_NOT_ASKED,
                    .per_day = baseline->slope_per_day};
  drift->suspected = bt_new(values->n, sizeof *drift->suspected);
  if (drift->suspected == NULL)
    return bt_fail_memory(error);
  drift->suspected_n = bt_refills_suspect(values->raw, values->age_days, values->stretch, values->n,
                                          &slope, drift->sigma, drift->suspected);
  return BT_OK;
}

/* What the change is, once the window is known. */
static bt_status find_change(const drift_unit *of, bt_drift *drift, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  if (bt_study_other_target_from(drift->study) != BT_NONE) { /* R4 */
    drift->use = BT_DRIFT_OTHER_TARGET;
    return BT_OK;
  }
  drift->look = bt_look_of(values->n, of->charts, of->looks_a_year);
  if (!drift->look.given) {
    drift->use = BT_DRIFT_FEW;
    return BT_OK;
  }
  bt_status status = bt_change_find(values->day, values->value, values->n, &drift->change, error);
  if (status != BT_OK)
    return status;
  drift->moved = bt_moved_of(&drift->change, &drift->look);
  if (drift->moved.changed)
    drift->newest = bt_newest_of(values->day, values->value, values->n, &drift->change);
  drift->steps = bt_steps_find(values->value, values->n);
  status = set_fill_end(drift, error);
  set_level(drift);
  return status == BT_OK ? study_drift_slopes(of, drift, error) : status;
}

static bool rows_note_refills(const bt_history *history) {
  for (size_t i = 0; i < history->n; i++)
    if (history->refill[i] != BT_REFILL_NONE)
      return true;
  return false;
}

/* R5 */
static void doubt_refills(const bt_unit_study *unit, bt_drift *drift) {
  const bt_drift_values *values = &drift->values;
  bt_refill_doubt *doubt = &drift->refill_doubt;
  doubt->wrong_side =
      bt_refills_wrong_side(&drift->slope, &drift->baseline_slope, drift->loss, &doubt->slope) &&
      rows_note_refills(&unit->history);
  size_t oldest =
      bt_refills_missing(values->age_days, values->known, values->n, unit->fills.interval_days);
  doubt->missing = oldest != BT_NONE && !unit->fills.from_log && !unit->fills.from_counter;
  if (doubt->missing) {
    doubt->day = values->day[oldest];
    doubt->age_days = values->age_days[oldest];
  }
}

static bt_status look(const drift_unit *of, const bt_study *study, bt_drift *drift,
                      bt_error *error) {
  const bt_segment *now = bt_study_now(study);
  drift->characteristic = study->characteristic;
  drift->study = study;
  drift->loss = (int)bt_characteristic_gas(study->characteristic);
  drift->use = BT_DRIFT_NO_BASELINE;
  drift->forecast.use = BT_FORECAST_NO_DRIFT; /* until one was made */
  drift->fill_days.use = BT_FILL_NO_SLOPE;
  if (now == NULL || now->state == BT_CHART_TOO_FEW)
    return BT_OK;
  drift->use = BT_DRIFT_COARSE;
  if (now->state != BT_CHART_DRAWN)
    return BT_OK;
  drift->use = BT_DRIFT_LOOKED_AT;
  drift->centre = now->chart.centre;
  drift->sigma = now->chart.sigma;
  bt_status status = study_drift_values_make(of, study, drift, error);
  if (status == BT_OK)
    status = study_drift_baseline_slope(drift, now, error);
  if (status == BT_OK)
    status = study_drift_events(of, drift, error);
  if (status != BT_OK)
    return status;
  status = study_drift_before(of, drift, error);
  if (status == BT_OK)
    status = study_drift_beyond_before(of, drift, error);
  if (status != BT_OK)
    return status;
  study_drift_values_cut(&drift->values, drift_day(drift->window.from));
  study_drift_left_out(study, drift);
  status = find_change(of, drift, error);
  if (status != BT_OK || drift->use != BT_DRIFT_LOOKED_AT)
    return status;
  status = study_drift_beyond(of, drift, error);
  if (status == BT_OK)
    status = study_drift_ahead(drift, error);
  if (status == BT_OK)
    status = suspect_refills(drift, error);
  if (status == BT_OK)
    status = study_drift_covariates(of, drift, error);
  if (status == BT_OK)
    status = study_drift_look_back(of, drift, error);
  study_drift_failed(drift);
  set_signals(drift);
  set_dioptres(of, drift);
  return status;
}

bt_status study_drift_one(const drift_unit *of, const bt_study *study, bt_drift *drift,
                          bt_error *error) {
  bt_status status = look(of, study, drift, error);
  doubt_refills(of->unit, drift);
  return status;
}
