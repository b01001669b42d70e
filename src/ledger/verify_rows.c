/* Digests of checks, rows held back and events, computed anew.
 *
 * A text stands in the ledger only because a record has it, and is numbered from 1 without a gap: a
 * text that no record names was put there by someone else. */
#include "ledger_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "valid_private.h"
#include "verify_private.h"
#include "whole_private.h"

#include <stdlib.h>
#include <string.h>

/* Whether it holds what a log can. */
static bool check_valid(const ledger_row *row) {
  bt_check check = row->check;
  memset(check.text, 0, sizeof check.text); /* bodies were looked at */
  check.unit = "-";                         /* so was its name: it is the chain's */
  return ledger_check_valid(&check, NULL) == BT_OK;
}

/* All rows of one of the two tables of checks, in order of their key. */
static bt_status verify_table(ledger_text_reader *reader, const char *sql, char tag,
                              int64_t *counted, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  sqlite3_stmt *statement = NULL;
  ledger_own_reader own;
  bool whole = true;
  bt_status status =
      ledger_own_open(ledger, tag == 'c' ? "main.own_reading" : "main.held_own", "", &own, error);
  if (status == BT_OK)
    status = ledger_own_seek(&own, 0, 0, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, sql, &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    ledger_row read;
    status = ledger_whole_check(reader, &own, statement, tag, &read, &whole, error);
    if (status == BT_OK && !(whole && check_valid(&read))) {
      ledger_row_place place = ledger_check_place(statement, tag);
      status = ledger_row_differs(ledger, &place, error);
    }
    (*counted)++;
  }
  (void)sqlite3_finalize(statement);
  ledger_own_close(&own);
  return status;
}

typedef struct event_place {
  int64_t entry, line;
} event_place;

/* Corrections and people name events by number, which no digest covers: numbers have no gap and
 * rise with the entries, and within one with the lines of its log. */
static bt_status number_follows(const bt_ledger *ledger, sqlite3_stmt *row, int64_t expected,
                                event_place *last, bt_error *error) {
  int64_t number = sqlite3_column_int64(row, LEDGER_E_NUMBER);
  event_place before = *last;
  *last = (event_place){.entry = sqlite3_column_int64(row, LEDGER_E_ENTRY),
                        .line = sqlite3_column_int64(row, LEDGER_E_LINE)};
  bool same = last->entry == before.entry;
  if (number == expected && (same ? last->line >= before.line : last->entry > before.entry))
    return BT_OK;
  return bt_fail(error, BT_DAMAGED,
                 "%s: event %lld is gone, or numbers of events were changed; use a backup of the "
                 "ledger from before",
                 ledger->path, (long long)expected);
}

static bt_status verify_events(ledger_text_reader *reader, int64_t *counted, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  event_place last = {0};
  sqlite3_stmt *statement = NULL;
  bool whole = true;
  bt_status status = ledger_prepare(
      ledger, "SELECT " LEDGER_EVENT_COLUMNS " FROM main.event ORDER BY number", &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    status = ledger_whole_event(reader, statement, &whole, error);
    if (status == BT_OK && !whole) {
      ledger_row_place place = {.what = "the event",
                                .unit = sqlite3_column_int64(statement, LEDGER_E_UNIT),
                                .source = sqlite3_column_int64(statement, LEDGER_E_SOURCE),
                                .line = sqlite3_column_int64(statement, LEDGER_E_LINE),
                                .time = sqlite3_column_int64(statement, LEDGER_E_TIME),
                                .has_clock =
                                    sqlite3_column_int(statement, LEDGER_E_HAS_CLOCK) != 0};
      status = ledger_row_differs(ledger, &place, error);
    }
    (*counted)++;
    if (status == BT_OK)
      status = number_follows(ledger, statement, *counted, &last, error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_text_is_stray(const bt_ledger *ledger, int64_t number, bt_error *error) {
  return bt_fail(error, BT_DAMAGED,
                 "%s: text %lld belongs to no check and no event, or one numbered before it is "
                 "gone: it is not as it was written; use a backup of the ledger from before",
                 ledger->path, (long long)number);
}

static bt_status begin_texts(ledger_text_reader *reader, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  int64_t gap = 0;
  bt_status status = ledger_number(ledger, "SELECT count(*) FROM main.text", &reader->texts, error);
  if (status == BT_OK)
    status = ledger_number(ledger,
                           "SELECT number FROM main.text WHERE number < 1 OR number > "
                           "(SELECT count(*) FROM main.text) LIMIT 1",
                           &gap, error);
  if (status == BT_OK && gap != 0)
    return ledger_text_is_stray(ledger, gap, error);
  if (status == BT_OK) {
    reader->named = bt_new((size_t)reader->texts / 8 + 1, 1);
    if (reader->named == NULL)
      status = bt_fail_memory(error);
  }
  return status;
}

/* 0: every text is named. */
static int64_t first_stray(const ledger_text_reader *reader) {
  int64_t t = 1;
  while (t <= reader->texts && (reader->named[t / 8] >> t % 8 & 1) != 0)
    t++;
  return t <= reader->texts ? t : 0;
}

static bt_status verify_held(ledger_text_reader *reader, bt_verification *found, bt_error *error) {
  return verify_table(reader,
                      "SELECT " LEDGER_CHECK_COLUMNS " FROM main.held "
                      "ORDER BY unit, time, sequence",
                      'h', &found->held, error);
}

/* Checks that came without a log's count of them (hold.c): typed in, or kept of a conflict. */
static bt_status verify_typed(ledger_text_reader *reader, bt_error *error) {
  int64_t any = 0, counted = 0;
  bt_status status = ledger_number(
      reader->ledger, "SELECT EXISTS (SELECT 1 FROM main.source WHERE kind IN ('typed', 'kept'))",
      &any, error);
  if (status != BT_OK || any == 0)
    return status;
  return verify_table(reader,
                      "SELECT " LEDGER_CHECK_COLUMNS " FROM main.checks WHERE source IN (SELECT "
                      "number FROM main.source WHERE kind IN ('typed', 'kept')) "
                      "ORDER BY unit, time, sequence",
                      'c', &counted, error);
}

bt_status ledger_verify_few(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  ledger_text_reader reader = {.ledger = ledger};
  bt_status status = verify_held(&reader, found, error);
  if (status == BT_OK)
    status = verify_typed(&reader, error);
  if (status == BT_OK)
    status = verify_events(&reader, &found->events, error);
  ledger_text_reader_close(&reader);
  return status;
}

bt_status ledger_verify_rows(bt_ledger *ledger, bt_verification *found, int64_t *stray_text,
                             bt_error *error) {
  ledger_text_reader reader = {.ledger = ledger};
  bt_status status = begin_texts(&reader, error);
  if (status == BT_OK)
    status = verify_table(&reader,
                          "SELECT " LEDGER_CHECK_COLUMNS " FROM main.checks "
                          "ORDER BY unit, time, sequence",
                          'c', &found->checks, error);
  if (status == BT_OK)
    status = verify_held(&reader, found, error);
  if (status == BT_OK)
    status = verify_events(&reader, &found->events, error);
  if (status == BT_OK)
    *stray_text = first_stray(&reader);
  if (status == BT_OK)
    status =
        ledger_number(ledger, "SELECT count(*) FROM main.redaction", &found->removed_texts, error);
  free(reader.named);
  ledger_text_reader_close(&reader);
  return status;
}
