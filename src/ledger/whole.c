/* Records held to their digests: whoever hands one out, or verifies it, computes here what its
 * columns, texts and readings of the clinic's own give, and compares it with the digest beside it.
 */
#include "digest_private.h"
#include "ledger_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "text_private.h"
#include "valid_private.h"
#include "whole_private.h"

#include <string.h>

/* ---- Texts ----------------------------------------------------------------------------------- */

static const char text_sql[] = "SELECT t.salt, t.body, r.sha256 FROM main.text AS t LEFT JOIN "
                               "main.redaction AS r ON r.text = t.number WHERE t.number = ?1";

void ledger_text_reader_close(ledger_text_reader *reader) {
  (void)sqlite3_finalize(reader->statement);
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    bt_text_free(&reader->last[f].body);
  *reader = (ledger_text_reader){.ledger = reader->ledger};
}

/* A text that was removed stands for its digest, and nothing of it may be left. */
static bool read_removed(sqlite3_stmt *row, ledger_text *text) {
  if (sqlite3_column_bytes(row, 0) != 0 || sqlite3_column_bytes(row, 1) != 0 ||
      sqlite3_column_bytes(row, 2) != BT_SHA256_BYTES)
    return false;
  memcpy(text->sha256, sqlite3_column_blob(row, 2), BT_SHA256_BYTES);
  return true;
}

static bool read_kept(sqlite3_stmt *row, ledger_text *text, bt_text *copy) {
  const char *body = (const char *)sqlite3_column_text(row, 1);
  if (body == NULL || sqlite3_column_bytes(row, 0) != LEDGER_SALT_BYTES ||
      !bt_utf8_valid(body, (size_t)sqlite3_column_bytes(row, 1)))
    return false;
  ledger_text_sha256(sqlite3_column_blob(row, 0), body, text->sha256);
  bt_text_add(copy, body);
  return true;
}

/* False in *whole when there is no such text, or its row can't be one of ours. */
static bt_status read_text(ledger_text_reader *reader, int64_t number, ledger_last_text *into,
                           bool *whole, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  bool row = false;
  bt_status status = BT_OK;
  bt_text_clear(&into->body);
  if (reader->statement == NULL)
    status = ledger_prepare(ledger, text_sql, &reader->statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, reader->statement, "i", number);
  if (status == BT_OK)
    status = ledger_step(ledger, reader->statement, &row, error);
  if (status != BT_OK)
    return status;
  into->removed = row && sqlite3_column_type(reader->statement, 2) != SQLITE_NULL;
  *whole = row && number > 0 && (reader->named == NULL || number <= reader->texts) &&
           (into->removed ? read_removed(reader->statement, &into->text)
                          : read_kept(reader->statement, &into->text, &into->body));
  into->text.number = *whole ? number : 0;
  if (*whole && reader->named != NULL)
    reader->named[number / 8] = (uint8_t)(reader->named[number / 8] | 1U << number % 8);
  (void)sqlite3_reset(reader->statement);
  return bt_text_ok(&into->body) ? BT_OK : bt_fail_memory(error);
}

/* Texts of the row on which the statement stands; *whole is left alone where they are. */
static bt_status read_texts(ledger_text_reader *reader, sqlite3_stmt *statement, ledger_row *row,
                            bool *whole, bt_error *error) {
  for (int f = 0; f < BT_FIELD_COUNT && *whole; f++) {
    ledger_last_text *last = &reader->last[f];
    if (sqlite3_column_type(statement, LEDGER_TEXT + f) == SQLITE_NULL)
      continue;
    int64_t number = sqlite3_column_int64(statement, LEDGER_TEXT + f);
    if (last->text.number != number || number == 0) {
      bt_status status = read_text(reader, number, last, whole, error);
      if (status != BT_OK)
        return status;
    }
    row->text[f] = last->text;
    row->check.text[f] = last->removed ? NULL : bt_text_get(&last->body);
  }
  return BT_OK;
}

/* ---- Records --------------------------------------------------------------------------------- */

/* True when that digest stands in the column. */
static bool same_digest(sqlite3_stmt *row, int column, const unsigned char *digest) {
  return sqlite3_column_bytes(row, column) == LEDGER_DIGEST_BYTES &&
         memcmp(sqlite3_column_blob(row, column), digest, LEDGER_DIGEST_BYTES) == 0;
}

/* What a digest does not see because the reader folds it (a has_clock of 2 is true as well) must be
 * the value that we write. */
static bool columns_plain(sqlite3_stmt *statement, const bt_check *check) {
  return sqlite3_column_int64(statement, LEDGER_HAS_CLOCK) == check->has_clock &&
         sqlite3_column_int64(statement, LEDGER_SEQUENCE) == check->sequence &&
         sqlite3_column_int64(statement, LEDGER_STATE) == (int64_t)check->state &&
         sqlite3_column_int64(statement, LEDGER_REFILL) == (int64_t)check->refill;
}

