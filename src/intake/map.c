/* Column maps.
 *
 * [format]   delimiter = one character, or semicolon, comma, tab, pipe. A bare ";" is taken too,
 *            though INI would read it as a comment; decimal = point | comma; thousands = point |
 * comma | space | apostrophe; dates = dmy | mdy | ymd; encoding = its name; unit = the laser that
 * all rows are of; form = wide | long. [columns]  canonical column, or a characteristic of the
 * clinic's own = header of the log, or @5 for the fifth column. In long form (one row a reading):
 * characteristic = the column that says which reading the row holds, value = the column that holds
 * it. [values]   what the text of a cell means: event.KIND = COLUMN, CELL [, before | after]
 *            state.as_found, state.as_left = COLUMN, CELL
 *            pattern.pass (a text column, a dot, the text to keep) = COLUMN, CELL
 *            selftest_passed.18 (a reading, a dot, the number) = COLUMN, CELL
 *            energy_mj (long form: the cell is the name of that reading) = COLUMN, CELL
 *            not_stored (long form: rows of that name are passed over; else: the cell is taken as
 *            empty) = COLUMN, CELL
 *            Several cells that mean the same are parted by "|": COLUMN, yes | 1, before.
 *            A cell may stand in several lines: selftest_passed.18 and selftest_total.18 of one;
 *            and a key in several: texts of another column, or more of them than a line holds.
 * [units]    canonical reading = unit of the log's column, converted to the canonical one. */
#include "map.h"
#include "beamtally/intake.h"
#include "convert.h"
#include "nearest.h"
#include "thousands.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

bool intake_is_column(const bt_column_choice *choice) {
  return choice->header != NULL || choice->position > 0;
}

bool intake_has_map(const bt_reading_choices *choices) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++)
    if (intake_is_column(&choices->columns[i]))
      return true;
  return false;
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

static bt_status take_form(intake_map_file *map, const intake_pair *pair, bt_error *error) {
  map->choices->long_form = strcasecmp(pair->value, "long") == 0;
  return map->choices->long_form || strcasecmp(pair->value, "wide") == 0
             ? BT_OK
             : bt_fail(error, BT_INPUT, "expected wide or long, found \"%s\"", pair->value);
}

/* What each row of a log without a column of events is. */
static bt_status take_event(bt_reading_choices *choices, const intake_pair *pair, bt_error *error) {
  char kinds[BT_EVENT_KEYS_TEXT];
  choices->all_events = bt_event_kind_of(pair->value, &choices->event);
  return choices->all_events
             ? BT_OK
             : bt_fail(error, BT_INPUT, "expected what every row of the log is (%s), found \"%s\"",
                       bt_event_keys(" or ", kinds), pair->value);
}

static bt_status take_format(intake_map_file *map, const intake_pair *pair, bt_error *error) {
  static const struct {
    const char *word;
    bt_date_order order;
  } orders[] = {{"dmy", BT_DATES_DMY}, {"mdy", BT_DATES_MDY}, {"ymd", BT_DATES_YMD}};
  const char *key = pair->key, *value = pair->value;
  bt_reading_choices *choices = map->choices;
  if (strcmp(key, "delimiter") == 0)
    return take_delimiter(choices, pair, error);
  if (value[0] == '\0')
    return bt_fail(error, BT_INPUT, "\"%s\" has no value", key);
  if (strcmp(key, "decimal") == 0) {
    choices->decimal = strcasecmp(value, "comma") == 0   ? BT_DECIMAL_COMMA
                       : strcasecmp(value, "point") == 0 ? BT_DECIMAL_POINT
                                                         : BT_DECIMAL_AUTO;
    bt_decimal_mark decimal = choices->decimal;
    return decimal != BT_DECIMAL_AUTO
               ? intake_thousands_check(choices->thousands, &decimal, error)
               : bt_fail(error, BT_INPUT, "expected point or comma, found \"%s\"", value);
  }
  if (strcmp(key, "thousands") == 0) {
    bt_decimal_mark decimal = choices->decimal;
    return intake_thousands_of_word(value, &choices->thousands)
               ? intake_thousands_check(choices->thousands, &decimal, error)
               : bt_fail(error, BT_INPUT,
                         "expected comma, point, space or apostrophe, found \"%s\"", value);
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
    return intake_ini_keep(&choices->encoding, value, error);
  }
  if (strcmp(key, "unit") == 0)
    return intake_ini_keep(&choices->unit, value, error);
  if (strcmp(key, "event") == 0)
    return take_event(choices, pair, error);
  if (strcmp(key, "form") == 0)
    return take_form(map, pair, error);
  return bt_fail(
      error, BT_INPUT,
      "\"%s\" is no key of [format]; it has delimiter, decimal, thousands, dates, encoding, unit, "
      "event, form",
      key);
}

static bt_status take_column(intake_map_file *map, const intake_pair *pair, bt_error *error) {
  bt_reading_choices *choices = map->choices;
  int item = 0;
  if (intake_role_in(choices, pair->key, &item) == INTAKE_ROLE_NONE) {
    const char *meant = intake_key_of_header(choices, pair->key);
    if (meant == NULL)
      meant = intake_nearest_key(choices->own, choices->own_n, pair->key, false);
    return bt_fail(error, BT_INPUT,
                   "\"%s\" is no canonical column; do you mean %s? (A characteristic of the "
                   "clinic's own is declared in the settings before)",
                   pair->key, meant);
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
    bt_status status = intake_ini_keep(&choice->header, pair->value, error);
    if (status != BT_OK)
      return status;
  }
  return intake_ini_keep(&choice->key, pair->key, error);
}

