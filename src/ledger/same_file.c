/* A file that was imported before, known by its SHA-256: what is done when it comes again, and
 * which one a mended file takes the place of. */
#include "ledger_private.h"
#include "reading_private.h"
#include "same_file_private.h"
#include "sql_private.h"

#include <stdlib.h>
#include <string.h>

/* Sources that are the file of that SHA-256 (?1). */
#define SAME_FILE "sha256 = ?1 AND kind IN ('checks', 'events')"

/* The last reading of the file, and whether checks or events of a unit were read again from another
 * file since, which the file held as well: it then has to attest them anew; and whether
 * another file took its place. */
static const char last_sql[] =
    "WITH same (number, entry) AS (SELECT number, entry FROM main.source WHERE " SAME_FILE "), "
    "of (unit) AS (SELECT unit FROM main.source_unit WHERE known > 0 "
    "AND source IN (SELECT number FROM same)) "
    "SELECT n.reading, EXISTS (SELECT 1 FROM main.superseded AS s WHERE s.entry > n.entry "
    "AND s.kind = 'read again' AND s.unit IN (SELECT unit FROM of)) "
    "OR EXISTS (SELECT 1 FROM main.superseded_event AS s JOIN main.event AS v "
    "ON v.number = s.event WHERE s.entry > n.entry AND s.kind = 'read again' "
    "AND v.unit IN (SELECT unit FROM of)), "
    "EXISTS (SELECT 1 FROM main.superseded AS s JOIN main.checks AS c ON c.unit = s.unit "
    "AND c.time = s.time AND c.sequence = s.sequence WHERE s.kind = 'read again' "
    "AND s.entry NOT IN (SELECT entry FROM same) AND c.source IN (SELECT number FROM same)) "
    "OR EXISTS (SELECT 1 FROM main.superseded_event AS s JOIN main.event AS v ON v.number = s.event "
    "WHERE s.kind = 'read again' AND s.entry NOT IN (SELECT entry FROM same) "
    "AND v.source IN (SELECT number FROM same)) "
    "FROM main.source AS n WHERE n.number = (SELECT max(number) FROM same)";

/* The laser that a reading of a file without a unit column names (intake/reading_text.c); *length 0
 * where none. */
static const char *laser_of(const char *reading, size_t *length) {
  static const char before[] = "\nunit ";
  const char *at = strstr(reading, before);
  at = at == NULL ? "" : at + sizeof before - 1;
  *length = strcspn(at, "\n");
  return at;
}

/* What differs, and the map's name where it is known. */
static bt_status read_otherwise(const char *then, const char *now, bt_error *error) {
  size_t first_n, second_n;
  const char *first = laser_of(then, &first_n), *second = laser_of(now, &second_n);
  if (first_n > 0 && second_n > 0 && (first_n != second_n || strncmp(first, second, first_n) != 0))
    return bt_fail(
        error, BT_REFUSED,
        "this very file was imported before, for \"%.*s\"; nothing was stored. If it is not of "
        "\"%.*s\" but of \"%.*s\", say --again, with --by and --why: its rows then take the place of "
        "those. If it holds for both, import a copy that has a column \"unit\" and each row once for "
        "either: what is known is not stored twice",
        (int)first_n, first, (int)first_n, first, (int)second_n, second);
  bt_text differs = {0};
  char *map = ledger_reading_map(then);
  ledger_reading_differs(then, now, &differs);
  bt_status status = bt_fail(
      error, BT_REFUSED,
      "this very file was imported before, read in another way (another map or other reading "
      "options%s%s: %s); nothing was stored; say --again, with --by and --why, if its rows are to "
      "take the place of those",
      map == NULL ? "" : "; then the map ", map == NULL ? "" : map, bt_text_get(&differs));
  bt_text_free(&differs);
  free(map);
  return status;
}

