/* A ledger that was begun by this opening and into which nothing was entered is taken away again: a
 * first import that failed leaves no file that looks like a record.
 *
 * U1  Only where nothing but the making of it stands in the file, also after it was closed here:
 *     another program may have entered something meanwhile.
 * U2  Only while nobody else has it open, which a lease for writing tells (Linux, fcntl(2)), and
 *     whoever opens it meanwhile waits until it is gone. SQLite must not go on with a file that
 *     lost its name: it would take the journal of the next one of that name for its own ("How To
 *     Corrupt An SQLite Database File", section 1.3, sqlite.org/howtocorrupt.html).
 * U3  Who waited so looks, before anything is read, whether what it opened still has the name, and
 *     else opens anew (ledger_is_in_place, open.c).
 *
 * Where the file system knows no leases the file stays: an empty ledger is one that an import goes
 * on with. */
#define _GNU_SOURCE /* F_SETLEASE, F_SETSIG */
#include "file_private.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bt_status ledger_is_in_place(bt_ledger *ledger, bt_error *error) {
  int moved = 0;
  bool known =
      sqlite3_file_control(ledger->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK;
  return known && moved == 0 ? BT_OK : ledger_was_moved(ledger, error);
}

/* The head counts every change of the file: "Database File Format", section 1.3.7. */
static bool read_head(bt_ledger *ledger, unsigned char *head) {
  sqlite3_file *file = NULL;
  return sqlite3_file_control(ledger->db, "main", SQLITE_FCNTL_FILE_POINTER, &file) == SQLITE_OK &&
         file != NULL && file->pMethods != NULL &&
         file->pMethods->xRead(file, head, LEDGER_HEAD_BYTES, 0) == SQLITE_OK;
}

bool ledger_holds_nothing(bt_ledger *ledger, ledger_nothing *found) {
  int64_t pages = 0, entries = 0;
  struct stat info;
  ledger_rollback(ledger);
  if (ledger_begin_reading(ledger, NULL) != BT_OK)
    return false;
  bool nothing = ledger_number(ledger, "PRAGMA page_count", &pages, NULL) == BT_OK &&
                 stat(ledger->path, &info) == 0;
  if (nothing && pages > 0)
    nothing = ledger_number(ledger, "SELECT count(*) FROM main.entry", &entries, NULL) == BT_OK &&
              entries == 1 && read_head(ledger, found->head);
  ledger_rollback(ledger);
  found->bytes = nothing ? info.st_size : 0;
  return nothing && (pages > 0 || info.st_size == 0);
}

/* Under the lease. A journal that was left belongs to what the file will be. */
static bool is_as_found(const char *path, int file, const ledger_nothing *found) {
  unsigned char head[LEDGER_HEAD_BYTES];
  struct stat open_one, named, journal;
  char beside[4200];
  int n = snprintf(beside, sizeof beside, "%s-journal", path);
  return n > 0 && (size_t)n < sizeof beside && stat(beside, &journal) != 0 &&
         fstat(file, &open_one) == 0 && lstat(path, &named) == 0 &&
         open_one.st_ino == named.st_ino && open_one.st_dev == named.st_dev &&
         open_one.st_size == found->bytes &&
         (found->bytes == 0 || (pread(file, head, sizeof head, 0) == (ssize_t)sizeof head &&
                                memcmp(head, found->head, sizeof head) == 0));
}

void ledger_take_away(const char *path, const ledger_nothing *found) {
  int file = open(path, O_RDONLY | O_CLOEXEC);
  if (file < 0)
    return;
  /* Whoever opens the file makes the system send a signal; this one is ignored by itself. */
  if (fcntl(file, F_SETSIG, SIGURG) == 0 && fcntl(file, F_SETLEASE, F_WRLCK) == 0 && /* U2 */
      is_as_found(path, file, found))                                                /* U1 */
    (void)unlink(path);
  (void)close(file); /* the lease ends with it */
}
