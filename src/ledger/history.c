/* One unit's history, column by column, by one scan of its run of the primary key.
 *
 * What was superseded lies in the same order in a table of its own: a second cursor moves along,
 * and a third over readings of the clinic's own, so that no check costs a query.
 *
 * Every check of the unit is held to its digest, those too that are not handed out: one whose time
 * was altered may be any of them. So are the checks on both sides of the run: one whose unit was
 * altered by damage still lies beside it, and is named. That none was taken out or went elsewhere
 * is held by the chain and by counting (hold.c). */
#include "ledger_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "unit_private.h"
#include "whole_private.h"

#include <stdlib.h>
#include <string.h>

typedef struct history_reader {
  bt_history *history;
  size_t capacity; /* of every array, but for those of texts that no check has had yet */
  size_t events_capacity, own_capacity;
  ledger_own_reader own;
  ledger_text_reader texts;
  sqlite3_stmt *superseded;
  bool there;     /* it stands on a row that no check has met yet */
  int64_t *typed; /* sources without a file, in order */
  size_t typed_n, typed_capacity;
  int64_t brought; /* checks that logs brought, those too that are not handed out */
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
  for (size_t i = 0; i < h->own_n && grown; i++)
    grown = widen(&h->own_value[i], old, wanted, sizeof *h->own_value[i]) &&
            widen(&h->own_present[i], old, wanted, sizeof *h->own_present[i]);
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

/* Makes room for one more characteristic of the clinic's own, in order of key, at `at`. */
static bool add_own(history_reader *reader, const char *key, size_t at) {
  bt_history *h = reader->history;
  char *copy = bt_copy(key);
  double *value = bt_new(reader->capacity, sizeof *value);
  uint8_t *present = bt_new(reader->capacity, sizeof *present);
  size_t capacity = reader->own_capacity;
  bool made = copy != NULL && value != NULL && present != NULL &&
              widen(&h->own_key, capacity, h->own_n + 1, sizeof *h->own_key) &&
              widen(&h->own_value, capacity, h->own_n + 1, sizeof *h->own_value) &&
              bt_grow(&h->own_present, &reader->own_capacity, h->own_n + 1, sizeof *h->own_present);
  if (!made) {
    free(copy);
    free(value);
    free(present);
    return false;
  }
  for (size_t i = h->own_n++; i > at; i--) {
    h->own_key[i] = h->own_key[i - 1];
    h->own_value[i] = h->own_value[i - 1];
    h->own_present[i] = h->own_present[i - 1];
  }
  h->own_key[at] = copy;
  h->own_value[at] = value;
  h->own_present[at] = present;
  return true;
}

static bool put_own(history_reader *reader, const bt_check *check) {
  bt_history *h = reader->history;
  size_t at = 0;
  for (size_t i = 0; i < check->own_n; i++) { /* both are in order of key */
    int order = 1;
    while (at < h->own_n && (order = strcmp(h->own_key[at], check->own[i].key)) < 0)
      at++;
    if ((at == h->own_n || order != 0) && !add_own(reader, check->own[i].key, at))
      return false;
    h->own_value[at][h->n] = check->own[i].value;
    h->own_present[at][h->n] = 1;
  }
  return true;
}

static int by_number(const void *a, const void *b) {
  int64_t one = *(const int64_t *)a, other = *(const int64_t *)b;
  return (one > other) - (one < other);
}

/* A check that was typed in has no file. */
static int64_t source_of(const history_reader *reader, int64_t source) {
  bool typed = reader->typed_n > 0 &&
               bsearch(&source, reader->typed, reader->typed_n, sizeof source, by_number) != NULL;
  return typed ? 0 : source;
}

static bool put_check(history_reader *reader, const ledger_row *row) {
  const bt_check *check = &row->check;
  bt_history *h = reader->history;
  if (!make_room(reader))
    return false;
  h->at[h->n] = check->time;
  h->sequence[h->n] = check->sequence;
  h->source[h->n] = source_of(reader, row->source);
  h->line[h->n] = check->line;
  h->present[h->n] = check->present;
  h->state[h->n] = (uint8_t)check->state;
  h->refill[h->n] = (uint8_t)check->refill;
  h->has_clock[h->n] = check->has_clock;
  for (size_t r = 0; r < BT_READING_COUNT; r++)
    h->reading[r][h->n] = check->reading[r];
  bool taken = put_own(reader, check);
  for (size_t f = 0; f < BT_FIELD_COUNT && taken; f++)
    if (check->text[f] != NULL)
      taken = put_text(reader, f, check->text[f]);
  h->n++; /* counted even when a text failed, so that the others are freed */
  return taken;
}

static bt_status read_typed(bt_ledger *ledger, history_reader *reader, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status =
      ledger_prepare(ledger, "SELECT number FROM main.source WHERE kind = 'typed' ORDER BY number",
                     &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    if (bt_grow(&reader->typed, &reader->typed_capacity, reader->typed_n + 1,
                sizeof *reader->typed))
      reader->typed[reader->typed_n++] = sqlite3_column_int64(statement, 0);
    else
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* Whether the check was superseded; the cursor moves on where it was. */
static bt_status was_superseded(bt_ledger *ledger, history_reader *reader, const ledger_row *row,
                                bool *superseded, bt_error *error) {
  *superseded = reader->there && sqlite3_column_int64(reader->superseded, 0) == row->check.time &&
                sqlite3_column_int64(reader->superseded, 1) == row->check.sequence;
  if (!*superseded)
    return BT_OK;
  reader->history->superseded += sqlite3_column_int(reader->superseded, 2) != 0;
  return ledger_step(ledger, reader->superseded, &reader->there, error);
}

/* After the check: whether a log brought it, and whether readers see it. Every check came with a
 * source of its own entry: what took another's place as well. */
enum { H_BROUGHT = LEDGER_DIGEST + 1, H_SEEN };

#define BROUGHT "source IN (SELECT source FROM main.source_unit WHERE unit = ?1)"

static const char all_checks[] = "SELECT " LEDGER_CHECK_COLUMNS ", " BROUGHT ", 1 FROM main.checks "
                                 "WHERE unit = ?1 ORDER BY time, sequence";
static const char checks_as_of[] = "SELECT " LEDGER_CHECK_COLUMNS ", " BROUGHT
                                   ", source IN (SELECT number FROM main.source WHERE entry <= ?2) "
                                   "FROM main.checks WHERE unit = ?1 ORDER BY time, sequence";

static const char check_before[] =
    "SELECT " LEDGER_CHECK_COLUMNS " FROM main.checks WHERE unit < ?1 "
    "ORDER BY unit DESC, time DESC, sequence DESC LIMIT 1";
static const char check_after[] =
    "SELECT " LEDGER_CHECK_COLUMNS " FROM main.checks WHERE unit > ?1 "
    "ORDER BY unit, time, sequence LIMIT 1";

static bt_status open_cursors(bt_ledger *ledger, int64_t unit, bt_time until,
                              history_reader *reader, sqlite3_stmt **checks, bt_error *error) {
  bt_status status = read_typed(ledger, reader, error);
  if (status == BT_OK)
    status = ledger_own_open(ledger, "main.own_reading", "WHERE unit = ?1 AND time <= ?2",
                             &reader->own, error);
  if (status == BT_OK)
    status = ledger_own_seek(&reader->own, unit, INT64_MAX, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger,
                            "SELECT time, sequence, kind IN ('corrected', 'withdrawn') "
                            "FROM main.superseded WHERE unit = ?1 AND time < ?2 AND entry <= ?3 "
                            "ORDER BY time, sequence",
                            &reader->superseded, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, reader->superseded, "iii", unit, until,
                         ledger_last_seen(ledger));
  if (status == BT_OK)
    status = ledger_step(ledger, reader->superseded, &reader->there, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, ledger->as_of == 0 ? all_checks : checks_as_of, checks, error);
  if (status == BT_OK && ledger->as_of == 0)
    return ledger_bind(ledger, error, *checks, "i", unit);
  return status == BT_OK ? ledger_bind(ledger, error, *checks, "ii", unit, ledger->as_of) : status;
}

/* The check on which the statement stands, which must be as it was written. */
static bt_status read_whole(bt_ledger *ledger, history_reader *reader, ledger_own_reader *own,
                            sqlite3_stmt *statement, ledger_row *read, bt_error *error) {
  bool whole = false;
  bt_status status = ledger_whole_check(&reader->texts, own, statement, 'c', read, &whole, error);
  if (status != BT_OK || whole)
    return status;
  ledger_row_place place = ledger_check_place(statement, 'c');
  status = ledger_row_differs(ledger, &place, error);
  ledger_say_not_whole(error);
  return status;
}

/* The neighbour of the unit's run that the statement gives, where there is one. */
static bt_status hold_neighbour(bt_ledger *ledger, const char *sql, int64_t unit,
                                history_reader *reader, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  ledger_own_reader own;
  ledger_row read;
  bool row = false;
  bt_status status =
      ledger_own_open(ledger, "main.own_reading", "WHERE unit = ?1 AND time = ?2", &own, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", unit);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    status = ledger_own_seek(&own, sqlite3_column_int64(statement, LEDGER_UNIT),
                             sqlite3_column_int64(statement, LEDGER_TIME), error);
  if (status == BT_OK && row)
    status = read_whole(ledger, reader, &own, statement, &read, error);
  (void)sqlite3_finalize(statement);
  ledger_own_close(&own);
  return status;
}

static bt_status read_checks(bt_ledger *ledger, int64_t unit, bt_time until, history_reader *reader,
                             bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool superseded = false;
  bt_status status = open_cursors(ledger, unit, until, reader, &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    ledger_row read;
    status = read_whole(ledger, reader, &reader->own, statement, &read, error);
    reader->brought += sqlite3_column_int64(statement, H_BROUGHT);
    if (status != BT_OK || read.check.time >= until)
      continue;
    if (sqlite3_column_int(statement, H_SEEN) == 0)
      continue;
    status = was_superseded(ledger, reader, &read, &superseded, error);
    if (status == BT_OK && !superseded && !put_check(reader, &read))
      status = bt_fail_memory(error);
  }
  if (status == BT_OK)
    status = hold_neighbour(ledger, check_before, unit, reader, error);
  if (status == BT_OK)
    status = hold_neighbour(ledger, check_after, unit, reader, error);
  if (status == BT_OK)
    status = ledger_hold_count(ledger, unit, reader->history->unit, reader->brought, error);
  (void)sqlite3_finalize(statement);
  (void)sqlite3_finalize(reader->superseded);
  ledger_own_close(&reader->own);
  ledger_text_reader_close(&reader->texts);
  free(reader->typed);
  return status;
}

static bt_status put_event(bt_ledger *ledger, sqlite3_stmt *statement, history_reader *reader,
                           bt_error *error) {
  bt_history *h = reader->history;
  bt_event event = {.time = sqlite3_column_int64(statement, 0),
                    .has_clock = sqlite3_column_int(statement, 1) != 0,
                    .line = sqlite3_column_int64(statement, 4),
                    .last_line = sqlite3_column_int64(statement, 5),
                    .number = sqlite3_column_int64(statement, 6)};
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
  bt_status status = ledger_prepare(
      ledger,
      "SELECT time, has_clock, kind, (SELECT body FROM main.text WHERE number = note "
      "AND salt <> x''), line, "
      "last_line, number FROM main.event WHERE unit = ?1 AND time < ?2 AND entry <= ?3 "
      "AND number NOT IN (SELECT event FROM main.superseded_event WHERE entry <= ?3) "
      "ORDER BY time, number",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", unit, until, ledger_last_seen(ledger));
  while (ledger_next(ledger, statement, &status, error))
    status = put_event(ledger, statement, reader, error);
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_history(bt_ledger *ledger, const char *unit, bt_time until, bt_history *history,
                            bt_error *error) {
  history_reader reader = {.history = history, .texts = {.ledger = ledger}};
  int64_t number = 0;
  bool alone = ledger->unended || sqlite3_get_autocommit(ledger->db) != 0;
  *history = (bt_history){0};
  /* One moment for the checks and their count. */
  bt_status status = alone ? ledger_begin_reading(ledger, error) : BT_OK;
  if (status == BT_OK)
    status = bt_ledger_find_unit(ledger, unit, &history->unit, error);
  if (status == BT_OK)
    status = ledger_unit_number(ledger, unit, &number, error);
  if (status == BT_OK && !make_room(&reader))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = read_checks(ledger, number, until, &reader, error);
  if (status == BT_OK)
    status = read_events(ledger, number, until, &reader, error);
  if (alone)
    ledger_rollback(ledger);
  if (status != BT_OK)
    bt_history_free(history);
  return status;
}
