/* The rows of a conflict, and what met what (conflicts.c). */
#ifndef LEDGER_CONTEST_PRIVATE_H
#define LEDGER_CONTEST_PRIVATE_H

#include "beamtally/ledger.h"

#include "stored_private.h"

/* The rows of one conflict, and what met what: equal but for remark, operator and line. */
typedef struct ledger_contest {
  ledger_stored_list standing, held;
  bool *standing_met, *held_met;
} ledger_contest;

/* What stood before that entry against what the source had held back. */
bt_status ledger_contest_read(bt_ledger *ledger, int64_t unit, bt_time time, int64_t source,
                              int64_t before, ledger_contest *contest,
                              bt_error *error) BT_MUST_CHECK;
void ledger_contest_free(ledger_contest *contest);

#endif
