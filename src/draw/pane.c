/* One pane: its values become millimetres here, so that the chart library sees only small, finite
 * numbers. Positions that are not finite are left out, and break the line that they are in. */
#include <float.h>
#include <math.h>

#include "draw_room.h"

#define COLUMN       0.25 /* mm that no reader parts: polylines are thinned to it */
#define MARGIN       2.0 /* mm beyond the pane to which lines run before they are cut at its edge */
#define X_TICK       1.3
#define Y_TICK       2.0
#define HAIRLINE     0.18
#define SHORTEST     0.01 /* mm of a dot, which is a line too */
#define LEAST_SPAN   1e-9 /* of the larger edge: under it doubles are too coarse to draw */
#define LONGEST_SIDE 2000.0

typedef struct plotted {
  bt_draw *draw;
  const bt_pane *pane;
} plotted;

static double across(const bt_pane *pane, double value) {
  return bt_pane_x(pane, value) - pane->x;
}

static double above(const bt_pane *pane, double value) {
  return pane->y + pane->height - bt_pane_y(pane, value);
}

static double within(double value, double most) {
  return fmax(0.0, fmin(most, value));
}

static void fill_rectangle(const bt_pane *pane, double x1, double x2, double y1, double y2,
                           bt_ink ink) {
  if (!isfinite(x1) || !isfinite(x2) || !isfinite(y1) || !isfinite(y2))
    return;
  x1 = within(x1, pane->width);
  x2 = within(x2, pane->width);
  y1 = within(y1, pane->height);
  y2 = within(y2, pane->height);
  if (x1 != x2 && y1 != y2)
    draw_plot_fill(4, (double[]){x1, x2, x2, x1}, (double[]){y1, y1, y2, y2}, ink);
}

static void draw_grounds(const bt_pane *pane) {
  for (size_t i = 0; i < pane->spans_n; i++)
    fill_rectangle(pane, across(pane, pane->spans[i].from), across(pane, pane->spans[i].to), 0.0,
                   pane->height, pane->spans[i].ink);
  for (size_t i = 0; i < pane->bands_n; i++)
    fill_rectangle(pane, 0.0, pane->width, above(pane, pane->bands[i].low),
                   above(pane, pane->bands[i].high), pane->bands[i].ink);
  for (size_t i = 0; i < pane->bars_n; i++) {
    const bt_bar *bar = &pane->bars[i];
    fill_rectangle(pane, across(pane, bar->x1), across(pane, bar->x2), above(pane, bar->y1),
                   above(pane, bar->y2), bar->ink);
  }
}

/* A straight line in the pane, along x or along y, at a place across it; in dashes of our own,
 * since the chart library counts its dashes in units of the device. */
static void draw_straight(const bt_pane_level *level, double at, double length, double limit,
                          bool upright) {
  if (!isfinite(at) || at < 0.0 || at > limit)
    return;
  double on, off;
  draw_dash(level->dash, level->width_mm, &on, &off);
  if (on <= 0.0)
    on = length;
  double cap = off > 0.0 ? level->width_mm / 2.0 : 0.0; /* the pen is round: it adds as much */
  for (double from = 0.0; from < length; from += on + off) {
    double past = fmin(length, from + on - cap);
    double along[] = {fmin(from + cap, past - SHORTEST), past}, aside[] = {at, at};
    draw_plot_line(2, upright ? aside : along, upright ? along : aside, level->ink,
                   level->width_mm);
  }
}

static void draw_straights(const bt_pane *pane) {
  for (size_t i = 0; i < pane->levels_n; i++)
    draw_straight(&pane->levels[i], above(pane, pane->levels[i].at), pane->width, pane->height,
                  false);
  for (size_t i = 0; i < pane->verticals_n; i++)
    draw_straight(&pane->verticals[i], across(pane, pane->verticals[i].at), pane->height,
                  pane->width, true);
}

static void draw_ticks(const bt_pane *pane) {
  for (size_t i = 0; i < pane->x_ticks_n; i++) {
    double x = across(pane, pane->x_ticks[i]);
    if (isfinite(x) && x >= 0.0 && x <= pane->width)
      draw_plot_line(2, (double[]){x, x}, (double[]){0.0, fmin(X_TICK, pane->height)}, BT_INK_FAINT,
                     HAIRLINE);
  }
  for (size_t i = 0; i < pane->y_ticks_n; i++) {
    double y = above(pane, pane->y_ticks[i]);
    if (!isfinite(y) || y < 0.0 || y > pane->height)
      continue;
    double tick = fmin(Y_TICK, pane->width / 2.0);
    draw_plot_line(2, (double[]){0.0, tick}, (double[]){y, y}, BT_INK_FAINT, HAIRLINE);
    draw_plot_line(2, (double[]){pane->width - tick, pane->width}, (double[]){y, y}, BT_INK_FAINT,
                   HAIRLINE);
  }
}

static draw_rectangle roomy(const bt_pane *pane) {
  return (draw_rectangle){-MARGIN, pane->width + MARGIN, -MARGIN, pane->height + MARGIN};
}

