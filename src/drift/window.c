/* Events that may bring a level back, or move it: the window of what is looked at begins with them,
 * and a look-back ends with them.
 *
 * Requirements
 *   W1  They are an optics cleaning, service, recalibration, meter or bottle change.
 *   W2  The window begins at the last of them up to its end, or at the first check.
 *
 * Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/levels.c, look_back.c). */
#include "beamtally/drift.h"
#include "drift_window.h"

bool drift_moves_levels(bt_event_kind kind) {
  return kind == BT_EVENT_OPTICS_CLEANED || kind == BT_EVENT_SERVICE ||
         kind == BT_EVENT_RECALIBRATION || kind == BT_EVENT_METER_CHANGED ||
         kind == BT_EVENT_GAS_BOTTLE;
}

bt_window bt_window_find(const bt_history *history, bt_time until) {
  bt_window window = {.event = BT_NONE, .from = history->n > 0 ? history->at[0] : until};
  for (size_t e = 0; e < history->events_n && history->events[e].time <= until; e++)
    if (drift_moves_levels(history->events[e].kind))
      window = (bt_window){.event = e, .from = history->events[e].time};
  return window;
}
