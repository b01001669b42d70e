/* Records held to their digests (whole.c), for whoever hands them out, and for verifying. */
#ifndef LEDGER_WHOLE_PRIVATE_H
#define LEDGER_WHOLE_PRIVATE_H

#include "beamtally/ledger.h"

#include "own_private.h"
#include "row_private.h"
#include "text_private.h"

#include <sqlite3.h>

/* A text of the ledger and its body, which is empty where the text was removed. */
typedef struct ledger_last_text {
  ledger_text text;
  bool removed;
  bt_text body;
} ledger_last_text;

/* Reads stored texts by number. Checks that follow each other share most of theirs. All but the
 * ledger is zeroed before the first use; it is closed by the caller after a failure too. */
typedef struct ledger_text_reader {
  bt_ledger *ledger;
  sqlite3_stmt *statement; /* made when it is needed */
  ledger_last_text last[BT_FIELD_COUNT];
  uint8_t *named; /* bit t: a record names text t; NULL: nobody asks */
  int64_t texts;  /* with `named`: that the ledger has, numbered from 1 */
} ledger_text_reader;

void ledger_text_reader_close(ledger_text_reader *reader);

/* Reads the row of LEDGER_CHECK_COLUMNS on which the statement stands, with its texts and its own
 * readings; tag as for ledger_check_digest. *whole: it has the digest that all of them give. Else
 * the row is not to be used. Texts and readings are borrowed until the next call; the unit's name
 * is not set. */
bt_status ledger_whole_check(ledger_text_reader *reader, ledger_own_reader *own,
                             sqlite3_stmt *statement, char tag, ledger_row *row, bool *whole,
                             bt_error *error) BT_MUST_CHECK;

#define LEDGER_EVENT_COLUMNS                                                                       \
  "unit, source, line, last_line, time, has_clock, note, digest, kind, number, entry"

enum {
  LEDGER_E_UNIT,
  LEDGER_E_SOURCE,
  LEDGER_E_LINE,
  LEDGER_E_LAST_LINE,
  LEDGER_E_TIME,
  LEDGER_E_HAS_CLOCK,
  LEDGER_E_NOTE,
  LEDGER_E_DIGEST,
  LEDGER_E_KIND,
  LEDGER_E_NUMBER,
  LEDGER_E_ENTRY
};

/* The same for a row of LEDGER_EVENT_COLUMNS, which must hold what we write and no more. */
bt_status ledger_whole_event(ledger_text_reader *reader, sqlite3_stmt *row, bool *whole,
                             bt_error *error) BT_MUST_CHECK;

/* Where a record that differs stands. */
typedef struct ledger_row_place {
  const char *what; /* "the check" */
  int64_t unit, source, line;
  bt_time time;
  bool has_clock;
} ledger_row_place;

/* That of the row of LEDGER_CHECK_COLUMNS on which the statement stands. */
ledger_row_place ledger_check_place(sqlite3_stmt *statement, char tag);

/* BT_DAMAGED naming the record. */
bt_status ledger_row_differs(bt_ledger *ledger, const ledger_row_place *place,
                             bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED unless that many checks of the unit are what logs brought for it (hold.c). In one
 * transaction with the counting. */
bt_status ledger_hold_count(bt_ledger *ledger, int64_t unit, const char *name, int64_t counted,
                            bt_error *error) BT_MUST_CHECK;

/* Puts before the sentence of a damage what follows from it for whoever only reads. */
void ledger_say_not_whole(bt_error *error);

#endif
