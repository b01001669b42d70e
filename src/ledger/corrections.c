/* The list of corrections: records that were superseded, texts that were removed, and conflicts
 * that a person settled without superseding a record: rows that were left out on somebody's word
 * must show as well. What changed is read off the records themselves, so that a removed text is in
 * none of it. */
#include "differences_private.h"
#include "event_private.h"
#include "ledger_private.h"
#include "redact_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"
#include "whole_private.h"

#include <stdlib.h>
#include <string.h>

/* One row a correction; ?1 is the unit, 0 for all. A file that was read again is one for each unit
 * of its rows; a removal is one for each unit that lost a text, however many copies it met, and is
 * told at the record that was named, or at the first one of another unit. A settlement that
 * superseded a record is told by that record, another one by the rows that came. */
static const char corrections_sql[] =
    "WITH again (entry, unit, time) AS ("
    "SELECT entry, unit, time FROM main.superseded WHERE kind = 'read again' "
    "UNION ALL SELECT s.entry, v.unit, v.time FROM main.superseded_event AS s "
    "JOIN main.event AS v ON v.number = s.event WHERE s.kind = 'read again'), "
    "all_of (entry, kind, unit, time, has_clock, sequence, event, new_unit, new_time, "
    "new_sequence, replacement, records, words) AS ("
    "SELECT s.entry, s.kind, s.unit, s.time, c.has_clock, s.sequence, 0, s.new_unit, s.new_time, "
    "s.new_sequence, NULL, 1, NULL FROM main.superseded AS s LEFT JOIN main.checks AS c "
    "ON c.unit = s.unit AND c.time = s.time AND c.sequence = s.sequence "
    "WHERE s.kind <> 'read again' AND (?1 = 0 OR s.unit = ?1 OR s.new_unit = ?1) "
    "UNION ALL SELECT s.entry, s.kind, v.unit, v.time, v.has_clock, 0, v.number, r.unit, r.time, "
    "0, s.replacement, 1, NULL FROM main.superseded_event AS s "
    "JOIN main.event AS v ON v.number = s.event "
    "LEFT JOIN main.event AS r ON r.number = s.replacement "
    "WHERE s.kind <> 'read again' AND (?1 = 0 OR v.unit = ?1 OR r.unit = ?1) "
    "UNION ALL SELECT a.entry, 'read again', a.unit, min(a.time), 0, 0, 0, NULL, NULL, NULL, NULL, "
    "count(*), 'rows replaced by importing ' || (SELECT min(n.name) FROM main.source AS n "
    "WHERE n.entry = a.entry) || ' again' "
    "FROM again AS a WHERE ?1 = 0 OR a.unit = ?1 GROUP BY a.entry, a.unit "
    "UNION ALL SELECT r.entry, 'removed', r.unit, r.time, coalesce(c.has_clock, v.has_clock), "
    "coalesce(r.sequence, 0), coalesce(r.event, 0), NULL, NULL, NULL, NULL, 1, r.field "
    "FROM main.redaction AS r LEFT JOIN main.checks AS c ON c.unit = r.unit AND c.time = r.time "
    "AND c.sequence = r.sequence LEFT JOIN main.event AS v ON v.number = r.event "
    "WHERE ?1 = 0 OR r.unit = ?1 GROUP BY r.entry "
    "UNION ALL SELECT t.entry, 'settled', t.unit, t.time, max(h.has_clock), min(h.sequence), 0, "
    "NULL, NULL, NULL, NULL, 1, 'what stood stays; of ' || count(*) || "
    "iif(count(*) = 1, ' row of ', ' rows of ') || n.name || ', what differs was ' || "
    "iif(t.kept = 'old', 'not taken', 'added') FROM main.settled AS t "
    "JOIN main.entry AS o ON o.number = t.entry AND o.kind = 'settlement' "
    "JOIN main.held AS h ON h.unit = t.unit AND h.time = t.time AND h.source = t.source "
    "JOIN main.source AS n ON n.number = t.source WHERE (?1 = 0 OR t.unit = ?1) AND NOT EXISTS "
    "(SELECT 1 FROM main.superseded AS s WHERE s.unit = t.unit AND s.time = t.time "
    "AND s.entry = t.entry) GROUP BY t.unit, t.time, t.source "
    "UNION ALL SELECT l.entry, 'removed', ?1, min(l.time), l.has_clock, l.sequence, l.event, NULL, "
    "NULL, NULL, NULL, 1, l.field FROM (" LEDGER_LOST_ELSEWHERE ") AS l GROUP BY l.entry) "
    "SELECT a.*, u.name, e.at, coalesce(e.by, ''), coalesce(e.why, '') FROM all_of AS a "
    "JOIN main.unit AS u ON u.number = a.unit JOIN main.entry AS e ON e.number = a.entry "
    "WHERE a.entry <= ?2 "
    "ORDER BY a.entry, a.unit, a.time, a.sequence, a.event";

enum {
  C_ENTRY,
  C_KIND,
  C_UNIT,
  C_TIME,
  C_HAS_CLOCK,
  C_SEQUENCE,
  C_EVENT,
  C_NEW_UNIT,
  C_NEW_TIME,
  C_NEW_SEQUENCE,
  C_REPLACEMENT,
  C_RECORDS,
  C_WORDS,
  C_NAME,
  C_AT,
  C_BY,
  C_WHY
};

