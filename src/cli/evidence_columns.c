/* The columns of a log that is to go along with an evidence folder, read again as it was imported:
 * the ledger's words on that reading ("delimiter 59", "column 5 energy_mj ...") tell how. */
#include "evidence.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The text after `name` in the line of `reading` that begins with it; NULL. */
static const char *line_of(const char *reading, const char *name) {
  size_t length = strlen(name);
  for (const char *at = reading; at != NULL && *at != '\0';) {
    if (strncmp(at, name, length) == 0)
      return at + length;
    at = strchr(at, '\n');
    at = at == NULL ? NULL : at + 1;
  }
  return NULL;
}

/* `column 5 energy_mj "E Ist (mJ)" in J`: key and header, owned. */
static bool read_column(const char *line, bt_column_choice *column) {
  const char *key = strchr(line, ' '), *end = line + strcspn(line, "\n");
  const char *open = key == NULL ? NULL : strchr(key + 1, ' ');
  if (open == NULL || open >= end || open[1] != '"')
    return false;
  const char *close = end - 1;
  while (close > open + 1 && *close != '"')
    close--;
  bt_text key_text = {0}, header = {0};
  bt_text_add_bytes(&key_text, key + 1, (size_t)(open - key - 1));
  bt_text_add_bytes(&header, open + 2, (size_t)(close - open - 2));
  *column = (bt_column_choice){.key = bt_text_take(&key_text), .header = bt_text_take(&header)};
  return column->key != NULL && column->header != NULL;
}

/* What `reading` says of columns, delimiter and encoding, as a map would. */
static bt_status choices_of(const char *reading, bt_reading_choices *choices, bt_error *error) {
  size_t room = 0;
  const char *encoding = line_of(reading, "encoding "), *delimiter = line_of(reading, "delimiter ");
  bt_text word = {0};
  *choices = (bt_reading_choices){.long_form = line_of(reading, "form long") != NULL};
  if (delimiter != NULL)
    choices->delimiter = (char)strtol(delimiter, NULL, 10);
  if (encoding != NULL)
    bt_text_add_bytes(&word, encoding, strcspn(encoding, "\n"));
  choices->encoding = bt_text_take(&word);
  bool whole = choices->encoding != NULL;
  for (const char *at = line_of(reading, "column "); at != NULL && whole;
       at = line_of(strchr(at, '\n'), "column ")) {
    bt_column_choice column = {0};
    whole = bt_grow(&choices->columns, &room, choices->columns_n + 1, sizeof *choices->columns) &&
            read_column(at, &column);
    if (whole)
      choices->columns[choices->columns_n++] = column;
    else {
      free(column.key);
      free(column.header);
    }
    if (strchr(at, '\n') == NULL)
      break;
  }
  return whole ? BT_OK : bt_fail_memory(error);
}

/* `value event.gas_bottle "Gas" "new bottle" `: the map gives texts of the column a meaning, by its
 * header or as "@8". */
static bool is_read_for_meanings(const char *reading, size_t i, const char *header) {
  bool read = false;
  char position[24];
  (void)snprintf(position, sizeof position, "@%zu", i + 1);
  for (const char *at = line_of(reading, "value "); at != NULL && !read;
       at = line_of(strchr(at, '\n'), "value ")) {
    const char *open = strstr(at, " \""), *close = open == NULL ? NULL : strstr(open + 2, "\" \"");
    bt_text named = {0};
    if (close != NULL && close < at + strcspn(at, "\n"))
      bt_text_add_bytes(&named, open + 2, (size_t)(close - open - 2));
    read = !bt_text_empty(&named) && (strcmp(bt_text_get(&named), position) == 0 ||
                                      bt_same_name(bt_text_get(&named), header));
    bt_text_free(&named);
    if (strchr(at, '\n') == NULL)
      break;
  }
  return read;
}

bt_status evidence_look_at_columns(evidence_log *log, const char *reading, bt_error *error) {
  bt_reading_choices choices = {0};
  bt_survey *survey = NULL;
  bt_text unmapped = {0};
  bt_status status = choices_of(reading, &choices, error);
  if (status == BT_OK)
    status = bt_preview_file(log->path, &choices, &survey, error);
  for (size_t i = 0; status == BT_OK && i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->identity)
      status = bt_fail(error, BT_REFUSED,
                       "%s is not put into the folder: its column \"%s\" looks like a patient's "
                       "identity; leave --with-sources out, the readings go along all the same",
                       log->path, column->header);
    else if (column->key == NULL && !is_read_for_meanings(reading, i, column->header))
      bt_text_format(&unmapped, "%s\"%s\"", unmapped.length > 0 ? ", " : "", column->header);
  }
  if (status == BT_OK && !bt_text_empty(&unmapped) &&
      (log->unmapped = bt_text_take(&unmapped)) == NULL)
    status = bt_fail_memory(error);
  bt_text_free(&unmapped);
  bt_survey_free(survey);
  bt_reading_choices_free(&choices);
  return status;
}
