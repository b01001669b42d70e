/* The month's events on the summary page: refills by their days, the others one a line, then what
 * was done last before the month. */
#include "report_pages.h"

#include <string.h>

static const double line_gap = 0.6;

typedef struct list {
  report_builder *builder;
  double left, right, y, bottom;
  double line; /* height of a line with its gap */
  bool cut;    /* some words had no room */
} list;

static bool has_room(const list *at) {
  return at->y + at->line <= at->bottom;
}

static void put_line(list *at, double x, double width, double y, bt_ink ink, const char *words) {
  bt_text cut = {0};
  (void)report_text(at->builder, x, y, BT_STYLE_TABLE, ink, BT_ALIGN_LEFT,
                    report_cut(at->builder, BT_STYLE_TABLE, words, width, &cut));
  at->cut |= strcmp(bt_text_get(&cut), words) != 0;
  report_text_end(at->builder, &cut);
}

static bool is_in(const bt_event *event, bt_time month) {
  return event->time >= bt_month_start(month, 0) && event->time < bt_month_start(month, 1);
}

static bool is_refill(const bt_event *event) {
  return event->kind == BT_EVENT_GAS_REFILL;
}

static void event_words(const bt_event *event, bool with_year, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  bt_text_clear(out);
  bt_text_format(out, "%s  %s",
                 with_year ? report_short_date(event->time, date)
                           : bt_time_short_day(event->time, date),
                 bt_event_words(event->kind));
  if (event->note != NULL && *event->note != '\0')
    bt_text_format(out, ": %s", event->note);
}

/* "8 gas refills: 2, 4, 7 Sep". */
static void refills(list *at, const bt_unit_study *unit, bt_time month) {
  bt_time from = bt_month_start(month, 0), to = bt_month_start(month, 1);
  size_t n = report_refills(unit, from, to), named = 0;
  char day[BT_TIME_TEXT];
  bt_text words = {0};
  if (n > 0 && has_room(at)) {
    report_count(&words, n, "gas refill", "gas refills");
    bt_text_format(&words, "%s: ", report_refills_from(unit));
    for (size_t i = 0; i < unit->fills.n; i++) {
      const bt_fill *fill = &unit->fills.fill[i];
      if (!report_began_in(fill, from, to))
        continue;
      if (++named < n)
        bt_text_format(&words, "%d, ", bt_civil_of(fill->from).day);
      else
        bt_text_add(&words, bt_time_short_day(fill->from, day));
    }
    put_line(at, at->left, at->right - at->left, at->y, BT_INK_TEXT, bt_text_get(&words));
    at->y += at->line;
  }
  report_text_end(at->builder, &words);
}

/* In one column, or two where one is too short; what has no room even so is counted. */
static void others(list *at, const bt_history *history, bt_time month, size_t listed) {
  size_t rows = has_room(at) ? (size_t)((at->bottom - at->y) / at->line) : 0;
  size_t columns = listed > rows ? 2 : 1, room = rows * columns, put = 0;
  double width = (at->right - at->left) / (double)columns;
  bt_text words = {0};
  for (size_t i = 0; i < history->events_n && put < room; i++) {
    const bt_event *event = &history->events[i];
    if (is_refill(event) || !is_in(event, month))
      continue;
    event_words(event, false, &words);
    if (put + 1 == room && listed > room) {
      bt_text_clear(&words);
      bt_text_add(&words, "and ");
      report_count(&words, listed - put, "more event", "more events");
    }
    put_line(at, at->left + (double)(put / rows) * width, width - 2,
             at->y + (double)(put % rows) * at->line, BT_INK_TEXT, bt_text_get(&words));
    put++;
  }
  at->y += (double)(put < rows ? put : rows) * at->line;
  report_text_end(at->builder, &words);
}

/* The newest events before the month, refills apart. */
static void before(list *at, const bt_history *history, bt_time month) {
  enum { MOST = 5 };
  bt_text words = {0};
  size_t put = 0;
  for (size_t i = history->events_n; i > 0 && put < MOST; i--) {
    const bt_event *event = &history->events[i - 1];
    if (is_refill(event) || event->time >= bt_month_start(month, 0))
      continue;
    if (put == 0) {
      if (at->y + 2.4 * at->line > at->bottom)
        break;
      at->y += line_gap * 2;
      put_line(at, at->left, at->right - at->left, at->y, BT_INK_SOFT, "Before that");
      at->y += at->line;
    }
    if (!has_room(at))
      break;
    event_words(event, true, &words);
    put_line(at, at->left, at->right - at->left, at->y, BT_INK_TEXT, bt_text_get(&words));
    at->y += at->line;
    put++;
  }
  report_text_end(at->builder, &words);
}

void report_events_list(report_builder *builder, const bt_unit_study *unit, bt_time month,
                        double left, double right, double top, double bottom) {
  const bt_history *history = &unit->history;
  list at = {.builder = builder, .left = left, .right = right, .y = top, .bottom = bottom};
  bt_text words = {0};
  char name[BT_TIME_TEXT];
  size_t n = report_refills(unit, bt_month_start(month, 0), bt_month_start(month, 1)), listed = 0;
  for (size_t i = 0; i < history->events_n; i++)
    listed += is_in(&history->events[i], month) && !is_refill(&history->events[i]);
  n += listed;
  bt_text_format(&words, "Events in %s", bt_time_month(month, name));
  report_size head = report_text(builder, left, top, BT_STYLE_HEADING, BT_INK_TEXT, BT_ALIGN_LEFT,
                                 bt_text_get(&words));
  at.y += head.height + 1.2;
  at.line = report_measure(builder, BT_STYLE_TABLE, "0", 0).height + line_gap;
  if (n == 0 && has_room(&at)) {
    put_line(&at, left, right - left, at.y, BT_INK_TEXT, "No event is noted.");
    at.y += at.line;
  }
  refills(&at, unit, month);
  others(&at, history, month, listed);
  before(&at, history, month);
  double lower = head.height - report_measure(builder, BT_STYLE_CAPTION, "0", 0).height - 0.4;
  if (at.cut)
    report_refer(builder, left + head.width + 3, top + lower, BT_STYLE_CAPTION, BT_ALIGN_LEFT,
                 "in full on page ", "record");
  report_text_end(builder, &words);
}
