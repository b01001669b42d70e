/* What all panes of a chart stand on: the time axis, value axes, labels beside a pane, and which
 * checks and segments are shown. */
#include "report_chart.h"

#include <math.h>

static const double label_gap = 1.6; /* between a pane and the words beside it */

double report_days(bt_time time) {
  return (double)time / (double)BT_DAY;
}

bt_pane *report_time_pane(report_chart *chart, double y, double height, double y_low,
                          double y_high) {
  bt_pane *pane = report_pane(chart->builder, chart->left, y, chart->width, height);
  pane->x_low = chart->x_low;
  pane->x_high = chart->x_high;
  pane->y_low = y_low;
  pane->y_high = y_high;
  return pane;
}

static double room_of(const report_chart *chart) {
  return chart->right_edge - chart->left - chart->width - label_gap;
}

double report_label_height(const report_chart *chart, const char *words) {
  return report_measure(chart->builder, BT_STYLE_TICK, words, room_of(chart)).height;
}

/* Labels sorted by their middles, pushed down past each other, then back up from the bottom. */
void report_labels_place(report_chart *chart, report_label *labels, size_t n, double top,
                         double bottom) {
  double x = chart->left + chart->width + label_gap;
  double room = room_of(chart);
  for (size_t i = 0; i < n; i++)
    labels[i].height = report_label_height(chart, labels[i].text);
  for (size_t i = 1; i < n; i++)
    for (size_t j = i; j > 0 && labels[j].y < labels[j - 1].y; j--) {
      report_label kept = labels[j];
      labels[j] = labels[j - 1];
      labels[j - 1] = kept;
    }
  double edge = top;
  for (size_t i = 0; i < n; i++) {
    labels[i].y = fmax(labels[i].y, edge + labels[i].height / 2);
    edge = labels[i].y + labels[i].height / 2;
  }
  edge = bottom;
  for (size_t i = n; i > 0; i--) {
    labels[i - 1].y = fmin(labels[i - 1].y, edge - labels[i - 1].height / 2);
    edge = labels[i - 1].y - labels[i - 1].height / 2;
  }
  for (size_t i = 0; i < n; i++)
    (void)report_wrapped(chart->builder, x, labels[i].y - labels[i].height / 2, room, BT_STYLE_TICK,
                         labels[i].ink, labels[i].text);
}

double report_round_step(double step, int *decimals) {
  double power = floor(log10(step));
  double unit = pow(10, power), size = step / unit;
  double factor = size <= 1 + 1e-9 ? 1 : size <= 2 + 1e-9 ? 2 : size <= 5 + 1e-9 ? 5 : 10;
  double rounded = factor * unit;
  double places = -floor(log10(rounded) + 1e-9);
  *decimals = places > 0 ? (int)places : 0;
  return rounded;
}

void report_value_axis(report_builder *builder, bt_pane *pane, int wanted) {
  double span = pane->y_high - pane->y_low;
  if (!(span > 0) || !isfinite(span))
    return;
  int decimals = 0;
  double step = report_round_step(span / wanted, &decimals);
  double height = report_measure(builder, BT_STYLE_TICK, "0", 0).height;
  for (double k = ceil(pane->y_low / step - 1e-9); k * step <= pane->y_high + 1e-9 * span; k++) {
    char number[REPORT_NUMBER_TEXT];
    double y = bt_pane_y(pane, k * step);
    report_y_tick(builder, pane, k * step);
    if (y - height / 2 < pane->y - 0.6 || y + height / 2 > pane->y + pane->height + 1.8)
      continue;
    (void)report_text(builder, pane->x - label_gap, y - height / 2, BT_STYLE_TICK, BT_INK_SOFT,
                      BT_ALIGN_RIGHT, report_number(k * step, decimals, number));
  }
}

bool report_segment_shown(const report_chart *chart, size_t segment, double *from, double *to) {
  const bt_study *of = chart->of;
  const bt_segment *s = &of->segments[segment];
  bool newest = segment + 1 == of->segments_n;
  *from = s->from <= chart->first ? chart->x_low : report_days(of->points.at[s->from]);
  *to = s->to >= chart->last || s->to >= of->points.n ? chart->x_high
                                                      : report_days(of->points.at[s->to]);
  if (chart->first == chart->last)
    return newest;
  return s->from < chart->last && s->to > chart->first && *to > *from;
}

static bool independent(const bt_series *checks, size_t i) {
  return (checks->flags[i] & (BT_POINT_RETEST | BT_POINT_AS_LEFT)) == 0;
}

bool report_is_repeat(const report_chart *chart, size_t i) {
  const bt_series *checks = &chart->of->checks;
  if (!independent(checks, i))
    return false;
  for (size_t k = i;
       k-- > chart->first_check && bt_day_of(checks->at[k]) == bt_day_of(checks->at[i]);)
    if (independent(checks, k))
      return true;
  for (size_t k = i + 1;
       k < chart->last_check && bt_day_of(checks->at[k]) == bt_day_of(checks->at[i]); k++)
    if (independent(checks, k))
      return true;
  return false;
}
