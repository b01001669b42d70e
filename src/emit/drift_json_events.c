/* Of `drift --format json`: causes, and what stands beside the change: events, other lasers of one
 * meter, covariates, days to look back to, dioptres. */
#include "emit_drift.h"

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

json_t *emit_drift_causes(const bt_drift *drift) {
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

json_t *emit_drift_look_back(const bt_drift *drift) {
  const bt_look_back *of = &drift->look_back;
  if (!drift->moved.changed && !drift->before.changed)
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
  made = emit_put(object, "by_tolerance", json_boolean(drift->tolerance != NULL)) && made;
  made = emit_put(object, "restored",
                  of->restored == BT_NONE ? json_null()
                                          : emit_day(drift->study->checks.at[of->restored])) &&
         made;
  return emit_whole(object, made);
}

json_t *emit_drift_events(const bt_unit_study *unit, const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->events_n && made; i++) {
    const bt_comparison *of = &drift->events[i].about;
    const bt_comparison *beyond = &drift->events[i].beyond;
    const bt_event *event = &unit->history.events[drift->events[i].event];
    json_t *object = json_object();
    bool whole =
        emit_put(object, "at", emit_day(event->time)) &&
        emit_put(object, "event", json_string(bt_event_key(event->kind))) &&
        emit_put(object, "before_n", emit_count(of->before.n)) &&
        emit_put(object, "after_n", emit_count(of->after.n)) &&
        emit_put(object, "as_found", emit_number_if(of->as_found.n > 0, of->as_found.mean)) &&
        emit_put(object, "as_left", emit_number_if(of->as_left.n > 0, of->as_left.mean)) &&
        emit_put(object, "difference", emit_number_if(of->given, of->difference)) &&
        emit_put(object, "low", emit_number_if(of->has_interval, of->low)) &&
        emit_put(object, "high", emit_number_if(of->has_interval, of->high)) &&
        emit_put(object, "p", emit_number_if(of->has_interval, of->p)) &&
        emit_put(object, "beyond", emit_number_if(beyond->given, beyond->difference)) &&
        emit_put(object, "beyond_low", emit_number_if(beyond->has_interval, beyond->low)) &&
        emit_put(object, "beyond_high", emit_number_if(beyond->has_interval, beyond->high)) &&
        emit_put(object, "beyond_p", emit_number_if(beyond->has_interval, beyond->p)) &&
        emit_put(object, "variance_ratio", emit_number_if(of->has_ratio, of->ratio)) &&
        emit_put(object, "spread_p", emit_number_if(of->given, of->spread_p));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

json_t *emit_drift_covariates(const bt_drift *drift) {
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
                 emit_put(object, "n", emit_count(of->effect.n)) &&
                 emit_put_number(object, "slope", of->effect.slope) &&
                 emit_put_number(object, "low", of->effect.low) &&
                 emit_put_number(object, "high", of->effect.high) &&
                 emit_put_number(object, "p", of->effect.p);
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

json_t *emit_drift_dioptres(const bt_drift *drift) {
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

json_t *emit_drift_meters(const bt_unit_drift *all, const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; drift->characteristic == BT_ENERGY_RATIO && i < all->meters_n && made; i++) {
    const bt_meter_unit *of = &all->meters[i];
    json_t *object = json_object();
    bool whole = emit_put(object, "unit", json_string(of->unit)) &&
                 emit_put(object, "meter", json_string(of->meter)) &&
                 emit_put(object, "from", emit_day_of(of->from)) &&
                 emit_put(object, "to", emit_day_of(of->to));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}
