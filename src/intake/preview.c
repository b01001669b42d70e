/* Questions and first values of a preview. */
#include "preview.h"
#include "clock.h"
#include "columns.h"
#include "date.h"
#include "header.h"
#include "hinted.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

enum { FIRST_VALUE_BYTES = 81 };

bt_status intake_ask(bt_survey *survey, bt_status status, bt_error *error) {
  if (!survey->preview || status != BT_INPUT)
    return status;
  size_t n = survey->questions_n;
  char **more = realloc(survey->questions, (n + 1) * sizeof *more);
  if (more == NULL)
    return bt_fail_memory(error);
  survey->questions = more;
  more[n] = bt_copy(error->text);
  if (more[n] == NULL)
    return bt_fail_memory(error);
  survey->questions_n++;
  *error = (bt_error){0};
  return BT_OK;
}

void intake_forget_questions(bt_survey *survey) {
  for (size_t i = 0; i < survey->questions_n; i++)
    free(survey->questions[i]);
  free(survey->questions);
  survey->questions = NULL;
  survey->questions_n = 0;
}

bt_status intake_add_hint(bt_survey *survey, bt_text *sentence, bt_error *error) {
  char **more = realloc(survey->hints, (survey->hints_n + 1) * sizeof *more);
  if (more == NULL)
    return bt_fail_memory(error);
  survey->hints = more;
  more[survey->hints_n] = bt_text_take(sentence);
  if (more[survey->hints_n] == NULL)
    return bt_fail_memory(error);
  survey->hints_n++;
  return BT_OK;
}

void intake_forget_hints(bt_survey *survey) {
  for (size_t i = 0; i < survey->hints_n; i++)
    free(survey->hints[i]);
  free(survey->hints);
  survey->hints = NULL;
  survey->hints_n = 0;
}

bt_status intake_keep_first_cell(bt_survey_column *column, const char *text, bt_error *error) {
  char shown[FIRST_VALUE_BYTES];
  if (column->first_n == BT_FIRST_VALUES || column->identity || text[0] == '\0')
    return BT_OK;
  char *copy = bt_copy(intake_show(text, shown, sizeof shown));
  if (copy == NULL)
    return bt_fail_memory(error);
  column->first[column->first_n++] = copy;
  return BT_OK;
}

/* A column's name without the unit that a line below gave it. */
static bool begins_header(const char *cell, const char *header) {
  char line[INTAKE_HEADER_LINE_BYTES];
  size_t length = intake_line_of(cell, line) ? strlen(line) : 0;
  return length > 0 && strncmp(header, line, length) == 0 && strncmp(header + length, " (", 2) == 0;
}

/* The header once more, where logs were joined: each filled cell is its column's name, which may
 * have got its unit from a line below. */
static bool is_header_again(const bt_survey *survey, intake_fields *fields) {
  size_t names = 0;
  for (size_t i = 0; i < survey->columns_n && i < fields->n; i++) {
    const char *cell = intake_field(fields, i), *header = survey->columns[i].header;
    if (cell[0] != '\0' && !begins_header(cell, header) && !intake_is_header(cell, header))
      return false;
    names += cell[0] != '\0';
  }
  return names > 1;
}

bt_status intake_keep_first_cells(bt_survey *survey, intake_fields *fields, size_t secret,
                                  bt_error *error) {
  bt_status status = BT_OK;
  if (is_header_again(survey, fields))
    return BT_OK;
  for (size_t i = 0; i < survey->columns_n && i < fields->n && status == BT_OK; i++)
    if (i != secret)
      status = intake_keep_first_cell(&survey->columns[i], intake_field(fields, i), error);
  return status;
}

void intake_suspect(const bt_survey *survey, intake_records *records, intake_evidence *hunch) {
  intake_fields *fields = &records->fields;
  bt_thousands thousands = survey->choices == NULL ? BT_THOUSANDS_NONE : survey->choices->thousands;
  for (size_t i = 0; i < survey->columns_n && i < fields->n; i++) {
    const char *text = intake_field(fields, i), *key = survey->columns[i].key;
    bool clock = intake_is_dotted_clock(text) && intake_hints_at(survey->columns[i].header, "time");
    if (key != NULL && strcmp(key, "value") != 0) /* of readings whose names may not be known */
      continue;
    if (clock)
      continue;
    if (intake_date_of(text) != INTAKE_DATE_NOTHING)
      intake_hear_date(hunch, text, records->first_line);
    else
      intake_hear_number(hunch, text, thousands, records->first_line);
  }
}

void intake_follow(bt_survey *survey, const intake_evidence *hunch) {
  if (!intake_has_key(survey, "date") && survey->dates == BT_DATES_AUTO &&
      intake_decide_dates(hunch, BT_DATES_AUTO, &survey->dates, NULL) != BT_OK)
    survey->dates = BT_DATES_AUTO;
  if (!intake_has_key(survey, "date") && survey->dates == BT_DATES_YMD)
    survey->months_named = hunch->named && !hunch->numbered;
  if (!intake_has_readings(survey) && survey->decimal == BT_DECIMAL_AUTO &&
      intake_decide_decimal(hunch, BT_DECIMAL_AUTO, survey->delimiter, &survey->decimal, NULL) !=
          BT_OK)
    survey->decimal = BT_DECIMAL_AUTO;
}

