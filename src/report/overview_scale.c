/* The scale of the small charts in the comparison of all units: from the lowest to the highest of
 * the tolerance limits, 4 sigma about a centre, and 2 sigma about the mean of a unit's last 8
 * points, so that a level that drifts is seen. A reading beyond is drawn at the edge. Without any
 * limit or centre, all readings. */
#include "report_pages.h"

#include <math.h>

typedef struct overview_scale {
  double low, high;
  bool any;
} overview_scale;

static void reach(overview_scale *of, double value) {
  of->low = of->any ? fmin(of->low, value) : value;
  of->high = of->any ? fmax(of->high, value) : value;
  of->any = true;
}

/* Where a unit is now; one that is far from all sense doesn't flatten the charts of the others. */
static void reach_level(overview_scale *of, const bt_overview_row *row) {
  enum { LAST = 8, FARTHEST = 20 }; /* points; sigma */
  size_t n = row->n < LAST ? row->n : LAST;
  double sum = 0, far = FARTHEST * row->sigma;
  for (size_t i = row->n - n; i < row->n; i++)
    sum += row->ratio[i];
  double level = fmin(fmax(sum / (double)n, row->centre - far), row->centre + far);
  reach(of, level - 2 * row->sigma);
  reach(of, level + 2 * row->sigma);
}

void report_overview_scale(const bt_overview_row *rows, size_t n, double *low, double *high) {
  overview_scale scale = {0}, *of = &scale;
  for (size_t i = 0; i < n; i++) {
    if (rows[i].has_low)
      reach(of, rows[i].low);
    if (rows[i].has_high)
      reach(of, rows[i].high);
    if (rows[i].has_centre && rows[i].n > 0) {
      reach(of, rows[i].centre - 4 * rows[i].sigma);
      reach(of, rows[i].centre + 4 * rows[i].sigma);
      reach_level(of, &rows[i]);
    }
  }
  for (size_t i = 0; i < n && !of->any; i++)
    for (size_t k = 0; k < rows[i].n; k++)
      reach(of, rows[i].ratio[k]);
  double pad = 0.08 * (of->high - of->low);
  pad = pad > 1e-6 ? pad : 0.01;
  *low = of->low - pad;
  *high = of->high + pad;
}
