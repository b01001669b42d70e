/* Checks as the ledger has them, one unit and time at a time: what corrections and conflicts are
 * decided by. */
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"
#include "whole_private.h"

#include <stdlib.h>

void ledger_stored_free(ledger_stored_list *list) {
  for (size_t i = 0; i < list->n; i++)
    bt_check_free(&list->row[i].check);
  free(list->row);
  *list = (ledger_stored_list){0};
}

static bool copy_own(const bt_check *from, bt_check *to) {
  bt_own_reading *own = bt_new(from->own_n, sizeof *own);
  to->own = own;
  to->own_n = 0;
  for (size_t i = 0; own != NULL && i < from->own_n; i++, to->own_n++) {
    own[i] = (bt_own_reading){.key = bt_copy(from->own[i].key), .value = from->own[i].value};
    if (own[i].key == NULL)
      return false;
  }
  return own != NULL;
}

/* Copies of all that the statement only lends. */
static bt_status take_row(bt_ledger *ledger, const ledger_row *row, ledger_stored *stored,
                          bt_error *error) {
  char *unit = NULL;
  *stored = (ledger_stored){.check = row->check, .unit = row->unit, .source = row->source};
  bool taken = copy_own(&row->check, &stored->check);
  for (size_t f = 0; f < BT_FIELD_COUNT; f++) {
    const char *body = row->check.text[f];
    stored->text[f] = row->text[f].number;
    stored->check.text[f] = bt_copy(body);
    taken = taken && (body == NULL || stored->check.text[f] != NULL);
  }
  if (!taken)
    return bt_fail_memory(error);
  bt_status status = ledger_unit_name(ledger, row->unit, &unit, error);
  stored->check.unit = unit;
  return status;
}

/* The row on which the statement stands, held to its digest. */
static bt_status read_row(ledger_text_reader *texts, ledger_own_reader *own,
                          sqlite3_stmt *statement, char tag, ledger_row *row, bt_error *error) {
  bool whole = false;
  bt_status status = ledger_own_seek(own, sqlite3_column_int64(statement, LEDGER_UNIT),
                                     sqlite3_column_int64(statement, LEDGER_TIME), error);
  if (status == BT_OK)
    status = ledger_whole_check(texts, own, statement, tag, row, &whole, error);
  if (status != BT_OK || whole)
    return status;
  ledger_row_place place = ledger_check_place(statement, tag);
  status = ledger_row_differs(texts->ledger, &place, error);
  ledger_say_not_whole(error);
  return status;
}

bt_status ledger_stored_read(bt_ledger *ledger, sqlite3_stmt *statement, bool held,
                             ledger_stored_list *list, bt_error *error) {
  ledger_text_reader texts = {.ledger = ledger};
  ledger_own_reader own;
  bt_status status = ledger_own_open(ledger, held ? "main.held_own" : "main.own_reading",
                                     "WHERE unit = ?1 AND time = ?2", &own, error);
  while (ledger_next(ledger, statement, &status, error)) {
    ledger_row read;
    if (!bt_grow(&list->row, &list->capacity, list->n + 1, sizeof *list->row))
      status = bt_fail_memory(error);
    if (status == BT_OK)
      status = read_row(&texts, &own, statement, held ? 'h' : 'c', &read, error);
    if (status == BT_OK)
      status = take_row(ledger, &read, &list->row[list->n++], error);
  }
  ledger_own_close(&own);
  ledger_text_reader_close(&texts);
  return status;
}

bt_status ledger_stored_standing(bt_ledger *ledger, int64_t unit, bt_time time, int64_t before,
                                 ledger_stored_list *list, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(
      ledger,
      LEDGER_STORED_CHECKS "AND (SELECT entry FROM main.source WHERE number = c.source) < ?3 "
                           "AND NOT EXISTS (SELECT 1 FROM main.superseded AS s WHERE "
                           "s.unit = c.unit AND s.time = c.time AND s.sequence = c.sequence "
                           "AND s.entry < ?3) ORDER BY c.sequence",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", unit, time, before);
  if (status == BT_OK)
    status = ledger_stored_read(ledger, statement, false, list, error);
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_stored_one(bt_ledger *ledger, int64_t unit, bt_time time, int32_t sequence,
                            ledger_stored_list *list, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status =
      ledger_prepare(ledger, LEDGER_STORED_CHECKS "AND c.sequence = ?3", &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", unit, time, (int64_t)sequence);
  if (status == BT_OK)
    status = ledger_stored_read(ledger, statement, false, list, error);
  (void)sqlite3_finalize(statement);
  return status;
}
