/* The book of a unit: sources, refused lines, versions of the settings, frozen baselines, and the
 * entries after a given one. */
#include "refused_private.h"
#include "sql_private.h"
#include "unit_private.h"

#include <string.h>

/* ?1 is the unit, ?2 the entry after which entries are listed. A check that was typed in or kept
 * of a conflict has no file of its own. */
static const char sources_sql[] =
    "SELECT n.name, n.kind, n.sha256, n.bytes, t.rows, t.fresh, t.known, t.conflicts, "
    "(SELECT count(*) FROM main.refusal AS r WHERE r.source = n.number), n.entry, e.at "
    "FROM main.source_unit AS t JOIN main.source AS n ON n.number = t.source "
    "JOIN main.entry AS e ON e.number = n.entry "
    "WHERE t.unit = ?1 AND n.kind IN ('checks', 'events') AND ?2 = ?2 ORDER BY n.number";

/* Counted as provenance counts them; those that are past once, however often their log came again
 * with them (refused_lines.c). */
static const char refusals_sql[] =
    "SELECT name, line, header, reason, serious, stands FROM (SELECT n.name, r.line, r.header, "
    "r.reason, r.serious, r.source, r.number, " LEDGER_REFUSAL_STANDS("") " AS stands, " LEDGER_LEFT_OUT(
        "") " AS left_out, rank() OVER (PARTITION BY n.name, r.line "
            "ORDER BY r.source DESC) AS newest FROM main.refusal AS r "
            "JOIN main.source AS n ON n.number = r.source WHERE r.source IN "
            "(SELECT source FROM main.source_unit WHERE unit = ?1) AND ?2 = ?2) "
            "WHERE (stands AND left_out IS NULL) OR (NOT stands AND newest = 1) "
            "ORDER BY stands DESC, serious <> 0 DESC, source, number";

static const char left_out_sql[] =
    "SELECT n.name, min(r.line), max(r.line), count(DISTINCT r.line), " LEDGER_LOST_OF(
        "r.serious") ", e.at, "
                     "coalesce(e.by, ''), coalesce(e.why, '') FROM main.left_out AS d JOIN main.refusal AS r "
                     "ON r.source = d.source AND r.number = d.number JOIN main.source AS n ON n.number = d.source "
                     "JOIN main.entry AS e ON e.number = d.entry WHERE d.source IN "
                     "(SELECT source FROM main.source_unit WHERE unit = ?1) AND ?2 = ?2 "
                     "GROUP BY d.entry, n.name ORDER BY d.entry, n.name";

static const char settings_sql[] =
    "SELECT v.number, NULL, 0, 0, 0, e.at, coalesce(e.by, ''), coalesce(e.why, '') "
    "FROM main.setting_version AS v JOIN main.entry AS e ON e.number = v.entry "
    "WHERE ?1 = ?1 AND ?2 = ?2 ORDER BY v.number";

static const char baselines_sql[] =
    "SELECT b.version, b.characteristic, b.from_day, b.to_day, b.n, e.at, coalesce(e.by, ''), "
    "coalesce(e.why, '') FROM main.baseline AS b JOIN main.entry AS e ON e.number = b.entry "
    "WHERE b.unit = ?1 AND ?2 = ?2 ORDER BY b.entry";

/* Entries of other units alone are left out: imports that had no row of this one, and what people
 * decided of others. */
static const char later_sql[] =
    "SELECT e.number, e.kind, e.by, e.why, "
    "coalesce((SELECT n.name FROM main.source AS n WHERE n.entry = e.number AND n.name <> '' "
    "LIMIT 1), (SELECT b.characteristic FROM main.baseline AS b WHERE b.entry = e.number), "
    "(SELECT d.characteristic FROM main.disposition AS d WHERE d.entry = e.number), "
    "(SELECT n.name FROM main.left_out AS d JOIN main.source AS n ON n.number = d.source "
    "WHERE d.entry = e.number LIMIT 1)), "
    "(SELECT count(*) FROM main.checks AS c WHERE c.unit = ?1 AND c.source IN "
    "(SELECT number FROM main.source WHERE entry = e.number)), e.at FROM main.entry AS e "
    "WHERE e.number > ?2 AND NOT (EXISTS (SELECT 1 FROM main.source AS n WHERE n.entry = e.number) "
    "AND NOT EXISTS (SELECT 1 FROM main.source AS n JOIN main.source_unit AS t "
    "ON t.source = n.number WHERE n.entry = e.number AND t.unit = ?1) "
    "AND NOT EXISTS (SELECT 1 FROM main.checks AS c WHERE c.unit = ?1 AND c.source IN "
    "(SELECT number FROM main.source WHERE entry = e.number))) "
    "AND NOT EXISTS (SELECT 1 FROM main.baseline AS b WHERE b.entry = e.number AND b.unit <> ?1) "
    "AND NOT EXISTS (SELECT 1 FROM main.disposition AS d WHERE d.entry = e.number "
    "AND d.unit <> ?1) "
    "AND NOT EXISTS (SELECT 1 FROM main.event AS v WHERE v.entry = e.number AND v.unit <> ?1 "
    "AND v.source IS NULL) AND NOT (EXISTS (SELECT 1 FROM main.superseded AS s "
    "WHERE s.entry = e.number) AND NOT EXISTS (SELECT 1 FROM main.superseded AS s "
    "WHERE s.entry = e.number AND (s.unit = ?1 OR s.new_unit = ?1))) "
    "AND NOT (EXISTS (SELECT 1 FROM main.left_out AS d WHERE d.entry = e.number) "
    "AND NOT EXISTS (SELECT 1 FROM main.left_out AS d JOIN main.source_unit AS t "
    "ON t.source = d.source WHERE d.entry = e.number AND t.unit = ?1)) "
    "AND NOT EXISTS (SELECT 1 FROM main.issued AS i WHERE i.entry = e.number AND i.unit <> ?1) "
    "ORDER BY e.number";

