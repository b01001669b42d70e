/* Headers to canonical columns.
 *
 * C1  With a map's [columns], the map alone says what is read; without, names do.
 * C2  A log has a date, and an event or something that a check holds.
 * C3  One column is read as one key, one key comes from one column.
 * C4  A log of events has no columns of checks, and the other way round: known by name they are
 *     left alone, asked for by a map they are refused.
 * C5  A column that looks like a patient's identity is never read, even where a map asks for it.
 * C6  Without a map a log is in long form where it has a date, a column that names readings and one
 *     of values, and no event and no other reading; so "Value" alone means nothing. */
#include "match.h"
#include "likely.h"
#include "map.h"
#include "plan.h"
#include "preview.h"
#include "several.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

static bool field_named(intake_fields *fields, const char *header) {
  for (size_t i = 0; i < fields->n; i++)
    if (bt_same_name(intake_field(fields, i), header))
      return true;
  return false;
}

static intake_score score_by_map(intake_fields *fields, const bt_reading_choices *choices) {
  intake_score score = {0};
  for (size_t i = 0; i < choices->columns_n; i++) {
    const bt_column_choice *choice = &choices->columns[i];
    bool there = choice->header == NULL
                     ? choice->position > 0 && (size_t)choice->position <= fields->n
                     : field_named(fields, choice->header);
    score.known += there;
    score.has_date = score.has_date || (there && strcmp(choice->key, "date") == 0);
  }
  return score;
}

intake_score intake_header_score(intake_fields *fields, const bt_reading_choices *choices) {
  intake_score score = {0};
  size_t names = 0, values = 0;
  if (intake_has_map(choices))
    return score_by_map(fields, choices);
  for (size_t i = 0; i < fields->n; i++) {
    const char *header = intake_field(fields, i);
    const char *key = intake_key_of_header(choices, header);
    int item = 0;
    if (key == NULL || intake_header_is_identity(header))
      continue;
    intake_role role = intake_role_in(choices, key, &item);
    names += role == INTAKE_ROLE_NAME;
    values += role == INTAKE_ROLE_VALUE;
    score.known += role != INTAKE_ROLE_NAME && role != INTAKE_ROLE_VALUE;
    score.has_date = score.has_date || role == INTAKE_ROLE_DATE;
  }
  if (score.has_date && names > 0 && values > 0) /* C6 */
    score.known += 2;
  return score;
}

/* The survey's headers in one line, for a sentence; long ones are cut by the error's bound. */
static bt_status fail_with_headers(const bt_survey *survey, bt_error *error, const char *what,
                                   const char *do_this) {
  bt_text list = {0};
  char shown[INTAKE_SHORT_BYTES];
  for (size_t i = 0; i < survey->columns_n; i++)
    bt_text_format(&list, "%s%s", i == 0 ? "" : ", ",
                   intake_show(survey->columns[i].header, shown, sizeof shown));
  bt_status status =
      bt_fail(error, BT_INPUT, "%s; %s. Its columns are: %s", what, do_this, bt_text_get(&list));
  bt_text_free(&list);
  return status;
}

static bt_status give_key(bt_survey *survey, size_t column, const char *key, bt_error *error) {
  bt_survey_column *taken = &survey->columns[column];
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key != NULL && strcmp(survey->columns[i].key, key) == 0)
      return bt_fail(error, BT_INPUT,
                     "the columns %zu and %zu would both be read as %s; choose one in a column map "
                     "(%s = @%zu); where both are readings of one row, " INTAKE_SEVERAL,
                     i + 1, column + 1, key, key, column + 1);
  if (taken->key != NULL)
    return bt_fail(error, BT_INPUT,
                   "the map reads the column \"%s\" as %s and as %s; it can be read as one only",
                   taken->header, taken->key, key);
  taken->key = bt_copy(key);
  return taken->key == NULL ? bt_fail_memory(error) : BT_OK;
}

