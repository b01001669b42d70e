/* Is the schema ours? Its text, row by row, against that of a fresh ledger in memory: a trigger
 * that is gone, a foreign view or index, a column more. The first one that differs is named, with
 * how. */
#include "ledger_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <string.h>

enum { TYPE, NAME, TABLE, TEXT };

/* Column c of the row on which the statement stands; "" for none, as only another program writes.
 */
static const char *text_of(sqlite3_stmt *row, int c) {
  const char *text = (const char *)sqlite3_column_text(row, c);
  return text == NULL ? "" : text;
}

/* Below 0: the row of ours comes first in the order of both, by type and name, so theirs hasn't it;
 * above 0: theirs comes first, and isn't ours. */
static int order(sqlite3_stmt *ours, sqlite3_stmt *theirs) {
  int by_type = strcmp(text_of(ours, TYPE), text_of(theirs, TYPE));
  return by_type != 0 ? by_type : strcmp(text_of(ours, NAME), text_of(theirs, NAME));
}

/* SQLite's own tables for its planner, which our program never makes; dropped, they leave the
 * ledger as it was. */
static bool is_statistics(sqlite3_stmt *row) {
  return strcmp(text_of(row, TYPE), "table") == 0 &&
         strncmp(text_of(row, NAME), "sqlite_stat", strlen("sqlite_stat")) == 0;
}

/* Looks at the two rows that are next, `first` as order() says. A trigger that is missing lets
 * rows be changed, but not be read as what they aren't. */
static bt_status compare_rows(const bt_ledger *ledger, sqlite3_stmt *ours, sqlite3_stmt *theirs,
                              int first, bt_error *error) {
  if (first == 0 && strcmp(text_of(ours, TABLE), text_of(theirs, TABLE)) == 0 &&
      strcmp(text_of(ours, TEXT), text_of(theirs, TEXT)) == 0)
    return BT_OK;
  if (ledger->unguarded && first < 0 && strcmp(text_of(ours, TYPE), "trigger") == 0)
    return BT_OK;
  sqlite3_stmt *named = first < 0 ? ours : theirs;
  if (first > 0 && is_statistics(theirs))
    return bt_fail(
        error, BT_DAMAGED,
        "%s: another program's ANALYZE left its table \"%s\" in the ledger; use a backup "
        "from before, or let that program take it out again (DROP TABLE %s) and run "
        "`beamtally verify`",
        ledger->path, text_of(theirs, NAME), text_of(theirs, NAME));
  return bt_fail(error, BT_DAMAGED,
                 "%s: the ledger's structure was changed by another program: the %s \"%s\" %s; use "
                 "a backup that was not changed",
                 ledger->path, text_of(named, TYPE), text_of(named, NAME),
                 first < 0   ? "is missing"
                 : first > 0 ? "is not part of a ledger"
                             : "is not as Beamtally makes it");
}

bt_status ledger_schema_compare(bt_ledger *ledger, bt_error *error) {
  bt_status status = BT_OK;
  sqlite3 *fresh = NULL;
  sqlite3_stmt *ours = NULL;
  sqlite3_stmt *theirs = NULL;
  if (sqlite3_open(":memory:", &fresh) != SQLITE_OK || ledger_schema_run(fresh) != SQLITE_OK ||
      sqlite3_prepare_v2(fresh, LEDGER_SCHEMA_ROWS, -1, &ours, NULL) != SQLITE_OK) {
    status = bt_fail_memory(error);
    goto done;
  }
  status = ledger_prepare(ledger, LEDGER_SCHEMA_ROWS, &theirs, error);
  bool one = true, other = true;
  int first = 0; /* which of the two is to be stepped on: see order(); 0: both */
  while (status == BT_OK) {
    if (first <= 0)
      one = sqlite3_step(ours) == SQLITE_ROW;
    if (first >= 0)
      status = ledger_step(ledger, theirs, &other, error);
    if (status != BT_OK || (!one && !other))
      break;
    first = !one ? 1 : !other ? -1 : order(ours, theirs);
    status = compare_rows(ledger, ours, theirs, first, error);
  }
done:
  (void)sqlite3_finalize(ours);
  (void)sqlite3_finalize(theirs);
  (void)sqlite3_close(fresh);
  return status;
}
