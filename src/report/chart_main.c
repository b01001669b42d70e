/* The main chart: zones, limits, tolerance, the charted points and the readings behind them. */
#include "report_room.h"

#include <math.h>
#include <stdio.h>

static const double line_width = 0.3, raw_width = 0.15;
static const double edge_mm = 4.5;         /* kept clear above and below for the signals' marks */
static const double aside_mm = 2.3;        /* of a signal's mark from its point */
static const double farthest_sigma = 12;   /* a few points farther out stand at the axis' edge */
static const double few = 0.05;            /* share of the points shown */
static const double tolerance_reach = 0.3; /* tolerance may stretch the axis by so much a side */

typedef struct reach {
  double low, high;
  bool any;
} reach;

static void include(reach *range, double value) {
  if (!isfinite(value))
    return;
  range->low = range->any ? fmin(range->low, value) : value;
  range->high = range->any ? fmax(range->high, value) : value;
  range->any = true;
}

static bool is_ring(const bt_study *of, size_t i) {
  return (of->points.flags[i] & (BT_POINT_UNKNOWN_AGE | BT_POINT_TOO_OLD)) != 0;
}

/* All that is drawn, points within `farthest_sigma` of the limits' centre only. */
static void include_shown(const report_chart *chart, reach *range, reach *limits) {
  const bt_study *of = chart->of;
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_individuals *limit = &of->segments[s].chart;
    double from, to;
    if (!report_has_limits(&of->segments[s]) || !report_segment_shown(chart, s, &from, &to))
      continue;
    include(range, limit->ucl);
    include(range, of->characteristic == BT_TRACKER_RADIAL ? 0 : limit->lcl);
    if (report_has_zones(of, &of->segments[s])) {
      include(limits, limit->centre - farthest_sigma * limit->sigma);
      include(limits, limit->centre + farthest_sigma * limit->sigma);
    }
  }
}

static bool few_beyond(const report_chart *chart, reach limits) {
  size_t beyond = 0;
  for (size_t i = chart->first; i < chart->last; i++) {
    double value = chart->of->points.value[i];
    beyond += value < limits.low || value > limits.high;
  }
  return (double)beyond <= fmax(1, few * (double)(chart->last - chart->first));
}

static reach data_reach(const report_chart *chart) {
  const bt_study *of = chart->of;
  reach limits = {0}, range = {0};
  include_shown(chart, &range, &limits);
  for (size_t i = chart->first; i < chart->last; i++)
    include(&range, of->points.value[i]);
  if (of->adjusted)
    for (size_t i = chart->first; i < chart->last; i++)
      include(&range, of->points.raw[i]);
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if ((of->checks.flags[i] & BT_POINT_RETEST) != 0)
      include(&range, of->checks.value[i]);
  if (limits.any && few_beyond(chart, limits)) {
    range.low = fmax(range.low, limits.low);
    range.high = fmin(range.high, limits.high);
  }
  return range;
}

static void axis_reach(const report_chart *chart, double height, double *low, double *high) {
  reach range = data_reach(chart);
  const bt_tolerance *tolerance = chart->of->tolerance.now;
  bool limited = false;
  for (size_t s = 0; s < chart->of->segments_n; s++)
    limited |= report_has_limits(&chart->of->segments[s]);
  if (!limited && tolerance != NULL) {
    if (tolerance->has_low)
      include(&range, tolerance->low);
    if (tolerance->has_high)
      include(&range, tolerance->high);
  }
  if (!range.any)
    range = (reach){0, 1, true};
  double span = range.high - range.low;
  double least = fmax(fabs(range.high) * 1e-6,
                      4 * pow(10, -bt_characteristic_decimals(chart->of->characteristic)));
  if (span < least) {
    range.low -= (least - span) / 2;
    range.high += (least - span) / 2;
    span = range.high - range.low;
  }
  double reachable = span * tolerance_reach, bottom = range.low, top = range.high;
  if (tolerance != NULL && tolerance->has_low && tolerance->low < bottom &&
      bottom - tolerance->low <= reachable)
    range.low = tolerance->low;
  if (tolerance != NULL && tolerance->has_high && tolerance->high > top &&
      tolerance->high - top <= reachable)
    range.high = tolerance->high;
  double pad = (range.high - range.low) * edge_mm / fmax(height - 2 * edge_mm, 1);
  *low = range.low - pad;
  *high = range.high + pad;
}

