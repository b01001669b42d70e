/* Hints of a preview: what is not stored though it could be, and how it would be. */
#include "hints.h"
#include "clock.h"
#include "columns.h"
#include "convert.h"
#include "declare.h"
#include "hinted.h"
#include "likely.h"
#include "moment.h"
#include "noted.h"
#include "number.h"
#include "own.h"
#include "preview.h"
#include "row.h"
#include "several.h"
#include "thousands.h"
#include "two_in_cell.h"
#include "words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { SHOWN_NAMES = 8 };

/* Puts one more name into a list of them; the first eight, then how many more. */
static void list(bt_text *text, size_t n, const char *name) {
  char shown[INTAKE_SHORT_BYTES];
  if (n < SHOWN_NAMES)
    bt_text_format(text, "%s\"%s\"", n == 0 ? "" : ", ", intake_show(name, shown, sizeof shown));
}

static void end_list(bt_text *text, size_t n) {
  if (n > SHOWN_NAMES)
    bt_text_format(text, " and %zu more", n - SHOWN_NAMES);
}

/* Puts the list of names into the sentence. */
static void add_list(const bt_text *names, bt_text *sentence) {
  bt_text_add(sentence, bt_text_get(names));
  sentence->failed = sentence->failed || !bt_text_ok(names);
}

/* How to declare one, as an example. */
static void add_declaration(bt_text *sentence, const bt_survey_column *column) {
  intake_declaration d;
  intake_declare(column, &d);
  bt_text_format(
      sentence,
      "to chart it, declare it in the settings: [characteristic 1] with key = %s, title "
      "= %s%s%s, then `beamtally settings FILE --by NAME --why REASON`, and import again",
      d.key, d.title[0] == '\0' ? "its name" : d.title,
      d.unit[0] == '\0' ? "" : ", unit = ", d.unit);
}

/* Columns of numbers that nothing reads: those that a map has a key for, and all others. */
static bt_status hint_columns(bt_survey *survey, bt_error *error) {
  bt_text keyed = {0}, others = {0}, sentence = {0};
  const bt_survey_column *first = NULL;
  size_t keyed_n = 0, others_n = 0;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->key != NULL || column->identity || bt_is_bookkeeping(column->header) ||
        intake_has_meanings(survey, i) || intake_is_of_units(survey, column) ||
        (survey->has_done && i == survey->done_column))
      continue;
    intake_likely likely = intake_likely_keys(survey, column);
    if (survey->long_form && likely.content == INTAKE_CONTENT_NUMBER)
      continue;
    if (likely.content == INTAKE_CONTENT_NUMBER && likely.n == 0) {
      first = first == NULL ? column : first;
      list(&others, others_n++, column->header);
    } else if (likely.n > 0 && (!likely.guessed || likely.content == INTAKE_CONTENT_DATE ||
                                likely.content == INTAKE_CONTENT_CLOCK)) {
      list(&keyed, keyed_n++, column->header);
    }
  }
  bt_status status = BT_OK;
  end_list(&keyed, keyed_n);
  end_list(&others, others_n);
  if (keyed_n > 0) {
    bt_text_add(&sentence, "not stored, but there is a key for it: ");
    add_list(&keyed, &sentence);
    bt_text_add(
        &sentence,
        ". `beamtally columns --write MAP FILE` writes a map that offers one for each; take "
        "the # off the lines that are right, and import with --map MAP");
    status = intake_add_hint(survey, &sentence, error);
  }
  if (status == BT_OK && others_n > 0) {
    bt_text_format(&sentence, "%s numbers that are not stored: ",
                   others_n == 1 ? "one column holds" : "some columns hold");
    add_list(&others, &sentence);
    bt_text_add(&sentence, others_n == 1 ? "; " : "; for the first, ");
    add_declaration(&sentence, first);
    status = intake_add_hint(survey, &sentence, error);
  }
  bt_text_free(&keyed);
  bt_text_free(&others);
  bt_text_free(&sentence);
  return status;
}

/* Names of readings, in long form, that nothing reads. */
static bt_status hint_names(bt_survey *survey, bt_error *error) {
  bt_text names = {0}, sentence = {0};
  const bt_survey_column *first = NULL;
  size_t n = 0;
  for (size_t i = 0; i < survey->names_n; i++)
    if (survey->names[i].key == NULL && !survey->names[i].identity) {
      list(&names, n++, survey->names[i].header);
      first = first == NULL ? &survey->names[i] : first;
    }
  bt_status status = BT_OK;
  if (n > 0) {
    end_list(&names, n);
    bt_text_format(&sentence, "the log has one row a reading, and %s not known: ",
                   n == 1 ? "one name is" : "some names are");
    add_list(&names, &sentence);
    bt_text_add(&sentence,
                ". Their rows would be refused: `beamtally columns --write MAP FILE` writes a map "
                "in which each can be given a key, or be not_stored; if there is no key for it, ");
    add_declaration(&sentence, first);
    status = bt_text_ok(&sentence) ? bt_fail(error, BT_INPUT, "%s", bt_text_get(&sentence))
                                   : bt_fail_memory(error);
    status = intake_ask(survey, status, error);
  }
  bt_text_free(&names);
  bt_text_free(&sentence);
  return status;
}

