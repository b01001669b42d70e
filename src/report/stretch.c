/* Level lines over a part of a pane, as limits have that hold for one baseline. */
#include "report_build.h"

#include <math.h>

static bool is_inside(const bt_pane *pane, double from, double to, double at) {
  return to > from && at >= pane->y_low && at <= pane->y_high;
}

void report_stretch(report_builder *builder, bt_pane *pane, double from, double to, double at,
                    double width_mm, bt_ink ink) {
  if (!is_inside(pane, from, to, at))
    return;
  bt_polyline *line = report_polyline(builder, pane, 2, ink, width_mm);
  report_polyline_add(line, from, at);
  report_polyline_add(line, to, at);
}

/* Dash, gap, dot, gap, counted from the pane's left edge, so that neighbours' dashes line up. The
 * line is one polyline with breaks in it. */
void report_dash_dot(report_builder *builder, bt_pane *pane, double from, double to, double at,
                     double width_mm, bt_ink ink) {
  static const double dash = 3.2, dot = 0.25, gap = 1.0; /* mm */
  if (!is_inside(pane, from, to, at))
    return;
  double period = dash + dot + 2 * gap, per_mm = (pane->x_high - pane->x_low) / pane->width;
  double first = floor((from - pane->x_low) / per_mm / period);
  size_t periods = (size_t)(ceil((to - pane->x_low) / per_mm / period) - first);
  bt_polyline *line = report_polyline(builder, pane, 6 * periods, ink, width_mm);
  for (size_t i = 0; i < periods; i++) {
    double begin = (first + (double)i) * period;
    double part[2][2] = {{begin, begin + dash}, {begin + dash + gap, begin + dash + gap + dot}};
    for (int k = 0; k < 2; k++) {
      double x1 = fmax(pane->x_low + part[k][0] * per_mm, from);
      double x2 = fmin(pane->x_low + part[k][1] * per_mm, to);
      if (!(x2 > x1))
        continue;
      report_polyline_add(line, x1, at);
      report_polyline_add(line, x2, at);
      report_polyline_add(line, NAN, NAN);
    }
  }
}
