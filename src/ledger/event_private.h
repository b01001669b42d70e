/* Events as stored: put in, and found by their number. */
#ifndef LEDGER_EVENT_PRIVATE_H
#define LEDGER_EVENT_PRIVATE_H

#include "beamtally/ledger.h"

#include "text_private.h"

/* Stores the event unless it is known: of its unit, time and kind, with the same note or none that
 * is new (event.c); source 0: a person typed it. *silent: a log's event was stored without its
 * note, since a person had that of its unit and time removed. */
bt_status ledger_event_put(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                           int64_t entry, bool *known, bool *silent, bt_error *error) BT_MUST_CHECK;

/* Stores an event whose note is stored; it becomes the last row of `event` (event.c). */
bt_status ledger_event_store(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                             int64_t entry, const ledger_text *note, bt_error *error) BT_MUST_CHECK;

/* BT_NOTFOUND: the ledger has no event of that number (correct_event.c). */
bt_status ledger_event_missing(bt_ledger *ledger, int64_t number, bt_error *error) BT_MUST_CHECK;

/* The event of that number, whether it stands or not; its texts are the caller's. */
bt_status ledger_stored_event(bt_ledger *ledger, int64_t number, bt_event *event,
                              bt_error *error) BT_MUST_CHECK;

#endif