static double at_edge(const bt_pane *pane, double value) {
  return fmin(fmax(value, pane->y_low), pane->y_high);
}

/* Readings keep clear of the edge, so that a mark beside them stays inside. */
static double shown_at(const bt_pane *pane, double value) {
  double pad = edge_mm / pane->height * (pane->y_high - pane->y_low);
  return fmin(fmax(value, pane->y_low + pad), pane->y_high - pad);
}

static void bar(report_chart *chart, bt_pane *pane, double from, double to, double low, double high,
                bt_ink ink) {
  low = at_edge(pane, low);
  high = at_edge(pane, high);
  if (high > low)
    report_bar(chart->builder, pane, (bt_bar){from, to, low, high, ink});
}

static void draw_zones(report_chart *chart, bt_pane *pane, const bt_individuals *limit, double from,
                       double to) {
  static const bt_ink inks[] = {BT_INK_ZONE_A, BT_INK_ZONE_B, BT_INK_ZONE_C};
  for (int k = 0; k < 3; k++) {
    double half = (3 - k) * limit->sigma;
    bar(chart, pane, from, to, limit->centre - half, limit->centre + half, inks[k]);
  }
}

static void stretch(report_chart *chart, bt_pane *pane, double from, double to, double at,
                    bt_ink ink) {
  if (at < pane->y_low || at > pane->y_high)
    return;
  bt_polyline *line =
      report_polyline(chart->builder, pane, 2, ink, ink == BT_INK_CENTRE ? 0.35 : 0.25);
  if (line == NULL)
    return;
  line->x[0] = from;
  line->x[1] = to;
  line->y[0] = line->y[1] = at;
  line->n = 2;
}

/* The baseline period: a tint that shows above and below the zones, its ends as dotted lines. */
static void draw_baseline(report_chart *chart, bt_pane *pane, const bt_segment *segment) {
  double from = fmax(report_days(segment->baseline.from), chart->x_low);
  double to = fmin(report_days(segment->baseline.to) + 1, chart->x_high);
  if (segment->stated || !(to > from))
    return;
  chart->baseline = true;
  report_span(chart->builder, pane, from, to, BT_INK_BASELINE);
  if (from > chart->x_low)
    report_vertical(chart->builder, pane, from, 0.2, BT_INK_FAINT, BT_DASH_DOTTED);
  if (to < chart->x_high)
    report_vertical(chart->builder, pane, to, 0.2, BT_INK_FAINT, BT_DASH_DOTTED);
}

static void draw_limits(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    double from, to;
    if (!report_has_limits(segment) || !report_segment_shown(chart, s, &from, &to))
      continue;
    draw_baseline(chart, pane, segment);
    if (of->characteristic == BT_TRACKER_RADIAL) {
      bar(chart, pane, from, to, 0, segment->chart.ucl, BT_INK_ZONE_A);
      stretch(chart, pane, from, to, segment->chart.ucl, BT_INK_LIMIT);
      continue;
    }
    if (segment->chart.sigma > 0)
      draw_zones(chart, pane, &segment->chart, from, to);
    stretch(chart, pane, from, to, segment->chart.centre, BT_INK_CENTRE);
    stretch(chart, pane, from, to, segment->chart.ucl, BT_INK_LIMIT);
    stretch(chart, pane, from, to, segment->chart.lcl, BT_INK_LIMIT);
  }
}

static void add_label(const bt_pane *pane, report_label *labels, size_t *n, double at, bt_ink ink,
                      const char *name, const char *number) {
  if (*n >= REPORT_LABELS)
    return;
  report_label *label = &labels[(*n)++];
  *label = (report_label){.y = bt_pane_y(pane, at), .ink = ink};
  (void)snprintf(label->text, sizeof label->text, "%s %s", name, number);
}

