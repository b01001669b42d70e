/* What a file is. Nothing else in the house decides this.
 *
 * S1  What is no text is refused by its first bytes (no_text.c).
 * S2  Encoding: a byte-order mark; else a person's word, unless it is of single bytes and the whole
 *     file is UTF-8 (encoding.c); else UTF-8, and Windows-1252 where a line turns out not to be
 * (the survey asks again). S3  Line ends: LF (alone or behind CR) or CR, of which the first bytes
 * hold more. S4  Delimiter and header: the line, among the first 100, that names most of the
 * columns we read, under the delimiter that shows most of them. */
#include "sniff.h"
#include "date.h"
#include "header.h"
#include "match.h"
#include "no_text.h"
#include "records.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_BYTES = 65536 };

/* CRLF, LF or CR, from the decoded first bytes. A quoted text may hold line ends of another kind:
 * those between quotes count only where all are, behind a quote that is not closed. */
static const char *line_end_of(const char *text, size_t length) {
  size_t feeds[2] = {0, 0}, returns[2] = {0, 0}, both[2] = {0, 0};
  bool quoted = false;
  for (size_t i = 0; i < length; i++) {
    bool feed = i + 1 < length && text[i + 1] == '\n';
    quoted = quoted != (text[i] == '"');
    both[quoted] += text[i] == '\r' && feed;
    returns[quoted] += text[i] == '\r' && !feed;
    feeds[quoted] += text[i] == '\n';
  }
  bool in = feeds[false] + returns[false] == 0;
  return returns[in] > feeds[in] ? "CR" : 2 * both[in] > feeds[in] ? "CRLF" : "LF";
}

const char intake_delimiters[4] = {',', ';', '\t', '|'};

bt_status intake_open_log(const bt_survey *survey, char delimiter, intake_records *records,
                          bt_error *error) {
  char line_end = strcmp(survey->line_end, "CR") == 0 ? '\r' : '\n';
  return intake_records_open(records, survey->path, survey->spool, survey->encoding, line_end,
                             delimiter, error);
}

bt_status intake_sniff_bytes(bt_survey *survey, bool *marked, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  const char *encoding = choices == NULL ? NULL : choices->encoding;
  intake_bytes bytes = {.descriptor = -1};
  bt_decoder *decoder = NULL;
  bt_text text = {0};
  size_t length = 0, got = 1;
  char *first = bt_new(FIRST_BYTES, 1);
  if (first == NULL)
    return bt_fail_memory(error);
  bt_status status = intake_bytes_open(survey->path, survey->spool, &bytes, error);
  while (status == BT_OK && got > 0 && length < FIRST_BYTES) {
    status = intake_bytes_read(&bytes, first + length, FIRST_BYTES - length, &got, error);
    length += got;
  }
  const char *mark = intake_marked_encoding(first, length);
  *marked = encoding != NULL || mark != NULL;
  if (encoding == NULL)
    encoding = mark;
  else if (status == BT_OK)
    status = intake_contradict_encoding(survey, mark, &encoding, error);
  if (status == BT_OK)
    status = intake_check_text(first, length, *marked, error);
  if (status == BT_OK)
    status = intake_bytes_check_length(&bytes, error);
  if (status != BT_OK)
    goto done;

  survey->encoding = bt_copy(encoding == NULL || intake_is_utf8(encoding) ? "UTF-8" : encoding);
  for (char *c = survey->encoding; c != NULL && *c != '\0'; c++)
    if (*c >= 'a' && *c <= 'z')
      *c = (char)(*c - ('a' - 'A')); /* one spelling: it is part of the reading's text */
  if (survey->encoding == NULL) {
    status = bt_fail_memory(error);
  } else if (strcmp(survey->encoding, "UTF-8") == 0) {
    survey->line_end = line_end_of(first, length);
  } else {
    status = bt_decoder_open(survey->encoding, &decoder, error);
    bt_error later = {0}; /* a byte that is not of it is told with its line, when that is read */
    if (status == BT_OK && bt_decoder_feed(decoder, first, length, false, &text, &later) != BT_OK &&
        later.status != BT_INPUT)
      status = bt_fail(error, later.status, "%s", later.text);
    if (status == BT_OK)
      survey->line_end = line_end_of(bt_text_get(&text), text.length);
  }
done:
  bt_decoder_close(decoder);
  bt_text_free(&text);
  intake_bytes_close(&bytes);
  free(first);
  return status;
}

