/* Of `drift --format json`: the change, what an event brought back, the test plate, and what is
 * ahead or was forecast. */
#include "emit_drift.h"

/* What both changes say; the caller adds to it. */
static json_t *common(const bt_change *of, const bt_moved *moved) {
  bool hinge = of->kind == BT_CHANGE_HINGE;
  json_t *object = json_object();
  bool made =
      emit_put(object, "kind", json_string(hinge ? "hinge" : "step")) &&
      emit_put(object, "at", emit_day_of(of->day)) &&
      emit_put(object, "from", emit_day_of(of->from)) &&
      emit_put(object, "to", emit_day_of(of->to)) &&
      emit_put(object, "side", json_string(emit_side(moved->sign < 0 ? BT_LOW : BT_HIGH))) &&
      emit_put(object, "open", json_boolean(of->open)) &&
      emit_put(object, "levelled", json_boolean(moved->levelled)) &&
      emit_put(object, "slope_per_day", emit_number_if(hinge, of->hinge.per_day)) &&
      emit_put(object, "slope_low", emit_number_if(hinge, of->hinge.low)) &&
      emit_put(object, "slope_high", emit_number_if(hinge, of->hinge.high)) &&
      emit_put(object, "step", emit_number_if(!hinge, of->step.after - of->step.before)) &&
      emit_put_number(object, "gone", of->gone) &&
      emit_put_number(object, "gone_low", of->gone_low) &&
      emit_put_number(object, "gone_high", of->gone_high);
  return emit_whole(object, made);
}

json_t *emit_drift_change(const bt_drift *drift) {
  if (!drift->moved.changed)
    return json_null();
  const bt_series *checks = &drift->study->checks;
  bool failed = drift->failed_n > 0;
  json_t *object = common(&drift->change, &drift->moved);
  bool made = emit_put(object, "steps", emit_count(drift->steps.n)) &&
              emit_put(object, "gone_per_cent",
                       emit_number_if(drift->gone_per_cent != 0, drift->gone_per_cent)) &&
              emit_put(object, "failed", emit_count(drift->failed_n)) &&
              emit_put(object, "first_failed",
                       failed ? emit_day(checks->at[drift->first_failed]) : json_null());
  return emit_whole(object, made);
}

json_t *emit_drift_newest(const bt_drift *drift) {
  const bt_newest *of = &drift->newest;
  if (!of->given)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", emit_count(of->n)) &&
              emit_put_number(object, "difference", of->difference) &&
              emit_put_number(object, "low", of->low) &&
              emit_put_number(object, "high", of->high) && emit_put_number(object, "p", of->p) &&
              emit_put(object, "differs", json_boolean(of->differs));
  return emit_whole(object, made);
}

json_t *emit_drift_before(const bt_unit_study *unit, const bt_drift *drift) {
  if (!drift->before.changed && !drift->before.went_on)
    return json_null();
  const bt_event *event = &unit->history.events[drift->before.event];
  json_t *object = common(&drift->before.change, &drift->before.moved);
  bool made = emit_put(object, "event_at", emit_day(event->time)) &&
              emit_put(object, "event", json_string(bt_event_key(event->kind))) &&
              emit_put_number(object, "threshold", drift->before.look.threshold) &&
              emit_put_number(object, "likelihood_ratio", drift->before.change.likelihood_ratio);
  return emit_whole(object, made);
}

json_t *emit_drift_plate(const bt_unit_drift *all) {
  if (!all->evidence.plate.looked_at || all->plate.n == 0)
    return json_null();
  bool changed = all->evidence.plate.changed;
  json_t *object = json_object();
  bool made =
      emit_put(object, "n", emit_count(all->plate.n)) &&
      emit_put_number(object, "likelihood_ratio", all->plate.likelihood_ratio) &&
      emit_put(object, "change", changed ? common(&all->plate, &all->evidence.plate) : json_null());
  return emit_whole(object, made);
}

const char *emit_drift_forecast_reason(bt_forecast_use use) {
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

json_t *emit_drift_forecast(const bt_forecast *of, const bt_tolerance *tolerance) {
  if (of->use != BT_FORECAST_GIVEN)
    return json_null();
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "limit", of->limit) &&
      emit_put(object, "source",
               tolerance != NULL && tolerance->source != NULL ? json_string(tolerance->source)
                                                              : json_null()) &&
      emit_put(object, "first_fail_5", emit_day_if(of->has_fail_5, of->fail_5)) &&
      emit_put(object, "first_fail_50", emit_day_if(of->has_fail_50, of->fail_50)) &&
      emit_put(object, "mean_at", emit_day_of(of->mean_at)) &&
      emit_put(object, "from", emit_day_of(of->mean_from)) &&
      emit_put(object, "to", emit_day_if(of->has_mean_to, of->mean_to)) &&
      emit_put(object, "step_possible", json_boolean(of->step_possible));
  return emit_whole(object, made);
}

static const char *result_key(bt_past_result result) {
  static const char *const keys[] = {
      [BT_PAST_NONE] = NULL,       [BT_PAST_OPEN] = "open",   [BT_PAST_INSIDE] = "inside",
      [BT_PAST_SOONER] = "sooner", [BT_PAST_LATER] = "later", [BT_PAST_OVERTAKEN] = "overtaken"};
  return keys[result];
}

json_t *emit_drift_past_score(const bt_drift *drift) {
  const bt_past_score *of = &drift->past_score;
  json_t *object = json_object();
  bool made =
      emit_put(object, "given", emit_count(of->given)) &&
      emit_put(object, "inside", emit_count(of->inside)) &&
      emit_put(object, "sooner", emit_count(of->sooner)) &&
      emit_put(object, "later", emit_count(of->later)) &&
      emit_put(object, "overtaken", emit_count(of->overtaken)) &&
      emit_put(object, "open", emit_count(of->open)) &&
      emit_put(object, "moved_days_least", emit_number_if(of->moved > 0, of->moved_least_days)) &&
      emit_put(object, "moved_days_most", emit_number_if(of->moved > 0, of->moved_most_days));
  return emit_whole(object, made);
}

json_t *emit_drift_past(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->past_n && made; i++) {
    const bt_past_forecast *of = &drift->past[i];
    json_t *object = json_object();
    bool whole =
        emit_put(object, "until", emit_day(of->until - BT_DAY)) &&
        emit_put(object, "forecast", emit_drift_forecast(&of->forecast, drift->tolerance)) &&
        emit_put(object, "reason", json_string(emit_drift_forecast_reason(of->forecast.use))) &&
        emit_put(object, "mean_at_now", emit_day_if(of->mean_at_now > 0, of->mean_at_now)) &&
        emit_put(object, "first_fail", emit_day_if(of->failed, of->failed_on)) &&
        emit_put(object, "overtaken_on", emit_day_if(of->overtaken, of->overtaken_on)) &&
        emit_put(object, "result",
                 of->result != BT_PAST_NONE ? json_string(result_key(of->result)) : json_null()) &&
        emit_put(object, "moved_days", emit_number_if(of->has_moved, of->moved_days));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}
