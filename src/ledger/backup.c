/* A copy of the ledger, by SQLite's backup API: as one moment has it, also while others write.
 *
 * The copy is verified as a ledger of its own. It is written without a journal: one that is cut
 * short is thrown away. */
#include "ledger_private.h"

#include <stdlib.h>
#include <string.h>

/* The file may have a temporary name, which tells a person nothing: the caller names the file. */
static bt_status copy_failed(const char *words, bt_error *error) {
  return bt_fail(
      error, BT_SYSTEM,
      "the copy can't be written (%s); make room, or choose a folder that can be written", words);
}

/* Takes the copy's own path from the beginning of a sentence about it. */
static void unname(const char *path, bt_error *error) {
  size_t length = strlen(path);
  if (error != NULL && strncmp(error->text, path, length) == 0 &&
      strncmp(error->text + length, ": ", 2) == 0)
    memmove(error->text, error->text + length + 2, strlen(error->text + length + 2) + 1);
}

bt_status ledger_copy_pages(bt_ledger *ledger, const char *path, bt_error *error) {
  sqlite3 *copy = NULL;
  sqlite3_backup *backup = NULL;
  bt_status status = BT_OK;
  int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX;
  if (sqlite3_open_v2(path, &copy, flags, NULL) != SQLITE_OK ||
      sqlite3_exec(copy, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF", NULL, NULL, NULL) !=
          SQLITE_OK) {
    status = copy_failed(copy == NULL ? "no memory" : sqlite3_errmsg(copy), error);
    goto done;
  }
  backup = sqlite3_backup_init(copy, "main", ledger->db, "main");
  int code = backup == NULL ? sqlite3_errcode(copy) : sqlite3_backup_step(backup, -1);
  int finished = sqlite3_backup_finish(backup);
  if (code == SQLITE_DONE)
    code = finished;
  if (code == SQLITE_BUSY || code == SQLITE_LOCKED)
    status = bt_fail(error, BT_SYSTEM,
                     "%s: another program is using this ledger; wait until it is done and "
                     "try again",
                     ledger->path);
  else if (code != SQLITE_OK)
    status = copy_failed(sqlite3_errstr(code), error);
done:
  if (sqlite3_close(copy) != SQLITE_OK && status == BT_OK)
    status = copy_failed("closing it failed", error);
  return status;
}

bt_status bt_ledger_copy(bt_ledger *ledger, const char *path, bt_verification *found,
                         bt_error *error) {
  bt_ledger *copy = NULL;
  *found = (bt_verification){0};
  bt_status status = ledger_copy_pages(ledger, path, error);
  if (status != BT_OK)
    return status;
  status = bt_ledger_open(path, BT_LEDGER_READ, &copy, error);
  if (status == BT_OK)
    status = bt_ledger_verify(copy, found, error);
  bt_ledger_close(copy);
  if (status != BT_OK)
    unname(path, error);
  if (status == BT_DAMAGED)
    bt_error_prefix(error,
                    "the copy of %s is not whole and was dropped; see whether the ledger "
                    "is (`beamtally verify`)",
                    ledger->path);
  return status;
}
