/* A file that holds no reading at all, as far as its first values tell: a list of days, or a diary
 * whose words tell of no kind of event. And a log of which nothing but remarks is read. */
#include "columns.h"
#include "done.h"
#include "likely.h"
#include "moment.h"
#include "preview.h"
#include "words.h"

#include <string.h>

/* Readings are numbers, and the words of a pattern or a self-test; who checked, with which meter,
 * what was remarked of it, and a refill beside it are none. */
static bool is_of_a_check(const bt_survey *survey, const char *key) {
  int item = 0;
  intake_role role = intake_role_in(survey->choices, key, &item);
  if (role == INTAKE_ROLE_TEXT)
    return item == BT_FIELD_PATTERN || item == BT_FIELD_SELFTEST_FAILED;
  return intake_is_number(role) || role == INTAKE_ROLE_STATE || role == INTAKE_ROLE_EVENT;
}

bool intake_holds_readings(const bt_survey *survey, size_t i) {
  const bt_survey_column *column = &survey->columns[i];
  if (intake_has_meanings(survey, i))
    return true;
  if (column->key != NULL)
    return is_of_a_check(survey, column->key);
  if (column->identity || bt_is_bookkeeping(column->header))
    return false;
  intake_likely likely = intake_likely_keys(survey, column);
  bool alone = survey->columns_n == 1; /* its header is a title */
  return likely.content == INTAKE_CONTENT_NUMBER || (!alone && likely.by_words) ||
         (!alone && likely.n > 0 && !likely.guessed && is_of_a_check(survey, likely.key[0]));
}

static bool is_of_days(const bt_survey *survey, size_t i) {
  const bt_survey_column *column = &survey->columns[i];
  return (column->key != NULL && strcmp(column->key, "date") == 0) ||
         intake_likely_keys(survey, column).content == INTAKE_CONTENT_DATE;
}

/* "12.01.2026 gas changed": what stands behind the date is no time of day. */
static bool has_words_behind_dates(const bt_survey_column *column) {
  for (size_t k = 0; k < column->first_n; k++)
    if (intake_has_words_behind(column->first[k]))
      return true;
  return false;
}

static void say(const bt_survey *survey, bt_text *sentence) {
  static const char kinds[] = "event = gas_refill (or gas_bottle, service ...)";
  const bt_survey_column *column = &survey->columns[0];
  bool days = is_of_days(survey, 0);
  if (survey->columns_n == 1 && (!days || has_words_behind_dates(column)))
    bt_text_add(sentence,
                "no column holds readings, and each row is one field. If it is a diary of what "
                "was done to the laser, part date and words by a semicolon (2026-08-17;gas "
                "changed), put date;event above them, and look again with `beamtally columns`");
  else if (survey->columns_n == 1)
    bt_text_format(sentence,
                   "no column holds readings: the file is a list of days. If the same was done to "
                   "the laser on each of them, a map says what, under [format]: %s",
                   kinds);
  else
    bt_text_format(sentence,
                   "no column holds readings. If it is a diary of what was done to the laser, a "
                   "map names the column of words (event = HEADER), and under [values] a line for "
                   "each of its texts (event.gas_refill = HEADER, TEXT); where every row is the "
                   "same, its [format] says so: %s",
                   kinds);
}

/* Nothing but a remark makes a check of its rows. */
static bool reads_remarks_alone(const bt_survey *survey) {
  bool remarks = false;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const char *key = survey->columns[i].key;
    if (intake_has_meanings(survey, i) ||
        (key != NULL && (is_of_a_check(survey, key) || strcmp(key, "refill") == 0)))
      return false;
    remarks = remarks || (key != NULL && strcmp(key, "remark") == 0);
  }
  return remarks;
}

static bt_status hint(bt_survey *survey, bt_text *sentence, bt_error *error) {
  bt_status status = intake_add_hint(survey, sentence, error);
  bt_text_free(sentence);
  return status;
}

bt_status intake_hint_no_readings(bt_survey *survey, bt_error *error) {
  bool none = survey->rows > 0 && survey->columns_n > 0 && !survey->long_form &&
              survey->source.kind == BT_SOURCE_CHECKS && !survey->has_done;
  bt_text sentence = {0};
  if (none && !survey->preview && reads_remarks_alone(survey)) {
    bt_text_add(
        &sentence,
        "no reading is read of it: each row goes in as a check that has a remark alone. If "
        "it is a diary of what was done to the laser, a column map that says event = HEADER, "
        "and under [values] a line for each of its texts (event.gas_refill = HEADER, TEXT), "
        "reads it so: `beamtally import --again --by NAME --why REASON --map MAP FILE`");
    return hint(survey, &sentence, error);
  }
  for (size_t i = 0; i < survey->columns_n && none; i++)
    none = !intake_holds_readings(survey, i);
  survey->no_readings = none && survey->preview;
  if (!survey->no_readings)
    return BT_OK;
  say(survey, &sentence);
  return hint(survey, &sentence, error);
}
