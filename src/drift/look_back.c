/* Look-back: which days may a change have affected? It answers what is asked when equipment is
 * found unfit: may earlier results be affected (ISO 9001:2015, 7.1.5.2).
 *
 * Requirements
 *   L1  last_good is the last check before the earliest date of the change that was inside
 *       tolerance.
 *   L2  Affected is every day with a check after it, until the first good check at or after a
 *       restoring event (optics cleaned, service, recalibration, meter changed, gas bottle) that
 *       came at or after that earliest date; without one, every day to the end.
 *   L3  That good check isn't affected; its day is when an earlier check of it was.
 *   L4  Without a check inside tolerance before, every day from the first check on is affected.
 *   L5  They are days with a check in the log: surgery days are not known.
 *
 * Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/look_back.c). */
#include "beamtally/drift.h"
#include "drift_window.h"

bt_look_back bt_look_back_find(const bt_time *at, const uint8_t *outside, size_t n,
                               bt_time earliest, const bt_event *events, size_t events_n,
                               bt_time *day) {
  bt_look_back found = {.last_good = BT_NONE, .event = BT_NONE, .restored = BT_NONE};
  for (size_t i = 0; i < n && at[i] < earliest; i++)
    if (!outside[i])
      found.last_good = i; /* L1 */
  for (size_t e = 0; e < events_n && found.event == BT_NONE; e++)
    if (drift_moves_levels(events[e].kind) && events[e].time >= earliest)
      found.event = e;
  size_t first = found.last_good == BT_NONE ? 0 : found.last_good + 1; /* L4 */
  for (size_t i = first; i < n; i++) {
    bool later = found.event != BT_NONE && at[i] >= events[found.event].time;
    if (later && !outside[i]) {
      found.restored = i; /* L2, L3 */
      break;
    }
    bt_time of = bt_day_of(at[i]) * BT_DAY;
    if (found.days == 0 || day[found.days - 1] != of)
      day[found.days++] = of;
  }
  return found;
}
