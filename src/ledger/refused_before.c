/* Refused lines that the logs of the same name had before: a log that grows brings them each time
 * it is imported.
 *
 * The raw line is never kept, so that a line is the same where its number, column and reason are.
 * Both come in the order of lines, and are read beside each other, in memory that does not grow; a
 * line out of order counts as new. */
#include "refused_private.h"
#include "sql_private.h"

#include <string.h>

static const char earlier_sql[] =
    "SELECT r.line, r.header, r.reason, min(e.at) FROM main.source AS n JOIN main.entry AS e "
    "ON e.number = n.entry JOIN main.refusal AS r ON r.source = n.number "
    "WHERE n.name = ?1 AND n.kind IN ('checks', 'events') "
    "GROUP BY r.line, r.header, r.reason ORDER BY r.line";

bt_status ledger_refused_open(bt_ledger *ledger, const char *name, ledger_refused_before *before,
                              bt_error *error) {
  *before = (ledger_refused_before){0};
  bt_status status = ledger_prepare(ledger, earlier_sql, &before->earlier, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, before->earlier, "t", name);
  before->there = ledger_next(ledger, before->earlier, &status, error);
  return status;
}

void ledger_refused_close(ledger_refused_before *before) {
  sqlite3_finalize(before->earlier);
  *before = (ledger_refused_before){0};
}

static bool same_text(sqlite3_stmt *row, int column, const char *text) {
  const char *kept = (const char *)sqlite3_column_text(row, column);
  return kept == NULL || text == NULL ? kept == text : strcmp(kept, text) == 0;
}

bt_status ledger_refused_find(bt_ledger *ledger, ledger_refused_before *before,
                              const bt_refusal *refusal, bool *found, bt_time *first,
                              bt_error *error) {
  bt_status status = BT_OK;
  *found = false;
  while (before->earlier != NULL && status == BT_OK && before->there && !*found &&
         sqlite3_column_int64(before->earlier, 0) <= refusal->line) {
    *found = sqlite3_column_int64(before->earlier, 0) == refusal->line &&
             same_text(before->earlier, 1, refusal->column) &&
             same_text(before->earlier, 2, refusal->reason);
    *first = sqlite3_column_int64(before->earlier, 3);
    before->there = ledger_next(ledger, before->earlier, &status, error);
  }
  return status;
}
