/* The text form of a document: every item on a line of its own, in drawing order. Lengths in mm
 * with two decimals; values of panes with up to 10 significant digits; inks by name. */
#include "fixture.h"

#include <criterion/criterion.h>

#include <math.h>

static const char *const inks[BT_INK_COUNT] = {[BT_INK_TEXT] = "text",
                                               [BT_INK_SOFT] = "soft",
                                               [BT_INK_FAINT] = "faint",
                                               [BT_INK_PAPER] = "paper",
                                               [BT_INK_PANEL] = "panel",
                                               [BT_INK_SERIES] = "series",
                                               [BT_INK_RAW] = "raw",
                                               [BT_INK_ALARM] = "alarm",
                                               [BT_INK_NOTICE] = "notice",
                                               [BT_INK_NEUTRAL] = "neutral",
                                               [BT_INK_CENTRE] = "centre",
                                               [BT_INK_LIMIT] = "limit",
                                               [BT_INK_TOLERANCE] = "tolerance",
                                               [BT_INK_ZONE_A] = "zone_a",
                                               [BT_INK_ZONE_B] = "zone_b",
                                               [BT_INK_ZONE_C] = "zone_c",
                                               [BT_INK_FILL_ODD] = "fill_odd",
                                               [BT_INK_FILL_EVEN] = "fill_even",
                                               [BT_INK_EVENT] = "event",
                                               [BT_INK_RISE] = "rise",
                                               [BT_INK_RISE_SOFT] = "rise_soft",
                                               [BT_INK_FALL] = "fall",
                                               [BT_INK_FALL_SOFT] = "fall_soft",
                                               [BT_INK_BASELINE] = "baseline"};

static const char *const style_names[] = {
#define X(ID, points, weight) [BT_STYLE_##ID] = #ID,
    BT_STYLES(X)
#undef X
};

static const char *const shapes[] = {
    [BT_SHAPE_DOT] = "dot",    [BT_SHAPE_RING] = "ring",     [BT_SHAPE_UP] = "up",
    [BT_SHAPE_DOWN] = "down",  [BT_SHAPE_SQUARE] = "square", [BT_SHAPE_DIAMOND] = "diamond",
    [BT_SHAPE_CROSS] = "cross"};

static const char *const dashes[] = {
    [BT_DASH_SOLID] = "solid", [BT_DASH_DASHED] = "dashed", [BT_DASH_DOTTED] = "dotted"};

static const char *const aligns[] = {
    [BT_ALIGN_LEFT] = "left", [BT_ALIGN_CENTRE] = "centre", [BT_ALIGN_RIGHT] = "right"};

static void add_pane_fills(const bt_pane *pane, bt_text *out) {
  for (size_t i = 0; i < pane->spans_n; i++)
    bt_text_format(out, "  span %.10g..%.10g %s\n", pane->spans[i].from, pane->spans[i].to,
                   inks[pane->spans[i].ink]);
  for (size_t i = 0; i < pane->bands_n; i++)
    bt_text_format(out, "  band %.10g..%.10g %s\n", pane->bands[i].low, pane->bands[i].high,
                   inks[pane->bands[i].ink]);
  for (size_t i = 0; i < pane->bars_n; i++) {
    const bt_bar *bar = &pane->bars[i];
    bt_text_format(out, "  bar %.10g..%.10g %.10g..%.10g %s\n", bar->x1, bar->x2, bar->y1, bar->y2,
                   inks[bar->ink]);
  }
}

static void add_levels(const bt_pane_level *levels, size_t n, const char *name, bt_text *out) {
  for (size_t i = 0; i < n; i++)
    bt_text_format(out, "  %s %.10g %s %s %.2f\n", name, levels[i].at, inks[levels[i].ink],
                   dashes[levels[i].dash], levels[i].width_mm);
}

static void add_pairs(const double *x, const double *y, size_t n, bt_text *out) {
  for (size_t i = 0; i < n; i++)
    if (isfinite(x[i]) && isfinite(y[i]))
      bt_text_format(out, " %.10g,%.10g", x[i], y[i]);
    else
      bt_text_add(out, " |"); /* a break */
  bt_text_add(out, "\n");
}

