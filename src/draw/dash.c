/* The dashes of lines, in millimetres, by their width. */
#include "draw_room.h"

#include <math.h>

void draw_dash(bt_dash dash, double width, double *on, double *off) {
  *on = *off = 0.0;
  if (dash == BT_DASH_DASHED) {
    *on = fmax(1.4, 4.0 * width);
    *off = fmax(0.9, 3.0 * width);
  } else if (dash == BT_DASH_DOTTED) {
    *on = fmax(0.3, width);
    *off = fmax(0.6, 2.0 * width);
  }
}
