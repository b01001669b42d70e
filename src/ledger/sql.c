/* SQLite with sentences: every failure says what was being done, where, and what to do. */
#include "file_private.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <stdarg.h>
#include <string.h>

bt_status ledger_was_moved(const bt_ledger *ledger, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "%s: another program took the ledger away, or put another in its place, while it "
                 "was used here; look what stands there now and try again (nothing was stored)",
                 ledger->path);
}

bt_status ledger_fault(const bt_ledger *ledger, const char *doing, bt_error *error) {
  const char *path = ledger->path;
  const char *words = sqlite3_errmsg(ledger->db);
  if (sqlite3_extended_errcode(ledger->db) == SQLITE_READONLY_DBMOVED)
    return ledger_was_moved(ledger, error);
  switch (sqlite3_errcode(ledger->db) & 0xFF) { /* without the extended part */
  case SQLITE_NOMEM:
    return bt_fail_memory(error);
  case SQLITE_BUSY:
  case SQLITE_LOCKED:
    return bt_fail(error, BT_SYSTEM,
                   "%s: another program is using this ledger; wait until it is done and try "
                   "again (nothing was stored)",
                   path);
  case SQLITE_FULL:
    return bt_fail(error, BT_SYSTEM,
                   "%s: the disk is full; make room and try again (nothing was stored)", path);
  case SQLITE_NOTADB:
    return bt_fail(error, BT_REFUSED,
                   "%s: this file is not a Beamtally ledger; name another with --ledger", path);
  case SQLITE_CORRUPT:
    return bt_fail(error, BT_DAMAGED,
                   "%s: the ledger is damaged or was cut short (%s); use a backup of it", path,
                   words);
  case SQLITE_READONLY:
  case SQLITE_CANTOPEN:
  case SQLITE_PERM:
    if (ledger->mode == BT_LEDGER_READ)
      return bt_fail(error, BT_SYSTEM,
                     "%s: something must be put in order before the ledger can be looked at, such "
                     "as the journal of a killed import, and here nothing may be written (%s while "
                     "%s); copy it, with the files beside it whose names begin like its own, to a "
                     "folder that you have the right to write in, and name the copy with --ledger",
                     path, words, doing);
    return bt_fail(error, BT_SYSTEM,
                   "%s: the ledger or its folder can't be written (%s while %s); ask for the right "
                   "to write there, or choose another place with --ledger",
                   path, words, doing);
  case SQLITE_IOERR:
    return bt_fail(error, BT_SYSTEM,
                   "%s: the disk failed while %s (%s); check the disk and try again (nothing was "
                   "stored)",
                   path, doing, words);
  default:
    return bt_fail(error, BT_SYSTEM, "%s: %s failed (%s); nothing was stored", path, doing, words);
  }
}

bt_status ledger_run(bt_ledger *ledger, const char *sql, bt_error *error) {
  if (sqlite3_exec(ledger->db, sql, NULL, NULL, NULL) != SQLITE_OK)
    return ledger_fault(ledger, "working on the ledger", error);
  return BT_OK;
}

bt_status ledger_prepare(bt_ledger *ledger, const char *sql, sqlite3_stmt **statement,
                         bt_error *error) {
  if (sqlite3_prepare_v2(ledger->db, sql, -1, statement, NULL) != SQLITE_OK)
    return ledger_fault(ledger, "reading the ledger", error);
  return BT_OK;
}

bt_status ledger_step(bt_ledger *ledger, sqlite3_stmt *statement, bool *row, bt_error *error) {
  int code = sqlite3_step(statement);
  *row = code == SQLITE_ROW;
  if (code == SQLITE_ROW)
    return BT_OK;
  if (code != SQLITE_DONE)
    return ledger_fault(
        ledger, sqlite3_stmt_readonly(statement) ? "reading the ledger" : "writing to the ledger",
        error);
  (void)sqlite3_reset(statement);
  return BT_OK;
}

bool ledger_next(bt_ledger *ledger, sqlite3_stmt *statement, bt_status *status, bt_error *error) {
  bool row = false;
  if (*status == BT_OK)
    *status = ledger_step(ledger, statement, &row, error);
  return *status == BT_OK && row;
}

