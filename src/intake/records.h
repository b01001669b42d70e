/* The records of a log, one after the other: lines put through the field splitter. */
#ifndef INTAKE_RECORDS_H
#define INTAKE_RECORDS_H

#include "fields.h"
#include "lines.h"

typedef struct intake_held_line {
  size_t at, length;
  int64_t number;
  intake_line_problem problem;
} intake_held_line;

typedef struct intake_records {
  intake_lines lines;
  intake_fields fields;
  /* Lines of a record that is open, kept to be read again where its quote is never closed. */
  bt_text held_text;
  intake_held_line *held;
  size_t held_n, held_capacity, held_next, held_first;
  bool open;
  /* What intake_records_next found. */
  bool at_end;
  const char *bad; /* why the line could not be read as a record, or NULL */
  bool not_utf8;   /* that was why, or why a line within an open record was given up */
  int64_t first_line, last_line;
} intake_records;

bt_status intake_records_open(intake_records *records, const char *path, int spool,
                              const char *encoding, char line_end, char delimiter,
                              bt_error *error) BT_MUST_CHECK;
void intake_records_close(intake_records *records);

/* The next record that isn't blank, a bad line, or the end. */
bt_status intake_records_next(intake_records *records, bt_error *error) BT_MUST_CHECK;

#endif
