/* Events as rows, and the entry of an event that a person typed in. */
#include "decisions_private.h"

/* How many events of that unit, time and kind there are, but for those of the source itself: within
 * one log all events are kept. To a log, events that a person corrected or withdrew count as well:
 * a later export still has them. A person may enter again what no longer stands. */
static const char others_sql[] =
    "SELECT count(*) FROM main.event AS v LEFT JOIN main.superseded_event AS s "
    "ON s.event = v.number WHERE v.unit = ?1 AND v.time = ?2 AND v.kind = ?3 "
    "AND (?4 = 0 OR v.source IS NOT ?4) "
    "AND (s.kind IS NULL OR (?4 <> 0 AND s.kind <> 'read again'))";

/* Counts the event as one more of its log; ?4 in all. */
static const char seen_sql[] = "INSERT INTO temp.seen_event (unit, time, kind, n) "
                               "VALUES (?1, ?2, ?3, 1) "
                               "ON CONFLICT (unit, time, kind) DO UPDATE SET n = n + 1 RETURNING n";

/* The number that a statement over (unit, time, kind, source) gives. */
static bt_status number_of(bt_ledger *ledger, const char *sql, const bt_event *event, int64_t unit,
                           int64_t source, int64_t *number, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = sqlite3_bind_parameter_count(statement) > 3
                 ? ledger_bind(ledger, error, statement, "iiti", unit, event->time,
                               bt_event_key(event->kind), source)
                 : ledger_bind(ledger, error, statement, "iit", unit, event->time,
                               bt_event_key(event->kind));
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    *number = sqlite3_column_int64(statement, 0);
  (void)sqlite3_finalize(statement);
  return status;
}

/* As multisets: of a log, the first event of its unit, time and kind is the first one that is
 * there, the second one the second, and so on. */
static bt_status event_known(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                             bool *known, bt_error *error) {
  int64_t others = 0, seen = 1;
  bt_status status = number_of(ledger, others_sql, event, unit, source, &others, error);
  if (status == BT_OK && source != 0)
    status = number_of(ledger, seen_sql, event, unit, source, &seen, error);
  *known = seen <= others;
  return status;
}

static bt_status note_add(bt_ledger *ledger, const char *body, ledger_text *note, bt_error *error) {
  sqlite3_stmt *insert = NULL;
  bt_status status = ledger_prepare(ledger, LEDGER_TEXT_INSERT, &insert, error);
  if (status == BT_OK)
    status = ledger_text_add(ledger, insert, body, note, error);
  (void)sqlite3_finalize(insert);
  return status;
}

bt_status ledger_event_store(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                             int64_t entry, const ledger_text *note, bt_error *error) {
  unsigned char digest[LEDGER_DIGEST_BYTES];
  ledger_event_digest(event, unit, source, note, digest);
  /* A note or source of number 0 is none. */
  return ledger_put(ledger, error,
                    "INSERT INTO main.event (number, unit, time, has_clock, kind, note, source, "
                    "line, last_line, entry, digest) "
                    "VALUES (NULL, ?1, ?2, ?3, ?4, nullif(?5, 0), nullif(?6, 0), ?7, ?8, ?9, ?10)",
                    "iiitiiiiib", unit, event->time, (int64_t)event->has_clock,
                    bt_event_key(event->kind), note->number, source, event->line, event->last_line,
                    entry, digest, sizeof digest);
}

/* What was removed once comes back by no log. */
static const char removed_sql[] =
    "SELECT count(*) FROM main.event AS v JOIN main.text AS t ON t.number = v.note "
    "WHERE v.unit = ?1 AND v.time = ?2 AND ?3 IS NOT NULL AND t.salt = x''";

bt_status ledger_event_put(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                           int64_t entry, bool *known, bool *silent, bt_error *error) {
  ledger_text note = {0};
  int64_t removed = 0;
  *silent = false;
  bt_status status = event_known(ledger, event, unit, source, known, error);
  if (status != BT_OK || *known)
    return status;
  if (event->note != NULL && source != 0)
    status = number_of(ledger, removed_sql, event, unit, source, &removed, error);
  *silent = removed > 0;
  if (status == BT_OK && event->note != NULL && !*silent)
    status = note_add(ledger, event->note, &note, error);
  if (status == BT_OK)
    status = ledger_event_store(ledger, event, unit, source, entry, &note, error);
  return status;
}

/* All within the transaction: the unit, the event, its entry. */
static bt_status add_event(bt_ledger *ledger, const bt_event *event, bool new_unit, const char *by,
                           bt_time now, bool *known, bt_error *error) {
  ledger_entry entry = {.kind = "event", .at = now, .by = by};
  bool silent = false; /* never: a person types it */
  int64_t unit = 0;
  bt_status status = ledger_entry_next(ledger, &entry.number, error);
  if (status == BT_OK)
    status = ledger_unit_take(ledger, event->unit, new_unit, entry.number, &unit, error);
  if (status == BT_OK)
    status = ledger_event_put(ledger, event, unit, 0, entry.number, known, &silent, error);
  if (status == BT_OK && !*known)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  return status;
}

bt_status bt_ledger_add_event(bt_ledger *ledger, const bt_event *event, bool new_unit,
                              const char *by, bt_time now, bool *known, bt_error *error) {
  *known = false;
  bt_status status = ledger_asked(by, "who enters this (--by)", error);
  if (status == BT_OK)
    status = ledger_event_valid(event, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = add_event(ledger, event, new_unit, by, now, known, error);
  if (status == BT_OK && *known)
    ledger_rollback(ledger);
  else if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    ledger_rollback(ledger);
  return status;
}
