/* What becomes of the rows of one unit and time: known, added or held back (M2 to M11, merge.c). */
#include "compare_private.h"
#include "digest_private.h"
#include "merge_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "widen_private.h"

#include <stdlib.h>
#include <string.h>

/* Rows that met nothing, and take nothing's place. */
static size_t unmet(const ledger_merge_run *m, size_t n) {
  size_t found = 0;
  for (size_t i = 0; i < n; i++)
    found += m->fate[i] == LEDGER_ADD && m->replaces[i] < 0;
  return found;
}

/* Incoming rows that met nothing yet may meet these, at most *most of them; *most is what is left
 * of that. */
static bt_status meet(ledger_merge_run *m, size_t n, ledger_contents *these, size_t *most,
                      bt_error *error) {
  size_t left = 0;
  m->rest.n = 0;
  if (these->n == 0)
    return BT_OK;
  if (!bt_grow(&m->rest.digest, &m->rest.capacity, n, sizeof m->rest.digest[0]) ||
      !bt_grow(&m->rest_fate, &m->rest_capacity, n, 1))
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++)
    if (m->fate[i] == LEDGER_ADD)
      memcpy(m->rest.digest[m->rest.n++], m->incoming.digest[i], LEDGER_DIGEST_BYTES);
  bt_status status = ledger_compare(&m->rest, these, m->rest_fate, &left, error);
  for (size_t i = 0, r = 0; i < n && status == BT_OK; i++) {
    if (m->fate[i] != LEDGER_ADD)
      continue;
    bool met = m->rest_fate[r++] == LEDGER_KNOWN && *most > 0;
    if (met)
      m->fate[i] = LEDGER_KNOWN;
    *most -= met;
  }
  return status;
}

/* M11. *left: how many that must be met are not. */
static bt_status meet_wider(ledger_merge_run *m, int64_t unit, bt_time time, size_t n, size_t *left,
                            bt_error *error) {
  ledger_widening w = {.taken = NULL};
  bool row = true;
  bt_status status = ledger_widening_read(m->ledger, unit, time, &w, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (m->fate[i] == LEDGER_KNOWN)
      ledger_widening_take(&w, m->incoming.digest[i]);
  if (status == BT_OK)
    status = ledger_bind(m->ledger, error, m->staged, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_own_seek(&m->own_staged, unit, time, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    ledger_row read;
    status = ledger_step(m->ledger, m->staged, &row, error);
    if (status != BT_OK || !row)
      break;
    ledger_row_read(m->staged, &read);
    status = ledger_own_take(&m->own_staged, &read, error);
    (void)ledger_merge_leave_out(m, &read.check);
    if (status != BT_OK || m->fate[i] != LEDGER_ADD || *left == 0)
      continue;
    bool known = false;
    int32_t sequence = ledger_widening_meet(&w, &read.check, m->store->with.again, &known);
    if (sequence < 0)
      continue;
    (*left)--;
    if (known)
      m->fate[i] = LEDGER_KNOWN;
    else
      m->replaces[i] = sequence;
  }
  (void)sqlite3_reset(m->staged);
  ledger_widening_free(&w);
  return status;
}

bt_status ledger_merge_decide(ledger_merge_run *m, int64_t unit, bt_time time, size_t n, bool *hold,
                              size_t *next, bt_error *error) {
  ledger_contents *const stored[LEDGER_STANDINGS] = {[LEDGER_MUST_BE_MET] = &m->must,
                                                     [LEDGER_MAY_BE_MET] = &m->may,
                                                     [LEDGER_MET_INSTEAD] = &m->instead};
  ledger_contents *const held[] = {&m->held_open, &m->may};
  ledger_contents *const staged[] = {&m->incoming};
  bt_status status = BT_OK;
  size_t left = 0, any = SIZE_MAX, held_n = 0, staged_n = 0;
  *hold = false;
  *next = 0;
  m->must.n = m->may.n = m->instead.n = m->held_open.n = m->incoming.n = m->kept.n = 0;
  if (!bt_grow(&m->fate, &m->fate_capacity, n, 1) ||
      !bt_grow(&m->replaces, &m->replaces_capacity, n, sizeof *m->replaces))
    return bt_fail_memory(error);
  memset(m->fate, LEDGER_ADD, n);
  for (size_t i = 0; i < n; i++)
    m->replaces[i] = -1;
  if (unit <= m->store->with.last_unit)
    status = ledger_merge_contents(m, m->stored, &m->own_stored, unit, time, stored, next, error);
  if (status != BT_OK || *next == 0) /* what was held back was so for the sake of a stored row */
    return status;

  status =
      ledger_merge_contents(m, m->staged, &m->own_staged, unit, time, staged, &staged_n, error);
  if (status == BT_OK)
    status = ledger_compare(&m->incoming, &m->must, m->fate, &left, error);
  if (status != BT_OK || unmet(m, n) == 0)
    return status;
  status = ledger_merge_contents(m, m->held, &m->own_held, unit, time, held, &held_n, error);
  if (status == BT_OK)
    status = meet(m, n, &m->may, &any, error); /* M8 */
  if (status == BT_OK)
    status = meet(m, n, &m->instead, &left, error); /* M10 */
  if (status == BT_OK && m->store->with.seen && left > 0 && unmet(m, n) > 0)
    status = meet_wider(m, unit, time, n, &left, error); /* M11 */
  *hold = status == BT_OK && left > 0 && unmet(m, n) > 0;
  if (!*hold)
    return status;
  for (size_t i = 0; i < n; i++)
    m->replaces[i] = -1;
  *next = held_n;
  return ledger_compare(&m->incoming, &m->held_open, m->fate, &left, error);
}
