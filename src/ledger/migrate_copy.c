/* The copy of a ledger of an older version that is kept when it is brought up to date.
 *
 * It stands beside the ledger, as NAME.version1.sqlite, or NAME.version1-2.sqlite where that is
 * taken: no whole file is ever overwritten. It gets that name only once it is whole: until then it
 * is written as NAME.version1.sqlite.part, read back row by row, compared and brought to the disk.
 *
 * A signal that is heard takes the part away (base/passing.c). A migration that is killed leaves
 * it, or a whole copy; the ledger is touched after. The next one removes parts, for whoever makes
 * one has the ledger locked, and takes a whole copy that it finds, where it is the ledger row by
 * row, as its own. */
#include "ledger_private.h"
#include "migrate_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MOST_COPIES = 1000 };

static bt_status copy_fails(const char *path, const char *words, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "%s: the copy of the ledger as it was can't be made (%s), so the ledger was left "
                 "as it is, of the older version; make room, or ask for the right to write there",
                 path, words);
}

/* "clinic.version1.sqlite", "clinic.version1-2.sqlite" ...; while it is written ".part" follows.
 * NULL without memory. */
static char *copy_name(const char *ledger, int64_t version, int number, bool part) {
  static const char ending[] = ".sqlite";
  size_t length = strlen(ledger);
  bt_text path = {0};
  if (length > strlen(ending) && strcmp(ledger + length - strlen(ending), ending) == 0)
    length -= strlen(ending);
  bt_text_add_bytes(&path, ledger, length);
  bt_text_format(&path, ".version%lld", (long long)version);
  if (number > 1)
    bt_text_format(&path, "-%d", number);
  bt_text_add(&path, ending);
  if (part)
    bt_text_add(&path, ".part");
  return bt_text_take(&path);
}

/* Removes what killed migrations left. The name only goes: a copy that was whole has another. */
static bt_status remove_parts(const char *ledger, int64_t version, int64_t *removed,
                              bt_error *error) {
  for (int number = 1; number <= MOST_COPIES; number++) {
    char *name = copy_name(ledger, version, number, true);
    if (name == NULL)
      return bt_fail_memory(error);
    bool gone = unlink(name) == 0;
    bt_status status = gone || errno == ENOENT ? BT_OK : copy_fails(name, strerror(errno), error);
    free(name);
    if (status != BT_OK || !gone)
      return status;
    (*removed)++;
  }
  return BT_OK;
}

/* Makes a new, empty file of the temporary name, which goes when the program is ended. It is noted
 * first: there is none of that name, and nobody else may make one. */
static bt_status make_part(const char *ledger, int64_t version, char **made, bt_error *error) {
  struct stat info;
  if (stat(ledger, &info) != 0)
    return copy_fails(ledger, strerror(errno), error);
  char *name = copy_name(ledger, version, 1, true);
  if (name == NULL || !bt_passing_note(name)) {
    free(name);
    return bt_fail_memory(error);
  }
  int file = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, info.st_mode & 0777);
  if (file < 0) {
    bt_status status = copy_fails(name, strerror(errno), error);
    bt_passing_forget(name);
    free(name);
    return status;
  }
  (void)close(file); /* nothing was written yet */
  *made = name;
  return BT_OK;
}

/* Whether a whole copy has got that name: a link never takes the place of a file. Where the file
 * system knows no links, a look and a rename must do. */
static bool give_name(const char *part, const char *name, int *reason) {
  struct stat there;
  *reason = 0;
  if (link(part, name) == 0) {
    (void)unlink(part);
    return true;
  }
  if (errno == EEXIST || lstat(name, &there) == 0)
    return false;
  if (rename(part, name) == 0)
    return true;
  *reason = errno;
  return false;
}

/* Gives a whole copy the first name that is free. */
static bt_status name_copy(const char *ledger, int64_t version, const char *part, char **named,
                           bt_error *error) {
  for (int number = 1; number <= MOST_COPIES; number++) {
    int reason = 0;
    char *name = copy_name(ledger, version, number, false);
    if (name == NULL)
      return bt_fail_memory(error);
    if (give_name(part, name, &reason)) {
      *named = name;
      return BT_OK;
    }
    bt_status status = reason == 0 ? BT_OK : copy_fails(name, strerror(reason), error);
    free(name);
    if (status != BT_OK)
      return status;
  }
  return copy_fails(ledger, "too many copies stand beside it", error);
}

/* By these a zero with a sign differs from one without. */
static uint64_t bits_of(double number) {
  uint64_t bits;
  memcpy(&bits, &number, sizeof bits);
  return bits;
}

/* True when both statements stand on rows of the same types and bytes. */
static bool same_row(sqlite3_stmt *one, sqlite3_stmt *other) {
  int n = sqlite3_column_count(one);
  bool same = n == sqlite3_column_count(other);
  for (int c = 0; c < n && same; c++) {
    same = sqlite3_column_type(one, c) == sqlite3_column_type(other, c);
    if (same && sqlite3_column_type(one, c) == SQLITE_FLOAT) {
      same = bits_of(sqlite3_column_double(one, c)) == bits_of(sqlite3_column_double(other, c));
    } else if (same) {
      const void *a = sqlite3_column_blob(one, c);
      const void *b = sqlite3_column_blob(other, c);
      int bytes = sqlite3_column_bytes(one, c);
      same = bytes == sqlite3_column_bytes(other, c) &&
             (bytes == 0 || (a != NULL && b != NULL && memcmp(a, b, (size_t)bytes) == 0));
    }
  }
  return same;
}

