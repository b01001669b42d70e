/* The tracker's offsets as they lie, x across and y upwards in one scale: the points of the
 * baseline, those after it that are shown, the ellipse of T², the circle of the radius' limit, and
 * that of its tolerance. Only where the unit's study has both axes. */
#include "report_chart.h"

#include <math.h>

static const double tau = 6.283185307179586;
static const double margin = 1.06;   /* of the half width, kept clear for the marks */
static const double farthest = 2.2;  /* times ellipse and circle: points beyond stand at the edge */
static const double tolerable = 1.5; /* tolerance is drawn where it widens the plot by no more */
static const double axis_below = 4.6; /* for the labels under the plot */
static const double label_gap = 1.6, words_gap = 13;

enum { CORNERS = 144 };

typedef enum kind { OF_BASELINE, LEFT_OUT, AFTER, NOTICED, ALARMED, KINDS } kind;

typedef struct plot {
  report_chart *chart;
  const bt_segment *segment;
  const bt_study *x, *y;
  double radius, tolerance;        /* of the circles; 0: there is none */
  double centre_x, centre_y, half; /* what the square shows */
  size_t drawn[KINDS], edge;       /* points drawn, and those at the edge */
} plot;

static const bt_segment *vector_of(const report_chart *chart) {
  const bt_segment *segment = bt_study_now(chart->of);
  bool fits = chart->of->characteristic == BT_TRACKER_VECTOR && report_has_limits(segment) &&
              segment->vector.n > 0;
  return fits ? segment : NULL;
}

bool report_has_plot(const report_chart *chart) {
  return vector_of(chart) != NULL && bt_unit_study_of(chart->unit, BT_TRACKER_X) != NULL &&
         bt_unit_study_of(chart->unit, BT_TRACKER_Y) != NULL;
}

/* The offset of point i of T²: its axes have a point of the same moment. */
static bool offset(const plot *of, size_t i, double *x, double *y) {
  bt_time at = of->chart->of->points.at[i];
  const bt_series *across = &of->x->points, *upwards = &of->y->points;
  size_t a = bt_series_from(across, at), u = bt_series_from(upwards, at);
  if (a >= across->n || u >= upwards->n || across->at[a] != at || upwards->at[u] != at)
    return false;
  *x = across->value[a];
  *y = upwards->value[u];
  return true;
}

/* The corner of the ellipse T² = limit at that angle: mean + sqrt(limit) L (cos, sin), with L L'
 * the covariance. */
static void ellipse_at(const bt_vector *vector, double limit, double angle, double *x, double *y) {
  double l11 = sqrt(fmax(vector->var_x, 0));
  double l21 = l11 > 0 ? vector->cov_xy / l11 : 0;
  double l22 = sqrt(fmax(vector->var_y - l21 * l21, 0)), scale = sqrt(limit);
  *x = vector->mean_x + scale * l11 * cos(angle);
  *y = vector->mean_y + scale * (l21 * cos(angle) + l22 * sin(angle));
}

static void find_circles(plot *of) {
  const bt_study *radial = bt_unit_study_of(of->chart->unit, BT_TRACKER_RADIAL);
  const bt_segment *segment = radial != NULL ? bt_study_now(radial) : NULL;
  if (segment != NULL && report_has_limits(segment) && segment->radial.n > 0)
    of->radius = segment->radial.limit;
  const bt_tolerance *tolerance = radial != NULL ? report_tolerance(radial) : NULL;
  if (tolerance != NULL && tolerance->has_high)
    of->tolerance = tolerance->high;
}

static double ellipse_limit(const plot *of) {
  return report_upper_limit(of->chart->of, of->segment);
}

/* A square about ellipse and circle, wide enough for points that are not far beyond them. */
static void find_reach(plot *of) {
  const bt_study *study = of->chart->of;
  double low_x = -of->radius, high_x = of->radius, low_y = -of->radius, high_y = of->radius;
  double x = 0, y = 0;
  for (int k = 0; k < CORNERS; k++) {
    ellipse_at(&of->segment->vector, ellipse_limit(of), tau * k / CORNERS, &x, &y);
    low_x = fmin(low_x, x);
    high_x = fmax(high_x, x);
    low_y = fmin(low_y, y);
    high_y = fmax(high_y, y);
  }
  of->centre_x = (low_x + high_x) / 2;
  of->centre_y = (low_y + high_y) / 2;
  double least = fmax(high_x - low_x, high_y - low_y) / 2;
  double most = least * farthest;
  of->half = least > 0 ? least : 1;
  for (size_t i = of->segment->from; i < study->points.n; i++)
    if (offset(of, i, &x, &y)) {
      double away = fmax(fabs(x - of->centre_x), fabs(y - of->centre_y));
      of->half = fmax(of->half, fmin(away, most));
    }
  double wanted = of->tolerance + fmax(fabs(of->centre_x), fabs(of->centre_y));
  if (of->tolerance > 0 && wanted <= tolerable * of->half)
    of->half = fmax(of->half, wanted);
  else
    of->tolerance = -of->tolerance; /* named beside the plot, not drawn */
}

