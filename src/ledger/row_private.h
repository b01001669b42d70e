/* A check as a row (row.c): its columns, and how they are bound and read.
 *
 * Column lists are generated from the X-macros of record/check.h, so that a column is written down
 * once. The tables `checks`, `held` and the staging table have one shape: the columns of
 * LEDGER_CHECK_COLUMNS, in the order of ledger_column. */
#ifndef LEDGER_ROW_PRIVATE_H
#define LEDGER_ROW_PRIVATE_H

#include "beamtally/record.h"

#include "text_private.h"

#include <sqlite3.h>

#define LEDGER_READING_NAME(ID, key, ...) ", " #key
#define LEDGER_TEXT_NAME(ID, key)         ", " #key
/* A text that was removed has no salt; it reads as one that never was. Most checks have none: only
 * where there is one does SQLite open the table. */
#define LEDGER_TEXT_BODY(ID, key)                                                                  \
  ", CASE WHEN c." #key " IS NOT NULL THEN (SELECT body FROM main.text WHERE number = c." #key     \
  " AND salt <> x'') END"
#define LEDGER_READING_PLACE(ID, key, ...) ", ?"
#define LEDGER_TEXT_PLACE(ID, key)         ", ?"

#define LEDGER_KEY_COLUMNS                                                                         \
  "unit, time, sequence, has_clock, source, line, last_line, state, refill" BT_READINGS(           \
      LEDGER_READING_NAME)

/* As stored: texts are numbers of rows of `text` (in the staging table, the texts themselves). */
#define LEDGER_CHECK_COLUMNS LEDGER_KEY_COLUMNS BT_TEXTS(LEDGER_TEXT_NAME) ", digest"

/* As read from `checks AS c` or `held AS c`: texts are bodies. */
#define LEDGER_CHECK_BODIES LEDGER_KEY_COLUMNS BT_TEXTS(LEDGER_TEXT_BODY) ", digest"

#define LEDGER_CHECK_PLACES                                                                        \
  "?, ?, ?, ?, ?, ?, ?, ?, ?" BT_READINGS(LEDGER_READING_PLACE) BT_TEXTS(LEDGER_TEXT_PLACE) ", ?"

#define LEDGER_CHECK_INSERT(table)                                                                 \
  "INSERT INTO " table " (" LEDGER_CHECK_COLUMNS ") VALUES (" LEDGER_CHECK_PLACES ")"

typedef enum ledger_column {
  LEDGER_UNIT,
  LEDGER_TIME,
  LEDGER_SEQUENCE,
  LEDGER_HAS_CLOCK,
  LEDGER_SOURCE,
  LEDGER_LINE,
  LEDGER_LAST_LINE,
  LEDGER_STATE,
  LEDGER_REFILL,
  LEDGER_READING,
  LEDGER_TEXT = LEDGER_READING + BT_READING_COUNT,
  LEDGER_DIGEST = LEDGER_TEXT + BT_FIELD_COUNT
} ledger_column;

/* A check with the numbers that the ledger gave. */
typedef struct ledger_row {
  bt_check check;
  int64_t unit, source;
  ledger_text text[BT_FIELD_COUNT];
} ledger_row;

/* Binds all but the texts and the digest, which are NULL then. False when SQLite refused. */
bool ledger_row_bind(sqlite3_stmt *statement, const ledger_row *row);

/* Reads all but the texts. */
void ledger_row_read_numbers(sqlite3_stmt *statement, ledger_row *row);

/* Reads a row whose texts are bodies; they are borrowed until the statement moves on. */
void ledger_row_read(sqlite3_stmt *statement, ledger_row *row);

#endif
