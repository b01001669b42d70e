/* Removing a text for good.
 *
 * Salt and body go; SHA-256 of both stays in `redaction`, so that the digests which cover it stay
 * true, and nobody can try out bodies against it without the salt. Removed is the text of the
 * record that was named and, with it, every text of the same field, unit and time with the same
 * body: a record that was read again, or a row held back, has its own copy. A check without such a
 * text stands for the rows held back at its time. SQLite overwrites what it frees (secure_delete).
 */
#include "decisions_private.h"

#include <stdlib.h>

/* The record that was named, and the texts that go. */
typedef struct removal {
  const char *field;
  ledger_place place; /* of the check, or unit and time of the event */
  int64_t event;      /* 0 for a check */
  char *body;         /* NULL: the check itself has none */
  int64_t entry;
} removal;

static void release(removal *r) {
  free(r->body);
}

/* Stores what the digests go on needing, then blanks the text on which `row` stands. */
static bt_status remove_text(bt_ledger *ledger, const removal *r, sqlite3_stmt *row,
                             bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES];
  int64_t number = sqlite3_column_int64(row, 0);
  if (sqlite3_column_bytes(row, 1) != LEDGER_SALT_BYTES)
    return bt_fail(error, BT_DAMAGED, "%s: a text has lost its salt; use a backup of the ledger",
                   ledger->path);
  ledger_text_sha256(sqlite3_column_blob(row, 1), (const char *)sqlite3_column_text(row, 2),
                     sha256);
  bt_status status = ledger_put(
      ledger, error,
      "INSERT INTO main.redaction (text, entry, sha256, field, unit, time, sequence, event) "
      "VALUES (?1, ?2, ?3, ?4, ?5, ?6, iif(?8 = 0, ?7, NULL), nullif(?8, 0))",
      "iibtiiii", number, r->entry, sha256, sizeof sha256, r->field, r->place.unit, r->place.time,
      (int64_t)r->place.sequence, r->event);
  if (status == BT_OK)
    status = ledger_put(
        ledger, error, "UPDATE main.text SET salt = x'', body = '' WHERE number = ?1", "i", number);
  return status;
}

