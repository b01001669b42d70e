/* Where a printed ledger state stands in the chain. */
#ifndef BEAMTALLY_LEDGER_STATE_H
#define BEAMTALLY_LEDGER_STATE_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* Where a printed state stands in the chain. */
typedef struct bt_state_place {
  int64_t entry; /* number of the entry that it was the state after; 1 is the empty ledger */
  bt_time at;    /* when it was entered; no time for entry 1 */
  int64_t after; /* entries that came since */
} bt_state_place;

/* digits: 20 hex digits, blanks between them allowed (else BT_USAGE). BT_NOTFOUND when no entry has
 * that state. Says nothing of the chain itself: verify it first. */
bt_status bt_ledger_find_state(bt_ledger *ledger, const char *digits, bt_state_place *place,
                               bt_error *error) BT_MUST_CHECK;

#endif
