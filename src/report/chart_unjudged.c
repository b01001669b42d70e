/* Where a row of the rule lane judged nothing it is hatched, so that an empty stretch of it says
 * "judged, no signal" and nothing else: where no check came for longer than one is expected within,
 * before the log begins and after it ends, and at points that the rule does not judge (no baseline,
 * its own period, a fill age unknown, no tolerance in force yet). */
#include "report_chart.h"

#include <math.h>

static const double spacing = 1.1, line_width = 0.12; /* mm: of the hatching */
static const double narrowest = 0.3;                  /* mm that are worth hatching */

double report_longest_step(report_chart *chart) {
  double longest = chart->unit->expected_days;
  if (!bt_series_longest_step(&chart->of->points, chart->first, chart->last, &longest))
    report_no_memory(chart->builder);
  return longest;
}

bool report_is_gap(const report_chart *chart, size_t point, double longest) {
  const bt_time *at = chart->of->points.at;
  /* By days of the calendar: a check at noon is no later a day than one in the morning. */
  return point == 0 || (double)(bt_day_of(at[point]) - bt_day_of(at[point - 1])) > longest;
}

/* What one row is asked of, point after point. */
typedef struct asked {
  const report_chart *chart;
  const report_rule *rule;
  bt_tolerance_stretch stretch;
} asked;

static bool is_judged(asked *row, size_t point) {
  const report_chart *chart = row->chart;
  const bt_study *of = chart->of;
  if (row->rule->alarm == BT_TOLERANCE_FAILED)
    return bt_settings_tolerance_along(&chart->unit->settings, chart->unit->history.unit,
                                       of->characteristic, of->points.at[point],
                                       &row->stretch) != NULL;
  return of->judged[point] == 1 || (of->judged[point] == 2 && (row->rule->notice & BT_WE1) != 0);
}

/* Slanting lines over [from, to) of that row, in step with those of the rows beside it; false where
 * there is no room for any. */
static bool hatch(report_chart *chart, bt_pane *pane, size_t row, double row_height, double from,
                  double to) {
  double per_day = pane->width / (pane->x_high - pane->x_low);
  double left = (fmax(from, pane->x_low) - pane->x_low) * per_day;
  double right = (fmin(to, pane->x_high) - pane->x_low) * per_day;
  double top = (double)row * row_height, bottom = top + row_height;
  if (right - left < narrowest)
    return false;
  size_t most = (size_t)((right - left + row_height) / spacing) + 2;
  bt_polyline *line = report_polyline(chart->builder, pane, 3 * most, BT_INK_FAINT, line_width);
  if (line == NULL)
    return false;
  for (double k = ceil((left + top) / spacing); k * spacing < right + bottom; k++) {
    double upper = fmax(top, k * spacing - right), lower = fmin(bottom, k * spacing - left);
    if (!(lower > upper) || line->n + 3 > 3 * most)
      continue;
    report_polyline_add(line, pane->x_low + (k * spacing - lower) / per_day, -lower / row_height);
    report_polyline_add(line, pane->x_low + (k * spacing - upper) / per_day, -upper / row_height);
    report_polyline_add(line, NAN, NAN);
  }
  return line->n > 0;
}

void report_hatch_row(report_chart *chart, bt_pane *pane, size_t row, double row_height,
                      const report_rule *rule, double longest, double half) {
  const bt_series *points = &chart->of->points;
  asked asks = {.chart = chart, .rule = rule};
  double since = chart->x_low;
  bool gap = chart->first == chart->last;
  bool aside =
      chart->first > 0 && chart->first < chart->last && !is_judged(&asks, chart->first - 1);
  for (size_t i = chart->first; i <= chart->last; i++) {
    bool ends = i == chart->last;
    double x = ends ? chart->x_high + half : report_days(points->at[i]);
    if (ends && i == points->n && i > 0)
      gap |= (double)(bt_day_of(chart->to - 1) - bt_day_of(points->at[i - 1])) > longest;
    else if (i < points->n)
      gap |= report_is_gap(chart, i, longest);
    if (!ends && !is_judged(&asks, i)) {
      aside = true;
      continue;
    }
    if ((gap || aside) && hatch(chart, pane, row, row_height, since, x - half)) {
      chart->lane_gaps |= gap;
      chart->lane_aside |= aside;
    }
    gap = aside = false;
    since = x + half;
  }
  chart->lane_longest = longest;
}