static char *text_at(sqlite3_stmt *row, int column, bool *whole) {
  const char *text = (const char *)sqlite3_column_text(row, column);
  char *copy = text == NULL ? NULL : bt_copy(text);
  *whole = *whole && (text == NULL || copy != NULL);
  return copy;
}

static bool take_source(sqlite3_stmt *row, void *item) {
  bt_book_source *s = item;
  bool whole = true;
  const char *kind = (const char *)sqlite3_column_text(row, 1);
  bool events = kind != NULL && strcmp(kind, "events") == 0;
  *s = (bt_book_source){.name = text_at(row, 0, &whole),
                        .kind = events ? BT_SOURCE_EVENTS : BT_SOURCE_CHECKS,
                        .bytes = sqlite3_column_int64(row, 3),
                        .rows = sqlite3_column_int64(row, 4),
                        .fresh = sqlite3_column_int64(row, 5),
                        .known = sqlite3_column_int64(row, 6),
                        .conflicts = sqlite3_column_int64(row, 7),
                        .refused = sqlite3_column_int64(row, 8),
                        .entry = sqlite3_column_int64(row, 9),
                        .at = sqlite3_column_int64(row, 10)};
  if (sqlite3_column_bytes(row, 2) == BT_SHA256_BYTES)
    memcpy(s->sha256, sqlite3_column_blob(row, 2), BT_SHA256_BYTES);
  return whole;
}

static bool take_refusal(sqlite3_stmt *row, void *item) {
  bool whole = true;
  *(bt_book_refusal *)item = (bt_book_refusal){.source = text_at(row, 0, &whole),
                                               .line = sqlite3_column_int64(row, 1),
                                               .column = text_at(row, 2, &whole),
                                               .reason = text_at(row, 3, &whole),
                                               .lost = (unsigned)sqlite3_column_int(row, 4),
                                               .past = sqlite3_column_int(row, 5) == 0};
  return whole;
}

static bool take_left_out(sqlite3_stmt *row, void *item) {
  bool whole = true;
  *(bt_book_left_out *)item = (bt_book_left_out){.source = text_at(row, 0, &whole),
                                                 .first = sqlite3_column_int64(row, 1),
                                                 .last = sqlite3_column_int64(row, 2),
                                                 .lines = sqlite3_column_int64(row, 3),
                                                 .lost = (unsigned)sqlite3_column_int(row, 4),
                                                 .at = sqlite3_column_int64(row, 5),
                                                 .by = text_at(row, 6, &whole),
                                                 .why = text_at(row, 7, &whole)};
  return whole;
}

static bool take_decision(sqlite3_stmt *row, void *item) {
  bool whole = true;
  *(bt_book_decision *)item = (bt_book_decision){.version = sqlite3_column_int64(row, 0),
                                                 .characteristic = text_at(row, 1, &whole),
                                                 .from = sqlite3_column_int64(row, 2),
                                                 .to = sqlite3_column_int64(row, 3),
                                                 .n = sqlite3_column_int64(row, 4),
                                                 .at = sqlite3_column_int64(row, 5),
                                                 .by = text_at(row, 6, &whole),
                                                 .why = text_at(row, 7, &whole)};
  return whole;
}

static bool take_entry(sqlite3_stmt *row, void *item) {
  bool whole = true;
  *(bt_book_entry *)item = (bt_book_entry){.number = sqlite3_column_int64(row, 0),
                                           .kind = text_at(row, 1, &whole),
                                           .by = text_at(row, 2, &whole),
                                           .why = text_at(row, 3, &whole),
                                           .about = text_at(row, 4, &whole),
                                           .checks = sqlite3_column_int64(row, 5),
                                           .at = sqlite3_column_int64(row, 6)};
  return whole;
}

/* All rows of a query; *n counts those that are to be freed, half taken ones too. */
static bt_status read_rows(bt_ledger *ledger, const char *sql, int64_t unit, int64_t after,
                           void *list, size_t *n, size_t size,
                           bool (*take)(sqlite3_stmt *row, void *item), bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", unit, after);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(list, &capacity, *n + 1, size)) {
      status = bt_fail_memory(error);
      break;
    }
    char *first; /* the list is an array of any struct */
    memcpy(&first, list, sizeof first);
    if (!take(statement, first + (*n)++ * size))
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_book(bt_ledger *ledger, const char *unit, int64_t after, bt_book *book,
                         bt_error *error) {
  int64_t number = 0;
  *book = (bt_book){0};
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = read_rows(ledger, sources_sql, number, after, &book->sources, &book->sources_n,
                       sizeof *book->sources, take_source, error);
  if (status == BT_OK)
    status = read_rows(ledger, refusals_sql, number, after, &book->refusals, &book->refusals_n,
                       sizeof *book->refusals, take_refusal, error);
  if (status == BT_OK)
    status = read_rows(ledger, left_out_sql, number, after, &book->left_out, &book->left_out_n,
                       sizeof *book->left_out, take_left_out, error);
  if (status == BT_OK)
    status = read_rows(ledger, settings_sql, number, after, &book->settings, &book->settings_n,
                       sizeof *book->settings, take_decision, error);
  if (status == BT_OK)
    status = read_rows(ledger, baselines_sql, number, after, &book->baselines, &book->baselines_n,
                       sizeof *book->baselines, take_decision, error);
  if (status == BT_OK)
    status = read_rows(ledger, later_sql, number, after, &book->later, &book->later_n,
                       sizeof *book->later, take_entry, error);
  if (status != BT_OK)
    bt_book_free(book);
  return status;
}
