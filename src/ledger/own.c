/* Readings of the clinic's own characteristics: a narrow table beside each wide one.
 *
 * Most ledgers have none, and then nothing is asked for a check. Where there are any, a second
 * cursor in the order of the checks moves along with theirs. */
#include "ledger_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"

#include <stdlib.h>
#include <string.h>

/* ---- Keys ------------------------------------------------------------------------------------ */

bt_status ledger_own_keys_read(bt_ledger *ledger, ledger_own_keys *keys, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status =
      ledger_prepare(ledger, "SELECT number, key FROM main.own_key", &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    char *key = bt_copy((const char *)sqlite3_column_text(statement, 1));
    if (key == NULL || !bt_grow(&keys->list, &keys->capacity, keys->n + 1, sizeof *keys->list)) {
      free(key);
      status = bt_fail_memory(error);
    } else {
      keys->list[keys->n++] =
          (ledger_own_key){.number = sqlite3_column_int64(statement, 0), .key = key};
    }
  }
  (void)sqlite3_finalize(statement);
  return status;
}

void ledger_own_keys_free(ledger_own_keys *keys) {
  for (size_t i = 0; i < keys->n; i++)
    free(keys->list[i].key);
  free(keys->list);
  *keys = (ledger_own_keys){0};
}

static int64_t number_of(const ledger_own_keys *keys, const char *key) {
  for (size_t i = 0; i < keys->n; i++)
    if (strcmp(keys->list[i].key, key) == 0)
      return keys->list[i].number;
  return 0;
}

static const char *key_of(const ledger_own_keys *keys, int64_t number) {
  for (size_t i = 0; i < keys->n; i++)
    if (keys->list[i].number == number)
      return keys->list[i].key;
  return NULL;
}

/* The number of a key, which is entered where it is new. */
static bt_status number_key(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                            int64_t entry, int64_t *number, bt_error *error) {
  *number = number_of(keys, key);
  if (*number != 0)
    return BT_OK;
  char *copy = bt_copy(key);
  if (copy == NULL || !bt_grow(&keys->list, &keys->capacity, keys->n + 1, sizeof *keys->list)) {
    free(copy);
    return bt_fail_memory(error);
  }
  bt_status status = ledger_number(ledger, LEDGER_NEXT_NUMBER("own_key"), number, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.own_key (number, key, entry) VALUES (?1, ?2, ?3)", "iti",
                        *number, key, entry);
  if (status != BT_OK) {
    free(copy);
    return status;
  }
  keys->list[keys->n++] = (ledger_own_key){.number = *number, .key = copy};
  return BT_OK;
}

bt_status ledger_own_key_kept(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                              int64_t entry, const char **kept, bt_error *error) {
  int64_t number = 0;
  bt_status status = number_key(ledger, keys, key, entry, &number, error);
  *kept = status == BT_OK ? key_of(keys, number) : NULL;
  return status;
}

static int by_key(const void *a, const void *b) {
  return strcmp(((const bt_own_reading *)a)->key, ((const bt_own_reading *)b)->key);
}

void ledger_own_sort(bt_own_reading *list, size_t n) {
  if (n > 1)
    qsort(list, n, sizeof *list, by_key);
}

bt_own_reading *ledger_own_sorted(const bt_check *check) {
  bt_own_reading *own = bt_new(check->own_n, sizeof *own);
  if (own != NULL && check->own_n > 0)
    memcpy(own, check->own, check->own_n * sizeof *own);
  if (own != NULL)
    ledger_own_sort(own, check->own_n);
  return own;
}

/* ---- Reading along --------------------------------------------------------------------------- */

enum { O_UNIT, O_TIME, O_SEQUENCE, O_OWN, O_VALUE };

