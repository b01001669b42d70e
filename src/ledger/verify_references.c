/* References that lead to no row, named by table and row.
 *
 * SQLite names the row only where a table has row numbers, so the row is looked for by its key, in
 * the statement that the reference's columns give. Names of tables and columns are ours: the
 * schema's text was compared. */
#include "ledger_private.h"
#include "sql_private.h"
#include "verify_private.h"

#include <string.h>

typedef struct broken_reference {
  const char *table, *parent;
  int64_t number; /* of the reference, as PRAGMA foreign_key_list counts */
} broken_reference;

/* " AND p.number = c.unit" for each column of the reference, and whether it has one at all. */
static bt_status add_columns(bt_ledger *ledger, const broken_reference *broken, bt_text *same,
                             bt_text *there, bt_error *error) {
  sqlite3_stmt *rows = NULL;
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT f.\"from\", coalesce(f.\"to\", (SELECT name FROM "
                     "pragma_table_info(f.\"table\") WHERE pk = f.seq + 1)) FROM "
                     "pragma_foreign_key_list(?1) AS f WHERE f.id = ?2 ORDER BY f.seq",
                     &rows, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, rows, "ti", broken->table, broken->number);
  while (ledger_next(ledger, rows, &status, error)) {
    const char *from = (const char *)sqlite3_column_text(rows, 0);
    bt_text_format(same, " AND p.\"%s\" = c.\"%s\"", (const char *)sqlite3_column_text(rows, 1),
                   from);
    bt_text_format(there, " AND c.\"%s\" IS NOT NULL", from);
  }
  (void)sqlite3_finalize(rows);
  return status;
}

/* "c.unit, c.time" */
static bt_status add_key(bt_ledger *ledger, const char *table, bt_text *key, bt_error *error) {
  sqlite3_stmt *rows = NULL;
  const char *between = "";
  bt_status status = ledger_prepare(
      ledger, "SELECT name FROM pragma_table_info(?1) WHERE pk > 0 ORDER BY pk", &rows, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, rows, "t", table);
  while (ledger_next(ledger, rows, &status, error)) {
    bt_text_format(key, "%sc.\"%s\"", between, (const char *)sqlite3_column_text(rows, 0));
    between = ", ";
  }
  (void)sqlite3_finalize(rows);
  return status;
}

/* The statement that gives the key of the first such row. */
static bt_status write_search(bt_ledger *ledger, const broken_reference *broken, bt_text *sql,
                              bt_error *error) {
  bt_text key = {0}, same = {0}, there = {0};
  bt_status status = add_key(ledger, broken->table, &key, error);
  if (status == BT_OK)
    status = add_columns(ledger, broken, &same, &there, error);
  if (status == BT_OK && !(bt_text_ok(&key) && bt_text_ok(&same) && bt_text_ok(&there)))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    bt_text_format(sql,
                   "SELECT %s FROM main.\"%s\" AS c WHERE NOT EXISTS (SELECT 1 FROM main.\"%s\" AS "
                   "p WHERE 1%s)%s LIMIT 1",
                   bt_text_get(&key), broken->table, broken->parent, bt_text_get(&same),
                   bt_text_get(&there));
  bt_text_free(&key);
  bt_text_free(&same);
  bt_text_free(&there);
  return status == BT_OK && !bt_text_ok(sql) ? bt_fail_memory(error) : status;
}

/* "unit 1, time 63912151800, sequence 0" */
static bt_status name_row(bt_ledger *ledger, const broken_reference *broken, bt_text *name,
                          bt_error *error) {
  sqlite3_stmt *found = NULL;
  bt_text sql = {0};
  bool row = false;
  bt_status status = write_search(ledger, broken, &sql, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, bt_text_get(&sql), &found, error);
  if (status == BT_OK)
    status = ledger_step(ledger, found, &row, error);
  for (int c = 0; status == BT_OK && row && c < sqlite3_column_count(found); c++) {
    const char *value = (const char *)sqlite3_column_text(found, c);
    bt_text_format(name, "%s%s %.60s", c == 0 ? "" : ", ", sqlite3_column_name(found, c),
                   value == NULL ? "NULL" : value);
  }
  if (status == BT_OK && !bt_text_ok(name))
    status = bt_fail_memory(error);
  (void)sqlite3_finalize(found);
  bt_text_free(&sql);
  return status;
}

bt_status ledger_verify_references(bt_ledger *ledger, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_text name = {0};
  bool row = false;
  bt_status status = ledger_prepare(ledger, "PRAGMA main.foreign_key_check", &statement, error);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    broken_reference broken = {.table = (const char *)sqlite3_column_text(statement, 0),
                               .parent = (const char *)sqlite3_column_text(statement, 2),
                               .number = sqlite3_column_int64(statement, 3)};
    status = broken.table == NULL || broken.parent == NULL
                 ? bt_fail_memory(error)
                 : name_row(ledger, &broken, &name, error);
    if (status == BT_OK)
      status = bt_fail(error, BT_DAMAGED,
                       "%s: the row %s of the table \"%s\" names a row of \"%s\" that is gone; use "
                       "a backup of it",
                       ledger->path, bt_text_get(&name), broken.table, broken.parent);
  }
  bt_text_free(&name);
  (void)sqlite3_finalize(statement);
  return status;
}
