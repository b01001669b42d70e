/* What the readers of an evidence folder share. */
#ifndef TOLD_ROOM_H
#define TOLD_ROOM_H

#include "emit_room.h"

enum { EMIT_TOLD_COLUMNS = 256 };

/* A CSV of ours, as RFC 4180 has it, held whole and handed out row by row. */
typedef struct emit_csv {
  char *text, *at;
  const char *file; /* name, for what is wrong with it */
  size_t columns;
  char *column[EMIT_TOLD_COLUMNS]; /* names */
  char *cell[EMIT_TOLD_COLUMNS];
  int64_t line, next_line;
} emit_csv;

/* The whole of FOLDER/name, owned. */
bt_status emit_told_file(const char *folder, const char *name, char **text,
                         bt_error *error) BT_MUST_CHECK;

bt_status emit_csv_open(const char *folder, const char *name, emit_csv *csv,
                        bt_error *error) BT_MUST_CHECK;
void emit_csv_close(emit_csv *csv);
/* *row is false at the end. */
bt_status emit_csv_next(emit_csv *csv, bool *row, bt_error *error) BT_MUST_CHECK;

/* The cell of that column; NULL where there is no such column. */
const char *emit_csv_cell(const emit_csv *csv, const char *column);
/* Of the last column of that name: those of the clinic's own stand behind the canonical ones. */
const char *emit_csv_last_cell(const emit_csv *csv, const char *column);
/* The moment of the columns "date" and "time"; false where they are none. */
bool emit_csv_moment(const emit_csv *csv, bt_time *at, bool *has_clock);
/* Fails for the row at hand. */
bt_status emit_csv_wrong(const emit_csv *csv, const char *column, bt_error *error) BT_MUST_CHECK;

/* limits.json. */
bt_status emit_told_limits(const char *folder, bt_told_case *told, bt_error *error) BT_MUST_CHECK;

#endif
