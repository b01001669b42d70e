/* PDF 1.5 with fonts embedded: pages, bookmarks, links, page labels and metadata.
 *
 * Links and bookmarks go by named destinations only: cairo 1.16 makes a dead link of a page number
 * that lies ahead. Dates are always given, else the library would take the clock's. */
#include <cairo-pdf.h>
#include <stdlib.h>

#include "draw_room.h"

static bt_status set_metadata(cairo_surface_t *surface, const bt_document *document,
                              bt_error *error) {
  const struct {
    cairo_pdf_metadata_t key;
    const char *value;
  } entries[] = {{CAIRO_PDF_METADATA_TITLE, document->title},
                 {CAIRO_PDF_METADATA_AUTHOR, document->author},
                 {CAIRO_PDF_METADATA_SUBJECT, document->subject}};
  for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
    if (entries[i].value == NULL)
      continue;
    char *clean = draw_clean(entries[i].value, false, NULL, 0);
    if (clean == NULL)
      return bt_fail_memory(error);
    cairo_pdf_surface_set_metadata(surface, entries[i].key, clean);
    free(clean);
  }
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Beamtally");
  bt_civil at = bt_civil_of(document->created);
  char created[64];
  (void)snprintf(created, sizeof created, "%04d-%02d-%02dT%02d:%02d:%02d", at.year, at.month,
                 at.day, at.hour, at.minute, at.second);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, created);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, created);
  return BT_OK;
}

static bt_status begin_page(cairo_surface_t *surface, cairo_t *cr, const bt_page *page,
                            size_t number, bt_error *error) {
  char attributes[160];
  (void)snprintf(attributes, sizeof attributes, "%zu", number);
  cairo_pdf_surface_set_page_label(surface, attributes);
  if (page->name == NULL)
    return BT_OK;
  (void)snprintf(attributes, sizeof attributes, "name='%s' x=0 y=0", page->name);
  cairo_tag_begin(cr, CAIRO_TAG_DEST, attributes);
  cairo_tag_end(cr, CAIRO_TAG_DEST);
  if (page->title == NULL)
    return BT_OK;
  char *title = draw_clean(page->title, false, NULL, 0);
  if (title == NULL)
    return bt_fail_memory(error);
  (void)snprintf(attributes, sizeof attributes, "dest='%s'", page->name);
  (void)cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, title, attributes,
                                      (cairo_pdf_outline_flags_t)0);
  free(title);
  return BT_OK;
}

bt_status draw_pdf(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) {
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
      draw_output_write, output, document->width_mm * DRAW_POINTS_PER_MM,
      document->height_mm * DRAW_POINTS_PER_MM);
  cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_5);
  cairo_t *cr = cairo_create(surface);
  cairo_scale(cr, DRAW_POINTS_PER_MM, DRAW_POINTS_PER_MM);
  bt_status status = set_metadata(surface, document, error);
  draw->links = true;
  for (size_t i = 0; status == BT_OK && i < document->pages_n; i++) {
    status = begin_page(surface, cr, &document->pages[i], i + 1, error);
    if (status == BT_OK)
      status = draw_page(draw, cr, &document->pages[i], error);
    cairo_show_page(cr);
  }
  draw->links = false;
  cairo_status_t drawn = cairo_status(cr);
  cairo_destroy(cr);
  cairo_surface_finish(surface); /* a full disk may show only here */
  cairo_status_t written = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  if (status == BT_OK)
    status = draw_output_check(output, drawn, error);
  if (status == BT_OK)
    status = draw_output_check(output, written, error);
  return status;
}