static bt_status match_choice(bt_survey *survey, const bt_column_choice *choice, bt_error *error) {
  size_t column = 0, twins = 0;
  char what[256], shown[3 * INTAKE_SHORT_BYTES];
  if (choice->header == NULL) {
    if ((size_t)choice->position > survey->columns_n)
      return bt_fail(error, BT_INPUT,
                     "the map reads %s from column %d, but the log has %zu columns", choice->key,
                     choice->position, survey->columns_n);
    column = (size_t)choice->position - 1;
  } else {
    for (size_t i = 0; i < survey->columns_n; i++)
      twins += bt_same_name(survey->columns[i].header, choice->header);
    if (twins > 1)
      return bt_fail(error, BT_INPUT,
                     "the log has %zu columns \"%s\"; choose one by its position in the map (%s = "
                     "@N)",
                     twins, choice->header, choice->key);
    if (twins == 0 || !intake_find_column(survey, choice->header, &column)) {
      (void)snprintf(what, sizeof what,
                     "the map reads %s from a column \"%s\" that the log "
                     "doesn't have",
                     choice->key, intake_show(choice->header, shown, sizeof shown));
      return fail_with_headers(survey, error, what, "correct the map");
    }
  }
  if (survey->columns[column].identity)
    return bt_fail(error, BT_INPUT,
                   "the column \"%s\" looks like a patient's identity: it is never read; take it "
                   "out of the map",
                   survey->columns[column].header);
  return give_key(survey, column, choice->key, error);
}

bool intake_has_key(const bt_survey *survey, const char *key) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key != NULL && strcmp(survey->columns[i].key, key) == 0)
      return true;
  return false;
}

/* C4. */
static bool fits_kind(intake_role role, bool events) {
  switch (role) {
  case INTAKE_ROLE_NONE:
  case INTAKE_ROLE_DATE:
  case INTAKE_ROLE_TIME:
  case INTAKE_ROLE_UNIT:
    return true;
  case INTAKE_ROLE_EVENT:
  case INTAKE_ROLE_NOTE:
    return events;
  default:
    return !events;
  }
}

/* C4: what a log of checks calls a remark is an event's note, whether a header or a map says so. */
static bt_status take_remark_for_note(bt_survey *survey, bt_error *error) {
  for (size_t i = 0; i < survey->columns_n && !intake_has_key(survey, "note"); i++) {
    char **key = &survey->columns[i].key;
    if (*key == NULL || strcmp(*key, "remark") != 0)
      continue;
    free(*key);
    *key = bt_copy("note");
    if (*key == NULL)
      return bt_fail_memory(error);
  }
  return BT_OK;
}

static bt_status keep_to_one_kind(bt_survey *survey, bt_error *error) {
  bool events = intake_has_events(survey);
  if (events && take_remark_for_note(survey, error) != BT_OK)
    return error->status;
  if (survey->choices != NULL && survey->choices->all_events && intake_has_key(survey, "event"))
    return bt_fail(error, BT_INPUT,
                   "the map says what event every row is, and that a column says it; take out the "
                   "one or the other");
  for (size_t i = 0; i < survey->columns_n; i++) {
    bt_survey_column *column = &survey->columns[i];
    int item = 0;
    intake_role role = column->key == NULL ? INTAKE_ROLE_NONE
                                           : intake_role_in(survey->choices, column->key, &item);
    if (fits_kind(role, events))
      continue;
    if (intake_has_map(survey->choices)) {
      bt_status status =
          bt_fail(error, BT_INPUT,
                  "the map reads %s, but a log of %s has no such column; take it out of this map",
                  column->key,
                  !events                       ? "checks (it has no event column)"
                  : survey->choices->all_events ? "events (its [format] says so)"
                                                : "events (it has an event column)");
      status = intake_ask(survey, status, error);
      if (status != BT_OK)
        return status;
    }
    free(column->key);
    column->key = NULL;
  }
  return BT_OK;
}

/* C2. */
static bt_status check_date(const bt_survey *survey, bt_error *error) {
  return intake_has_key(survey, "date")
             ? BT_OK
             : fail_with_headers(survey, error, "no column is read as the date",
                                 "name it in a column map (date = HEADER)");
}

