/* Column maps.
 *
 * [format]   delimiter = one character, or semicolon, comma, tab, pipe. A bare ";" is taken too,
 *            though INI would read it as a comment; decimal = point | comma; dates = dmy | mdy |
 *            ymd; encoding = its name; unit = the laser that all rows are of.
 * [columns]  canonical column = header of the log, or @5 for the fifth column.
 * [values]   event.KIND = COLUMN, CELL [, before | after]
 *            state.as_found, state.as_left = COLUMN, CELL
 *            pattern.pass (a text column, a dot, the text to keep) = COLUMN, CELL
 *            Several cells that mean the same are parted by "|": COLUMN, yes | 1, before.
 * [units]    canonical reading = unit of the log's column, converted to the canonical one. */
#include "beamtally/intake.h"
#include "convert.h"
#include "header.h"
#include "ini.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

typedef struct map_file {
  bt_reading_choices *choices;
  size_t columns_capacity, values_capacity;
  /* [units] may stand before [columns]: kept until the end. */
  struct unit {
    char *key, *unit;
    int line;
  } units[BT_READING_COUNT];
  size_t units_n;
} map_file;

static bt_status set_text(char **to, const char *text, bt_error *error) {
  *to = bt_copy(text);
  return *to == NULL ? bt_fail_memory(error) : BT_OK;
}

static bt_status take_delimiter(bt_reading_choices *choices, const intake_pair *pair,
                                bt_error *error) {
  static const struct {
    const char *word;
    char delimiter;
  } words[] = {{"semicolon", ';'}, {"comma", ','}, {"tab", '\t'}, {"pipe", '|'}};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (strcasecmp(pair->value, words[i].word) == 0)
      choices->delimiter = words[i].delimiter;
  if (pair->value[0] != '\0' && pair->value[1] == '\0')
    choices->delimiter = pair->value[0];
  const char *after = pair->written + strcspn(pair->written, "=:");
  after += *after != '\0';
  after += strspn(after, " \t");
  if (pair->value[0] == '\0' && *after == ';')
    choices->delimiter = ';';
  if (choices->delimiter == '\0' || choices->delimiter == '"')
    return bt_fail(error, BT_INPUT,
                   "expected semicolon, comma, tab, pipe or one character as the delimiter");
  return BT_OK;
}

static bt_status take_format(bt_reading_choices *choices, const intake_pair *pair,
                             bt_error *error) {
  static const struct {
    const char *word;
    bt_date_order order;
  } orders[] = {{"dmy", BT_DATES_DMY}, {"mdy", BT_DATES_MDY}, {"ymd", BT_DATES_YMD}};
  const char *key = pair->key, *value = pair->value;
  if (strcmp(key, "delimiter") == 0)
    return take_delimiter(choices, pair, error);
  if (value[0] == '\0')
    return bt_fail(error, BT_INPUT, "\"%s\" has no value", key);
  if (strcmp(key, "decimal") == 0) {
    choices->decimal = strcasecmp(value, "comma") == 0   ? BT_DECIMAL_COMMA
                       : strcasecmp(value, "point") == 0 ? BT_DECIMAL_POINT
                                                         : BT_DECIMAL_AUTO;
    return choices->decimal != BT_DECIMAL_AUTO
               ? BT_OK
               : bt_fail(error, BT_INPUT, "expected point or comma, found \"%s\"", value);
  }
  if (strcmp(key, "dates") == 0) {
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++)
      if (strcasecmp(value, orders[i].word) == 0)
        choices->dates = orders[i].order;
    return choices->dates != BT_DATES_AUTO
               ? BT_OK
               : bt_fail(error, BT_INPUT, "expected dmy, mdy or ymd, found \"%s\"", value);
  }
  if (strcmp(key, "encoding") == 0) {
    bt_decoder *decoder = NULL;
    bt_status status = bt_decoder_open(value, &decoder, error);
    bt_decoder_close(decoder);
    if (status != BT_OK)
      return status == BT_USAGE ? bt_fail(error, BT_INPUT,
                                          "the encoding \"%s\" is not known here; "
                                          "common ones are UTF-8, UTF-16LE, WINDOWS-1252",
                                          value)
                                : status;
    return set_text(&choices->encoding, value, error);
  }
  if (strcmp(key, "unit") == 0)
    return set_text(&choices->unit, value, error);
  return bt_fail(error, BT_INPUT,
                 "\"%s\" is no key of [format]; it has delimiter, decimal, dates, encoding, unit",
                 key);
}

