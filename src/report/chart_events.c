/* The event lane: gas fills as alternating bars, other events as labelled flags in a few rows.
 *
 * Flags are placed from the right. A staff reaches from the chart to its row, so the words of a
 * flag end before the first staff to their right that reaches their row. Where the kind of event
 * would be lost for want of room, as at the right edge, the words stand on the other side, and the
 * staffs of flags further left keep away from them. A flag that fits in no row, not even as its
 * date alone, joins the flag to its right, and both become a count. */
#include "report_chart.h"

#include <stdio.h>
#include <stdlib.h>

static const double bar_height = 2.1, bar_gap = 0.9, row_height = 4.2, text_gap = 1.2;
static const double narrowest_fill = 0.45; /* bars narrower than this are drawn as one */

typedef struct flag {
  size_t first, events; /* of the lane's own list; how many it stands for */
  double x, from, end;  /* of the staff; from where to where staff and words reach */
  bool leftwards;
  int row; /* 0 lower */
  char text[96];
} flag;

typedef struct flags {
  size_t n, placed; /* events; flags placed, the leftmost last */
  bt_time *at;
  bt_event_kind *kind;
  flag *flag;
} flags;

static void free_flags(flags *lane) {
  free(lane->at);
  free(lane->kind);
  free(lane->flag);
}

static double x_of(const report_chart *chart, bt_time at) {
  return chart->left +
         (report_days(at) - chart->x_low) / (chart->x_high - chart->x_low) * chart->width;
}

/* Words of a flag: 0 with its date, 1 without, 2 the date alone; of several, their number. */
static void set_text(flag *f, const flags *lane, int brevity) {
  char day[BT_TIME_TEXT];
  if (f->events > 1)
    (void)snprintf(f->text, sizeof f->text, "%zu events", f->events);
  else if (brevity == 2)
    (void)bt_time_short_day(lane->at[f->first], f->text);
  else if (brevity == 1)
    (void)snprintf(f->text, sizeof f->text, "%s", bt_event_words(lane->kind[f->first]));
  else
    (void)snprintf(f->text, sizeof f->text, "%s %s", bt_event_words(lane->kind[f->first]),
                   bt_time_short_day(lane->at[f->first], day));
}

/* Rows that flags may stand in: a third one only where there are few. */
static int rows_at_most(const flags *lane) {
  return lane->n <= 8 ? 3 : 2;
}

/* Whether that row is free for the words of `f`, and the way of its staff up to there as well. All
 * flags placed so far have their staffs at its right. */
static bool is_free(const report_chart *chart, const flags *lane, const flag *f) {
  if (f->from < chart->left || f->end > chart->right_edge)
    return false;
  for (size_t i = 0; i < lane->placed; i++) {
    const flag *other = &lane->flag[i];
    double reach = other->row == f->row ? other->from : other->x;
    if (other->row >= f->row && reach < f->end)
      return false;
    if (other->row <= f->row && other->from < f->x)
      return false;
  }
  return true;
}

static bool try_rows(report_chart *chart, const flags *lane, flag *f) {
  static const struct {
    int brevity;
    bool leftwards;
  } ways[] = {{0, false}, {1, false}, {0, true}, {1, true}, {2, false}, {2, true}};
  for (size_t k = 0; k < sizeof ways / sizeof *ways; k++) {
    set_text(f, lane, ways[k].brevity);
    double words = text_gap + report_measure(chart->builder, BT_STYLE_TICK, f->text, 0).width + 1;
    f->leftwards = ways[k].leftwards;
    f->from = f->leftwards ? f->x - words : f->x;
    f->end = f->leftwards ? f->x : f->x + words;
    for (f->row = 0; f->row < rows_at_most(lane); f->row++)
      if (is_free(chart, lane, f))
        return true;
  }
  return false;
}

