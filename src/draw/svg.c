/* SVG of the first page.
 *
 * cairo names the page's group by a number that counts all surfaces of the process. The name is
 * made the same for every file, so that equal documents give equal bytes. */
#include <cairo-svg.h>
#include <limits.h>
#include <string.h>

#include "draw_room.h"

#define GROUP "<g id=\"surface"

static cairo_status_t collect(void *whole, const unsigned char *bytes, unsigned int length) {
  bt_text_add_bytes(whole, (const char *)bytes, length);
  return bt_text_ok(whole) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_NO_MEMORY;
}

static cairo_status_t put(draw_output *output, const char *from, const char *past) {
  cairo_status_t status = CAIRO_STATUS_SUCCESS;
  while (status == CAIRO_STATUS_SUCCESS && from < past) {
    size_t length = (size_t)(past - from) < INT_MAX ? (size_t)(past - from) : INT_MAX;
    status = draw_output_write(output, (const unsigned char *)from, (unsigned int)length);
    from += length;
  }
  return status;
}

/* Words are outlines in our SVG files: nothing that a person wrote can hold the group's name. */
static cairo_status_t write_renamed(draw_output *output, const char *svg, size_t length) {
  cairo_status_t status = CAIRO_STATUS_SUCCESS;
  const char *at = svg;
  for (const char *group; (group = strstr(at, GROUP)) != NULL;) {
    const char *number = group + strlen(GROUP);
    status = put(output, at, number);
    if (status != CAIRO_STATUS_SUCCESS)
      return status;
    at = number + strspn(number, "0123456789");
  }
  return put(output, at, svg + length);
}

bt_status draw_svg(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) {
  bt_text svg = {0};
  cairo_surface_t *surface =
      cairo_svg_surface_create_for_stream(collect, &svg, document->width_mm * DRAW_POINTS_PER_MM,
                                          document->height_mm * DRAW_POINTS_PER_MM);
  cairo_t *cr = cairo_create(surface);
  cairo_scale(cr, DRAW_POINTS_PER_MM, DRAW_POINTS_PER_MM);
  bt_status status = draw_page(draw, cr, &document->pages[0], error);
  cairo_status_t drawn = cairo_status(cr);
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  cairo_status_t finished = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  if (status == BT_OK)
    status = draw_output_check(output, drawn, error);
  if (status == BT_OK)
    status = draw_output_check(output, finished, error);
  if (status == BT_OK)
    status = draw_output_check(output, write_renamed(output, bt_text_get(&svg), svg.length), error);
  bt_text_free(&svg);
  return status;
}
