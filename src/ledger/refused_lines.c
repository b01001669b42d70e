/* Refused lines as a person looks at them: each line of a log once, however often the log came
 * again with it, since when it was refused, and since when it is refused no more.
 *
 * The raw line is never kept, nor its cell: a line is the same where the log's name and its number
 * are. Of its refusals the last says what holds of it; those that may be missing still are all
 * told, as they are counted, and those that a person left out, as a decision stays in sight. */
#include "refused_private.h"
#include "sql_private.h"

#include <stdlib.h>

static const char lines_sql[] =
    "WITH log (number, at, gone) AS MATERIALIZED (SELECT n.number, e.at, "
    "(SELECT min((SELECT x.at FROM main.entry AS x WHERE x.number = l.entry)) FROM main.source "
    "AS l WHERE " LEDGER_REFUSAL_ENDS(
        "") ") FROM main.source AS n JOIN main.entry AS e ON e.number = n.entry "
            "WHERE EXISTS (SELECT 1 FROM main.refusal AS r WHERE r.source = n.number)) "
            "SELECT x.source, x.number, x.name, x.line, x.header, x.reason, x.serious, x.first, "
            "x.gone, d.at, d.by, d.why FROM (SELECT r.source, r.number, n.name, r.line, r.header, "
            "r.reason, r.serious, iif(log.gone IS NULL, (SELECT min((SELECT x.at FROM main.entry "
            "AS x WHERE x.number = l.entry)) FROM main.source AS l WHERE " LEDGER_LINE_ENDS(
                "") "), log.gone) AS gone, min(log.at) OVER (PARTITION BY n.name, r.line) "
                    "AS first, rank() OVER (PARTITION BY n.name, r.line "
                    "ORDER BY r.source DESC) AS newest, " LEDGER_LEFT_OUT(
                        "") " AS left_out FROM main.refusal AS r JOIN main.source AS n "
                            "ON n.number = r.source JOIN log ON log.number = n.number) AS x "
                            "LEFT JOIN main.entry AS d ON d.number = x.left_out "
                            "WHERE x.gone IS NULL OR x.newest = 1 OR x.left_out IS NOT NULL ORDER BY x.source, x.number";

static char *text_at(sqlite3_stmt *row, int column, bool *whole) {
  const char *text = (const char *)sqlite3_column_text(row, column);
  char *copy = text == NULL ? NULL : bt_copy(text);
  *whole = *whole && (text == NULL || copy != NULL);
  return copy;
}

static bool take(sqlite3_stmt *row, bt_refused_line *line) {
  bool whole = true;
  *line = (bt_refused_line){
      .place = {sqlite3_column_int64(row, 0), sqlite3_column_int64(row, 1)},
      .file = text_at(row, 2, &whole),
      .line = sqlite3_column_int64(row, 3),
      .column = text_at(row, 4, &whole),
      .reason = text_at(row, 5, &whole),
      .serious = sqlite3_column_int(row, 6) != 0,
      .first = sqlite3_column_int64(row, 7),
      .stands = sqlite3_column_type(row, 8) == SQLITE_NULL,
      .gone = sqlite3_column_int64(row, 8),
      .left_out = sqlite3_column_type(row, 9) != SQLITE_NULL,
      .at = sqlite3_column_int64(row, 9),
      .by = text_at(row, 10, &whole),
      .why = text_at(row, 11, &whole),
  };
  return whole;
}

bt_status bt_ledger_refused_lines(bt_ledger *ledger, bt_refused_line **lines, size_t *n,
                                  bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  *lines = NULL;
  *n = 0;
  bt_status status = ledger_prepare(ledger, lines_sql, &statement, error);
  while (ledger_next(ledger, statement, &status, error))
    if (!bt_grow(lines, &capacity, *n + 1, sizeof **lines) || !take(statement, &(*lines)[(*n)++]))
      status = bt_fail_memory(error);
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_refused_lines_free(*lines, *n);
    *lines = NULL;
    *n = 0;
  }
  return status;
}

void bt_refused_lines_free(bt_refused_line *lines, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(lines[i].file);
    free(lines[i].column);
    free(lines[i].reason);
    free(lines[i].by);
    free(lines[i].why);
  }
  free(lines);
}
