/* Conflicts: which there are, and the settling of them. */
#ifndef BEAMTALLY_LEDGER_CONFLICTS_H
#define BEAMTALLY_LEDGER_CONFLICTS_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* Conflicts that concern the unit (all units when NULL), settled ones too, in order of unit and
 * time. */
bt_status bt_ledger_conflicts(bt_ledger *ledger, const char *unit, bt_conflict **conflicts,
                              size_t *n, bt_error *error) BT_MUST_CHECK;

/* Settles n of them, each in an entry of its own, all or none: OLD leaves what stands, NEW puts the
 * rows held back in its place, BOTH adds those of them that what stands lacks. ids: 8 digits each,
 * or as many of the first as no other conflict has. BT_NOTFOUND, BT_REFUSED when one was settled
 * before. */
bt_status bt_ledger_settle(bt_ledger *ledger, const char *const *ids, size_t n, bt_keep keep,
                           const char *by, const char *why, bt_time now,
                           bt_error *error) BT_MUST_CHECK;

#endif
