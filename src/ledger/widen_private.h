/* Rows that hold less or more than what stands (widen.c). */
#ifndef LEDGER_WIDEN_PRIVATE_H
#define LEDGER_WIDEN_PRIVATE_H

#include "beamtally/ledger.h"

#include "stored_private.h"

/* The checks of one unit and time that stand and came from logs, as a file meets them that came
 * before: a column of it that wasn't read then is no contradiction. */
typedef struct ledger_widening {
  ledger_stored_list standing;
  bool *taken; /* met, or not from a log */
} ledger_widening;

bt_status ledger_widening_read(bt_ledger *ledger, int64_t unit, bt_time time, ledger_widening *w,
                               bt_error *error) BT_MUST_CHECK;
void ledger_widening_free(ledger_widening *w);

/* Takes one of that content out of what may be met. */
void ledger_widening_take(ledger_widening *w, const unsigned char *content);

/* The sequence of a check that holds all that this one does (*known), or with `wider` all of whose
 * contents this one holds; -1 where there is none. It is taken. */
int32_t ledger_widening_meet(ledger_widening *w, const bt_check *check, bool wider, bool *known);

#endif
