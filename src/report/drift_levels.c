/* The level from fill to fill, with the set of dates of its change, its trend, and tolerance.
 * Where fills have no levels, single points stand for them. */
#include "report_levels.h"

#include <math.h>

static const double under = 12.8, above = 9.5, line_width = 0.35, margin_days = 12;

static double day_of(const levels_chart *on, size_t i) {
  return on->of_fills ? on->drift->level[i].day : on->drift->values.day[i];
}

static double value_of(const levels_chart *on, size_t i) {
  return on->of_fills ? on->drift->level[i].value : on->drift->values.value[i];
}

/* The last day shown: the forecast's set, but at most as long again as the log. */
static double last_day(const bt_drift *drift, double first) {
  const bt_forecast *ahead = &drift->forecast;
  double last = drift->last_day, most = last + fmax(120, last - first);
  if (!report_drift_is_ahead(drift))
    return last + 1;
  double end = ahead->has_mean_to ? ahead->mean_to : most;
  if (ahead->has_fail_50)
    end = fmax(end, ahead->fail_50);
  return fmin(end + margin_days, most);
}

/* The fitted mean before the change. */
static double before_of(const bt_drift *drift) {
  const bt_change *change = &drift->change;
  return change->kind == BT_CHANGE_STEP ? change->step.before : change->hinge.before;
}

static void reach_values(const levels_chart *on, double *low, double *high) {
  *low = INFINITY;
  *high = -INFINITY;
  for (size_t i = 0; i < on->n; i++) {
    *low = fmin(*low, value_of(on, i));
    *high = fmax(*high, value_of(on, i));
  }
  if (report_drift_is_changed(on->drift)) {
    const double at[] = {before_of(on->drift), on->drift->change.now};
    for (int k = 0; k < 2; k++) {
      *low = fmin(*low, at[k]);
      *high = fmax(*high, at[k]);
    }
  }
  if (report_drift_is_ahead(on->drift)) {
    const double at[] = {on->drift->forecast.limit, on->drift->oldest_now};
    for (int k = 0; k < 2; k++) {
      *low = fmin(*low, at[k]);
      *high = fmax(*high, at[k]);
    }
  }
  double room = *high > *low ? 0.07 * (*high - *low) : fmax(fabs(*high) * 0.01, 1e-6);
  *low -= room;
  *high += room;
}

static void draw_change(levels_chart *on) {
  const bt_change *change = &on->drift->change;
  if (!report_drift_is_changed(on->drift))
    return;
  double from = fmax(change->from, on->pane->x_low), to = fmin(change->to, on->pane->x_high);
  if (to > from)
    report_span(on->builder, on->pane, from, to, BT_INK_ZONE_B);
}

static void draw_levels(levels_chart *on) {
  bt_polyline *line = report_polyline(on->builder, on->pane, on->n, BT_INK_RAW, 0.15);
  bt_marks *marks = report_marks(on->builder, on->pane, on->n, BT_SHAPE_DOT, BT_INK_SERIES, 1.1);
  for (size_t i = 0; i < on->n; i++) {
    report_polyline_add(line, day_of(on, i), value_of(on, i));
    report_marks_add(marks, day_of(on, i), value_of(on, i));
  }
}

/* The change as fitted, which rate and forecast are of; without a change the trend. */
static void draw_fit(levels_chart *on) {
  const bt_drift *drift = on->drift;
  const bt_change *change = &drift->change;
  const bt_trend *trend = &drift->trend;
  bool changed = report_drift_is_changed(drift);
  if (!changed && !trend->given)
    return;
  bt_polyline *line =
      report_polyline(on->builder, on->pane, 4, changed ? BT_INK_FALL : BT_INK_CENTRE, line_width);
  if (!changed) {
    report_polyline_add(line, trend->from_day, trend->from_value);
    report_polyline_add(line, trend->to_day, trend->to_value);
    return;
  }
  /* A step is drawn where it was fitted, also where a slope that ended began before it. */
  double from = drift->moved.levelled ? change->step.day : change->day;
  report_polyline_add(line, fmin(day_of(on, 0), from), before_of(drift));
  report_polyline_add(line, from, before_of(drift));
  if (change->kind == BT_CHANGE_STEP)
    report_polyline_add(line, from, change->now);
  report_polyline_add(line, drift->last_day, change->now);
}

