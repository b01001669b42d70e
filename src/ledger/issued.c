/* Issued reports: revisions of one unit and month, each with the PDF's SHA-256 and the ledger state
 * that it prints. */
#include "entry_private.h"
#include "sql_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <sodium.h>
#include <string.h>

enum { STATE_BYTES = 10, STATE_DIGITS = 20 };

/* The ledger must still be in the state that the PDF prints: another program may have written since
 * the report was made. */
static bt_status state_unchanged(bt_ledger *ledger, const bt_issued *issued, bt_error *error) {
  bt_provenance now;
  bt_status status = bt_ledger_provenance(ledger, NULL, &now, error);
  if (status == BT_OK && strcmp(now.state, issued->state) != 0)
    status = bt_fail(error, BT_REFUSED,
                     "the ledger has changed since the report was made: it prints the state %s, "
                     "the ledger's is %s; make the report again",
                     issued->state, now.state);
  return status;
}

static bt_status next_revision(bt_ledger *ledger, int64_t unit, bt_time month, int64_t *revision,
                               bt_error *error) {
  return ledger_number_of(ledger, error,
                          "SELECT coalesce(max(revision), 0) + 1 FROM main.issued "
                          "WHERE unit IS nullif(?1, 0) AND month = ?2",
                          revision, "ii", unit, month);
}

/* All within the transaction. */
static bt_status add(bt_ledger *ledger, const bt_issued *issued, ledger_entry *entry,
                     int64_t *revision, bt_error *error) {
  unsigned char state[STATE_BYTES];
  int64_t unit = 0;
  bt_status status =
      issued->unit == NULL ? BT_OK : ledger_unit_known(ledger, issued->unit, &unit, error);
  if (status == BT_OK)
    status = state_unchanged(ledger, issued, error);
  if (status == BT_OK)
    status = bt_ledger_still_whole(ledger, error);
  if (status == BT_OK)
    status = next_revision(ledger, unit, issued->month, revision, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK &&
      sodium_hex2bin(state, sizeof state, issued->state, STATE_DIGITS, NULL, NULL, NULL) != 0)
    status = bt_fail(error, BT_USAGE, "\"%s\" is no ledger state", issued->state);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.issued (number, entry, unit, month, revision, sha256, "
                        "state) VALUES (NULL, ?1, nullif(?2, 0), ?3, ?4, ?5, ?6)",
                        "iiiibb", entry->number, unit, issued->month, *revision, issued->sha256,
                        sizeof issued->sha256, state, sizeof state);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  return status;
}

bt_status bt_ledger_add_issued(bt_ledger *ledger, bt_issued *issued, bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "issued", .at = now, .by = issued->by};
  int64_t revision = 0;
  bt_status status = ledger_asked(issued->by, "who issues the report (--by)", error);
  if (status == BT_OK && issued->month != bt_month_start(issued->month, 0))
    status = bt_fail(error, BT_USAGE, "a report is issued of a whole month; name it as YYYY-MM");
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_end(ledger, add(ledger, issued, &entry, &revision, error), error);
  if (status != BT_OK)
    return status;
  issued->number = revision;
  issued->at = now;
  return BT_OK;
}

static const char issued_sql[] =
    "SELECT u.name, i.month, i.revision, i.sha256, i.state, e.at, e.by FROM main.issued AS i "
    "JOIN main.entry AS e ON e.number = i.entry LEFT JOIN main.unit AS u ON u.number = i.unit "
    "WHERE i.unit IS nullif(?1, 0) AND i.month = ?2 ORDER BY i.revision";

static bool take(sqlite3_stmt *row, bt_issued *issued) {
  const char *unit = (const char *)sqlite3_column_text(row, 0);
  *issued = (bt_issued){.unit = bt_copy(unit),
                        .month = sqlite3_column_int64(row, 1),
                        .number = sqlite3_column_int64(row, 2),
                        .at = sqlite3_column_int64(row, 5),
                        .by = bt_copy((const char *)sqlite3_column_text(row, 6))};
  /* The table's CHECKs hold both to their lengths. */
  if (sqlite3_column_bytes(row, 3) == BT_SHA256_BYTES)
    memcpy(issued->sha256, sqlite3_column_blob(row, 3), BT_SHA256_BYTES);
  if (sqlite3_column_bytes(row, 4) == STATE_BYTES)
    (void)sodium_bin2hex(issued->state, sizeof issued->state, sqlite3_column_blob(row, 4),
                         STATE_BYTES);
  return issued->by != NULL && (unit == NULL || issued->unit != NULL);
}

bt_status bt_ledger_issued(bt_ledger *ledger, const char *unit, bt_time month, bt_issued **issued,
                           size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  int64_t number = 0;
  *issued = NULL;
  *n = 0;
  bt_status status = unit == NULL ? BT_OK : ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, issued_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", number, month);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(issued, &capacity, *n + 1, sizeof **issued) ||
        !take(statement, &(*issued)[(*n)++])) /* counted even half taken: it is freed */
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_issued_free(*issued, *n);
    *issued = NULL;
    *n = 0;
  }
  return status;
}

static const char by_sha256_sql[] =
    "SELECT u.name, i.month, i.revision, i.sha256, i.state, e.at, e.by, i.entry, coalesce((SELECT "
    "min(b.number) FROM main.entry AS b WHERE substr(b.state, 1, 10) = i.state), 0), (SELECT "
    "count(*) FROM main.issued AS l WHERE l.unit IS i.unit AND l.month = i.month AND l.revision > "
    "i.revision) FROM main.issued AS i JOIN main.entry AS e ON e.number = i.entry "
    "LEFT JOIN main.unit AS u ON u.number = i.unit WHERE i.sha256 = ?1 ORDER BY i.number LIMIT 1";

bt_status bt_ledger_find_issued(bt_ledger *ledger, const unsigned char *sha256, bt_issued **issued,
                                bt_issued_place *place, bt_error *error) {
  sqlite3_stmt *report = NULL;
  bool row = false;
  *issued = NULL;
  *place = (bt_issued_place){0};
  bt_status status =
      ledger_number(ledger, "SELECT count(*) FROM main.issued", &place->reports, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, by_sha256_sql, &report, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, report, "b", sha256, (size_t)BT_SHA256_BYTES);
  if (status == BT_OK)
    status = ledger_step(ledger, report, &row, error);
  if (status == BT_OK && !row)
    status = bt_fail(error, BT_NOTFOUND, "no report with that SHA-256 was issued from this ledger");
  if (status == BT_OK) {
    place->entry = sqlite3_column_int64(report, 7);
    place->before = sqlite3_column_int64(report, 8);
    place->later = sqlite3_column_int64(report, 9);
    *issued = bt_new(1, sizeof **issued);
    if (*issued == NULL || !take(report, *issued))
      status = bt_fail_memory(error);
  }
  if (status != BT_OK) {
    bt_issued_free(*issued, *issued == NULL ? 0 : 1);
    *issued = NULL;
  }
  (void)sqlite3_finalize(report);
  return status;
}