static bt_correction_kind kind_of(const char *word) {
  static const char *const words[] = {[BT_CORRECTED] = "corrected",
                                      [BT_WITHDRAWN] = "withdrawn",
                                      [BT_READ_AGAIN] = "read again",
                                      [BT_SETTLED] = "settled"};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (word != NULL && strcmp(word, words[i]) == 0)
      return (bt_correction_kind)i;
  return BT_REDACTED;
}

/* One of the two checks of a correction, which an entry names: it must be there. */
static bt_status read_check(bt_ledger *ledger, sqlite3_stmt *row, int unit, int time, int sequence,
                            ledger_stored_list *list, bt_error *error) {
  bt_status status =
      ledger_stored_one(ledger, sqlite3_column_int64(row, unit), sqlite3_column_int64(row, time),
                        (int32_t)sqlite3_column_int64(row, sequence), list, error);
  if (status == BT_OK && list->n == 0) {
    status = bt_fail(error, BT_DAMAGED,
                     "%s: a check that entry %lld names is gone; use a backup of the ledger from "
                     "before",
                     ledger->path, (long long)sqlite3_column_int64(row, C_ENTRY));
    ledger_say_not_whole(error);
  }
  return status;
}

static bt_status say_check(bt_ledger *ledger, sqlite3_stmt *row, bt_text *changes,
                           bt_touched *touched, bt_error *error) {
  ledger_stored_list old = {0}, new = {0};
  bt_status status = read_check(ledger, row, C_UNIT, C_TIME, C_SEQUENCE, &old, error);
  if (status == BT_OK && sqlite3_column_type(row, C_NEW_UNIT) != SQLITE_NULL)
    status = read_check(ledger, row, C_NEW_UNIT, C_NEW_TIME, C_NEW_SEQUENCE, &new, error);
  if (status == BT_OK && new.n > 0)
    ledger_say_changes(&old.row[0].check, &new.row[0].check, changes);
  else if (status == BT_OK)
    ledger_say_check(&old.row[0].check, changes);
  if (status == BT_OK &&
      !ledger_touch(&old.row[0].check, new.n > 0 ? &new.row[0].check : NULL, touched))
    status = bt_fail_memory(error);
  ledger_stored_free(&old);
  ledger_stored_free(&new);
  return status;
}

static bt_status say_event(bt_ledger *ledger, sqlite3_stmt *row, bt_text *changes,
                           bt_error *error) {
  bt_event old = {.unit = NULL}, new = {.unit = NULL};
  bt_status status = ledger_stored_event(ledger, sqlite3_column_int64(row, C_EVENT), &old, error);
  if (status == BT_OK && sqlite3_column_type(row, C_REPLACEMENT) != SQLITE_NULL)
    status = ledger_stored_event(ledger, sqlite3_column_int64(row, C_REPLACEMENT), &new, error);
  if (status == BT_OK && new.unit != NULL)
    ledger_say_event_changes(&old, &new, changes);
  else if (status == BT_OK)
    bt_text_format(changes, "event %s", bt_event_key(old.kind));
  bt_event_free(&old);
  bt_event_free(&new);
  return status;
}

static bt_status read_correction(bt_ledger *ledger, sqlite3_stmt *row, bt_correction *c,
                                 bt_error *error) {
  bt_text changes = {0};
  bt_status status = BT_OK;
  const char *words = (const char *)sqlite3_column_text(row, C_WORDS);
  *c = (bt_correction){.kind = kind_of((const char *)sqlite3_column_text(row, C_KIND)),
                       .of_event = sqlite3_column_int64(row, C_EVENT) != 0,
                       .unit = bt_copy((const char *)sqlite3_column_text(row, C_NAME)),
                       .time = sqlite3_column_int64(row, C_TIME),
                       .has_clock = sqlite3_column_int(row, C_HAS_CLOCK) != 0,
                       .sequence = (int32_t)sqlite3_column_int64(row, C_SEQUENCE),
                       .event = sqlite3_column_int64(row, C_EVENT),
                       .records = sqlite3_column_int64(row, C_RECORDS),
                       .at = sqlite3_column_int64(row, C_AT),
                       .by = bt_copy((const char *)sqlite3_column_text(row, C_BY)),
                       .why = bt_copy((const char *)sqlite3_column_text(row, C_WHY))};
  if (words != NULL)
    bt_text_add(&changes, words);
  else if (c->of_event)
    status = say_event(ledger, row, &changes, error);
  else
    status = say_check(ledger, row, &changes, &c->touched, error);
  c->changes = bt_text_take(&changes);
  if (status == BT_OK && (c->unit == NULL || c->by == NULL || c->why == NULL || c->changes == NULL))
    status = bt_fail_memory(error);
  return status;
}

bt_status bt_ledger_corrections(bt_ledger *ledger, const char *unit, bt_correction **corrections,
                                size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  int64_t number = 0;
  *corrections = NULL;
  *n = 0;
  bt_status status = unit == NULL ? BT_OK : ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, corrections_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", number, ledger_last_seen(ledger));
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(corrections, &capacity, *n + 1, sizeof **corrections))
      status = bt_fail_memory(error);
    else
      status = read_correction(ledger, statement, &(*corrections)[(*n)++], error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_corrections_free(*corrections, *n);
    *corrections = NULL;
    *n = 0;
  }
  return status;
}
