/* What the columns of a survey are read as. */
#include "columns.h"
#include "own.h"
#include "several.h"
#include "words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool intake_has_key(const bt_survey *survey, const char *key) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key != NULL && strcmp(survey->columns[i].key, key) == 0)
      return true;
  return false;
}

bool intake_has_events(const bt_survey *survey) {
  return (survey->choices != NULL && survey->choices->all_events) ||
         intake_has_key(survey, "event");
}

bool intake_has_readings(const bt_survey *survey) {
  int item = 0;
  for (size_t i = 0; i < survey->columns_n; i++)
    if (intake_is_number(intake_role_in(survey->choices, survey->columns[i].key, &item)))
      return true;
  return false;
}

bool intake_has_meanings(const bt_survey *survey, size_t i) {
  const bt_reading_choices *choices = survey->choices;
  char position[24];
  (void)snprintf(position, sizeof position, "@%zu", i + 1);
  for (size_t k = 0; choices != NULL && k < choices->values_n; k++)
    if (strcmp(choices->values[k].header, position) == 0 ||
        bt_same_name(choices->values[k].header, survey->columns[i].header))
      return true;
  return false;
}

bool intake_words_are_note(const bt_survey *survey, size_t i) {
  const bt_reading_choices *choices = survey->choices;
  const char *key = survey->columns[i].key;
  size_t column = 0;
  for (size_t k = 0; choices != NULL && k < choices->columns_n; k++) {
    const bt_column_choice *choice = &choices->columns[k];
    if (strcmp(choice->key, "note") == 0 && key != NULL && strcmp(key, "event") == 0 &&
        ((size_t)choice->position == i + 1 ||
         (choice->header != NULL && intake_find_column(survey, choice->header, &column) &&
          column == i)))
      return true;
  }
  return false;
}

bool intake_find_column(const bt_survey *survey, const char *header, size_t *column) {
  if (header[0] == '@') {
    char *end = NULL;
    long position = strtol(header + 1, &end, 10);
    if (*end == '\0' && position >= 1 && (size_t)position <= survey->columns_n) {
      *column = (size_t)position - 1;
      return true;
    }
  }
  for (size_t i = 0; i < survey->columns_n; i++)
    if (bt_same_name(survey->columns[i].header, header)) {
      *column = i;
      return true;
    }
  return false;
}

/* The survey's headers in one line, for a sentence; long ones are cut by the error's bound. */
bt_status intake_fail_with_headers(const bt_survey *survey, bt_error *error, const char *what,
                                   const char *do_this) {
  bt_text list = {0};
  char shown[INTAKE_SHORT_BYTES];
  for (size_t i = 0; i < survey->columns_n; i++)
    bt_text_format(&list, "%s%s", i == 0 ? "" : ", ",
                   intake_show(survey->columns[i].header, shown, sizeof shown));
  bt_status status = !bt_text_ok(&list) ? bt_fail_memory(error)
                                        : bt_fail(error, BT_INPUT, "%s; %s. Its columns are: %s",
                                                  what, do_this, bt_text_get(&list));
  bt_text_free(&list);
  return status;
}

bt_status intake_give_key(bt_survey *survey, size_t column, const char *key, bt_error *error) {
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