static void tolerance_label(report_chart *chart, bt_pane *pane, report_label *labels, size_t *n,
                            double at) {
  char number[REPORT_NUMBER_TEXT];
  const char *name = at > pane->y_high  ? "tolerance ↑"
                     : at < pane->y_low ? "tolerance ↓"
                                        : "tolerance";
  if (at >= pane->y_low && at <= pane->y_high)
    report_level(chart->builder, pane, at, 0.4, BT_INK_TOLERANCE, BT_DASH_DASHED);
  add_label(pane, labels, n, at_edge(pane, at), BT_INK_TOLERANCE, name, report_plain(at, number));
}

static void draw_labels(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  const bt_segment *segment = bt_study_now(of);
  const bt_tolerance *tolerance = of->tolerance.now;
  report_label labels[REPORT_LABELS];
  size_t n = 0;
  char number[REPORT_NUMBER_TEXT];
  if (report_has_limits(segment)) {
    const bt_individuals *limit = &segment->chart;
    int decimals = report_decimals(of->characteristic, limit->sigma);
    bool radius = of->characteristic == BT_TRACKER_RADIAL;
    add_label(pane, labels, &n, limit->ucl, BT_INK_TEXT, radius ? "limit" : "UCL",
              report_number(limit->ucl,
                            radius ? bt_characteristic_decimals(of->characteristic) : decimals,
                            number));
    if (!radius) {
      add_label(pane, labels, &n, limit->centre, BT_INK_TEXT, "centre",
                report_number(limit->centre, decimals, number));
      add_label(pane, labels, &n, limit->lcl, BT_INK_TEXT, "LCL",
                report_number(limit->lcl, decimals, number));
    }
  }
  if (tolerance != NULL && tolerance->has_low)
    tolerance_label(chart, pane, labels, &n, tolerance->low);
  if (tolerance != NULL && tolerance->has_high)
    tolerance_label(chart, pane, labels, &n, tolerance->high);
  double top = pane->y - 1.5, bottom = pane->y + pane->height + 1.5;
  report_labels_place(chart, labels, n, top, bottom);
}

/* ---- Points ---------------------------------------------------------------------------------- */

static void draw_raw(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  if (!of->adjusted)
    return;
  bt_polyline *line =
      report_polyline(chart->builder, pane, chart->last - chart->first, BT_INK_RAW, raw_width);
  for (size_t i = chart->first; i < chart->last && line != NULL; i++) {
    line->x[line->n] = report_days(of->points.at[i]);
    line->y[line->n++] = shown_at(pane, of->points.raw[i]);
  }
  chart->raw = line != NULL;
}

/* Joins the points of each segment; rings stand alone. */
static void draw_line(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  bt_polyline *line = NULL;
  int32_t segment = 0;
  for (size_t i = chart->first; i < chart->last; i++) {
    if (is_ring(of, i))
      continue;
    if (line == NULL || of->points.segment[i] != segment)
      line = report_polyline(chart->builder, pane, chart->last - i, BT_INK_SERIES, line_width);
    if (line == NULL)
      return;
    segment = of->points.segment[i];
    line->x[line->n] = report_days(of->points.at[i]);
    line->y[line->n++] = shown_at(pane, of->points.value[i]);
  }
}

/* Dots get smaller as points come closer; past some density the line alone is clearer. */
static double dot_size(const report_chart *chart) {
  size_t n = chart->last - chart->first;
  double spacing = n > 1 ? chart->width / (double)n : chart->width;
  return spacing < 0.14 ? 0 : fmin(fmax(spacing * 1.15, 0.5), 1.35);
}

static void one_mark(bt_marks *marks, double x, double y) {
  if (marks == NULL)
    return;
  marks->x[marks->n] = x;
  marks->y[marks->n++] = y;
}

static void draw_points(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  size_t rings = 0, crosses = 0, n = chart->last - chart->first;
  double size = dot_size(chart);
  for (size_t i = chart->first; i < chart->last; i++) {
    rings += is_ring(of, i);
    crosses += (of->points.flags[i] & BT_POINT_SCREENED) != 0;
  }
  if (size > 0 && n > rings) {
    bt_marks *dots =
        report_marks(chart->builder, pane, n - rings, BT_SHAPE_DOT, BT_INK_SERIES, size);
    for (size_t i = chart->first; i < chart->last; i++)
      if (!is_ring(of, i))
        one_mark(dots, report_days(of->points.at[i]), shown_at(pane, of->points.value[i]));
  }
  bt_marks *ring =
      report_marks(chart->builder, pane, rings, BT_SHAPE_RING, BT_INK_SERIES, fmax(size, 1.1));
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_ring(of, i))
      one_mark(ring, report_days(of->points.at[i]), shown_at(pane, of->points.value[i]));
  bt_marks *cross = report_marks(chart->builder, pane, crosses, BT_SHAPE_CROSS, BT_INK_TEXT, 2.2);
  for (size_t i = chart->first; i < chart->last; i++)
    if ((of->points.flags[i] & BT_POINT_SCREENED) != 0)
      one_mark(cross, report_days(of->points.at[i]), shown_at(pane, of->points.value[i]));
  chart->rings |= rings > 0;
  chart->crosses |= crosses > 0;
}

