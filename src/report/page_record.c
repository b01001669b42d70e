/* Signals and decisions: steps that the summary had no room for, what was done to the laser,
 * dispositions that later entries left without an episode, and episodes with what was concluded of
 * them. Long lists keep their newest entries and count the rest; old episodes fill what room the
 * page has left and begin no other. */
#include "report_pages.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_EPISODES = 60, MOST_OLD = 8, MOST_ALONE = 20, MOST_EVENTS = 60 };

/* An episode with its study; or, without one, a disposition that stands alone. */
typedef struct listed {
  const bt_study *of;
  const bt_episode *episode;
  const bt_disposition *alone;
  bt_time last;
  bool open, fresh; /* fresh: something happened to it in the month or later */
  bool alarm;       /* the worst that it was */
  bool shown;
} listed;

typedef struct list {
  listed *item;
  size_t n, room;
} list;

/* What is open comes first, then what was an alarm, what the month touched, the newest. */
static int in_order(const void *a, const void *b) {
  const listed *one = a, *other = b;
  if (one->open != other->open)
    return one->open ? -1 : 1;
  if (one->alarm != other->alarm)
    return one->alarm ? -1 : 1;
  if (one->fresh != other->fresh)
    return one->fresh ? -1 : 1;
  if (one->last != other->last)
    return one->last > other->last ? -1 : 1;
  return one->of->characteristic < other->of->characteristic ? -1 : 1;
}

static void append(report_builder *builder, list *to, listed item) {
  if (bt_grow(&to->item, &to->room, to->n + 1, sizeof *to->item))
    to->item[to->n++] = item;
  else
    report_no_memory(builder);
}

/* Something happened to it in the month, or after the month was over. */
static bool is_fresh(const bt_study *of, const bt_episode *episode, bt_time month) {
  const bt_disposition *disposition = report_disposition(of, episode);
  return of->points.at[episode->last] >= month || (disposition != NULL && disposition->at >= month);
}

static list episodes_of(report_builder *builder, const bt_unit_study *unit, bt_time month) {
  list found = {0};
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    for (size_t e = 0; e < of->episodes_n && report_is_judged(of); e++)
      append(builder, &found,
             (listed){.of = of,
                      .episode = &of->episodes[e],
                      .last = of->points.at[of->episodes[e].last],
                      .open = bt_study_is_open(of, &of->episodes[e]),
                      .alarm = of->episodes[e].strength == BT_ALARM,
                      .fresh = is_fresh(of, &of->episodes[e], month)});
  }
  if (found.n > 1)
    qsort(found.item, found.n, sizeof *found.item, in_order);
  return found;
}

static list left_alone(report_builder *builder, const bt_unit_study *unit) {
  list found = {0};
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    for (size_t d = 0; d < of->dispositions_n; d++)
      if (!of->disposition_used[d])
        append(builder, &found,
               (listed){.of = of, .alone = &of->dispositions[d], .last = of->dispositions[d].at});
  }
  if (found.n > 1)
    qsort(found.item, found.n, sizeof *found.item, in_order);
  return found;
}

static const report_column episode_columns[] = {{0, "Episode"},
                                                {0.075, "Characteristic"},
                                                {0.2, "Signals"},
                                                {0.405, "From " REPORT_DASH " to"},
                                                {0.575, "What was concluded"}};
enum { EPISODE_COLUMNS = 5 };

static void episode_row(report_sheet *sheet, const listed *one) {
  const bt_study *of = one->of;
  const bt_episode *episode = one->episode;
  const bt_disposition *disposition = report_disposition(of, episode);
  char period[REPORT_DATE_TEXT];
  bt_text what = {0}, concluded = {0};
  bt_text_add(&what, one->fresh ? "• " : "");
  report_episode_brief(of, episode, &what);
  if (disposition != NULL)
    report_concluded_words(of, episode, &concluded);
  else
    bt_text_add(&concluded, "undecided");
  const char *cells[EPISODE_COLUMNS] = {
      episode->id, of->quantity.title, bt_text_get(&what),
      report_short_period(of->points.at[episode->first], one->last, period),
      bt_text_get(&concluded)};
  report_sheet_row(sheet, episode_columns, EPISODE_COLUMNS, cells);
  report_text_end(sheet->builder, &what);
  report_text_end(sheet->builder, &concluded);
}

