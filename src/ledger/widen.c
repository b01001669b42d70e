/* Rows of one unit and time that hold less or more than what stands, and contradict it in nothing:
 * the same log, of which other columns are read. Remark, operator and line don't count, as in any
 * comparison of rows. */
#include "digest_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "widen_private.h"

#include <stdlib.h>
#include <string.h>

void ledger_widening_free(ledger_widening *w) {
  ledger_stored_free(&w->standing);
  free(w->taken);
  w->taken = NULL;
}

/* What a person typed in or kept in a conflict gives way to no log. */
static bt_status is_of_a_log(bt_ledger *ledger, int64_t source, bool *of_log, bt_error *error) {
  int64_t checks = 0;
  bt_status status =
      ledger_number_of(ledger, error, "SELECT kind = 'checks' FROM main.source WHERE number = ?1",
                       &checks, "i", source);
  *of_log = checks != 0;
  return status;
}

bt_status ledger_widening_read(bt_ledger *ledger, int64_t unit, bt_time time, ledger_widening *w,
                               bt_error *error) {
  bt_status status = ledger_stored_standing(ledger, unit, time, LEDGER_NOW, &w->standing, error);
  if (status == BT_OK && (w->taken = bt_new(w->standing.n, sizeof *w->taken)) == NULL)
    status = bt_fail_memory(error);
  for (size_t i = 0; i < w->standing.n && status == BT_OK; i++) {
    bool of_log = false;
    status = is_of_a_log(ledger, w->standing.row[i].source, &of_log, error);
    w->taken[i] = !of_log;
  }
  return status;
}

void ledger_widening_take(ledger_widening *w, const unsigned char *content) {
  unsigned char mine[LEDGER_DIGEST_BYTES];
  for (size_t i = 0; i < w->standing.n; i++) {
    ledger_check_content(&w->standing.row[i].check, mine);
    if (!w->taken[i] && memcmp(mine, content, sizeof mine) == 0) {
      w->taken[i] = true;
      return;
    }
  }
}

static bool counts(int field) {
  return field != BT_FIELD_OPERATOR && field != BT_FIELD_REMARK;
}

static bool holds_something(const bt_check *check) {
  bool text = false;
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    text = text || (counts(f) && check->text[f] != NULL);
  return text || check->present != 0 || check->own_n > 0 || check->state != BT_STATE_NONE ||
         check->refill != BT_REFILL_NONE;
}

static bool own_is_within(const bt_own_reading *own, const bt_check *wide) {
  for (size_t i = 0; i < wide->own_n; i++)
    if (strcmp(wide->own[i].key, own->key) == 0)
      return wide->own[i].value == own->value;
  return false;
}

/* All that the one holds, the other holds as well. */
static bool is_within(const bt_check *narrow, const bt_check *wide) {
  bool within = (narrow->present & ~wide->present) == 0 &&
                (narrow->state == BT_STATE_NONE || narrow->state == wide->state) &&
                (narrow->refill == BT_REFILL_NONE || narrow->refill == wide->refill);
  for (int r = 0; r < BT_READING_COUNT && within; r++)
    within = !bt_check_has(narrow, (bt_reading)r) || narrow->reading[r] == wide->reading[r];
  for (int f = 0; f < BT_FIELD_COUNT && within; f++)
    within = !counts(f) || narrow->text[f] == NULL ||
             (wide->text[f] != NULL && strcmp(narrow->text[f], wide->text[f]) == 0);
  for (size_t i = 0; i < narrow->own_n && within; i++)
    within = own_is_within(&narrow->own[i], wide);
  return within && holds_something(narrow);
}

int32_t ledger_widening_meet(ledger_widening *w, const bt_check *check, bool wider, bool *known) {
  for (size_t i = 0; i < w->standing.n; i++) {
    const bt_check *stands = &w->standing.row[i].check;
    *known = is_within(check, stands);
    if (w->taken[i] || (!*known && !(wider && is_within(stands, check))))
      continue;
    w->taken[i] = true;
    return stands->sequence;
  }
  return -1;
}
