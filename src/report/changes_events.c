/* Events of a laser that the revision before did not have, or had otherwise: each is named, since
 * the list of entries only says that some were noted. */
#include "report_pages.h"

#include <string.h>

enum { MOST_EVENTS = 40 };

static bool is_same(const bt_event *a, const bt_event *b) {
  const char *one = a->note == NULL ? "" : a->note, *other = b->note == NULL ? "" : b->note;
  return a->time == b->time && a->kind == b->kind && strcmp(one, other) == 0;
}

/* How often a history has the event: two alike may be on record. */
static size_t times_in(const bt_history *history, const bt_event *event, size_t up_to) {
  size_t n = 0;
  for (size_t i = 0; i < history->events_n && i < up_to; i++)
    n += is_same(&history->events[i], event);
  return n;
}

/* Rows of the events that `in` has and `other` has not; returns how many more have no row. */
static size_t rows(report_sheet *sheet, const bt_history *in, const bt_history *other,
                   const char *what, size_t *n) {
  static const report_column columns[] = {
      {0, "Event of"}, {0.16, "What"}, {0.36, "Note"}, {0.82, "Now"}};
  enum { N = sizeof columns / sizeof *columns };
  size_t more = 0;
  for (size_t i = 0; i < in->events_n; i++) {
    const bt_event *event = &in->events[i];
    char moment[REPORT_DATE_TEXT];
    if (times_in(in, event, i) < times_in(other, event, other->events_n))
      continue;
    if (*n == MOST_EVENTS) {
      more++;
      continue;
    }
    if ((*n)++ == 0)
      report_sheet_heads(sheet, columns, N);
    const char *cells[N] = {report_short_moment(event->time, event->has_clock, moment),
                            bt_event_words(event->kind), event->note == NULL ? "" : event->note,
                            what};
    report_sheet_row(sheet, columns, N, cells);
  }
  return more;
}

void report_changes_events(report_sheet *sheet, const bt_unit_study *unit,
                           const bt_unit_study *before) {
  size_t n = 0;
  report_sheet_heading(sheet, "Events that are new, gone or told otherwise");
  size_t more = rows(sheet, &unit->history, &before->history, "new", &n);
  more += rows(sheet, &before->history, &unit->history, "gone", &n);
  report_sheet_rest(sheet, more, "more event", "more events", "beamtally event --list");
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None.");
}
