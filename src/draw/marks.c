/* Marks of a pane, as paths of our own: they stay whole at the pane's edge, and none is thinned. */
#include <math.h>

#include "draw_room.h"

#define HOLLOW_LINE 0.16 /* of a mark's size */

/* A mark beyond the pane in y stands at the edge, so that none is lost; one whose x is outside
 * belongs to another span of time. */
static bool place(const bt_pane *pane, const bt_marks *marks, size_t i, double *x, double *y) {
  if (!isfinite(marks->x[i]) || !isfinite(marks->y[i]))
    return false;
  double slack = 1e-9 * (pane->x_high - pane->x_low);
  if (marks->x[i] < pane->x_low - slack || marks->x[i] > pane->x_high + slack)
    return false;
  *x = bt_pane_x(pane, marks->x[i]);
  *y = fmax(pane->y, fmin(pane->y + pane->height, bt_pane_y(pane, marks->y[i]))) + marks->shift_mm;
  return true;
}

/* Polygons about the origin, in halves of the mark's size. The triangles' centre of gravity is the
 * origin, so that they don't look shifted. */
static void polygon(cairo_t *cr, double x, double y, double half, const double (*corners)[2],
                    size_t n) {
  cairo_move_to(cr, x + corners[0][0] * half, y + corners[0][1] * half);
  for (size_t i = 1; i < n; i++)
    cairo_line_to(cr, x + corners[i][0] * half, y + corners[i][1] * half);
  cairo_close_path(cr);
}

static void add_path(cairo_t *cr, bt_shape shape, double x, double y, double half) {
  static const double up[][2] = {{0.0, -1.0}, {1.0, 0.7}, {-1.0, 0.7}};
  static const double down[][2] = {{0.0, 1.0}, {1.0, -0.7}, {-1.0, -0.7}};
  static const double square[][2] = {{-0.85, -0.85}, {0.85, -0.85}, {0.85, 0.85}, {-0.85, 0.85}};
  static const double diamond[][2] = {{0.0, -1.0}, {1.0, 0.0}, {0.0, 1.0}, {-1.0, 0.0}};
  double ring = half * (1.0 - HOLLOW_LINE);
  switch (shape) {
  case BT_SHAPE_DOT: /* a line of no length under a round pen: a fifth of a circle's numbers */
    cairo_move_to(cr, x, y);
    cairo_line_to(cr, x, y);
    break;
  case BT_SHAPE_RING:
    cairo_new_sub_path(cr);
    cairo_arc(cr, x, y, ring, 0.0, 2.0 * acos(-1.0));
    cairo_close_path(cr);
    break;
  case BT_SHAPE_UP:
    polygon(cr, x, y, half, up, 3);
    break;
  case BT_SHAPE_DOWN:
    polygon(cr, x, y, half, down, 3);
    break;
  case BT_SHAPE_SQUARE:
    polygon(cr, x, y, half, square, 4);
    break;
  case BT_SHAPE_DIAMOND:
    polygon(cr, x, y, half, diamond, 4);
    break;
  case BT_SHAPE_CROSS:
    cairo_move_to(cr, x - ring, y - ring);
    cairo_line_to(cr, x + ring, y + ring);
    cairo_move_to(cr, x - ring, y + ring);
    cairo_line_to(cr, x + ring, y - ring);
    break;
  }
}

static void paint(cairo_t *cr, bt_shape shape, bt_ink ink, double size) {
  cairo_set_line_width(cr, shape == BT_SHAPE_DOT ? size : HOLLOW_LINE * size);
  if (shape == BT_SHAPE_RING) { /* paper inside: it covers the line that runs through it */
    draw_set_ink(cr, BT_INK_PAPER);
    cairo_fill_preserve(cr);
  }
  draw_set_ink(cr, ink);
  if (shape == BT_SHAPE_DOT || shape == BT_SHAPE_RING || shape == BT_SHAPE_CROSS)
    cairo_stroke(cr);
  else
    cairo_fill(cr);
}

void draw_marks(cairo_t *cr, const bt_pane *pane, const bt_marks *marks) {
  enum { ONE_PATH = 1000 }; /* marks in one path: few enough to be filled fast */
  size_t held = 0;
  cairo_save(cr);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_new_path(cr);
  for (size_t i = 0; i < marks->n; i++) {
    double x, y;
    if (!place(pane, marks, i, &x, &y))
      continue;
    add_path(cr, marks->shape, x, y, marks->size_mm / 2.0);
    if (++held % ONE_PATH == 0)
      paint(cr, marks->shape, marks->ink, marks->size_mm);
  }
  paint(cr, marks->shape, marks->ink, marks->size_mm);
  cairo_restore(cr);
}
