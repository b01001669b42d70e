/* SVG of the first page. */
#include <cairo-svg.h>

#include "draw_room.h"

bt_status draw_svg(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) {
  cairo_surface_t *surface = cairo_svg_surface_create_for_stream(
      draw_output_write, output, document->width_mm * DRAW_POINTS_PER_MM,
      document->height_mm * DRAW_POINTS_PER_MM);
  cairo_t *cr = cairo_create(surface);
  cairo_scale(cr, DRAW_POINTS_PER_MM, DRAW_POINTS_PER_MM);
  bt_status status = draw_page(draw, cr, &document->pages[0], error);
  cairo_status_t drawn = cairo_status(cr);
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  cairo_status_t written = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  if (status == BT_OK)
    status = draw_output_check(output, drawn, error);
  if (status == BT_OK)
    status = draw_output_check(output, written, error);
  return status;
}
