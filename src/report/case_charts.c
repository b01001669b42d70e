/* Charts of a case: each characteristic over the span, then about each event that made a difference
 * to it (or about the one event that the case is about, all that are judged). */
#include "report_case.h"

#include <stdio.h>
#include <stdlib.h>

static const bt_time about = 45 * BT_DAY; /* on each side of an event */

/* The characteristic's page under a name of its own: it may come several times. */
static void chart_page(case_pages *on, const bt_study *of, bt_time from, bt_time to,
                       const bt_event *event) {
  bt_report_request request = *on->request;
  char date[REPORT_DATE_TEXT];
  bt_text title = {0}, name = {0};
  request.from = from;
  request.to = to;
  if (!report_has_page(of, &request))
    return;
  bt_text_add(&title, of->quantity.title);
  if (event != NULL)
    bt_text_format(&title, ": %s, %s", bt_event_words(event->kind),
                   report_short_date(event->time, date));
  if (bt_text_ok(&title))
    request.heading = bt_text_get(&title);
  report_characteristic_page(on->builder, on->one->unit, of, &request,
                             event == NULL ? REPORT_SPEAKS_OF_SPAN : REPORT_SPEAKS_OF_DAYS);
  bt_text_format(&name, "chart-%zu", on->builder->document->pages_n);
  bt_document *document = on->builder->document;
  char *title_text = bt_text_take(&title), *name_text = bt_text_take(&name);
  if (title_text == NULL || name_text == NULL || report_status(on->builder) != BT_OK ||
      document->pages_n == 0) {
    if (title_text == NULL || name_text == NULL)
      report_no_memory(on->builder);
    free(title_text);
    free(name_text);
    return;
  }
  bt_page *page = &document->pages[document->pages_n - 1];
  free(page->title);
  free(page->name);
  page->title = title_text;
  page->name = name_text;
}

/* Whether the event made a difference to it. */
static bool differs(const bt_case *one, const bt_study *of, size_t event) {
  const bt_drift *drift = bt_unit_drift_of(one->unit->drift, of->characteristic);
  for (size_t i = 0; drift != NULL && i < drift->events_n; i++)
    if (drift->events[i].event == event && drift->events[i].differs)
      return true;
  return false;
}

static void about_event(case_pages *on, size_t e) {
  const bt_case *one = on->one;
  const bt_event *event = &one->unit->history.events[e];
  bt_time from = bt_day_of(event->time - about) * BT_DAY;
  bt_time to = (bt_day_of(event->time + about) + 1) * BT_DAY;
  if (to > one->to)
    to = one->to;
  for (size_t s = 0; s < one->unit->studies_n; s++) {
    const bt_study *of = one->unit->studies[s];
    if (report_is_judged(of) && (event == one->event || differs(one, of, e)))
      chart_page(on, of, from, to, event);
  }
}

void report_case_charts(case_pages *on) {
  const bt_case *one = on->one;
  for (size_t s = 0; s < one->unit->studies_n; s++)
    if (!report_case_is_flat(one, one->unit->studies[s]))
      chart_page(on, one->unit->studies[s], one->from, one->to, NULL);
  for (size_t e = 0; e < one->unit->history.events_n; e++)
    if (report_case_tells(one, &one->unit->history.events[e]))
      about_event(on, e);
  on->y = on->frame.bottom; /* no section goes on below a chart */
}