bool intake_has_events(const bt_survey *survey) {
  return (survey->choices != NULL && survey->choices->all_events) ||
         intake_has_key(survey, "event");
}

static bt_status check_reading(const bt_survey *survey, bt_error *error) {
  if (intake_has_events(survey) || survey->long_form ||
      (survey->choices != NULL && survey->choices->values_n > 0))
    return BT_OK;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *key = survey->columns[i].key;
    int item = 0;
    intake_role role = key == NULL ? INTAKE_ROLE_NONE : intake_role_in(survey->choices, key, &item);
    if (role == INTAKE_ROLE_READING || role == INTAKE_ROLE_OWN || role == INTAKE_ROLE_REFILL ||
        (role == INTAKE_ROLE_TEXT && item != BT_FIELD_OPERATOR && item != BT_FIELD_METER))
      return BT_OK;
  }
  return fail_with_headers(
      survey, error, "no column is read as a reading or an event",
      "name them in a column map (energy_mj = HEADER, event = HEADER), or say what all its "
      "rows are, under [format] (event = gas_refill)");
}

bt_status intake_check_unit(const bt_survey *survey, bt_error *error) {
  if (survey->unit != NULL || intake_has_key(survey, "unit"))
    return BT_OK;
  return bt_fail(error, BT_INPUT,
                 "the log doesn't say which laser it is of; name it with --unit, or with unit in "
                 "the map's [format]");
}

/* How many columns are read as a reading, canonical or of the clinic's own. */
static size_t readings_of(const bt_survey *survey) {
  size_t n = 0;
  for (size_t i = 0; i < survey->columns_n; i++) {
    int item = 0;
    const char *key = survey->columns[i].key;
    intake_role role = key == NULL ? INTAKE_ROLE_NONE : intake_role_in(survey->choices, key, &item);
    n += role == INTAKE_ROLE_READING || role == INTAKE_ROLE_OWN;
  }
  return n;
}

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

static bool is_long_key(const char *key) {
  for (size_t i = 0; i < sizeof long_keys / sizeof long_keys[0]; i++)
    if (strcmp(key, long_keys[i]) == 0)
      return true;
  return false;
}

/* A preview shows what a log in long form holds though only a map can say that it is in it. */
static bt_status suppose_long_form(bt_survey *survey, bt_error *error) {
  size_t name = 0, value = 0;
  char named[INTAKE_SHORT_BYTES], valued[INTAKE_SHORT_BYTES];
  if (!survey->preview || intake_has_events(survey) || readings_of(survey) > 0 ||
      !find_hinted(survey, "characteristic", &name) || !find_hinted(survey, "value", &value) ||
      name == value)
    return BT_OK;
  survey->long_form = true;
  bt_status status = give_key(survey, name, "characteristic", error);
  if (status == BT_OK)
    status = give_key(survey, value, "value", error);
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++)
    if (!intake_has_key(survey, "value_unit") && intake_is_of_units(survey, &survey->columns[i]))
      status = give_key(survey, i, "value_unit", error);
  if (status != BT_OK)
    return status;
  return bt_fail(error, BT_INPUT,
                 "the log seems to have one row a reading (\"%s\" its name, \"%s\" its value), "
                 "which a column map must say; `beamtally columns --write MAP FILE` writes one",
                 intake_show(survey->columns[name].header, named, sizeof named),
                 intake_show(survey->columns[value].header, valued, sizeof valued));
}

static bool is_plain_unit(const char *header) {
  char simple[INTAKE_NAME_BYTES];
  return intake_simple_name(header, simple) && strcmp(simple, "unit") == 0;
}

/* Where another column names the laser ("Laser"), "Unit" beside names and values is the unit of
 * measurement. */
static bool unit_is_of_values(const bt_survey *survey) {
  size_t names = 0, values = 0, lasers = 0;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *header = survey->columns[i].header, *key = bt_canonical_column(header);
    names += key != NULL && strcmp(key, "characteristic") == 0;
    values += key != NULL && strcmp(key, "value") == 0;
    lasers += key != NULL && strcmp(key, "unit") == 0 && !is_plain_unit(header);
  }
  return names > 0 && values > 0 && lasers > 0;
}