/* Both give the same rows, in the order in which the tables lie. */
static bool same_rows(sqlite3 *one, sqlite3 *other, const char *sql) {
  sqlite3_stmt *ours = NULL, *theirs = NULL;
  bool same = sqlite3_prepare_v2(one, sql, -1, &ours, NULL) == SQLITE_OK &&
              sqlite3_prepare_v2(other, sql, -1, &theirs, NULL) == SQLITE_OK;
  int code = SQLITE_ROW;
  while (same && code == SQLITE_ROW) {
    code = sqlite3_step(ours);
    same = sqlite3_step(theirs) == code && (code == SQLITE_ROW || code == SQLITE_DONE);
    if (same && code == SQLITE_ROW)
      same = same_row(ours, theirs);
  }
  (void)sqlite3_finalize(ours);
  (void)sqlite3_finalize(theirs);
  return same;
}

static bool same_tables(sqlite3 *one, sqlite3 *other) {
  sqlite3_stmt *tables = NULL;
  bool same = same_rows(one, other, LEDGER_SCHEMA_ROWS) &&
              same_rows(one, other, "PRAGMA application_id") &&
              same_rows(one, other, "PRAGMA user_version") &&
              sqlite3_prepare_v2(one, "SELECT name FROM main.sqlite_schema WHERE type = 'table'",
                                 -1, &tables, NULL) == SQLITE_OK;
  int code = SQLITE_ROW;
  while (same && (code = sqlite3_step(tables)) == SQLITE_ROW) {
    char *sql = sqlite3_mprintf("SELECT * FROM main.\"%w\"", sqlite3_column_text(tables, 0));
    same = sql != NULL && same_rows(one, other, sql);
    sqlite3_free(sql);
  }
  (void)sqlite3_finalize(tables);
  return same && code == SQLITE_DONE;
}

static bool same_ledger(bt_ledger *ledger, const char *path) {
  sqlite3 *copy = NULL;
  bool same =
      sqlite3_open_v2(path, &copy, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL) == SQLITE_OK &&
      same_tables(ledger->db, copy);
  (void)sqlite3_close(copy);
  return same;
}

/* Pages are read through a connection of their own: SQLite copies none of one that is writing. */
static bt_status copy_and_compare(bt_ledger *ledger, const char *part, bt_error *error) {
  bt_ledger reader = {.path = ledger->path};
  int flags = SQLITE_OPEN_READONLY | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX;
  bt_status status = BT_OK;
  if (sqlite3_open_v2(reader.path, &reader.db, flags, NULL) != SQLITE_OK)
    status = reader.db == NULL ? bt_fail_memory(error) : ledger_fault(&reader, "copying", error);
  if (status == BT_OK && (status = ledger_copy_pages(&reader, part, error)) != BT_OK)
    bt_error_prefix(error, "%s was not made", part);
  (void)sqlite3_close(reader.db);
  if (status == BT_OK && !same_ledger(ledger, part))
    status = copy_fails(part, "read back, it differs from the ledger", error);
  return status;
}

static bt_status sync_path(const char *path, const char *named, bt_error *error) {
  bt_status status = BT_OK;
  int file = open(path, O_RDONLY | O_CLOEXEC);
  /* Some file systems can't sync a folder, and need not. */
  if (file < 0 || (fsync(file) != 0 && errno != EINVAL))
    status = copy_fails(named, strerror(errno), error);
  if (file >= 0)
    (void)close(file);
  return status;
}

static bt_status sync_folder(const char *path, bt_error *error) {
  char *folder = bt_folder_of(path);
  if (folder == NULL)
    return bt_fail_memory(error);
  bt_status status = sync_path(folder, path, error);
  free(folder);
  return status;
}

/* A whole copy that a killed migration made; *path is NULL where there is none. */
static bt_status find_copy(bt_ledger *ledger, int64_t version, char **path, bt_error *error) {
  for (int number = 1; number <= MOST_COPIES; number++) {
    char *name = copy_name(ledger->path, version, number, false);
    if (name == NULL)
      return bt_fail_memory(error);
    bool there = access(name, F_OK) == 0;
    if (there && same_ledger(ledger, name)) {
      *path = name;
      return BT_OK;
    }
    free(name);
    if (!there)
      return BT_OK;
  }
  return BT_OK;
}

static bt_status make_copy(bt_ledger *ledger, int64_t version, char **path, bt_error *error) {
  char *part = NULL;
  bt_status status = make_part(ledger->path, version, &part, error);
  if (part == NULL)
    return status;
  status = copy_and_compare(ledger, part, error);
  if (status == BT_OK)
    status = sync_path(part, part, error);
  if (status == BT_OK)
    status = name_copy(ledger->path, version, part, path, error);
  if (status == BT_OK)
    status = sync_folder(*path, error);
  if (*path == NULL)
    (void)unlink(part);
  bt_passing_forget(part);
  free(part);
  if (status != BT_OK && *path != NULL)
    (void)unlink(*path);
  return status;
}

bt_status ledger_keep_version(bt_ledger *ledger, int64_t version, ledger_kept *kept,
                              bt_error *error) {
  *kept = (ledger_kept){0};
  bt_status status = remove_parts(ledger->path, version, &kept->parts_removed, error);
  if (status == BT_OK)
    status = find_copy(ledger, version, &kept->path, error);
  kept->was_there = kept->path != NULL;
  if (status == BT_OK && kept->was_there) {
    status = sync_path(kept->path, kept->path, error);
    if (status == BT_OK)
      status = sync_folder(kept->path, error);
  } else if (status == BT_OK) {
    status = make_copy(ledger, version, &kept->path, error);
  }
  if (status != BT_OK) {
    free(kept->path);
    kept->path = NULL;
  }
  return status;
}
