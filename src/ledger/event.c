/* Events as rows, and the entry of an event that a person typed in. */
#include "digest_private.h"
#include "entry_private.h"
#include "event_private.h"
#include "sql_private.h"
#include "text_private.h"
#include "unit_private.h"
#include "valid_private.h"

/* Which events are known:
 *
 * E1 Events are compared for each (unit, time, kind), as multisets, with those of other sources;
 *    within one log all are kept. To a log, events that a person corrected or withdrew count as
 *    well: a later export still has them (a correction and what it corrected are one). A person may
 *    enter again what no longer stands.
 * E2 One with a note is known only where that very note is there already: a note is never dropped.
 *    The further row counts as the same event in a study.
 * E3 Where a note of that unit and time was removed nobody can tell any more what it said: a log
 *    brings none back, and its events are only counted. What a person enters now is new.
 * E4 A row is known by one that is there, and by no more than there are. */
typedef struct matches {
  int64_t all, noted;  /* others; those with the same note */
  int64_t seen, known; /* of the log so far: with the same note; known ones of any note */
} matches;

/* ?5: the note. */
static const char others_sql[] =
    "SELECT count(*) FILTER (WHERE ?4 = 0 OR NOT EXISTS (SELECT 1 FROM main.event AS o CROSS JOIN "
    "main.superseded_event AS r ON r.event = o.number WHERE o.unit = ?1 AND o.time = ?2 "
    "AND o.kind = ?3 AND r.kind = 'corrected' AND r.replacement = v.number)), "
    "count(*) FILTER (WHERE t.salt <> x'' AND t.body = ?5) "
    "FROM main.event AS v LEFT JOIN main.superseded_event AS s ON s.event = v.number "
    "LEFT JOIN main.text AS t ON t.number = v.note "
    "WHERE v.unit = ?1 AND v.time = ?2 AND v.kind = ?3 AND (?4 = 0 OR v.source IS NOT ?4) "
    "AND (s.kind IS NULL OR (?4 <> 0 AND s.kind <> 'read again'))";

static const char seen_sql[] =
    "SELECT coalesce(sum(n) FILTER (WHERE note = coalesce(?5, '')), 0), coalesce(sum(known), 0) "
    "FROM temp.seen_event WHERE unit = ?1 AND time = ?2 AND kind = ?3 AND ?4 = ?4";

/* E3: of whatever kind of event. */
static const char removed_sql[] =
    "SELECT count(*) FROM main.event AS v JOIN main.text AS t ON t.number = v.note "
    "WHERE v.unit = ?1 AND v.time = ?2 AND ?3 = ?3 AND ?4 = ?4 AND ?5 IS NOT NULL AND t.salt = x''";

/* The numbers that a query over (unit, time, kind, source, note) gives. */
static bt_status numbers_of(bt_ledger *ledger, const char *sql, const bt_event *event, int64_t unit,
                            int64_t source, int64_t *const *numbers, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iitit", unit, event->time,
                         bt_event_key(event->kind), source, event->note);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  for (int i = 0; status == BT_OK && row && i < sqlite3_column_count(statement); i++)
    *numbers[i] = sqlite3_column_int64(statement, i);
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status event_known(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                             bool *known, bool *removed, bt_error *error) {
  matches m = {.seen = 0};
  int64_t gone = 0;
  bt_status status = numbers_of(ledger, others_sql, event, unit, source,
                                (int64_t *const[]){&m.all, &m.noted}, error);
  if (status == BT_OK && source != 0)
    status = numbers_of(ledger, seen_sql, event, unit, source,
                        (int64_t *const[]){&m.seen, &m.known}, error);
  if (status == BT_OK && source != 0)
    status = numbers_of(ledger, removed_sql, event, unit, source, (int64_t *const[]){&gone}, error);
  *removed = gone > 0;
  *known =
      m.known < m.all && (event->note == NULL || *removed || m.seen < m.noted); /* E4; E1, E3, E2 */
  if (status == BT_OK && source != 0)
    status = ledger_put(ledger, error,
                        "INSERT INTO temp.seen_event (unit, time, kind, note, n, known) "
                        "VALUES (?1, ?2, ?3, coalesce(?4, ''), 1, ?5) ON CONFLICT "
                        "(unit, time, kind, note) DO UPDATE SET n = n + 1, "
                        "known = known + excluded.known",
                        "iitti", unit, event->time, bt_event_key(event->kind), event->note,
                        (int64_t)*known);
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

bt_status ledger_event_put(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                           int64_t entry, bool *known, bool *silent, bt_error *error) {
  ledger_text note = {0};
  bt_status status = event_known(ledger, event, unit, source, known, silent, error);
  *silent = *silent && !*known;
  if (status != BT_OK || *known)
    return status;
  if (event->note != NULL && !*silent)
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
  if (status != BT_OK || !*known)
    return ledger_end(ledger, status, error);
  ledger_rollback(ledger);
  return BT_OK;
}
