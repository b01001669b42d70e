/* What is judged of a unit: its history, the settings, its frozen baselines; also as they stood
 * after an earlier entry. */
#ifndef BEAMTALLY_LEDGER_HISTORY_H
#define BEAMTALLY_LEDGER_HISTORY_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"
#include "beamtally/series.h"
#include "beamtally/setup.h"

/* All checks and events of a unit with a time before `until` that stand (superseded ones don't), in
 * order of (time, sequence). BT_NOTFOUND for an unknown unit; BT_DAMAGED for a check, of whatever
 * time, that is not as its digest has it. */
bt_status bt_ledger_history(bt_ledger *ledger, const char *unit, bt_time until, bt_history *history,
                            bt_error *error) BT_MUST_CHECK;

/* The settings in force (the latest version); all defaults when there are none. */
bt_status bt_ledger_settings(bt_ledger *ledger, bt_settings *settings,
                             bt_error *error) BT_MUST_CHECK;

/* Frozen baselines of a unit and characteristic whose period had ended by `until`, in order of
 * their `from`. A later version of its derivation that begins on the same day or before takes a
 * baseline's place.
 * Those of a characteristic of the clinic's own are found by its key in the settings in force:
 * while these don't name it, they can't be asked for (BT_USAGE). Owned array. */
bt_status bt_ledger_baselines(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                              bt_time until, bt_baseline **baselines, size_t *n,
                              bt_error *error) BT_MUST_CHECK;

/* The first baseline: the days that were frozen first of all (in order of the entries, not of the
 * days) for that derivation and had ended by `until`, with the numbers of the newest version of
 * exactly those days. So days that are frozen anew after a correction count as corrected, while no
 * baseline of other days, earlier, later or overlapping, ever takes the first one's place. version
 * 0: there is none. Owned (bt_baseline_free). */
bt_status bt_ledger_first_baseline(bt_ledger *ledger, const char *unit,
                                   bt_characteristic characteristic, int64_t derivation,
                                   bt_time until, bt_baseline *first,
                                   bt_error *error) BT_MUST_CHECK;

/* From now on histories, settings, baselines, dispositions and corrections, a unit's sources, and
 * of the tables those of checks, events, held rows, refusals, sources and dispositions are read as
 * they stood after that entry; 0: as they are. Texts that were removed since are gone all the same;
 * provenance and all that writes see the ledger of today. */
void bt_ledger_as_of(bt_ledger *ledger, int64_t entry);

#endif
