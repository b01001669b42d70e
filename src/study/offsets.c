/* The tracker's offset of each point: the mean (x, y) of its independent checks. T² and the radius
 * are of this one vector, so that a point and the limit that judges it are of the same thing,
 * however many checks a day has. */
#include "study_room.h"

#include <stdlib.h>

double study_offset_x(const study_place *place, size_t row) {
  return place->history->reading[BT_READING_OFFSET_X_UM][row];
}

double study_offset_y(const study_place *place, size_t row) {
  return place->history->reading[BT_READING_OFFSET_Y_UM][row];
}

bool study_offsets_make(const bt_study *study, const study_rows *rows, const study_place *place,
                        study_offsets *of) {
  size_t n = study->points.n;
  *of = (study_offsets){.x = bt_new(n, sizeof(double)), .y = bt_new(n, sizeof(double))};
  if (of->x == NULL || of->y == NULL)
    return false;
  for (size_t i = 0; i < study->checks.n; i++) {
    size_t p = rows->point[i];
    if (p == BT_NONE)
      continue;
    of->x[p] += study_offset_x(place, rows->row[i]) / study->points.checks[p];
    of->y[p] += study_offset_y(place, rows->row[i]) / study->points.checks[p];
  }
  return true;
}

void study_offsets_free(study_offsets *of) {
  free(of->x);
  free(of->y);
}
