/* The chart composer: event lane, main chart, rule lane, moving range, spread within days and CUSUM
 * on one calendar axis. Heights come from what there is to show; the main chart takes what is left.
 */
#include "report_chart.h"

#include <math.h>

static const double lane_row = 3.5;       /* one rule */
static const double range_height = 18.6;  /* moving range */
static const double cusum_height = 28;    /* CUSUM */
static const double within_height = 11.5; /* spread within days */
static const double plot_height = 66;     /* T²: the offsets as they lie */
static const double plot_gap = 5;
static const double pane_gap = 2.4;    /* between panes */
static const double lane_gap = 3.0;    /* above the rule lane */
static const double axis_height = 6.2; /* months under the last pane */
static const double least_main = 42;   /* before the lower panes shrink */

void report_chart_prepare(report_chart *chart) {
  report_between(&chart->of->points, chart->from, chart->to, &chart->first, &chart->last);
  report_between(&chart->of->checks, chart->from, chart->to, &chart->first_check,
                 &chart->last_check);
  chart->x_low = report_days(chart->from);
  chart->x_high = report_days(chart->to);
  if (!(chart->x_high > chart->x_low))
    chart->x_high = chart->x_low + 1;
}

/* Some segment of those shown has zones, hence moving ranges and a CUSUM. */
static bool any_zones(const report_chart *chart) {
  double from, to;
  for (size_t i = 0; i < chart->of->segments_n; i++)
    if (report_has_zones(chart->of, &chart->of->segments[i]) &&
        report_segment_shown(chart, i, &from, &to))
      return true;
  return false;
}

/* Heights of what stands one under the other. */
typedef struct heights {
  double events, main, lane, range, within, cusum;
} heights;

/* Where the main chart would be low, the moving range makes room for the spread within days, and
 * both lower panes shrink. */
static heights share(report_chart *chart, double height) {
  heights of = {.events = report_events_height(chart)};
  size_t rows = report_lane_rows(chart);
  bool lower = any_zones(chart), within = lower && report_has_within(chart);
  of.lane = rows > 0 ? lane_gap + (double)rows * lane_row : 0;
  of.range = lower ? pane_gap + range_height : 0;
  of.within = within ? pane_gap + within_height : 0;
  of.cusum = lower ? pane_gap + cusum_height : 0;
  double left = height - of.events - of.lane - axis_height - of.cusum;
  of.main = left - of.range - of.within;
  if (of.main < least_main && within) {
    of.main += of.range;
    of.range = 0;
  }
  if (of.main < least_main && lower) {
    double missing = fmin(least_main - of.main, of.range > 0 ? 18 : 14);
    double of_range = of.range > 0 ? missing / 3 : 0;
    of.range -= of_range;
    of.cusum -= missing - of_range;
    of.main += missing;
  }
  return of;
}

void report_chart_compose(report_chart *chart, double top, double bottom) {
  report_chart_prepare(chart);
  bool has_plot = report_has_plot(chart);
  double plot = has_plot ? fmin(plot_height, (bottom - top) * 0.55) : 0, plot_top = bottom - plot;
  bottom -= has_plot ? plot + plot_gap : 0;
  heights of = share(chart, bottom - top);
  double y = top + of.events;
  report_events_compose(chart, y);
  bt_pane *lowest = report_main_compose(chart, y, of.main);
  y += of.main;
  if (of.lane > 0)
    lowest = report_lane_compose(chart, y + lane_gap, lane_row);
  y += of.lane;
  if (of.range > 0)
    report_range_compose(chart, y + pane_gap, of.range - pane_gap);
  y += of.range;
  if (of.within > 0)
    report_within_compose(chart, y + pane_gap, of.within - pane_gap);
  y += of.within;
  if (of.cusum > 0)
    lowest = report_cusum_compose(chart, y + pane_gap, of.cusum - pane_gap);
  report_time_axis(chart, lowest, bottom - axis_height + 1.8);
  if (has_plot)
    report_plot_compose(chart, plot_top, plot_top + plot);
}

