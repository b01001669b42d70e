/* Dispositions: what people concluded of episodes. */
#ifndef BEAMTALLY_LEDGER_DISPOSITIONS_H
#define BEAMTALLY_LEDGER_DISPOSITIONS_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* First 8 hex digits of the SHA-256 of the episode's canonical form: the unit's name, folded, the
 * characteristic's key, time and sequence of its first signalling point. */
bt_status bt_episode_id(const char *unit, const char *characteristic, bt_time at, int32_t sequence,
                        char id[BT_ID_DIGITS + 1], bt_error *error) BT_MUST_CHECK;

/* The disposition's by, cause and action must not be empty; its `at` is now. */
bt_status bt_ledger_add_disposition(bt_ledger *ledger, const char *unit,
                                    const bt_disposition *disposition, bt_time now,
                                    bt_error *error) BT_MUST_CHECK;

/* Those of a unit that were entered before `until`, in order of their entry. */
bt_status bt_ledger_dispositions(bt_ledger *ledger, const char *unit, bt_time until,
                                 bt_disposition **dispositions, size_t *n,
                                 bt_error *error) BT_MUST_CHECK;

#endif
