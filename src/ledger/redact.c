/* Removing a text for good.
 *
 * Salt and body go; SHA-256 of both stays in `redaction`, so that the digests which cover it stay
 * true, and nobody can try out bodies against it without the salt. Removed is the text of the
 * record that was named and, with it, what could be meant by the same word: that of every record
 * which it superseded, by whatever steps; that of every row held back at its unit and time; and
 * every text of the same field with the same body of its unit and time, or of one from which a
 * correction moved it, since a record that was read again or held back has its own copy. SQLite
 * overwrites what it frees (secure_delete).
 * A reason that repeats the text is refused (redact_reason.c). */
#include "decisions_private.h"

#include <stdlib.h>

/* The record that was named, and the texts that go. */
typedef struct removal {
  const char *field;
  ledger_place place; /* of the check, or unit and time of the event */
  int64_t event;      /* 0 for a check */
  char *body;         /* NULL: the check itself has none */
  const char *why;
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
  const char *body = (const char *)sqlite3_column_text(row, 2);
  if (body == NULL)
    return bt_fail_memory(error);
  if (ledger_reason_repeats(r->why, body))
    return bt_fail(
        error, BT_REFUSED,
        "the reason (--why) repeats the text that is to be removed, or a word of it that "
        "may be a name, and reasons stay in the ledger for good; say why without it");
  ledger_text_sha256(sqlite3_column_blob(row, 1), body, sha256);
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
    status = ledger_bind(ledger, error, statement, "iiti", r->place.unit, r->place.time, r->body,
                         r->event != 0 ? r->event : (int64_t)r->place.sequence);
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

/* One text of a field that goes with the check of unit ?1, time ?2 and sequence ?4, whose own body
 * is ?3. */
static const char texts_form[] =
    "WITH RECURSIVE before (unit, time, sequence) AS (VALUES (?1, ?2, ?4) UNION "
    "SELECT s.unit, s.time, s.sequence FROM main.superseded AS s JOIN before AS b "
    "ON s.new_unit = b.unit AND s.new_time = b.time AND s.new_sequence = b.sequence) "
    "SELECT t.number, t.salt, t.body FROM main.text AS t WHERE t.salt <> x'' AND t.number IN ("
    "SELECT c.%w FROM before AS b JOIN main.checks AS c ON c.unit = b.unit AND c.time = b.time "
    "AND c.sequence = b.sequence "
    "UNION ALL SELECT h.%w FROM main.held AS h WHERE h.unit = ?1 AND h.time = ?2 "
    "UNION ALL SELECT h.%w FROM before AS b JOIN main.held AS h ON h.unit = b.unit "
    "AND h.time = b.time JOIN main.text AS o ON o.number = h.%w WHERE o.body = ?3 "
    "UNION ALL SELECT c.%w FROM before AS b JOIN main.checks AS c ON c.unit = b.unit "
    "AND c.time = b.time JOIN main.text AS o ON o.number = c.%w WHERE o.body = ?3) "
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
  const char *key = r->field;
  char *sql = sqlite3_mprintf(texts_form, key, key, key, key, key, key);
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
                                 const char *why, bt_time now, bool only_count, int64_t *shared,
                                 bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  removal r = {
      .field = bt_text_field_key(field), .place = {.time = time, .sequence = sequence}, .why = why};
  *shared = 0;
  bt_status status = ledger_asked(by, "who removes this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is removed (--why)", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = redact_check(ledger, unit, field, &r, &entry, shared, error);
  if (status == BT_OK && !only_count)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    *shared = 0;
  if (status != BT_OK || only_count)
    ledger_rollback(ledger);
  release(&r);
  return status;
}

/* ---- Of an event ------------------------------------------------------------------------------
 */

/* One note that goes with the event ?4, whose own body is ?3. */
static const char notes_sql[] =
    "WITH RECURSIVE before (number) AS (VALUES (?4) UNION SELECT s.event "
    "FROM main.superseded_event AS s JOIN before AS b ON s.replacement = b.number) "
    "SELECT t.number, t.salt, t.body FROM main.text AS t WHERE t.salt <> x'' AND t.number IN ("
    "SELECT v.note FROM before AS b JOIN main.event AS v ON v.number = b.number "
    "UNION ALL SELECT v.note FROM before AS b JOIN main.event AS m ON m.number = b.number "
    "JOIN main.event AS v ON v.unit = m.unit AND v.time = m.time "
    "JOIN main.text AS o ON o.number = v.note WHERE o.body = ?3) ORDER BY t.number LIMIT 1";

/* BT_NOTFOUND where there is no event of that number. */
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
  if (status == BT_OK) {
    const char *body = (const char *)sqlite3_column_text(statement, 2);
    r->place.unit = sqlite3_column_int64(statement, 0);
    r->place.time = sqlite3_column_int64(statement, 1);
    r->body = bt_copy(body);
    if (body != NULL && r->body == NULL)
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_redact_event(bt_ledger *ledger, int64_t number, const char *by, const char *why,
                                 bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  removal r = {.field = "note", .event = number, .why = why};
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
  if (status == BT_OK && removed == 0)
    status = bt_fail(error, BT_NOTFOUND,
                     "event %lld has no note, or it was removed before; there is nothing to remove",
                     (long long)number);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    ledger_rollback(ledger);
  release(&r);
  return status;
}
