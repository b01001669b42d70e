/* Opening a ledger, which may come from elsewhere: nothing in the file is trusted before its
 * identity, version and the whole text of its schema are known to be ours. */
#include "entry_private.h"
#include "file_private.h"
#include "ledger_private.h"
#include "migrate_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bt_status is_empty(const char *path, bt_error *error) {
  return bt_fail(
      error, BT_NOTFOUND,
      "%s is empty (0 bytes): not a ledger. A first import that was cut short leaves such "
      "a file, and `beamtally import FILE` starts the ledger in it; where a ledger stood "
      "here, put a backup in its place first",
      path);
}

enum { SHORTEST_PAGE = 512 };

/* SQLite takes a file of one byte to be an empty one, and would write over it. A file that is not
 * shorter than a page was started by another program just now. */
static bt_status look_at_bytes(const char *path, bt_ledger_mode mode, bt_error *error) {
  struct stat info;
  if (stat(path, &info) != 0)
    return bt_fail(error, BT_SYSTEM, "%s: %s", path, strerror(errno));
  if (info.st_size >= SHORTEST_PAGE)
    return BT_OK;
  if (info.st_size > 0)
    return bt_fail(
        error, BT_REFUSED,
        "%s: not a ledger, but %lld byte%s of something else, or of a ledger that was cut "
        "short; use a backup of it, or name another with --ledger",
        path, (long long)info.st_size, info.st_size == 1 ? "" : "s");
  return mode == BT_LEDGER_CREATE ? BT_OK : is_empty(path, error);
}

/* *missing is true when there is no file of that name. */
static bt_status look_at_path(const char *path, bt_ledger_mode mode, bool *missing,
                              bt_error *error) {
  struct stat info;
  *missing = false;
  /* To SQLite these are databases that vanish when they are closed, or addresses of other files. */
  if (path[0] == '\0' || path[0] == ':' || strncmp(path, "file:", 5) == 0)
    return bt_fail(error, BT_USAGE,
                   "\"%s\" is not the name of a file; name the ledger with --ledger", path);
  if (stat(path, &info) != 0) {
    *missing = errno == ENOENT;
    if (!*missing)
      return bt_fail(error, BT_SYSTEM, "%s: %s; check the path of the ledger", path,
                     strerror(errno));
    if (mode == BT_LEDGER_CREATE)
      return BT_OK;
    return bt_fail(error, BT_NOTFOUND,
                   "%s: there is no ledger here; import a log to start one, or name another with "
                   "--ledger",
                   path);
  }
  if (S_ISDIR(info.st_mode))
    return bt_fail(error, BT_REFUSED,
                   "%s: this is a folder, not a ledger; name a file with --ledger", path);
  if (!S_ISREG(info.st_mode))
    return bt_fail(error, BT_REFUSED,
                   "%s: this is not an ordinary file; name a ledger file with --ledger", path);
  if (access(path, R_OK) != 0)
    return bt_fail(error, BT_SYSTEM,
                   "%s: the ledger can't be read (%s); ask for the right to read it, or name "
                   "another with --ledger",
                   path, strerror(errno));
  return info.st_size == 0 && mode != BT_LEDGER_CREATE ? is_empty(path, error) : BT_OK;
}

/* A writer needs its folder as well: the rollback journal is made there. */
static bt_status look_at_folder(const char *path, bool missing, bt_error *error) {
  char *folder = bt_folder_of(path);
  bt_status status = BT_OK;
  struct stat info;
  if (folder == NULL)
    return bt_fail_memory(error);
  if (stat(folder, &info) != 0 || !S_ISDIR(info.st_mode))
    status = bt_fail(error, BT_SYSTEM,
                     "%s: the folder %s isn't there; make it first, or name another ledger with "
                     "--ledger",
                     path, folder);
  else if (access(folder, W_OK | X_OK) != 0 || (!missing && access(path, W_OK) != 0))
    status = bt_fail(error, BT_SYSTEM,
                     "%s: the ledger or its folder can't be written (%s); ask for the right to "
                     "write there, or choose another place with --ledger",
                     path, strerror(errno));
  free(folder);
  return status;
}

