/* Puts single checks into the ledger beside those that stand, and says of a check what took its
 * place. */
#include "digest_private.h"
#include "ledger_private.h"
#include "own_private.h"
#include "placing_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "text_private.h"

#include <stdlib.h>
#include <string.h>

/* Digest of a text that is stored, so that a second record can refer to it. */
static bt_status stored_text(bt_ledger *ledger, int64_t number, ledger_text *text,
                             bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, "SELECT salt, body FROM main.text WHERE number = ?1",
                                    &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", number);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && (!row || sqlite3_column_bytes(statement, 0) != LEDGER_SALT_BYTES))
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost a text; use a backup of it",
                     ledger->path);
  if (status == BT_OK) {
    text->number = number;
    ledger_text_sha256(sqlite3_column_blob(statement, 0),
                       (const char *)sqlite3_column_text(statement, 1), text->sha256);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bool same_text(const char *a, const char *b) {
  return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

bt_status ledger_share_text(bt_ledger *ledger, const char *body, const char *old, int64_t number,
                            ledger_text *text, bt_error *error) {
  sqlite3_stmt *insert = NULL;
  *text = (ledger_text){0};
  if (body == NULL)
    return BT_OK;
  if (same_text(body, old))
    return stored_text(ledger, number, text, error);
  bt_status status = ledger_prepare(ledger, LEDGER_TEXT_INSERT, &insert, error);
  if (status == BT_OK)
    status = ledger_text_add(ledger, insert, body, text, error);
  (void)sqlite3_finalize(insert);
  return status;
}

static bt_status next_sequence(bt_ledger *ledger, int64_t unit, bt_time time, int32_t *sequence,
                               bt_error *error) {
  int64_t next = 0;
  bt_status status = ledger_number_of(ledger, error,
                                      "SELECT coalesce(max(sequence), -1) + 1 FROM main.checks "
                                      "WHERE unit = ?1 AND time = ?2",
                                      &next, "ii", unit, time);
  if (status == BT_OK && next > INT32_MAX)
    status = bt_fail(error, BT_INPUT, "the ledger has no room for another check of that time");
  *sequence = (int32_t)next;
  return status;
}

static bt_status put_own(bt_ledger *ledger, const ledger_row *row, int64_t entry, bt_error *error) {
  ledger_own_keys keys = {.n = 0};
  sqlite3_stmt *insert = NULL;
  if (row->check.own_n == 0)
    return BT_OK;
  bt_status status = ledger_own_keys_read(ledger, &keys, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, LEDGER_OWN_INSERT("main.own_reading"), &insert, error);
  if (status == BT_OK)
    status = ledger_own_put(ledger, insert, row, &keys, entry, error);
  (void)sqlite3_finalize(insert);
  ledger_own_keys_free(&keys);
  return status;
}

static bt_status put_row(bt_ledger *ledger, const ledger_row *row, bt_error *error) {
  sqlite3_stmt *insert = NULL;
  unsigned char digest[LEDGER_DIGEST_BYTES];
  bool more = false;
  bt_status status = ledger_prepare(ledger, LEDGER_CHECK_INSERT("main.checks"), &insert, error);
  if (status != BT_OK)
    return status;
  ledger_check_digest('c', row, digest);
  bool bound = ledger_row_bind(insert, row);
  for (int f = 0; f < BT_FIELD_COUNT; f++) {
    int at = LEDGER_TEXT + f + 1;
    int code = row->text[f].number == 0 ? sqlite3_bind_null(insert, at)
                                        : sqlite3_bind_int64(insert, at, row->text[f].number);
    bound = code == SQLITE_OK && bound;
  }
  bound = sqlite3_bind_blob(insert, LEDGER_DIGEST + 1, digest, sizeof digest, SQLITE_STATIC) ==
              SQLITE_OK &&
          bound;
  status = bound ? ledger_step(ledger, insert, &more, error)
                 : ledger_fault(ledger, "writing to the ledger", error);
  (void)sqlite3_finalize(insert);
  return status;
}

bt_status ledger_place_check(bt_ledger *ledger, const bt_check *check, int64_t entry,
                             const ledger_stored *like, int64_t source, ledger_place *place,
                             bt_error *error) {
  ledger_row row = {.check = *check, .unit = place->unit, .source = source};
  bt_own_reading *own = ledger_own_sorted(check);
  if (own == NULL)
    return bt_fail_memory(error);
  row.check.own = own;
  bt_status status = next_sequence(ledger, row.unit, check->time, &row.check.sequence, error);
  for (size_t f = 0; f < BT_FIELD_COUNT && status == BT_OK; f++)
    status = ledger_share_text(ledger, check->text[f], like == NULL ? NULL : like->check.text[f],
                               like == NULL ? 0 : like->text[f], &row.text[f], error);
  if (status == BT_OK)
    status = put_row(ledger, &row, error);
  if (status == BT_OK)
    status = put_own(ledger, &row, entry, error);
  free(own);
  place->time = check->time;
  place->sequence = row.check.sequence;
  return status;
}

bt_status ledger_place_source(bt_ledger *ledger, int64_t entry, int64_t *number, bt_error *error) {
  unsigned char none[BT_SHA256_BYTES] = {0};
  bt_status status = ledger_number(ledger, LEDGER_NEXT_NUMBER("source"), number, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.source (number, entry, name, kind, sha256, bytes, "
                        "reading) VALUES (?1, ?2, 'typed in', 'typed', ?3, 0, '')",
                        "iib", *number, entry, none, sizeof none);
  return status;
}

bt_status ledger_supersede(bt_ledger *ledger, const ledger_place *old, int64_t entry,
                           const char *kind, const ledger_place *place, bt_error *error) {
  if (place == NULL)
    return ledger_put(ledger, error,
                      "INSERT INTO main.superseded (unit, time, sequence, entry, kind, new_unit, "
                      "new_time, new_sequence) VALUES (?1, ?2, ?3, ?4, ?5, NULL, NULL, NULL)",
                      "iiiit", old->unit, old->time, (int64_t)old->sequence, entry, kind);
  return ledger_put(ledger, error,
                    "INSERT INTO main.superseded (unit, time, sequence, entry, kind, new_unit, "
                    "new_time, new_sequence) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                    "iiiitiii", old->unit, old->time, (int64_t)old->sequence, entry, kind,
                    place->unit, place->time, (int64_t)place->sequence);
}