/* Those without a row, by their strength. */
static void earlier(report_sheet *sheet, const list *found) {
  bt_text words = {0};
  size_t alarms = 0, n = 0;
  for (size_t i = 0; i < found->n; i++) {
    n += !found->item[i].shown;
    alarms += !found->item[i].shown && found->item[i].alarm;
  }
  if (n == 0)
    return;
  bt_text_add(&words, "and ");
  report_count(&words, n, "earlier episode", "earlier episodes");
  report_add_strengths(alarms, n - alarms, &words);
  bt_text_add(&words, ", see “beamtally signals”");
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

/* What the rows that must stand behind that one take, and the count of those without a row. */
static double room_behind(const report_sheet *sheet, const list *found, size_t i) {
  static const double row = 1.6; /* lines: some rows have two */
  double lines = i + 1 < found->n ? 2 : 0;
  for (size_t k = i + 1; k < found->n; k++)
    lines += found->item[k].fresh ? row : 0;
  return lines * sheet->line;
}

static void episodes(report_sheet *sheet, list *found) {
  report_sheet_heading(
      sheet, "Episodes of signals: open ones, then alarms, then notices, the newest first");
  if (found->n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None in this record.");
    return;
  }
  report_sheet_paragraph(sheet, BT_INK_SOFT,
                         "•: a signal of it, or what was concluded of it, is of this month or "
                         "later.");
  report_sheet_heads(sheet, episode_columns, EPISODE_COLUMNS);
  size_t shown = 0, old = 0;
  for (size_t i = 0; i < found->n && shown < MOST_EPISODES; i++) {
    listed *one = &found->item[i];
    bool is_old = !one->open && !one->fresh;
    if (is_old && (old == MOST_OLD ||
                   sheet->y + room_behind(sheet, found, i) + sheet->line > sheet->frame.bottom)) {
      old = MOST_OLD; /* else one that is older still might find room */
      continue;
    }
    old += is_old;
    if (i > 0 && !one->open && found->item[i - 1].open)
      sheet->y += sheet->line / 2;
    episode_row(sheet, one);
    one->shown = true;
    shown++;
  }
  earlier(sheet, found);
}

static void alone(report_sheet *sheet, const list *found) {
  if (found->n == 0)
    return;
  report_sheet_heading(sheet, "Dispositions that later entries left without an episode");
  size_t shown = found->n < MOST_ALONE ? found->n : MOST_ALONE;
  for (size_t i = 0; i < shown; i++) {
    const listed *one = &found->item[i];
    bt_text about = {0}, concluded = {0};
    report_disposition_about(one->alone, &about);
    report_disposition_words(one->alone, &concluded);
    const char *cells[EPISODE_COLUMNS] = {one->alone->episode, one->of->quantity.title,
                                          bt_text_get(&about), "", bt_text_get(&concluded)};
    report_sheet_row(sheet, episode_columns, EPISODE_COLUMNS, cells);
    report_text_end(sheet->builder, &about);
    report_text_end(sheet->builder, &concluded);
  }
  report_sheet_rest(sheet, found->n - shown, "more disposition", "more dispositions",
                    "beamtally signals");
}

static const report_column event_columns[] = {{0, "Day"}, {0.11, "What was done"}, {0.3, "Note"}};
enum { EVENT_COLUMNS = 3 };

/* They stand at the day's first moment. */
static void without_time(report_sheet *sheet, const bt_history *history) {
  bt_text words = {0};
  size_t n = 0;
  for (size_t i = 0; i < history->events_n; i++)
    n += !history->events[i].has_clock;
  if (n == 0)
    return;
  report_count(&words, n, "event has no time of day: it counts",
               "events have no time of day: each counts");
  bt_text_add(&words, " as done before that day’s checks.");
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

/* Refills stand as bars on every chart; here are the others, the newest first. */
static void events(report_sheet *sheet, const bt_unit_study *unit) {
  const bt_history *history = &unit->history;
  size_t refills = report_refills(unit, INT64_MIN, INT64_MAX), others = 0, shown = 0;
  bt_text words = {0};
  for (size_t i = 0; i < history->events_n; i++)
    others += history->events[i].kind != BT_EVENT_GAS_REFILL;
  report_sheet_heading(sheet, "What was done to the laser, the newest first");
  if (refills == 0)
    bt_text_add(&words, others == 0 ? "No event is noted in this record."
                                    : "No gas refill is noted in this record.");
  else {
    report_count(&words, refills, "gas refill in this record", "gas refills in this record");
    bt_text_format(&words, "%s %s above the charts.", report_refills_from(unit),
                   refills == 1 ? "stands as a bar" : "stand as bars");
    bt_text_add(&words, others == 0 ? " No other event is noted." : " All else:");
  }
  report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  if (others > 0)
    report_sheet_heads(sheet, event_columns, EVENT_COLUMNS);
  for (size_t i = history->events_n; i > 0 && shown < MOST_EVENTS; i--) {
    const bt_event *event = &history->events[i - 1];
    char date[REPORT_DATE_TEXT];
    if (event->kind == BT_EVENT_GAS_REFILL)
      continue;
    const char *cells[EVENT_COLUMNS] = {report_short_date(event->time, date),
                                        bt_event_words(event->kind),
                                        event->note == NULL ? "" : event->note};
    report_sheet_row(sheet, event_columns, EVENT_COLUMNS, cells);
    shown++;
  }
  report_sheet_rest(sheet, others - shown, "earlier event", "earlier events", "beamtally export");
  without_time(sheet, history);
  report_text_end(sheet->builder, &words);
}

/* All in full where the summary had no room for that. */
static void steps(report_sheet *sheet, const bt_unit_study *unit, bt_time since, size_t first) {
  bt_text step = {0}, line = {0};
  for (size_t i = first; report_next_step(unit, since, i, &step); i++) {
    if (i == first)
      report_sheet_heading(sheet,
                           first == 0 ? "What to do next, in full" : "What to do next, continued");
    bt_text_clear(&line);
    bt_text_format(&line, "•  %s", bt_text_get(&step));
    report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&line));
  }
  report_text_end(sheet->builder, &step);
  report_text_end(sheet->builder, &line);
}

void report_record_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request) {
  report_sheet sheet;
  bt_text subtitle = {0};
  char month[BT_TIME_TEXT];
  bt_text_format(&subtitle, "%s  ·  %s  ·  up to the end of the report", unit->history.unit,
                 bt_time_month(request->month, month));
  bool apart = strcmp(report_selftest_place(unit, request), "record") != 0;
  report_sheet_begin(&sheet, builder,
                     apart ? "Signals and decisions" : "Signals, decisions, self-test and room",
                     "record", bt_text_get(&subtitle));
  steps(&sheet, unit, request->from, builder->steps);
  list found = episodes_of(builder, unit, bt_month_start(request->month, 0)),
       left = left_alone(builder, unit);
  events(&sheet, unit);
  report_selftest_section(&sheet, unit, request);
  alone(&sheet, &left);
  episodes(&sheet, &found);
  report_text_end(builder, &subtitle);
  free(found.item);
  free(left.item);
}