static void signal_legend(const report_chart *chart, bt_text *out) {
  if (chart->beyond_limit && chart->beyond_alarm)
    bt_text_add(out, "▲▼ beyond a control limit; large: an alarm limit. ");
  else if (chart->beyond_limit || chart->beyond_alarm)
    bt_text_format(out, "▲▼ a point beyond %s limit. ",
                   chart->beyond_alarm ? "an alarm" : "a control");
  if (chart->outside_tolerance)
    bt_text_add(out, "◆ a check outside tolerance, at its reading. ");
  if (chart->lane_marks)
    bt_text_format(out, "Lane: points that completed a rule%s. ",
                   chart->lane_alarms ? "; tall: alarms" : "");
  else if (chart->last > chart->first && report_lane_rows(chart) > 0)
    bt_text_add(out, "Lane: no point completed a rule. ");
  char days[REPORT_NUMBER_TEXT];
  if (chart->lane_gaps)
    bt_text_format(out, "Hatched: nothing judged, no reading for over %s days%s. ",
                   report_plain(chart->lane_longest, days),
                   chart->lane_aside ? ", or not by that rule" : "");
  else if (chart->lane_aside)
    bt_text_add(out, "Hatched: not judged by that rule. ");
  if (chart->alarm_limits)
    bt_text_add(out, "Dash and dot: alarm limits. ");
}

/* The EWMA's own limits widen from point to point: they would only cross those of the chart. */
static void line_legend(const report_chart *chart, bt_text *out) {
  const bt_ewma *ewma = &chart->of->ewma;
  char lambda[REPORT_NUMBER_TEXT], limit[REPORT_NUMBER_TEXT];
  if (chart->ewma)
    bt_text_format(out,
                   "Dark curve: EWMA (λ" REPORT_JOIN "%s, L" REPORT_JOIN "%s; no limits drawn). ",
                   report_plain(ewma->lambda, lambda), report_plain(ewma->limit, limit));
  if (chart->raw)
    bt_text_add(out, "Pale line: as measured. ");
  if (chart->within_beyond)
    bt_text_add(out, "Squares: beyond the within-day limit. ");
  if (chart->within)
    bt_text_add(out, "“In a day”: the spread (s) of that day’s checks. ");
}

static void mark_legend(const report_chart *chart, bt_text *out) {
  if (chart->retests || chart->aged || chart->other_target)
    bt_text_format(out, "Rings: %s%s%s%s%s. ", chart->retests ? "a retest" : "",
                   chart->retests && chart->aged ? ", or " : "",
                   !chart->aged ? ""
                   : chart->moved_too_far
                       ? "gas of unknown age, or too old to be judged or rightly moved"
                       : "gas of unknown age, or too old to be judged",
                   chart->other_target && (chart->retests || chart->aged) ? ", or " : "",
                   chart->other_target ? "another target energy" : "");
  if (chart->crosses)
    bt_text_add(out, "Crosses: left out of the baseline. ");
  if (chart->corrected)
    bt_text_add(out, "Squares at the foot: corrected checks. ");
  if (chart->capped)
    bt_text_add(out, "“to”: beyond the pane, drawn at its edge. ");
  if (chart->repeats)
    bt_text_add(out, "Small dots: single checks of a day that has several. ");
  if (chart->crowd)
    bt_text_add(out, "Bands: single checks and their s, over 8 days a millimetre, from lowest to "
                     "highest. ");
}

void report_legend(const report_chart *chart, bt_text *out) {
  signal_legend(chart, out);
  line_legend(chart, out);
  mark_legend(chart, out);
  if (chart->fills)
    bt_text_add(out, chart->fills_too_many ? "Bar on top: gas fills (many). "
                                           : "Bars on top: gas fills, two tints by turns. ");
  if (any_zones(chart))
    bt_text_add(out, "Zones: 1, 2, 3σ. ");
  if (chart->restarts)
    bt_text_format(out, "Broken upright: %s restarted, no repair. ",
                   chart->ewma ? "CUSUM and EWMA" : "the CUSUM");
  if (chart->baseline)
    bt_text_add(out, chart->cusum_later ? "Tinted: the baseline; the CUSUM starts after it. "
                                        : "Tinted: the baseline. ");
  report_edge_legend(chart, out);
}
