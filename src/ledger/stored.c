/* Checks as the ledger has them, one unit and time at a time: what corrections and conflicts are
 * decided by. */
#include "decisions_private.h"

#include <stdlib.h>

void ledger_stored_free(ledger_stored_list *list) {
  for (size_t i = 0; i < list->n; i++)
    bt_check_free(&list->row[i].check);
  free(list->row);
  *list = (ledger_stored_list){0};
}

bt_status ledger_unit_name(bt_ledger *ledger, int64_t unit, char **name, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *name = NULL;
  bt_status status =
      ledger_prepare(ledger, "SELECT name FROM main.unit WHERE number = ?1", &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", unit);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && !row)
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost a unit; use a backup of it",
                     ledger->path);
  if (status == BT_OK && (*name = bt_copy((const char *)sqlite3_column_text(statement, 0))) == NULL)
    status = bt_fail_memory(error);
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_unit_known(bt_ledger *ledger, const char *name, int64_t *unit, bt_error *error) {
  bt_status status = ledger_unit_number(ledger, name, unit, error);
  if (status == BT_OK && *unit == 0)
    status = ledger_unit_unknown(ledger, name, BT_NOTFOUND, "check the name", error);
  return status;
}

/* Readings of the clinic's own characteristics of one row, in order of key. */
static bt_status read_own(bt_ledger *ledger, bool held, ledger_stored *row, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_own_reading *own = NULL;
  size_t capacity = 0;
  bool more = true;
  bt_status status = ledger_prepare(
      ledger,
      held ? "SELECT k.key, o.value FROM main.held_own AS o JOIN main.own_key AS k "
             "ON k.number = o.own WHERE o.unit = ?1 AND o.time = ?2 AND o.sequence = ?3 "
             "ORDER BY k.key"
           : "SELECT k.key, o.value FROM main.own_reading AS o JOIN main.own_key AS k "
             "ON k.number = o.own WHERE o.unit = ?1 AND o.time = ?2 AND o.sequence = ?3 "
             "ORDER BY k.key",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", row->unit, row->check.time,
                         (int64_t)row->check.sequence);
  while (status == BT_OK && more) {
    status = ledger_step(ledger, statement, &more, error);
    if (status != BT_OK || !more)
      break;
    if (!bt_grow(&own, &capacity, row->check.own_n + 1, sizeof *own)) {
      status = bt_fail_memory(error);
      break;
    }
    row->check.own = own;
    own[row->check.own_n] =
        (bt_own_reading){.key = bt_copy((const char *)sqlite3_column_text(statement, 0)),
                         .value = sqlite3_column_double(statement, 1)};
    if (own[row->check.own_n++].key == NULL)
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* Copies of all that the statement only lends. */
static bt_status take_row(bt_ledger *ledger, sqlite3_stmt *statement, ledger_stored *stored,
                          bt_error *error) {
  char *unit = NULL;
  ledger_row row;
  ledger_row_read(statement, &row);
  *stored = (ledger_stored){.check = row.check, .unit = row.unit, .source = row.source};
  bool taken = true;
  for (size_t f = 0; f < BT_FIELD_COUNT; f++) {
    const char *body = row.check.text[f];
    stored->text[f] = sqlite3_column_int64(statement, LEDGER_DIGEST + 1 + (int)f);
    stored->check.text[f] = bt_copy(body);
    taken = taken && (body == NULL || stored->check.text[f] != NULL);
  }
  if (!taken)
    return bt_fail_memory(error);
  bt_status status = ledger_unit_name(ledger, row.unit, &unit, error);
  stored->check.unit = unit;
  return status;
}

bt_status ledger_stored_read(bt_ledger *ledger, sqlite3_stmt *statement, bool held,
                             ledger_stored_list *list, bt_error *error) {
  bt_status status = BT_OK;
  bool row = true;
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status != BT_OK || !row)
      break;
    if (!bt_grow(&list->row, &list->capacity, list->n + 1, sizeof *list->row))
      return bt_fail_memory(error);
    ledger_stored *stored = &list->row[list->n++];
    status = take_row(ledger, statement, stored, error);
    if (status == BT_OK)
      status = read_own(ledger, held, stored, error);
  }
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
