/* Where the numbers come from: counts and the ledger state. */
#include "entry_private.h"
#include "ledger_private.h"
#include "redact_private.h"
#include "refused_private.h"
#include "sql_private.h"
#include "unit_private.h"

#include <sodium.h>
#include <string.h>

/* ?1 is the unit. A source concerns a unit when it had rows of it; its refused lines are not known
 * to be of one unit or another, so all of them count. Sources are logs: what was typed in or kept
 * of a conflict has been counted with them or came from none. */
#define COUNTS                                                                                     \
  "count(*), total(x.lost <> 0 AND NOT x.is_out), " LEDGER_LOST_OF(                                \
      "x.lost * (NOT x.is_out)") ", total(x.is_out), total(x.units > 1), total(x.units > 1 AND x.lost <> 0 AND NOT x.is_out)"
#define LINES                                                                                      \
  "r.serious AS lost, (SELECT count(*) FROM main.source_unit AS t WHERE t.source = n.number) AS "  \
  "units, " LEDGER_LEFT_OUT("") " IS NOT NULL AS is_out"
#define REFUSED                                                                                    \
  "SELECT " COUNTS " FROM (SELECT " LINES " FROM main.refusal AS r JOIN main.source AS n "         \
  "ON n.number = r.source WHERE " LEDGER_LINE_STANDS(                                              \
      "") " AND n.number IN "                                                                      \
          "(SELECT n.number FROM main.source AS n "                                                \
          "WHERE EXISTS (SELECT 1 FROM main.refusal AS r WHERE r.source = n.number) "              \
          "AND " LEDGER_LOG_STANDS("")

static const char refused_sql[] =
    REFUSED " AND n.number IN (SELECT source FROM main.source_unit WHERE unit = ?1))) AS x";
static const char all_refused_sql[] = REFUSED ")) AS x";

/* A log that was mended, or has grown, and was imported again is one, in several versions. */
#define FILES "(SELECT count(*) FROM file), (SELECT count(*) FROM file WHERE versions > 1), "

static const char counts_sql[] =
    "WITH file (name, versions) AS (SELECT n.name, count(DISTINCT n.sha256) FROM main.source_unit "
    "AS t JOIN main.source AS n ON n.number = t.source WHERE t.unit = ?1 "
    "AND n.kind IN ('checks', 'events') GROUP BY n.name) SELECT " FILES
    "(SELECT count(*) FROM main.checks WHERE unit = ?1) - "
    "(SELECT count(*) FROM main.superseded WHERE unit = ?1), "
    "(SELECT count(*) FROM main.event AS v WHERE v.unit = ?1 AND NOT EXISTS "
    "(SELECT 1 FROM main.superseded_event AS s WHERE s.event = v.number)), "
    "(SELECT count(*) FROM main.held AS h WHERE h.unit = ?1 AND NOT EXISTS (SELECT 1 FROM "
    "main.settled AS s WHERE s.unit = h.unit AND s.time = h.time AND s.source = h.source)), "
    "(SELECT count(*) FROM main.superseded WHERE unit = ?1 AND kind <> 'read again') + "
    "(SELECT count(*) FROM main.superseded_event AS s JOIN main.event AS v ON v.number = s.event "
    "WHERE v.unit = ?1 AND s.kind <> 'read again') + "
    "(SELECT count(*) FROM (SELECT entry FROM main.superseded WHERE unit = ?1 "
    "AND kind = 'read again' UNION SELECT s.entry FROM main.superseded_event AS s JOIN main.event "
    "AS v ON v.number = s.event WHERE v.unit = ?1 AND s.kind = 'read again')) + "
    "(SELECT count(DISTINCT entry) FROM main.redaction WHERE unit = ?1) + "
    "(SELECT count(DISTINCT l.entry) FROM (" LEDGER_LOST_ELSEWHERE ") AS l)";