static void add_pane(const bt_pane *pane, bt_text *out) {
  bt_text_format(out, "pane %.2f %.2f %.2f %.2f x %.10g..%.10g y %.10g..%.10g%s\n", pane->x,
                 pane->y, pane->width, pane->height, pane->x_low, pane->x_high, pane->y_low,
                 pane->y_high, pane->framed ? " framed" : "");
  add_pane_fills(pane, out);
  add_levels(pane->levels, pane->levels_n, "level", out);
  add_levels(pane->verticals, pane->verticals_n, "vertical", out);
  for (size_t i = 0; i < pane->lines_n; i++) {
    const bt_polyline *line = &pane->lines[i];
    bt_text_format(out, "  polyline %s %.2f", inks[line->ink], line->width_mm);
    if (line->filled)
      bt_text_format(out, " filled %s from %.10g", inks[line->fill_ink], line->base);
    add_pairs(line->x, line->y, line->n, out);
  }
  for (size_t i = 0; i < pane->marks_n; i++) {
    const bt_marks *marks = &pane->marks[i];
    bt_text_format(out, "  marks %s %s %.2f %+.2f", shapes[marks->shape], inks[marks->ink],
                   marks->size_mm, marks->shift_mm);
    add_pairs(marks->x, marks->y, marks->n, out);
  }
  for (size_t i = 0; i < pane->x_ticks_n; i++)
    bt_text_format(out, "  x_tick %.10g\n", pane->x_ticks[i]);
  for (size_t i = 0; i < pane->y_ticks_n; i++)
    bt_text_format(out, "  y_tick %.10g\n", pane->y_ticks[i]);
}

static void add_text(const bt_page_text *text, bt_text *out) {
  bt_text_format(out, "text %.2f %.2f %.2f %.2f %s %s %s%s", text->x, text->y, text->width,
                 text->height, style_names[text->style], inks[text->ink], aligns[text->align],
                 text->wrap ? " wrapped" : "");
  if (text->turn > 0)
    bt_text_format(out, " turned %.0f", text->turn);
  for (size_t i = 0; i < text->strong_n; i++)
    bt_text_format(out, " bold %zu..%zu", text->strong[i].from, text->strong[i].to);
  if (text->link != NULL)
    bt_text_format(out, " to %s", text->link);
  bt_text_format(out, " | %s\n", text->text);
}

static void add_page(const bt_page *page, bt_text *out) {
  bt_text_format(out, "page %s | %s\n", page->name, page->title == NULL ? "" : page->title);
  for (size_t i = 0; i < page->boxes_n; i++) {
    const bt_page_box *box = &page->boxes[i];
    bt_text_format(out, "box %.2f %.2f %.2f %.2f %s\n", box->x, box->y, box->width, box->height,
                   inks[box->ink]);
  }
  for (size_t i = 0; i < page->panes_n; i++)
    add_pane(&page->panes[i], out);
  for (size_t i = 0; i < page->lines_n; i++) {
    const bt_page_line *line = &page->lines[i];
    bt_text_format(out, "line %.2f %.2f %.2f %.2f %s %s %.2f\n", line->x1, line->y1, line->x2,
                   line->y2, inks[line->ink], dashes[line->dash], line->width_mm);
  }
  for (size_t i = 0; i < page->texts_n; i++)
    add_text(&page->texts[i], out);
}

void fixture_text(const bt_document *document, bt_text *out) {
  char created[BT_TIME_TEXT];
  bt_text_format(out, "document %.2f %.2f %s | %s | %s | %s\n", document->width_mm,
                 document->height_mm, bt_time_iso(document->created, true, created),
                 document->title, document->author, document->subject);
  for (size_t i = 0; i < document->pages_n; i++)
    add_page(&document->pages[i], out);
  cr_assert(bt_text_ok(out));
}
