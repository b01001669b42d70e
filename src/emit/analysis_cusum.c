/* The CUSUM in JSON: its numbers, restarts and signals. */
#include "emit_room.h"

/* The first point of the excursion at which its sum was above the budgeted h; BT_NONE. */
static size_t alarm_of(const bt_study *of, const bt_excursion *excursion) {
  for (size_t i = excursion->signal; i <= excursion->last && i < of->points.n; i++)
    if ((of->rules[excursion->side][i] & BT_ALARM_CUSUM) != 0)
      return i;
  return BT_NONE;
}

static json_t *signal(const bt_study *of, const bt_excursion *excursion) {
  size_t alarm = alarm_of(of, excursion);
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, excursion->signal)) &&
      emit_put(object, "strength",
               json_string(emit_strength(alarm == BT_NONE ? BT_NOTICE : BT_ALARM))) &&
      emit_put(object, "side", json_string(emit_side(excursion->side))) &&
      emit_put(object, "run_began", emit_point_at(of, excursion->run_began)) &&
      emit_put(object, "run_signalled",
               emit_point_at(of, of->cusum.excursions[excursion->run_first].signal)) &&
      emit_put(object, "last", emit_point_at(of, excursion->last)) &&
      emit_put_number(object, "size", excursion->size) &&
      emit_put(object, "alarm_at", alarm == BT_NONE ? json_null() : emit_point_at(of, alarm));
  return emit_whole(object, made);
}

static json_t *signals(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.excursions_n && made; i++)
    made = json_array_append_new(list, signal(of, &of->cusum.excursions[i])) == 0;
  return emit_whole(list, made);
}

/* An event asked for it, or a person with a disposition: event_at is then when the action was done,
 * or, where nobody said, the last point of the episode. */
static json_t *restart(const bt_study *of, const bt_restart *restarted) {
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, restarted->point)) &&
      emit_put(object, "event",
               restarted->resolved ? json_null() : json_string(bt_event_key(restarted->kind))) &&
      emit_put(object, "event_at", emit_moment(restarted->at)) &&
      emit_put(object, "asked_by", json_string(restarted->resolved ? "disposition" : "event"));
  return emit_whole(object, made);
}

static json_t *restarts(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.restarts_n && made; i++)
    made = json_array_append_new(list, restart(of, &of->cusum.restarts[i])) == 0;
  return emit_whole(list, made);
}

json_t *emit_cusum(const bt_study *of) {
  const bt_segment *now = bt_study_now(of);
  if (!emit_has_limits(now))
    return json_null();
  bool alarms = now->alarm.given && now->alarm.h > 0;
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "k", of->cusum.k) && emit_put_number(object, "h", of->cusum.h) &&
      emit_put(object, "alarm_h", alarms ? json_real(now->alarm.h) : json_null()) &&
      emit_put_number(object, "headstart", of->cusum.headstart) &&
      emit_put(object, "restarts", restarts(of)) && emit_put(object, "signals", signals(of));
  return emit_whole(object, made);
}
