/* Cutting of lines and polygons in double precision, before the chart library turns positions into
 * whole numbers: a value far out of range must not wrap round.
 *
 * Segments: Y.-D. Liang and B. A. Barsky, ACM Trans. Graph. 3 (1984) 1-22. Polygons: I. E.
 * Sutherland and G. W. Hodgman, Commun. ACM 17 (1974) 32-42. */
#include "draw_room.h"

/* Narrows [*from, *to] to where distance + slope * t >= 0. */
static bool narrow(double distance, double slope, double *from, double *to) {
  if (slope == 0.0)
    return distance >= 0.0;
  double t = -distance / slope;
  if (slope > 0.0 && t > *from)
    *from = t;
  if (slope < 0.0 && t < *to)
    *to = t;
  return *from <= *to;
}

bool draw_clip_segment(const draw_rectangle *inside, double *x1, double *y1, double *x2,
                       double *y2) {
  double dx = *x2 - *x1, dy = *y2 - *y1;
  double from = 0.0, to = 1.0;
  if (!narrow(*x1 - inside->left, dx, &from, &to) ||
      !narrow(inside->right - *x1, -dx, &from, &to) || !narrow(*y1 - inside->low, dy, &from, &to) ||
      !narrow(inside->high - *y1, -dy, &from, &to))
    return false;
  double x = *x1, y = *y1;
  if (to < 1.0) {
    *x2 = x + to * dx;
    *y2 = y + to * dy;
  }
  if (from > 0.0) {
    *x1 = x + from * dx;
    *y1 = y + from * dy;
  }
  return true;
}

typedef enum side { LEFT, RIGHT, LOW, HIGH } side;

/* How far inside that edge a point lies; negative outside. */
static double depth(const draw_rectangle *inside, side edge, double x, double y) {
  switch (edge) {
  case LEFT:
    return x - inside->left;
  case RIGHT:
    return inside->right - x;
  case LOW:
    return y - inside->low;
  case HIGH:
    break;
  }
  return inside->high - y;
}

static void add(draw_points *points, double x, double y) {
  points->x[points->n] = x;
  points->y[points->n] = y;
  points->n++;
}

bool draw_clip_polygon(const draw_rectangle *inside, draw_points *polygon, draw_points *other) {
  for (int edge = LEFT; edge <= HIGH; edge++) {
    if (!draw_points_reserve(other, 2 * polygon->n))
      return false;
    other->n = 0;
    for (size_t i = 0; i < polygon->n; i++) {
      size_t next = i + 1 < polygon->n ? i + 1 : 0;
      double x1 = polygon->x[i], y1 = polygon->y[i];
      double x2 = polygon->x[next], y2 = polygon->y[next];
      double d1 = depth(inside, (side)edge, x1, y1), d2 = depth(inside, (side)edge, x2, y2);
      if (d1 >= 0.0)
        add(other, x1, y1);
      if ((d1 >= 0.0) != (d2 >= 0.0)) {
        double t = d1 / (d1 - d2);
        add(other, x1 + t * (x2 - x1), y1 + t * (y2 - y1));
      }
    }
    draw_points swapped = *polygon;
    *polygon = *other;
    *other = swapped;
  }
  return true;
}
