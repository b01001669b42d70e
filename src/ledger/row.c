/* A check as a row of `checks`, `held` or the staging table. */
#include "row_private.h"

/* Position of a column as a parameter: SQLite counts parameters from 1. */
static int place(int column) {
  return column + 1;
}

bool ledger_row_bind(sqlite3_stmt *statement, const ledger_row *row) {
  const bt_check *check = &row->check;
  const int64_t numbers[LEDGER_READING] = {[LEDGER_UNIT] = row->unit,
                                           [LEDGER_TIME] = check->time,
                                           [LEDGER_SEQUENCE] = check->sequence,
                                           [LEDGER_HAS_CLOCK] = check->has_clock,
                                           [LEDGER_SOURCE] = row->source,
                                           [LEDGER_LINE] = check->line,
                                           [LEDGER_LAST_LINE] = check->last_line,
                                           [LEDGER_STATE] = check->state,
                                           [LEDGER_REFILL] = check->refill};
  /* Absent readings are NULL; most rows of a log lack the same, so all are cleared at once. */
  bool bound = sqlite3_clear_bindings(statement) == SQLITE_OK;
  for (int c = 0; c < LEDGER_READING; c++)
    bound = sqlite3_bind_int64(statement, place(c), numbers[c]) == SQLITE_OK && bound;
  for (bt_reading r = 0; r < BT_READING_COUNT; r++)
    if (bt_check_has(check, r))
      bound = sqlite3_bind_double(statement, place(LEDGER_READING + (int)r), check->reading[r]) ==
                  SQLITE_OK &&
              bound;
  return bound;
}

void ledger_row_read_numbers(sqlite3_stmt *statement, ledger_row *row) {
  *row = (ledger_row){.unit = sqlite3_column_int64(statement, LEDGER_UNIT),
                      .source = sqlite3_column_int64(statement, LEDGER_SOURCE)};
  bt_check *check = &row->check;
  check->time = sqlite3_column_int64(statement, LEDGER_TIME);
  check->sequence = (int32_t)sqlite3_column_int64(statement, LEDGER_SEQUENCE);
  check->has_clock = sqlite3_column_int(statement, LEDGER_HAS_CLOCK) != 0;
  check->line = sqlite3_column_int64(statement, LEDGER_LINE);
  check->last_line = sqlite3_column_int64(statement, LEDGER_LAST_LINE);
  check->state = (bt_state)sqlite3_column_int(statement, LEDGER_STATE);
  check->refill = (bt_refill)sqlite3_column_int(statement, LEDGER_REFILL);
  for (bt_reading r = 0; r < BT_READING_COUNT; r++) {
    int at = LEDGER_READING + (int)r;
    if (sqlite3_column_type(statement, at) == SQLITE_NULL)
      continue;
    check->present |= 1U << r;
    check->reading[r] = sqlite3_column_double(statement, at);
  }
}

void ledger_row_read(sqlite3_stmt *statement, ledger_row *row) {
  ledger_row_read_numbers(statement, row);
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    row->check.text[f] = (const char *)sqlite3_column_text(statement, LEDGER_TEXT + (int)f);
}