/* Finds and removes, one at a time: a text that is removed is found no more. */
static bt_status remove_all(bt_ledger *ledger, const removal *r, const char *sql, int64_t *removed,
                            bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = true;
  *removed = 0;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  while (status == BT_OK && row) {
    status = ledger_bind(ledger, error, statement, "iit", r->place.unit, r->place.time, r->body);
    if (status == BT_OK)
      status = ledger_step(ledger, statement, &row, error);
    if (status == BT_OK && row) {
      status = remove_text(ledger, r, statement, error);
      (*removed)++;
    }
    (void)sqlite3_reset(statement);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* ---- Of a check -------------------------------------------------------------------------------
 */

/* Texts of a field, of all records of ?1 (unit) and ?2 (time), with the body ?3; those held back
 * where it is NULL. */
static const char texts_form[] =
    "SELECT t.number, t.salt, t.body FROM main.text AS t WHERE t.salt <> x'' "
    "AND (?3 IS NULL OR t.body = ?3) AND t.number IN ("
    "SELECT c.%w FROM main.checks AS c WHERE c.unit = ?1 AND c.time = ?2 AND ?3 IS NOT NULL "
    "UNION ALL SELECT h.%w FROM main.held AS h WHERE h.unit = ?1 AND h.time = ?2) "
    "ORDER BY t.number LIMIT 1";

/* Records that had a text which the entry ?1 removed. */
static const char records_form[] =
    "SELECT (SELECT count(*) FROM main.checks WHERE %w IN (SELECT text FROM main.redaction "
    "WHERE entry = ?1)) + (SELECT count(*) FROM main.held WHERE %w IN (SELECT text FROM "
    "main.redaction WHERE entry = ?1))";

static bt_status count_records(bt_ledger *ledger, const removal *r, int64_t *records,
                               bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  char *sql = sqlite3_mprintf(records_form, r->field, r->field);
  if (sql == NULL)
    return bt_fail_memory(error);
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", r->entry);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    *records = sqlite3_column_int64(statement, 0);
  (void)sqlite3_finalize(statement);
  sqlite3_free(sql);
  return status;
}

/* The check may be one that no longer stands: its texts are in the file as well. */
static bt_status find_check(bt_ledger *ledger, const char *unit, bt_text_field field, removal *r,
                            bt_error *error) {
  ledger_stored_list list = {0};
  ledger_stored standing = {0};
  bt_status status = ledger_unit_known(ledger, unit, &r->place.unit, error);
  if (status == BT_OK)
    status =
        ledger_stored_one(ledger, r->place.unit, r->place.time, r->place.sequence, &list, error);
  if (status == BT_OK && list.n == 0) {
    status = ledger_find_standing(ledger, unit, &r->place, true, &standing, error);
    bt_check_free(&standing.check);
  } else if (status == BT_OK && list.row[0].check.text[field] != NULL) {
    r->body = bt_copy(list.row[0].check.text[field]);
    if (r->body == NULL)
      status = bt_fail_memory(error);
  }
  ledger_stored_free(&list);
  return status;
}

static bt_status redact_check(bt_ledger *ledger, const char *unit, bt_text_field field, removal *r,
                              ledger_entry *entry, int64_t *shared, bt_error *error) {
  char at[BT_TIME_TEXT];
  int64_t removed = 0;
  char *sql = sqlite3_mprintf(texts_form, r->field, r->field);
  if (sql == NULL)
    return bt_fail_memory(error);
  bt_status status = find_check(ledger, unit, field, r, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  r->entry = entry->number;
  if (status == BT_OK)
    status = remove_all(ledger, r, sql, &removed, error);
  if (status == BT_OK && removed == 0)
    status = bt_fail(error, BT_NOTFOUND,
                     "the check of \"%s\" at %s#%d has no %s, or it was removed before; there is "
                     "nothing to remove",
                     unit, bt_time_iso(r->place.time, r->place.time % BT_DAY != 0, at),
                     (int)r->place.sequence, r->field);
  if (status == BT_OK)
    status = count_records(ledger, r, shared, error);
  if (status == BT_OK && r->body != NULL)
    (*shared)--;
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  sqlite3_free(sql);
  return status;
}

bt_status bt_ledger_redact_check(bt_ledger *ledger, const char *unit, bt_time time,
                                 int32_t sequence, bt_text_field field, const char *by,
                                 const char *why, bt_time now, int64_t *shared, bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  removal r = {.field = bt_text_field_key(field), .place = {.time = time, .sequence = sequence}};
  *shared = 0;
  bt_status status = ledger_asked(by, "who removes this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is removed (--why)", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = redact_check(ledger, unit, field, &r, &entry, shared, error);
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK) {
    ledger_rollback(ledger);
    *shared = 0;
  }
  release(&r);
  return status;
}

/* ---- Of an event ------------------------------------------------------------------------------
 */

static const char notes_sql[] =
    "SELECT t.number, t.salt, t.body FROM main.text AS t WHERE t.salt <> x'' AND t.body = ?3 "
    "AND t.number IN (SELECT note FROM main.event WHERE unit = ?1 AND time = ?2) "
    "ORDER BY t.number LIMIT 1";

/* BT_NOTFOUND where there is no event of that number, or none that has a note. */
static bt_status find_note(bt_ledger *ledger, removal *r, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT v.unit, v.time, t.body FROM main.event AS v LEFT JOIN main.text AS t "
                     "ON t.number = v.note AND t.salt <> x'' WHERE v.number = ?1",
                     &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", r->event);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && !row)
    status = ledger_event_missing(ledger, r->event, error);
  else if (status == BT_OK && sqlite3_column_type(statement, 2) == SQLITE_NULL)
    status = bt_fail(error, BT_NOTFOUND,
                     "event %lld has no note, or it was removed before; there is nothing to remove",
                     (long long)r->event);
  if (status == BT_OK) {
    r->place.unit = sqlite3_column_int64(statement, 0);
    r->place.time = sqlite3_column_int64(statement, 1);
    r->body = bt_copy((const char *)sqlite3_column_text(statement, 2));
    if (r->body == NULL)
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_redact_event(bt_ledger *ledger, int64_t number, const char *by, const char *why,
                                 bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  removal r = {.field = "note", .event = number};
  int64_t removed = 0;
  bt_status status = ledger_asked(by, "who removes this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is removed (--why)", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = find_note(ledger, &r, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry.number, error);
  r.entry = entry.number;
  if (status == BT_OK)
    status = remove_all(ledger, &r, notes_sql, &removed, error);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    ledger_rollback(ledger);
  release(&r);
  return status;
}
