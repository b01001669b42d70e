/* Is the schema ours? Its text, row by row, against that of a fresh ledger in memory: a trigger
 * that is gone, a foreign view or index, a column more. */
#include "ledger_private.h"

#include <string.h>

/* True when both statements stand on the same row. */
static bool same_row(sqlite3_stmt *ours, sqlite3_stmt *theirs) {
  for (int c = 0; c < 4; c++) {
    const char *a = (const char *)sqlite3_column_text(ours, c);
    const char *b = (const char *)sqlite3_column_text(theirs, c);
    if (a == NULL || b == NULL || strcmp(a, b) != 0)
      return false;
  }
  return true;
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
  while (status == BT_OK) {
    bool one = sqlite3_step(ours) == SQLITE_ROW;
    bool other = false;
    status = ledger_step(ledger, theirs, &other, error);
    if (status != BT_OK || (!one && !other))
      break;
    if (one != other || !same_row(ours, theirs)) {
      sqlite3_stmt *named = other ? theirs : ours;
      status = bt_fail(error, BT_DAMAGED,
                       "%s: the ledger's structure was changed by another program, at the %s "
                       "\"%s\"; use a backup that was not changed",
                       ledger->path, (const char *)sqlite3_column_text(named, 0),
                       (const char *)sqlite3_column_text(named, 1));
    }
  }
done:
  (void)sqlite3_finalize(ours);
  (void)sqlite3_finalize(theirs);
  (void)sqlite3_close(fresh);
  return status;
}
