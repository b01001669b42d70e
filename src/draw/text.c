/* One text on a page: placed, turned, aligned, and a link where it is one. */
#include <math.h>
#include <pango/pangocairo.h>

#include "draw_room.h"

/* How far left of its anchor the box begins, as a part of its width. */
static double anchor(bt_align align) {
  switch (align) {
  case BT_ALIGN_CENTRE:
    return 0.5;
  case BT_ALIGN_RIGHT:
    return 1.0;
  case BT_ALIGN_LEFT:
    break;
  }
  return 0.0;
}

#define PARAGRAPH "P"

/* cairo 1.16 enters a link in the file's structure tree, but writes the tree only where something
 * else is in it too: without the paragraph round it the file would lack an object. */
static void begin_link(cairo_t *cr, const char *name) {
  char attributes[160];
  (void)snprintf(attributes, sizeof attributes, "dest='%s'", name);
  cairo_tag_begin(cr, PARAGRAPH, NULL);
  cairo_tag_begin(cr, CAIRO_TAG_LINK, attributes);
}

static void end_link(cairo_t *cr) {
  cairo_tag_end(cr, CAIRO_TAG_LINK);
  cairo_tag_end(cr, PARAGRAPH);
}

static draw_words words_of(const bt_page_text *text) {
  return (draw_words){.text = text->text,
                      .style = text->style,
                      .align = text->align,
                      .wrap = text->wrap ? text->width : 0.0,
                      .strong = text->strong,
                      .strong_n = text->strong_n};
}

/* Every face has the letters of ASCII. */
static bool is_plain(const char *text) {
  while (*text != '\0' && ((unsigned char)*text & 0x80) == 0)
    text++;
  return *text == '\0';
}

bt_status bt_draw_count_missing(bt_draw *draw, const bt_document *document, size_t *missing,
                                bt_error *error) {
  bt_status status = BT_OK;
  *missing = 0;
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t i = 0; i < document->pages[p].texts_n && status == BT_OK; i++) {
      const bt_page_text *text = &document->pages[p].texts[i];
      PangoLayout *layout = NULL;
      draw_words words = words_of(text);
      if (is_plain(text->text))
        continue;
      status = draw_layout(draw, &words, &layout, error);
      if (status != BT_OK)
        break;
      *missing += (size_t)pango_layout_get_unknown_glyphs_count(layout);
      g_object_unref(layout);
    }
  return status;
}

bt_status draw_text(bt_draw *draw, cairo_t *cr, const bt_page_text *text, bt_error *error) {
  draw_words words = words_of(text);
  PangoLayout *layout = NULL;
  bt_status status = draw_layout(draw, &words, &layout, error);
  if (status != BT_OK)
    return status;

  double width, height;
  draw_layout_size(layout, &width, &height);
  if (words.wrap > 0.0)
    width = words.wrap;
  bool linked = draw->links && text->link != NULL;

  cairo_save(cr);
  cairo_translate(cr, text->x, text->y);
  cairo_rotate(cr, -text->turn * acos(-1.0) / 180.0);
  cairo_translate(cr, -anchor(text->align) * width, 0.0);
  cairo_scale(cr, 1.0 / DRAW_POINTS_PER_MM, 1.0 / DRAW_POINTS_PER_MM);
  draw_set_ink(cr, text->ink);
  if (linked)
    begin_link(cr, text->link);
  cairo_move_to(cr, 0.0, 0.0);
  pango_cairo_show_layout(cr, layout);
  if (linked)
    end_link(cr);
  cairo_restore(cr);

  draw->missing += (size_t)pango_layout_get_unknown_glyphs_count(layout);
  g_object_unref(layout);
  return BT_OK;
}
