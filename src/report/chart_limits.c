/* Zones, limits, baseline and tolerance of the main chart, with their values at the right. */
#include "report_chart.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double limit_width = 0.25;
static const double clear_mm = 0.8;  /* between the frame and what lies below it */
static const double above_mm = 1.35; /* of the middle of what lies above: events come next */

/* Nothing where the pane shows none of it. */
static void bar(report_chart *chart, bt_pane *pane, double from, double to, double low, double high,
                bt_ink ink) {
  low = report_at_edge(pane, low);
  high = report_at_edge(pane, high);
  if (high > low && to > from)
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

static void draw_alarm_limits(report_chart *chart, bt_pane *pane, const bt_segment *segment,
                              double from, double to) {
  static const double width = 0.35;
  double low, high;
  if (!report_alarm_limits(chart->of, segment, &low, &high))
    return;
  if (!report_has_one_limit(chart->of))
    report_dash_dot(chart->builder, pane, from, to, low, width, BT_INK_ALARM);
  report_dash_dot(chart->builder, pane, from, to, high, width, BT_INK_ALARM);
  chart->alarm_limits = true;
}

/* The one limit of the radius or T²; T² has one for the points of the baseline, another after. */
static void draw_one_limit(report_chart *chart, bt_pane *pane, const bt_segment *segment,
                           double from, double to) {
  const bt_study *of = chart->of;
  double limit = report_upper_limit(of, segment), parted = from;
  if (of->characteristic == BT_TRACKER_VECTOR && segment->phase2 < of->points.n &&
      segment->phase2 < segment->to) {
    parted = fmin(fmax(report_days(of->points.at[segment->phase2]), from), to);
    bar(chart, pane, from, parted, 0, segment->vector.phase1_limit, BT_INK_ZONE_A);
    report_stretch(chart->builder, pane, from, parted, segment->vector.phase1_limit, limit_width,
                   BT_INK_LIMIT);
  }
  bar(chart, pane, parted, to, 0, limit, BT_INK_ZONE_A);
  report_stretch(chart->builder, pane, parted, to, limit, limit_width, BT_INK_LIMIT);
}

static void draw_limits(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    double from, to;
    if (!report_has_limits(segment) || !report_segment_shown(chart, s, &from, &to))
      continue;
    draw_baseline(chart, pane, segment);
    if (report_has_one_limit(of))
      draw_one_limit(chart, pane, segment, from, to);
    else {
      if (segment->chart.sigma > 0)
        draw_zones(chart, pane, &segment->chart, from, to);
      report_stretch(chart->builder, pane, from, to, segment->chart.centre, 0.35, BT_INK_CENTRE);
      report_stretch(chart->builder, pane, from, to, segment->chart.ucl, limit_width, BT_INK_LIMIT);
      report_stretch(chart->builder, pane, from, to, segment->chart.lcl, limit_width, BT_INK_LIMIT);
    }
    draw_alarm_limits(chart, pane, segment, from, to);
  }
}

static void add_label(const bt_pane *pane, report_label *labels, size_t *n, double at, bt_ink ink,
                      const char *name, const char *number) {
  if (*n >= REPORT_LABELS)
    return;
  report_label *label = &labels[(*n)++];
  *label = (report_label){.y = bt_pane_y(pane, report_at_edge(pane, at)), .ink = ink};
  (void)snprintf(label->text, sizeof label->text, "%s %s", name, number);
}

/* A tolerance that the axis does not reach: off the frame, which would be read as it, and on one
 * line, since events have theirs above. */
static void set_apart(report_chart *chart, const bt_pane *pane, report_label *label, bool above,
                      const char *number) {
  static const char *const words[2][3][2] = {{{"", ", below ↓"}, {"", ", below"}, {"↓ ", ""}},
                                             {{"", ", above ↑"}, {"", ", above"}, {"↑ ", ""}}};
  double line = report_label_height(chart, "0"), height = 0;
  for (size_t k = 0; k < 3 && !(height > 0 && height < 1.5 * line); k++) {
    (void)snprintf(label->text, sizeof label->text, "tol. %s%s%s", words[above][k][0], number,
                   words[above][k][1]);
    height = report_label_height(chart, label->text);
  }
  label->y = above ? pane->y - above_mm : pane->y + pane->height + clear_mm + height / 2;
}

static void tolerance_label(report_chart *chart, bt_pane *pane, report_label *labels, size_t *n,
                            double at) {
  char number[REPORT_NUMBER_TEXT];
  bool reached = at >= pane->y_low && at <= pane->y_high;
  size_t before = *n;
  if (reached)
    report_level(chart->builder, pane, at, 0.4, BT_INK_TOLERANCE, BT_DASH_DASHED);
  add_label(pane, labels, n, at, BT_INK_TOLERANCE, "tol.", report_plain(at, number));
  if (!reached && *n > before)
    set_apart(chart, pane, &labels[before], at > pane->y_high, number);
}

static void limit_labels(const bt_study *of, const bt_segment *segment, const bt_pane *pane,
                         report_label *labels, size_t *n) {
  const bt_individuals *limit = &segment->chart;
  char number[REPORT_NUMBER_TEXT];
  int decimals = report_decimals(&of->quantity, limit->sigma);
  bool one = report_has_one_limit(of);
  double upper = report_upper_limit(of, segment), low, high;
  add_label(pane, labels, n, upper, BT_INK_TEXT, one ? "limit" : "UCL",
            report_number(upper, decimals, number));
  if (!one) {
    add_label(pane, labels, n, limit->centre, BT_INK_TEXT, "centre",
              report_number(limit->centre, decimals, number));
    add_label(pane, labels, n, limit->lcl, BT_INK_TEXT, "LCL",
              report_number(limit->lcl, decimals, number));
  }
  if (!report_alarm_limits(of, segment, &low, &high))
    return;
  add_label(pane, labels, n, high, BT_INK_ALARM, "alarm", report_number(high, decimals, number));
  if (!one)
    add_label(pane, labels, n, low, BT_INK_ALARM, "alarm", report_number(low, decimals, number));
}

static void draw_labels(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  const bt_segment *segment = bt_study_now(of);
  const bt_tolerance *tolerance = report_tolerance(of);
  report_label labels[REPORT_LABELS];
  size_t n = 0;
  if (report_has_limits(segment))
    limit_labels(of, segment, pane, labels, &n);
  if (tolerance != NULL && tolerance->has_low)
    tolerance_label(chart, pane, labels, &n, tolerance->low);
  if (tolerance != NULL && tolerance->has_high)
    tolerance_label(chart, pane, labels, &n, tolerance->high);
  double top = pane->y - 1.5, bottom = pane->y + pane->height + 1.5;
  for (size_t i = 0; i < n; i++) {
    double half = report_label_height(chart, labels[i].text) / 2;
    top = fmin(top, labels[i].y - half);
    bottom = fmax(bottom, labels[i].y + half);
  }
  report_labels_place(chart, labels, n, top, bottom);
}

void report_limits_compose(report_chart *chart, bt_pane *pane) {
  draw_limits(chart, pane);
  draw_labels(chart, pane);
}
