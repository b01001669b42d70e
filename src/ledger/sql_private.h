/* SQLite with sentences (sql.c): statements, transactions, and what went wrong with them. */
#ifndef LEDGER_SQL_PRIVATE_H
#define LEDGER_SQL_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

enum { LEDGER_WAIT_MS = 10000 }; /* a writer waits so long for another */

/* Turns the connection's last failure into a sentence. `doing` is a participle: "importing". */
bt_status ledger_fault(const bt_ledger *ledger, const char *doing, bt_error *error) BT_MUST_CHECK;

bt_status ledger_run(bt_ledger *ledger, const char *sql, bt_error *error) BT_MUST_CHECK;
bt_status ledger_prepare(bt_ledger *ledger, const char *sql, sqlite3_stmt **statement,
                         bt_error *error) BT_MUST_CHECK;

/* *row tells whether there is a row; a statement that is done has been reset. */
bt_status ledger_step(bt_ledger *ledger, sqlite3_stmt *statement, bool *row,
                      bt_error *error) BT_MUST_CHECK;

/* Steps on to the statement's next row. False behind the last one, and where *status is a failure,
 * or becomes one: a loop over all rows. */
bool ledger_next(bt_ledger *ledger, sqlite3_stmt *statement, bt_status *status,
                 bt_error *error) BT_MUST_CHECK;

/* Runs one statement that gives no rows. types, one letter a parameter: i int64_t, t const char *
 * or NULL, r double, o int (whether there is one) and double, b const void * and size_t. */
bt_status ledger_put(bt_ledger *ledger, bt_error *error, const char *sql, const char *types,
                     ...) BT_MUST_CHECK;

/* The same parameters, bound to a statement that is stepped by the caller. */
bt_status ledger_bind(bt_ledger *ledger, bt_error *error, sqlite3_stmt *statement,
                      const char *types, ...) BT_MUST_CHECK;

/* The one integer that a query gives, without parameters and with them; 0 when it gives none. */
bt_status ledger_number(bt_ledger *ledger, const char *sql, int64_t *number,
                        bt_error *error) BT_MUST_CHECK;
bt_status ledger_number_of(bt_ledger *ledger, bt_error *error, const char *sql, int64_t *number,
                           const char *types, ...) BT_MUST_CHECK;

/* The number that the next row of such a table has. */
#define LEDGER_NEXT_NUMBER(table) "SELECT coalesce(max(number), 0) + 1 FROM main." table

/* BEGIN IMMEDIATE; BT_USAGE on a ledger opened for reading or in the midst of an import. */
bt_status ledger_begin(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
/* Until ledger_rollback all is read as of one moment. */
bt_status ledger_begin_reading(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_commit(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
void ledger_rollback(bt_ledger *ledger);
/* Commits where the status is BT_OK; after a failure takes all back and passes it on. */
bt_status ledger_end(bt_ledger *ledger, bt_status status, bt_error *error) BT_MUST_CHECK;

/* How long a writer waits for another: for tests. */
void ledger_set_wait(bt_ledger *ledger, int milliseconds);

#endif
