/* Headers to canonical columns.
 *
 * C1  With a map's [columns], the map alone says what is read; without, names do.
 * C2  A log has a date, and an event or something that a check holds.
 * C3  One column is read as one key, one key comes from one column; but what says what was done may
 *     be its own note as well.
 * C4  A log of events has no columns of checks, and the other way round: known by name they are
 *     left alone, asked for by a map they are refused.
 * C5  A column that looks like a patient's identity is never read, even where a map asks for it.
 * C6  long_form.c says which logs are in long form. */
#include "match.h"
#include "columns.h"
#include "convert.h"
#include "header.h"
#include "likely.h"
#include "long_form.h"
#include "map.h"
#include "preview.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

/* "Energy (mJ)" without its unit, which may stand in a line below the header; or all of it. */
static size_t without_unit(const char *header) {
  char unit[INTAKE_UNIT_BYTES];
  size_t length = strlen(header);
  intake_header_unit(header, unit);
  size_t behind = strlen(unit) + sizeof " ()" - 1;
  bool has_unit = length > behind && header[length - 1] == ')' && intake_is_unit(unit);
  return has_unit ? length - behind : length;
}

static bool field_named(intake_fields *fields, const char *header) {
  char bare[INTAKE_NAME_BYTES];
  size_t length = without_unit(header);
  bool both = length < sizeof bare && header[length] != '\0';
  memcpy(bare, header, both ? length : 0);
  bare[both ? length : 0] = '\0';
  for (size_t i = 0; i < fields->n; i++)
    if (intake_is_header(intake_field(fields, i), header) ||
        (both && intake_is_header(intake_field(fields, i), bare)))
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
      return intake_fail_with_headers(survey, error, what, "correct the map");
    }
  }
  if (survey->columns[column].identity)
    return bt_fail(error, BT_INPUT,
                   "the column \"%s\" looks like a patient's identity: it is never read; take it "
                   "out of the map",
                   survey->columns[column].header);
  /* "note = @2" beside "event = @2": the texts say what was done, and are kept as its note. */
  const char *taken = survey->columns[column].key;
  if (taken != NULL && strcmp(choice->key, "note") == 0 && strcmp(taken, "event") == 0)
    return BT_OK;
  if (taken != NULL && strcmp(choice->key, "event") == 0 && strcmp(taken, "note") == 0) {
    free(survey->columns[column].key);
    survey->columns[column].key = NULL;
  }
  return intake_give_key(survey, column, choice->key, error);
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
    intake_role role = intake_role_in(survey->choices, column->key, &item);
    if (fits_kind(role, events))
      continue;
    if (intake_has_map(survey->choices)) {
      bt_status status =
          bt_fail(error, BT_INPUT,
                  "the map reads %s, but a log of %s has no such column; take it out of this map%s",
                  column->key,
                  !events                       ? "checks (it has no event column)"
                  : survey->choices->all_events ? "events (its [format] says so)"
                                                : "events (it has an event column)",
                  !events && strcmp(column->key, "note") == 0
                      ? ", or, if the file tells what was done to the laser, name the column that "
                        "says so: event = HEADER"
                      : "");
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
             : intake_fail_with_headers(survey, error, "no column is read as the date",
                                        "name it in a column map (date = HEADER)");
}

static bt_status check_reading(const bt_survey *survey, bt_error *error) {
  if (intake_has_events(survey) || survey->long_form ||
      (survey->choices != NULL && survey->choices->values_n > 0))
    return BT_OK;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *key = survey->columns[i].key;
    int item = 0;
    intake_role role = intake_role_in(survey->choices, key, &item);
    if (role == INTAKE_ROLE_READING || role == INTAKE_ROLE_OWN || role == INTAKE_ROLE_REFILL ||
        (role == INTAKE_ROLE_TEXT && item != BT_FIELD_OPERATOR && item != BT_FIELD_METER))
      return BT_OK;
  }
  return intake_fail_with_headers(
      survey, error, "no column is read as a reading or an event",
      "name them in a column map (energy_mj = HEADER, event = HEADER), or say what all its "
      "rows are, under [format] (event = gas_refill)");
}

bt_status intake_check_unit(const bt_survey *survey, bt_error *error) {
  if (survey->unit != NULL || intake_has_key(survey, "unit"))
    return BT_OK;
  char column[INTAKE_SHORT_BYTES];
  for (size_t i = 0; survey->preview && i < survey->columns_n; i++) {
    intake_likely likely = intake_likely_keys(survey, &survey->columns[i]);
    if (survey->columns[i].key == NULL && likely.n > 0 && !likely.guessed &&
        strcmp(likely.key[0], "unit") == 0)
      return bt_fail(error, BT_INPUT,
                     "no column is read as the laser that a row is of. If \"%s\" names it, say "
                     "unit = %s in the map's [columns]; else name the laser with --unit, or with "
                     "unit in the map's [format]",
                     intake_show(survey->columns[i].header, column, sizeof column), column);
  }
  return bt_fail(error, BT_INPUT,
                 "the log doesn't say which laser it is of; name it with --unit, or with unit in "
                 "the map's [format]");
}

static bt_status match_by_name(bt_survey *survey, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  bt_status status = BT_OK;
  bool of_values = intake_unit_is_of_values(survey);
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const char *header = survey->columns[i].header, *key = intake_key_of_header(choices, header);
    if (key != NULL && !survey->columns[i].identity && !intake_is_long_key(key) &&
        !(of_values && intake_is_plain_unit(header)))
      status = intake_ask(survey, intake_give_key(survey, i, key, error), error);
  }
  bool stated = choices != NULL && choices->long_form;
  return status == BT_OK ? intake_ask(survey, intake_match_long_form(survey, stated, error), error)
                         : status;
}

/* Whether a map names a column by its header: of each that isn't there it is said. */
static bool names_headers(const bt_reading_choices *choices) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++)
    if (choices->columns[i].header != NULL)
      return true;
  return false;
}

bt_status intake_match_columns(bt_survey *survey, bool header, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  bt_status status = BT_OK;
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
    status = intake_ask(survey, intake_check_long_form(survey, error), error);
  if (status == BT_OK)
    intake_keep_whole_long_form(survey);
  if (status != BT_OK || (!header && !names_headers(choices)))
    return status; /* that no header was recognised says the rest of it */
  status = intake_ask(survey, check_date(survey, error), error);
  return status == BT_OK ? intake_ask(survey, check_reading(survey, error), error) : status;
}