static void draw_retests(report_chart *chart, bt_pane *pane) {
  const bt_series *checks = &chart->of->checks;
  size_t n = 0;
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    n += (checks->flags[i] & BT_POINT_RETEST) != 0;
  bt_marks *rings = report_marks(chart->builder, pane, n, BT_SHAPE_RING, BT_INK_SERIES, 1.6);
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if ((checks->flags[i] & BT_POINT_RETEST) != 0)
      one_mark(rings, report_days(checks->at[i]), shown_at(pane, checks->value[i]));
  chart->rings |= n > 0;
}

/* A check outside tolerance has the alarm's mark alone. */
static bool marked(const bt_study *of, bt_side side, uint8_t bit, size_t i) {
  uint8_t bits = of->rules[side][i];
  return (bits & bit) != 0 && (bit == BT_TOLERANCE_FAILED || (bits & BT_TOLERANCE_FAILED) == 0);
}

/* Marks beside the points of one side whose bits hold `bit`. */
static size_t draw_signals(report_chart *chart, bt_pane *pane, bt_side side, uint8_t bit,
                           bt_shape shape, bt_ink ink, double size) {
  const bt_study *of = chart->of;
  size_t n = 0;
  for (size_t i = chart->first; i < chart->last; i++)
    n += marked(of, side, bit, i);
  bt_marks *marks = report_marks(chart->builder, pane, n, shape, ink, size);
  if (marks == NULL)
    return n;
  marks->shift_mm = side == BT_LOW ? aside_mm : -aside_mm;
  for (size_t i = chart->first; i < chart->last; i++)
    if (marked(of, side, bit, i))
      one_mark(marks, report_days(of->points.at[i]), shown_at(pane, of->points.value[i]));
  return n;
}

static void count_off_axis(report_chart *chart, const bt_pane *pane) {
  const bt_series *points = &chart->of->points;
  double most = 0;
  for (size_t i = chart->first; i < chart->last; i++) {
    double beyond = fabs(points->value[i] - shown_at(pane, points->value[i]));
    if (!(beyond > 1e-9 * (pane->y_high - pane->y_low)))
      continue;
    chart->off_axis++;
    if (beyond > most) {
      most = beyond;
      chart->furthest = points->value[i];
      chart->furthest_at = points->at[i];
    }
  }
}

bt_pane *report_main_compose(report_chart *chart, double top, double height) {
  double low = 0, high = 1;
  axis_reach(chart, height, &low, &high);
  bt_pane *pane = report_time_pane(chart, top, height, low, high);
  pane->framed = true;
  report_value_axis(chart, pane, 5);
  draw_limits(chart, pane);
  draw_labels(chart, pane);
  draw_raw(chart, pane);
  draw_line(chart, pane);
  draw_points(chart, pane);
  draw_retests(chart, pane);
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    bt_shape triangle = side == BT_LOW ? BT_SHAPE_DOWN : BT_SHAPE_UP;
    chart->beyond_limit |=
        draw_signals(chart, pane, side, BT_WE1, triangle, BT_INK_NOTICE, 2.2) > 0;
    chart->outside_tolerance |= draw_signals(chart, pane, side, BT_TOLERANCE_FAILED,
                                             BT_SHAPE_DIAMOND, BT_INK_ALARM, 2.6) > 0;
  }
  count_off_axis(chart, pane);
  const char *unit = bt_characteristic_unit(chart->of->characteristic);
  if (*unit != '\0')
    report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                  BT_INK_SOFT, unit);
  return pane;
}
