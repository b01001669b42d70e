/* A column map to start from, for a log as a survey sees it.
 *
 * A1  What it writes is read by map.c as it stands, and the log by it as the survey read it, where
 *     only one line could be its header.
 * A2  A header that INI can't hold, or that two columns have, is named by its position.
 * A3  No value of the log stands in it, since it may hold what a map should not: but for "passed",
 *     "yes" and the like, and the few texts of what was done to the laser in a log of events, those
 *     of a column about the gas that tell of gas by their own words where nothing in it says who,
 *     and words that stand again and again among remarks for a gas refill. */
#include "starter.h"
#include "columns.h"
#include "declare.h"
#include "hinted.h"
#include "likely.h"
#include "map.h"
#include "map_line.h"
#include "offers.h"
#include "several.h"
#include "thousands.h"
#include "two_in_cell.h"

#include <string.h>
#include <strings.h>

enum { TEXT_WIDTH = 78 };

static void add_delimiter(char delimiter, bt_text *map) {
  switch (delimiter) {
  case ',':
    bt_text_add(map, "delimiter = comma\n");
    return;
  case ';':
    bt_text_add(map, "delimiter = semicolon\n");
    return;
  case '\t':
    bt_text_add(map, "delimiter = tab\n");
    return;
  case '|':
    bt_text_add(map, "delimiter = pipe\n");
    return;
  default:
    if (delimiter > ' ' && delimiter < 0x7F)
      bt_text_format(map, "delimiter = %c\n", delimiter);
  }
}

/* A log without any may be a list of days on which something was done. */
static bool holds_numbers(const bt_survey *survey) {
  bool numbers = false;
  for (size_t i = 0; i < survey->columns_n && !numbers; i++)
    numbers = intake_likely_keys(survey, &survey->columns[i]).content == INTAKE_CONTENT_NUMBER;
  return numbers;
}

/* A column will be offered as the one that names the laser. */
static bool offers_unit(const bt_survey *survey) {
  bool offers = false;
  for (size_t i = 0; i < survey->columns_n && !offers; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->key != NULL || column->identity || (survey->has_done && i == survey->done_column))
      continue;
    intake_likely likely = intake_likely_keys(survey, column);
    offers = likely.n > 0 && !likely.guessed && !likely.by_words &&
             strcmp(likely.key[0], "unit") == 0 && !intake_has_meanings(survey, i);
  }
  return offers;
}

/* What a person said, or an offer where cells look so. */
static void add_thousands(const bt_survey *survey, bt_text *map) {
  bt_thousands told = survey->choices == NULL ? BT_THOUSANDS_NONE : survey->choices->thousands;
  if (told != BT_THOUSANDS_NONE)
    bt_text_format(map, "thousands = %s\n", intake_thousands_word(told));
  else if (survey->grouped != BT_THOUSANDS_NONE)
    bt_text_format(map, "# If the %s in some of its numbers parts thousands:\n# thousands = %s\n",
                   intake_thousands_word(survey->grouped), intake_thousands_word(survey->grouped));
}

static void add_format(const bt_survey *survey, bt_text *map) {
  static const char *const orders[] = {
      [BT_DATES_YMD] = "ymd", [BT_DATES_DMY] = "dmy", [BT_DATES_MDY] = "mdy"};
  bt_text_add(map, "[format]\n");
  if (survey->long_form)
    bt_text_add(map, "form = long\n");
  add_delimiter(survey->delimiter, map);
  bool events = survey->source.kind == BT_SOURCE_EVENTS || survey->has_done;
  if (survey->decimal == BT_DECIMAL_AUTO && !events && !survey->no_readings)
    bt_text_add(map, "# One of these:\n# decimal = point\n# decimal = comma\n");
  else if (survey->decimal != BT_DECIMAL_AUTO)
    bt_text_format(map, "decimal = %s\n", survey->decimal == BT_DECIMAL_COMMA ? "comma" : "point");
  add_thousands(survey, map);
  if (survey->months_named)
    bt_text_add(map, "# dates name their month: no order is needed\n");
  else if (survey->dates == BT_DATES_AUTO)
    bt_text_add(map, "# One of these:\n# dates = dmy\n# dates = mdy\n# dates = ymd\n");
  else
    bt_text_format(map, "dates = %s\n", orders[survey->dates]);
  /* It is found for each file anew: the next month's may have another. */
  if (survey->choices != NULL && survey->choices->encoding != NULL &&
      strcasecmp(survey->choices->encoding, survey->encoding) == 0)
    bt_text_format(map, "encoding = %s\n", survey->encoding);
  if (survey->unit != NULL && intake_can_stand(survey->unit))
    bt_text_format(map, "unit = %s\n", survey->unit);
  else if (!intake_has_key(survey, "unit") && !offers_unit(survey))
    bt_text_add(map, "# unit = the laser that all rows are of\n");
  if (survey->choices != NULL && survey->choices->all_events)
    bt_text_format(map, "event = %s\n", bt_event_key(survey->choices->event));
  else if (!survey->long_form && !survey->has_done && !intake_has_key(survey, "event") &&
           !holds_numbers(survey))
    bt_text_add(map,
                "# if every row is one thing that was done to the laser (or gas_bottle, service\n"
                "# ...):\n# event = gas_refill\n");
}