bt_status ledger_find_repeated(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                               bool *seen, bool *repeated, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false, same = false;
  *seen = *repeated = false;
  bt_status status = ledger_prepare(ledger, last_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "b", source->sha256, sizeof source->sha256);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    const char *reading = (const char *)sqlite3_column_text(statement, 0);
    same = reading != NULL && ledger_reading_same(reading, source->reading);
    *seen = true;
    *repeated = same && (again == NULL || again->instead_of == NULL) &&
                (sqlite3_column_int(statement, 1) == 0 || sqlite3_column_int(statement, 2) != 0);
    if (!same && again == NULL)
      status = read_otherwise(reading == NULL ? "" : reading, source->reading, error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_find_replaced(bt_ledger *ledger, const char *name,
                               unsigned char sha256[BT_SHA256_BYTES], bt_error *error) {
  enum { LEAST_DIGITS = 6 };
  sqlite3_stmt *statement = NULL;
  int64_t n = 0;
  bt_text found = {0};
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT sha256, lower(hex(sha256)), max(name) FROM main.source "
                     "WHERE kind IN ('checks', 'events') AND (name = ?1 OR (length(?1) >= ?2 "
                     "AND substr(lower(hex(sha256)), 1, length(?1)) = lower(?1))) "
                     "GROUP BY sha256 ORDER BY min(number)",
                     &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ti", name, (int64_t)LEAST_DIGITS);
  while (ledger_next(ledger, statement, &status, error)) {
    if (n++ == 0)
      memcpy(sha256, sqlite3_column_blob(statement, 0), BT_SHA256_BYTES);
    bt_text_format(&found, "%s%.12s", n == 1 ? "" : ", ",
                   (const char *)sqlite3_column_text(statement, 1));
  }
  (void)sqlite3_finalize(statement);
  if (status == BT_OK && n == 0)
    status =
        bt_fail(error, BT_NOTFOUND,
                "no log of the name \"%s\" was imported, and none has a SHA-256 that begins so; "
                "sources.csv of `beamtally export` lists what was",
                name);
  if (status == BT_OK && n > 1)
    status =
        !bt_text_ok(&found)
            ? bt_fail_memory(error)
            : bt_fail(
                  error, BT_USAGE,
                  "the log file \"%s\" was imported in %lld versions; say which one by the first "
                  "digits of its SHA-256: %s (`sha256sum FILE` shows a file's)",
                  name, (long long)n, bt_text_get(&found));
  bt_text_free(&found);
  return status;
}

bt_status ledger_supersede_file(bt_ledger *ledger, const unsigned char sha256[BT_SHA256_BYTES],
                                int64_t entry, int64_t *records, int64_t *closed, bt_error *error) {
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
  /* A conflict that is closed so is settled by this entry, which is no settlement. */
  static const char close_sql[] =
      "INSERT INTO main.settled (unit, time, source, entry, kept) "
      "SELECT DISTINCT h.unit, h.time, h.source, ?2, 'old' FROM main.held AS h "
      "WHERE h.source IN (SELECT number FROM main.source WHERE " SAME_FILE ") "
      "AND NOT EXISTS (SELECT 1 FROM main.settled AS s WHERE s.unit = h.unit "
      "AND s.time = h.time AND s.source = h.source)";
  bt_status status = BT_OK;
  *records = *closed = 0;
  for (size_t i = 0; i < sizeof sql / sizeof sql[0] && status == BT_OK; i++) {
    status = ledger_put(ledger, error, sql[i], "bi", sha256, (size_t)BT_SHA256_BYTES, entry);
    if (status == BT_OK)
      *records += sqlite3_changes64(ledger->db);
  }
  if (status == BT_OK)
    status = ledger_put(ledger, error, close_sql, "bi", sha256, (size_t)BT_SHA256_BYTES, entry);
  if (status == BT_OK)
    *closed = sqlite3_changes64(ledger->db);
  return status;
}

bt_status bt_ledger_attesting(bt_ledger *ledger, const bt_source *source, char ***names, size_t *n,
                              bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  *names = NULL;
  *n = 0;
  bt_status status = ledger_prepare(
      ledger,
      "WITH same (number, entry) AS (SELECT number, entry FROM main.source WHERE " SAME_FILE " "
      "UNION SELECT n.number, n.entry FROM main.superseded AS s JOIN main.checks AS c "
      "ON c.unit = s.unit AND c.time = s.time AND c.sequence = s.sequence JOIN main.source AS n "
      "ON n.number = c.source WHERE s.kind = 'read again' AND s.entry = "
      "(SELECT max(entry) FROM main.source WHERE " SAME_FILE ")) "
      "SELECT DISTINCT o.name FROM main.source AS o JOIN main.source_unit AS u "
      "ON u.source = o.number WHERE o.kind IN ('checks', 'events') AND o.sha256 NOT IN "
      "(SELECT sha256 FROM main.source WHERE number IN (SELECT number FROM same)) "
      "AND u.known > 0 AND u.unit IN (SELECT unit FROM main.source_unit WHERE source IN "
      "(SELECT number FROM same)) AND o.entry > (SELECT min(entry) FROM same) "
      "AND o.entry < (SELECT max(entry) FROM same) ORDER BY o.number",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "b", source->sha256, sizeof source->sha256);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(names, &capacity, *n + 1, sizeof **names) ||
        ((*names)[*n] = bt_copy((const char *)sqlite3_column_text(statement, 0))) == NULL)
      status = bt_fail_memory(error);
    else
      (*n)++;
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_names_free(*names, *n);
    *names = NULL;
    *n = 0;
  }
  return status;
}
