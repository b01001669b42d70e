/* Two numbers in one cell, as some trackers log their offset: no key takes both, and as words they
 * would say nothing. "17/18", which a self-test's column may hold, is not meant. */
#include "two_in_cell.h"
#include "columns.h"
#include "preview.h"
#include "words.h"

#include <string.h>

enum { LONGEST = 32 };

static bool is_number(const char *text, size_t length) {
  char copy[LONGEST + 1];
  double number = 0.0;
  if (length == 0 || length > LONGEST)
    return false;
  memcpy(copy, text, length);
  copy[length] = '\0';
  return bt_number_parse(copy, BT_DECIMAL_POINT, &number) ||
         bt_number_parse(copy, BT_DECIMAL_COMMA, &number);
}

static bool is_two(const char *text) {
  size_t first = strcspn(text, "/;|");
  return text[first] != '\0' && is_number(text, first) &&
         is_number(text + first + 1, strlen(text + first + 1));
}

bool intake_holds_two(const bt_survey_column *column) {
  size_t filled = 0, counts = 0;
  double passed = 0.0, total = 0.0;
  for (size_t i = 0; i < column->first_n; i++) {
    if (intake_is_missing(column->first[i]))
      continue;
    if (!is_two(column->first[i]))
      return false;
    filled++;
    counts += intake_pair_of(column->first[i], &passed, &total);
  }
  return filled > counts;
}

bt_status intake_hint_two(bt_survey *survey, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n && status == BT_OK; i++) {
    const bt_survey_column *column = &survey->columns[i];
    char header[INTAKE_SHORT_BYTES];
    bt_text sentence = {0};
    if (column->key != NULL || column->identity || intake_has_meanings(survey, i) ||
        !intake_holds_two(column))
      continue;
    bt_text_format(
        &sentence,
        "the column \"%s\" has two numbers in a cell (%s), which no key takes: part it in "
        "a spreadsheet into two columns, each with its own header (Tracker x (µm), "
        "Tracker y (µm), say), and save the log anew",
        intake_show(column->header, header, sizeof header), column->first[0]);
    status = intake_add_hint(survey, &sentence, error);
    bt_text_free(&sentence);
  }
  return status;
}
