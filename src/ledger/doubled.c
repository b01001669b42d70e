/* Checks that stand twice, since one log has times of day and the other has none: the comparison is
 * per unit and time, and a day is another time than its morning. */
#include "sql_private.h"

#define SAME(ID, key, ...)  " AND u." #key " IS t." #key
#define FIRST(ID, key, ...) "u." #key ", "
#define SAME_READINGS       BT_READINGS(SAME)
#define ANY_READING         " AND coalesce(" BT_READINGS(FIRST) "NULL) IS NOT NULL"

#define STANDS(of)                                                                                 \
  " AND NOT EXISTS (SELECT 1 FROM main.superseded AS s WHERE s.unit = " of                         \
  ".unit AND s.time = " of ".time AND s.sequence = " of ".sequence)"
#define BOTH_STAND STANDS("u") STANDS("t")

/* u: without a time of day, t: with one, of the same day; one of them is of the source ?1. The name
 * is what --instead-of finds that log by, and no other. */
static const char doubled_sql[] =
    "WITH pair (other, without, unit, time, sequence) AS (SELECT DISTINCT "
    "CASE WHEN u.source = ?1 THEN t.source ELSE u.source END, u.source = ?1, u.unit, u.time, "
    "u.sequence FROM main.checks AS u JOIN main.checks AS t ON t.unit = u.unit "
    "AND t.time >= u.time AND t.time < u.time + ?4 AND t.has_clock = 1 "
    "AND (t.source = ?1) <> (u.source = ?1)" SAME_READINGS
    " WHERE u.unit IN (SELECT unit FROM main.source_unit WHERE source = ?1) "
    "AND u.time BETWEEN ?2 AND ?3 AND u.has_clock = 0" ANY_READING BOTH_STAND ") "
    "SELECT count(*), p.without, CASE WHEN EXISTS (SELECT 1 FROM main.source AS a "
    "WHERE a.name = o.name AND a.sha256 <> o.sha256 AND a.kind IN ('checks', 'events')) "
    "THEN substr(lower(hex(o.sha256)), 1, 12) ELSE o.name END "
    "FROM pair AS p JOIN main.source AS o ON o.number = p.other WHERE o.kind = 'checks' "
    "GROUP BY o.number, p.without ORDER BY count(*) DESC, o.number LIMIT 1";

/* A log of a unit that has no other one has nothing to stand beside: its rows are not gone over. */
static const char others_sql[] =
    "SELECT count(*) FROM main.source_unit AS mine JOIN main.source_unit AS other "
    "ON other.unit = mine.unit AND other.source <> mine.source WHERE mine.source = ?1";

bt_status bt_ledger_doubled(bt_ledger *ledger, const bt_source *source, bt_time oldest,
                            bt_time newest, bt_doubled *doubled, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  int64_t number = 0, others = 0;
  bool row = false;
  *doubled = (bt_doubled){0};
  bt_status status =
      ledger_number_of(ledger, error, "SELECT max(number) FROM main.source WHERE sha256 = ?1",
                       &number, "b", source->sha256, sizeof source->sha256);
  if (status == BT_OK)
    status = ledger_number_of(ledger, error, others_sql, &others, "i", number);
  if (status != BT_OK || others == 0)
    return status;
  status = ledger_prepare(ledger, doubled_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iiii", number, bt_day_of(oldest) * BT_DAY,
                         newest, (int64_t)BT_DAY);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    doubled->n = sqlite3_column_int64(statement, 0);
    doubled->without = sqlite3_column_int(statement, 1) != 0;
    doubled->other = bt_copy((const char *)sqlite3_column_text(statement, 2));
    if (doubled->other == NULL)
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}
