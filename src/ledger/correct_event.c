/* Corrections of events, which a person names by the ledger's number. */
#include "differences_private.h"
#include "entry_private.h"
#include "event_private.h"
#include "ledger_private.h"
#include "placing_private.h"
#include "sql_private.h"
#include "text_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <stdlib.h>

/* An event with what only its row says. */
typedef struct stored_event {
  bt_event event; /* owns its texts */
  int64_t unit, note;
} stored_event;

static const char event_sql[] =
    "SELECT v.unit, v.time, v.has_clock, v.kind, v.note, v.line, v.last_line, u.name, "
    "(SELECT body FROM main.text AS t WHERE t.number = v.note AND length(t.salt) > 0), "
    "s.kind, s.replacement, e.by, e.at "
    "FROM main.event AS v JOIN main.unit AS u ON u.number = v.unit "
    "LEFT JOIN main.superseded_event AS s ON s.event = v.number "
    "LEFT JOIN main.entry AS e ON e.number = s.entry WHERE v.number = ?1";

enum {
  E_UNIT,
  E_TIME,
  E_HAS_CLOCK,
  E_KIND,
  E_NOTE,
  E_LINE,
  E_LAST_LINE,
  E_NAME,
  E_BODY,
  E_SUPERSEDED,
  E_REPLACEMENT,
  E_BY,
  E_AT
};

bt_status ledger_event_missing(bt_ledger *ledger, int64_t number, bt_error *error) {
  int64_t last = 0;
  bt_status status =
      ledger_number(ledger, "SELECT coalesce(max(number), 0) FROM main.event", &last, error);
  if (status != BT_OK)
    return status;
  if (last == 0)
    return bt_fail(error, BT_NOTFOUND, "the ledger has no event yet, so none of number %lld",
                   (long long)number);
  return bt_fail(error, BT_NOTFOUND,
                 "the ledger has no event of number %lld; they are numbered 1 to %lld",
                 (long long)number, (long long)last);
}

static bt_status no_longer_stands(sqlite3_stmt *row, int64_t number, bt_error *error) {
  char day[BT_TIME_TEXT];
  const char *kind = (const char *)sqlite3_column_text(row, E_SUPERSEDED);
  const char *by = (const char *)sqlite3_column_text(row, E_BY);
  (void)bt_time_day_iso(sqlite3_column_int64(row, E_AT), day);
  if (by == NULL)
    by = "nobody named";
  if (sqlite3_column_type(row, E_REPLACEMENT) == SQLITE_NULL)
    return bt_fail(error, BT_REFUSED,
                   "event %lld no longer stands (%s on %s by %s) and nothing stands in its place; "
                   "enter the event anew if it is to count",
                   (long long)number, kind, day, by);
  return bt_fail(error, BT_REFUSED,
                 "event %lld no longer stands (%s on %s by %s): event %lld took its place; ask for "
                 "that one",
                 (long long)number, kind, day, by,
                 (long long)sqlite3_column_int64(row, E_REPLACEMENT));
}

static bt_status take_event(bt_ledger *ledger, sqlite3_stmt *row, int64_t number,
                            stored_event *found, bt_error *error) {
  const char *kind = (const char *)sqlite3_column_text(row, E_KIND);
  const char *body = (const char *)sqlite3_column_text(row, E_BODY);
  found->unit = sqlite3_column_int64(row, E_UNIT);
  found->note = sqlite3_column_int64(row, E_NOTE);
  bt_event *event = &found->event;
  *event = (bt_event){.unit = bt_copy((const char *)sqlite3_column_text(row, E_NAME)),
                      .time = sqlite3_column_int64(row, E_TIME),
                      .has_clock = sqlite3_column_int(row, E_HAS_CLOCK) != 0,
                      .note = bt_copy(body),
                      .number = number,
                      .line = sqlite3_column_int64(row, E_LINE),
                      .last_line = sqlite3_column_int64(row, E_LAST_LINE)};
  if (event->unit == NULL || (body != NULL && event->note == NULL))
    return bt_fail_memory(error);
  if (kind == NULL || !bt_event_kind_of(kind, &event->kind))
    return bt_fail(error, BT_DAMAGED, "%s: event %lld is of no known kind; use a backup",
                   ledger->path, (long long)number);
  return BT_OK;
}