/* The ground between points and base. */
static bool fill_to_base(bt_draw *draw, const bt_pane *pane, const bt_polyline *line) {
  const draw_points *points = &draw->line;
  double base = above(pane, line->base);
  if (!isfinite(base) || points->n < 2)
    return true;
  if (!draw_points_reserve(&draw->fill, points->n + 2))
    return false;
  for (size_t i = 0; i < points->n; i++) {
    draw->fill.x[i] = points->x[i];
    draw->fill.y[i] = points->y[i];
  }
  draw->fill.x[points->n] = points->x[points->n - 1];
  draw->fill.x[points->n + 1] = points->x[0];
  draw->fill.y[points->n] = draw->fill.y[points->n + 1] = base;
  draw->fill.n = points->n + 2;
  draw_rectangle inside = roomy(pane);
  if (!draw_clip_polygon(&inside, &draw->fill, &draw->cut))
    return false;
  draw_plot_fill(draw->fill.n, draw->fill.x, draw->fill.y, line->fill_ink);
  return true;
}

/* The line through the points, in pieces where it leaves the surroundings of the pane. */
static bool stroke(bt_draw *draw, const bt_pane *pane, const bt_polyline *line) {
  const draw_points *points = &draw->line;
  draw_points *cut = &draw->cut;
  draw_rectangle inside = roomy(pane);
  if (!draw_points_reserve(cut, points->n + 1))
    return false;
  cut->n = 0;
  for (size_t i = 0; i + 1 < points->n; i++) {
    double x1 = points->x[i], y1 = points->y[i], x2 = points->x[i + 1], y2 = points->y[i + 1];
    if (!draw_clip_segment(&inside, &x1, &y1, &x2, &y2))
      continue;
    if (cut->n > 0 && (cut->x[cut->n - 1] != x1 || cut->y[cut->n - 1] != y1)) {
      draw_plot_line(cut->n, cut->x, cut->y, line->ink, line->width_mm);
      cut->n = 0;
    }
    if (cut->n == 0) {
      cut->x[0] = x1;
      cut->y[0] = y1;
      cut->n = 1;
    }
    cut->x[cut->n] = x2;
    cut->y[cut->n] = y2;
    cut->n++;
  }
  draw_plot_line(cut->n, cut->x, cut->y, line->ink, line->width_mm);
  return true;
}

/* Takes the next run of finite points from *at on into draw->line, thinned. */
static bool next_run(bt_draw *draw, const bt_pane *pane, const bt_polyline *line, size_t *at) {
  draw_points *points = &draw->line;
  points->n = 0;
  while (*at < line->n) {
    double x = across(pane, line->x[*at]), y = above(pane, line->y[*at]);
    (*at)++;
    if (!isfinite(x) || !isfinite(y)) {
      if (points->n > 0)
        break;
      continue;
    }
    points->x[points->n] = x;
    points->y[points->n] = y;
    points->n++;
  }
  bool found = points->n > 0;
  points->n = draw_thin(points->x, points->y, points->n, COLUMN);
  return found;
}

static bt_status plot(void *context, bt_error *error) {
  const plotted *what = context;
  const bt_pane *pane = what->pane;
  draw_grounds(pane);
  draw_ticks(pane);
  draw_straights(pane);
  for (size_t i = 0; i < pane->lines_n; i++) {
    const bt_polyline *line = &pane->lines[i];
    if (!draw_points_reserve(&what->draw->line, line->n))
      return bt_fail_memory(error);
    for (size_t at = 0; next_run(what->draw, pane, line, &at);) {
      if ((line->filled && !fill_to_base(what->draw, pane, line)) ||
          !stroke(what->draw, pane, line))
        return bt_fail_memory(error);
    }
  }
  return BT_OK;
}

static bool range_fits(double low, double high) {
  double larger = fmax(fabs(low), fabs(high));
  return isfinite(low) && isfinite(high) && isfinite(high - low) && high - low >= DBL_MIN &&
         high - low > LEAST_SPAN * larger;
}

static bool side_fits(double side) {
  return side > 0.0 && side <= LONGEST_SIDE;
}

static bt_status check(const bt_pane *pane, bt_error *error) {
  if (!isfinite(pane->x) || !isfinite(pane->y) || !side_fits(pane->width) ||
      !side_fits(pane->height))
    return bt_fail(error, BT_USAGE, "a chart cannot be %g by %g mm at %g, %g", pane->width,
                   pane->height, pane->x, pane->y);
  if (!range_fits(pane->x_low, pane->x_high))
    return bt_fail(error, BT_USAGE,
                   "a chart cannot run from %.17g to %.17g across: give it a wider range",
                   pane->x_low, pane->x_high);
  if (!range_fits(pane->y_low, pane->y_high))
    return bt_fail(error, BT_USAGE,
                   "a chart cannot run from %.17g to %.17g upwards: give it a wider range",
                   pane->y_low, pane->y_high);
  return BT_OK;
}

bt_status draw_pane(bt_draw *draw, cairo_t *cr, const bt_pane *pane, bt_error *error) {
  bt_status status = check(pane, error);
  if (status != BT_OK)
    return status;
  plotted what = {.draw = draw, .pane = pane};
  cairo_save(cr);
  cairo_translate(cr, pane->x, pane->y);
  cairo_rectangle(cr, 0.0, 0.0, pane->width, pane->height);
  cairo_clip(cr);
  status = draw_plot(cr, pane->width, pane->height, plot, &what, error);
  cairo_restore(cr);
  if (status != BT_OK)
    return status;

  if (pane->framed) {
    draw_set_ink(cr, BT_INK_FAINT);
    cairo_set_line_width(cr, HAIRLINE);
    cairo_rectangle(cr, pane->x, pane->y, pane->width, pane->height);
    cairo_stroke(cr);
  }
  for (size_t i = 0; i < pane->marks_n; i++)
    draw_marks(cr, pane, &pane->marks[i]);
  return BT_OK;
}