/* A characteristic of the clinic's own has no canonical unit that another could be converted to. */
static bt_status check_own_unit(const bt_own_characteristic *own, const char *unit,
                                bt_error *error) {
  if (intake_same_unit(own->unit, unit))
    return BT_OK;
  return bt_fail(error, BT_INPUT,
                 "%s is a characteristic of the clinic's own, in \"%s\": its readings are taken as "
                 "the log has them, and \"%s\" is not converted; take the line out",
                 own->key, own->unit, unit);
}

static bt_status take_unit(intake_map_file *map, const intake_pair *pair, bt_error *error) {
  intake_conversion conversion;
  int item = 0;
  intake_role role = intake_role_in(map->choices, pair->key, &item);
  if (role == INTAKE_ROLE_OWN)
    return check_own_unit(&map->choices->own[item], pair->value, error);
  if (role != INTAKE_ROLE_READING)
    return bt_fail(error, BT_INPUT, "\"%s\" is no reading; only readings have units", pair->key);
  if (!intake_conversion_of((bt_reading)item, pair->value, &conversion))
    return bt_fail(error, BT_INPUT, "\"%s\" can't be converted to %s, the unit of %s", pair->value,
                   bt_reading_unit((bt_reading)item)[0] == '\0' ? "a plain number"
                                                                : bt_reading_unit((bt_reading)item),
                   pair->key);
  if (!bt_grow(&map->units, &map->units_capacity, map->units_n + 1, sizeof *map->units))
    return bt_fail_memory(error);
  struct intake_map_unit *unit = &map->units[map->units_n++];
  unit->line = pair->line;
  bt_status status = intake_ini_keep(&unit->key, pair->key, error);
  return status == BT_OK ? intake_ini_keep(&unit->unit, pair->value, error) : status;
}

static bt_status take(void *context, const intake_pair *pair, bt_error *error) {
  intake_map_file *map = context;
  if (strcmp(pair->section, "format") == 0)
    return take_format(map, pair, error);
  if (strcmp(pair->section, "columns") == 0)
    return take_column(map, pair, error);
  if (strcmp(pair->section, "values") == 0)
    return intake_map_take_value(map, pair, error);
  if (strcmp(pair->section, "units") == 0)
    return take_unit(map, pair, error);
  return bt_fail(error, BT_INPUT,
                 "a map has the sections [format], [columns], [values] and [units], "
                 "not [%s]",
                 pair->section);
}

static bt_column_choice *column_of(const intake_map_file *map, const char *key) {
  for (size_t k = 0; k < map->choices->columns_n; k++)
    if (strcmp(map->choices->columns[k].key, key) == 0)
      return &map->choices->columns[k];
  return NULL;
}

/* Long form is said, or shown by its two columns; a map that names columns names both or none. */
static bt_status settle_form(intake_map_file *map, const char *path, bt_error *error) {
  bool name = column_of(map, "characteristic") != NULL, value = column_of(map, "value") != NULL;
  bool some = map->choices->columns_n > 0;
  if (name != value || (map->choices->long_form && some && !name))
    return bt_fail(error, BT_INPUT,
                   "%s: a log in long form (one row a reading) needs both under [columns]: "
                   "characteristic = the column that says which reading the row holds, and value = "
                   "the column that holds it",
                   path);
  map->choices->long_form = map->choices->long_form || name;
  return BT_OK;
}

/* In long form a reading has no column: a choice without one keeps its unit. */
static bt_status keep_unit(intake_map_file *map, struct intake_map_unit *unit, bt_error *error) {
  bt_reading_choices *choices = map->choices;
  if (!bt_grow(&choices->columns, &map->columns_capacity, choices->columns_n + 1,
               sizeof *choices->columns))
    return bt_fail_memory(error);
  bt_column_choice *choice = &choices->columns[choices->columns_n++];
  choice->key = unit->key;
  choice->from_unit = unit->unit;
  unit->key = unit->unit = NULL;
  return BT_OK;
}

/* Puts the units on their columns. */
static bt_status join_units(intake_map_file *map, const char *path, bt_error *error) {
  for (size_t i = 0; i < map->units_n; i++) {
    bt_column_choice *column = column_of(map, map->units[i].key);
    if (column == NULL && map->choices->long_form) {
      bt_status status = keep_unit(map, &map->units[i], error);
      if (status != BT_OK)
        return status;
      continue;
    }
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

static const char form[] =
    "A column map has the headings [format], [columns], [units] and [values], and under each its "
    "lines KEY = VALUE (under [columns]: date = Datum); `beamtally columns --write MAP FILE` writes "
    "one to begin with";

bt_status bt_map_read(const char *path, bt_reading_choices *choices, bt_error *error) {
  bt_reading_choices made = {.own = choices->own, .own_n = choices->own_n};
  intake_map_file map = {.choices = &made};
  bt_status status = intake_ini_read(path, "values", form, take, &map, error);
  if (status == BT_OK)
    status = settle_form(&map, path, error);
  if (status == BT_OK)
    status = join_units(&map, path, error);
  for (size_t i = 0; i < map.units_n; i++) {
    free(map.units[i].key);
    free(map.units[i].unit);
  }
  free(map.units);
  if (status != BT_OK) {
    bt_reading_choices_free(&made);
    return status;
  }
  *choices = made;
  return BT_OK;
}
