/* The parts of a pane. Arrays of a pane carry no capacity: it follows from their length. */
#include "report_build.h"

#include <stdlib.h>

/* Room that an array of n items has at least: 0, then powers of two from 8. */
static size_t room_of(size_t n) {
  size_t room = 8;
  while (room < n)
    room *= 2;
  return n == 0 ? 0 : room;
}

/* Makes room for one item more. */
static bool one_more(report_builder *builder, void *array, size_t n, size_t size) {
  if (builder->status != BT_OK)
    return false;
  size_t room = room_of(n);
  if (n < room)
    return true;
  size_t wanted = room == 0 ? 8 : 2 * room;
  if (bt_grow(array, &room, wanted, size))
    return true;
  report_no_memory(builder);
  return false;
}

bt_pane *report_pane(report_builder *builder, double x, double y, double width, double height) {
  bt_document *document = builder->document;
  builder->spare = (bt_pane){0};
  if (builder->status != BT_OK || builder->at >= document->pages_n)
    return &builder->spare;
  bt_page *page = &document->pages[builder->at];
  if (!bt_grow(&page->panes, &page->panes_room, page->panes_n + 1, sizeof *page->panes)) {
    report_no_memory(builder);
    return &builder->spare;
  }
  bt_pane *pane = &page->panes[page->panes_n++];
  *pane = (bt_pane){.x = x,
                    .y = y,
                    .width = width,
                    .height = height,
                    .x_low = 0,
                    .x_high = 1,
                    .y_low = 0,
                    .y_high = 1};
  return pane;
}

void report_span(report_builder *builder, bt_pane *pane, double from, double to, bt_ink ink) {
  if (one_more(builder, &pane->spans, pane->spans_n, sizeof *pane->spans))
    pane->spans[pane->spans_n++] = (bt_span){from, to, ink};
}

void report_bar(report_builder *builder, bt_pane *pane, bt_bar bar) {
  if (one_more(builder, &pane->bars, pane->bars_n, sizeof *pane->bars))
    pane->bars[pane->bars_n++] = bar;
}

void report_level(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                  bt_dash dash) {
  if (one_more(builder, &pane->levels, pane->levels_n, sizeof *pane->levels))
    pane->levels[pane->levels_n++] = (bt_pane_level){at, ink, dash, width_mm};
}

void report_vertical(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                     bt_dash dash) {
  if (one_more(builder, &pane->verticals, pane->verticals_n, sizeof *pane->verticals))
    pane->verticals[pane->verticals_n++] = (bt_pane_level){at, ink, dash, width_mm};
}

void report_x_tick(report_builder *builder, bt_pane *pane, double at) {
  if (one_more(builder, &pane->x_ticks, pane->x_ticks_n, sizeof *pane->x_ticks))
    pane->x_ticks[pane->x_ticks_n++] = at;
}

void report_y_tick(report_builder *builder, bt_pane *pane, double at) {
  if (one_more(builder, &pane->y_ticks, pane->y_ticks_n, sizeof *pane->y_ticks))
    pane->y_ticks[pane->y_ticks_n++] = at;
}

/* Two arrays of that many numbers; false, with both freed, after a failure. */
static bool two_arrays(report_builder *builder, size_t room, double **x, double **y) {
  *x = bt_new(room, sizeof **x);
  *y = bt_new(room, sizeof **y);
  if (*x != NULL && *y != NULL)
    return true;
  free(*x);
  free(*y);
  report_no_memory(builder);
  return false;
}

bt_polyline *report_polyline(report_builder *builder, bt_pane *pane, size_t room, bt_ink ink,
                             double width_mm) {
  bt_polyline line = {.ink = ink, .width_mm = width_mm};
  if (room == 0 || !one_more(builder, &pane->lines, pane->lines_n, sizeof *pane->lines) ||
      !two_arrays(builder, room, &line.x, &line.y))
    return NULL;
  pane->lines[pane->lines_n] = line;
  return &pane->lines[pane->lines_n++];
}

void report_polyline_add(bt_polyline *line, double x, double y) {
  if (line == NULL)
    return;
  line->x[line->n] = x;
  line->y[line->n++] = y;
}

bt_marks *report_marks(report_builder *builder, bt_pane *pane, size_t room, bt_shape shape,
                       bt_ink ink, double size_mm) {
  bt_marks marks = {.shape = shape, .ink = ink, .size_mm = size_mm};
  if (room == 0 || !one_more(builder, &pane->marks, pane->marks_n, sizeof *pane->marks) ||
      !two_arrays(builder, room, &marks.x, &marks.y))
    return NULL;
  pane->marks[pane->marks_n] = marks;
  return &pane->marks[pane->marks_n++];
}

void report_marks_add(bt_marks *marks, double x, double y) {
  if (marks == NULL)
    return;
  marks->x[marks->n] = x;
  marks->y[marks->n++] = y;
}