/* In long form a column of units of measurement is not followed. */
static bt_status hint_units(bt_survey *survey, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    char header[INTAKE_SHORT_BYTES];
    bt_text sentence = {0};
    if (!intake_is_of_units(survey, &survey->columns[i]))
      continue;
    bt_text_format(&sentence,
                   "the column \"%s\" is not read: a value is taken in the unit of its key "
                   "(energy_mj in mJ); to follow the column, put it into the map's [columns] as "
                   "value_unit",
                   intake_show(survey->columns[i].header, header, sizeof header));
    status = intake_add_hint(survey, &sentence, error);
    bt_text_free(&sentence);
  }
  return status;
}

/* Why an import would refuse that text of the column; NULL where it takes it, or can't be told. */
static const char *unreadable(const bt_survey *survey, intake_role role, int item, const char *text,
                              intake_moment *moment) {
  double number = 0.0, total = 0.0;
  const char *unit = NULL;
  intake_conversion conversion;
  bool stated = survey->choices != NULL && survey->choices->dates != BT_DATES_AUTO;
  if (intake_is_missing(text))
    return NULL;
  if (role == INTAKE_ROLE_TIME)
    return intake_is_clock(text) || intake_is_dotted_clock(text)
               ? NULL
               : "it is no time of day such as 07:58, 7:58, 7.58 or 7:58 pm";
  if (role == INTAKE_ROLE_DATE && survey->dates != BT_DATES_AUTO)
    return intake_moment_read(text, NULL, survey->dates, stated, moment) ? NULL : moment->reason;
  bool reading = intake_is_number(role);
  char joined[INTAKE_JOINED_BYTES];
  bool told = survey->choices != NULL && survey->choices->thousands != BT_THOUSANDS_NONE;
  const char *whole = told ? intake_join_thousands(text, survey->choices->thousands, joined) : NULL;
  if (reading && !told && intake_thousands_in(text, survey->decimal) != BT_THOUSANDS_NONE)
    return NULL; /* asked already */
  text = whole == NULL ? text : whole;
  if (!reading || survey->decimal == BT_DECIMAL_AUTO || intake_pair_of(text, &number, &total) ||
      bt_number_parse(text, survey->decimal, &number) ||
      (intake_number_before(text, survey->decimal, &number, &unit) &&
       intake_unit_in_cell(survey->choices, role, item, unit, &conversion)))
    return NULL;
  return survey->decimal == BT_DECIMAL_COMMA ? "it is no number with a decimal comma"
                                             : "it is no number with a decimal point";
}

/* Columns that are read, of whose first cells one can't be. */
static bt_status hint_unreadable(bt_survey *survey, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const bt_survey_column *column = &survey->columns[i];
    int item = 0;
    if (column->key == NULL || column->identity || intake_has_meanings(survey, i))
      continue;
    intake_role role = intake_role_in(survey->choices, column->key, &item);
    for (size_t k = 0; k < column->first_n; k++) {
      intake_moment moment = {.reason = NULL};
      bt_text sentence = {0};
      char header[INTAKE_SHORT_BYTES];
      const char *why = unreadable(survey, role, item, column->first[k], &moment);
      if (why == NULL)
        continue;
      bt_text_format(
          &sentence, "the column \"%s\" is read as %s, but \"%s\" in it would be refused: %s",
          intake_show(column->header, header, sizeof header), column->key, column->first[k], why);
      status = intake_add_hint(survey, &sentence, error);
      bt_text_free(&sentence);
      break;
    }
  }
  return status;
}

