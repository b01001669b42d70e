/* What lies beyond the main chart's axis: it stands at the edge, with a dark triangle where no
 * signal marks it, and the legend counts it and names the furthest. Nothing is clipped in silence.
 */
#include "report_chart.h"

#include <math.h>

static const double size = 1.8, aside_mm = 2.3; /* as far from its point as a signal's mark */

static bool is_beyond(const bt_pane *pane, bt_side side, double value) {
  double by = value - report_shown_at(pane, value);
  return (side == BT_HIGH ? by : -by) > 1e-9 * (pane->y_high - pane->y_low);
}

static void see(report_edge *edge, bt_side side, double value, bt_time at) {
  bool first = edge->points + edge->checks == 0;
  if (first || (side == BT_HIGH ? value > edge->furthest : value < edge->furthest)) {
    edge->furthest = value;
    edge->at = at;
  }
}

/* A check that is drawn beside its day's point. */
static bool is_drawn(const report_chart *chart, size_t i) {
  return (chart->of->checks.flags[i] & BT_POINT_RETEST) != 0 || report_is_repeat(chart, i);
}

/* Points that a signal's mark stands beside need no other. */
static bool is_marked(const bt_study *of, bt_side side, size_t i) {
  return report_is_judged(of) &&
         (of->rules[side][i] & (BT_WE1 | BT_ALARM_LIMIT | BT_TOLERANCE_FAILED)) != 0;
}

/* A signal's mark of that day's point stands at the edge already, and would hide another. */
static bool is_hidden(const report_chart *chart, const bt_pane *pane, bt_side side, bt_time at) {
  const bt_series *points = &chart->of->points;
  for (size_t i = chart->first; i < chart->last; i++)
    if (bt_day_of(points->at[i]) == bt_day_of(at) && is_beyond(pane, side, points->value[i]) &&
        is_marked(chart->of, side, i))
      return true;
  return false;
}

static void count(report_chart *chart, const bt_pane *pane, bt_side side) {
  const bt_series *points = &chart->of->points, *checks = &chart->of->checks;
  report_edge *edge = &chart->edge[side];
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_beyond(pane, side, points->value[i])) {
      see(edge, side, points->value[i], points->at[i]);
      edge->points++;
      edge->marks += !is_marked(chart->of, side, i);
    }
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if (is_beyond(pane, side, checks->value[i]) && is_drawn(chart, i)) {
      see(edge, side, checks->value[i], checks->at[i]);
      edge->checks++;
      edge->marks += !is_hidden(chart, pane, side, checks->at[i]);
    }
}

static void draw(report_chart *chart, bt_pane *pane, bt_side side) {
  const bt_series *points = &chart->of->points, *checks = &chart->of->checks;
  double edge = side == BT_HIGH ? pane->y_high : pane->y_low;
  bt_marks *marks = report_marks(chart->builder, pane, chart->edge[side].marks,
                                 side == BT_HIGH ? BT_SHAPE_UP : BT_SHAPE_DOWN, BT_INK_TEXT, size);
  if (marks == NULL)
    return;
  marks->shift_mm = side == BT_LOW ? aside_mm : -aside_mm;
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_beyond(pane, side, points->value[i]) && !is_marked(chart->of, side, i))
      report_marks_add(marks, report_days(points->at[i]), report_shown_at(pane, edge));
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if (is_beyond(pane, side, checks->value[i]) && is_drawn(chart, i) &&
        !is_hidden(chart, pane, side, checks->at[i]))
      report_marks_add(marks, report_days(checks->at[i]), report_shown_at(pane, edge));
}

void report_edge_compose(report_chart *chart, bt_pane *pane) {
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    count(chart, pane, side);
    draw(chart, pane, side);
  }
}

static void furthest(const report_chart *chart, bt_side side, bt_text *out) {
  char number[REPORT_NUMBER_TEXT], date[REPORT_DATE_TEXT];
  const report_edge *edge = &chart->edge[side];
  if (edge->points + edge->checks == 0)
    return;
  bt_text_format(
      out, ", %s %s on %s", side == BT_HIGH ? "highest" : "lowest",
      report_number(edge->furthest, report_reading_decimals(chart->of, edge->furthest), number),
      report_short_date(edge->at, date));
}

void report_edge_legend(const report_chart *chart, bt_text *out) {
  const report_edge *low = &chart->edge[BT_LOW], *high = &chart->edge[BT_HIGH];
  size_t points = low->points + high->points, checks = low->checks + high->checks;
  if (points + checks == 0)
    return;
  if (points > 0)
    report_count(out, points, "point", "points");
  bt_text_add(out, points > 0 && checks > 0 ? " and " : "");
  if (checks > 0)
    report_count(out, checks, "single check", "single checks");
  bt_text_format(out, " %s beyond the axis%s", points + checks == 1 ? "lies" : "lie",
                 low->marks + high->marks > 0 ? " (dark ▲▼ at its edge)" : ", drawn at its edge");
  furthest(chart, BT_HIGH, out);
  furthest(chart, BT_LOW, out);
  bt_text_add(out, ". ");
}
