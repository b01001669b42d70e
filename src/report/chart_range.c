/* The pane of the moving range, with its limit. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

static double range_high(const report_chart *chart) {
  const bt_study *of = chart->of;
  double high = 0, from, to, most = INFINITY;
  for (size_t s = 0; s < of->segments_n; s++)
    if (report_has_zones(of, &of->segments[s]) && report_segment_shown(chart, s, &from, &to))
      high = fmax(high, of->segments[s].chart.mr_ucl * 1.3);
  if (report_any_far(chart) && high > 0)
    most = 2 * high;
  for (size_t i = chart->first; i < chart->last; i++)
    if (of->has_range[i] != 0)
      high = fmax(high, fmin(of->moving_range[i] * 1.08, most));
  return high > 0 ? high : 1;
}

static void draw_ranges(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  bt_polyline *line = NULL;
  int32_t segment = 0;
  size_t n = 0;
  for (size_t i = chart->first; i < chart->last; i++) {
    if (of->has_range[i] == 0)
      continue;
    if (line == NULL || of->points.segment[i] != segment)
      line = report_polyline(chart->builder, pane, chart->last - i, BT_INK_SERIES, 0.25);
    if (line == NULL)
      return;
    segment = of->points.segment[i];
    report_polyline_add(line, report_days(of->points.at[i]),
                        report_at_edge(pane, of->moving_range[i]));
    n++;
  }
  if (n == 1 && line != NULL) /* a line of one point shows nothing */
    report_marks_add(report_marks(chart->builder, pane, 1, BT_SHAPE_DOT, BT_INK_SERIES, 1),
                     line->x[0], line->y[0]);
}

void report_range_compose(report_chart *chart, double top, double height) {
  const bt_study *of = chart->of;
  const bt_segment *now = bt_study_now(of);
  double from, to;
  bt_pane *pane = report_time_pane(chart, top, height, 0, range_high(chart));
  pane->framed = true;
  report_value_axis(chart->builder, pane, 3);
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_individuals *limit = &of->segments[s].chart;
    if (!report_has_zones(of, &of->segments[s]) || !report_segment_shown(chart, s, &from, &to))
      continue;
    report_stretch(chart->builder, pane, from, to, limit->mr_centre, 0.2, BT_INK_LIMIT);
    report_stretch(chart->builder, pane, from, to, limit->mr_ucl, 0.3, BT_INK_LIMIT);
  }
  draw_ranges(chart, pane);
  report_pane_name(chart, top, height, "moving range", "range");
  report_label labels[2];
  size_t n = report_mark_beyond(chart, pane, of->moving_range, 1, of->has_range, &labels[0]);
  if (report_has_zones(of, now)) {
    char number[REPORT_NUMBER_TEXT];
    labels[n] = (report_label){.y = bt_pane_y(pane, now->chart.mr_ucl), .ink = BT_INK_TEXT};
    (void)snprintf(
        labels[n].text, sizeof labels[n].text, "UCL %s",
        report_number(now->chart.mr_ucl, report_decimals(&of->quantity, now->chart.sigma), number));
    n++;
  }
  report_labels_place(chart, labels, n, top - 1, top + height + 1);
}
