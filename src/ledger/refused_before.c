/* Refused lines that the logs of the same name had before: a log that grows brings them each time
 * it is imported.
 *
 * The raw line is never kept, so that a line is the same where its number is; where its column or
 * reason is another, as when a second fault came to the first, it is told anew.
 * Both come in the order of lines, and are read beside each other, in memory that does not grow; a
 * line out of order counts as new. */
#include "refused_private.h"
#include "sql_private.h"

#include <string.h>

static const char earlier_sql[] =
    "SELECT r.line, r.header, r.reason, min(e.at), r.serious <> 0 FROM main.source AS n JOIN main.entry AS e "
    "ON e.number = n.entry JOIN main.refusal AS r ON r.source = n.number "
    "WHERE n.name = ?1 AND n.kind IN ('checks', 'events') "
    "GROUP BY r.line, r.header, r.reason, r.serious <> 0 ORDER BY r.line";

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
                              const bt_refusal *refusal, bt_refused_before *found, bt_time *first,
                              bt_error *error) {
  sqlite3_stmt *row = before->earlier;
  bt_status status = BT_OK;
  *found = BT_REFUSED_NEW;
  while (row != NULL && status == BT_OK && before->there && *found != BT_REFUSED_SAME &&
         sqlite3_column_int64(row, 0) <= refusal->line) {
    int64_t line = sqlite3_column_int64(row, 0);
    bt_time at = sqlite3_column_int64(row, 3);
    before->first = line == before->line && before->first < at ? before->first : at;
    before->line = line;
    if (line == refusal->line && same_text(row, 1, refusal->column) &&
        same_text(row, 2, refusal->reason) &&
        (sqlite3_column_int(row, 4) != 0) == (refusal->lost != 0)) {
      *found = BT_REFUSED_SAME;
      *first = at;
    }
    before->there = ledger_next(ledger, row, &status, error);
  }
  if (status == BT_OK && *found == BT_REFUSED_NEW && before->line == refusal->line) {
    *found = BT_REFUSED_OTHERWISE;
    *first = before->first;
  }
  return status;
}