/* Settings of the connection that hold before anything of the file is read. */
static bt_status defend(bt_ledger *ledger, bt_error *error) {
  static const struct {
    int option, value;
  } options[] = {{SQLITE_DBCONFIG_DEFENSIVE, 1},      {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
                 {SQLITE_DBCONFIG_ENABLE_FKEY, 1},    {SQLITE_DBCONFIG_ENABLE_TRIGGER, 1},
                 {SQLITE_DBCONFIG_DQS_DDL, 0},        {SQLITE_DBCONFIG_DQS_DML, 0},
                 {SQLITE_DBCONFIG_WRITABLE_SCHEMA, 0}};
  for (size_t i = 0; i < sizeof options / sizeof options[0]; i++)
    if (sqlite3_db_config(ledger->db, options[i].option, options[i].value, NULL) != SQLITE_OK)
      return ledger_fault(ledger, "opening", error);
  ledger_set_wait(ledger, LEDGER_WAIT_MS);
  return ledger_run(ledger,
                    "PRAGMA cell_size_check = ON;"
                    "PRAGMA recursive_triggers = ON;"
                    "PRAGMA synchronous = EXTRA;"
                    "PRAGMA secure_delete = ON;" /* a text that is removed leaves nothing */
                    "PRAGMA temp_store = FILE;"
                    "PRAGMA mmap_size = 0;",
                    error);
}

/* Makes the tables and the first entry, unless another program was first. */
static bt_status create(bt_ledger *ledger, bt_error *error) {
  bt_status status = ledger_run(ledger, "PRAGMA page_size = 8192", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  int64_t objects = 0;
  status = ledger_number(ledger, "SELECT count(*) FROM main.sqlite_schema", &objects, error);
  if (status == BT_OK && objects == 0) {
    char marks[100];
    (void)snprintf(marks, sizeof marks, "PRAGMA application_id = %d; PRAGMA user_version = %d",
                   (int)LEDGER_APPLICATION_ID, (int)LEDGER_VERSION);
    status = ledger_run(ledger, marks, error);
    if (status == BT_OK)
      status = ledger_schema_complete(ledger, error);
    if (status == BT_OK) {
      ledger_entry entry = {.number = 1, .kind = "created"};
      status = ledger_entry_seal(ledger, &entry, NULL, error);
    }
  }
  status = ledger_end(ledger, status, error);
  return status == BT_OK ? ledger_is_in_place(ledger, error) : status;
}

/* Whose file is it, and of which version? */
static bt_status identify(bt_ledger *ledger, int64_t *version, bt_error *error) {
  int64_t application = 0;
  bt_status status = ledger_number(ledger, "PRAGMA application_id", &application, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "PRAGMA user_version", version, error);
  if (status != BT_OK)
    return status;
  if (application != LEDGER_APPLICATION_ID)
    return bt_fail(error, BT_REFUSED,
                   "%s: this is a database of another program, not a Beamtally ledger; name "
                   "another with --ledger",
                   ledger->path);
  if (*version > LEDGER_VERSION)
    return bt_fail(error, BT_REFUSED,
                   "%s: a newer Beamtally made this ledger (version %lld, this program knows %d); "
                   "use the newer program",
                   ledger->path, (long long)*version, (int)LEDGER_VERSION);
  if (*version < 1)
    return bt_fail(error, BT_DAMAGED, "%s: the ledger has no valid version; use a backup of it",
                   ledger->path);
  return BT_OK;
}

/* SQLite fills the missing end of a cut last page with zeros and says nothing. While a read
 * transaction lasts no writer can be changing the file's length. What another program left in a
 * write-ahead log goes into the file first; where there is none, that does nothing. Who is going to
 * write learns here that the file's marks forbid it. */
static bt_status look_at_file(bt_ledger *ledger, bool writes, bt_error *error) {
  int64_t tables = 0, size = 0, count = 0, busy = 0;
  struct stat info = {0};
  bt_status status = ledger_number(ledger, "PRAGMA wal_checkpoint", &busy, error);
  if (status == BT_OK)
    status = ledger_begin_reading(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_number(ledger, "SELECT count(*) FROM sqlite_schema", &tables, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "PRAGMA page_size", &size, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "PRAGMA page_count", &count, error);
  if (status == BT_OK && stat(ledger->path, &info) != 0)
    status = bt_fail(error, BT_SYSTEM, "%s: %s", ledger->path, strerror(errno));
  if (status == BT_OK && (int64_t)info.st_size < size * count)
    status = bt_fail(error, BT_DAMAGED,
                     "%s: the ledger was cut short (%lld of %lld bytes are there); use a backup of "
                     "it",
                     ledger->path, (long long)info.st_size, (long long)size * count);
  if (status == BT_OK && writes)
    status = ledger_marks_as_written(ledger, error);
  ledger_rollback(ledger);
  return status;
}

static bt_status open_file(bt_ledger *ledger, bool missing, bt_error *error) {
  /* A reader opens for writing too where it may: only so can a journal that a killed import left
   * be rolled back. query_only keeps it from writing anything else. One thread uses a ledger, so
   * SQLite needs no mutexes. */
  int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX;
  if (ledger->mode == BT_LEDGER_CREATE)
    flags |= SQLITE_OPEN_CREATE;
  if (sqlite3_open_v2(ledger->path, &ledger->db, flags, NULL) != SQLITE_OK)
    return ledger->db == NULL ? bt_fail_memory(error) : ledger_fault(ledger, "opening", error);
  ledger->begun = missing;
  bt_status status = ledger_is_in_place(ledger, error); /* before anything is read: unbegun.c */
  if (status == BT_OK)
    status = defend(ledger, error);
  int64_t pages = 0, version = 0;
  if (status == BT_OK) /* a journal that was left of a first import takes all pages with it */
    status = ledger_number(ledger, "PRAGMA page_count", &pages, error);
  if (status == BT_OK && pages == 0)
    status = look_at_bytes(ledger->path, ledger->mode, error);
  if (status == BT_OK && (missing || pages == 0))
    status = create(ledger, error);
  ledger->begun = missing; /* again: what create committed is no entry of anybody's */
  if (status == BT_OK)
    status = identify(ledger, &version, error);
  if (status == BT_OK)
    status =
        look_at_file(ledger, ledger->mode != BT_LEDGER_READ || version < LEDGER_VERSION, error);
  if (status == BT_OK && version < LEDGER_VERSION)
    status = ledger_migrate(ledger, version, error);
  if (status == BT_OK)
    status = ledger_schema_compare(ledger, error);
  if (status == BT_OK)
    status = ledger_run(ledger,
                        ledger->mode == BT_LEDGER_READ ? "PRAGMA query_only = ON"
                                                       : "PRAGMA journal_mode = DELETE",
                        error);
  return status;
}

/* One try. *again is set where the file that was opened lost its name meanwhile. */
static bt_status try_open(const char *path, bt_ledger_mode mode, bool unguarded, bool *again,
                          bt_ledger **ledger, bt_error *error) {
  bool missing = false;
  *again = false;
  bt_status status = look_at_path(path, mode, &missing, error);
  if (status == BT_OK && mode != BT_LEDGER_READ)
    status = look_at_folder(path, missing, error);
  if (status != BT_OK)
    return status;
  bt_ledger *made = bt_new(1, sizeof *made);
  if (made != NULL) {
    made->mode = mode;
    made->unguarded = unguarded;
    made->path = bt_copy(path);
  }
  if (made == NULL || made->path == NULL) {
    bt_ledger_close(made);
    return bt_fail_memory(error);
  }
  status = open_file(made, missing, error);
  if (status == BT_OK) {
    *ledger = made;
    return BT_OK;
  }
  *again = made->db != NULL && ledger_is_in_place(made, NULL) != BT_OK;
  bt_ledger_close(made);
  return status;
}

static bt_status open_ledger(const char *path, bt_ledger_mode mode, bool unguarded,
                             bt_ledger **ledger, bt_error *error) {
  enum { TRIES = 5 };
  bool again = true;
  bt_status status = BT_OK;
  *ledger = NULL;
  if (sodium_init() < 0)
    return bt_fail(error, BT_SYSTEM, "the system gives no random numbers; restart it");
  for (int i = 0; i < TRIES && again; i++)
    status = try_open(path, mode, unguarded, &again, ledger, error);
  return status;
}

bt_status bt_ledger_open(const char *path, bt_ledger_mode mode, bt_ledger **ledger,
                         bt_error *error) {
  return open_ledger(path, mode, false, ledger, error);
}

bt_status bt_ledger_open_unguarded(const char *path, bt_ledger **ledger, bt_error *error) {
  return open_ledger(path, BT_LEDGER_READ, true, ledger, error);
}

void bt_ledger_close(bt_ledger *ledger) {
  if (ledger == NULL)
    return;
  ledger_nothing nothing;
  bool away = ledger->begun && ledger_holds_nothing(ledger, &nothing);
  (void)sqlite3_close(ledger->db);
  if (away)
    ledger_take_away(ledger->path, &nothing);
  free(ledger->path);
  free(ledger->kept.path);
  free(ledger);
}