static bt_status take_column(map_file *map, const intake_pair *pair, bt_error *error) {
  bt_reading_choices *choices = map->choices;
  int item = 0;
  if (intake_role_of(pair->key, &item) == INTAKE_ROLE_NONE) {
    const char *meant = bt_canonical_column(pair->key);
    return bt_fail(error, BT_INPUT, "\"%s\" is no canonical column%s%s%s", pair->key,
                   meant == NULL ? "" : "; do you mean ", meant == NULL ? "" : meant,
                   meant == NULL ? "" : "?");
  }
  if (pair->value[0] == '\0')
    return bt_fail(error, BT_INPUT,
                   "\"%s\" has no value; name the log's column, or its position (@5)", pair->key);
  if (!bt_grow(&choices->columns, &map->columns_capacity, choices->columns_n + 1,
               sizeof *choices->columns))
    return bt_fail_memory(error);
  bt_column_choice *choice = &choices->columns[choices->columns_n++];
  if (pair->value[0] == '@') {
    char *end = NULL;
    long position = strtol(pair->value + 1, &end, 10);
    if (*end != '\0' || pair->value[1] == '\0' || position < 1 || position > 10000)
      return bt_fail(error, BT_INPUT, "expected a position such as @5, found \"%s\"", pair->value);
    choice->position = (int)position;
  } else {
    bt_status status = set_text(&choice->header, pair->value, error);
    if (status != BT_OK)
      return status;
  }
  return set_text(&choice->key, pair->key, error);
}

static char *trim(char *text) {
  text += strspn(text, " \t");
  size_t length = strlen(text);
  while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t'))
    length--;
  text[length] = '\0';
  return text;
}

/* One meaning; key and result as setup.h has them. */
static bt_status add_value(map_file *map, const char *key, const char *header, const char *cell,
                           const char *result, bt_error *error) {
  bt_reading_choices *choices = map->choices;
  if (!bt_grow(&choices->values, &map->values_capacity, choices->values_n + 1,
               sizeof *choices->values))
    return bt_fail_memory(error);
  bt_value_choice *choice = &choices->values[choices->values_n++];
  bt_status status = set_text(&choice->key, key, error);
  if (status == BT_OK)
    status = set_text(&choice->header, header, error);
  if (status == BT_OK)
    status = set_text(&choice->value, cell, error);
  if (status == BT_OK && result != NULL)
    status = set_text(&choice->result, result, error);
  return status;
}

/* Whether "event.gas_refill", "state.as_left", "pattern.pass" is a meaning; splits it for setup.h:
 * *key and *result point into `name`. `when`: the third part of the value, or NULL. */
static bt_status split_meaning(char *name, const char *when, const char **key, const char **result,
                               bt_error *error) {
  char *dot = strchr(name, '.');
  bt_event_kind kind;
  int item = 0;
  *key = name;
  *result = NULL;
  if (dot != NULL && dot[1] != '\0') {
    *dot = '\0';
    const char *meaning = dot + 1;
    bool is_event = strcmp(name, "event") == 0 && bt_event_kind_of(meaning, &kind);
    bool refill = is_event && kind == BT_EVENT_GAS_REFILL;
    bool is_state = strcmp(name, "state") == 0 &&
                    (strcmp(meaning, "as_found") == 0 || strcmp(meaning, "as_left") == 0);
    bool is_text = intake_role_of(name, &item) == INTAKE_ROLE_TEXT;
    if (is_event)
      *dot = '.';
    *result = is_event ? when : meaning;
    if (when != NULL && (!refill || (strcmp(when, "before") != 0 && strcmp(when, "after") != 0)))
      return bt_fail(
          error, BT_INPUT,
          "found \"%s\" behind the cell's text; only a gas refill has a third part, before "
          "or after",
          when);
    if (is_event || is_state || is_text)
      return BT_OK;
    *dot = '.';
  }
  return bt_fail(error, BT_INPUT,
                 "\"%s\" is no key of [values]; it has event.gas_refill and the other kinds of "
                 "events, state.as_found, state.as_left, and pattern.pass or the like",
                 name);
}

