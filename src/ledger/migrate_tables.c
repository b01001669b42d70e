/* Tables of an older version made as those of today: whose text is not that of a fresh ledger is
 * set aside, made anew from schema.c, and filled with the columns that it had. What is new is NULL,
 * or what `given` says. So a version that adds columns needs no lines here, unless one of them may
 * not be NULL. What an older table held and today's has no place for is an error, and nothing is
 * done. */
#include "migrate_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <string.h>

/* What stands in a column that older tables lack. */
static const struct {
  const char *table, *column, *value;
} given[] = {{"entry", "form", "1"},
             {"baseline", "mean_x", "0"},
             {"baseline", "mean_y", "0"},
             {"baseline", "var_x", "0"},
             {"baseline", "var_y", "0"},
             {"baseline", "cov_xy", "0"},
             {"baseline", "from_differences", "0"},
             {"baseline", "drift_accepted", "0"},
             {"baseline", "trend_p", "1"},
             {"baseline", "step_p", "1"}};

/* Texts in the first column of what the query finds, added each in that format (with one %s). */
static bt_status add_each(bt_ledger *ledger, const char *sql, const char *table, const char *before,
                          const char *behind, bt_text *out, bt_error *error) {
  sqlite3_stmt *rows = NULL;
  bt_status status = ledger_prepare(ledger, sql, &rows, error);
  if (status == BT_OK && sqlite3_bind_text(rows, 1, table, -1, SQLITE_STATIC) != SQLITE_OK)
    status = bt_fail_memory(error);
  while (ledger_next(ledger, rows, &status, error))
    bt_text_format(out, "%s%s%s", before, (const char *)sqlite3_column_text(rows, 0), behind);
  (void)sqlite3_finalize(rows);
  return status == BT_OK && !bt_text_ok(out) ? bt_fail_memory(error) : status;
}

/* Its indexes go with it: a name is free only then. */
static bt_status set_aside(bt_ledger *ledger, const char *table, bt_error *error) {
  bt_text sql = {0};
  bt_status status = add_each(ledger,
                              "SELECT name FROM main.sqlite_schema WHERE type = 'index' AND "
                              "tbl_name = ?1 AND sql IS NOT NULL",
                              table, "DROP INDEX main.", ";", &sql, error);
  bt_text_format(&sql, "ALTER TABLE main.%s RENAME TO %s_older", table, table);
  if (status == BT_OK && !bt_text_ok(&sql))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_run(ledger, bt_text_get(&sql), error);
  bt_text_free(&sql);
  return status;
}

static bool has_word(const char *list, const char *word) {
  size_t length = strlen(word);
  for (const char *at = list; (at = strstr(at, word)) != NULL; at += length)
    if (at > list && at[-1] == ' ' && at[length] == ',')
      return true;
  return false;
}

static bt_status fill(bt_ledger *ledger, const char *table, bt_error *error) {
  bt_text columns = {0}, into = {0}, values = {0}, sql = {0};
  bt_status status = add_each(ledger, "SELECT name FROM pragma_table_info(?1 || '_older')", table,
                              " ", ",", &columns, error);
  const char *had = status == BT_OK ? bt_text_get(&columns) : "";
  for (size_t i = 0; i < sizeof given / sizeof *given; i++)
    if (strcmp(given[i].table, table) == 0 && !has_word(had, given[i].column)) {
      bt_text_format(&into, "%s, ", given[i].column);
      bt_text_format(&values, "%s, ", given[i].value);
    }
  if (status == BT_OK && bt_text_ok(&into) && bt_text_ok(&values))
    bt_text_format(&sql, "INSERT INTO main.%s (%s%.*s) SELECT %s%.*s FROM main.%s_older; ", table,
                   bt_text_get(&into), (int)columns.length - 1, had, bt_text_get(&values),
                   (int)columns.length - 1, had, table);
  bt_text_format(&sql, "DROP TABLE main.%s_older", table);
  if (status == BT_OK && !(bt_text_ok(&sql) && bt_text_ok(&into) && bt_text_ok(&values)))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_run(ledger, bt_text_get(&sql), error);
  bt_text_free(&columns);
  bt_text_free(&into);
  bt_text_free(&values);
  bt_text_free(&sql);
  return status;
}

/* Does the ledger have a table of that name, of that text or any? */
static bt_status look(bt_ledger *ledger, const char *table, const char *text, bool *there,
                      bool *same, bt_error *error) {
  sqlite3_stmt *found = NULL;
  bt_status status = ledger_prepare(
      ledger, "SELECT sql FROM main.sqlite_schema WHERE type = 'table' AND name = ?1", &found,
      error);
  if (status == BT_OK && sqlite3_bind_text(found, 1, table, -1, SQLITE_STATIC) != SQLITE_OK)
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_step(ledger, found, there, error);
  *same =
      status == BT_OK && *there && strcmp((const char *)sqlite3_column_text(found, 0), text) == 0;
  (void)sqlite3_finalize(found);
  return status;
}

/* All tables of today, one after the other: set aside where the ledger's is another, or filled from
 * the one that was set aside. */
static bt_status each_table(bt_ledger *ledger, sqlite3 *fresh, bool aside, bt_error *error) {
  sqlite3_stmt *tables = NULL;
  bt_text older = {0};
  bt_status status = BT_OK;
  int code = sqlite3_prepare_v2(fresh,
                                "SELECT name, sql FROM sqlite_schema WHERE type = 'table' ORDER BY "
                                "rowid",
                                -1, &tables, NULL);
  while (code == SQLITE_OK && status == BT_OK && (code = sqlite3_step(tables)) == SQLITE_ROW) {
    const char *name = (const char *)sqlite3_column_text(tables, 0);
    bool there = false, same = false;
    bt_text_clear(&older);
    bt_text_format(&older, aside ? "%s" : "%s_older", name);
    if (!bt_text_ok(&older))
      status = bt_fail_memory(error);
    if (status == BT_OK)
      status = look(ledger, bt_text_get(&older), (const char *)sqlite3_column_text(tables, 1),
                    &there, &same, error);
    if (status == BT_OK && there && !same)
      status = aside ? set_aside(ledger, name, error) : fill(ledger, name, error);
    code = SQLITE_OK;
  }
  if (status == BT_OK && code != SQLITE_DONE)
    status = bt_fail_memory(error);
  (void)sqlite3_finalize(tables);
  bt_text_free(&older);
  return status;
}

bt_status ledger_tables_of_today(bt_ledger *ledger, bt_error *error) {
  sqlite3 *fresh = NULL;
  bt_status status = BT_OK;
  if (sqlite3_open(":memory:", &fresh) != SQLITE_OK || ledger_schema_run(fresh) != SQLITE_OK)
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = each_table(ledger, fresh, true, error);
  if (status == BT_OK)
    status = ledger_schema_complete(ledger, error);
  if (status == BT_OK)
    status = each_table(ledger, fresh, false, error);
  (void)sqlite3_close(fresh);
  return status;
}
