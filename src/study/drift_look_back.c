/* The days that a change may have affected; also of one that an event has brought back since: it is
 * after a repair that this is asked.
 *
 * R1 What restored is an event that moved the values back: one that did nothing, or that the loss
 *    went on over, ends no look-back.
 * R2 Where nothing changed in the window, what is asked is what changed before the event that began
 *    it, or before one that moved the values earlier (R4): in the window before, by the threshold
 * of its own look, if the event moved the values back. What that change was named for is said up to
 * the event only: its readings are looked at no more. R3 Where the event did not move them back
 * there are no days that it ended, but what had changed before is told: the look since the event
 * does not know of it. R4 Where nothing had changed in the window before either, the one before
 * that is looked at, and so on: two events in a row, or a change since the last of them, must not
 * hide what led there. */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>

/* How that event moved the values. */
static double difference_at(const bt_drift *drift, size_t event) {
  for (size_t e = 0; e < drift->events_n; e++)
    if (drift->events[e].event == event)
      return drift->events[e].about.difference;
  return 0;
}

bt_status study_drift_change_between(const drift_unit *of, const bt_drift *drift, bt_time from,
                                     double to, bt_look *look, bt_change *change, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  size_t first = 0, end = 0;
  while (end < values->n && values->day[end] < to)
    end++;
  while (first < end && (values->day[first] < drift_day(from) || end - first > DRIFT_MOST_VALUES))
    first++;
  *look = bt_look_of(end - first, of->charts, of->looks_a_year);
  *change = (bt_change){.kind = BT_CHANGE_NONE};
  return look->given ? bt_change_find(values->day + first, values->value + first, end - first,
                                      change, error)
                     : BT_OK;
}

/* The window that ended where this one begins: with the first event of its day that moved the
 * values, or the first check. */
static bt_window window_before(const drift_unit *of, const bt_drift *drift,
                               const bt_window *window) {
  const bt_history *history = &of->unit->history;
  bt_window found = {.event = BT_NONE, .from = history->at[0]};
  for (size_t e = 0; e < drift->events_n; e++) {
    const bt_event_effect *effect = &drift->events[e];
    bt_time at = history->events[effect->event].time;
    bool begins = found.event == BT_NONE || bt_day_of(at) != bt_day_of(found.from);
    if (effect->moved && begins && bt_day_of(at) < bt_day_of(window->from))
      found = (bt_window){.event = effect->event, .from = at};
  }
  return found;
}

/* R2, R3: what had changed in the window from there up to the event that ended it. */
static bt_status look_before(const drift_unit *of, const bt_drift *drift, const bt_window *ended_by,
                             bt_drift_before *before, bt_error *error) {
  *before = (bt_drift_before){.event = ended_by->event,
                              .until = ended_by->from,
                              .window = window_before(of, drift, ended_by)};
  bt_status status =
      study_drift_change_between(of, drift, before->window.from, drift_day(before->until),
                                 &before->look, &before->change, error);
  if (status != BT_OK || !before->look.given)
    return status;
  before->moved = bt_moved_of(&before->change, &before->look);
  bool back = difference_at(drift, before->event) * before->moved.sign < 0;
  before->changed = before->moved.changed && back;
  before->went_on = before->moved.changed && !back;
  return BT_OK;
}

bt_status study_drift_before(const drift_unit *of, bt_drift *drift, bt_error *error) {
  bt_status status = BT_OK;
  drift->before.event = BT_NONE;
  for (bt_window window = drift->window;
       status == BT_OK && window.event != BT_NONE && !drift->before.moved.changed; /* R4 */
       window = drift->before.window)
    status = look_before(of, drift, &window, &drift->before, error);
  return status;
}

/* Events that moved the values back; of a change before the window that which began it. */
static size_t restoring(const bt_drift *drift, const bt_history *history, bt_event *moving) {
  const bt_moved *moved = drift->moved.changed ? &drift->moved : &drift->before.moved;
  size_t n = 0;
  for (size_t e = 0; e < drift->events_n; e++) {
    const bt_event_effect *effect = &drift->events[e];
    bool back = effect->differs && effect->about.difference * moved->sign < 0; /* R1 */
    if (back && (drift->moved.changed || effect->event == drift->before.event))
      moving[n++] = history->events[effect->event];
  }
  return n;
}

bt_status study_drift_look_back(const drift_unit *of, bt_drift *drift, bt_error *error) {
  const bt_series *checks = &drift->study->checks;
  if (!drift->moved.changed && !drift->before.changed)
    return BT_OK;
  double from = drift->moved.changed ? drift->moved.from : drift->before.moved.from;
  bt_status status = BT_OK;
  uint8_t *outside = bt_new(checks->n, sizeof *outside);
  bt_event *moving = bt_new(drift->events_n, sizeof *moving);
  drift->look_back_day = bt_new(checks->n, sizeof *drift->look_back_day);
  if (outside == NULL || moving == NULL || drift->look_back_day == NULL)
    status = bt_fail_memory(error);
  for (size_t i = 0; i < checks->n && status == BT_OK; i++)
    outside[i] = (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
  if (status == BT_OK) {
    size_t n = restoring(drift, &of->unit->history, moving);
    drift->look_back =
        bt_look_back_find(checks->at, outside, checks->n, (bt_time)floor(from * (double)BT_DAY),
                          moving, n, drift->look_back_day);
  }
  free(moving);
  free(outside);
  return status;
}
