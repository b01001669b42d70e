/* The points of the main chart: readings as measured behind them, their line, dots, rings and
 * crosses, and the marks of signals. */
#include "report_chart.h"

#include <math.h>

static const double line_width = 0.3, raw_width = 0.15, ewma_width = 0.25;
/* More days a millimetre can't be told apart on paper; a gap wider than that can. */
static const double crowded_days_mm = 8, widest_mm = 1;
static const double aside_mm = 2.3; /* of a signal's mark from its point */

static bool is_ring(const bt_study *of, size_t i) {
  return (of->points.flags[i] & BT_POINT_NOT_BY_RULES) != 0;
}

static void draw_raw(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  if (!of->adjusted)
    return;
  bt_polyline *line =
      report_polyline(chart->builder, pane, chart->last - chart->first, BT_INK_RAW, raw_width);
  for (size_t i = chart->first; i < chart->last; i++)
    report_polyline_add(line, report_days(of->points.at[i]),
                        report_shown_at(pane, of->points.raw[i]));
  chart->raw = line != NULL && line->n > 1;
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
    report_polyline_add(line, report_days(of->points.at[i]),
                        report_shown_at(pane, of->points.value[i]));
  }
}

/* Points that the EWMA averages: those judged in Phase II of a chart with zones. */
static bool is_averaged(const bt_study *of, size_t i) {
  int32_t segment = of->points.segment[i];
  return of->judged[i] == 1 && segment >= 0 && report_has_zones(of, &of->segments[segment]);
}

/* The EWMA starts at the centre again at `point`, or at one after `before` that isn't judged. */
static bool restarts_by(const bt_study *of, size_t before, size_t point) {
  for (size_t i = 0; i < of->cusum.restarts_n; i++)
    if (of->cusum.restarts[i].point > before && of->cusum.restarts[i].point <= point)
      return true;
  return false;
}

/* Broken where a baseline ends or the EWMA restarts: nothing carries over. */
static void draw_ewma(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  bt_polyline *line = NULL;
  size_t before = 0;
  for (size_t i = chart->first; i < chart->last && of->ewma.value != NULL; i++) {
    if (!is_averaged(of, i))
      continue;
    if (line == NULL || of->points.segment[i] != of->points.segment[before] ||
        restarts_by(of, before, i))
      line = report_polyline(chart->builder, pane, chart->last - i, BT_INK_CENTRE, ewma_width);
    if (line == NULL)
      return;
    before = i;
    report_polyline_add(line, report_days(of->points.at[i]),
                        report_shown_at(pane, of->ewma.value[i]));
    chart->ewma |= line->n > 1; /* one value alone shows no curve */
  }
}

/* Dots get smaller as points come closer; past some density the line alone is clearer. */
static double dot_size(const report_chart *chart) {
  size_t n = chart->last - chart->first;
  double spacing = n > 1 ? chart->width / (double)n : chart->width;
  return spacing < 0.14 ? 0 : fmin(fmax(spacing * 1.15, 0.5), 1.35);
}

static void draw_points(report_chart *chart, bt_pane *pane) {
  const bt_study *of = chart->of;
  size_t rings = 0, others = 0, old = 0, crosses = 0, n = chart->last - chart->first;
  double size = dot_size(chart);
  for (size_t i = chart->first; i < chart->last; i++) {
    rings += is_ring(of, i);
    others += (of->points.flags[i] & BT_POINT_OTHER_TARGET) != 0;
    old += (of->points.flags[i] & BT_POINT_TOO_OLD) != 0;
    crosses += (of->points.flags[i] & BT_POINT_SCREENED) != 0;
  }
  if (size > 0 && n > rings) {
    bt_marks *dots =
        report_marks(chart->builder, pane, n - rings, BT_SHAPE_DOT, BT_INK_SERIES, size);
    for (size_t i = chart->first; i < chart->last; i++)
      if (!is_ring(of, i))
        report_marks_add(dots, report_days(of->points.at[i]),
                         report_shown_at(pane, of->points.value[i]));
  }
  bt_marks *ring =
      report_marks(chart->builder, pane, rings, BT_SHAPE_RING, BT_INK_SERIES, fmax(size, 1.1));
  for (size_t i = chart->first; i < chart->last; i++)
    if (is_ring(of, i))
      report_marks_add(ring, report_days(of->points.at[i]),
                       report_shown_at(pane, of->points.value[i]));
  bt_marks *cross = report_marks(chart->builder, pane, crosses, BT_SHAPE_CROSS, BT_INK_TEXT, 2.2);
  for (size_t i = chart->first; i < chart->last; i++)
    if ((of->points.flags[i] & BT_POINT_SCREENED) != 0)
      report_marks_add(cross, report_days(of->points.at[i]),
                       report_shown_at(pane, of->points.value[i]));
  chart->aged |= rings > others;
  chart->moved_too_far |= of->adjusted && old > 0;
  chart->other_target |= others > 0;
  chart->crosses |= crosses > 0;
}

