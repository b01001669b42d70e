/* `drift --format json`. One characteristic is the document itself; all of a unit's stand in
 * "characteristics". What is not there is null. */
#include "emit_room.h"

#include <math.h>

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

static json_t *day_of(double day) {
  return emit_day((bt_time)floor(day) * BT_DAY);
}

static json_t *day_if(bool there, double day) {
  return there ? day_of(day) : json_null();
}

static json_t *number_if(bool there, double value) {
  return there ? json_real(value) : json_null();
}

static json_t *count(size_t n) {
  return json_integer((json_int_t)n);
}

static bool is_looked_at(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT;
}

static bool has_forecast(const bt_drift *drift) {
  return drift->forecast.use == BT_FORECAST_GIVEN;
}

static json_t *slope(const bt_slope *of) {
  if (of->df < 1)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", count(of->n)) && emit_put(object, "fills", count(of->fills)) &&
              emit_put_number(object, "slope", of->per_day) &&
              emit_put_number(object, "low", of->low) && emit_put_number(object, "high", of->high);
  return emit_whole(object, made);
}

static json_t *fill_levels(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t f = 0; f < drift->levels.n && made; f++) {
    const bt_level *level = &drift->level[f];
    json_t *object = json_object();
    bool whole = emit_put(object, "at", day_of(level->day)) &&
                 emit_put(object, "n", count(level->n)) &&
                 emit_put_number(object, "age_days", level->age_days) &&
                 emit_put_number(object, "level", level->value) &&
                 emit_put_number(object, "se", level->se) &&
                 emit_put(object, "slope_per_day", number_if(level->has_slope, level->slope));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *suspected(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->suspected_n && made; i++) {
    const bt_suspected *of = &drift->suspected[i];
    json_t *object = json_object();
    bool whole = emit_put(object, "at", day_of(drift->values.day[of->first])) &&
                 emit_put_number(object, "jump", of->jump) && emit_put_number(object, "z", of->z) &&
                 emit_put_number(object, "age_days", of->age_days) &&
                 emit_put_number(object, "expected", of->expected);
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *lasts(const bt_drift *drift) {
  const bt_fill_days *of = &drift->fill_days;
  if (of->use != BT_FILL_GIVEN && of->use != BT_FILL_BEYOND)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put_number(object, "limit", of->limit) &&
              emit_put_number(object, "days", of->days) &&
              emit_put(object, "low", number_if(of->has_high, of->low)) &&
              emit_put(object, "high", number_if(of->has_high, of->high));
  return emit_whole(object, made);
}

static json_t *fills(const bt_unit_study *unit, const bt_drift *drift) {
  const bt_slope *of = &drift->slope;
  bool looked = is_looked_at(drift), given = looked && of->df >= 1;
  const bt_gas_slope *gas = &drift->gas;
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  bool planned = setting != NULL && setting->refill_interval_days > 0;
  json_t *object = json_object();
  bool made = emit_put(object, "n", count(unit->fills.n)) &&
              emit_put(object, "known_before", looked ? count(drift->fills_before) : json_null()) &&
              emit_put(object, "known_since", looked ? count(drift->fills_since) : json_null()) &&
              emit_put(object, "interval_days",
                       number_if(unit->fills.interval_days > 0, unit->fills.interval_days)) &&
              emit_put(object, "slope_per_day", number_if(given, of->per_day)) &&
              emit_put(object, "low", number_if(given, of->low)) &&
              emit_put(object, "high", number_if(given, of->high)) &&
              emit_put(object, "gas_per_day", number_if(gas->given, gas->per_day)) &&
              emit_put(object, "gas_low", number_if(gas->has_interval, gas->low)) &&
              emit_put(object, "gas_high", number_if(gas->has_interval, gas->high)) &&
              emit_put(object, "slope_since", day_if(looked, drift->since)) &&
              emit_put(object, "baseline", slope(&drift->baseline_slope)) &&
              emit_put(object, "per_1000_pulses", slope(&drift->pulses_slope)) &&
              emit_put(object, "planned_interval_days",
                       number_if(planned, planned ? setting->refill_interval_days : 0)) &&
              emit_put(object, "lasts", lasts(drift)) &&
              emit_put(object, "suspected_refills", suspected(drift)) &&
              emit_put(object, "levels", fill_levels(drift));
  return emit_whole(object, made);
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
      emit_put(object, "slope_per_day", number_if(trend->given, trend->slope)) &&
      emit_put(object, "slope_low", number_if(trend->has_interval, trend->low)) &&
      emit_put(object, "slope_high", number_if(trend->has_interval, trend->high)) &&
      emit_put_number(object, "from_first_baseline", drift->from_first) &&
      emit_put(object, "slope_p", number_if(trend->given, trend->p)) &&
      emit_put(object, "slope_of", json_string(drift->trend_of_fills ? "fills" : "points")) &&
      emit_put(object, "window_from", emit_day(drift->window.from));
  return emit_whole(object, made);
}

static json_t *look(const bt_drift *drift) {
  if (!drift->look.given)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", count(drift->look.n)) &&
              emit_put(object, "charts", count(drift->look.charts)) &&
              emit_put_number(object, "looks_a_year", drift->look.looks_a_year) &&
              emit_put_number(object, "threshold", drift->look.threshold) &&
              emit_put_number(object, "likelihood_ratio", drift->change.likelihood_ratio) &&
              emit_put(object, "passed", json_boolean(drift->moved.changed));
  return emit_whole(object, made);
}

static json_t *change(const bt_drift *drift) {
  const bt_change *of = &drift->change;
  if (!drift->moved.changed)
    return json_null();
  bool hinge = of->kind == BT_CHANGE_HINGE;
  json_t *object = json_object();
  bool made =
      emit_put(object, "kind", json_string(hinge ? "hinge" : "step")) &&
      emit_put(object, "at", day_of(of->day)) && emit_put(object, "from", day_of(of->from)) &&
      emit_put(object, "to", day_of(of->to)) &&
      emit_put(object, "side", json_string(emit_side(drift->moved.sign < 0 ? BT_LOW : BT_HIGH))) &&
      emit_put(object, "open", json_boolean(of->open)) &&
      emit_put(object, "slope_per_day", number_if(hinge, of->hinge.per_day)) &&
      emit_put(object, "slope_low", number_if(hinge, of->hinge.low)) &&
      emit_put(object, "slope_high", number_if(hinge, of->hinge.high)) &&
      emit_put(object, "step", number_if(!hinge, of->step.after - of->step.before)) &&
      emit_put(object, "steps", count(drift->steps.n));
  return emit_whole(object, made);
}

static const char *forecast_reason(bt_forecast_use use) {
  static const char *const words[] = {
      [BT_FORECAST_GIVEN] = "given",
      [BT_FORECAST_NO_DRIFT] = "no drift past the threshold",
      [BT_FORECAST_STEP] = "a step",
      [BT_FORECAST_SIGNS_DIFFER] = "levels and change disagree",
      [BT_FORECAST_NO_LIMIT] = "no tolerance on that side",
      [BT_FORECAST_BEYOND] = "beyond the limit already",
  };
  return words[use];
}

static json_t *forecast(const bt_forecast *of, const bt_tolerance *tolerance) {
  if (of->use != BT_FORECAST_GIVEN)
    return json_null();
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "limit", of->limit) &&
      emit_put(object, "source",
               tolerance != NULL && tolerance->source != NULL ? json_string(tolerance->source)
                                                              : json_null()) &&
      emit_put(object, "first_fail_5", day_if(of->has_fail_5, of->fail_5)) &&
      emit_put(object, "first_fail_50", day_if(of->has_fail_50, of->fail_50)) &&
      emit_put(object, "mean_at", day_of(of->mean_at)) &&
      emit_put(object, "from", day_of(of->mean_from)) &&
      emit_put(object, "to", day_if(of->has_mean_to, of->mean_to)) &&
      emit_put(object, "step_possible", json_boolean(of->step_possible));
  return emit_whole(object, made);
}

static json_t *past(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->past_n && made; i++) {
    const bt_past_forecast *of = &drift->past[i];
    json_t *object = json_object();
    bool whole = emit_put(object, "until", emit_day(of->until - BT_DAY)) &&
                 emit_put(object, "forecast", forecast(&of->forecast, drift->tolerance)) &&
                 emit_put(object, "reason", json_string(forecast_reason(of->forecast.use))) &&
                 emit_put(object, "mean_at_now", day_if(of->mean_at_now > 0, of->mean_at_now)) &&
                 emit_put(object, "first_fail", day_if(of->failed, of->failed_on));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static const char *cause_key(bt_cause_kind kind) {
  static const char *const words[BT_CAUSE_COUNT] = {
      [BT_CAUSE_GAS_AGEING] = "gas_ageing",
      [BT_CAUSE_NOT_RESTORED_BY_REFILL] = "not_restored_by_refill",
      [BT_CAUSE_VOLTAGE_CEILING] = "voltage_ceiling",
      [BT_CAUSE_DEMAND_CREEP] = "demand_creep",
      [BT_CAUSE_DELIVERY_OPTICS] = "delivery_optics",
      [BT_CAUSE_PLUME_OR_PLATE] = "plume_or_plate",
      [BT_CAUSE_METER] = "meter",
      [BT_CAUSE_ALIGNMENT] = "alignment",
      [BT_CAUSE_SPREAD] = "spread",
  };
  return words[kind];
}

static json_t *causes(const bt_drift *drift) {
  static const char *const strength[] = {"weak", "moderate", "strong"};
  json_t *list = json_array();
  bt_text words = {0};
  bool made = list != NULL;
  for (size_t c = 0; c < drift->causes_n && made; c++) {
    const bt_cause *cause = &drift->causes[c];
    json_t *object = json_object();
    bt_text_clear(&words);
    bt_facts_words(cause->evidence, &words);
    bool whole = emit_put(object, "cause", json_string(cause_key(cause->kind))) &&
                 emit_put(object, "strength", json_string(strength[cause->strength])) &&
                 emit_put(object, "evidence", json_string(bt_text_get(&words)));
    bt_text_clear(&words);
    bt_facts_words(cause->against, &words);
    whole = whole && emit_put(object, "against",
                              cause->against != 0 ? json_string(bt_text_get(&words)) : json_null());
    made = bt_text_ok(&words) && json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  bt_text_free(&words);
  return emit_whole(list, made);
}

static json_t *look_back(const bt_drift *drift) {
  const bt_look_back *of = &drift->look_back;
  if (!drift->moved.changed)
    return json_null();
  json_t *days = json_array(), *object = json_object();
  bool made = days != NULL;
  for (size_t i = 0; i < of->days && made; i++)
    made = json_array_append_new(days, emit_day(drift->look_back_day[i])) == 0;
  made = emit_put(object, "last_good",
                  of->last_good == BT_NONE ? json_null()
                                           : emit_day(drift->study->checks.at[of->last_good])) &&
         made;
  made = emit_put(object, "days", days) && made;
  made = emit_put(object, "restored",
                  of->restored == BT_NONE ? json_null()
                                          : emit_day(drift->study->checks.at[of->restored])) &&
         made;
  return emit_whole(object, made);
}

static json_t *events(const bt_unit_study *unit, const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->events_n && made; i++) {
    const bt_comparison *of = &drift->events[i].about;
    const bt_event *event = &unit->history.events[drift->events[i].event];
    json_t *object = json_object();
    bool whole = emit_put(object, "at", emit_day(event->time)) &&
                 emit_put(object, "event", json_string(bt_event_key(event->kind))) &&
                 emit_put(object, "before_n", count(of->before.n)) &&
                 emit_put(object, "after_n", count(of->after.n)) &&
                 emit_put(object, "as_found", number_if(of->as_found.n > 0, of->as_found.mean)) &&
                 emit_put(object, "as_left", number_if(of->as_left.n > 0, of->as_left.mean)) &&
                 emit_put(object, "difference", number_if(of->given, of->difference)) &&
                 emit_put(object, "low", number_if(of->has_interval, of->low)) &&
                 emit_put(object, "high", number_if(of->has_interval, of->high)) &&
                 emit_put(object, "p", number_if(of->has_interval, of->p)) &&
                 emit_put(object, "variance_ratio", number_if(of->has_ratio, of->ratio)) &&
                 emit_put(object, "spread_p", number_if(of->given, of->spread_p));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *covariates(const bt_drift *drift) {
  static const char *const names[] = {[BT_COVARIATE_TEMPERATURE] = "temp_c",
                                      [BT_COVARIATE_HUMIDITY] = "rh_pct",
                                      [BT_COVARIATE_TIME_OF_DAY] = "time_of_day",
                                      [BT_COVARIATE_OPERATOR] = "operator"};
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->covariates_n && made; i++) {
    const bt_covariate_effect *of = &drift->covariates[i];
    json_t *object = json_object();
    bool whole = emit_put(object, "covariate", json_string(names[of->of])) &&
                 emit_put(object, "code", of->code != NULL ? json_string(of->code) : json_null()) &&
                 emit_put(object, "n", count(of->effect.n)) &&
                 emit_put_number(object, "slope", of->effect.slope) &&
                 emit_put_number(object, "low", of->effect.low) &&
                 emit_put_number(object, "high", of->effect.high) &&
                 emit_put_number(object, "p", of->effect.p);
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *dioptres(const bt_drift *drift) {
  const bt_dioptres *of = &drift->dioptres;
  if (!of->given)
    return json_null();
  json_t *rows = json_array(), *object = json_object();
  bool made = rows != NULL;
  for (size_t k = 0; k < BT_DIOPTRE_ROWS && made; k++)
    made =
        json_array_append_new(rows, json_pack("{s:f, s:f, s:f, s:f}", "correction",
                                              of->row[k].correction, "change", of->row[k].change,
                                              "low", of->row[k].low, "high", of->row[k].high)) == 0;
  made = emit_put(object, "model",
                  json_string(of->beam == BT_BEAM_GAUSSIAN ? "gaussian" : "flat_top")) &&
         emit_put_number(object, "from", of->from) && emit_put_number(object, "to", of->to) &&
         emit_put_number(object, "threshold", of->threshold) &&
         emit_put_number(object, "threshold_low", of->threshold_low) &&
         emit_put_number(object, "threshold_high", of->threshold_high) && made;
  made = emit_put(object, "rows", rows) && made;
  return emit_whole(object, made);
}

static json_t *reason(const bt_drift *drift) {
  switch (drift->use) {
  case BT_DRIFT_NO_BASELINE:
    return json_string("no baseline");
  case BT_DRIFT_COARSE:
    return json_string("readings too coarse");
  case BT_DRIFT_FEW:
    return json_string("under 10 values");
  case BT_DRIFT_LOOKED_AT:
    break;
  }
  return json_string(forecast_reason(drift->forecast.use));
}

static json_t *signal(bool there, bt_time at) {
  return there ? json_pack("{s:o}", "at", emit_day(at)) : json_null();
}

static bool put_drift(json_t *object, const bt_unit_study *unit, const bt_drift *drift) {
  const bt_series *checks = &drift->study->checks;
  return emit_put(object, "characteristic", json_string(drift->study->quantity.key)) &&
         emit_put(object, "until", emit_day(unit->until - 1)) &&
         emit_put(object, "last_check",
                  checks->n > 0 ? emit_day(checks->at[checks->n - 1]) : json_null()) &&
         emit_put(object, "checks", count(checks->n)) &&
         emit_put(object, "fills", fills(unit, drift)) && emit_put(object, "level", level(drift)) &&
         emit_put(object, "notice", signal(drift->has_notice, drift->notice_at)) &&
         emit_put(object, "alarm", signal(drift->has_alarm, drift->alarm_at)) &&
         emit_put(object, "change", change(drift)) &&
         emit_put(object, "forecast",
                  has_forecast(drift) ? forecast(&drift->forecast, drift->tolerance)
                                      : json_null()) &&
         emit_put(object, "forecast_reason", reason(drift)) &&
         emit_put(object, "causes", causes(drift)) && emit_put(object, "look", look(drift)) &&
         emit_put(object, "look_back", look_back(drift)) &&
         emit_put(object, "misread", count(drift->misread)) &&
         emit_put(object, "events", events(unit, drift)) &&
         emit_put(object, "covariates", covariates(drift)) &&
         emit_put(object, "dioptres", dioptres(drift)) &&
         emit_put(object, "past_forecasts", past(drift));
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
