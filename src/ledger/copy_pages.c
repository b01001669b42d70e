/* All pages of a ledger into another file, by SQLite's backup API: as one moment has them, also
 * while others write. The copy is written without a journal: one that is cut short is thrown away.
 */
#include "ledger_private.h"
#include "migrate_private.h"

/* The file may have a temporary name, which tells a person nothing: the caller names the file. */
static bt_status copy_failed(const char *words, bt_error *error) {
  return bt_fail(
      error, BT_SYSTEM,
      "the copy can't be written (%s); make room, or choose a folder that can be written", words);
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
