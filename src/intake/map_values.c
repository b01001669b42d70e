/* The section [values] of a column map: what the text of a cell means.
 *
 * V1  A key and its meaning are parted by the first dot: "door.1.5" is 1.5 of the key "door".
 * V2  A cell may have several meanings, one for each key.
 * V3  A column or text that holds a comma or a bar stands in quotation marks, doubled inside it.
 * V4  A key without a dot says that the cell is the name of that reading, in long form. */
#include "beamtally/intake.h"
#include "map.h"
#include "nearest.h"
#include "words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static char *trim(char *text) {
  text += strspn(text, " \t");
  size_t length = strlen(text);
  while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t'))
    length--;
  text[length] = '\0';
  return text;
}

/* V3: cuts at the first such character outside quotation marks; NULL where there is none. */
static char *cut_at(char *text, char mark) {
  bool quoted = false;
  for (; *text != '\0'; text++) {
    if (*text == '"')
      quoted = !quoted;
    if (*text == mark && !quoted) {
      *text = '\0';
      return text + 1;
    }
  }
  return NULL;
}

/* V3: without blanks around it, and without the quotation marks. */
static char *plain(char *text) {
  text = trim(text);
  size_t length = strlen(text), kept = 0;
  if (length < 2 || text[0] != '"' || text[length - 1] != '"')
    return text;
  for (size_t i = 1; i + 1 < length; i++) {
    text[kept++] = text[i];
    i += text[i] == '"' && text[i + 1] == '"' && i + 2 < length;
  }
  text[kept] = '\0';
  return text;
}

static bool is_event(const char *key) {
  return strncmp(key, "event.", strlen("event.")) == 0;
}

/* V2: the same key twice, or two names, for one cell. */
static bt_status check_new(const bt_reading_choices *choices, const char *key, const char *header,
                           const char *cell, bool name, bt_error *error) {
  for (size_t i = 0; i < choices->values_n; i++) {
    const bt_value_choice *other = &choices->values[i];
    bool other_name = other->result == NULL && !is_event(other->key);
    if (((name && other_name) || strcmp(other->key, key) == 0) &&
        bt_same_name(other->header, header) && bt_same_name(other->value, cell))
      return bt_fail(error, BT_INPUT, "\"%s\" in the column \"%s\" means %s already; take one out",
                     cell, header, other->key);
  }
  return BT_OK;
}

/* One meaning; key and result as setup.h has them. */
static bt_status add_value(intake_map_file *map, const char *key, const char *header,
                           const char *cell, const char *result, bt_error *error) {
  bt_reading_choices *choices = map->choices;
  bt_status status = check_new(choices, key, header, cell, result == NULL && !is_event(key), error);
  if (status != BT_OK)
    return status;
  if (!bt_grow(&choices->values, &map->values_capacity, choices->values_n + 1,
               sizeof *choices->values))
    return bt_fail_memory(error);
  bt_value_choice *choice = &choices->values[choices->values_n++];
  status = intake_ini_keep(&choice->key, key, error);
  if (status == BT_OK)
    status = intake_ini_keep(&choice->header, header, error);
  if (status == BT_OK)
    status = intake_ini_keep(&choice->value, cell, error);
  if (status == BT_OK && result != NULL)
    status = intake_ini_keep(&choice->result, result, error);
  return status;
}

/* A number that a reading can have. */
static bt_status check_number(const char *key, const char *text, bool may_be_negative,
                              bt_error *error) {
  double number = 0.0;
  if (!bt_number_parse(text, BT_DECIMAL_POINT, &number) || !(fabs(number) < INTAKE_MOST_READABLE))
    return bt_fail(error, BT_INPUT,
                   "expected a number behind \"%s.\", with a decimal point (%s.18), found \"%s\"",
                   key, key, text);
  if (number < 0.0 && !may_be_negative)
    return bt_fail(error, BT_INPUT, "%s can't be below zero, found \"%s\"", key, text);
  return BT_OK;
}

