/* What a case is about: the drift that leads it, and which events belong to it. */
#include "report_case.h"

#include <math.h>
#include <stdio.h>

const bt_drift *report_case_leads(const bt_case *one) {
  const bt_unit_drift *all = one->unit->drift;
  const bt_drift *leads = NULL;
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    if (report_drift_is_changed(drift) &&
        (leads == NULL || drift->change.likelihood_ratio / drift->look.threshold >
                              leads->change.likelihood_ratio / leads->look.threshold))
      leads = drift;
  }
  return leads;
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
