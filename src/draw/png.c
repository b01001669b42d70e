/* PNG of the first page: white paper, 150 dots an inch. */
#include <math.h>

#include "draw_room.h"

#define DOTS_PER_MM (150.0 / 25.4)

bt_status draw_png(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) {
  int width = (int)lround(document->width_mm * DOTS_PER_MM);
  int height = (int)lround(document->height_mm * DOTS_PER_MM);
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t *cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
  cairo_paint(cr);
  cairo_scale(cr, DOTS_PER_MM, DOTS_PER_MM);
  bt_status status = draw_page(draw, cr, &document->pages[0], error);
  if (status == BT_OK)
    status = draw_output_check(output, cairo_status(cr), error);
  cairo_destroy(cr);
  if (status == BT_OK)
    status = draw_output_check(
        output, cairo_surface_write_to_png_stream(surface, draw_output_write, output), error);
  cairo_surface_destroy(surface);
  return status;
}
