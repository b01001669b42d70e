/* Parts of `drift --format json`, one object or list each; null where there is nothing. Owned; NULL
 * where memory is out. */
#ifndef EMIT_DRIFT_H
#define EMIT_DRIFT_H

#include "emit_room.h"

json_t *emit_drift_fills(const bt_unit_study *unit, const bt_drift *drift);

json_t *emit_drift_change(const bt_drift *drift);
json_t *emit_drift_newest(const bt_drift *drift);
/* The change before the event that began the days looked at. */
json_t *emit_drift_before(const bt_unit_study *unit, const bt_drift *drift);
/* Of the depth a pulse in the test plate. */
json_t *emit_drift_plate(const bt_unit_drift *all);
json_t *emit_drift_forecast(const bt_forecast *of, const bt_tolerance *tolerance);
const char *emit_drift_forecast_reason(bt_forecast_use use);
json_t *emit_drift_past(const bt_drift *drift);
json_t *emit_drift_past_score(const bt_drift *drift);

json_t *emit_drift_causes(const bt_drift *drift);
json_t *emit_drift_look_back(const bt_drift *drift);
json_t *emit_drift_events(const bt_unit_study *unit, const bt_drift *drift);
json_t *emit_drift_meters(const bt_unit_drift *all, const bt_drift *drift);
json_t *emit_drift_covariates(const bt_drift *drift);
json_t *emit_drift_dioptres(const bt_drift *drift);

#endif
