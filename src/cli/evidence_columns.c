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

static char *part(const char *from, const char *to) {
  bt_text text = {0};
  bt_text_add_bytes(&text, from, (size_t)(to - from));
  return bt_text_take(&text);
}

/* `5 energy_mj "E Ist (mJ)" in J`: key and header, owned; by its place where the header goes on in
 * the next line, as older versions wrote it. False without memory. */
static bool read_column(const char *line, bt_column_choice *column) {
  const char *end = line + strcspn(line, "\n"), *close = end;
  const char *key = memchr(line, ' ', (size_t)(end - line));
  const char *open = memchr(line, '"', (size_t)(end - line));
  while (open != NULL && close > open + 1 && close[-1] != '"')
    close--;
  bool whole = open != NULL && close > open + 1;
  key = key == NULL ? end : key + 1;
  *column = (bt_column_choice){.key = part(key, key + strcspn(key, " \n")),
                               .header = whole ? part(open + 1, close - 1) : NULL,
                               .position = whole ? 0 : (int)strtol(line, NULL, 10)};
  return column->key != NULL && (!whole || column->header != NULL);
}

/* `event.gas_bottle "Gas" "new bottle" `: what the map says that a text of a column means. All of
 * it owned; false where it is none. */
static bool read_meaning(const char *line, bt_value_choice *value) {
  const char *end = line + strcspn(line, "\n"), *open = strstr(line, " \"");
  const char *middle = open == NULL ? NULL : strstr(open + 2, "\" \""), *close = NULL;
  for (const char *at = middle == NULL ? NULL : strstr(middle + 3, "\" "); at != NULL && at < end;
       at = strstr(at + 1, "\" "))
    close = at;
  if (close == NULL)
    return false;
  *value = (bt_value_choice){.key = part(line, open),
                             .header = part(open + 2, middle),
                             .value = part(middle + 3, close),
                             .result = end == close + 2 ? NULL : part(close + 2, end)};
  return true;
}

static bt_status add_meanings(const char *reading, bt_reading_choices *choices, bt_error *error) {
  size_t room = 0;
  for (const char *at = line_of(reading, "value "); at != NULL;
       at = line_of(strchr(at, '\n'), "value ")) {
    if (!bt_grow(&choices->values, &room, choices->values_n + 1, sizeof *choices->values))
      return bt_fail_memory(error);
    bt_value_choice *value = &choices->values[choices->values_n];
    if (!read_meaning(at, value))
      continue;
    choices->values_n++;
    if (value->key == NULL || value->header == NULL || value->value == NULL)
      return bt_fail_memory(error);
  }
  return BT_OK;
}

/* What `reading` says of columns, meanings, delimiter and encoding, as a map would. */
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
  return whole ? add_meanings(reading, choices, error) : bt_fail_memory(error);
}

/* The map gives texts of the column a meaning, by its header or as "@8". */
static bool has_meanings(const bt_reading_choices *choices, size_t i, const char *header) {
  char position[24];
  (void)snprintf(position, sizeof position, "@%zu", i + 1);
  for (size_t k = 0; k < choices->values_n; k++)
    if (strcmp(choices->values[k].header, position) == 0 ||
        bt_same_name(choices->values[k].header, header))
      return true;
  return false;
}

/* Each of its texts is known: the column is read, or the map says what all of them mean. One text
 * without a meaning may say anything. In long form a survey keeps no texts. */
static bool is_taken(const bt_survey *survey, size_t i) {
  const bt_survey_column *column = &survey->columns[i];
  return column->key != NULL ||
         (!survey->long_form && column->texts_n == 0 && !column->texts_more &&
          has_meanings(survey->choices, i, column->header));
}

/* Something stands above the columns' names, or, where the log names none, above its first row. */
static bool has_title(const bt_survey *survey) {
  return survey->header_first > 0 ? survey->header_first > 1 : survey->header_line > 0;
}

bt_status evidence_add_unread(evidence_log *log, const char *words, bt_error *error) {
  bt_text all = {0};
  bt_text_format(&all, "%s%s%s", log->unread == NULL ? "" : log->unread,
                 log->unread == NULL ? "" : ", ", words);
  free(log->unread);
  log->unread = bt_text_take(&all);
  return log->unread != NULL ? BT_OK : bt_fail_memory(error);
}

bt_status evidence_look_at_columns(evidence_log *log, const char *reading, bt_error *error) {
  bt_reading_choices choices = {0};
  bt_survey *survey = NULL;
  bt_text quoted = {0};
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
    else if (!is_taken(survey, i)) {
      bt_text_clear(&quoted);
      bt_text_format(&quoted, "\"%s\"", column->header);
      status = bt_text_ok(&quoted) ? evidence_add_unread(log, bt_text_get(&quoted), error)
                                   : bt_fail_memory(error);
    }
  }
  if (status == BT_OK && has_title(survey))
    status = evidence_add_unread(log, "what stands above its columns", error);
  if (status == BT_OK && survey->units_line_words)
    status = evidence_add_unread(log, "words in its line of units", error);
  bt_text_free(&quoted);
  bt_survey_free(survey);
  bt_reading_choices_free(&choices);
  return status;
}
