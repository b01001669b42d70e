/* The calendar axis under the last pane: days, months or years, whichever fits. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

static const double label_clear = 2.0; /* at least so much between two labels */

typedef struct time_step {
  int days, months; /* one of them is 0 */
} time_step;

static const time_step steps[] = {{1, 0}, {2, 0}, {7, 0},  {14, 0}, {0, 1},  {0, 2},
                                  {0, 3}, {0, 6}, {0, 12}, {0, 24}, {0, 60}, {0, 120}};
enum { STEPS = sizeof steps / sizeof *steps, MOST_TICKS = 400 };

/* The first tick at or after `from`: weeks begin on a Monday, months at a multiple of the step. */
static bt_time first_tick(time_step step, bt_time from) {
  if (step.days > 0) {
    int64_t monday = bt_day_of(from) - (bt_weekday_of(from) - 1);
    bt_time tick = (step.days < 7 ? bt_day_of(from) : monday) * BT_DAY;
    while (tick < from)
      tick += step.days * BT_DAY;
    return tick;
  }
  bt_civil civil = bt_civil_of(from);
  int index = civil.year * 12 + civil.month - 1;
  bt_time tick = bt_month_start(from, -(index % step.months));
  return tick < from ? bt_month_start(tick, step.months) : tick;
}

static bt_time next_tick(time_step step, bt_time tick) {
  return step.days > 0 ? tick + step.days * BT_DAY : bt_month_start(tick, step.months);
}

/* Januaries have their year where the span knows more than one; briefly, or between several months,
 * it alone. */
static bool has_years(const report_chart *chart) {
  return bt_civil_of(chart->from).year != bt_civil_of(chart->to - 1).year;
}

/* What stands at (or, for single months and years, under) the stretch that begins with `tick`. */
static void words_of(time_step step, bt_time tick, bool brief, bool years, char *buffer) {
  bt_civil civil = bt_civil_of(tick);
  char text[BT_TIME_TEXT];
  if (step.days > 0)
    (void)snprintf(buffer, BT_TIME_TEXT, "%s", bt_time_short_day(tick, text));
  else if (step.months >= 12)
    (void)snprintf(buffer, BT_TIME_TEXT, "%d", civil.year);
  else {
    (void)bt_time_month(tick, text);
    size_t letters = 0;
    while (text[letters] != ' ' && (!brief || letters < 3))
      letters++;
    if (years && civil.month == 1 && !brief && step.months == 1)
      (void)snprintf(buffer, BT_TIME_TEXT, "Jan %d", civil.year);
    else if (years && civil.month == 1)
      (void)snprintf(buffer, BT_TIME_TEXT, "%d", civil.year);
    else
      (void)snprintf(buffer, BT_TIME_TEXT, "%.*s", (int)letters, text);
  }
}

static bool is_stretch(time_step step) {
  return step.months == 1 || step.months == 12;
}

/* Where the words of the stretch that begins with `tick` stand in the middle; false: nowhere. */
static bool place(const report_chart *chart, const bt_pane *pane, time_step step, bt_time tick,
                  double width, double *x) {
  double from = fmax(report_days(tick), chart->x_low);
  double to = fmin(report_days(next_tick(step, tick)), chart->x_high);
  if (is_stretch(step)) {
    *x = bt_pane_x(pane, (from + to) / 2);
    return bt_pane_x(pane, to) - bt_pane_x(pane, from) >= width + 0.8;
  }
  *x = bt_pane_x(pane, report_days(tick));
  return *x - width / 2 >= pane->x - 4 && *x + width / 2 <= pane->x + pane->width + 4 &&
         report_days(tick) >= chart->x_low;
}

/* Whole stretches of that step hold their words, with brief month names or full ones. */
static bool fits(report_chart *chart, const bt_pane *pane, time_step step, bool brief) {
  double per_day = pane->width / (chart->x_high - chart->x_low);
  double days = step.days > 0 ? step.days : step.months * 30.4;
  if ((chart->x_high - chart->x_low) / days > MOST_TICKS)
    return false;
  double widest = 0;
  bt_time tick = first_tick(step, chart->from);
  for (int i = 0; i < 12; i++, tick = next_tick(step, tick)) {
    char text[BT_TIME_TEXT];
    words_of(step, tick, brief, has_years(chart), text);
    widest = fmax(widest, report_measure(chart->builder, BT_STYLE_TICK, text, 0).width);
  }
  return days * per_day >= widest + label_clear;
}

void report_time_axis(report_chart *chart, bt_pane *pane, double labels_top) {
  bool brief = false;
  size_t chosen = 0;
  /* Days only in short spans: months read better from two months on. */
  double span = chart->x_high - chart->x_low;
  for (chosen = span > 62 ? 4 : 0; chosen + 1 < STEPS; chosen++) {
    brief = false;
    if (fits(chart, pane, steps[chosen], brief))
      break;
    brief = true;
    if (steps[chosen].days == 0 && fits(chart, pane, steps[chosen], brief))
      break;
  }
  time_step step = steps[chosen];
  bt_time tick = first_tick(step, chart->from);
  if (is_stretch(step) && tick > chart->from)
    tick = bt_month_start(tick, -step.months);
  double taken = -1e9;
  for (; tick < chart->to; tick = next_tick(step, tick)) {
    char text[BT_TIME_TEXT];
    double x = 0;
    if (report_days(tick) > chart->x_low)
      report_x_tick(chart->builder, pane, report_days(tick));
    double width = 0;
    bool placed = false;
    for (int shorter = brief; shorter < 2 && !placed; shorter++) { /* a month may not be whole */
      words_of(step, tick, shorter == 1, has_years(chart), text);
      width = report_measure(chart->builder, BT_STYLE_TICK, text, 0).width;
      placed = place(chart, pane, step, tick, width, &x) && x - width / 2 >= taken;
    }
    if (!placed)
      continue;
    (void)report_text(chart->builder, x, labels_top, BT_STYLE_TICK, BT_INK_TEXT, BT_ALIGN_CENTRE,
                      text);
    taken = x + width / 2 + 0.5;
  }
}