static const char all_counts_sql[] =
    "WITH file (name, versions) AS (SELECT name, count(DISTINCT sha256) FROM main.source "
    "WHERE kind IN ('checks', 'events') GROUP BY name) SELECT " FILES
    "(SELECT count(*) FROM main.checks) - (SELECT count(*) FROM main.superseded), "
    "(SELECT count(*) FROM main.event) - (SELECT count(*) FROM main.superseded_event), "
    "(SELECT count(*) FROM main.held AS h WHERE NOT EXISTS (SELECT 1 FROM main.settled AS s "
    "WHERE s.unit = h.unit AND s.time = h.time AND s.source = h.source)), "
    "(SELECT count(*) FROM main.superseded WHERE kind <> 'read again') + "
    "(SELECT count(*) FROM main.superseded_event WHERE kind <> 'read again') + "
    "(SELECT count(*) FROM (SELECT entry FROM main.superseded WHERE kind = 'read again' "
    "UNION SELECT entry FROM main.superseded_event WHERE kind = 'read again')) + "
    "(SELECT count(DISTINCT entry) FROM main.redaction)";

/* Refused lines; of them those that lost something and that nobody left out, and those that
 * somebody did. */
static bt_status read_refused(bt_ledger *ledger, int64_t unit, bt_provenance *provenance,
                              bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status =
      ledger_prepare(ledger, unit == 0 ? all_refused_sql : refused_sql, &statement, error);
  if (status == BT_OK && unit != 0)
    status = ledger_bind(ledger, error, statement, "i", unit);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    provenance->refused = sqlite3_column_int64(statement, 0);
    provenance->with_loss = sqlite3_column_int64(statement, 1);
    provenance->lost = (unsigned)sqlite3_column_int(statement, 2);
    provenance->left_out = sqlite3_column_int64(statement, 3);
    provenance->of_several = unit == 0 ? 0 : sqlite3_column_int64(statement, 4);
    provenance->lost_of_several = unit == 0 ? 0 : sqlite3_column_int64(statement, 5);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status read_counts(bt_ledger *ledger, int64_t unit, bt_provenance *provenance,
                             bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status =
      ledger_prepare(ledger, unit == 0 ? all_counts_sql : counts_sql, &statement, error);
  if (status == BT_OK && unit != 0)
    status = ledger_bind(ledger, error, statement, "i", unit);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    provenance->sources = sqlite3_column_int64(statement, 0);
    provenance->sources_again = sqlite3_column_int64(statement, 1);
    provenance->checks = sqlite3_column_int64(statement, 2);
    provenance->events = sqlite3_column_int64(statement, 3);
    provenance->conflicts = sqlite3_column_int64(statement, 4);
    provenance->corrections = sqlite3_column_int64(statement, 5);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* The last entry's state, its first 20 hex digits, and its time. */
static bt_status read_last_entry(bt_ledger *ledger, bt_time *at, char *digits, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(
      ledger, "SELECT at, state FROM main.entry ORDER BY number DESC LIMIT 1", &statement, error);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && (!row || sqlite3_column_bytes(statement, 1) != LEDGER_STATE_BYTES))
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost its entries; use a backup",
                     ledger->path);
  if (status == BT_OK) {
    *at = sqlite3_column_int64(statement, 0);
    (void)sodium_bin2hex(digits, 21, sqlite3_column_blob(statement, 1), 10);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_provenance(bt_ledger *ledger, const char *unit, bt_provenance *provenance,
                               bt_error *error) {
  int64_t number = 0;
  bt_time at = 0;
  bt_status status = BT_OK;
  *provenance = (bt_provenance){0};
  if (unit != NULL)
    status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = read_refused(ledger, number, provenance, error);
  if (status == BT_OK)
    status = read_counts(ledger, number, provenance, error);
  if (status == BT_OK)
    status = read_last_entry(ledger, &at, provenance->state, error);
  return status;
}

bt_status bt_ledger_last_entry(bt_ledger *ledger, bt_time *at, bt_error *error) {
  char digits[21];
  bt_status status = read_last_entry(ledger, at, digits, error);
  if (status == BT_OK && *at == 0) /* a ledger was made, perhaps migrated, and no more */
    status = bt_fail(error, BT_NOTFOUND, "%s: nothing was entered yet; import a log first",
                     ledger->path);
  return status;
}
