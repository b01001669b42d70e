/* What a case is about: the drift that leads it, and which events belong to it. */
#include "report_case.h"

#include <math.h>
#include <stdio.h>

const bt_drift *report_case_changed_after(const bt_case *one, const bt_drift *before) {
  const bt_drift *next = report_drift_after(one->unit, before);
  while (next != NULL && !report_drift_is_changed(next))
    next = report_drift_after(one->unit, next);
  return next;
}

const bt_drift *report_case_leads(const bt_case *one) {
  return report_case_changed_after(one, NULL);
}

bool report_case_brought_back(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && drift->before.changed;
}

bool report_case_tells(const bt_case *one, const bt_event *event) {
  if (one->event != NULL && event->number == one->event->number)
    return true;
  return event->kind != BT_EVENT_GAS_REFILL && event->time >= one->from && event->time < one->to;
}

const char *report_case_capital(bt_event_kind kind, char *buffer) {
  (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%s", bt_event_words(kind));
  if (buffer[0] >= 'a' && buffer[0] <= 'z')
    buffer[0] = (char)(buffer[0] - ('a' - 'A'));
  return buffer;
}

bool report_case_is_inside(const bt_change *change, const bt_event *event) {
  double day = (double)bt_day_of(event->time);
  return event->kind != BT_EVENT_GAS_REFILL && day >= floor(change->from) &&
         day <= floor(change->to);
}

void report_case_sentence(bt_text *words) {
  if (words->length > 0)
    bt_text_add(words, " ");
}
