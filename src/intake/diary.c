/* Whether a log is a diary of what was done to the laser, and which of its columns says that: a
 * help for the person who writes a map, never a decision.
 *
 * E1  It has days and no column of numbers, whether one reads it or not.
 * E2  The column is the one whose header says that it is ("What was done"), where a text of it
 * tells of a kind of event or no other column holds readings; else one of few different texts some
 * of which tell of a kind of event: one whose header speaks of notes only where no other is, nor
 *     one of words that may be it; one whose header speaks of people, lasers or meters last.
 * E3  Of two of one rank the one of which at least twice as many rows tell of an event, else none.
 */
#include "columns.h"
#include "done.h"
#include "done_words.h"
#include "event_words.h"
#include "likely.h"

#include <string.h>

typedef enum rank { RANK_NONE, RANK_OTHERS, RANK_NOTES, RANK_TELLS, RANK_SAYS_SO } rank;

/* Rows whose text tells of a kind of event. */
static int64_t telling_rows(const bt_survey_column *column) {
  int64_t rows = 0;
  for (size_t k = 0; k < column->texts_n; k++)
    rows += intake_event_guess(column->texts[k]) != BT_EVENT_OTHER ? column->texts_rows[k] : 0;
  return rows;
}

static bool holds_other_readings(const bt_survey *survey, size_t done) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (i != done && intake_holds_readings(survey, i))
      return true;
  return false;
}

/* What the header of a column that nothing reads speaks of. */
static rank rank_by_header(const bt_survey *survey, const bt_survey_column *column) {
  static const char *const notes[] = {"remark", "note"};
  static const char *const others[] = {"operator", "unit", "meter"};
  intake_likely likely = intake_likely_keys(survey, column);
  const char *key = likely.n == 0 || likely.guessed ? "" : likely.key[0];
  for (size_t i = 0; i < sizeof notes / sizeof *notes; i++)
    if (strcmp(key, notes[i]) == 0)
      return RANK_NOTES;
  for (size_t i = 0; i < sizeof others / sizeof *others; i++)
    if (strcmp(key, others[i]) == 0)
      return RANK_OTHERS;
  return RANK_TELLS;
}

/* E2. */
static rank rank_of(const bt_survey *survey, size_t i) {
  const bt_survey_column *column = &survey->columns[i];
  int item = 0;
  intake_role role = intake_role_in(survey->choices, column->key, &item);
  bool text = role == INTAKE_ROLE_NONE || role == INTAKE_ROLE_TEXT;
  if (!text || column->identity || bt_is_bookkeeping(column->header) || column->texts_n == 0 ||
      intake_content_of(column) != INTAKE_CONTENT_TEXT)
    return RANK_NONE;
  bool tells = telling_rows(column) > 0;
  if (intake_says_done(column->header) && (tells || !holds_other_readings(survey, i)))
    return RANK_SAYS_SO;
  if (!tells || column->texts_more)
    return RANK_NONE;
  if (role == INTAKE_ROLE_TEXT)
    return item == BT_FIELD_REMARK ? RANK_NOTES : RANK_NONE;
  return rank_by_header(survey, column);
}

/* A column of which nothing says what its words are. */
static bool holds_unknown_words(const bt_survey *survey) {
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->key != NULL || column->identity || bt_is_bookkeeping(column->header) ||
        column->texts_n == 0 || intake_notes_yes(column))
      continue;
    intake_likely likely = intake_likely_keys(survey, column);
    if (likely.content == INTAKE_CONTENT_TEXT && likely.guessed && likely.n > 0)
      return true;
  }
  return false;
}

/* E1. */
static bool is_of_days_alone(const bt_survey *survey) {
  bool days = false;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    int item = 0;
    intake_content content = INTAKE_CONTENT_NONE;
    if (intake_is_number(intake_role_in(survey->choices, column->key, &item)) ||
        intake_has_meanings(survey, i))
      return false;
    if (column->key == NULL && !column->identity)
      content = intake_likely_keys(survey, column).content;
    if (content == INTAKE_CONTENT_NUMBER)
      return false;
    days = days || content == INTAKE_CONTENT_DATE ||
           (column->key != NULL && strcmp(column->key, "date") == 0);
  }
  return days;
}

void intake_find_done(bt_survey *survey) {
  rank best = RANK_NONE;
  int64_t most = 0, second = 0; /* telling rows of columns of the best rank */
  size_t found = 0;
  survey->has_done = false;
  if (survey->source.kind == BT_SOURCE_EVENTS || survey->long_form || !is_of_days_alone(survey))
    return;
  for (size_t i = 0; i < survey->columns_n; i++) {
    rank of = rank_of(survey, i);
    int64_t rows = telling_rows(&survey->columns[i]);
    if (of == RANK_NONE || of < best)
      continue;
    second = of > best ? 0 : rows > most ? most : rows > second ? rows : second;
    found = of > best ? 1 : found + 1;
    if (of > best || rows > most) {
      most = rows;
      survey->done_column = i;
    }
    best = of;
  }
  if (best <= RANK_NOTES && holds_unknown_words(survey))
    return;
  survey->has_done = found == 1 || (found > 1 && most > 0 && most >= 2 * second); /* E3 */
}
