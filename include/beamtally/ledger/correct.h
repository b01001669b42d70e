/* Corrections of checks and events: the old record stays, another takes its place or none. */
#ifndef BEAMTALLY_LEDGER_CORRECT_H
#define BEAMTALLY_LEDGER_CORRECT_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* The check of that unit, time and sequence as it stands, not superseded; its texts and arrays are
 * owned (bt_check_free). Without has_sequence there must be only one at that time, else BT_USAGE
 * says which there are. BT_NOTFOUND names the nearest time that has one. */
bt_status bt_ledger_find_check(bt_ledger *ledger, const char *unit, bt_time time, bool has_sequence,
                               int32_t sequence, bt_check *check, bt_error *error) BT_MUST_CHECK;

/* Sets *time, the begin of a day, to the time of that unit's checks on it; leaves it as it is where
 * there are none, or of several times. Those that no longer stand count: one may be meant. */
bt_status bt_ledger_time_on_day(bt_ledger *ledger, const char *unit, bt_time *time,
                                bt_error *error) BT_MUST_CHECK;

/* Puts `replacement` in the place of a check that stands, or (NULL) withdraws it, in one entry. The
 * old record stays. The replacement's unit may be another known one and its time another; it is
 * numbered anew. BT_USAGE when nothing would change. */
bt_status bt_ledger_correct_check(bt_ledger *ledger, const char *unit, bt_time time,
                                  int32_t sequence, const bt_check *replacement, const char *by,
                                  const char *why, bt_time now, bt_error *error) BT_MUST_CHECK;

/* The same for an event, by the ledger's number. */
bt_status bt_ledger_find_event(bt_ledger *ledger, int64_t number, bt_event *event,
                               bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_correct_event(bt_ledger *ledger, int64_t number, const bt_event *replacement,
                                  const char *by, const char *why, bt_time now,
                                  bt_error *error) BT_MUST_CHECK;

/* Corrections that concern the unit (all units when NULL), in order of their entry. */
bt_status bt_ledger_corrections(bt_ledger *ledger, const char *unit, bt_correction **corrections,
                                size_t *n, bt_error *error) BT_MUST_CHECK;

#endif
