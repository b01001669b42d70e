/* Rows of a case: which checks make which point, which are told, and their cells. */
#include "case_room.h"

#include <stdlib.h>

/* As study groups them: a day's independent checks are one point. */
size_t *emit_case_points(const bt_study *of) {
  const bt_series *checks = &of->checks;
  size_t *point = bt_new(checks->n, sizeof *point);
  if (point == NULL)
    return NULL;
  size_t next = 0;
  int64_t day = 0;
  for (size_t i = 0; i < checks->n; i++) {
    point[i] = BT_NONE;
    if ((checks->flags[i] & (BT_POINT_RETEST | BT_POINT_AS_LEFT)) != 0)
      continue;
    if (of->every || next == 0 || bt_day_of(checks->at[i]) != day)
      next++;
    day = bt_day_of(checks->at[i]);
    point[i] = next - 1;
  }
  return point;
}

void emit_case_rows(const bt_case *one, const bt_study *of, size_t *first, size_t *end) {
  *first = bt_series_from(&of->checks, one->begins);
  *end = bt_series_from(&of->checks, one->to);
}

size_t emit_case_first_segment(const bt_case *one, const bt_study *of) {
  size_t point = bt_series_from(&of->points, one->begins), s = 0;
  while (s < of->segments_n && of->segments[s].to <= point)
    s++;
  return s;
}

const char *emit_case_state(bt_chart_state state) {
  static const char *const words[] = {[BT_CHART_DRAWN] = "drawn",
                                      [BT_CHART_COVARIATE] = "room_condition",
                                      [BT_CHART_TOO_FEW] = "too_few",
                                      [BT_CHART_RESOLUTION] = "too_coarse"};
  return words[state];
}

bt_cell emit_case_text(const char *text) {
  return (bt_cell){.type = text == NULL ? BT_CELL_EMPTY : BT_CELL_TEXT, .text = text};
}

bt_cell emit_case_integer(int64_t integer) {
  return (bt_cell){.type = BT_CELL_INTEGER, .integer = integer};
}

bt_cell emit_case_real(bool there, double real) {
  return (bt_cell){.type = there ? BT_CELL_REAL : BT_CELL_EMPTY, .real = real};
}

bt_cell emit_case_day(bt_time at) {
  return (bt_cell){.type = BT_CELL_DAY, .integer = at};
}

bt_cell emit_case_clock(bool there, bt_time at) {
  return (bt_cell){.type = there ? BT_CELL_CLOCK : BT_CELL_EMPTY, .integer = at};
}