/* An offset whose header names no unit of measurement. */
static bool is_offset_without_unit(const bt_survey *survey, const bt_survey_column *column) {
  char unit[INTAKE_UNIT_BYTES], simple[INTAKE_NAME_BYTES];
  const char *key = column->key;
  if (column->identity || bt_is_bookkeeping(column->header) ||
      !intake_simple_name(column->header, simple))
    return false;
  if (key == NULL) {
    intake_likely likely = intake_likely_keys(survey, column);
    key = likely.n > 0 && !likely.guessed ? likely.key[0] : "";
  }
  for (size_t k = 0; survey->choices != NULL && k < survey->choices->columns_n; k++)
    if (survey->choices->columns[k].from_unit != NULL &&
        strcmp(survey->choices->columns[k].key, key) == 0)
      return false;
  intake_conversion conversion;
  intake_header_unit(column->header, unit);
  size_t end = strlen(simple);
  bool told = unit[0] != '\0' && intake_conversion_of(BT_READING_OFFSET_X_UM, unit, &conversion);
  bool ends =
      end > 2 && (strcmp(simple + end - 2, "um") == 0 || strcmp(simple + end - 2, "mm") == 0);
  return !told && !ends && (strcmp(key, "offset_x_um") == 0 || strcmp(key, "offset_y_um") == 0);
}

/* What is taken as micrometres may be millimetres, and no check would tell. */
static bt_status hint_offsets(bt_survey *survey, bt_error *error) {
  bt_text names = {0}, sentence = {0};
  bt_status status = BT_OK;
  size_t n = 0;
  for (size_t i = 0; i < survey->columns_n; i++)
    if (is_offset_without_unit(survey, &survey->columns[i]))
      list(&names, n++, survey->columns[i].header);
  if (n > 0) {
    add_list(&names, &sentence);
    bt_text_format(&sentence,
                   " name%s no unit and %s taken as µm; where the log has millimetres, say so in "
                   "a column map under [units]: offset_x_um = mm, offset_y_um = mm",
                   n == 1 ? "s" : "", n == 1 ? "is" : "are");
    status = intake_add_hint(survey, &sentence, error);
  }
  bt_text_free(&names);
  bt_text_free(&sentence);
  return status;
}

/* Columns of which one key can't be read. */
static bt_status hint_several(bt_survey *survey, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    size_t first = 0, last = 0;
    bt_text sentence = {0};
    char from[INTAKE_SHORT_BYTES], to[INTAKE_SHORT_BYTES];
    if (intake_has_meanings(survey, i) || intake_several(survey, i, &first, &last) == 0 ||
        first != i)
      continue;
    bt_text_format(
        &sentence,
        "the columns \"%s\" to \"%s\" seem to hold several readings of one kind in one row, and "
        "a key is read from one column: " INTAKE_SEVERAL,
        intake_show(survey->columns[i].header, from, sizeof from),
        intake_show(survey->columns[last].header, to, sizeof to));
    status = intake_add_hint(survey, &sentence, error);
    bt_text_free(&sentence);
  }
  return status;
}

/* A column that the clinic declared as its own before there was a reading of that name. */
static bt_status hint_once_own(bt_survey *survey, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  bt_status status = BT_OK;
  for (size_t i = 0; choices != NULL && i < survey->columns_n && status == BT_OK; i++) {
    const char *header = survey->columns[i].header, *key = survey->columns[i].key;
    char shown[INTAKE_SHORT_BYTES];
    bt_text sentence = {0};
    size_t own = 0;
    int item = 0;
    if (intake_role_in(choices, key, &item) != INTAKE_ROLE_READING ||
        !intake_own_of(header, choices->own, choices->own_n, &own))
      continue;
    const bt_own_characteristic *of = &choices->own[own];
    bt_text_format(&sentence,
                   "the column \"%s\" is read as %s, not as %s (%s) of the clinic's own, which the "
                   "settings declare: take that [characteristic] out of them, and read the older "
                   "logs anew with --again; or put the column into a map as %s",
                   intake_show(header, shown, sizeof shown), key, of->key, of->title, of->key);
    status = intake_add_hint(survey, &sentence, error);
    bt_text_free(&sentence);
  }
  return status;
}

bt_status intake_give_hints(bt_survey *survey, bt_error *error) {
  bool events = survey->source.kind == BT_SOURCE_EVENTS;
  bt_status unread = hint_unreadable(survey, error);
  if (unread != BT_OK)
    return unread;
  bt_status status = events ? BT_OK : hint_once_own(survey, error);
  if (status == BT_OK && !events)
    status = hint_several(survey, error);
  if (status == BT_OK && !events)
    status = hint_columns(survey, error);
  if (status == BT_OK && !events && !survey->long_form && !survey->has_done)
    status = intake_hint_noted(survey, error);
  if (status == BT_OK && !events && !survey->long_form)
    status = hint_offsets(survey, error);
  if (status == BT_OK && !events)
    status = intake_hint_two(survey, error);
  if (status == BT_OK && survey->long_form)
    status = hint_units(survey, error);
  return status == BT_OK && survey->long_form ? hint_names(survey, error) : status;
}