/* What the columns above were offered. */
typedef struct offers {
  intake_offered keys;
  size_t declared; /* the number of the last characteristic of the clinic's own, there or offered */
} offers;

/* What a column of numbers could be declared as. */
static void add_declaration(const bt_survey_column *column, offers *above, bt_text *map) {
  intake_declaration d;
  intake_declare(column, &d);
  bt_text_format(map,
                 "# To chart it as it is, declare it in the settings file, take that in with\n"
                 "# `beamtally settings FILE --by NAME --why REASON`, and import again:\n"
                 "#   [characteristic %zu]\n#   key = %s\n#   title = ",
                 ++above->declared, d.key);
  intake_add_remark(d.title[0] == '\0' ? "its name" : d.title, map);
  bt_text_add(map, "\n#   unit = ");
  intake_add_remark(d.unit, map);
  bt_text_add(map, "\n#   decimals = 2\n");
}

/* One of the columns that hold several readings of one kind in one row. Offers the likeliest key to
 * the first of them alone; true where it is another. */
static bool add_several(const bt_survey *survey, size_t i, offers *above, bt_text *map) {
  size_t first = 0, last = 0, n = intake_several(survey, i, &first, &last);
  if (n == 0)
    return false;
  if (i != first) {
    bt_text_format(map, "\" (numbers): as column %zu\n", first + 1);
    add_declaration(&survey->columns[i], above, map);
    return true;
  }
  bt_text_format(map,
                 "\" (numbers): one of %zu readings of one kind in one row, it\n"
                 "# seems, up to column %zu. A key is read from one column: give the log a column\n"
                 "# of their mean and name that one, or save it in long form, one row a reading\n"
                 "# (date, unit, characteristic, value), or read one of them and declare the\n"
                 "# others as characteristics of your own.\n# Column %zu, \"",
                 n, last + 1, i + 1);
  intake_add_remark(survey->columns[i].header, map);
  return false;
}

/* One column that nothing names, as comments. */
static void add_unnamed(const bt_survey *survey, size_t i, offers *above, bt_text *units,
                        bt_text *map) {
  static const char *const contents[] = {[INTAKE_CONTENT_NONE] = "empty at first",
                                         [INTAKE_CONTENT_DATE] = "dates",
                                         [INTAKE_CONTENT_CLOCK] = "times of day",
                                         [INTAKE_CONTENT_NUMBER] = "numbers",
                                         [INTAKE_CONTENT_TEXT] = "words"};
  const bt_survey_column *column = &survey->columns[i];
  bt_text_format(map, "\n# Column %zu, \"", i + 1);
  intake_add_remark(column->header, map);
  if (column->identity) {
    bt_text_add(map, "\": looks like a patient's identity, never stored\n");
    return;
  }
  if (bt_is_bookkeeping(column->header)) {
    bt_text_add(map, "\": of Beamtally's own export, not read\n");
    return;
  }
  if (intake_is_of_units(survey, column)) {
    bt_text_add(map, "\": the unit of each row's value, it seems\n# value_unit = ");
    intake_add_column(survey, i, "", map);
    bt_text_add(map, "\n");
    return;
  }
  if (survey->has_done && i == survey->done_column) {
    bt_text_add(map, "\": what was done to the laser, it seems; what its texts mean stands\n"
                     "# under [values]\n# event = ");
    intake_add_column(survey, i, "", map);
    bt_text_add(map, "\n");
    return;
  }
  if (!intake_has_meanings(survey, i) && add_several(survey, i, above, map))
    return;
  intake_likely likely = intake_likely_keys(survey, column);
  bool elsewhere = likely.by_words || intake_has_meanings(survey, i);
  bt_text_format(map, "\" (%s)%s", contents[likely.content],
                 elsewhere                  ? ": what its texts mean stands under [values]\n"
                 : likely.n > 0             ? ": perhaps "
                 : intake_holds_two(column) ? ": two numbers in a cell; part it into two columns\n"
                                            : ": one of the keys below, or none\n");
  if (likely.by_words && intake_counted_of(column) > 0.0 &&
      strcmp(likely.key[0], "selftest_passed") == 0) {
    bt_text_add(map, "# and its counts (17 of 18) are read with:\n# selftest_passed = ");
    intake_add_column(survey, i, "", map);
    bt_text_add(map, "\n");
  }
  if (elsewhere)
    return;
  for (size_t k = 0; k < likely.n; k++)
    bt_text_format(map, "%s%s", k == 0 ? "" : k + 1 == likely.n ? " or " : ", ", likely.key[k]);
  if (likely.n > 0) {
    const char *key = intake_offer(&likely, &above->keys);
    if (likely.unit[0] != '\0') {
      bt_text_format(map, ", with \"%s = %s\" under [units]", key, likely.unit);
      bt_text_format(units, "# %s = %s\n", key, likely.unit);
    }
    bt_text_format(map, "\n# %s = ", key);
    intake_add_column(survey, i, "", map);
    bt_text_add(map, "\n");
  }
  if (likely.content == INTAKE_CONTENT_NUMBER && likely.n == 0)
    add_declaration(column, above, map);
}