/* A closed line of that many corners. */
static void draw_ellipse(const plot *of, bt_pane *pane, const bt_vector *vector, double limit,
                         bt_ink ink, double width) {
  bt_polyline *line = report_polyline(of->chart->builder, pane, CORNERS + 1, ink, width);
  if (line == NULL)
    return;
  for (int k = 0; k <= CORNERS; k++, line->n++)
    ellipse_at(vector, limit, tau * k / CORNERS, &line->x[line->n], &line->y[line->n]);
}

static void draw_circle(const plot *of, bt_pane *pane, double radius, bt_ink ink, double width) {
  static const bt_vector unit = {.var_x = 1, .var_y = 1};
  if (radius > 0)
    draw_ellipse(of, pane, &unit, radius * radius, ink, width);
}

static kind kind_of(const plot *of, size_t i) {
  const bt_study *study = of->chart->of;
  bt_rules bits = study->rules[BT_HIGH][i] | study->rules[BT_LOW][i];
  if (i < of->segment->phase2)
    return (study->points.flags[i] & BT_POINT_SCREENED) != 0 ? LEFT_OUT : OF_BASELINE;
  return (bits & BT_ALARM_RULES) != 0 ? ALARMED : bits != 0 ? NOTICED : AFTER;
}

static bool is_drawn(const plot *of, size_t i) {
  return i < of->segment->phase2 || (i >= of->chart->first && i < of->chart->last);
}

static double at_edge(double value, double centre, double half) {
  return fmin(fmax(value, centre - half), centre + half);
}

static void draw_kind(plot *of, bt_pane *pane, kind wanted) {
  static const struct {
    bt_shape shape;
    bt_ink ink;
    double size;
  } looks[KINDS] = {[OF_BASELINE] = {BT_SHAPE_DOT, BT_INK_RAW, 1.0},
                    [LEFT_OUT] = {BT_SHAPE_CROSS, BT_INK_TEXT, 2.0},
                    [AFTER] = {BT_SHAPE_DOT, BT_INK_SERIES, 1.2},
                    [NOTICED] = {BT_SHAPE_SQUARE, BT_INK_NOTICE, 1.5},
                    [ALARMED] = {BT_SHAPE_DIAMOND, BT_INK_ALARM, 2.2}};
  size_t n = of->chart->of->points.n, from = of->segment->from;
  bt_marks *marks = report_marks(of->chart->builder, pane, n - from, looks[wanted].shape,
                                 looks[wanted].ink, looks[wanted].size);
  for (size_t i = from; i < n && marks != NULL; i++) {
    double x = 0, y = 0;
    if (!is_drawn(of, i) || kind_of(of, i) != wanted || !offset(of, i, &x, &y))
      continue;
    marks->x[marks->n] = at_edge(x, of->centre_x, of->half);
    marks->y[marks->n] = at_edge(y, of->centre_y, of->half);
    of->edge += marks->x[marks->n] != x || marks->y[marks->n] != y;
    marks->n++;
    of->drawn[wanted]++;
  }
}

/* Ticks of both axes, labels below and at the left. */
static void draw_axes(const plot *of, bt_pane *pane) {
  report_builder *builder = of->chart->builder;
  double height = report_measure(builder, BT_STYLE_TICK, "0", 0).height, taken = -1e9;
  int decimals = 0;
  double step = report_round_step(2 * of->half / 5, &decimals);
  char number[REPORT_NUMBER_TEXT];
  for (double k = ceil(pane->y_low / step); k * step <= pane->y_high; k++) {
    double y = bt_pane_y(pane, k * step);
    report_y_tick(builder, pane, k * step);
    if (y + height / 2 <= pane->y + pane->height + 0.5)
      (void)report_text(builder, pane->x - label_gap, y - height / 2, BT_STYLE_TICK, BT_INK_SOFT,
                        BT_ALIGN_RIGHT, report_number(k * step, decimals, number));
  }
  for (double k = ceil(pane->x_low / step); k * step <= pane->x_high; k++) {
    double x = bt_pane_x(pane, k * step);
    double width =
        report_measure(builder, BT_STYLE_TICK, report_number(k * step, decimals, number), 0).width;
    report_x_tick(builder, pane, k * step);
    if (x - width / 2 < taken || x + width / 2 > of->chart->right_edge)
      continue;
    (void)report_text(builder, x, pane->y + pane->height + 1, BT_STYLE_TICK, BT_INK_SOFT,
                      BT_ALIGN_CENTRE, number);
    taken = x + width / 2 + 1;
  }
}

