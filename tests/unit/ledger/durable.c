/* What is reported as stored is on the disk: the syncs of a commit, in their order, and what
 * happens when one of them fails. Seen by a layer between SQLite and the system's files. */
#include "helpers.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <stdio.h>

TestSuite(ledger_durable, .fini = test_cleanup);

/* ---- The layer ------------------------------------------------------------------------------- */

typedef struct seen_file {
  sqlite3_file base;
  char letter;             /* d the ledger, j its journal, t a temporary file */
  _Alignas(8) char real[]; /* the system's own */
} seen_file;

static sqlite3_vfs *below;
static char
    seen[64];        /* a letter a sync; D for a journal removed and its folder synced, x without */
static int fails_at; /* the sync that fails, counted from 1; 0: none */

static sqlite3_file *real(sqlite3_file *file) {
  return (sqlite3_file *)(void *)((seen_file *)(void *)file)->real;
}

static int note(char letter) {
  size_t n = strlen(seen);
  if (n + 1 < sizeof seen)
    seen[n] = letter;
  return fails_at == (int)n + 1 ? SQLITE_IOERR_FSYNC : SQLITE_OK;
}

static int seen_close(sqlite3_file *file) {
  return real(file)->pMethods->xClose(real(file));
}

static int seen_read(sqlite3_file *file, void *to, int n, sqlite3_int64 at) {
  return real(file)->pMethods->xRead(real(file), to, n, at);
}

static int seen_write(sqlite3_file *file, const void *from, int n, sqlite3_int64 at) {
  return real(file)->pMethods->xWrite(real(file), from, n, at);
}

static int seen_truncate(sqlite3_file *file, sqlite3_int64 size) {
  return real(file)->pMethods->xTruncate(real(file), size);
}

static int seen_sync(sqlite3_file *file, int flags) {
  int code = note(((seen_file *)(void *)file)->letter);
  return code == SQLITE_OK ? real(file)->pMethods->xSync(real(file), flags) : code;
}

static int seen_size(sqlite3_file *file, sqlite3_int64 *size) {
  return real(file)->pMethods->xFileSize(real(file), size);
}

static int seen_lock(sqlite3_file *file, int level) {
  return real(file)->pMethods->xLock(real(file), level);
}

static int seen_unlock(sqlite3_file *file, int level) {
  return real(file)->pMethods->xUnlock(real(file), level);
}

static int seen_reserved(sqlite3_file *file, int *is) {
  return real(file)->pMethods->xCheckReservedLock(real(file), is);
}

static int seen_control(sqlite3_file *file, int what, void *with) {
  return real(file)->pMethods->xFileControl(real(file), what, with);
}

static int seen_sector(sqlite3_file *file) {
  return real(file)->pMethods->xSectorSize(real(file));
}

static int seen_device(sqlite3_file *file) {
  return real(file)->pMethods->xDeviceCharacteristics(real(file));
}

static const sqlite3_io_methods methods = {.iVersion = 1,
                                           .xClose = seen_close,
                                           .xRead = seen_read,
                                           .xWrite = seen_write,
                                           .xTruncate = seen_truncate,
                                           .xSync = seen_sync,
                                           .xFileSize = seen_size,
                                           .xLock = seen_lock,
                                           .xUnlock = seen_unlock,
                                           .xCheckReservedLock = seen_reserved,
                                           .xFileControl = seen_control,
                                           .xSectorSize = seen_sector,
                                           .xDeviceCharacteristics = seen_device};

static int seen_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out) {
  seen_file *opened = (seen_file *)(void *)file;
  (void)vfs;
  opened->letter = (flags & SQLITE_OPEN_MAIN_DB) != 0        ? 'd'
                   : (flags & SQLITE_OPEN_MAIN_JOURNAL) != 0 ? 'j'
                                                             : 't';
  int code = below->xOpen(below, name, real(file), flags, out);
  file->pMethods = real(file)->pMethods == NULL ? NULL : &methods;
  return code;
}

static int seen_delete(sqlite3_vfs *vfs, const char *name, int folder) {
  (void)vfs;
  int code = note(folder != 0 ? 'D' : 'x');
  return code == SQLITE_OK ? below->xDelete(below, name, folder) : code;
}

static void watch(void) {
  static sqlite3_vfs vfs;
  below = sqlite3_vfs_find(NULL);
  cr_assert_not_null(below);
  vfs = *below;
  vfs.zName = "seen";
  vfs.szOsFile = (int)sizeof(seen_file) + below->szOsFile;
  vfs.xOpen = seen_open;
  vfs.xDelete = seen_delete;
  cr_assert_eq(sqlite3_vfs_register(&vfs, 1), SQLITE_OK);
}

