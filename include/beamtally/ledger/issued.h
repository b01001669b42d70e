/* Issued reports: entered, listed, and found by their file. */
#ifndef BEAMTALLY_LEDGER_ISSUED_H
#define BEAMTALLY_LEDGER_ISSUED_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* Appends an issued report: its number is the next revision of its unit and month, its state that
 * of the ledger before. Both are set in *issued. BT_REFUSED when the ledger's state is no longer
 * issued->state, the one that the PDF prints, or bt_ledger_still_whole refuses. */
bt_status bt_ledger_add_issued(bt_ledger *ledger, bt_issued *issued, bt_time now,
                               bt_error *error) BT_MUST_CHECK;

/* Where a file stands among the issued reports. */
typedef struct bt_issued_place {
  int64_t entry;   /* by which it was issued */
  int64_t before;  /* entry after which the ledger had the state that it prints; 0: none has it */
  int64_t later;   /* later revisions of its unit and month */
  int64_t reports; /* that were issued from this ledger; said for a file that is none of them too */
} bt_issued_place;

/* The report whose PDF has that SHA-256: an owned list of 1. BT_NOTFOUND when none has. Says
 * nothing of the chain itself: verify it first. */
bt_status bt_ledger_find_issued(bt_ledger *ledger, const unsigned char *sha256, bt_issued **issued,
                                bt_issued_place *place, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_issued(bt_ledger *ledger, const char *unit, bt_time month, bt_issued **issued,
                           size_t *n, bt_error *error) BT_MUST_CHECK;

#endif
