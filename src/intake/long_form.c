/* Logs in long form: one row a reading, a column that names it and one of its value.
 *
 * Without a map a log is in long form where it has a date, a column that names readings and one of
 * values, and no event and no other reading; so "Value" alone means nothing. */
#include "long_form.h"
#include "columns.h"
#include "header.h"
#include "hinted.h"
#include "preview.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

static bool is_called(const char *header, const char *key) {
  const char *name = bt_canonical_column(header);
  return (name != NULL && strcmp(name, key) == 0) || intake_hints_at(header, key);
}

/* The column that its name or its header's words alone take for that key; false where it is none,
 * or several. */
static bool find_hinted(const bt_survey *survey, const char *key, size_t *column) {
  size_t n = 0;
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key == NULL && !survey->columns[i].identity &&
        is_called(survey->columns[i].header, key)) {
      *column = i;
      n++;
    }
  return n == 1;
}

static const char *const long_keys[] = {"characteristic", "value", "value_unit"};

bool intake_is_long_key(const char *key) {
  for (size_t i = 0; i < sizeof long_keys / sizeof long_keys[0]; i++)
    if (strcmp(key, long_keys[i]) == 0)
      return true;
  return false;
}

/* A preview shows what a log in long form holds though only a map can say that it is in it. */
static bt_status suppose_long_form(bt_survey *survey, bt_error *error) {
  size_t name = 0, value = 0;
  char named[INTAKE_SHORT_BYTES], valued[INTAKE_SHORT_BYTES];
  if (!survey->preview || intake_has_events(survey) || intake_has_readings(survey) ||
      !find_hinted(survey, "characteristic", &name) || !find_hinted(survey, "value", &value) ||
      name == value)
    return BT_OK;
  survey->long_form = true;
  bt_status status = intake_give_key(survey, name, "characteristic", error);
  if (status == BT_OK)
    status = intake_give_key(survey, value, "value", error);
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++)
    if (!intake_has_key(survey, "value_unit") && intake_is_of_units(survey, &survey->columns[i]))
      status = intake_give_key(survey, i, "value_unit", error);
  if (status != BT_OK)
    return status;
  return bt_fail(error, BT_INPUT,
                 "the log seems to have one row a reading (\"%s\" its name, \"%s\" its value), "
                 "which a column map must say; `beamtally columns --write MAP FILE` writes one",
                 intake_show(survey->columns[name].header, named, sizeof named),
                 intake_show(survey->columns[value].header, valued, sizeof valued));
}

bool intake_is_plain_unit(const char *header) {
  char simple[INTAKE_NAME_BYTES];
  return intake_simple_name(header, simple) && strcmp(simple, "unit") == 0;
}

bool intake_unit_is_of_values(const bt_survey *survey) {
  size_t names = 0, values = 0, lasers = 0;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *header = survey->columns[i].header, *key = bt_canonical_column(header);
    names += key != NULL && strcmp(key, "characteristic") == 0;
    values += key != NULL && strcmp(key, "value") == 0;
    lasers += key != NULL && strcmp(key, "unit") == 0 && !intake_is_plain_unit(header);
  }
  return names > 0 && values > 0 && lasers > 0;
}

bt_status intake_match_long_form(bt_survey *survey, bool stated, bt_error *error) {
  size_t names = 0, values = 0;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *key = bt_canonical_column(survey->columns[i].header);
    names += key != NULL && strcmp(key, "characteristic") == 0;
    values += key != NULL && strcmp(key, "value") == 0;
  }
  bool seems = names > 0 && values > 0;
  if (!stated && !seems)
    return suppose_long_form(survey, error);
  if (stated && !seems)
    return intake_fail_with_headers(
        survey, error,
        "the map says form = long, but no column is called characteristic (or "
        "parameter, quantity, reading) with another called value",
        "name both in the map's [columns]: characteristic = HEADER and value = "
        "HEADER");
  if (!stated &&
      (!intake_has_key(survey, "date") || intake_has_events(survey) || intake_has_readings(survey)))
    return BT_OK;
  survey->long_form = true;
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const char *key = bt_canonical_column(survey->columns[i].header);
    if (key != NULL && intake_is_long_key(key))
      status = intake_ask(survey, intake_give_key(survey, i, key, error), error);
    else if (survey->columns[i].key == NULL && intake_is_plain_unit(survey->columns[i].header))
      status = intake_give_key(survey, i, "value_unit", error); /* left by match.c */
  }
  return status;
}

/* In long form a row holds one reading, named by its cell: a column of one has no place. */
bt_status intake_check_long_form(const bt_survey *survey, bt_error *error) {
  if (!survey->long_form && intake_has_key(survey, "value_unit"))
    return bt_fail(error, BT_INPUT,
                   "value_unit is the unit of a row's reading, in a log in long form (one row a "
                   "reading); where each reading has a column, put its unit under [units]");
  if (!survey->long_form || !intake_has_readings(survey))
    return BT_OK;
  return bt_fail(error, BT_INPUT,
                 "the log is in long form (one row a reading), so that no column of its own can be "
                 "read as a reading; take those lines out of the map's [columns]");
}

void intake_keep_whole_long_form(bt_survey *survey) {
  survey->long_form = survey->long_form && intake_has_key(survey, "characteristic") &&
                      intake_has_key(survey, "value");
  for (size_t i = 0; i < survey->columns_n && !survey->long_form; i++) {
    char **key = &survey->columns[i].key;
    if (*key != NULL && intake_is_long_key(*key)) {
      free(*key);
      *key = NULL;
    }
  }
}