static bool collect(report_chart *chart, flags *lane) {
  const bt_history *history = &chart->unit->history;
  *lane = (flags){.at = bt_new(history->events_n, sizeof *lane->at),
                  .kind = bt_new(history->events_n, sizeof *lane->kind),
                  .flag = bt_new(history->events_n, sizeof *lane->flag)};
  if (lane->at == NULL || lane->kind == NULL || lane->flag == NULL) {
    free_flags(lane);
    report_no_memory(chart->builder);
    return false;
  }
  for (size_t i = 0; i < history->events_n; i++) {
    const bt_event *event = &history->events[i];
    if (event->kind == BT_EVENT_GAS_REFILL || event->time < chart->from || event->time >= chart->to)
      continue;
    lane->at[lane->n] = event->time;
    lane->kind[lane->n++] = event->kind;
  }
  return true;
}

static void place(report_chart *chart, flags *lane) {
  for (size_t i = lane->n; i > 0; i--) {
    flag f = {.first = i - 1, .events = 1, .x = x_of(chart, lane->at[i - 1])};
    while (!try_rows(chart, lane, &f) && lane->placed > 0)
      f.events += lane->flag[--lane->placed].events;
    lane->flag[lane->placed++] = f;
  }
}

/* Rows that the flags take. */
static int rows_of(const flags *lane) {
  int rows = 0;
  for (size_t i = 0; i < lane->placed; i++)
    if (lane->flag[i].row + 1 > rows)
      rows = lane->flag[i].row + 1;
  return rows;
}

double report_events_height(report_chart *chart) {
  flags lane;
  if (!collect(chart, &lane))
    return bar_height;
  place(chart, &lane);
  double height = rows_of(&lane) * row_height + bar_height + bar_gap;
  free_flags(&lane);
  return height;
}

static void draw_fills(report_chart *chart, double y) {
  const bt_fills *fills = &chart->unit->fills;
  size_t shown = 0;
  bool refilled = false; /* without a refill there is nothing to tell apart */
  for (size_t i = 0; i < fills->n; i++)
    refilled = refilled || fills->fill[i].start_known;
  for (size_t i = 0; i < fills->n && refilled; i++)
    shown += fills->fill[i].to >= chart->from && fills->fill[i].from < chart->to;
  if (shown == 0)
    return;
  chart->fills = true;
  chart->fills_too_many = (double)shown * narrowest_fill > chart->width;
  bt_pane *pane = report_time_pane(chart, y, bar_height, 0, 1);
  double begun = chart->x_high, ended = chart->x_low;
  for (size_t i = 0; i < fills->n; i++) {
    const bt_fill *fill = &fills->fill[i];
    double from = report_days(fill->from), to = report_days(fill->to);
    from = from < chart->x_low ? chart->x_low : from;
    to = to > chart->x_high ? chart->x_high : to;
    if (!(to > from))
      continue;
    begun = from < begun ? from : begun;
    ended = to > ended ? to : ended;
    if (!chart->fills_too_many)
      report_bar(chart->builder, pane,
                 (bt_bar){from, to, 0, 1, i % 2 == 0 ? BT_INK_FILL_EVEN : BT_INK_FILL_ODD});
  }
  if (chart->fills_too_many && ended > begun)
    report_bar(chart->builder, pane, (bt_bar){begun, ended, 0, 1, BT_INK_FILL_EVEN});
}

void report_events_compose(report_chart *chart, double pane_top) {
  flags lane;
  double bars = pane_top - bar_gap - bar_height;
  draw_fills(chart, bars);
  if (!collect(chart, &lane))
    return;
  place(chart, &lane);
  double lower = bars - row_height;
  for (size_t i = 0; i < lane.placed; i++) {
    const flag *f = &lane.flag[i];
    double y = lower - f->row * row_height;
    report_line(chart->builder, f->x, y + 0.3, f->x, pane_top, 0.25, BT_INK_EVENT);
    (void)report_text(chart->builder, f->leftwards ? f->x - text_gap : f->x + text_gap, y + 0.1,
                      BT_STYLE_TICK, BT_INK_EVENT, f->leftwards ? BT_ALIGN_RIGHT : BT_ALIGN_LEFT,
                      f->text);
    /* The others that it counts have a staff as high as the bars. */
    for (size_t k = 1; k < f->events; k++) {
      double x = x_of(chart, lane.at[f->first + k]);
      report_line(chart->builder, x, bars - 0.3, x, pane_top, 0.25, BT_INK_EVENT);
    }
  }
  free_flags(&lane);
}
