/* Thinning of polylines: of points that share a column narrower than the eye can part, only the
 * first, the lowest, the highest and the last change the picture. Marks are never thinned. */
#include <math.h>
#include <stdlib.h>

#include "draw_room.h"

bool draw_points_reserve(draw_points *points, size_t needed) {
  return bt_grow(&points->x, &points->room_x, needed, sizeof *points->x) &&
         bt_grow(&points->y, &points->room_y, needed, sizeof *points->y);
}

void draw_points_free(draw_points *points) {
  free(points->x);
  free(points->y);
  *points = (draw_points){0};
}

/* Moves first, lowest, highest and last of points [from, past) to `to`, in their order. */
static size_t keep_run(double *x, double *y, size_t from, size_t past, size_t to) {
  size_t lowest = from, highest = from;
  for (size_t i = from + 1; i < past; i++) {
    if (y[i] < y[lowest])
      lowest = i;
    if (y[i] > y[highest])
      highest = i;
  }
  for (size_t i = from; i < past; i++) {
    if (past - from > 4 && i != from && i != lowest && i != highest && i != past - 1)
      continue;
    x[to] = x[i];
    y[to] = y[i];
    to++;
  }
  return to;
}

size_t draw_thin(double *x, double *y, size_t n, double column) {
  size_t kept = 0;
  for (size_t from = 0, past; from < n; from = past) {
    double at = floor(x[from] / column);
    for (past = from + 1; past < n && floor(x[past] / column) == at; past++)
      continue;
    kept = keep_run(x, y, from, past, kept);
  }
  return kept;
}
