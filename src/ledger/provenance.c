/* Where the numbers come from: counts and the ledger state. */
#include "ledger_private.h"

#include <sodium.h>
#include <string.h>

/* ?1 is the unit; NULL for all. A source concerns a unit when it had rows of it; its refused lines
 * are not known to be of one unit or another, so all of them count. */
static const char counts_sql[] = "SELECT count(DISTINCT source), "
                                 "(SELECT count(*) FROM main.checks WHERE unit = ?1), "
                                 "(SELECT count(*) FROM main.event WHERE unit = ?1), "
                                 "(SELECT count(*) FROM main.refusal WHERE source IN "
                                 "(SELECT source FROM main.source_unit WHERE unit = ?1)), "
                                 "(SELECT count(*) FROM main.held WHERE unit = ?1) "
                                 "FROM main.source_unit WHERE unit = ?1";

static const char all_counts_sql[] =
    "SELECT (SELECT count(*) FROM main.source WHERE kind IN ('checks', 'events')), (SELECT count(*) FROM main.checks), "
    "(SELECT count(*) FROM main.event), (SELECT count(*) FROM main.refusal), "
    "(SELECT count(*) FROM main.held)";

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
    provenance->checks = sqlite3_column_int64(statement, 1);
    provenance->events = sqlite3_column_int64(statement, 2);
    provenance->refused = sqlite3_column_int64(statement, 3);
    provenance->conflicts = sqlite3_column_int64(statement, 4);
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
  if (unit != NULL) {
    status = ledger_unit_number(ledger, unit, &number, error);
    if (status == BT_OK && number == 0)
      status = ledger_unit_unknown(ledger, unit, BT_NOTFOUND, "check the name", error);
  }
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