bt_status ledger_whole_check(ledger_text_reader *reader, ledger_own_reader *own,
                             sqlite3_stmt *statement, char tag, ledger_row *row, bool *whole,
                             bt_error *error) {
  unsigned char digest[LEDGER_DIGEST_BYTES];
  ledger_row_read_numbers(statement, row);
  *whole = true;
  bt_status status = read_texts(reader, statement, row, whole, error);
  if (status == BT_OK && *whole)
    status = ledger_own_take(own, row, error);
  if (status != BT_OK || !*whole)
    return status;
  ledger_check_digest(tag, row, digest);
  *whole = columns_plain(statement, &row->check) && same_digest(statement, LEDGER_DIGEST, digest);
  return BT_OK;
}

bt_status ledger_whole_event(ledger_text_reader *reader, sqlite3_stmt *row, bool *whole,
                             bt_error *error) {
  bt_event event = {.unit = "-", /* its name is the chain's */
                    .line = sqlite3_column_int64(row, LEDGER_E_LINE),
                    .last_line = sqlite3_column_int64(row, LEDGER_E_LAST_LINE),
                    .time = sqlite3_column_int64(row, LEDGER_E_TIME),
                    .has_clock = sqlite3_column_int(row, LEDGER_E_HAS_CLOCK) != 0};
  ledger_last_text *note = &reader->last[0]; /* fields of checks have no part in events */
  unsigned char digest[LEDGER_DIGEST_BYTES];
  const char *kind = (const char *)sqlite3_column_text(row, LEDGER_E_KIND);
  bt_status status = BT_OK;
  bt_text_clear(&note->body);
  note->text = (ledger_text){0};
  /* The key as we write it, not one that is only read as the same. */
  *whole = kind != NULL && bt_event_kind_of(kind, &event.kind) &&
           strlen(bt_event_key(event.kind)) == (size_t)sqlite3_column_bytes(row, LEDGER_E_KIND) &&
           strcmp(bt_event_key(event.kind), kind) == 0;
  if (*whole && sqlite3_column_type(row, LEDGER_E_NOTE) != SQLITE_NULL)
    status = read_text(reader, sqlite3_column_int64(row, LEDGER_E_NOTE), note, whole, error);
  if (status != BT_OK || !*whole)
    return status;
  ledger_event_digest(&event, sqlite3_column_int64(row, LEDGER_E_UNIT),
                      sqlite3_column_int64(row, LEDGER_E_SOURCE), &note->text, digest);
  *whole = sqlite3_column_int64(row, LEDGER_E_HAS_CLOCK) == event.has_clock &&
           ledger_event_valid(&event, NULL) == BT_OK && same_digest(row, LEDGER_E_DIGEST, digest);
  return BT_OK;
}

/* ---- Where a record that differs stands ------------------------------------------------------ */

enum { NAME_MOST = 80 };

/* Bytes of a name that a sentence has room for, no character cut in two. */
static int shown(const char *name) {
  size_t length = strlen(name);
  if (length <= NAME_MOST)
    return (int)length;
  length = NAME_MOST;
  while (length > 0 && ((unsigned char)name[length] & 0xC0) == 0x80)
    length--;
  return (int)length;
}

bt_status ledger_row_differs(bt_ledger *ledger, const ledger_row_place *place, bt_error *error) {
  sqlite3_stmt *names = NULL;
  bool row = false;
  char at[BT_TIME_TEXT] = "an impossible time";
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT (SELECT name FROM main.unit WHERE number = ?1), "
                     "coalesce((SELECT name FROM main.source WHERE number = ?2), 'typed in')",
                     &names, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, names, "ii", place->unit, place->source);
  if (status == BT_OK)
    status = ledger_step(ledger, names, &row, error);
  if (status == BT_OK && ledger_time_valid(place->time))
    (void)bt_time_iso(place->time, place->has_clock, at);
  if (status == BT_OK) {
    const char *unit = (const char *)sqlite3_column_text(names, 0);
    const char *source = (const char *)sqlite3_column_text(names, 1);
    unit = unit == NULL ? "" : unit;
    source = source == NULL ? "" : source;
    status = bt_fail(error, BT_DAMAGED,
                     "%s: %s of \"%.*s\" at %s (%.*s, line %lld) is not as it was written; use a "
                     "backup of the ledger from before",
                     ledger->path, place->what, shown(unit), unit, at, shown(source), source,
                     (long long)place->line);
  }
  (void)sqlite3_finalize(names);
  return status;
}

ledger_row_place ledger_check_place(sqlite3_stmt *statement, char tag) {
  return (ledger_row_place){.what = tag == 'c' ? "the check" : "the row held back",
                            .unit = sqlite3_column_int64(statement, LEDGER_UNIT),
                            .source = sqlite3_column_int64(statement, LEDGER_SOURCE),
                            .line = sqlite3_column_int64(statement, LEDGER_LINE),
                            .time = sqlite3_column_int64(statement, LEDGER_TIME),
                            .has_clock = sqlite3_column_int(statement, LEDGER_HAS_CLOCK) != 0};
}

void ledger_say_not_whole(bt_error *error) {
  bt_error_prefix(error, "the ledger is not whole, so nothing is made of it (`beamtally verify` "
                         "looks at all of it)");
}
