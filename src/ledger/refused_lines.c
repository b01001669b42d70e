/* Refused lines as a person looks at them: each line of a log once, however often the log came
 * again with it, since when it was refused, and since when it is refused no more.
 *
 * The raw line is never kept, nor its cell: a line is the same where its number is, in the states
 * of one log. Of its refusals the last says what holds of it; those that may be missing still are
 * all told, as they are counted, and of those that a person left out the last of each decision, as
 * one stays in sight. */
#include "refused_private.h"
#include "sql_private.h"

#include <stdlib.h>

/* Conditions of refused_private.h, of all later sources and decisions. */
#define ALL_END    LEDGER_REFUSAL_ENDS("")
#define LINE_ENDS  LEDGER_LINE_ENDS("")
#define LEFT_OUT   LEDGER_LEFT_OUT("")
#define NEXT_STATE "l.number > n.number AND l.kind = n.kind AND " LEDGER_IS_STATE("l", "n")

/* Each state of a log that ever had refused lines: when all of them ended at once, and its next
 * state. */
#define LOGS                                                                                       \
  "log (number, at, gone, next) AS MATERIALIZED (SELECT n.number, e.at, "                          \
  "(SELECT min((SELECT x.at FROM main.entry AS x WHERE x.number = l.entry)) "                      \
  "FROM main.source AS l WHERE " ALL_END "), "                                                     \
  "(SELECT min(l.number) FROM main.source AS l WHERE " NEXT_STATE ") "                             \
  "FROM main.source AS n JOIN main.entry AS e ON e.number = n.entry "                              \
  "WHERE n.name IN (SELECT s.name FROM main.source AS s "                                          \
  "WHERE EXISTS (SELECT 1 FROM main.refusal AS r WHERE r.source = s.number))) "

/* The last state of each of them: by it two logs of one name are told apart. */
#define LASTS                                                                                      \
  "kept (number, last) AS (SELECT log.number, coalesce(log.next, log.number) FROM log "            \
  "WHERE log.next IS NULL OR log.next NOT IN (SELECT number FROM log) "                            \
  "UNION ALL SELECT log.number, kept.last FROM kept JOIN log ON log.next = kept.number) "

/* Each refusal with what became of it, and which of its line it is, counted from the newest. */
#define REFUSALS                                                                                   \
  "SELECT r.*, n.name, coalesce(log.gone, "                                                        \
  "(SELECT min((SELECT x.at FROM main.entry AS x WHERE x.number = l.entry)) "                      \
  "FROM main.source AS l WHERE " LINE_ENDS ")) AS gone, "                                          \
  "min(log.at) OVER (PARTITION BY kept.last, r.line) AS first, "                                   \
  "rank() OVER (PARTITION BY kept.last, r.line ORDER BY r.source DESC) AS newest, " LEFT_OUT       \
  " AS left_out FROM main.refusal AS r JOIN main.source AS n ON n.number = r.source "              \
  "JOIN log ON log.number = n.number JOIN kept ON kept.number = n.number"

static const char lines_sql[] =
    "WITH RECURSIVE " LOGS ", " LASTS
    "SELECT x.source, x.number, name, line, header, reason, serious, "
    "first, gone, d.at, d.by, d.why, newest = 1 FROM (SELECT *, rank() OVER (PARTITION BY left_out, "
    "name, line, header ORDER BY source DESC) AS nth FROM (" REFUSALS ")) AS x "
    "LEFT JOIN main.entry AS d ON d.number = left_out "
    "WHERE gone IS NULL OR newest = 1 OR left_out AND nth = 1 ORDER BY 1, 2";

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
      .lost = (unsigned)sqlite3_column_int(row, 6),
      .first = sqlite3_column_int64(row, 7),
      .stands = sqlite3_column_type(row, 8) == SQLITE_NULL,
      .gone = sqlite3_column_int64(row, 8),
      .left_out = sqlite3_column_type(row, 9) != SQLITE_NULL,
      .at = sqlite3_column_int64(row, 9),
      .by = text_at(row, 10, &whole),
      .why = text_at(row, 11, &whole),
      .is_last = sqlite3_column_int(row, 12) != 0,
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
