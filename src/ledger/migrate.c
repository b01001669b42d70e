/* Bringing a ledger of an older version to today's, when it is opened.
 *
 * G1  Beside the ledger a copy as it was is made first (migrate_copy.c); where there is no room or
 *     right for it, nothing is changed. Killed while it is made, no file bears its name, and the
 *     next migration clears up.
 *
 * G2  All steps are one transaction: a ledger that is killed, or whose disk fills up, in the midst
 *     of it is of the older version, whole.
 *
 * G3  What an entry covered stays as it was, and so do all states that were printed: tables are
 *     only given columns, and entries keep the form in which they were sealed.
 *
 * G4  The migration is an entry of its own, of the kind "migrated", at the time of the one before.
 *
 * G5  Afterwards the schema's text is that of a fresh ledger, or nothing was done.
 *
 * From any older version it goes to today's at once: tables whose text changed are made anew and
 * filled (migrate_tables.c). A version to come adds its line to `schemas`. */
#include "entry_private.h"
#include "ledger_private.h"
#include "migrate_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* SHA-256 over the rows of sqlite_schema in order of type and name: type, name, table and text,
 * each with its NUL. How checked: tests make ledgers of each version from their dumps. */
static const char *const schemas[] = {
    [1] = "fbc83db0d3d32a189ed2ed061942055e1f62e7f368bab4c18f0d1e37bec12ab1",
    [2] = "262b59185a42b6951909202e102ba3c08f04ba48fb6ad6c3a0bd140a875ee2af",
    [3] = "9b1f69ed31e6d09f31f56eb0322fb35c004be82ad36a5068e83e059be6e9bc4f",
    [4] = "c3e782c042bef8abbe6bfb3260293fade288e60cb3f9ff258dbec66b59a99dc0",
    [5] = "8964484c48d55d9fc4adcab2854f707dc14f90b319b8a3e74eef370141ebbbbc",
    [6] = "418e49ab9183f26f83784dc37f0c8d00178629ab5035173e5a325d5797ee0f49"};

_Static_assert(sizeof schemas / sizeof schemas[0] == LEDGER_VERSION + 1,
               "the structure of each version must be known");

bt_status ledger_schema_digest(bt_ledger *ledger, char digits[2 * BT_SHA256_BYTES + 1],
                               bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES];
  crypto_hash_sha256_state state;
  sqlite3_stmt *rows = NULL;
  (void)crypto_hash_sha256_init(&state);
  bt_status status = ledger_prepare(ledger, LEDGER_SCHEMA_ROWS, &rows, error);
  while (ledger_next(ledger, rows, &status, error)) {
    for (int c = 0; status == BT_OK && c < 4; c++) {
      const char *text = (const char *)sqlite3_column_text(rows, c);
      if (text == NULL)
        status = bt_fail_memory(error);
      else
        (void)crypto_hash_sha256_update(&state, (const unsigned char *)text, strlen(text) + 1);
    }
  }
  (void)sqlite3_finalize(rows);
  (void)crypto_hash_sha256_final(&state, sha256);
  (void)sodium_bin2hex(digits, 2 * sizeof sha256 + 1, sha256, sizeof sha256);
  return status;
}

const char *ledger_schema_known(int64_t version) {
  return schemas[version];
}

static bt_status drop_triggers(bt_ledger *ledger, bt_error *error) {
  sqlite3_stmt *rows = NULL;
  bt_text drops = {0};
  bt_status status = ledger_prepare(
      ledger, "SELECT name FROM main.sqlite_schema WHERE type = 'trigger'", &rows, error);
  while (ledger_next(ledger, rows, &status, error))
    bt_text_format(&drops, "DROP TRIGGER main.%s;",
                   (const char *)sqlite3_column_text(rows, 0)); /* ours: the digest says so */
  (void)sqlite3_finalize(rows);
  if (status == BT_OK && !bt_text_ok(&drops))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_run(ledger, bt_text_get(&drops), error);
  bt_text_free(&drops);
  return status;
}

