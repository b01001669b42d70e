/* Places the checks of a history in its gas fills: fill, stretch and fill age in days.
 *
 * Requirements
 *   P1  A check belongs to the last fill that began at or before its time; a reading at the time of
 *       the refill to the new fill. After a check whose row says that the refill came after it,
 *       later rows of the same time belong to the new fill too.
 *   P2  A stretch is a fill, split further at an optics cleaning, service, recalibration or meter
 *       change inside it: each is a step within the fill. A reading at the event's time comes after
 *       it. Stretches are numbered from 0 in time order; those without a check have no number.
 *   P3  The age is the logged one where the check has it, else the time since the refill / 24 h.
 *   P4  In a fill whose start isn't known it counts from that fill's first check, known = 0; a
 *       logged age there is known.
 *
 * Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/fill_place.c). */
#include "beamtally/drift.h"

static bool splits(const bt_event *event) {
  return event->kind == BT_EVENT_OPTICS_CLEANED || event->kind == BT_EVENT_SERVICE ||
         event->kind == BT_EVENT_RECALIBRATION || event->kind == BT_EVENT_METER_CHANGED;
}

static void set_age(const bt_fill *fill, const bt_history *history, size_t i, double *age,
                    uint8_t *known) {
  if ((history->present[i] >> BT_READING_FILL_AGE_DAYS & 1U) != 0) {
    *age = history->reading[BT_READING_FILL_AGE_DAYS][i]; /* P3 */
    *known = 1;
    return;
  }
  bt_time elapsed = history->at[i] - fill->from;
  *age = elapsed > 0 ? (double)elapsed / (double)BT_DAY : 0;
  *known = fill->start_known; /* P4: such a fill begins at its first check */
}

bt_status bt_fills_place(const bt_fills *fills, const bt_history *history, int32_t *fill,
                         int32_t *stretch, double *age_days, uint8_t *known, bt_error *error) {
  if (history->n > 0 && (fills->n == 0 || fills->fill[0].from > history->at[0]))
    return bt_fail(error, BT_INPUT,
                   "the gas fills given are not those of this history; find its fills first");
  size_t at_fill = 0, event = 0;
  int32_t at_stretch = 0;
  bool refilled_now = false; /* an earlier row of this time had its refill after it */
  for (size_t i = 0; i < history->n; i++) {
    refilled_now = refilled_now && i > 0 && history->at[i] == history->at[i - 1];
    bt_time moment = history->at[i] + (refilled_now ? 1 : 0); /* P1 */
    refilled_now = refilled_now || history->refill[i] == BT_REFILL_AFTER;
    bool split = false;
    for (; at_fill + 1 < fills->n && fills->fill[at_fill + 1].from <= moment; at_fill++)
      split = true;
    for (; event < history->events_n && history->events[event].time <= history->at[i]; event++)
      split = split || splits(&history->events[event]); /* P2 */
    if (split && i > 0)
      at_stretch++;
    fill[i] = (int32_t)at_fill;
    stretch[i] = at_stretch;
    set_age(&fills->fill[at_fill], history, i, &age_days[i], &known[i]);
  }
  return BT_OK;
}
