/* Parts of a jansson tree that several forms have. */
#include "emit_room.h"

#include <math.h>

bool emit_put(json_t *object, const char *key, json_t *value) {
  return json_object_set_new(object, key, value) == 0;
}

bool emit_put_number(json_t *object, const char *key, double value) {
  return emit_put(object, key, json_real(value));
}

json_t *emit_whole(json_t *value, bool made) {
  if (made)
    return value;
  json_decref(value);
  return NULL;
}

json_t *emit_day(bt_time time) {
  char buffer[BT_TIME_TEXT];
  return json_string(bt_time_day_iso(time, buffer));
}

json_t *emit_moment(bt_time time) {
  char buffer[BT_TIME_TEXT];
  return json_string(bt_time_iso(time, true, buffer));
}

json_t *emit_point_at(const bt_study *of, size_t i) {
  char buffer[BT_TIME_TEXT];
  return json_string(emit_at(of, i, buffer));
}

json_t *emit_rules(unsigned bits) {
  json_t *list = json_array();
  bool made = true;
  for (size_t r = 0; r < BT_RULE_COUNT && made; r++)
    if ((bits & bt_rule_table[r].bit) != 0)
      made = json_array_append_new(list, json_string(bt_rule_table[r].key)) == 0;
  return emit_whole(list, made);
}

json_t *emit_day_of(double day) {
  return emit_day((bt_time)floor(day) * BT_DAY);
}

json_t *emit_day_if(bool there, double day) {
  return there ? emit_day_of(day) : json_null();
}

json_t *emit_number_if(bool there, double value) {
  return there ? json_real(value) : json_null();
}

json_t *emit_count(size_t n) {
  return json_integer((json_int_t)n);
}
