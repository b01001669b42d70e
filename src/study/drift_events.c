/* What events did to a characteristic, and the window that drift is looked for in.
 *
 * R1 Each event but refills is compared before and after, no other such event between; events of
 *    one day are one.
 * R2 The window begins at the last event that moved the values: a service, recalibration or meter
 *    change that differs before and after (p < 0.01, a single look), or a cleaning or bottle change
 *    that differs to the better. One that did nothing doesn't end a drift, and dates must be able
 *    to lie before it. What lies before the window is looked at no more.
 *    Where a drift is told from chance up to the event, it makes a difference by itself as it goes
 *    on: the values less its line must differ as well, or an event that did nothing would hide it.
 * R3 An event with under 4 values after it can't be told yet: the window goes on over it.
 * R4 A slope that goes on over an event makes a difference by itself. Of an event after all the
 *    dates of a hinge's onset the values less its fitted line are compared as well; where the onset
 *    may lie after the event, such a comparison would take off what it asks about.
 * R5 The same of a hinge that is told up to the event that began the window: of that event, and of
 *    those that it went on over before. */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>

enum { LEAST_AFTER = 4 };

static const double event_p = 0.01;

static bool counts(const bt_event *event) {
  return event->kind != BT_EVENT_GAS_REFILL && event->kind != BT_EVENT_OTHER;
}

static bool same_day(const bt_event *a, const bt_event *b) {
  return bt_day_of(a->time) == bt_day_of(b->time);
}

/* R2. */
static bool begins_window(const bt_drift *drift, bt_event_kind kind,
                          const bt_event_effect *effect) {
  if (!effect->differs)
    return false;
  bool better = drift->loss == 0 || effect->about.difference * drift->loss < 0;
  switch (kind) {
  case BT_EVENT_SERVICE:
  case BT_EVENT_RECALIBRATION:
  case BT_EVENT_METER_CHANGED:
    return true;
  case BT_EVENT_OPTICS_CLEANED:
  case BT_EVENT_GAS_BOTTLE:
    return better;
  default:
    return false;
  }
}

/* The event's difference, that line taken off, which goes on over it. */
static bt_status less_slope(const bt_drift *drift, const bt_hinge *hinge, double day, double before,
                            double after, bt_comparison *about, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  double *off = bt_new(values->n, sizeof *off);
  if (off == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < values->n; i++)
    off[i] = values->value[i] - hinge->per_day * fmax(0, values->day[i] - hinge->day);
  bt_status status =
      bt_before_after_find(values->day, off, values->n, day, before, after, about, error);
  free(off);
  return status;
}

/* Days of the events before and after event e that no comparison reaches over. */
static void neighbours(const bt_history *history, size_t e, double *before, double *after) {
  *before = -INFINITY;
  *after = INFINITY;
  for (size_t k = e; k > 0 && *before == -INFINITY; k--)
    if (counts(&history->events[k - 1]) && !same_day(&history->events[k - 1], &history->events[e]))
      *before = drift_day(history->events[k - 1].time);
  for (size_t k = e + 1; k < history->events_n && *after == INFINITY; k++)
    if (counts(&history->events[k]) && !same_day(&history->events[k], &history->events[e]))
      *after = drift_day(history->events[k].time);
}

/* R3 */
static bool differs(const bt_comparison *about) {
  return about->given && about->has_interval && about->after.n >= LEAST_AFTER && about->p < event_p;
}

/* R2: sets whether an event that may begin the window moved the values beyond a slope before it. */
static bt_status moves(const drift_unit *of, const bt_drift *drift, double day, double before,
                       double after, bt_event_effect *effect, bt_error *error) {
  bt_look look;
  bt_change change;
  bt_comparison beyond = effect->about;
  bt_status status =
      study_drift_change_between(of, drift, drift->window.from, day, &look, &change, error);
  if (status == BT_OK && look.given) {
    bt_moved moved = bt_moved_of(&change, &look);
    if (moved.changed && moved.kind == BT_CHANGE_HINGE)
      status = less_slope(drift, &change.hinge, day, before, after, &beyond, error);
  }
  effect->moved = status == BT_OK && differs(&beyond);
  return status;
}

bt_status study_drift_events(const drift_unit *of, bt_drift *drift, bt_error *error) {
  const bt_history *history = &of->unit->history;
  const bt_drift_values *values = &drift->values;
  bt_status status = BT_OK;
  drift->window =
      (bt_window){.event = BT_NONE, .from = history->n > 0 ? history->at[0] : of->unit->until};
  drift->events = bt_new(history->events_n, sizeof *drift->events);
  if (drift->events == NULL)
    return bt_fail_memory(error);
  for (size_t e = 0; e < history->events_n && status == BT_OK; e++) {
    const bt_event *event = &history->events[e];
    if (!counts(event) || event->time >= of->unit->until)
      continue;
    double before, after;
    neighbours(history, e, &before, &after);
    bt_event_effect *effect = &drift->events[drift->events_n];
    effect->event = e;
    status = bt_before_after_find(values->day, values->value, values->n, drift_day(event->time),
                                  before, after, &effect->about, error);
    effect->differs = status == BT_OK && differs(&effect->about);
    drift->events_n += status == BT_OK;
    if (status != BT_OK || !begins_window(drift, event->kind, effect))
      continue;
    status = moves(of, drift, drift_day(event->time), before, after, effect, error);
    if (status != BT_OK || !effect->moved)
      continue;
    if (drift->window.event != BT_NONE && same_day(event, &history->events[drift->window.event]))
      continue; /* R1: the window began with the first of that day */
    drift->window = (bt_window){.event = e, .from = event->time};
  }
  return status;
}

/* R4: of events after all dates of the onset, up to the day `last`. */
static bt_status take_off(const drift_unit *of, bt_drift *drift, const bt_moved *moved,
                          const bt_hinge *hinge, int64_t last, bt_error *error) {
  const bt_history *history = &of->unit->history;
  if (!moved->changed || moved->kind != BT_CHANGE_HINGE)
    return BT_OK;
  bt_status status = BT_OK;
  for (size_t e = 0; e < drift->events_n && status == BT_OK; e++) {
    bt_event_effect *effect = &drift->events[e];
    bt_time time = history->events[effect->event].time;
    double day = drift_day(time), before, after;
    if (day <= moved->to || bt_day_of(time) > last)
      continue;
    neighbours(history, effect->event, &before, &after);
    status = less_slope(drift, hinge, day, before, after, &effect->beyond, error);
  }
  return status;
}

bt_status study_drift_beyond(const drift_unit *of, bt_drift *drift, bt_error *error) {
  return take_off(of, drift, &drift->moved, &drift->change.hinge, INT64_MAX, error);
}

bt_status study_drift_beyond_before(const drift_unit *of, bt_drift *drift, bt_error *error) {
  return take_off(of, drift, &drift->before.moved, &drift->before.change.hinge,
                  bt_day_of(drift->before.until), error);
}

bt_comparison study_drift_about(const drift_unit *of, const bt_drift *drift, bt_event_kind kind) {
  bt_comparison last = {0};
  for (size_t e = 0; e < drift->events_n; e++) {
    const bt_event *event = &of->unit->history.events[drift->events[e].event];
    if (event->kind == kind && event->time >= drift->window.from && drift->events[e].differs)
      last = drift->events[e].about;
  }
  return last;
}
