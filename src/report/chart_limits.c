/* Zones, limits, baseline and tolerance of the main chart, with their values at the right. */
#include "report_room.h"

#include <math.h>
#include <stdio.h>

static void bar(report_chart *chart, bt_pane *pane, double from, double to, double low, double high,
                bt_ink ink) {
  low = report_at_edge(pane, low);
  high = report_at_edge(pane, high);
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
      double limit = report_upper_limit(of, segment);
      bar(chart, pane, from, to, 0, limit, BT_INK_ZONE_A);
      stretch(chart, pane, from, to, limit, BT_INK_LIMIT);
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
  add_label(pane, labels, n, report_at_edge(pane, at), BT_INK_TOLERANCE, name,
            report_plain(at, number));
}

static void draw_labels(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  const bt_segment *segment = bt_study_now(of);
  const bt_tolerance *tolerance = report_tolerance(of);
  report_label labels[REPORT_LABELS];
  size_t n = 0;
  char number[REPORT_NUMBER_TEXT];
  if (report_has_limits(segment)) {
    const bt_individuals *limit = &segment->chart;
    int decimals = report_decimals(of->characteristic, limit->sigma);
    bool radius = of->characteristic == BT_TRACKER_RADIAL;
    double upper = report_upper_limit(of, segment);
    add_label(pane, labels, &n, upper, BT_INK_TEXT, radius ? "limit" : "UCL",
              report_number(upper, decimals, number));
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

void report_limits_compose(report_chart *chart, bt_pane *pane) {
  draw_limits(chart, pane);
  draw_labels(chart, pane);
}