static void limit_words(const plot *of, bt_text *out) {
  const bt_study *study = of->chart->of;
  char number[REPORT_NUMBER_TEXT];
  bt_text_format(out, "Ellipse: T² at its limit, %s. ",
                 report_number(ellipse_limit(of), study->quantity.decimals, number));
  if (of->radius > 0) {
    bt_text_add(out, "Circle: the limit of the radius, ");
    report_add_value(out, &of->x->quantity, of->radius, of->x->quantity.decimals);
    bt_text_add(out, ". ");
  }
  if (of->tolerance == 0)
    return;
  bt_text_add(out, of->tolerance > 0 ? "Heavier circle: the tolerance of the radius, "
                                     : "Tolerance of the radius, wider than the plot: ");
  bt_text_add(out, report_plain(fabs(of->tolerance), number));
  report_add_unit(out, &of->x->quantity);
  bt_text_add(out, ". ");
}

static void words(const plot *of, double top, double right) {
  report_chart *chart = of->chart;
  bt_text text = {0};
  double wrap = right - chart->page_left;
  double y = top +
             report_text(chart->builder, chart->page_left, top, BT_STYLE_HEADING, BT_INK_TEXT,
                         BT_ALIGN_LEFT, "As they lie: x across, y upwards")
                 .height +
             1.2;
  size_t later = of->drawn[AFTER] + of->drawn[NOTICED] + of->drawn[ALARMED];
  bt_text_format(&text, "Offsets in %s. Pale: the baseline’s ", of->x->quantity.unit);
  report_count(&text, of->drawn[OF_BASELINE], "point", "points");
  if (of->drawn[LEFT_OUT] > 0)
    bt_text_add(&text, "; crosses were left out of it");
  if (later > 0) {
    bt_text_add(&text, ". Blue: ");
    report_count(&text, later, "later point", "later points");
    bt_text_add(&text, " of the span shown");
  }
  bt_text_add(&text, of->drawn[NOTICED] > 0 ? "; squares are notices" : "");
  bt_text_add(&text, of->drawn[ALARMED] > 0 ? "; diamonds are alarms" : "");
  bt_text_add(&text, ".");
  y += report_wrapped(chart->builder, chart->page_left, y, wrap, BT_STYLE_CAPTION, BT_INK_SOFT,
                      bt_text_get(&text))
           .height +
       0.6;
  bt_text_clear(&text);
  limit_words(of, &text);
  if (of->edge > 0) {
    report_count(&text, of->edge, "point lies", "points lie");
    bt_text_add(&text, " farther out and stand at the edge. ");
  }
  (void)report_wrapped(chart->builder, chart->page_left, y, wrap, BT_STYLE_CAPTION, BT_INK_SOFT,
                       bt_text_get(&text));
  report_text_end(chart->builder, &text);
}

void report_plot_compose(report_chart *chart, double top, double bottom) {
  plot of = {.chart = chart,
             .segment = vector_of(chart),
             .x = bt_unit_study_of(chart->unit, BT_TRACKER_X),
             .y = bt_unit_study_of(chart->unit, BT_TRACKER_Y)};
  double side = bottom - top - axis_below, left = chart->left + chart->width - side;
  find_circles(&of);
  find_reach(&of);
  bt_pane *pane = report_pane(chart->builder, left, top, side, side);
  pane->framed = true;
  pane->x_low = of.centre_x - of.half * margin;
  pane->x_high = of.centre_x + of.half * margin;
  pane->y_low = of.centre_y - of.half * margin;
  pane->y_high = of.centre_y + of.half * margin;
  draw_axes(&of, pane);
  draw_circle(&of, pane, of.radius, BT_INK_SOFT, 0.2);
  draw_circle(&of, pane, of.tolerance, BT_INK_TOLERANCE, 0.5);
  draw_ellipse(&of, pane, &of.segment->vector, ellipse_limit(&of), BT_INK_LIMIT, 0.3);
  for (kind k = OF_BASELINE; k < KINDS; k++)
    draw_kind(&of, pane, k);
  words(&of, top, left - words_gap);
}