static bt_status unknown(const intake_map_file *map, const char *name, bt_error *error) {
  char key[INTAKE_SHORT_BYTES];
  (void)intake_show(name, key, sizeof key);
  key[strcspn(key, ".")] = '\0';
  return bt_fail(error, BT_INPUT,
                 "\"%s\" is no key of [values]; it has event.gas_refill and the other kinds of "
                 "events, state.as_found, state.as_left, pattern.pass or the like, "
                 "selftest_passed.18 or the like, in long form energy_mj or the like; the nearest "
                 "key is %s",
                 name, intake_nearest_key(map->choices->own, map->choices->own_n, key, true));
}

/* V1: whether "event.gas_refill", "pattern.pass", "door.1" is a meaning; splits it for setup.h:
 * *key and *result point into `name`. `when`: the third part of the value, or NULL. */
static bt_status split_meaning(const intake_map_file *map, char *name, const char *when,
                               const char **key, const char **result, bt_error *error) {
  char *dot = strchr(name, '.');
  const char *meaning = dot == NULL ? NULL : dot + 1;
  bt_event_kind kind = BT_EVENT_OTHER;
  int item = 0;
  *key = name;
  *result = meaning;
  if (dot != NULL)
    *dot = '\0';
  intake_role role = intake_role_in(map->choices, name, &item);
  bool event = role == INTAKE_ROLE_EVENT && meaning != NULL && bt_event_kind_of(meaning, &kind);
  if (when != NULL && (!event || kind != BT_EVENT_GAS_REFILL ||
                       (strcmp(when, "before") != 0 && strcmp(when, "after") != 0)))
    return bt_fail(error, BT_INPUT,
                   "found \"%s\" behind the cell's text; only a gas refill has a third part, "
                   "before or after; a text that has a comma stands in quotation marks: \"a, b\"",
                   when);
  if (event) {
    *dot = '.';
    *result = when;
    return BT_OK;
  }
  bool state = role == INTAKE_ROLE_STATE && (meaning == NULL || strcmp(meaning, "as_found") == 0 ||
                                             strcmp(meaning, "as_left") == 0);
  bool text = role == INTAKE_ROLE_TEXT && (meaning == NULL || meaning[0] != '\0');
  bool name_only =
      meaning == NULL && (role == INTAKE_ROLE_REFILL || strcmp(name, INTAKE_NOT_STORED) == 0);
  if (state || text || name_only)
    return BT_OK;
  if (role == INTAKE_ROLE_READING || role == INTAKE_ROLE_OWN)
    return meaning == NULL ? BT_OK
                           : check_number(name, meaning,
                                          role == INTAKE_ROLE_OWN ||
                                              bt_reading_may_be_negative((bt_reading)item),
                                          error);
  if (dot != NULL)
    *dot = '.';
  return unknown(map, name, error);
}

bt_status intake_map_take_value(intake_map_file *map, const intake_pair *pair, bt_error *error) {
  const char *key = NULL, *result = NULL;
  bt_status status = BT_OK;
  char *name = bt_copy(pair->key), *value = bt_copy(pair->value);
  if (name == NULL || value == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  char *cells = cut_at(value, ',');
  char *when = cells == NULL ? NULL : cut_at(cells, ',');
  const char *column = plain(value);
  if (cells == NULL || *trim(cells) == '\0' || *column == '\0') {
    status = bt_fail(error, BT_INPUT,
                     "expected the log's column, a comma, and the cell's text (%s = Refill, yes%s)",
                     pair->key, strcmp(pair->key, "event.gas_refill") == 0 ? ", before" : "");
    goto done;
  }
  status = split_meaning(map, name, when == NULL ? NULL : trim(when), &key, &result, error);
  for (char *cell = cells, *next; cell != NULL && status == BT_OK; cell = next) {
    next = cut_at(cell, '|');
    cell = plain(cell);
    status = *cell == '\0' ? bt_fail(error, BT_INPUT, "a text between the bars is empty")
                           : add_value(map, key, column, cell, result, error);
  }
done:
  free(name);
  free(value);
  return status;
}
