/* The panes under the rule lane: moving range with its limit, and the CUSUM of both sides. */
#include "report_room.h"

#include <math.h>
#include <stdio.h>

static const double line_width = 0.25;

static void stretch(report_chart *chart, bt_pane *pane, double from, double to, double at,
                    double width) {
  bt_polyline *line = report_polyline(chart->builder, pane, 2, BT_INK_LIMIT, width);
  if (line == NULL)
    return;
  line->x[0] = from;
  line->x[1] = to;
  line->y[0] = line->y[1] = at;
  line->n = 2;
}

/* The shorter name where the pane is too low for the longer one. */
static void name(report_chart *chart, double top, double height, const char *words,
                 const char *brief) {
  if (report_measure(chart->builder, BT_STYLE_TICK, words, 0).width > height)
    words = brief;
  report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                BT_INK_TEXT, words);
}

static double range_high(const report_chart *chart) {
  const bt_study *of = chart->of;
  double high = 0, from, to;
  for (size_t s = 0; s < of->segments_n; s++)
    if (report_has_zones(of, &of->segments[s]) && report_segment_shown(chart, s, &from, &to))
      high = fmax(high, of->segments[s].chart.mr_ucl * 1.3);
  for (size_t i = chart->first; i < chart->last; i++)
    if (of->has_range[i] != 0)
      high = fmax(high, of->moving_range[i] * 1.08);
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
      line = report_polyline(chart->builder, pane, chart->last - i, BT_INK_SERIES, line_width);
    if (line == NULL)
      return;
    segment = of->points.segment[i];
    line->x[line->n] = report_days(of->points.at[i]);
    line->y[line->n++] = of->moving_range[i];
    n++;
  }
  if (n == 1) {
    bt_marks *dot = report_marks(chart->builder, pane, 1, BT_SHAPE_DOT, BT_INK_SERIES, 1);
    if (dot != NULL && line != NULL) {
      dot->x[0] = line->x[0];
      dot->y[0] = line->y[0];
      dot->n = 1;
    }
  }
}

void report_range_compose(report_chart *chart, double top, double height) {
  const bt_study *of = chart->of;
  const bt_segment *now = bt_study_now(of);
  double from, to;
  bt_pane *pane = report_time_pane(chart, top, height, 0, range_high(chart));
  pane->framed = true;
  report_value_axis(chart, pane, 3);
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_individuals *limit = &of->segments[s].chart;
    if (!report_has_zones(of, &of->segments[s]) || !report_segment_shown(chart, s, &from, &to))
      continue;
    stretch(chart, pane, from, to, limit->mr_centre, 0.2);
    stretch(chart, pane, from, to, limit->mr_ucl, 0.3);
  }
  draw_ranges(chart, pane);
  name(chart, top, height, "moving range", "range");
  if (report_has_zones(of, now)) {
    report_label label = {.y = bt_pane_y(pane, now->chart.mr_ucl), .ink = BT_INK_TEXT};
    char number[REPORT_NUMBER_TEXT];
    (void)snprintf(label.text, sizeof label.text, "UCL %s",
                   report_number(now->chart.mr_ucl,
                                 report_decimals(of->characteristic, now->chart.sigma), number));
    report_labels_place(chart, &label, 1, top - 1, top + height + 1);
  }
}

/* ---- CUSUM ----------------------------------------------------------------------------------- */

static void cusum_reach(const report_chart *chart, double *low, double *high) {
  const bt_cusum *cusum = &chart->of->cusum;
  double h = cusum->h > 0 ? cusum->h : 1;
  *low = -h * 1.4;
  *high = h * 1.4;
  for (size_t i = chart->first; i < chart->last; i++) {
    *low = fmin(*low, -cusum->low[i] * 1.05);
    *high = fmax(*high, cusum->high[i] * 1.05);
  }
}

/* One side, broken where a baseline ends: nothing carries over. */
static void draw_side(report_chart *chart, bt_pane *pane, bt_side side) {
  const bt_study *of = chart->of;
  bt_polyline *line = NULL;
  int32_t segment = 0;
  for (size_t i = chart->first; i < chart->last; i++) {
    if (of->judged[i] != 1)
      continue;
    if (line == NULL || of->points.segment[i] != segment) {
      line = report_polyline(chart->builder, pane, chart->last - i,
                             side == BT_LOW ? BT_INK_FALL : BT_INK_RISE, line_width);
      if (line == NULL)
        return;
      line->filled = true;
      line->fill_ink = side == BT_LOW ? BT_INK_FALL_SOFT : BT_INK_RISE_SOFT;
    }
    segment = of->points.segment[i];
    line->x[line->n] = report_days(of->points.at[i]);
    line->y[line->n++] = side == BT_LOW ? -of->cusum.low[i] : of->cusum.high[i];
  }
}

static void cusum_labels(report_chart *chart, const bt_pane *pane, double h) {
  report_label labels[2] = {{.y = bt_pane_y(pane, h), .ink = BT_INK_TEXT},
                            {.y = bt_pane_y(pane, -h), .ink = BT_INK_TEXT}};
  char number[REPORT_NUMBER_TEXT];
  (void)snprintf(labels[0].text, sizeof labels[0].text, "+h  %s", report_plain(h, number));
  (void)snprintf(labels[1].text, sizeof labels[1].text, REPORT_MINUS "h  %s",
                 report_plain(-h, number));
  report_labels_place(chart, labels, 2, pane->y - 1, pane->y + pane->height + 1);
}

bt_pane *report_cusum_compose(report_chart *chart, double top, double height) {
  const bt_cusum *cusum = &chart->of->cusum;
  double low = 0, high = 0;
  cusum_reach(chart, &low, &high);
  bt_pane *pane = report_time_pane(chart, top, height, low, high);
  pane->framed = true;
  report_value_axis(chart, pane, 4);
  report_level(chart->builder, pane, 0, 0.35, BT_INK_CENTRE, BT_DASH_SOLID);
  report_level(chart->builder, pane, cusum->h, 0.25, BT_INK_LIMIT, BT_DASH_SOLID);
  report_level(chart->builder, pane, -cusum->h, 0.25, BT_INK_LIMIT, BT_DASH_SOLID);
  for (size_t i = 0; i < cusum->restarts_n; i++)
    if (cusum->restarts[i].at >= chart->from && cusum->restarts[i].at < chart->to) {
      report_vertical(chart->builder, pane, report_days(cusum->restarts[i].at), 0.3, BT_INK_EVENT,
                      BT_DASH_DASHED);
      chart->restarts = true;
    }
  draw_side(chart, pane, BT_HIGH);
  draw_side(chart, pane, BT_LOW);
  cusum_labels(chart, pane, cusum->h);
  name(chart, top, height, "CUSUM (σ)", "CUSUM");
  return pane;
}