bt_status ledger_own_open(bt_ledger *ledger, const char *table, const char *where,
                          ledger_own_reader *reader, bt_error *error) {
  int64_t any = 0;
  *reader = (ledger_own_reader){.ledger = ledger};
  char *sql = sqlite3_mprintf("SELECT EXISTS (SELECT 1 FROM %s)", table);
  if (sql == NULL)
    return bt_fail_memory(error);
  bt_status status = ledger_number(ledger, sql, &any, error);
  sqlite3_free(sql);
  if (status != BT_OK || any == 0)
    return status;
  sql = sqlite3_mprintf("SELECT unit, time, sequence, own, value FROM %s %s "
                        "ORDER BY unit, time, sequence",
                        table, where);
  if (sql == NULL)
    return bt_fail_memory(error);
  status = ledger_prepare(ledger, sql, &reader->rows, error);
  sqlite3_free(sql);
  if (status == BT_OK)
    status = ledger_own_keys_read(ledger, &reader->keys, error);
  return status;
}

void ledger_own_close(ledger_own_reader *reader) {
  (void)sqlite3_finalize(reader->rows);
  ledger_own_keys_free(&reader->keys);
  free(reader->list);
  *reader = (ledger_own_reader){0};
}

bt_status ledger_own_seek(ledger_own_reader *reader, int64_t unit, bt_time time, bt_error *error) {
  if (reader->rows == NULL)
    return BT_OK;
  (void)sqlite3_reset(reader->rows);
  bt_status status = BT_OK;
  if (sqlite3_bind_parameter_count(reader->rows) > 0)
    status = ledger_bind(reader->ledger, error, reader->rows, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_step(reader->ledger, reader->rows, &reader->there, error);
  return status;
}

/* Whether the row on which the reader stands is before (-1), of (0) or after (1) that check. */
static int place_of(const ledger_own_reader *reader, const ledger_row *row) {
  const int64_t sought[] = {row->unit, row->check.time, row->check.sequence};
  for (int c = O_UNIT; c <= O_SEQUENCE; c++) {
    int64_t found = sqlite3_column_int64(reader->rows, c);
    if (found != sought[c])
      return found < sought[c] ? -1 : 1;
  }
  return 0;
}

/* Puts the reading among the n before it, in order of key. */
static bt_status put_reading(ledger_own_reader *reader, size_t n, bt_error *error) {
  const char *key = key_of(&reader->keys, sqlite3_column_int64(reader->rows, O_OWN));
  if (key == NULL)
    return bt_fail(error, BT_DAMAGED,
                   "%s: a reading is of a characteristic that is gone; use a backup of the ledger",
                   reader->ledger->path);
  if (!bt_grow(&reader->list, &reader->capacity, n + 1, sizeof *reader->list))
    return bt_fail_memory(error);
  size_t at = n;
  for (; at > 0 && strcmp(reader->list[at - 1].key, key) > 0; at--)
    reader->list[at] = reader->list[at - 1];
  reader->list[at] =
      (bt_own_reading){.key = key, .value = sqlite3_column_double(reader->rows, O_VALUE)};
  return BT_OK;
}

bt_status ledger_own_take(ledger_own_reader *reader, ledger_row *row, bt_error *error) {
  bt_status status = BT_OK;
  size_t n = 0;
  while (status == BT_OK && reader->there) {
    int place = place_of(reader, row);
    if (place > 0)
      break;
    if (place == 0)
      status = put_reading(reader, n++, error);
    if (status == BT_OK)
      status = ledger_step(reader->ledger, reader->rows, &reader->there, error);
  }
  row->check.own = n == 0 ? NULL : reader->list;
  row->check.own_n = status == BT_OK ? n : 0;
  return status;
}

/* ---- Writing --------------------------------------------------------------------------------- */

bt_status ledger_own_put(bt_ledger *ledger, sqlite3_stmt *insert, const ledger_row *row,
                         ledger_own_keys *keys, int64_t entry, bt_error *error) {
  const bt_check *check = &row->check;
  bt_status status = BT_OK;
  for (size_t i = 0; i < check->own_n && status == BT_OK; i++) {
    int64_t number = 0;
    bool more = false;
    status = number_key(ledger, keys, check->own[i].key, entry, &number, error);
    if (status == BT_OK)
      status = ledger_bind(ledger, error, insert, "iiiir", row->unit, check->time,
                           (int64_t)check->sequence, number, check->own[i].value);
    if (status == BT_OK)
      status = ledger_step(ledger, insert, &more, error);
  }
  return status;
}
