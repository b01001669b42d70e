/* The drift of a unit by itself: each of its characteristics, and what they support together. */
#include "study_drift.h"

#include <stdlib.h>

static const double days_a_year = 365.25, least_days = 30;

/* Looks at a unit a year, as often as it was checked: on one day each. */
static double looks_a_year(const bt_history *history) {
  double looks = 0;
  for (size_t i = 0; i < history->n; i++)
    looks += i == 0 || bt_day_of(history->at[i]) != bt_day_of(history->at[i - 1]);
  if (history->n == 0)
    return 0;
  double days = drift_day(history->at[history->n - 1]) - drift_day(history->at[0]) + 1;
  return looks / (days > least_days ? days : least_days) * days_a_year;
}

static bool counts(const bt_unit_study *unit, const bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  return study_drift_looks_at(unit, study) && now != NULL && now->state == BT_CHART_DRAWN;
}

static bt_status each(const drift_unit *of, bt_unit_drift *all, bt_error *error) {
  const bt_unit_study *unit = of->unit;
  bt_status status = BT_OK;
  all->drift = bt_new(unit->studies_n, sizeof *all->drift);
  if (all->drift == NULL)
    return bt_fail_memory(error);
  for (size_t s = 0; s < unit->studies_n && status == BT_OK; s++)
    if (study_drift_looks_at(unit, unit->studies[s]))
      status = study_drift_one(of, unit->studies[s], &all->drift[all->n++], error);
  return status;
}

bt_status study_drift_begin(const bt_drift_request *request, const bt_unit_study *unit,
                            study_place *place, drift_unit *of, bt_unit_drift **made,
                            bt_error *error) {
  bt_unit_drift *all = *made = bt_new(1, sizeof *all);
  *of = (drift_unit){.unit = unit,
                     .place = place,
                     .looks_a_year = looks_a_year(&unit->history),
                     .with_operator = request->with_operator};
  if (all == NULL)
    return bt_fail_memory(error);
  for (size_t s = 0; s < unit->studies_n; s++)
    of->charts += counts(unit, unit->studies[s]);
  all->charts = of->charts;
  all->looks_a_year = of->looks_a_year;
  all->read_on = request->read_on;
  bt_status status =
      study_place_make(&unit->history, &unit->settings, &unit->fills, unit->until, place, error);
  return status == BT_OK ? each(of, all, error) : status;
}

bt_status study_drift_end(bt_unit_study *study, study_place *place, bt_unit_drift *all,
                          bt_status status) {
  study_place_free(place);
  if (status != BT_OK) {
    bt_unit_drift_free(all);
    return status;
  }
  bt_unit_drift_free(study->drift);
  study->drift = all;
  return BT_OK;
}

bt_status study_drift_alone(bt_unit_study *study, bt_error *error) {
  study_place place = {0};
  drift_unit of;
  bt_unit_drift *all;
  bt_drift_request plain = {0};
  bt_status status = study_drift_begin(&plain, study, &place, &of, &all, error);
  if (status == BT_OK)
    status = study_drift_causes(&of, all, error);
  return study_drift_end(study, &place, all, status);
}
