/* The pane of the spread within days: the standard deviation of each day that has several checks,
 * and its upper limit, which depends on how many they are. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

static bool is_shown(const bt_study *of, size_t i) {
  return of->within_s_ucl != NULL && of->within_s_ucl[i] > 0;
}

bool report_has_within(const report_chart *chart) {
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_shown(chart->of, i))
      return true;
  return false;
}

static double reach(const report_chart *chart) {
  const bt_study *of = chart->of;
  double high = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_shown(of, i))
      high = fmax(high, fmax(of->within_s_ucl[i] * 1.2, of->points.within_s[i] * 1.08));
  return high;
}

static void draw_limit(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  bt_polyline *line =
      report_polyline(chart->builder, pane, 2 * (chart->last - chart->first), BT_INK_LIMIT, 0.3);
  for (size_t i = chart->first; i < chart->last && line != NULL; i++) {
    if (!is_shown(of, i))
      continue;
    double x = report_days(of->points.at[i]);
    if (line->n > 0) /* a step where the number of checks changes */
      report_polyline_add(line, x, line->y[line->n - 1]);
    report_polyline_add(line, x, of->within_s_ucl[i]);
  }
}

/* The days within their limit, or those beyond it, which stand out by shape as well. */
static void draw_days(report_chart *chart, bt_pane *pane, bool beyond) {
  const bt_study *of = chart->of;
  const double *s = of->points.within_s, *ucl = of->within_s_ucl;
  size_t n = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    n += is_shown(of, i) && (s[i] > ucl[i]) == beyond;
  bt_marks *marks = report_marks(chart->builder, pane, n, beyond ? BT_SHAPE_SQUARE : BT_SHAPE_DOT,
                                 beyond ? BT_INK_TEXT : BT_INK_SERIES, beyond ? 1.3 : 0.9);
  for (size_t i = chart->first; i < chart->last; i++) {
    if (!is_shown(of, i) || (s[i] > ucl[i]) != beyond)
      continue;
    report_marks_add(marks, report_days(of->points.at[i]), s[i]);
  }
  chart->within_beyond |= beyond && n > 0;
}

/* Where dots would hide one another, the days within their limit are a crowd. */
static void draw_crowd(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  const double *s = of->points.within_s, *ucl = of->within_s_ucl;
  bt_polyline *crowd =
      report_polyline(chart->builder, pane, 2 * (chart->last - chart->first), BT_INK_SERIES, 0.15);
  for (size_t i = chart->first; i < chart->last && crowd != NULL; i++)
    if (is_shown(of, i) && s[i] <= ucl[i])
      report_crowd_put(chart, crowd, report_days(of->points.at[i]), s[i]);
  chart->crowd = true;
}

void report_within_compose(report_chart *chart, double top, double height) {
  const bt_study *of = chart->of;
  bt_pane *pane = report_time_pane(chart, top, height, 0, reach(chart));
  pane->framed = true;
  report_value_axis(chart->builder, pane, 2);
  draw_limit(chart, pane);
  if (report_is_crowded(chart))
    draw_crowd(chart, pane);
  else
    draw_days(chart, pane, false);
  draw_days(chart, pane, true);
  report_pane_name(chart, top, height, "spread in a day", "in a day");
  chart->within = true;
  size_t newest = chart->last;
  while (newest > chart->first && !is_shown(of, newest - 1))
    newest--;
  if (newest == chart->first)
    return;
  const bt_segment *now = bt_study_now(of);
  double ucl = of->within_s_ucl[newest - 1];
  report_label label = {.y = bt_pane_y(pane, ucl), .ink = BT_INK_TEXT};
  char number[REPORT_NUMBER_TEXT];
  (void)snprintf(label.text, sizeof label.text, "UCL %s",
                 report_number(ucl,
                               report_decimals(&of->quantity, now != NULL ? now->chart.sigma : 0),
                               number));
  report_labels_place(chart, &label, 1, top - 1, top + height + 1);
}