bool report_is_crowded(const report_chart *chart) {
  return (double)(chart->last - chart->first) > crowded_days_mm * chart->width;
}

void report_crowd_put(const report_chart *chart, bt_polyline *crowd, double x, double y) {
  double mm = chart->width / (chart->x_high - chart->x_low);
  if (crowd->n > 0 && (x - crowd->x[crowd->n - 1]) * mm > widest_mm)
    report_polyline_add(crowd, x, NAN);
  report_polyline_add(crowd, x, y);
}

/* n single checks of days that have several, where dots would hide one another: their crowd, and
 * each that is outside tolerance by itself. */
static void draw_crowd(report_chart *chart, bt_pane *pane, size_t n) {
  const bt_series *checks = &chart->of->checks;
  size_t outside = 0;
  bt_polyline *crowd = report_polyline(chart->builder, pane, 2 * n, BT_INK_RAW, raw_width);
  for (size_t i = chart->first_check; i < chart->last_check && crowd != NULL; i++) {
    if (!report_is_repeat(chart, i))
      continue;
    report_crowd_put(chart, crowd, report_days(checks->at[i]),
                     report_shown_at(pane, checks->value[i]));
    outside += (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
  }
  bt_marks *marks =
      report_marks(chart->builder, pane, outside, BT_SHAPE_DIAMOND, BT_INK_ALARM, 1.3);
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if ((checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0 && report_is_repeat(chart, i))
      report_marks_add(marks, report_days(checks->at[i]), report_shown_at(pane, checks->value[i]));
  chart->outside_tolerance |= outside > 0;
  chart->crowd |= n > 0;
}

/* The single checks of days that have several, small behind their mean. */
static void draw_repeats(report_chart *chart, bt_pane *pane) {
  const bt_series *checks = &chart->of->checks;
  size_t n = 0;
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    n += report_is_repeat(chart, i);
  if (report_is_crowded(chart)) {
    draw_crowd(chart, pane, n);
    return;
  }
  bt_marks *dots = report_marks(chart->builder, pane, n, BT_SHAPE_DOT, BT_INK_RAW, 0.6);
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if (report_is_repeat(chart, i))
      report_marks_add(dots, report_days(checks->at[i]), report_shown_at(pane, checks->value[i]));
  chart->repeats = n > 0;
}

static void draw_retests(report_chart *chart, bt_pane *pane) {
  const bt_series *checks = &chart->of->checks;
  size_t n = 0;
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    n += (checks->flags[i] & BT_POINT_RETEST) != 0;
  bt_marks *rings = report_marks(chart->builder, pane, n, BT_SHAPE_RING, BT_INK_SERIES, 1.6);
  for (size_t i = chart->first_check; i < chart->last_check; i++)
    if ((checks->flags[i] & BT_POINT_RETEST) != 0)
      report_marks_add(rings, report_days(checks->at[i]), report_shown_at(pane, checks->value[i]));
  chart->retests |= n > 0;
}

/* A point has one mark a side: that of tolerance, of the alarm limit, or of the control limit. */
static bool marked(const bt_study *of, bt_side side, bt_rules bit, size_t i) {
  bt_rules bits = of->rules[side][i];
  bt_rules worse = bit == BT_TOLERANCE_FAILED ? 0 : BT_TOLERANCE_FAILED;
  worse |= bit == BT_WE1 ? BT_ALARM_LIMIT : 0;
  return (bits & bit) != 0 && (bits & worse) == 0;
}

/* A check below the tolerance of its time is of the low side, any other that failed of the high
 * one, as the rules have it. */
static bool failed_on(const report_chart *chart, bt_side side, size_t check,
                      bt_tolerance_stretch *stretch) {
  const bt_series *checks = &chart->of->checks;
  if ((checks->flags[check] & BT_POINT_OUT_OF_TOLERANCE) == 0)
    return false;
  const bt_tolerance *tolerance =
      bt_settings_tolerance_along(&chart->unit->settings, chart->unit->history.unit,
                                  chart->of->characteristic, checks->at[check], stretch);
  bool low = tolerance != NULL && tolerance->has_low && checks->raw[check] < tolerance->low;
  return low == (side == BT_LOW);
}

/* The reading of that point's day that failed on that side; of a retest only where no other did.
 * Tolerance judges single checks as they were measured: beside the point, which may be their mean,
 * and moved to the mean fill age, its mark could stand on the other side of the tolerance line. */
static double failed_reading(const report_chart *chart, bt_side side, size_t i) {
  const bt_study *of = chart->of;
  const bt_series *checks = &of->checks;
  bt_time day = bt_day_of(of->points.at[i]) * BT_DAY;
  bt_tolerance_stretch stretch = {0};
  size_t retest = BT_NONE;
  for (size_t c = bt_series_from(checks, of->every ? of->points.at[i] : day);
       c < checks->n && checks->at[c] < day + BT_DAY; c++) {
    if (!failed_on(chart, side, c, &stretch))
      continue;
    if ((checks->flags[c] & BT_POINT_RETEST) == 0)
      return checks->raw[c];
    retest = retest == BT_NONE ? c : retest;
  }
  return retest != BT_NONE ? checks->raw[retest] : of->points.raw[i];
}

/* Marks beside the points of one side whose bits hold `bit`. */
static size_t draw_signals(report_chart *chart, bt_pane *pane, bt_side side, bt_rules bit,
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
      report_marks_add(marks, report_days(of->points.at[i]),
                       report_shown_at(pane, bit == BT_TOLERANCE_FAILED
                                                 ? failed_reading(chart, side, i)
                                                 : of->points.value[i]));
  return n;
}

/* A text that was removed changes no reading; a file that was read again is of many days. */
static bool is_marked_correction(const report_chart *chart, const bt_correction *correction) {
  return !correction->of_event && correction->kind != BT_REDACTED &&
         correction->kind != BT_READ_AGAIN && correction->time >= chart->from &&
         correction->time < chart->to &&
         report_correction_touches(chart->unit, chart->of, correction);
}

/* Squares at the foot of the days of which the chart's readings were corrected, withdrawn or
 * settled. */
static void draw_corrected(report_chart *chart, bt_pane *pane) {
  const bt_unit_study *unit = chart->unit;
  size_t n = 0;
  for (size_t i = 0; i < unit->corrections_n; i++)
    n += is_marked_correction(chart, &unit->corrections[i]);
  bt_marks *marks = report_marks(chart->builder, pane, n, BT_SHAPE_SQUARE, BT_INK_TEXT, 1.5);
  if (marks == NULL)
    return;
  marks->shift_mm = -1.1;
  for (size_t i = 0; i < unit->corrections_n; i++)
    if (is_marked_correction(chart, &unit->corrections[i]))
      report_marks_add(marks, report_days(unit->corrections[i].time), pane->y_low);
  chart->corrected = true;
}

void report_points_compose(report_chart *chart, bt_pane *pane) {
  draw_raw(chart, pane);
  draw_repeats(chart, pane);
  draw_line(chart, pane);
  draw_points(chart, pane);
  draw_ewma(chart, pane);
  draw_retests(chart, pane);
  report_edge_compose(chart, pane);
  for (bt_side side = BT_LOW; side <= BT_HIGH && report_is_judged(chart->of); side++) {
    bt_shape triangle = side == BT_LOW ? BT_SHAPE_DOWN : BT_SHAPE_UP;
    chart->beyond_limit |=
        draw_signals(chart, pane, side, BT_WE1, triangle, BT_INK_NOTICE, 2.2) > 0;
    chart->beyond_alarm |=
        draw_signals(chart, pane, side, BT_ALARM_LIMIT, triangle, BT_INK_ALARM, 2.8) > 0;
    chart->outside_tolerance |= draw_signals(chart, pane, side, BT_TOLERANCE_FAILED,
                                             BT_SHAPE_DIAMOND, BT_INK_ALARM, 2.6) > 0;
  }
  if (report_is_judged(chart->of))
    draw_corrected(chart, pane);
}
