/* Lines to records, with recovery at the next line.
 *
 * R1  A quoted field may hold line ends: its record spans lines.
 * R2  Where a quote is not closed, only the line that opened it is bad: the lines behind it are
 *     read again, each on its own.
 * R3  Memory is bounded by the splitter's own bounds. */
#include "records.h"

#include <stdlib.h>

bt_status intake_records_open(intake_records *records, const char *path, int spool,
                              const char *encoding, char line_end, char delimiter,
                              bt_error *error) {
  *records = (intake_records){.lines = {.bytes = {.descriptor = -1}}};
  bt_status status = intake_fields_open(&records->fields, delimiter, error);
  if (status != BT_OK)
    return status;
  return intake_lines_open(&records->lines, path, spool, encoding, line_end, error);
}

void intake_records_close(intake_records *records) {
  intake_lines_close(&records->lines);
  intake_fields_close(&records->fields);
  bt_text_free(&records->held_text);
  free(records->held);
  records->held = NULL;
}

static bool hold(intake_records *records, const intake_line *line) {
  if (!bt_grow(&records->held, &records->held_capacity, records->held_n + 1, sizeof *records->held))
    return false;
  records->held[records->held_n++] =
      (intake_held_line){records->held_text.length, line->length, line->number, line->problem};
  records->held_next = records->held_n;
  bt_text_add_bytes(&records->held_text, line->text, line->length);
  return bt_text_ok(&records->held_text);
}

/* A line that is read again, or the file's next. */
static bt_status next_line(intake_records *records, intake_line *line, bt_error *error) {
  if (records->held_next < records->held_n) {
    const intake_held_line *held = &records->held[records->held_next++];
    *line = (intake_line){bt_text_get(&records->held_text) + held->at, held->length, held->number,
                          held->problem};
    return BT_OK;
  }
  if (!records->open) {
    records->held_n = records->held_next = 0;
    bt_text_clear(&records->held_text);
  }
  bt_status status = intake_lines_next(&records->lines, line, error);
  if (status == BT_OK && records->open && line->number > 0 && !hold(records, line))
    return bt_fail_memory(error);
  return status;
}

/* Gives up the open record: bad is the line that began it, the rest is read again (R2). */
static bt_status give_up(intake_records *records, const char *reason, bt_error *error) {
  records->bad = reason;
  records->first_line = records->last_line = records->held[records->held_first].number;
  records->held_next = records->held_first + 1;
  records->open = false;
  return intake_fields_reset(&records->fields) ? BT_OK : bt_fail_memory(error);
}

static const char *problem_of(const intake_line *line) {
  switch (line->problem) {
  case INTAKE_LINE_LONG:
    return "the line is longer than a log's line can be; look for missing line ends or a field "
           "that holds another document";
  case INTAKE_LINE_NUL:
    return "the line holds a NUL byte, which no text has; export the log again";
  case INTAKE_LINE_NOT_UTF8:
    return "the line is not UTF-8; export the log again, or name its encoding with --encoding";
  default:
    return NULL;
  }
}

/* Begins an open record at this line: it may have to be read again. */
static bool begin_open(intake_records *records, const intake_line *line) {
  records->open = true;
  if (records->held_n > 0) { /* the line is read again: it is held already */
    records->held_first = records->held_next - 1;
    return true;
  }
  records->held_first = 0;
  return hold(records, line);
}

bt_status intake_records_next(intake_records *records, bt_error *error) {
  static const char unclosed[] =
      "a quotation mark that opens here is not closed; close it, or double it if it is meant";
  records->bad = NULL;
  records->at_end = false;
  records->not_utf8 = false;
  for (;;) {
    intake_line line;
    bt_status status = next_line(records, &line, error);
    if (status != BT_OK)
      return status;
    bool was_open = records->open;
    if (line.number == 0 && !was_open) {
      records->at_end = true;
      return BT_OK;
    }
    const char *problem = problem_of(&line);
    records->not_utf8 = line.problem == INTAKE_LINE_NOT_UTF8;
    if (was_open && (line.number == 0 || problem != NULL))
      return give_up(records, unclosed, error);
    if (!was_open)
      records->first_line = line.number;
    records->last_line = line.number;
    if (problem != NULL) {
      records->bad = problem;
      return BT_OK;
    }
    switch (intake_fields_feed(&records->fields, line.text, line.length)) {
    case INTAKE_FED_ROW:
      records->open = false;
      return BT_OK;
    case INTAKE_FED_BLANK:
      records->open = false;
      break;
    case INTAKE_FED_OPEN:
      if (!was_open && !begin_open(records, &line))
        return bt_fail_memory(error);
      break;
    case INTAKE_FED_BAD:
      if (was_open)
        return give_up(records, unclosed, error);
      records->bad = records->fields.reason;
      return BT_OK;
    case INTAKE_FED_MEMORY:
    default:
      return bt_fail_memory(error);
    }
  }
}
