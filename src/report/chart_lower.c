/* What the panes under the rule lane share: their names, and what lies beyond them. A reading far
 * beyond all others would flatten what stands beside it: these panes end where they would without
 * it then, and what is beyond stands at the edge, marked and with its number. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

void report_pane_name(report_chart *chart, double top, double height, const char *words,
                      const char *brief) {
  if (report_measure(chart->builder, BT_STYLE_TICK, words, 0).width > height)
    words = brief;
  report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                BT_INK_TEXT, words);
}

static bool is_far(const bt_study *of, size_t i) {
  return fabs(of->z[i]) > REPORT_FAR_SIGMA;
}

bool report_any_far(const report_chart *chart) {
  size_t n = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    n += is_far(chart->of, i);
  return n > 0 && n <= 1 + (chart->last - chart->first) / 20;
}

size_t report_mark_beyond(report_chart *chart, bt_pane *pane, const double *value, double sign,
                          const uint8_t *shown, report_label *label) {
  const bt_study *of = chart->of;
  double edge = sign > 0 ? pane->y_high : pane->y_low, furthest = 0;
  size_t n = 0, at = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    if (shown[i] != 0 && value[i] > fabs(edge) * (1 + 1e-9)) {
      n++;
      if (value[i] > furthest) {
        furthest = value[i];
        at = i;
      }
    }
  if (n == 0)
    return 0;
  bt_marks *marks = report_marks(chart->builder, pane, 1, sign > 0 ? BT_SHAPE_UP : BT_SHAPE_DOWN,
                                 BT_INK_TEXT, 1.8);
  report_marks_add(marks, report_days(of->points.at[at]), edge);
  if (marks != NULL)
    marks->shift_mm = sign > 0 ? 1.0 : -1.0;
  char number[REPORT_NUMBER_TEXT], day[BT_TIME_TEXT];
  const bt_segment *now = bt_study_now(of);
  int decimals = value == of->moving_range
                     ? report_decimals(&of->quantity, now != NULL ? now->chart.sigma : 0)
                     : 0;
  *label = (report_label){.y = bt_pane_y(pane, edge), .ink = BT_INK_TEXT};
  (void)snprintf(label->text, sizeof label->text, "%s to %s, %s", sign > 0 ? "▲" : "▼",
                 report_number(sign * furthest, decimals, number),
                 bt_time_short_day(of->points.at[at], day));
  chart->capped = true;
  return 1;
}