/* `any`: one that no longer stands as well. */
static bt_status find(bt_ledger *ledger, int64_t number, bool any, stored_event *found,
                      bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *found = (stored_event){.unit = 0};
  bt_status status = ledger_prepare(ledger, event_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", number);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && !row)
    status = ledger_event_missing(ledger, number, error);
  else if (status == BT_OK && !any && sqlite3_column_type(statement, E_SUPERSEDED) != SQLITE_NULL)
    status = no_longer_stands(statement, number, error);
  else if (status == BT_OK)
    status = take_event(ledger, statement, number, found, error);
  (void)sqlite3_finalize(statement);
  if (status != BT_OK)
    bt_event_free(&found->event);
  return status;
}

bt_status bt_ledger_find_event(bt_ledger *ledger, int64_t number, bt_event *event,
                               bt_error *error) {
  stored_event found;
  bt_status status = find(ledger, number, false, &found, error);
  *event = found.event;
  return status;
}

bt_status ledger_stored_event(bt_ledger *ledger, int64_t number, bt_event *event, bt_error *error) {
  stored_event found;
  bt_status status = find(ledger, number, true, &found, error);
  *event = found.event;
  return status;
}

static bt_status something_changes(const bt_event *old, const bt_event *replacement,
                                   bt_error *error) {
  bt_text changes = {0};
  ledger_say_event_changes(old, replacement, &changes);
  bt_status status = BT_OK;
  if (!bt_text_ok(&changes))
    status = bt_fail_memory(error);
  else if (changes.length == 0)
    status = bt_fail(error, BT_USAGE,
                     "nothing would change: event %lld is as you say; name what is to be another",
                     (long long)old->number);
  bt_text_free(&changes);
  return status;
}

/* Two events of one kind at one moment are one thing with two notes, as they came. Nothing is
 * corrected into such a pair, nor in it into what its other half says. */
static bt_status stands_already(bt_ledger *ledger, const bt_event *event, int64_t unit,
                                const stored_event *old, bt_error *error) {
  bool stays =
      unit == old->unit && event->time == old->event.time && event->kind == old->event.kind;
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT v.number FROM main.event AS v WHERE v.unit = ?1 AND v.time = ?2 "
                     "AND v.kind = ?3 AND v.number <> ?4 AND (?5 = 0 OR (SELECT t.body FROM "
                     "main.text AS t WHERE t.number = v.note AND t.salt <> x'') IS ?6) "
                     "AND NOT EXISTS (SELECT 1 FROM main.superseded_event AS s "
                     "WHERE s.event = v.number)",
                     &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iitiit", unit, event->time,
                         bt_event_key(event->kind), old->event.number, (int64_t)stays, event->note);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    status = bt_fail(error, BT_REFUSED,
                     "event %lld is of this unit, time and kind already; withdraw event %lld "
                     "instead of correcting it",
                     (long long)sqlite3_column_int64(statement, 0), (long long)old->event.number);
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status put_replacement(bt_ledger *ledger, const stored_event *old,
                                 const bt_event *replacement, int64_t entry, int64_t *number,
                                 bt_error *error) {
  bt_event event = *replacement;
  ledger_text note = {0};
  int64_t unit = 0;
  event.line = event.last_line = 0; /* it comes from a person, not from a line of a log */
  bt_status status = ledger_unit_known(ledger, event.unit, &unit, error);
  if (status == BT_OK)
    status = something_changes(&old->event, &event, error);
  if (status == BT_OK)
    status = stands_already(ledger, &event, unit, old, error);
  if (status == BT_OK)
    status = ledger_share_text(ledger, event.note, old->event.note, old->note, &note, error);
  if (status == BT_OK)
    status = ledger_event_store(ledger, &event, unit, 0, entry, &note, error);
  *number = sqlite3_last_insert_rowid(ledger->db);
  return status;
}

/* All within the transaction. */
static bt_status correct(bt_ledger *ledger, int64_t number, const bt_event *replacement,
                         ledger_entry *entry, bt_error *error) {
  stored_event old;
  int64_t new_number = 0;
  bt_status status = find(ledger, number, false, &old, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK && replacement != NULL)
    status = put_replacement(ledger, &old, replacement, entry->number, &new_number, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.superseded_event (event, entry, kind, replacement) "
                        "VALUES (?1, ?2, ?3, nullif(?4, 0))",
                        "iiti", number, entry->number,
                        replacement == NULL ? "withdrawn" : "corrected", new_number);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  bt_event_free(&old.event);
  return status;
}

bt_status bt_ledger_correct_event(bt_ledger *ledger, int64_t number, const bt_event *replacement,
                                  const char *by, const char *why, bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "correction", .at = now, .by = by, .why = why};
  bt_status status = ledger_asked(by, "who corrects this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is corrected (--why)", error);
  if (status == BT_OK && replacement != NULL)
    status = ledger_event_valid(replacement, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = correct(ledger, number, replacement, &entry, error);
  return ledger_end(ledger, status, error);
}