/* The best header that was found so far. */
typedef struct best {
  size_t score;
  char delimiter;
  int64_t line;  /* last line of the header; the line before the data where there is none */
  int64_t first; /* line of the header; 0: there is none */
  bool date_missing;
  bool headed;
} best;

/* A map by positions alone may be for a log without a header: its date is then a date at once. */
static bool is_data(intake_fields *fields, const bt_reading_choices *choices) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++) {
    const bt_column_choice *choice = &choices->columns[i];
    if (strcmp(choice->key, "date") == 0 && choice->header == NULL &&
        (size_t)choice->position <= fields->n)
      return intake_date_of(intake_field(fields, (size_t)choice->position - 1)) !=
             INTAKE_DATE_NOTHING;
  }
  return false;
}

bt_status intake_keep_columns(bt_survey *survey, intake_fields *fields, bool headed,
                              bt_error *error) {
  size_t n = fields->n;
  for (size_t i = 0; i < survey->columns_n; i++)
    free(survey->columns[i].header);
  free(survey->columns);
  survey->columns_n = 0;
  survey->columns = bt_new(n, sizeof *survey->columns);
  if (survey->columns == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++) {
    char position[24];
    (void)snprintf(position, sizeof position, "@%zu", i + 1);
    survey->columns[i].header = bt_copy(headed ? intake_field(fields, i) : position);
    if (survey->columns[i].header == NULL)
      return bt_fail_memory(error);
    intake_make_line(survey->columns[i].header);
    survey->columns_n = i + 1;
  }
  return BT_OK;
}

/* Looks through the first lines under one delimiter, and betters *found. */
static bt_status try_delimiter(bt_survey *survey, char delimiter, best *found, intake_seen *seen,
                               bt_error *error) {
  intake_records records;
  bt_status status = intake_open_log(survey, delimiter, &records, error);
  records.lines.most = INTAKE_HEADER_BYTES;
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end || records.last_line > INTAKE_HEADER_LINES)
      break;
    seen->not_utf8 = seen->not_utf8 || records.not_utf8;
    if (records.bad != NULL)
      continue;
    intake_score score = intake_header_score(&records.fields, survey->choices);
    bool data = is_data(&records.fields, survey->choices);
    if (score.known > found->score || (found->date_missing && score.has_date && score.known > 1)) {
      *found = (best){.score = score.known,
                      .delimiter = delimiter,
                      .line = data ? records.first_line - 1 : records.last_line,
                      .first = data ? 0 : records.first_line,
                      .date_missing = !score.has_date,
                      .headed = !data};
      status = intake_keep_columns(survey, &records.fields, !data, error);
    }
  }
  seen->multibyte = seen->multibyte || records.lines.multibyte;
  intake_records_close(&records);
  return status;
}

bt_status intake_sniff_header(bt_survey *survey, bool settled, intake_seen *seen, bool *header,
                              bt_error *error) {
  char stated = survey->choices == NULL ? '\0' : survey->choices->delimiter;
  best found = {.score = 0};
  bt_status status = BT_OK;
  if (stated != '\0')
    status = try_delimiter(survey, stated, &found, seen, error);
  for (size_t i = 0; i < sizeof intake_delimiters && stated == '\0' && status == BT_OK; i++)
    status = try_delimiter(survey, intake_delimiters[i], &found, seen, error);
  *header = found.score > 0;
  if (status != BT_OK || (seen->not_utf8 && !settled))
    return status;
  if (!*header)
    return BT_OK;
  survey->delimiter = found.delimiter;
  survey->header_line = found.line;
  survey->header_first = found.first;
  return BT_OK;
}
