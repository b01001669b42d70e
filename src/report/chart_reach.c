/* What the main chart's axis spans: the points and limits shown, tolerance where it is near, and
 * room for the marks of signals. A few readings far beyond all others stand at the edge, and the
 * legend counts them: nothing is clipped in silence. */
#include "report_chart.h"

#include <math.h>

static const double edge_mm = 4.5;         /* kept clear above and below for the signals' marks */
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

/* All that is drawn, points within REPORT_FAR_SIGMA of the limits' centre only. */
static void include_shown(const report_chart *chart, reach *range, reach *limits) {
  const bt_study *of = chart->of;
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_individuals *limit = &of->segments[s].chart;
    double from, to, low, high;
    if (!report_has_limits(&of->segments[s]) || !report_segment_shown(chart, s, &from, &to))
      continue;
    include(range, report_upper_limit(of, &of->segments[s]));
    include(range, report_has_one_limit(of) ? 0 : limit->lcl);
    if (report_alarm_limits(of, &of->segments[s], &low, &high)) {
      include(range, low);
      include(range, high);
    }
    if (report_has_zones(of, &of->segments[s])) {
      include(limits, limit->centre - REPORT_FAR_SIGMA * limit->sigma);
      include(limits, limit->centre + REPORT_FAR_SIGMA * limit->sigma);
    }
  }
}

static bool few_of(const double *value, size_t first, size_t last, reach limits) {
  size_t beyond = 0;
  for (size_t i = first; i < last; i++)
    beyond += value[i] < limits.low || value[i] > limits.high;
  return (double)beyond <= fmax(1, few * (double)(last - first));
}

static bool few_beyond(const report_chart *chart, reach limits) {
  const bt_study *of = chart->of;
  return few_of(of->points.value, chart->first, chart->last, limits) &&
         few_of(of->checks.value, chart->first_check, chart->last_check, limits);
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
    if ((of->checks.flags[i] & BT_POINT_RETEST) != 0 || report_is_repeat(chart, i))
      include(&range, of->checks.value[i]);
  if (limits.any && few_beyond(chart, limits)) {
    range.low = fmax(range.low, limits.low);
    range.high = fmin(range.high, limits.high);
  }
  return range;
}

void report_main_reach(const report_chart *chart, double height, double *low, double *high) {
  reach range = data_reach(chart);
  const bt_tolerance *tolerance = report_tolerance(chart->of);
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
  double least =
      fmax(fabs(range.high) * 1e-6, 20 * pow(10, -report_reading_decimals(chart->of, range.high)));
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

double report_at_edge(const bt_pane *pane, double value) {
  return fmin(fmax(value, pane->y_low), pane->y_high);
}

/* Readings keep clear of the edge, so that a mark beside them stays inside. */
double report_shown_at(const bt_pane *pane, double value) {
  double pad = edge_mm / pane->height * (pane->y_high - pane->y_low);
  return fmin(fmax(value, pane->y_low + pad), pane->y_high - pad);
}
