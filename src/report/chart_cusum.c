/* The pane of the CUSUM: both sides, with the decision intervals of notices and alarms. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

static const double line_width = 0.25;

/* The slope of a run is what it says, so all of a run is shown, however long nobody ended it; but
 * not a jump that a single far reading made. */
static void cusum_reach(const report_chart *chart, double *low, double *high) {
  const bt_study *of = chart->of;
  const bt_cusum *cusum = &of->cusum;
  double h = cusum->h > 0 ? cusum->h : 1, from, to;
  for (size_t s = 0; s < of->segments_n; s++)
    if (report_segment_shown(chart, s, &from, &to))
      h = fmax(h, report_alarm_h(of, &of->segments[s]));
  *low = -h * 1.4;
  *high = h * 1.4;
  double most = report_any_far(chart) ? 3 * h : INFINITY;
  for (size_t i = chart->first; i < chart->last; i++) {
    *low = fmin(*low, -fmin(cusum->low[i] * 1.05, most));
    *high = fmax(*high, fmin(cusum->high[i] * 1.05, most));
  }
  static const double share =
      0.06; /* of the other side: so far from an edge the 0 has its number */
  double down = -*low, up = *high;
  *low = fmin(*low, -share * up);
  *high = fmax(*high, share * down);
}

/* Where the axis reaches so far that the decision interval would run into the zero line. */
static bool h_melts(const bt_pane *pane, double h) {
  static const double closest_mm = 0.35; /* the zero line's width */
  return h / (pane->y_high - pane->y_low) * pane->height < closest_mm;
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
    report_polyline_add(
        line, report_days(of->points.at[i]),
        report_at_edge(pane, side == BT_LOW ? -of->cusum.low[i] : of->cusum.high[i]));
  }
}

static void h_label(report_label *label, const bt_pane *pane, const char *name, double h,
                    int decimals, bt_ink ink) {
  char number[REPORT_NUMBER_TEXT];
  *label = (report_label){.y = bt_pane_y(pane, h), .ink = ink};
  (void)snprintf(label->text, sizeof label->text, "%s %s", name,
                 decimals < 0 ? report_plain(h, number) : report_number(h, decimals, number));
}

static void cusum_labels(report_chart *chart, bt_pane *pane, double h) {
  const bt_study *of = chart->of;
  double alarm = report_alarm_h(of, bt_study_now(of));
  report_label labels[6];
  size_t n = report_mark_beyond(chart, pane, of->cusum.high, 1, of->judged, &labels[0]);
  n += report_mark_beyond(chart, pane, of->cusum.low, -1, of->judged, &labels[n]);
  h_label(&labels[n++], pane, "+h ", h, -1, BT_INK_TEXT);
  h_label(&labels[n++], pane, REPORT_MINUS "h ", -h, -1, BT_INK_TEXT);
  if (alarm > 0) {
    h_label(&labels[n++], pane, "alarm", alarm, 2, BT_INK_ALARM);
    h_label(&labels[n++], pane, "alarm", -alarm, 2, BT_INK_ALARM);
  }
  report_labels_place(chart, labels, n, pane->y - 1, pane->y + pane->height + 1);
}

static void draw_alarm_h(report_chart *chart, bt_pane *pane) {
  static const double width = 0.35;
  const bt_study *of = chart->of;
  double from, to;
  for (size_t s = 0; s < of->segments_n; s++) {
    double h = report_alarm_h(of, &of->segments[s]);
    if (!(h > 0) || !report_segment_shown(chart, s, &from, &to))
      continue;
    report_dash_dot(chart->builder, pane, from, to, h, width, BT_INK_ALARM);
    report_dash_dot(chart->builder, pane, from, to, -h, width, BT_INK_ALARM);
    chart->alarm_limits = true;
  }
}

static void draw_restarts(report_chart *chart, bt_pane *pane) {
  const bt_cusum *cusum = &chart->of->cusum;
  for (size_t i = 0; i < cusum->restarts_n; i++)
    if (cusum->restarts[i].at >= chart->from && cusum->restarts[i].at < chart->to) {
      report_vertical(chart->builder, pane, report_days(cusum->restarts[i].at), 0.3, BT_INK_EVENT,
                      BT_DASH_DASHED);
      chart->restarts = true;
    }
}

bt_pane *report_cusum_compose(report_chart *chart, double top, double height) {
  const bt_cusum *cusum = &chart->of->cusum;
  size_t judged = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    judged += chart->of->judged[i] == 1;
  chart->cusum_later = judged < 2; /* no line: the empty pane is explained */
  double low = 0, high = 0;
  cusum_reach(chart, &low, &high);
  bt_pane *pane = report_time_pane(chart, top, height, low, high);
  pane->framed = true;
  report_value_axis(chart->builder, pane, 4);
  report_level(chart->builder, pane, 0, 0.35, BT_INK_CENTRE, BT_DASH_SOLID);
  if (!h_melts(pane, cusum->h)) {
    report_level(chart->builder, pane, cusum->h, 0.25, BT_INK_LIMIT, BT_DASH_SOLID);
    report_level(chart->builder, pane, -cusum->h, 0.25, BT_INK_LIMIT, BT_DASH_SOLID);
  }
  draw_restarts(chart, pane);
  draw_side(chart, pane, BT_HIGH);
  draw_side(chart, pane, BT_LOW);
  draw_alarm_h(chart, pane);
  cusum_labels(chart, pane, cusum->h);
  report_pane_name(chart, top, height, "CUSUM (σ)", "CUSUM");
  return pane;
}
