/* The event that the days looked at begin with: by how much it moved the level, what it brought
 * back, and what the log cannot tell apart there. The look for drift begins anew at such an event,
 * so that a step on its day is told here or nowhere. */
#include "report_drift.h"

#include <math.h>

const bt_event_effect *report_drift_window_effect(const bt_drift *drift) {
  for (size_t i = 0; drift->window.event != BT_NONE && i < drift->events_n; i++)
    if (drift->events[i].event == drift->window.event && drift->events[i].about.given)
      return &drift->events[i];
  return NULL;
}

/* Events of one day are one: the comparison of any of them is of all. */
const bt_event_effect *report_drift_meter_change(const bt_unit_study *unit, const bt_drift *drift) {
  const bt_event *events = unit->history.events;
  for (size_t i = 0; drift->window.event != BT_NONE && i < drift->events_n; i++) {
    const bt_event *event = &events[drift->events[i].event];
    if (event->kind == BT_EVENT_METER_CHANGED && drift->events[i].moved &&
        bt_day_of(event->time) == bt_day_of(events[drift->window.event].time))
      return &drift->events[i];
  }
  return NULL;
}

static void add_size(const bt_drift *drift, const bt_comparison *by, const char *what,
                     bt_text *out) {
  report_drift_rate(drift, by->difference, by->low, by->high, what, 1, out);
}

/* By how much the event did that the window begins with; without it a reader fears the worst. */
void report_drift_unchanged(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_event_effect *meter = report_drift_meter_change(unit, drift);
  const bt_event_effect *effect = report_drift_window_effect(drift);
  if (meter != NULL) {
    add_size(drift, &meter->about, "", out);
    bt_text_format(out,
                   " with the meter change of %s, which the log cannot tell from a change of the "
                   "laser; no change past the threshold since",
                   report_short_date(unit->history.events[meter->event].time, day));
    return;
  }
  bt_text_add(out, "no change past the threshold");
  if (drift->window.event == BT_NONE)
    return;
  bt_text_format(out, " since %s, when an event moved it",
                 report_short_date(drift->window.from, day));
  if (effect != NULL) {
    bt_text_add(out, ", ");
    add_size(drift, &effect->about, "after minus before", out);
  }
}

/* Of the events of the meter's day the others, which may have moved it as well. */
static void add_same_day(const bt_unit_study *unit, const bt_drift *drift,
                         const bt_event_effect *meter, bt_text *out) {
  const bt_event *events = unit->history.events;
  size_t n = 0;
  for (size_t i = 0; i < drift->events_n; i++) {
    const bt_event *event = &events[drift->events[i].event];
    if (event->kind != BT_EVENT_METER_CHANGED &&
        bt_day_of(event->time) == bt_day_of(events[meter->event].time))
      bt_text_format(out, "%s%s", n++ == 0 ? " On that day as well: " : ", ",
                     bt_event_words(event->kind));
  }
  bt_text_add(out, n > 0 ? "." : "");
}

static void meter_words(const bt_unit_study *unit, const bt_drift *drift,
                        const bt_event_effect *meter, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  bt_text_format(out, "The level changed on the day of the meter change, %s: by ",
                 report_short_date(unit->history.events[meter->event].time, day));
  add_size(drift, &meter->about, "", out);
  bt_text_format(out, ", the mean of %zu checks after less that of %zu before.",
                 meter->about.after.n, meter->about.before.n);
  add_same_day(unit, drift, meter, out);
  bt_text_add(out, " The log cannot tell whether the meter reads otherwise or the laser changed: "
                   "what an old and a new meter read of it on one day would.");
}

void report_drift_at_event(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_event_effect *meter = report_drift_meter_change(unit, drift);
  const bt_event_effect *effect = report_drift_window_effect(drift);
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  if (meter != NULL) {
    meter_words(unit, drift, meter, out);
    return;
  }
  if (effect == NULL || report_drift_is_changed(drift) || report_drift_was_changed(drift))
    return;
  const bt_event *event = &unit->history.events[drift->window.event];
  bt_text_format(out, "The level changed on the day of an event, %s (%s): by ",
                 report_short_date(event->time, day), bt_event_words(event->kind));
  add_size(drift, &effect->about, "after minus before", out);
  bt_text_add(out, ". Drift is looked for since then.");
}

/* What was done may have brought it back where the mean went against the change. */
static void add_after(const bt_drift *drift, const bt_event_effect *effect, bt_event_kind kind,
                      bt_text *out) {
  if (!effect->about.given)
    return;
  bool back = effect->about.difference * drift->before.moved.sign < 0;
  bt_text_add(out, " After it the mean lies ");
  report_add_size(drift->study, effect->about.difference, out);
  bt_text_add(out, " from that before");
  if (effect->differs && back && kind == BT_EVENT_OPTICS_CLEANED)
    bt_text_add(out, ": the cleaning may have helped");
  else if (effect->differs && back)
    bt_text_add(out, ": what was done may have brought it back");
  bt_text_add(out, effect->differs ? "; another reason on those days is not ruled out."
                                   : ", which may be chance.");
}

void report_drift_until_event(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_was_changed(drift))
    return;
  const bt_event *event = &unit->history.events[drift->before.event];
  bt_text_format(out, "Until the event of %s (%s) it was ", report_short_date(event->time, day),
                 bt_event_words(event->kind));
  report_drift_went(&drift->before.moved, out);
  bt_text_add(out, " ");
  report_drift_between(&drift->before.change, "a day", out);
  if (floor(drift->before.change.from) < floor(drift->before.change.to))
    bt_text_format(out, " (likeliest %s)", report_drift_date(drift->before.change.day, day));
  bt_text_add(out, ".");
  for (size_t e = 0; e < drift->events_n; e++)
    if (drift->events[e].event == drift->before.event)
      add_after(drift, &drift->events[e], event->kind, out);
}

/* What came after it: nothing so far, or another event that moved the level. */
static void add_since(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (drift->before.event != drift->window.event)
    bt_text_format(out,
                   " No change is told from chance between it and that of %s (%s), which moved "
                   "the level as well.",
                   report_short_date(drift->window.from, day),
                   bt_event_words(unit->history.events[drift->window.event].kind));
  if (!drift->moved.changed)
    bt_text_format(out, " Since then %zu values, and no change past the threshold.", drift->look.n);
}

void report_drift_before(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_was_changed(drift))
    return;
  report_drift_until_event(unit, drift, out);
  add_since(unit, drift, out);
  bt_text_format(out, " What was named the day before%s: “beamtally drift --unit ",
                 drift->moved.changed ? ", and the days it affects" : "");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_format(out, " --characteristic %s --until %s”.", drift->study->quantity.key,
                 bt_time_day_iso(drift->before.until - BT_DAY, day));
}

void report_drift_earlier(const bt_unit_study *unit, const bt_drift *drift, bool page_1,
                          bt_text *out) {
  char day[REPORT_DATE_TEXT], about[REPORT_DATE_TEXT];
  if (!report_drift_is_changed(drift) || !report_drift_was_changed(drift))
    return;
  bt_text_add(out, ", to ");
  report_add_size(drift->study, drift->from_first, out);
  bt_text_format(out, " from the centre of its %s; before, until %s (%s), it was ",
                 drift->study->from_first.given ? "first baseline" : "baseline",
                 report_short_date(drift->before.until, day),
                 bt_event_words(unit->history.events[drift->before.event].kind));
  report_drift_went(&drift->before.moved, out);
  bt_text_add(out, " ");
  if (page_1)
    bt_text_add(out, report_drift_about(&drift->before.change, about));
  else
    report_drift_between(&drift->before.change, "a day", out);
}
