/* The panes under the rule lane: moving range with its limit, and the CUSUM of both sides with the
 * decision intervals of notices and alarms. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>

static const double line_width = 0.25;

void report_pane_name(report_chart *chart, double top, double height, const char *words,
                      const char *brief) {
  if (report_measure(chart->builder, BT_STYLE_TICK, words, 0).width > height)
    words = brief;
  report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                BT_INK_TEXT, words);
}

/* A reading far beyond all others would flatten what stands beside it: these panes end where they
 * would without it then, and what is beyond stands at the edge, marked and with its number. */
static bool is_far(const bt_study *of, size_t i) {
  return fabs(of->z[i]) > REPORT_FAR_SIGMA;
}

static bool any_far(const report_chart *chart) {
  size_t n = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    n += is_far(chart->of, i);
  return n > 0 && n <= 1 + (chart->last - chart->first) / 20;
}

static double range_high(const report_chart *chart) {
  const bt_study *of = chart->of;
  double high = 0, from, to, most = INFINITY;
  for (size_t s = 0; s < of->segments_n; s++)
    if (report_has_zones(of, &of->segments[s]) && report_segment_shown(chart, s, &from, &to))
      high = fmax(high, of->segments[s].chart.mr_ucl * 1.3);
  if (any_far(chart) && high > 0)
    most = 2 * high;
  for (size_t i = chart->first; i < chart->last; i++)
    if (of->has_range[i] != 0)
      high = fmax(high, fmin(of->moving_range[i] * 1.08, most));
  return high > 0 ? high : 1;
}

/* Marks at the edge for what lies beyond it, and the furthest of them as a label. */
static size_t mark_beyond(report_chart *chart, bt_pane *pane, const double *value, double sign,
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
  size_t n = mark_beyond(chart, pane, of->moving_range, 1, of->has_range, &labels[0]);
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

/* ---- CUSUM ----------------------------------------------------------------------------------- */

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
  double most = any_far(chart) ? 3 * h : INFINITY;
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
  size_t n = mark_beyond(chart, pane, of->cusum.high, 1, of->judged, &labels[0]);
  n += mark_beyond(chart, pane, of->cusum.low, -1, of->judged, &labels[n]);
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
