/* Words to layouts: measuring and drawing go the same way, so that a box holds its text. */
#include <pango/pangocairo.h>
#include <stdlib.h>
#include <string.h>

#include "draw_room.h"

static PangoWeight weight_of(bt_style style) {
  switch (bt_style_weight(style)) {
  case BT_WEIGHT_SEMIBOLD:
    return PANGO_WEIGHT_SEMIBOLD;
  case BT_WEIGHT_BOLD:
    return PANGO_WEIGHT_BOLD;
  case BT_WEIGHT_REGULAR:
    break;
  }
  return PANGO_WEIGHT_NORMAL;
}

static void set_font(PangoLayout *layout, bt_style style) {
  PangoFontDescription *font = pango_font_description_new();
  pango_font_description_set_family_static(font, "Inter");
  pango_font_description_set_weight(font, weight_of(style));
  pango_font_description_set_size(font, (gint)(bt_style_points(style) * PANGO_SCALE + 0.5));
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
}

/* Bold as attributes, never as markup: text may hold any letter. */
static void set_attributes(PangoLayout *layout, bt_style style, const bt_strong *strong, size_t n) {
  PangoAttrList *attributes = pango_attr_list_new();
  draw_join(attributes, pango_layout_get_text(layout));
  /* Figures of one width, so that columns of numbers line up. */
  if (style == BT_STYLE_TABLE || style == BT_STYLE_TABLE_HEAD || style == BT_STYLE_TICK)
    pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1"));
  for (size_t i = 0; i < n; i++) {
    if (strong[i].from >= strong[i].to || strong[i].to > G_MAXUINT)
      continue;
    PangoAttribute *bold = pango_attr_weight_new(PANGO_WEIGHT_BOLD);
    bold->start_index = (guint)strong[i].from;
    bold->end_index = (guint)strong[i].to;
    pango_attr_list_insert(attributes, bold);
  }
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
}

static PangoAlignment alignment_of(bt_align align) {
  switch (align) {
  case BT_ALIGN_CENTRE:
    return PANGO_ALIGN_CENTER;
  case BT_ALIGN_RIGHT:
    return PANGO_ALIGN_RIGHT;
  case BT_ALIGN_LEFT:
    break;
  }
  return PANGO_ALIGN_LEFT;
}

/* A layout holds 32-bit units, of which 1024 make a point. */
static bool wrap_fits(double wrap) {
  return wrap >= 0.0 && wrap < 100000.0;
}

bt_status draw_layout(bt_draw *draw, const draw_words *words, PangoLayout **layout,
                      bt_error *error) {
  if (!wrap_fits(words->wrap))
    return bt_fail(error, BT_USAGE, "a text cannot be wrapped at %g mm", words->wrap);
  bt_strong strong[BT_STRONG_MOST];
  size_t n = words->strong_n < BT_STRONG_MOST ? words->strong_n : BT_STRONG_MOST;
  if (n > 0)
    memcpy(strong, words->strong, n * sizeof *strong);
  bool wraps = words->wrap > 0.0;
  char *clean = draw_clean(words->text == NULL ? "" : words->text, wraps, strong, n);
  if (clean == NULL)
    return bt_fail_memory(error);

  PangoLayout *made = pango_layout_new(draw->context);
  pango_layout_set_auto_dir(made, FALSE);
  set_font(made, words->style);
  pango_layout_set_text(made, clean, -1);
  set_attributes(made, words->style, strong, n);
  if (wraps) {
    pango_layout_set_width(made, (int)(words->wrap * DRAW_POINTS_PER_MM * PANGO_SCALE + 0.5));
    pango_layout_set_wrap(made, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(made, alignment_of(words->align));
  } else {
    pango_layout_set_single_paragraph_mode(made, TRUE);
  }
  free(clean);
  *layout = made;
  return BT_OK;
}

void draw_layout_size(PangoLayout *layout, double *width, double *height) {
  int units_wide, units_high;
  pango_layout_get_size(layout, &units_wide, &units_high);
  *width = (double)units_wide / PANGO_SCALE / DRAW_POINTS_PER_MM;
  *height = (double)units_high / PANGO_SCALE / DRAW_POINTS_PER_MM;
}

static bt_status measure_strong(void *context, bt_style style, const char *text,
                                const bt_strong *strong, size_t strong_n, double wrap_mm,
                                double *width_mm, double *height_mm, bt_error *error) {
  PangoLayout *layout = NULL;
  draw_words words = {
      .text = text, .style = style, .wrap = wrap_mm, .strong = strong, .strong_n = strong_n};
  bt_status status = draw_layout(context, &words, &layout, error);
  if (status != BT_OK)
    return status;
  draw_layout_size(layout, width_mm, height_mm);
  g_object_unref(layout);
  return BT_OK;
}

static bt_status measure(void *context, bt_style style, const char *text, double wrap_mm,
                         double *width_mm, double *height_mm, bt_error *error) {
  return measure_strong(context, style, text, NULL, 0, wrap_mm, width_mm, height_mm, error);
}

bt_measure bt_draw_measure(bt_draw *draw) {
  return (bt_measure){.measure = measure, .measure_strong = measure_strong, .context = draw};
}
