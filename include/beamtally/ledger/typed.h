/* What people put in by hand: events, checks, settings and frozen baselines. */
#ifndef BEAMTALLY_LEDGER_TYPED_H
#define BEAMTALLY_LEDGER_TYPED_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"
#include "beamtally/series.h"
#include "beamtally/setup.h"

/* Each of these is one entry of its own. `by` and `why` must not be empty where asked for
 * (BT_USAGE). An event that is *known, with its note if it has one, adds no entry; a further note
 * of one that is there is stored as an event of its own. One of an unseen unit is BT_REFUSED with
 * the nearest name, unless new_unit. */
bt_status bt_ledger_add_event(bt_ledger *ledger, const bt_event *event, bool new_unit,
                              const char *by, bt_time now, bool *known,
                              bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_add_settings(bt_ledger *ledger, const bt_settings *settings, const char *by,
                                 const char *why, bt_time now, bt_error *error) BT_MUST_CHECK;

/* A baseline to be stored, with its by and why and what was left out of it; *version is set. */
typedef struct bt_new_baseline {
  const bt_baseline *baseline; /* borrowed, as the exclusions */
  const bt_baseline_exclusion *exclusions;
  size_t exclusions_n;
  int64_t version;
} bt_new_baseline;

/* Stores frozen baselines, each in an entry of its own as the next version of its unit and
 * characteristic; all of them or none. A key of the clinic's own must stand in the settings in
 * force. */
bt_status bt_ledger_add_baselines(bt_ledger *ledger, const char *unit, bt_new_baseline *wanted,
                                  size_t n, bt_time now, bt_error *error) BT_MUST_CHECK;

/* One check typed in by hand. *known: the ledger has one of that unit and time with the same
 * readings, and nothing was added; other readings at that very time are BT_REFUSED (correct it
 * instead). */
bt_status bt_ledger_add_check(bt_ledger *ledger, const bt_check *check, bool new_unit,
                              const char *by, bt_time now, bool *known,
                              bt_error *error) BT_MUST_CHECK;

#endif
