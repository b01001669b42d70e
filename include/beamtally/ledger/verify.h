/* Whether the ledger holds what was entered: verified whole, or held while it is read; a copy of it
 * is verified as well. */
#ifndef BEAMTALLY_LEDGER_VERIFY_H
#define BEAMTALLY_LEDGER_VERIFY_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* What was looked at. */
typedef struct bt_verification {
  int64_t entries, checks, held, events, removed_texts;
  char state[21];      /* ledger state, 20 hex digits */
  bt_time last;        /* date of the last entry; no time for entry 1 */
  int64_t backward;    /* entries dated before the entry before them */
  int64_t backward_at; /* the first of them, 0 without any; its date and that of the one before: */
  bt_time backward_date, backward_before;
} bt_verification;

/* Computes every digest and the chain of entries anew, as one moment of the ledger has them, after
 * SQLite's own checks. BT_DAMAGED names the first difference: a check by unit, time, source and
 * line, or an entry. What was edited together with all digests after it does not show: the state
 * that a report printed does that (bt_ledger_find_state). */
bt_status bt_ledger_verify(bt_ledger *ledger, bt_verification *found,
                           bt_error *error) BT_MUST_CHECK;

/* For whoever reads: all that the ledger holds beside the readings of single checks is as it was
 * entered, and no check was taken out; what bt_ledger_history and the other readers of checks hand
 * out they hold to its digest themselves. BT_DAMAGED names the first entry or record that differs.
 * Takes a fifth to a quarter of a verification's time. */
bt_status bt_ledger_hold_entries(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* For papers that people sign: verifies, unless that was done on this ledger and nobody else has
 * written into its file since. Then what is read is what was verified as long as
 * bt_ledger_still_whole says so: else BT_REFUSED, something was written meanwhile, whether or not
 * it was taken back. */
bt_status bt_ledger_hold_whole(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_still_whole(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Copies the ledger into an empty file, as one moment has it, and verifies the copy. On failure
 * what the file holds is no ledger to use. */
bt_status bt_ledger_copy(bt_ledger *ledger, const char *path, bt_verification *found,
                         bt_error *error) BT_MUST_CHECK;

#endif
