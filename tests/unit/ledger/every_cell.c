/* Verify names an edit of any cell of any table that the ledger has: the tables and their columns
 * are asked of the database, so that no table can be forgotten. */
#include "everything.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <stdlib.h>

TestSuite(ledger_every_cell, .fini = test_cleanup);

enum { MOST_COLUMNS = 64 };

typedef struct table {
  char *name, *columns[MOST_COLUMNS];
  int n, key[MOST_COLUMNS], keys; /* key: columns of the primary key */
} table;

static sqlite3_stmt *query(bt_ledger *ledger, char *sql) {
  sqlite3_stmt *statement = NULL;
  bt_error error = {0};
  cr_assert_not_null(sql);
  cr_ok(ledger_prepare(ledger, sql, &statement, &error), error);
  sqlite3_free(sql);
  return statement;
}

static table read_table(bt_ledger *ledger, const char *name) {
  table t = {.name = bt_copy(name)};
  sqlite3_stmt *info =
      query(ledger, sqlite3_mprintf("SELECT name, pk FROM pragma_table_info(%Q)", name));
  while (sqlite3_step(info) == SQLITE_ROW) {
    cr_assert_lt(t.n, MOST_COLUMNS);
    if (sqlite3_column_int(info, 1) > 0)
      t.key[t.keys++] = t.n;
    t.columns[t.n++] = bt_copy((const char *)sqlite3_column_text(info, 0));
  }
  (void)sqlite3_finalize(info);
  cr_assert(t.n > 0 && t.keys > 0, "%s", name);
  return t;
}

static void free_table(table *t) {
  for (int c = 0; c < t->n; c++)
    free(t->columns[c]);
  free(t->name);
}

/* Sets one cell of the row that has these values in the columns of the key. */
static void set_cell(bt_ledger *ledger, const table *t, int column, sqlite3_value *const *row,
                     sqlite3_value *value) {
  bt_text sql = {0};
  bt_text_format(&sql, "UPDATE \"%s\" SET \"%s\" = ?1 WHERE 1", t->name, t->columns[column]);
  for (int k = 0; k < t->keys; k++)
    bt_text_format(&sql, " AND \"%s\" = ?%d", t->columns[t->key[k]], k + 2);
  sqlite3_stmt *update = query(ledger, sqlite3_mprintf("%s", bt_text_get(&sql)));
  bt_text_free(&sql);
  cr_assert_eq(sqlite3_bind_value(update, 1, value), SQLITE_OK);
  for (int k = 0; k < t->keys; k++)
    cr_assert_eq(sqlite3_bind_value(update, k + 2, row[t->key[k]]), SQLITE_OK);
  cr_assert_eq(sqlite3_step(update), SQLITE_DONE, "%s.%s: %s", t->name, t->columns[column],
               sqlite3_errmsg(ledger->db));
  cr_assert_eq(sqlite3_changes(ledger->db), 1, "%s.%s", t->name, t->columns[column]);
  (void)sqlite3_finalize(update);
}

/* Another value of the column's type, or one where there was none. */
static sqlite3_value *another(bt_ledger *ledger, const table *t, int column, sqlite3_value *old) {
  sqlite3_stmt *made = query(
      ledger,
      sqlite3_mprintf("SELECT CASE typeof(?1) WHEN 'integer' THEN ?1 + 1000003 WHEN 'real' THEN "
                      "?1 + 0.0001 WHEN 'text' THEN ?1 || 'x' WHEN 'blob' THEN "
                      "CAST(?1 || x'00' AS BLOB) ELSE CASE (SELECT type FROM pragma_table_info(%Q) "
                      "WHERE name = %Q) WHEN 'INTEGER' THEN 1 WHEN 'REAL' THEN 0.5 WHEN 'TEXT' "
                      "THEN 'x' ELSE x'00' END END",
                      t->name, t->columns[column]));
  cr_assert_eq(sqlite3_bind_value(made, 1, old), SQLITE_OK);
  cr_assert_eq(sqlite3_step(made), SQLITE_ROW);
  sqlite3_value *value = sqlite3_value_dup(sqlite3_column_value(made, 0));
  (void)sqlite3_finalize(made);
  return value;
}

static void edit_row(bt_ledger *ledger, const table *t, sqlite3_value **row, int *edited) {
  bt_verification found;
  bt_error error = {0};
  for (int c = 0; c < t->n; c++) {
    sqlite3_value *old = row[c];
    sqlite3_value *new = another(ledger, t, c, old);
    set_cell(ledger, t, c, row, new);
    bt_status status = bt_ledger_verify(ledger, &found, &error);
    cr_expect(status == BT_DAMAGED, "an edit of %s.%s is not seen (%d)", t->name, t->columns[c],
              (int)status);
    row[c] = new;
    set_cell(ledger, t, c, row, old);
    row[c] = old;
    sqlite3_value_free(new);
    (*edited)++;
  }
}

/* The last row, and where BEAMTALLY_LONG_TESTS is set the first as well. */
static void edit_table(bt_ledger *ledger, const char *name, int *edited) {
  table t = read_table(ledger, name);
  sqlite3_value *row[MOST_COLUMNS];
  char *count = sqlite3_mprintf("SELECT count(*) > 1 FROM \"%w\"", name);
  int64_t several = test_number(ledger, count);
  sqlite3_free(count);
  for (int last = getenv("BEAMTALLY_LONG_TESTS") != NULL || several == 0 ? 0 : 1; last <= several;
       last++) {
    sqlite3_stmt *one = query(ledger, sqlite3_mprintf("SELECT * FROM \"%w\" ORDER BY 1 %s LIMIT 1",
                                                      name, last ? "DESC" : "ASC"));
    cr_assert_eq(sqlite3_step(one), SQLITE_ROW, "%s has no row: let test_fill_everything add one",
                 name);
    for (int c = 0; c < t.n; c++)
      row[c] = sqlite3_value_dup(sqlite3_column_value(one, c));
    (void)sqlite3_finalize(one);
    edit_row(ledger, &t, row, edited);
    for (int c = 0; c < t.n; c++)
      sqlite3_value_free(row[c]);
  }
  free_table(&t);
}

Test(ledger_every_cell, an_edit_of_any_cell_is_named) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  int tables = 0, edited = 0;
  test_fill_everything(ledger);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  char *triggers = test_drop_triggers(ledger);
  cr_ok(
      ledger_run(ledger, "PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON", &error),
      error);
  sqlite3_stmt *names =
      query(ledger, sqlite3_mprintf("SELECT name FROM sqlite_schema WHERE type = 'table' AND name "
                                    "NOT LIKE 'sqlite%%' ORDER BY name"));
  char *list[MOST_COLUMNS];
  while (sqlite3_step(names) == SQLITE_ROW) {
    cr_assert_lt(tables, MOST_COLUMNS);
    list[tables++] = bt_copy((const char *)sqlite3_column_text(names, 0));
  }
  (void)sqlite3_finalize(names);
  for (int i = 0; i < tables; i++) {
    edit_table(ledger, list[i], &edited);
    free(list[i]);
  }
  cr_expect_geq(tables, 25);
  cr_expect_geq(edited, getenv("BEAMTALLY_LONG_TESTS") != NULL ? 250 : 150);
  cr_ok(ledger_run(ledger, triggers, &error), error);
  free(triggers);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error); /* all was put back */
  bt_ledger_close(ledger);
}