/* The units of columns that are there: a map may name others, of a log that has them. As comments
 * those that a column's header has where a key is only likely. */
static void add_units(const bt_survey *survey, const bt_text *likely, bt_text *map) {
  const bt_reading_choices *choices = survey->choices;
  bt_text units = {0};
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++) {
    const bt_column_choice *choice = &choices->columns[i];
    bool there =
        intake_has_key(survey, choice->key) || (survey->long_form && !intake_is_column(choice));
    if (choice->from_unit != NULL && there)
      bt_text_format(&units, "%s = %s\n", choice->key, choice->from_unit);
  }
  bt_text_add(&units, bt_text_get(likely));
  if (units.length > 0)
    bt_text_format(map, "\n[units]\n%s", bt_text_get(&units));
  map->failed = map->failed || !bt_text_ok(&units) || !bt_text_ok(likely);
  bt_text_free(&units);
}

/* In long form the unit that stands in a name, as a comment. */
static void add_unit_of_name(const bt_survey *survey, const bt_survey_column *name,
                             bt_text *units) {
  intake_likely likely = {.n = 0};
  if (name->key == NULL && !name->identity)
    likely = intake_likely_keys(survey, name);
  if (likely.n > 0 && likely.unit[0] != '\0')
    bt_text_format(units, "# %s = %s\n", likely.key[0], likely.unit);
}

static void add_key(const char *key, size_t *used, bt_text *map) {
  size_t length = strlen(key) + 1;
  if (*used + length > TEXT_WIDTH) {
    bt_text_add(map, "\n#  ");
    *used = 3;
  }
  bt_text_format(map, " %s", key);
  *used += length;
}

/* All keys that a column can be read as, in lines that fit a terminal. */
static void add_keys(const bt_reading_choices *choices, bt_text *map) {
  size_t used = TEXT_WIDTH;
  bt_text_add(map, "\n# The keys there are:");
  for (size_t i = 0; intake_key(i) != NULL; i++)
    add_key(intake_key(i), &used, map);
  for (size_t i = 0; choices != NULL && i < choices->own_n; i++)
    add_key(choices->own[i].key, &used, map);
  bt_text_add(map, "\n");
}

/* No key is given to the column, or it is known as remarks and seems to say what was done. */
static bool is_open(const bt_survey *survey, size_t i) {
  return survey->columns[i].key == NULL || (survey->has_done && i == survey->done_column);
}

void bt_map_starter(const bt_survey *survey, bt_text *map) {
  offers above = {.declared = survey->choices == NULL ? 0 : survey->choices->own_n};
  size_t unnamed = 0;
  bt_text units = {0};
  bt_text_add(map, "# How the columns of \"");
  intake_add_remark(survey->source.name, map);
  bt_text_add(map, "\" are read.\n# A line behind # says nothing; take the # away to use it.\n\n");
  add_format(survey, map);
  bt_text_add(map, "\n[columns]\n");
  for (size_t i = 0; i < survey->columns_n; i++) {
    if (is_open(survey, i)) {
      unnamed++;
      continue;
    }
    bt_text_format(map, "%s = ", survey->columns[i].key);
    intake_add_column(survey, i, "", map);
    bt_text_add(map, "\n");
    if (intake_words_are_note(survey, i)) {
      bt_text_add(map, "note = ");
      intake_add_column(survey, i, "", map);
      bt_text_add(map, "\n");
    }
  }
  for (size_t i = 0; i < survey->columns_n; i++)
    if (is_open(survey, i))
      add_unnamed(survey, i, &above, &units, map);
  for (size_t i = 0; i < survey->names_n; i++)
    add_unit_of_name(survey, &survey->names[i], &units);
  add_units(survey, &units, map);
  bt_text_free(&units);
  intake_add_values(survey, above.declared, map);
  for (size_t i = 0; i < survey->names_n; i++)
    unnamed += survey->names[i].key == NULL;
  if (unnamed > 0)
    add_keys(survey->choices, map);
}
