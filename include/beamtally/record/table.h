/* Tables of the ledger as an export takes them, cell by cell. */
#ifndef BEAMTALLY_RECORD_TABLE_H
#define BEAMTALLY_RECORD_TABLE_H

#include "beamtally/base.h"

typedef enum bt_cell_type {
  BT_CELL_EMPTY,
  BT_CELL_INTEGER,
  BT_CELL_REAL,
  BT_CELL_TEXT,
  BT_CELL_DAY,   /* of `integer`, a bt_time: "2026-08-17" */
  BT_CELL_CLOCK, /* "08:05", with seconds where they aren't zero */
  BT_CELL_MOMENT /* "2026-08-17T08:05", likewise */
} bt_cell_type;

typedef struct bt_cell {
  bt_cell_type type;
  int64_t integer;
  double real;
  const char *text; /* UTF-8, borrowed */
} bt_cell;

/* Who takes a table's rows; each may refuse to go on by its status. */
typedef struct bt_table_sink {
  void *context;
  bt_status (*columns)(void *context, const char *const *names, size_t n, bt_error *error);
  bt_status (*row)(void *context, const bt_cell *cells, size_t n, bt_error *error);
} bt_table_sink;

#endif
