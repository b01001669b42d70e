/* A file that was imported before, known by its SHA-256: what is done when it comes again. */
#include "ledger_private.h"

#include <string.h>

/* Sources that are the file of that SHA-256 (?1). */
#define SAME_FILE "sha256 = ?1 AND kind IN ('checks', 'events')"

bt_status ledger_find_repeated(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                               bool *repeated, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *repeated = false;
  bt_status status = ledger_prepare(
      ledger, "SELECT reading FROM main.source WHERE " SAME_FILE " ORDER BY number DESC",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "b", source->sha256, sizeof source->sha256);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    const char *reading = (const char *)sqlite3_column_text(statement, 0);
    *repeated = reading != NULL && strcmp(reading, source->reading) == 0;
  }
  (void)sqlite3_finalize(statement);
  if (status == BT_OK && row && !*repeated && again == NULL)
    status =
        bt_fail(error, BT_REFUSED,
                "this very file was imported before, read in another way (another map or other "
                "reading options); nothing was stored; say --again, with --by and --why, if its "
                "rows are to take the place of those");
  return status;
}

bt_status ledger_supersede_file(bt_ledger *ledger, const bt_source *source, int64_t entry,
                                int64_t *records, bt_error *error) {
  static const char *const sql[] = {
      "INSERT INTO main.superseded (unit, time, sequence, entry, kind) "
      "SELECT c.unit, c.time, c.sequence, ?2, 'read again' FROM main.checks AS c "
      "WHERE c.unit IN (SELECT unit FROM main.source_unit WHERE source IN "
      "(SELECT number FROM main.source WHERE " SAME_FILE ")) "
      "AND c.source IN (SELECT number FROM main.source WHERE " SAME_FILE ") "
      "AND NOT EXISTS (SELECT 1 FROM main.superseded AS s WHERE s.unit = c.unit "
      "AND s.time = c.time AND s.sequence = c.sequence)",
      "INSERT INTO main.superseded_event (event, entry, kind) "
      "SELECT number, ?2, 'read again' FROM main.event AS v "
      "WHERE v.source IN (SELECT number FROM main.source WHERE " SAME_FILE ") "
      "AND NOT EXISTS (SELECT 1 FROM main.superseded_event AS s WHERE s.event = v.number)"};
  bt_status status = BT_OK;
  *records = 0;
  for (size_t i = 0; i < sizeof sql / sizeof sql[0] && status == BT_OK; i++) {
    status = ledger_put(ledger, error, sql[i], "bi", source->sha256, sizeof source->sha256, entry);
    if (status == BT_OK)
      *records += sqlite3_changes64(ledger->db);
  }
  return status;
}