static bt_status take_value(map_file *map, const intake_pair *pair, bt_error *error) {
  const char *key = NULL, *result = NULL;
  bt_status status = BT_OK;
  char *name = bt_copy(pair->key), *value = bt_copy(pair->value);
  if (name == NULL || value == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  char *cells = strchr(value, ',');
  char *when = cells == NULL ? NULL : strchr(cells + 1, ',');
  if (when != NULL)
    *when++ = '\0';
  if (cells != NULL)
    *cells++ = '\0';
  if (cells == NULL || *trim(cells) == '\0' || *trim(value) == '\0') {
    status = bt_fail(error, BT_INPUT,
                     "expected the log's column, a comma, and the cell's text (%s = Refill, yes%s)",
                     pair->key, strcmp(pair->key, "event.gas_refill") == 0 ? ", before" : "");
    goto done;
  }
  status = split_meaning(name, when == NULL ? NULL : trim(when), &key, &result, error);
  for (char *cell = cells, *next; cell != NULL && status == BT_OK; cell = next) {
    next = strchr(cell, '|');
    if (next != NULL)
      *next++ = '\0';
    status = *trim(cell) == '\0' ? bt_fail(error, BT_INPUT, "a text between the bars is empty")
                                 : add_value(map, key, trim(value), trim(cell), result, error);
  }
done:
  free(name);
  free(value);
  return status;
}

static bt_status take_unit(map_file *map, const intake_pair *pair, bt_error *error) {
  intake_conversion conversion;
  int item = 0;
  if (intake_role_of(pair->key, &item) != INTAKE_ROLE_READING)
    return bt_fail(error, BT_INPUT, "\"%s\" is no reading; only readings have units", pair->key);
  if (!intake_conversion_of((bt_reading)item, pair->value, &conversion))
    return bt_fail(error, BT_INPUT, "\"%s\" can't be converted to %s, the unit of %s", pair->value,
                   bt_reading_unit((bt_reading)item)[0] == '\0' ? "a plain number"
                                                                : bt_reading_unit((bt_reading)item),
                   pair->key);
  struct unit *unit = &map->units[map->units_n++];
  unit->line = pair->line;
  bt_status status = set_text(&unit->key, pair->key, error);
  return status == BT_OK ? set_text(&unit->unit, pair->value, error) : status;
}

static bt_status take(void *context, const intake_pair *pair, bt_error *error) {
  map_file *map = context;
  if (strcmp(pair->section, "format") == 0)
    return take_format(map->choices, pair, error);
  if (strcmp(pair->section, "columns") == 0)
    return take_column(map, pair, error);
  if (strcmp(pair->section, "values") == 0)
    return take_value(map, pair, error);
  if (strcmp(pair->section, "units") == 0)
    return take_unit(map, pair, error);
  return bt_fail(error, BT_INPUT,
                 "a map has the sections [format], [columns], [values] and [units], "
                 "not [%s]",
                 pair->section);
}

/* Puts the units on their columns. */
static bt_status join_units(map_file *map, const char *path, bt_error *error) {
  for (size_t i = 0; i < map->units_n; i++) {
    bt_column_choice *column = NULL;
    for (size_t k = 0; k < map->choices->columns_n; k++)
      if (strcmp(map->choices->columns[k].key, map->units[i].key) == 0)
        column = &map->choices->columns[k];
    if (column == NULL)
      return bt_fail(error, BT_INPUT,
                     "%s, line %d: [units] has %s, but [columns] doesn't; name its "
                     "column there",
                     path, map->units[i].line, map->units[i].key);
    column->from_unit = map->units[i].unit;
    map->units[i].unit = NULL;
  }
  return BT_OK;
}

bt_status bt_map_read(const char *path, bt_reading_choices *choices, bt_error *error) {
  bt_reading_choices made = {0};
  map_file map = {.choices = &made};
  bt_status status = intake_ini_read(path, take, &map, error);
  if (status == BT_OK)
    status = join_units(&map, path, error);
  for (size_t i = 0; i < map.units_n; i++) {
    free(map.units[i].key);
    free(map.units[i].unit);
  }
  if (status != BT_OK) {
    bt_reading_choices_free(&made);
    return status;
  }
  *choices = made;
  return BT_OK;
}
