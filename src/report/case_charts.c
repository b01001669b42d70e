/* Charts of a case: each characteristic over the span, then about each event that made a difference
 * to it (or about the one event that the case is about, all that are judged). */
#include "report_case.h"

#include <stdio.h>
#include <stdlib.h>

static const bt_time about = 45 * BT_DAY; /* on each side of an event */

/* The characteristic's page under a name of its own: it may come several times. */
static void chart_page(case_pages *on, const bt_study *of, bt_time from, bt_time to, size_t event) {
  bt_report_request request = *on->request;
  char date[REPORT_DATE_TEXT];
  bt_text title = {0}, name = {0};
  request.from = from;
  request.to = to;
  if (!report_has_page(of, &request))
    return;
  bt_text_add(&title, of->quantity.title);
  if (event != BT_NONE) {
    bt_text_add(&title, ": ");
    report_case_day_words(on->one, event, false, &title);
    bt_text_format(&title, ", %s",
                   report_short_date(on->one->unit->history.events[event].time, date));
  }
  if (bt_text_ok(&title))
    request.heading = bt_text_get(&title);
  report_characteristic_page(on->builder, on->one->unit, of, &request,
                             event == BT_NONE ? REPORT_SPEAKS_OF_SPAN : REPORT_SPEAKS_OF_DAYS);
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

/* Whether the events of that day made a difference to it, or the case is about one of them. */
static bool is_charted(const bt_case *one, const bt_study *of, size_t first) {
  const bt_event_effect *effect =
      report_case_effect(one, bt_unit_drift_of(one->unit->drift, of->characteristic), first);
  for (size_t e = first; e < one->unit->history.events_n; e++)
    if (&one->unit->history.events[e] == one->event && report_case_is_of_day(one, first, e))
      return true;
  return effect != NULL && effect->differs;
}

/* Whether the case is about it: it changed, or an event brought it back. */
static bool is_of_case(const bt_case *one, const bt_study *of) {
  const bt_drift *drift = bt_unit_drift_of(one->unit->drift, of->characteristic);
  return drift != NULL && (report_drift_is_changed(drift) || report_case_brought_back(drift));
}

static void about_day(case_pages *on, const bt_study *of, size_t first) {
  const bt_case *one = on->one;
  bt_time at = one->unit->history.events[first].time;
  bt_time from = bt_day_of(at - about) * BT_DAY, to = (bt_day_of(at + about) + 1) * BT_DAY;
  chart_page(on, of, from, to < one->to ? to : one->to, first);
}

/* Of what the case is about, or of all else. */
static void about_events(case_pages *on, bool of_case) {
  const bt_case *one = on->one;
  for (size_t e = 0; e < one->unit->history.events_n; e++)
    for (size_t s = 0; report_case_tells_first(one, e) && s < one->unit->studies_n; s++) {
      const bt_study *of = one->unit->studies[s];
      if (report_is_judged(of) && is_of_case(one, of) == of_case && is_charted(one, of, e))
        about_day(on, of, e);
    }
}

static const double least_drift = 120; /* mm that the charts of drift need, with their head */

/* Its gas fills laid over one another, and the level from fill to fill. */
static void gas_and_drift(case_pages *on, const bt_drift *drift) {
  const bt_unit_study *unit = on->one->unit;
  bt_text words = {0};
  if (on->frame.bottom - on->y >= least_drift)
    report_case_section(on, report_drift_page_title(unit));
  else
    report_case_begin(on, report_drift_page_title(unit));
  report_drift_short(unit, drift, &words);
  report_case_heading(on, bt_text_get(&words));
  bt_text_clear(&words);
  report_drift_pace(drift, false, &words);
  if (!bt_text_empty(&words))
    report_case_paragraph(on, BT_STYLE_CAPTION, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(on->builder, &words);
  report_drift_charts(on->builder, unit, drift, on->y + 2, on->frame.bottom);
}

void report_case_charts(case_pages *on) {
  const bt_case *one = on->one;
  const bt_drift *leads = report_case_leads(one);
  if (leads != NULL && leads->values.n > 0)
    gas_and_drift(on, leads);
  for (size_t s = 0; s < one->unit->studies_n; s++)
    if (!report_case_is_flat(one, one->unit->studies[s]))
      chart_page(on, one->unit->studies[s], one->from, one->to, BT_NONE);
  about_events(on, true);
  about_events(on, false);
  on->y = on->frame.bottom; /* no section goes on below a chart */
}