static void forget(void) {
  memset(seen, 0, sizeof seen);
}

/* ---- Tests ----------------------------------------------------------------------------------- */

/* The journal's pages, then how many they are; the ledger; the journal's removal with its folder:
 * only then is the import beyond a loss of power. */
Test(ledger_durable, a_commit_syncs_journal_ledger_and_folder_in_this_order_and_no_more) {
  watch();
  bt_ledger *ledger = test_synced_ledger();
  bt_check log[400];
  for (int i = 0; i < 400; i++) {
    log[i] = test_check("A", "2026-01-01", 1, i + 2);
    log[i].time += i * BT_HOUR;
  }
  forget();
  (void)test_import(ledger, "log", log, 400);
  cr_expect_str_eq(seen, "jjdD");

  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_MOVED};
  bt_error error = {0};
  bool known = false;
  forget();
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  cr_expect_str_eq(seen, "jjdD");

  /* What is only looked at, or known, writes nothing. */
  forget();
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_str_eq(seen, "");
  bt_ledger_close(ledger);
}

Test(ledger_durable, a_sync_that_fails_is_said_and_nothing_was_stored) {
  watch();
  bt_ledger *ledger = test_synced_ledger();
  bt_check log[2] = {test_check("A", "2026-01-01", 1, 2), test_check("A", "2026-01-02", 1, 3)};
  char before[21], after[21];
  (void)test_import(ledger, "first", log, 1);
  test_state(ledger, before);
  for (fails_at = 1; fails_at <= 3; fails_at++) {
    bt_source source = test_source("second");
    bt_import *import = NULL;
    bool repeated = false;
    bt_import_counts counts;
    bt_error error = {0};
    forget();
    cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error),
          error);
    cr_ok(bt_import_check(import, &log[1], &error), error);
    cr_expect_eq(bt_import_commit(import, &counts, &error), BT_SYSTEM, "sync %d", fails_at);
    cr_expect_not_null(strstr(error.text, "the disk failed"), "%s", error.text);
    bt_ledger_close(ledger);
    int failing = fails_at;
    fails_at = 0;
    ledger = test_open(test_path("ledger"), BT_LEDGER_WRITE);
    test_state(ledger, after);
    cr_expect_str_eq(before, after, "sync %d", failing);
    cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks"), 1);
    fails_at = failing;
  }
  fails_at = 0;
  cr_expect_eq(test_import(ledger, "second", &log[1], 1).fresh, 1);
  bt_ledger_close(ledger);
}

/* The one change that triggers let through, and only as an entry announced it. */
Test(ledger_durable, a_text_is_changed_only_to_nothing_and_only_once_it_is_announced) {
  static const char *const refused[] = {
      "UPDATE text SET body = '', salt = x''",
      "UPDATE text SET body = 'other' WHERE number = 1",
      "UPDATE text SET body = '' WHERE number = 1",
      "UPDATE text SET salt = x'' WHERE number = 1",
      "UPDATE text SET body = '', salt = x'', number = 9 WHERE number = 1",
      "DELETE FROM text WHERE number = 1",
      "INSERT OR REPLACE INTO text VALUES (1, x'', '')",
      "INSERT OR REPLACE INTO redaction SELECT * FROM redaction",
      "UPDATE redaction SET field = 'meter'",
      "DELETE FROM redaction",
  };
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[2] = {test_check("A", "2026-01-01", 1, 2), test_check("A", "2026-01-02", 1, 3)};
  log[0].text[BT_FIELD_REMARK] = "one";
  log[1].text[BT_FIELD_REMARK] = "two";
  (void)test_import(ledger, "log", log, 2);
  cr_expect_neq(sqlite3_exec(ledger->db, "UPDATE text SET body = '', salt = x'' WHERE number = 1",
                             NULL, NULL, NULL),
                SQLITE_OK, "not yet");
  cr_ok(ledger_run(ledger,
                   "INSERT INTO redaction (text, entry, sha256, field, unit, time, sequence) "
                   "VALUES (1, 2, zeroblob(32), 'remark', 1, 1767225600, 0)",
                   &error),
        error);
  for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
    cr_expect_eq(sqlite3_exec(ledger->db, refused[i], NULL, NULL, NULL), SQLITE_CONSTRAINT_TRIGGER,
                 "%s", refused[i]);
    cr_expect_not_null(strstr(sqlite3_errmsg(ledger->db), "only grows"), "%s", refused[i]);
  }
  cr_ok(ledger_run(ledger, "UPDATE text SET body = '', salt = x'' WHERE number = 1", &error),
        error);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM text WHERE body = ''"), 1);
  bt_ledger_close(ledger);
}
