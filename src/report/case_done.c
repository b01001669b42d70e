/* What was done to the laser of a case, and what it brought back. */
#include "report_case.h"

void report_case_inside(const bt_case *one, const bt_change *change, bt_text *words) {
  const bt_history *history = &one->unit->history;
  char date[REPORT_DATE_TEXT];
  const char *between = " Inside these dates: ";
  for (size_t e = 0; e < history->events_n; e++) {
    const bt_event *event = &history->events[e];
    if (!report_case_is_inside(change, event))
      continue;
    bt_text_format(words, "%s%s on %s", between, bt_event_words(event->kind),
                   report_short_date(event->time, date));
    between = "; ";
  }
  if (*between == ';')
    bt_text_add(words, ".");
}

const bt_event *report_case_event(const bt_case *one, const bt_drift *drift) {
  return &one->unit->history.events[drift->before.event];
}

void report_case_back(const bt_case *one, bt_text *words) {
  const bt_unit_drift *all = one->unit->drift;
  size_t before = 0;
  char date[REPORT_DATE_TEXT];
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    if (!report_case_brought_back(drift) || report_case_event(one, drift)->time < one->from)
      continue;
    report_case_sentence(words);
    bt_text_format(words, "%s. ", drift->study->quantity.title);
    report_drift_until_event(one->unit, drift, words);
    report_case_inside(one, &drift->before.change, words);
  }
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    if (!report_case_brought_back(drift) || report_case_event(one, drift)->time >= one->from)
      continue;
    if (before == 0)
      report_case_sentence(words);
    bt_text_format(
        words, "%s%s (%s, %s)", before++ == 0 ? "Brought back before these days: " : "; ",
        drift->study->quantity.title, bt_event_words(report_case_event(one, drift)->kind),
        report_short_date(report_case_event(one, drift)->time, date));
  }
  if (before > 0)
    bt_text_add(words, ".");
}

/* What differs after these events; a line that goes on is taken off. One that ended with an event
 * which moved the values is a part of what that event made. */
static const bt_comparison *made(const bt_event_effect *effect) {
  const bt_comparison *by =
      effect->beyond.given && !effect->moved ? &effect->beyond : &effect->about;
  return by->has_interval && by->p < 0.01 ? by : NULL;
}

static void what_they_made(const bt_case *one, bt_text *words) {
  const bt_unit_drift *all = one->unit->drift;
  char date[REPORT_DATE_TEXT];
  size_t n = 0, most = 3;
  for (size_t e = 0; e < one->unit->history.events_n; e++)
    for (size_t i = 0; report_case_tells_first(one, e) && i < all->n; i++) {
      const bt_event_effect *effect = report_case_effect(one, &all->drift[i], e);
      if (effect == NULL || made(effect) == NULL || n++ >= most)
        continue;
      bt_text_format(
          words, "%s%s on %s, ",
          n == 1
              ? " Differences told from chance (p under 0.01, one look each), after minus before: "
              : "; ",
          all->drift[i].study->quantity.title,
          report_short_date(one->unit->history.events[e].time, date));
      report_drift_rate(&all->drift[i], made(effect)->difference, made(effect)->low,
                        made(effect)->high, "", 1, words);
    }
  if (n > most)
    bt_text_format(words, "; and %zu more, see “Before and after”", n - most);
  if (n > 0)
    bt_text_add(words, ".");
}

/* What a change may hang together with: the last of each kind before the span. */
static void what_came_before(const bt_case *one, bt_text *words) {
  static const bt_event_kind kinds[] = {BT_EVENT_METER_CHANGED, BT_EVENT_OPTICS_CLEANED,
                                        BT_EVENT_GAS_BOTTLE,    BT_EVENT_SERVICE,
                                        BT_EVENT_RECALIBRATION, BT_EVENT_MOVED};
  const bt_history *history = &one->unit->history;
  char date[REPORT_DATE_TEXT];
  const char *between = " Before these days, the last of each kind: ";
  for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
    const bt_event *last = NULL;
    for (size_t e = 0; e < history->events_n; e++) {
      const bt_event *event = &history->events[e];
      if (event->kind == kinds[k] && event->time < one->from)
        last = event; /* in order of time */
    }
    if (last == NULL)
      continue;
    bt_text_format(words, "%s%s on %s", between, bt_event_words(last->kind),
                   report_short_date(last->time, date));
    between = "; ";
  }
  if (*between == ';')
    bt_text_add(words, ".");
}

void report_case_done(const bt_case *one, bt_text *words) {
  const bt_history *history = &one->unit->history;
  char date[REPORT_DATE_TEXT], kind[REPORT_NUMBER_TEXT];
  size_t refills = report_refills(one->unit, one->from, one->to), told = 0, compared = 0, most = 10;
  for (size_t e = 0; e < history->events_n; e++) {
    const bt_event *event = &history->events[e];
    if (!report_case_tells(one, event))
      continue;
    compared += report_case_compared(event->kind);
    if (told++ >= most)
      continue;
    bt_text_format(words, "%s%s on %s", told == 1 ? "" : "; ",
                   told == 1 ? report_case_capital(event->kind, kind) : bt_event_words(event->kind),
                   report_short_date(event->time, date));
    if (event->note != NULL && *event->note != '\0')
      bt_text_format(words, " (%s)", event->note);
  }
  if (told > most)
    bt_text_format(words, "; and %zu more, see events.csv", told - most);
  if (told > 0)
    bt_text_add(words, ". ");
  if (refills == 0)
    bt_text_add(words, told > 0 ? "No gas refill is recorded in these days."
                                : "Nothing was recorded in these days, no gas refill either.");
  else {
    report_count(words, refills, "gas refill", "gas refills");
    bt_text_add(words, report_refills_from(one->unit));
    bt_text_add(words, told > 0 ? "." : ", and nothing else that was recorded in these days.");
  }
  if (compared > 0 && !report_case_compares_within(one))
    bt_text_add(words, " Too few checks on a side of each to compare before and after.");
  what_they_made(one, words);
  what_came_before(one, words);
}
