/* What speaks for and against a cause: the facts of the finding, and cleanings, bottle and meter
 * changes after the change. One about which no difference shows is evidence as well, as far as its
 * interval goes, against the part of a cause that it puts to the test; one whose interval leaves
 * out 0, for it, though a single look that is no fact of the finding settles nothing. The cause as
 * a whole keeps its strength. One that lies inside the dates of the change tests nothing: it may be
 * what began it. And what is looked for where none is named. */
#include "report_drift.h"

/* What a cause may lie in that such an event puts to the test. */
typedef struct tested {
  bt_cause_kind cause;
  bt_event_kind event;
  const char *part;
} tested;

static const tested tests[] = {
    {BT_CAUSE_GAS_AGEING, BT_EVENT_GAS_BOTTLE, "the gas supply"},
    {BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_EVENT_OPTICS_CLEANED, "dirt on what was cleaned"},
    {BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_EVENT_GAS_BOTTLE, "the gas supply"},
    {BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_EVENT_METER_CHANGED, "the meter"},
    {BT_CAUSE_DELIVERY_OPTICS, BT_EVENT_OPTICS_CLEANED, "dirt on what was cleaned"}};

/* A slope that goes on makes a difference by itself: it is taken off. */
static const bt_comparison *difference_of(const bt_drift *drift, const bt_event_effect *effect) {
  return drift->moved.kind == BT_CHANGE_HINGE ? &effect->beyond : &effect->about;
}

/* An event of that kind after all dates of the change, with an interval. */
static bool is_test(const bt_unit_study *unit, const bt_drift *drift, const bt_event_effect *effect,
                    bt_event_kind kind) {
  const bt_event *event = &unit->history.events[effect->event];
  const bt_comparison *by = difference_of(drift, effect);
  double day = (double)bt_day_of(event->time);
  return event->kind == kind && drift->moved.changed && day > drift->moved.to &&
         day <= drift->last_day && by->given && by->has_interval;
}

/* 95 % of what the difference may be on both sides of 0. */
static bool is_without_effect(const bt_unit_study *unit, const bt_drift *drift,
                              const bt_event_effect *effect, bt_event_kind kind) {
  const bt_comparison *by = difference_of(drift, effect);
  return is_test(unit, drift, effect, kind) && by->low <= 0 && by->high >= 0;
}

/* All of it on the side that makes up for the change; about a meter on either side. */
static bool may_have_helped(const bt_unit_study *unit, const bt_drift *drift,
                            const bt_event_effect *effect, bt_event_kind kind) {
  const bt_comparison *by = difference_of(drift, effect);
  bool back = by->difference * drift->moved.sign < 0;
  return is_test(unit, drift, effect, kind) && (by->low > 0 || by->high < 0) &&
         (back || kind == BT_EVENT_METER_CHANGED);
}

static void add_events(const bt_unit_study *unit, const bt_drift *drift, const tested *test,
                       bt_text *out) {
  char date[REPORT_DATE_TEXT];
  size_t n = 0;
  for (size_t i = 0; i < drift->events_n; i++) {
    const bt_event_effect *effect = &drift->events[i];
    if (!is_without_effect(unit, drift, effect, test->event))
      continue;
    (void)report_short_date(unit->history.events[effect->event].time, date);
    if (n++ == 0)
      bt_text_format(out, "%s in part, against %s, without ruling it out: %s on %s, ",
                     bt_text_empty(out) ? "nothing as a whole;" : ";", test->part,
                     bt_event_words(test->event), date);
    else
      bt_text_format(out, ", and on %s, ", date);
    const bt_comparison *by = difference_of(drift, effect);
    report_drift_rate(drift, by->difference, by->low, by->high, "after minus before", 1, out);
  }
  if (n > 0)
    bt_text_format(out, ": no difference told from chance%s",
                   drift->moved.kind == BT_CHANGE_HINGE ? ", the fitted line taken off" : "");
}

void report_cause_against(const bt_unit_study *unit, const bt_drift *drift, const bt_cause *cause,
                          bt_text *out) {
  bt_facts_words(cause->against, out);
  for (size_t k = 0; k < sizeof tests / sizeof *tests; k++)
    if (tests[k].cause == cause->kind)
      add_events(unit, drift, &tests[k], out);
  if (bt_text_empty(out))
    bt_text_add(out, "nothing in the log");
}

void report_cause_for(const bt_unit_study *unit, const bt_drift *drift, const bt_cause *cause,
                      bt_text *out) {
  const uint32_t told[] = {[BT_EVENT_OPTICS_CLEANED] = BT_FACT_CLEANING_RESTORED,
                           [BT_EVENT_GAS_BOTTLE] = BT_FACT_BOTTLE_RESTORED,
                           [BT_EVENT_METER_CHANGED] = 0};
  char date[REPORT_DATE_TEXT];
  bt_facts_words(cause->evidence, out);
  for (size_t k = 0; k < sizeof tests / sizeof *tests; k++) {
    if (tests[k].cause != cause->kind || (cause->evidence & told[tests[k].event]) != 0)
      continue;
    for (size_t i = 0; i < drift->events_n; i++) {
      const bt_event_effect *effect = &drift->events[i];
      if (!may_have_helped(unit, drift, effect, tests[k].event))
        continue;
      const bt_comparison *by = difference_of(drift, effect);
      bt_text_format(out, "; in part, for %s, without settling it: %s on %s, ", tests[k].part,
                     bt_event_words(tests[k].event),
                     report_short_date(unit->history.events[effect->event].time, date));
      report_drift_rate(drift, by->difference, by->low, by->high, "after minus before", 1, out);
      bt_text_add(out, drift->moved.kind == BT_CHANGE_HINGE
                           ? ", the fitted line taken off (a single look)"
                           : " (a single look)");
    }
  }
}

static const bt_event *newest_without_effect(const bt_unit_study *unit, const bt_drift *drift,
                                             const tested *test) {
  const bt_event *found = NULL;
  for (size_t i = 0; i < drift->events_n; i++) {
    const bt_event *event = &unit->history.events[drift->events[i].event];
    if (is_without_effect(unit, drift, &drift->events[i], test->event) &&
        (found == NULL || event->time > found->time))
      found = event;
  }
  return found;
}

bool report_cause_against_brief(const bt_unit_study *unit, const bt_drift *drift,
                                const bt_cause *cause, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  if (cause->against != 0) {
    bt_text_add(out, "against it: ");
    bt_facts_words(cause->against & (~cause->against + 1), out); /* the first of them */
    return true;
  }
  for (size_t k = 0; k < sizeof tests / sizeof *tests; k++) {
    const bt_event *event =
        tests[k].cause == cause->kind ? newest_without_effect(unit, drift, &tests[k]) : NULL;
    if (event == NULL)
      continue;
    bt_text_format(out, "%s %s, no difference shows: %s is less likely",
                   bt_event_words(event->kind), report_short_date(event->time, date),
                   tests[k].part);
    return true;
  }
  return false;
}

void report_causes_sought(bool by_fills, bt_text *out) {
  bt_text_format(out,
                 "Looked for, as far as the log has the readings: %sa voltage on its way to its "
                 "ceiling; a demand that is raised again and again; delivery optics behind the "
                 "energy meter; plume or test plate; the energy meter; alignment after a move; and "
                 "a spread from pulse to pulse that grows first.",
                 by_fills ? "gas that ages faster in its fills; a loss that refills do not bring "
                            "back (optics, cavity, gas supply or meter); "
                          : "");
}