/* C6: the keys of long form go to their columns where the log is in it. */
static bt_status match_long_form(bt_survey *survey, bool stated, bt_error *error) {
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
    return fail_with_headers(
        survey, error,
        "the map says form = long, but no column is called characteristic (or "
        "parameter, quantity, reading) with another called value",
        "name both in the map's [columns]: characteristic = HEADER and value = "
        "HEADER");
  if (!stated &&
      (!intake_has_key(survey, "date") || intake_has_events(survey) || readings_of(survey) > 0))
    return BT_OK;
  survey->long_form = true;
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const char *key = bt_canonical_column(survey->columns[i].header);
    if (key != NULL && is_long_key(key))
      status = intake_ask(survey, give_key(survey, i, key, error), error);
    else if (survey->columns[i].key == NULL && is_plain_unit(survey->columns[i].header))
      status = give_key(survey, i, "value_unit", error); /* left by match_by_name */
  }
  return status;
}

static bt_status match_by_name(bt_survey *survey, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  bt_status status = BT_OK;
  bool of_values = unit_is_of_values(survey);
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const char *header = survey->columns[i].header, *key = intake_key_of_header(choices, header);
    if (key != NULL && !survey->columns[i].identity && !is_long_key(key) &&
        !(of_values && is_plain_unit(header)))
      status = intake_ask(survey, give_key(survey, i, key, error), error);
  }
  bool stated = choices != NULL && choices->long_form;
  return status == BT_OK ? intake_ask(survey, match_long_form(survey, stated, error), error)
                         : status;
}

/* In long form a row holds one reading, named by its cell: a column of one has no place. */
static bt_status check_long_form(const bt_survey *survey, bt_error *error) {
  if (!survey->long_form && intake_has_key(survey, "value_unit"))
    return bt_fail(error, BT_INPUT,
                   "value_unit is the unit of a row's reading, in a log in long form (one row a "
                   "reading); where each reading has a column, put its unit under [units]");
  if (!survey->long_form || readings_of(survey) == 0)
    return BT_OK;
  return bt_fail(error, BT_INPUT,
                 "the log is in long form (one row a reading), so that no column of its own can be "
                 "read as a reading; take those lines out of the map's [columns]");
}

/* A preview may know only one of the two columns of long form, which alone says nothing. */
static void keep_whole_long_form(bt_survey *survey) {
  survey->long_form = survey->long_form && intake_has_key(survey, "characteristic") &&
                      intake_has_key(survey, "value");
  for (size_t i = 0; i < survey->columns_n && !survey->long_form; i++) {
    char **key = &survey->columns[i].key;
    if (*key != NULL && is_long_key(*key)) {
      free(*key);
      *key = NULL;
    }
  }
}

bt_status intake_match_columns(bt_survey *survey, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  bt_status status = BT_OK;
  /* No header was found: that says the rest of it. */
  bool guessed = survey->questions_n > 0 &&
                 strncmp(survey->questions[survey->questions_n - 1], "no header line", 14) == 0;
  survey->long_form = intake_has_map(choices) && choices->long_form;
  for (size_t i = 0; i < survey->columns_n; i++)
    survey->columns[i].identity = intake_header_is_identity(survey->columns[i].header);
  if (!intake_has_map(choices))
    status = match_by_name(survey, error);
  else
    for (size_t i = 0; i < choices->columns_n && status == BT_OK; i++)
      if (intake_is_column(&choices->columns[i]))
        status = intake_ask(survey, match_choice(survey, &choices->columns[i], error), error);
  if (status == BT_OK)
    status = keep_to_one_kind(survey, error);
  if (status == BT_OK)
    status = intake_ask(survey, check_long_form(survey, error), error);
  if (status == BT_OK)
    keep_whole_long_form(survey);
  if (status != BT_OK || guessed)
    return status;
  if (status == BT_OK)
    status = intake_ask(survey, check_date(survey, error), error);
  return status == BT_OK ? intake_ask(survey, check_reading(survey, error), error) : status;
}