/* Texts and bytes are bound as they stand: they must live until the statement has run. */
static int bind_all(sqlite3_stmt *statement, const char *types, va_list values) {
  int code = SQLITE_OK;
  for (int i = 1; *types != '\0' && code == SQLITE_OK; types++, i++) {
    if (*types == 'i') {
      code = sqlite3_bind_int64(statement, i, va_arg(values, int64_t));
    } else if (*types == 't') {
      const char *text = va_arg(values, const char *);
      code = text == NULL ? sqlite3_bind_null(statement, i)
                          : sqlite3_bind_text(statement, i, text, -1, SQLITE_STATIC);
    } else if (*types == 'r') {
      code = sqlite3_bind_double(statement, i, va_arg(values, double));
    } else if (*types == 'o') {
      int there = va_arg(values, int);
      double value = va_arg(values, double);
      code = there ? sqlite3_bind_double(statement, i, value) : sqlite3_bind_null(statement, i);
    } else {
      const void *bytes = va_arg(values, const void *);
      code = sqlite3_bind_blob64(statement, i, bytes, va_arg(values, size_t), SQLITE_STATIC);
    }
  }
  return code;
}

bt_status ledger_bind(bt_ledger *ledger, bt_error *error, sqlite3_stmt *statement,
                      const char *types, ...) {
  va_list values;
  va_start(values, types);
  int code = bind_all(statement, types, values);
  va_end(values);
  return code == SQLITE_OK ? BT_OK : ledger_fault(ledger, "working on the ledger", error);
}

bt_status ledger_put(bt_ledger *ledger, bt_error *error, const char *sql, const char *types, ...) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK) {
    va_list values;
    va_start(values, types);
    int code = bind_all(statement, types, values);
    va_end(values);
    if (code != SQLITE_OK || sqlite3_step(statement) != SQLITE_DONE)
      status = ledger_fault(ledger, "writing to the ledger", error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_number(bt_ledger *ledger, const char *sql, int64_t *number, bt_error *error) {
  return ledger_number_of(ledger, error, sql, number, "");
}

bt_status ledger_number_of(bt_ledger *ledger, bt_error *error, const char *sql, int64_t *number,
                           const char *types, ...) {
  sqlite3_stmt *statement = NULL;
  *number = 0;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK) {
    va_list values;
    va_start(values, types);
    int code = bind_all(statement, types, values);
    va_end(values);
    if (code != SQLITE_OK)
      status = ledger_fault(ledger, "working on the ledger", error);
  }
  if (ledger_next(ledger, statement, &status, error))
    *number = sqlite3_column_int64(statement, 0);
  (void)sqlite3_finalize(statement);
  return status;
}

/* What could not be rolled back in its time. */
static bt_status end_unended(bt_ledger *ledger, bt_error *error) {
  if (ledger->unended)
    ledger_rollback(ledger);
  return ledger->unended ? ledger_fault(ledger, "taking back what failed before", error) : BT_OK;
}

bt_status ledger_begin_reading(bt_ledger *ledger, bt_error *error) {
  bt_status status = end_unended(ledger, error);
  return status == BT_OK ? ledger_run(ledger, "BEGIN", error) : status;
}

bt_status ledger_begin(bt_ledger *ledger, bt_error *error) {
  if (ledger->mode == BT_LEDGER_READ)
    return bt_fail(error, BT_USAGE, "%s: the ledger was opened for reading only", ledger->path);
  bt_status status = end_unended(ledger, error);
  if (status != BT_OK)
    return status;
  if (sqlite3_get_autocommit(ledger->db) == 0)
    return bt_fail(error, BT_USAGE, "%s: an import is still going on; finish or abandon it first",
                   ledger->path);
  return ledger_run(ledger, "BEGIN IMMEDIATE", error);
}

bt_status ledger_commit(bt_ledger *ledger, bt_error *error) {
  bt_status status = ledger_run(ledger, "COMMIT", error);
  ledger->begun = ledger->begun && status != BT_OK;
  return status;
}

void ledger_rollback(bt_ledger *ledger) {
  /* On a full disk SQLite has rolled back already. A ROLLBACK that fails on the disk ends the
   * transaction all the same and leaves the journal, from which the next opening restores the
   * ledger; one for which there was no memory has not begun, and may find some the second time.
   * What is open then ends before the next transaction, or with the connection: until that, others
   * can't write. */
  for (int tries = 0; tries < 2 && sqlite3_get_autocommit(ledger->db) == 0; tries++)
    (void)sqlite3_exec(ledger->db, "ROLLBACK", NULL, NULL, NULL);
  ledger->unended = sqlite3_get_autocommit(ledger->db) == 0;
}

bt_status ledger_end(bt_ledger *ledger, bt_status status, bt_error *error) {
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    ledger_rollback(ledger);
  return status;
}

void ledger_set_wait(bt_ledger *ledger, int milliseconds) {
  (void)sqlite3_busy_timeout(ledger->db, milliseconds);
}
