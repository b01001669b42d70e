/* `drift --format json`. One characteristic is the document itself; all of a unit's stand in
 * "characteristics". What is not there is null. */
#include "emit_drift.h"

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

static bool is_looked_at(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT;
}

static bool has_forecast(const bt_drift *drift) {
  return drift->forecast.use == BT_FORECAST_GIVEN;
}

static json_t *level(const bt_drift *drift) {
  if (!is_looked_at(drift))
    return json_null();
  const bt_trend *trend = &drift->trend;
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "now", drift->now) &&
      emit_put_number(object, "low", drift->now_low) &&
      emit_put_number(object, "high", drift->now_high) &&
      emit_put(object, "slope_per_day", emit_number_if(trend->given, trend->slope)) &&
      emit_put(object, "slope_low", emit_number_if(trend->has_interval, trend->low)) &&
      emit_put(object, "slope_high", emit_number_if(trend->has_interval, trend->high)) &&
      emit_put_number(object, "from_first_baseline", drift->from_first) &&
      emit_put(object, "slope_p", emit_number_if(trend->given, trend->p)) &&
      emit_put(object, "slope_of", json_string(drift->trend_of_fills ? "fills" : "points")) &&
      emit_put(object, "window_from", emit_day(drift->window.from));
  return emit_whole(object, made);
}

static json_t *look(const bt_drift *drift) {
  if (!drift->look.given)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", emit_count(drift->look.n)) &&
              emit_put(object, "charts", emit_count(drift->look.charts)) &&
              emit_put_number(object, "looks_a_year", drift->look.looks_a_year) &&
              emit_put_number(object, "threshold", drift->look.threshold) &&
              emit_put_number(object, "likelihood_ratio", drift->change.likelihood_ratio) &&
              emit_put(object, "passed", json_boolean(drift->moved.changed));
  return emit_whole(object, made);
}

static json_t *reason(const bt_drift *drift) {
  switch (drift->use) {
  case BT_DRIFT_NO_BASELINE:
    return json_string("no baseline");
  case BT_DRIFT_COARSE:
    return json_string("readings too coarse");
  case BT_DRIFT_OTHER_TARGET:
    return json_string("newest points at another target");
  case BT_DRIFT_FEW:
    return json_string("under 10 values");
  case BT_DRIFT_LOOKED_AT:
    break;
  }
  return json_string(emit_drift_forecast_reason(drift->forecast.use));
}

static json_t *signal(bool there, bt_time at) {
  return there ? json_pack("{s:o}", "at", emit_day(at)) : json_null();
}

/* Days of the points of the window that were left out as far from those around them. */
static json_t *far_points(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = drift->far_before; i < drift->far_n && made; i++)
    made = json_array_append_new(list, emit_day(drift->study->points.at[drift->far[i]])) == 0;
  return emit_whole(list, made);
}

static bool put_drift(json_t *object, const bt_unit_study *unit, const bt_drift *drift) {
  const bt_series *checks = &drift->study->checks;
  return emit_put(object, "characteristic", json_string(drift->study->quantity.key)) &&
         emit_put(object, "until", emit_day(unit->until - 1)) &&
         emit_put(object, "last_check",
                  checks->n > 0 ? emit_day(checks->at[checks->n - 1]) : json_null()) &&
         emit_put(object, "checks", emit_count(checks->n)) &&
         emit_put(object, "fills", emit_drift_fills(unit, drift)) &&
         emit_put(object, "level", level(drift)) &&
         emit_put(object, "notice", signal(drift->has_notice, drift->notice_at)) &&
         emit_put(object, "alarm", signal(drift->has_alarm, drift->alarm_at)) &&
         emit_put(object, "change", emit_drift_change(drift)) &&
         emit_put(object, "newest", emit_drift_newest(drift)) &&
         emit_put(object, "before", emit_drift_before(unit, drift)) &&
         emit_put(object, "plate", emit_drift_plate(unit->drift)) &&
         emit_put(object, "meters", emit_drift_meters(unit->drift, drift)) &&
         emit_put(object, "forecast",
                  has_forecast(drift) ? emit_drift_forecast(&drift->forecast, drift->tolerance)
                                      : json_null()) &&
         emit_put(object, "forecast_reason", reason(drift)) &&
         emit_put(object, "causes", emit_drift_causes(drift)) &&
         emit_put(object, "look", look(drift)) &&
         emit_put(object, "look_back", emit_drift_look_back(drift)) &&
         emit_put(object, "misread", emit_count(drift->misread)) &&
         emit_put(object, "of_no_age", emit_count(drift->of_no_age)) &&
         emit_put(object, "off_baseline", emit_count(drift->off_baseline)) &&
         emit_put(object, "far", far_points(drift)) &&
         emit_put(object, "events", emit_drift_events(unit, drift)) &&
         emit_put(object, "covariates", emit_drift_covariates(drift)) &&
         emit_put(object, "dioptres", emit_drift_dioptres(drift)) &&
         emit_put(object, "past_forecasts", emit_drift_past(drift)) &&
         emit_put(object, "past_score", emit_drift_past_score(drift));
}

static bool put_all(json_t *document, const bt_unit_study *unit) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < unit->drift->n && made; i++) {
    json_t *object = json_object();
    made = json_array_append_new(
               list, emit_whole(object, put_drift(object, unit, &unit->drift->drift[i]))) == 0;
  }
  return emit_put(document, "characteristics", list) && made;
}

bt_status bt_emit_drift_json(const bt_unit_study *unit, const bt_drift *only, FILE *stream,
                             bt_error *error) {
  json_t *document = json_object();
  bt_status status = BT_OK;
  bool made = emit_put(document, "format", json_integer(FORMAT_VERSION)) &&
              emit_put(document, "unit", json_string(unit->history.unit));
  if (made && only == NULL)
    made = emit_put(document, "until", emit_day(unit->until - 1)) && put_all(document, unit);
  else if (made)
    made = put_drift(document, unit, only);
  if (!made)
    status = bt_fail_memory(error);
  else if (json_dumpf(document, stream, NUMBER_FLAGS) != 0 || fputc('\n', stream) == EOF ||
           fflush(stream) != 0)
    status = bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
  json_decref(document);
  return status;
}
