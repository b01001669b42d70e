/* One unit's history, column by column, by one scan of its run of the primary key. */
#include "ledger_private.h"

#include <stdlib.h>
#include <string.h>

typedef struct history_reader {
  bt_history *history;
  size_t capacity; /* of every array, but for those of texts that no check has had yet */
  size_t events_capacity;
} history_reader;

/* Grows one array to `wanted` items; all arrays of a history have one length. */
static bool widen(void *array, size_t capacity, size_t wanted, size_t size) {
  return bt_grow(array, &capacity, wanted, size);
}

static bool make_room(history_reader *reader) {
  bt_history *h = reader->history;
  size_t old = reader->capacity;
  if (h->n < old)
    return true;
  size_t wanted = old < 256 ? 256 : old * 2;
  bool grown = widen(&h->at, old, wanted, sizeof *h->at) &&
               widen(&h->sequence, old, wanted, sizeof *h->sequence) &&
               widen(&h->source, old, wanted, sizeof *h->source) &&
               widen(&h->line, old, wanted, sizeof *h->line) &&
               widen(&h->present, old, wanted, sizeof *h->present) &&
               widen(&h->state, old, wanted, sizeof *h->state) &&
               widen(&h->refill, old, wanted, sizeof *h->refill) &&
               widen(&h->has_clock, old, wanted, sizeof *h->has_clock);
  for (size_t r = 0; r < BT_READING_COUNT && grown; r++)
    grown = widen(&h->reading[r], old, wanted, sizeof *h->reading[r]);
  for (size_t f = 0; f < BT_FIELD_COUNT && grown; f++)
    if (h->text[f] != NULL)
      grown = widen(&h->text[f], old, wanted, sizeof *h->text[f]);
  if (grown)
    reader->capacity = wanted;
  return grown;
}

/* A field that no check has keeps its NULL array. */
static bool put_text(history_reader *reader, size_t field, const char *body) {
  bt_history *h = reader->history;
  if (h->text[field] == NULL) {
    h->text[field] = bt_new(reader->capacity, sizeof *h->text[field]);
    if (h->text[field] == NULL)
      return false;
  }
  h->text[field][h->n] = bt_copy(body);
  return h->text[field][h->n] != NULL;
}

static bool put_check(history_reader *reader, const ledger_row *row) {
  const bt_check *check = &row->check;
  bt_history *h = reader->history;
  if (!make_room(reader))
    return false;
  h->at[h->n] = check->time;
  h->sequence[h->n] = check->sequence;
  h->source[h->n] = row->source;
  h->line[h->n] = check->line;
  h->present[h->n] = check->present;
  h->state[h->n] = (uint8_t)check->state;
  h->refill[h->n] = (uint8_t)check->refill;
  h->has_clock[h->n] = check->has_clock;
  for (size_t r = 0; r < BT_READING_COUNT; r++)
    h->reading[r][h->n] = check->reading[r];
  bool taken = true;
  for (size_t f = 0; f < BT_FIELD_COUNT && taken; f++)
    if (check->text[f] != NULL)
      taken = put_text(reader, f, check->text[f]);
  h->n++; /* counted even when a text failed, so that the others are freed */
  return taken;
}

static bt_status read_checks(bt_ledger *ledger, int64_t unit, bt_time until, history_reader *reader,
                             bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = true;
  bt_status status = ledger_prepare(ledger,
                                    "SELECT " LEDGER_CHECK_BODIES " FROM main.checks AS c "
                                    "WHERE unit = ?1 AND time < ?2 ORDER BY time, sequence",
                                    &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", unit, until);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status != BT_OK || !row)
      break;
    ledger_row read;
    ledger_row_read(statement, &read);
    if (!put_check(reader, &read))
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status put_event(bt_ledger *ledger, sqlite3_stmt *statement, history_reader *reader,
                           bt_error *error) {
  bt_history *h = reader->history;
  bt_event event = {.time = sqlite3_column_int64(statement, 0),
                    .has_clock = sqlite3_column_int(statement, 1) != 0,
                    .line = sqlite3_column_int64(statement, 4),
                    .last_line = sqlite3_column_int64(statement, 5)};
  const char *kind = (const char *)sqlite3_column_text(statement, 2);
  const char *note = (const char *)sqlite3_column_text(statement, 3);
  if (kind == NULL || !bt_event_kind_of(kind, &event.kind))
    return bt_fail(error, BT_DAMAGED, "%s: an event of %s is of no known kind; use a backup",
                   ledger->path, h->unit);
  if (!bt_grow(&h->events, &reader->events_capacity, h->events_n + 1, sizeof *h->events))
    return bt_fail_memory(error);
  event.unit = bt_copy(h->unit);
  event.note = bt_copy(note);
  h->events[h->events_n++] = event;
  if (event.unit == NULL || (note != NULL && event.note == NULL))
    return bt_fail_memory(error);
  return BT_OK;
}

static bt_status read_events(bt_ledger *ledger, int64_t unit, bt_time until, history_reader *reader,
                             bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = true;
  bt_status status = ledger_prepare(
      ledger,
      "SELECT time, has_clock, kind, (SELECT body FROM main.text WHERE number = note), line, "
      "last_line FROM main.event WHERE unit = ?1 AND time < ?2 ORDER BY time, number",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", unit, until);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status == BT_OK && row)
      status = put_event(ledger, statement, reader, error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_history(bt_ledger *ledger, const char *unit, bt_time until, bt_history *history,
                            bt_error *error) {
  history_reader reader = {.history = history};
  int64_t number = 0;
  *history = (bt_history){0};
  bt_status status = bt_ledger_find_unit(ledger, unit, &history->unit, error);
  if (status == BT_OK)
    status = ledger_unit_number(ledger, unit, &number, error);
  if (status == BT_OK && !make_room(&reader))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = read_checks(ledger, number, until, &reader, error);
  if (status == BT_OK)
    status = read_events(ledger, number, until, &reader, error);
  if (status != BT_OK)
    bt_history_free(history);
  return status;
}