/* Tables of an older version are known, and may be changed. */
static bt_status know_version(bt_ledger *ledger, int64_t version, bt_error *error) {
  char digits[2 * BT_SHA256_BYTES + 1];
  bt_status status = ledger_schema_digest(ledger, digits, error);
  if (status == BT_OK && strcmp(digits, schemas[version]) != 0)
    status = bt_fail(error, BT_DAMAGED,
                     "%s: the structure of this ledger, of version %d, was changed by another "
                     "program; use a backup that was not changed",
                     ledger->path, (int)version);
  return status == BT_OK ? drop_triggers(ledger, error) : status;
}

static bt_status seal_migration(bt_ledger *ledger, int64_t version, bt_error *error) {
  char why[64], mark[64];
  (void)snprintf(why, sizeof why, "from version %d to %d", (int)version, (int)LEDGER_VERSION);
  (void)snprintf(mark, sizeof mark, "PRAGMA user_version = %d", (int)LEDGER_VERSION);
  ledger_entry entry = {.kind = "migrated", .why = why};
  bt_status status = ledger_run(ledger, mark, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry.number, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "SELECT at FROM main.entry ORDER BY number DESC LIMIT 1",
                           &entry.at, error);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  return status;
}

/* All within the transaction. */
static bt_status migrate(bt_ledger *ledger, int64_t version, bt_error *error) {
  bt_status status = know_version(ledger, version, error);
  if (status == BT_OK)
    status = ledger_tables_of_today(ledger, error);
  if (status == BT_OK)
    status = seal_migration(ledger, version, error);
  if (status == BT_OK)
    status = ledger_schema_compare(ledger, error);
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  return status;
}

/* Tables can be set aside only while references to them aren't followed. */
static bt_status loosen(bt_ledger *ledger, bool loose, bt_error *error) {
  return ledger_run(ledger,
                    loose ? "PRAGMA foreign_keys = OFF; PRAGMA legacy_alter_table = ON"
                          : "PRAGMA foreign_keys = ON; PRAGMA legacy_alter_table = OFF",
                    error);
}

static bt_status may_migrate(const bt_ledger *ledger, int64_t version, bt_error *error) {
  bt_status status = BT_OK;
  char *folder = bt_folder_of(ledger->path);
  if (folder == NULL)
    return bt_fail_memory(error);
  if (access(folder, W_OK | X_OK) != 0 || access(ledger->path, W_OK) != 0)
    status = bt_fail(error, BT_SYSTEM,
                     "%s: an older Beamtally made this ledger (version %d, this program needs %d) "
                     "and it can't be brought up to date here, since it or its folder can't be "
                     "written (%s); ask for the right to write there, or copy it to a folder of "
                     "yours and name that with --ledger",
                     ledger->path, (int)version, (int)LEDGER_VERSION, strerror(errno));
  free(folder);
  return status;
}

/* The lock that comes with the transaction lasts from before the copy is made. */
bt_status ledger_migrate(bt_ledger *ledger, int64_t version, bt_error *error) {
  int64_t found = 0;
  ledger_kept kept = {0};
  bt_status status = may_migrate(ledger, version, error);
  if (status == BT_OK)
    status = ledger_run(ledger, "PRAGMA journal_mode = DELETE", error);
  if (status == BT_OK)
    status = loosen(ledger, true, error);
  if (status == BT_OK)
    status = ledger_run(ledger, "BEGIN IMMEDIATE", error);
  if (status == BT_OK)
    status = ledger_number(ledger, "PRAGMA user_version", &found, error);
  if (status == BT_OK && found == version) { /* else another program was first */
    status = ledger_keep_version(ledger, version, &kept, error);
    if (status == BT_OK)
      status = migrate(ledger, version, error);
  }
  ledger_rollback(ledger);
  if (status != BT_OK && kept.path != NULL) {
    if (!kept.was_there)
      (void)unlink(kept.path); /* of no use: the ledger itself is of that version */
    free(kept.path);
    kept.path = NULL;
  }
  ledger->kept = kept; /* stays from here on: the ledger is of today's version, whatever fails */
  bt_status tight = loosen(ledger, false, status == BT_OK ? error : NULL);
  return status == BT_OK ? tight : status;
}

bt_migration bt_ledger_migrated(const bt_ledger *ledger) {
  return (bt_migration){.copy = ledger->kept.path,
                        .copy_was_there = ledger->kept.was_there,
                        .parts_removed = ledger->kept.parts_removed};
}
