/* One page: boxes, panes, lines, texts, in this order. */
#include <math.h>

#include "draw_room.h"

static bool fits(double value) {
  return fabs(value) <= 100000.0; /* also false for what is no number */
}

static bt_status draw_box(cairo_t *cr, const bt_page_box *box, bt_error *error) {
  if (!fits(box->x) || !fits(box->y) || !fits(box->width) || !fits(box->height))
    return bt_fail(error, BT_USAGE, "a box cannot be %g by %g mm at %g, %g", box->width,
                   box->height, box->x, box->y);
  draw_set_ink(cr, box->ink);
  cairo_rectangle(cr, box->x, box->y, box->width, box->height);
  cairo_fill(cr);
  return BT_OK;
}

static bt_status draw_line(cairo_t *cr, const bt_page_line *line, bt_error *error) {
  if (!fits(line->x1) || !fits(line->y1) || !fits(line->x2) || !fits(line->y2) ||
      !(line->width_mm > 0.0 && fits(line->width_mm)))
    return bt_fail(error, BT_USAGE, "a line cannot be %g mm wide from %g, %g to %g, %g",
                   line->width_mm, line->x1, line->y1, line->x2, line->y2);
  double dashes[2];
  draw_dash(line->dash, line->width_mm, &dashes[0], &dashes[1]);
  draw_set_ink(cr, line->ink);
  cairo_set_line_width(cr, line->width_mm);
  cairo_set_dash(cr, dashes, dashes[0] > 0.0 ? 2 : 0, 0.0);
  cairo_move_to(cr, line->x1, line->y1);
  cairo_line_to(cr, line->x2, line->y2);
  cairo_stroke(cr);
  return BT_OK;
}

static bt_status draw_checked_text(bt_draw *draw, cairo_t *cr, const bt_page_text *text,
                                   bt_error *error) {
  if (!fits(text->x) || !fits(text->y) || !fits(text->turn))
    return bt_fail(error, BT_USAGE, "a text cannot stand at %g, %g, turned by %g degrees", text->x,
                   text->y, text->turn);
  return draw_text(draw, cr, text, error);
}

bt_status draw_page(bt_draw *draw, cairo_t *cr, const bt_page *page, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; status == BT_OK && i < page->boxes_n; i++)
    status = draw_box(cr, &page->boxes[i], error);
  for (size_t i = 0; status == BT_OK && i < page->panes_n; i++)
    status = draw_pane(draw, cr, &page->panes[i], error);
  cairo_save(cr);
  for (size_t i = 0; status == BT_OK && i < page->lines_n; i++)
    status = draw_line(cr, &page->lines[i], error);
  cairo_restore(cr);
  for (size_t i = 0; status == BT_OK && i < page->texts_n; i++)
    status = draw_checked_text(draw, cr, &page->texts[i], error);
  if (status == BT_OK && cairo_status(cr) != CAIRO_STATUS_SUCCESS)
    status = bt_fail(error, BT_SYSTEM, "the page cannot be drawn: %s",
                     cairo_status_to_string(cairo_status(cr)));
  if (status != BT_OK)
    bt_error_prefix(error, "page \"%s\"", page->title == NULL ? "" : page->title);
  return status;
}
