/* The room's door: opening, checking a document, and writing it in one of the formats. */
#include <glib-object.h>
#include <stdlib.h>
#include <string.h>

#include "draw_room.h"

#define LONGEST_SIDE 2000.0 /* mm */
#define NAME_LONGEST 100

bt_status bt_draw_open(bt_draw **draw, bt_error *error) {
  bt_draw *opened = bt_new(1, sizeof *opened);
  if (opened == NULL)
    return bt_fail_memory(error);
  bt_status status = draw_fonts_open(BEAMTALLY_FONT_FOLDER, &opened->fonts, error);
  if (status == BT_OK)
    status = draw_plot_probe(error);
  if (status != BT_OK) {
    bt_draw_close(opened);
    return status;
  }
  opened->context = draw_fonts_context(opened->fonts);
  *draw = opened;
  return BT_OK;
}

void bt_draw_close(bt_draw *draw) {
  if (draw == NULL)
    return;
  if (draw->context != NULL)
    g_object_unref(draw->context);
  if (draw->fonts != NULL)
    g_object_unref(draw->fonts);
  draw_points_free(&draw->line);
  draw_points_free(&draw->cut);
  draw_points_free(&draw->fill);
  free(draw);
  draw_plot_end();
}

bt_status bt_draw_add_face(bt_draw *draw, const char *file, bt_error *error) {
  return draw_fonts_add(draw->fonts, file, error);
}

size_t bt_draw_missing_glyphs(const bt_draw *draw) {
  return draw->missing;
}

static bool name_fits(const char *name) {
  size_t length = strlen(name);
  return length > 0 && length <= NAME_LONGEST &&
         strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789_-") == length;
}

static bool page_named(const bt_document *document, const char *name) {
  for (size_t i = 0; i < document->pages_n; i++) {
    if (document->pages[i].name != NULL && strcmp(document->pages[i].name, name) == 0)
      return true;
  }
  return false;
}

/* A bad name would cost the whole file. */
static bt_status check_name(const bt_page *page, bt_error *error) {
  if (page->name == NULL || name_fits(page->name))
    return BT_OK;
  return bt_fail(error, BT_USAGE, "\"%s\" is no name for a page: use a-z, 0-9, _ and -",
                 page->name);
}

/* An unknown name would be a link to nowhere. */
static bt_status check_links(const bt_document *document, const bt_page *page, bt_error *error) {
  for (size_t i = 0; i < page->texts_n; i++) {
    const char *link = page->texts[i].link;
    if (link != NULL && !page_named(document, link))
      return bt_fail(error, BT_USAGE, "a link leads to \"%s\", but no page has this name", link);
  }
  return BT_OK;
}

static bt_status check_document(const bt_document *document, bt_error *error) {
  if (document->pages_n == 0)
    return bt_fail(error, BT_USAGE, "there is no page to write");
  if (!(document->width_mm >= 1.0 && document->width_mm <= LONGEST_SIDE) ||
      !(document->height_mm >= 1.0 && document->height_mm <= LONGEST_SIDE))
    return bt_fail(error, BT_USAGE, "a page cannot be %g by %g mm", document->width_mm,
                   document->height_mm);
  bt_status status = BT_OK;
  for (size_t i = 0; status == BT_OK && i < document->pages_n; i++)
    status = check_name(&document->pages[i], error);
  for (size_t i = 0; status == BT_OK && i < document->pages_n; i++)
    status = check_links(document, &document->pages[i], error);
  return status;
}

static bt_status draw_format(bt_draw *draw, const bt_document *document, bt_format format,
                             draw_output *output, bt_error *error) {
  switch (format) {
  case BT_FORMAT_PDF:
    return draw_pdf(draw, document, output, error);
  case BT_FORMAT_PNG:
    return draw_png(draw, document, output, error);
  case BT_FORMAT_SVG:
    return draw_svg(draw, document, output, error);
  }
  return bt_fail(error, BT_USAGE, "there is no format number %d", (int)format);
}

static bt_status draw_file(bt_draw *draw, const bt_document *document, bt_format format,
                           const char *path, bool fresh, bt_error *error) {
  bt_status status = check_document(document, error);
  if (status != BT_OK)
    return status;
  draw_output output = {0};
  status = draw_output_open(&output, path, error);
  output.fresh = fresh;
  if (status == BT_OK)
    status = draw_format(draw, document, format, &output, error);
  if (status == BT_OK)
    status = draw_output_keep(&output, error);
  draw_output_close(&output);
  return status;
}

bt_status bt_draw_file(bt_draw *draw, const bt_document *document, bt_format format,
                       const char *path, bt_error *error) {
  return draw_file(draw, document, format, path, false, error);
}

bt_status bt_draw_new_file(bt_draw *draw, const bt_document *document, bt_format format,
                           const char *path, bt_error *error) {
  return draw_file(draw, document, format, path, true, error);
}
