/* A ledger that was begun by this opening and into which nothing was entered is taken away again: a
 * first import that failed leaves no file that looks like a record.
 *
 * U1  A file that has pages goes only under the lock of a writer, and only where nothing but the
 *     making of it stands in it: another program may have entered something meanwhile.
 * U2  One without a page goes under the lock of a reader, under which nobody can commit one: a
 *     writer's lock takes a journal, for which a full disk has no room.
 * U3  Who had opened the file before and waited for that lock enters nothing into a file that has
 * no name any more: SQLite looks for that itself where the file has pages (SQLITE_READONLY_DBMOVED,
 *     sql.c), and whoever began a ledger in it looks afterwards (ledger_is_in_place). */
#include "ledger_private.h"

#include <unistd.h>

enum { WAIT_MS = 1000 };

bt_status ledger_was_moved(const bt_ledger *ledger, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "%s: another program took the ledger away, or put another in its place, while it "
                 "was used here; look what stands there now and try again (nothing was stored)",
                 ledger->path);
}

bt_status ledger_is_in_place(bt_ledger *ledger, bt_error *error) {
  int moved = 0;
  bool known =
      sqlite3_file_control(ledger->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK;
  return known && moved == 0 ? BT_OK : ledger_was_moved(ledger, error);
}

/* Within a transaction: takes the file away where that query finds no more than `most`. */
static void take_away(bt_ledger *ledger, const char *sql, int64_t most) {
  int64_t n = 0;
  if (ledger_number(ledger, sql, &n, NULL) == BT_OK && n <= most &&
      ledger_is_in_place(ledger, NULL) == BT_OK)
    (void)unlink(ledger->path);
  ledger_rollback(ledger);
}

/* Where it can't be done the file stays: an empty ledger is one that an import can go on with. */
void ledger_unbegin(bt_ledger *ledger) {
  ledger_rollback(ledger);
  ledger_set_wait(ledger, WAIT_MS);
  if (ledger_begin_reading(ledger, NULL) == BT_OK)
    take_away(ledger, "PRAGMA page_count", 0); /* U2 */
  if (ledger_is_in_place(ledger, NULL) == BT_OK && ledger_begin(ledger, NULL) == BT_OK)
    take_away(ledger, "SELECT count(*) FROM main.entry", 1); /* U1 */
}
