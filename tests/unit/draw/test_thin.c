/* Thinning and cutting, each against a plain loop over all points. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw_room.h"

enum { MOST = 20000 };
static double x[MOST], y[MOST], kept_x[MOST], kept_y[MOST];

static double any(unsigned *state) {
  *state = *state * 1664525u + 1013904223u; /* any sequence will do, the same each run */
  return (*state >> 8) / 16777216.0;
}

/* Lowest and highest of a column, and whether first and last points of it are still there. */
static void check_column(size_t n, size_t kept, double column, double at) {
  double all[2] = {INFINITY, -INFINITY}, some[2] = {INFINITY, -INFINITY};
  for (size_t i = 0; i < n; i++)
    if (floor(x[i] / column) == at) {
      all[0] = fmin(all[0], y[i]);
      all[1] = fmax(all[1], y[i]);
    }
  size_t here = 0;
  for (size_t i = 0; i < kept; i++)
    if (floor(kept_x[i] / column) == at) {
      some[0] = fmin(some[0], kept_y[i]);
      some[1] = fmax(some[1], kept_y[i]);
      here++;
    }
  cr_assert(all[0] == some[0] && all[1] == some[1], "column %g", at);
  cr_assert_leq(here, 4);
}

Test(thin, keeps_lowest_and_highest_of_each_column_in_order) {
  unsigned state = 1;
  for (size_t i = 0; i < MOST; i++) {
    x[i] = 100.0 * (double)i / MOST;
    y[i] = any(&state) + (i % 977 == 0 ? 3.0 : 0.0);
  }
  memcpy(kept_x, x, sizeof x);
  memcpy(kept_y, y, sizeof y);
  size_t kept = draw_thin(kept_x, kept_y, MOST, 0.25);
  cr_assert_leq(kept, 4 * 400);
  cr_assert_geq(kept, 2 * 400);
  for (double at = 0; at < 400; at++)
    check_column(MOST, kept, 0.25, at);
  cr_assert(kept_x[0] == x[0] && kept_x[kept - 1] == x[MOST - 1]);
  for (size_t i = 0, from = 0; i < kept; i++, from++) { /* each is a point of the line, in order */
    while (from < MOST && (x[from] != kept_x[i] || y[from] != kept_y[i]))
      from++;
    cr_assert_lt(from, MOST);
  }
}

Test(thin, leaves_sparse_lines_alone) {
  for (size_t n = 0; n <= 4; n++) {
    double a[] = {0.01, 0.02, 0.03, 0.04}, b[] = {1, 5, -2, 3};
    cr_assert_eq(draw_thin(a, b, n, 0.25), n);
    if (n > 1)
      cr_assert_eq(b[1], 5);
  }
  double a[] = {0.01, 0.02, 0.03, 0.04, 0.05}, b[] = {1, 1, 1, 1, 1};
  cr_assert_eq(draw_thin(a, b, 5, 0.25), 2); /* all equal: first and last */
}

Test(clip, segments_keep_what_is_inside) {
  const draw_rectangle box = {0, 10, 0, 10};
  double x1 = -1e300, y1 = 5, x2 = 1e300, y2 = 5;
  cr_assert(draw_clip_segment(&box, &x1, &y1, &x2, &y2));
  cr_assert(x1 >= -1e-6 && x2 <= 10 + 1e-6 && y1 == 5 && y2 == 5);
  double inside[] = {1, 2, 3, 4};
  cr_assert(draw_clip_segment(&box, &inside[0], &inside[1], &inside[2], &inside[3]));
  cr_assert(inside[0] == 1 && inside[1] == 2 && inside[2] == 3 && inside[3] == 4);
  double past[] = {-1, 9.5, 0.4, 11}; /* passes the corner outside */
  cr_assert_not(draw_clip_segment(&box, &past[0], &past[1], &past[2], &past[3]));

  unsigned state = 7;
  for (int trial = 0; trial < 2000; trial++) {
    double p[4];
    for (int i = 0; i < 4; i++)
      p[i] = 30 * any(&state) - 10;
    double cut[4];
    memcpy(cut, p, sizeof p);
    bool some = draw_clip_segment(&box, &cut[0], &cut[1], &cut[2], &cut[3]);
    bool found = false;
    for (int i = 0; i <= 1000; i++) { /* walk along the whole segment */
      double t = i / 1000.0, px = p[0] + t * (p[2] - p[0]), py = p[1] + t * (p[3] - p[1]);
      found = found || (px > 0 && px < 10 && py > 0 && py < 10);
    }
    cr_assert(!found || some);
    if (some)
      for (int i = 0; i < 4; i++)
        cr_assert(cut[i] > -1e-9 && cut[i] < 10 + 1e-9);
  }
}

static double area(const draw_points *polygon) {
  double twice = 0;
  for (size_t i = 0; i < polygon->n; i++) {
    size_t next = (i + 1) % polygon->n;
    twice += polygon->x[i] * polygon->y[next] - polygon->x[next] * polygon->y[i];
  }
  return fabs(twice) / 2;
}

Test(clip, polygons_keep_the_area_that_is_inside) {
  const draw_rectangle box = {0, 10, 0, 10};
  draw_points polygon = {0}, other = {0};
  cr_assert(draw_points_reserve(&polygon, 3));
  /* A right triangle with legs of 20 from the corner at the origin: the square lies inside it. */
  double xs[] = {0, 20, 0}, ys[] = {0, 0, 20};
  memcpy(polygon.x, xs, sizeof xs);
  memcpy(polygon.y, ys, sizeof ys);
  polygon.n = 3;
  cr_assert(draw_clip_polygon(&box, &polygon, &other));
  cr_assert_float_eq(area(&polygon), 100, 1e-9);
  /* Legs of 15: the corner beyond x + y = 15 is off, a triangle with legs of 5. */
  double xs2[] = {0, 15, 0}, ys2[] = {0, 0, 15};
  memcpy(polygon.x, xs2, sizeof xs2);
  memcpy(polygon.y, ys2, sizeof ys2);
  polygon.n = 3;
  cr_assert(draw_clip_polygon(&box, &polygon, &other));
  cr_assert_float_eq(area(&polygon), 100 - 12.5, 1e-9);
  polygon.n = 3;
  for (int i = 0; i < 3; i++)
    polygon.x[i] = 20 + i, polygon.y[i] = i * i;
  cr_assert(draw_clip_polygon(&box, &polygon, &other));
  cr_assert_eq(polygon.n, 0);
  draw_points_free(&polygon);
  draw_points_free(&other);
}
