/* The rule lane: one row a rule, a mark under each point that completes it. Alarms fill their row,
 * notices are lower and calmer, so that the two differ in grey print as well. A row holds the
 * notice of a limit and the alarm of the wider one. What no rule judged is hatched. */
#include "report_chart.h"

#include <math.h>

static const double narrowest = 0.9; /* mm: a single day stays visible */
static const double name_gap = 1.3;

/* Bits that the lane has rows for: all rules of a judged chart, else tolerance alone. */
static bool has_row(const report_chart *chart, const report_rule *rule) {
  const bt_study *of = chart->of;
  if (!report_is_judged(of))
    return false;
  if (rule->alarm == BT_TOLERANCE_FAILED) {
    bt_rules bits = 0;
    for (size_t i = chart->first; i < chart->last; i++)
      bits |= of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
    return of->tolerance.now != NULL || (bits & BT_TOLERANCE_FAILED) != 0;
  }
  for (size_t i = 0; i < of->segments_n; i++)
    if (report_has_limits(&of->segments[i]))
      return true;
  return false;
}

size_t report_lane_rows(const report_chart *chart) {
  report_rule rules[BT_RULE_COUNT];
  size_t n = report_rules(chart->of, rules), rows = 0;
  for (size_t i = 0; i < n; i++)
    rows += has_row(chart, &rules[i]);
  return rows;
}

/* Half the width of a mark, in days: half the usual step between points, or the least to be seen.
 */
static double half_width(const report_chart *chart) {
  double days = chart->x_high - chart->x_low;
  double least = narrowest / 2 / chart->width * days;
  size_t n = chart->last - chart->first;
  double usual = n > 1 ? (report_days(chart->of->points.at[chart->last - 1]) -
                          report_days(chart->of->points.at[chart->first])) /
                             (double)(n - 1) / 2
                       : least;
  return fmin(fmax(usual * 0.85, least), 5 * least);
}

/* The marks of one strength: a point that is an alarm isn't marked as a notice too. */
static void draw_strength(report_chart *chart, bt_pane *pane, size_t row, const report_rule *rule,
                          double longest, bool alarm) {
  const bt_study *of = chart->of;
  double half = half_width(chart);
  double top = (double)row + (alarm ? 0.08 : 0.22), bottom = (double)row + (alarm ? 0.92 : 0.78);
  bt_ink ink = alarm ? BT_INK_ALARM : BT_INK_NOTICE;
  bool before = false;
  for (size_t i = chart->first; i < chart->last; i++) {
    bt_rules bits = of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
    bool is_alarm = (bits & rule->alarm) != 0;
    bool here = alarm ? is_alarm : !is_alarm && (bits & rule->notice) != 0;
    double x = report_days(of->points.at[i]);
    double from = fmax(x - half, chart->x_low), to = fmin(x + half, chart->x_high);
    /* Successive points, a weekend between them or not, are one mark. */
    bool joined = here && before && !report_is_gap(chart, i, longest);
    if (joined)
      pane->bars[pane->bars_n - 1].x2 = to;
    else if (here)
      report_bar(chart->builder, pane, (bt_bar){from, to, top, bottom, ink});
    before = here && pane->bars_n > 0;
    chart->lane_alarms |= here && alarm;
    chart->lane_marks |= here;
  }
}

static void draw_row(report_chart *chart, bt_pane *pane, size_t row, double row_height,
                     const report_rule *rule, double longest) {
  draw_strength(chart, pane, row, rule, longest, false);
  /* Over its neighbours: the worse is seen. */
  draw_strength(chart, pane, row, rule, longest, true);
  report_hatch_row(chart, pane, row, row_height, rule, longest, half_width(chart));
}

bt_pane *report_lane_compose(report_chart *chart, double top, double row_height) {
  report_rule rules[BT_RULE_COUNT];
  size_t n = report_rules(chart->of, rules), row = 0, rows = report_lane_rows(chart);
  report_builder *builder = chart->builder;
  /* Rows are counted downwards: y_low is the lane's lower edge. */
  bt_pane *pane = report_time_pane(chart, top, (double)rows * row_height, -(double)rows, 0);
  double longest = report_longest_step(chart);
  for (size_t i = 0; i <= rows; i++)
    report_level(builder, pane, -(double)i, 0.1, BT_INK_FAINT, BT_DASH_SOLID);
  for (size_t i = 0; i < n; i++) {
    if (!has_row(chart, &rules[i]))
      continue;
    draw_row(chart, pane, row, row_height, &rules[i], longest);
    double height = report_measure(builder, BT_STYLE_TICK, rules[i].label, 0).height;
    (void)report_text(builder, chart->left - name_gap,
                      top + ((double)row + 0.5) * row_height - height / 2, BT_STYLE_TICK,
                      BT_INK_TEXT, BT_ALIGN_RIGHT, rules[i].label);
    row++;
  }
  for (size_t i = 0; i < pane->bars_n; i++) {
    double upper = pane->bars[i].y1;
    pane->bars[i].y1 = -pane->bars[i].y2;
    pane->bars[i].y2 = -upper;
  }
  return pane;
}
