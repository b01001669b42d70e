/* Removing a text for good.
 *
 * Salt and body go; SHA-256 of both stays in `redaction`, so that the digests which cover it stay
 * true, and nobody can try out bodies against it without the salt. The text goes from the whole
 * ledger: redact_reach.c says which records that may be. SQLite overwrites what it frees
 * (secure_delete). A reason that repeats the text is refused (redact_reason.c). */
#include "entry_private.h"
#include "event_private.h"
#include "ledger_private.h"
#include "redact_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "text_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <stdlib.h>

/* Stores what the digests go on needing, then blanks the text on which `row` stands. */
static bt_status remove_text(bt_ledger *ledger, const ledger_removal *r, sqlite3_stmt *row,
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

/* One at a time: the table is not changed while it is read. */
static bt_status remove_all(bt_ledger *ledger, const ledger_removal *r, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  int64_t last = 0;
  bool row = true;
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT t.number, t.salt, t.body FROM temp.gone_text AS g JOIN main.text AS t "
                     "ON t.number = g.number WHERE g.number > ?1 ORDER BY g.number LIMIT 1",
                     &statement, error);
  while (status == BT_OK && row) {
    status = ledger_bind(ledger, error, statement, "i", last);
    if (status == BT_OK)
      status = ledger_step(ledger, statement, &row, error);
    if (status == BT_OK && row) {
      last = sqlite3_column_int64(statement, 0);
      status = remove_text(ledger, r, statement, error);
    }
    (void)sqlite3_reset(statement);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* All within the transaction, once it is known what the named record says. */
static bt_status remove_it(bt_ledger *ledger, ledger_removal *r, ledger_entry *entry,
                           bool everywhere, int64_t *texts, bt_text_holders *further,
                           bt_error *error) {
  bt_status status = ledger_entry_next(ledger, &entry->number, error);
  r->entry = entry->number;
  if (status == BT_OK)
    status = ledger_reach(ledger, r, everywhere, texts, further, error);
  if (status == BT_OK)
    status = remove_all(ledger, r, error);
  if (status == BT_OK)
    status = ledger_reach_end(ledger, error);
  if (status == BT_OK && *texts > 0)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  return status;
}

/* Ends the transaction, for good only where that was asked for. */
static bt_status end(bt_ledger *ledger, ledger_removal *r, bool only_count,
                     bt_text_holders *further, bt_status status, bt_error *error) {
  if (only_count)
    ledger_rollback(ledger);
  else
    status = ledger_end(ledger, status, error);
  if (status != BT_OK)
    *further = (bt_text_holders){0};
  free(r->body);
  return status;
}

static bt_status begin(bt_ledger *ledger, const char *by, const char *why, bt_error *error) {
  bt_status status = ledger_asked(by, "who removes this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is removed (--why)", error);
  return status == BT_OK ? ledger_begin(ledger, error) : status;
}

/* ---- Of a check ------------------------------------------------------------------------------ */

/* The check may be one that no longer stands: its texts are in the file as well. */
static bt_status find_check(bt_ledger *ledger, const char *unit, bt_text_field field,
                            ledger_removal *r, bt_error *error) {
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

bt_status bt_ledger_redact_check(bt_ledger *ledger, const char *unit, bt_time time,
                                 int32_t sequence, bt_text_field field, const char *by,
                                 const char *why, bt_time now, bt_removal how,
                                 bt_text_holders *further, bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  ledger_removal r = {
      .field = bt_text_field_key(field), .place = {.time = time, .sequence = sequence}, .why = why};
  char at[BT_TIME_TEXT];
  int64_t texts = 0;
  *further = (bt_text_holders){0};
  bt_status status = begin(ledger, by, why, error);
  if (status != BT_OK)
    return status;
  status = find_check(ledger, unit, field, &r, error);
  if (status == BT_OK)
    status = remove_it(ledger, &r, &entry, how.everywhere, &texts, further, error);
  if (status == BT_OK && texts == 0)
    status = bt_fail(error, BT_NOTFOUND,
                     "the check of \"%s\" at %s#%d has no %s, or it was removed before; there is "
                     "nothing to remove",
                     unit, bt_time_iso(time, time % BT_DAY != 0, at), (int)sequence, r.field);
  return end(ledger, &r, how.only_count, further, status, error);
}

/* ---- Of an event ----------------------------------------------------------------------------- */

/* BT_NOTFOUND where there is no event of that number. */
static bt_status find_note(bt_ledger *ledger, ledger_removal *r, bt_error *error) {
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
                                 bt_time now, bt_removal how, bt_text_holders *further,
                                 bt_error *error) {
  ledger_entry entry = {.kind = "redaction", .at = now, .by = by, .why = why};
  ledger_removal r = {.field = "note", .event = number, .why = why};
  int64_t texts = 0;
  *further = (bt_text_holders){0};
  bt_status status = begin(ledger, by, why, error);
  if (status != BT_OK)
    return status;
  status = find_note(ledger, &r, error);
  if (status == BT_OK)
    status = remove_it(ledger, &r, &entry, how.everywhere, &texts, further, error);
  if (status == BT_OK && texts == 0)
    status = bt_fail(error, BT_NOTFOUND,
                     "event %lld has no note, or it was removed before; there is nothing to remove",
                     (long long)number);
  return end(ledger, &r, how.only_count, further, status, error);
}