static void draw_limit(levels_chart *on, double labels_right) {
  const bt_tolerance *tolerance = on->drift->tolerance;
  if (tolerance == NULL)
    return;
  const double at[] = {tolerance->low, tolerance->high};
  const bool has[] = {tolerance->has_low, tolerance->has_high};
  for (int k = 0; k < 2; k++) {
    char number[REPORT_NUMBER_TEXT];
    bt_text words = {0};
    if (!has[k] || at[k] < on->pane->y_low || at[k] > on->pane->y_high)
      continue;
    report_level(on->builder, on->pane, at[k], 0.35, BT_INK_TOLERANCE, BT_DASH_DASHED);
    bt_text_format(&words, "tol. %s", report_plain(at[k], number));
    double height = report_measure(on->builder, BT_STYLE_TICK, bt_text_get(&words), 0).height;
    (void)report_text(on->builder, labels_right, bt_pane_y(on->pane, at[k]) - height / 2,
                      BT_STYLE_TICK, BT_INK_TOLERANCE, BT_ALIGN_RIGHT, bt_text_get(&words));
    report_text_end(on->builder, &words);
  }
}

static void legend(const levels_chart *on, double left, double width, double top) {
  bt_text words = {0};
  bt_text_add(&words, on->of_fills ? "Dots: level of each fill; " : "Dots: points; ");
  if (report_drift_is_changed(on->drift))
    bt_text_format(
        &words,
        "thick red line: the mean as fitted%s; pale band: when it changed (95" REPORT_JOIN "%%)",
        on->drift->moved.kind == BT_CHANGE_STEP ? "" : ", whose rate is told");
  else
    bt_text_add(&words, "thick line: Theil-Sen trend, past no threshold");
  if (report_drift_is_ahead(on->drift))
    bt_text_format(&words,
                   "; wedge: the mean%s up to tolerance (95" REPORT_JOIN
                   "%%); dashed: single checks fail sooner, by then with that chance",
                   report_end_of_fill(on->drift));
  (void)report_wrapped(on->builder, left, top, width, BT_STYLE_NOTE, BT_INK_SOFT,
                       bt_text_get(&words));
  report_text_end(on->builder, &words);
}

void report_drift_levels(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                         double left, double right, double top, double bottom) {
  static const double labels = 17;
  levels_chart on = {.builder = builder,
                     .drift = drift,
                     .of_fills = report_drift_by_fills(drift) && drift->levels.n >= 2};
  on.n = on.of_fills ? drift->levels.n : drift->values.n;
  bt_text words = {0}, cut = {0};
  double first = day_of(&on, 0), width = right - left - labels, low, high;
  bt_text_format(&words, "%s, %s", drift->study->quantity.title,
                 on.of_fills ? "level of each fill at the mean fill age" : "by day");
  (void)report_text(
      builder, left, top, BT_STYLE_TABLE_HEAD, BT_INK_TEXT, BT_ALIGN_LEFT,
      report_cut(builder, BT_STYLE_TABLE_HEAD, bt_text_get(&words), right - left, &cut));
  reach_values(&on, &low, &high);
  report_chart chart = {.builder = builder,
                        .unit = unit,
                        .of = drift->study,
                        .left = left,
                        .width = width,
                        .x_low = floor(first) - 1,
                        .x_high = ceil(last_day(drift, first)) + 1};
  chart.from = (bt_time)chart.x_low * BT_DAY;
  chart.to = (bt_time)chart.x_high * BT_DAY;
  on.pane = report_time_pane(&chart, top + above, bottom - under - top - above, low, high);
  on.pane->framed = true;
  draw_change(&on);
  if (report_drift_is_ahead(drift))
    report_levels_wedge(&on);
  draw_levels(&on);
  draw_fit(&on);
  report_levels_days(&on);
  draw_limit(&on, right);
  report_value_axis(builder, on.pane, 6);
  report_time_axis(&chart, on.pane, on.pane->y + on.pane->height + 0.8);
  legend(&on, left, right - left, on.pane->y + on.pane->height + 5);
  report_text_end(builder, &words);
  report_text_end(builder, &cut);
}
