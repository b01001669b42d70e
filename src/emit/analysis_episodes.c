/* `analyse --format json`: episodes, and what people concluded of them. */
#include "emit_room.h"

static json_t *disposition(const bt_disposition *concluded) {
  json_t *object = json_object();
  bool made =
      emit_put(object, "episode", json_string(concluded->episode)) &&
      emit_put(object, "side", json_string(emit_side(concluded->high ? BT_HIGH : BT_LOW))) &&
      emit_put(object, "from", emit_moment(concluded->from)) &&
      emit_put(object, "to", emit_moment(concluded->to)) &&
      emit_put(object, "baseline_version", json_integer(concluded->baseline_version)) &&
      emit_put(object, "cause", json_string(concluded->cause)) &&
      emit_put(object, "action", json_string(concluded->action)) &&
      emit_put(object, "restart", json_boolean(concluded->restart)) &&
      emit_put(object, "restart_at",
               concluded->restart_at == 0 ? json_null() : emit_moment(concluded->restart_at)) &&
      emit_put(object, "by", json_string(concluded->by)) &&
      emit_put(object, "at", emit_moment(concluded->at));
  return emit_whole(object, made);
}

/* What was concluded before the episode's disposition, in order. */
static json_t *earlier(const bt_study *of, const bt_episode *one) {
  json_t *list = json_array();
  bool made = true;
  for (size_t d = 0; d < of->dispositions_n && d < one->disposition && made; d++)
    if (bt_study_concludes(of, one, d))
      made = json_array_append_new(list, disposition(&of->dispositions[d])) == 0;
  return emit_whole(list, made);
}

static json_t *episode(const bt_study *of, const bt_episode *one) {
  bool concluded = one->disposition < of->dispositions_n;
  json_t *object = json_object();
  bool made =
      emit_put(object, "id", json_string(one->id)) &&
      emit_put(object, "strength", json_string(emit_strength(one->strength))) &&
      emit_put(object, "side", json_string(emit_side(one->side))) &&
      emit_put(object, "from", emit_point_at(of, one->first)) &&
      emit_put(object, "to", emit_point_at(of, one->last)) &&
      emit_put(object, "signals", json_integer((json_int_t)one->signals)) &&
      emit_put(object, "rules", emit_rules(one->rules)) &&
      emit_put(object, "open", json_boolean(bt_study_is_open(of, one))) &&
      emit_put(object, "disposition",
               concluded ? disposition(&of->dispositions[one->disposition]) : json_null()) &&
      emit_put(object, "earlier_dispositions", earlier(of, one));
  return emit_whole(object, made);
}

json_t *emit_episodes(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->episodes_n && made; i++)
    made = json_array_append_new(list, episode(of, &of->episodes[i])) == 0;
  return emit_whole(list, made);
}

json_t *emit_dispositions_left(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->dispositions_n && made; i++)
    if (!of->disposition_used[i])
      made = json_array_append_new(list, disposition(&of->dispositions[i])) == 0;
  return emit_whole(list, made);
}
