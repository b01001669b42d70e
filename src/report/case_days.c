/* Events of one day are one: readings cannot tell what each of them made, and they are named,
 * charted and compared together. */
#include "report_case.h"

bool report_case_is_of_day(const bt_case *one, size_t first, size_t event) {
  const bt_event *a = &one->unit->history.events[first], *b = &one->unit->history.events[event];
  return first == event || (a->kind != BT_EVENT_GAS_REFILL && b->kind != BT_EVENT_GAS_REFILL &&
                            bt_day_of(a->time) == bt_day_of(b->time));
}

size_t report_case_first_of_day(const bt_case *one, size_t event) {
  for (size_t e = 0; e < event; e++)
    if (report_case_is_of_day(one, e, event))
      return e;
  return event;
}

bool report_case_tells_first(const bt_case *one, size_t first) {
  if (report_case_first_of_day(one, first) != first)
    return false;
  for (size_t e = first; e < one->unit->history.events_n; e++)
    if (report_case_is_of_day(one, first, e) &&
        report_case_tells(one, &one->unit->history.events[e]))
      return true;
  return false;
}

void report_case_day_words(const bt_case *one, size_t first, bool capital, bt_text *words) {
  const bt_history *history = &one->unit->history;
  bt_event_kind kinds[BT_EVENT_COUNT];
  size_t n = 0;
  char buffer[REPORT_NUMBER_TEXT];
  for (size_t e = first; e < history->events_n; e++) {
    bool named = !report_case_is_of_day(one, first, e);
    for (size_t k = 0; k < n; k++)
      named = named || kinds[k] == history->events[e].kind;
    if (!named)
      kinds[n++] = history->events[e].kind;
  }
  for (size_t k = 0; k < n; k++)
    bt_text_format(words, "%s%s",
                   k == 0      ? ""
                   : k + 1 < n ? ", "
                               : " and ",
                   k == 0 && capital ? report_case_capital(kinds[k], buffer)
                                     : bt_event_words(kinds[k]));
}

const bt_event_effect *report_case_effect(const bt_case *one, const bt_drift *drift, size_t first) {
  for (size_t i = 0; drift != NULL && i < drift->events_n; i++)
    if (drift->events[i].about.given && report_case_is_of_day(one, first, drift->events[i].event))
      return &drift->events[i];
  return NULL;
}