/* Both marks stand in columns that nothing reads yet, some of which may never be read. */
static bt_status hint_both_marks(bt_survey *survey, bt_error *told, bt_error *error) {
  bt_text sentence = {0};
  bt_text_format(&sentence, "of the columns that nothing reads yet, %s", told->text);
  bt_status status = intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}

bt_status intake_ask_by(bt_survey *survey, const intake_evidence *hunch, bt_error *error) {
  bt_error told = {0};
  bt_date_order order = BT_DATES_AUTO;
  bt_decimal_mark mark = BT_DECIMAL_AUTO;
  bool checks =
      survey->source.kind == BT_SOURCE_CHECKS && !survey->no_readings && !survey->has_done;
  bt_status status = BT_OK;
  if (!intake_has_key(survey, "date") && survey->dates == BT_DATES_AUTO)
    status = intake_ask(survey, intake_decide_dates(hunch, BT_DATES_AUTO, &order, error), error);
  for (int m = INTAKE_MARK_POINT; m <= INTAKE_MARK_COMMA_EITHER && checks; m++)
    survey->decimal_open =
        survey->decimal_open || (survey->decimal == BT_DECIMAL_AUTO && hunch->mark[m].line != 0);
  if (status != BT_OK || !checks || intake_has_readings(survey) ||
      survey->decimal != BT_DECIMAL_AUTO ||
      intake_decide_decimal(hunch, BT_DECIMAL_AUTO, survey->delimiter, &mark, &told) == BT_OK)
    return status;
  if (hunch->mark[INTAKE_MARK_POINT].line != 0 && hunch->mark[INTAKE_MARK_COMMA].line != 0)
    return hint_both_marks(survey, &told, error);
  return intake_ask(survey, bt_fail(error, BT_INPUT, "%s", told.text), error);
}

/* "1397, with a mark of thousands, or a slip for 1.397, "; of several groups the first reading. */
static void add_both_readings(const char *text, bt_thousands mark, bool comma, bt_text *sentence) {
  char joined[INTAKE_JOINED_BYTES];
  const char *whole = intake_join_thousands(text, mark, joined);
  bt_text_format(sentence, "%s, with a mark of thousands, ",
                 whole == NULL ? "a whole number" : whole);
  if (whole == NULL || strlen(text) != strlen(whole) + 1)
    return;
  size_t before = 0; /* up to the mark */
  while (text[before] == whole[before])
    before++;
  bt_text_format(sentence, "or a slip for %.*s%c%s, ", (int)before, text, comma ? ',' : '.',
                 whole + before);
}

bt_status intake_ask_thousands(bt_survey *survey, const intake_evidence *named,
                               const intake_evidence *hunch, bt_error *error) {
  bool comma = survey->decimal == BT_DECIMAL_COMMA;
  const intake_said *found = NULL;
  bool asked = false;
  bool told = survey->choices != NULL && survey->choices->thousands != BT_THOUSANDS_NONE;
  if (told || survey->source.kind == BT_SOURCE_EVENTS || survey->has_done)
    return BT_OK;
  for (int m = BT_THOUSANDS_POINT; m <= BT_THOUSANDS_APOSTROPHE && !asked; m++) {
    const intake_said *read = &named->grouped[comma][m], *unread = &hunch->grouped[comma][m];
    asked = read->line != 0 || (unread->line != 0 && !intake_has_readings(survey));
    if (!asked && (found != NULL || unread->line == 0))
      continue;
    found = read->line != 0 ? read : unread;
    survey->grouped = (bt_thousands)m;
  }
  /* Where the decimal mark is open too, its question has asked. */
  if (found == NULL || (survey->decimal == BT_DECIMAL_AUTO && survey->decimal_open))
    return BT_OK;
  bt_text sentence = {0};
  bt_text_format(&sentence, "\"%s\" (line %lld", found->text, (long long)found->line);
  if (found->rows > 1)
    bt_text_format(&sentence, ", and %lld more of such cells", (long long)found->rows - 1);
  bt_text_add(&sentence, ") can be ");
  add_both_readings(found->text, survey->grouped, comma, &sentence);
  bt_text_format(&sentence,
                 "and nothing is guessed: such cells are refused until a column map says under "
                 "[format]: thousands = %s. Say that if it is so, or correct the log",
                 intake_thousands_word(survey->grouped));
  bt_status status = BT_OK;
  if (!bt_text_ok(&sentence))
    status = bt_fail_memory(error);
  else if (asked)
    status = intake_ask(survey, bt_fail(error, BT_INPUT, "%s", bt_text_get(&sentence)), error);
  else
    status = intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}
