/* The page checker: what a reader would see as wrong before reading a word. */
#include "fixture.h"

#include <math.h>

static const double slack = 0.05; /* mm */

typedef struct box {
  double left, top, right, bottom;
} box;

static box box_of(const bt_page_text *text) {
  if (text->turn > 0)
    return (box){text->x, text->y - text->width, text->x + text->height, text->y};
  double left = text->x;
  if (text->align == BT_ALIGN_CENTRE)
    left -= text->width / 2;
  else if (text->align == BT_ALIGN_RIGHT)
    left -= text->width;
  return (box){left, text->y, left + text->width, text->y + text->height};
}

static bool overlap(box a, box b) {
  return a.left < b.right - slack && b.left < a.right - slack && a.top < b.bottom - slack &&
         b.top < a.bottom - slack;
}

static bool inside(box a, double width, double height) {
  return a.left >= 5 && a.top >= 5 && a.right <= width - 5 && a.bottom <= height - 2;
}

static void check_texts(const bt_document *document, const bt_page *page, bt_text *out) {
  for (size_t i = 0; i < page->texts_n; i++) {
    const bt_page_text *text = &page->texts[i];
    box mine = box_of(text);
    if (!inside(mine, document->width_mm, document->height_mm))
      bt_text_format(out, "%s: off the page: %s (%.1f %.1f %.1f %.1f)\n", page->name, text->text,
                     mine.left, mine.top, mine.right, mine.bottom);
    if (bt_style_points(text->style) < 7)
      bt_text_format(out, "%s: type under 7 pt: %s\n", page->name, text->text);
    if (!bt_utf8_valid(text->text, __builtin_strlen(text->text)))
      bt_text_format(out, "%s: not UTF-8\n", page->name);
    for (size_t j = i + 1; j < page->texts_n; j++)
      if (overlap(mine, box_of(&page->texts[j])))
        bt_text_format(out, "%s: \"%s\" over \"%s\"\n", page->name, text->text,
                       page->texts[j].text);
    for (size_t j = 0; j < page->panes_n; j++) {
      const bt_pane *pane = &page->panes[j];
      box its = {pane->x, pane->y, pane->x + pane->width, pane->y + pane->height};
      if (overlap(mine, its))
        bt_text_format(out, "%s: \"%s\" over pane %zu\n", page->name, text->text, j);
    }
  }
}

static bool within(double value, double low, double high) {
  double allowed = 1e-9 * fmax(1, fabs(high - low));
  return isfinite(value) && value >= low - allowed && value <= high + allowed;
}

/* Where a line is broken on purpose: neither number is one. */
static bool is_break(const bt_polyline *line, size_t p) {
  return isnan(line->x[p]) && isnan(line->y[p]);
}

static void check_pane(const bt_document *document, const bt_page *page, size_t k, bt_text *out) {
  const bt_pane *pane = &page->panes[k];
  size_t bad = 0;
  if (!(pane->width > 10 && pane->height > 1.5 && pane->x_high > pane->x_low &&
        pane->y_high > pane->y_low))
    bt_text_format(out, "%s: pane %zu has no size (%.1f x %.1f)\n", page->name, k, pane->width,
                   pane->height);
  box its = {pane->x, pane->y, pane->x + pane->width, pane->y + pane->height};
  if (!inside(its, document->width_mm, document->height_mm))
    bt_text_format(out, "%s: pane %zu off the page\n", page->name, k);
  for (size_t j = k + 1; j < page->panes_n; j++) {
    const bt_pane *other = &page->panes[j];
    box theirs = {other->x, other->y, other->x + other->width, other->y + other->height};
    if (overlap(its, theirs))
      bt_text_format(out, "%s: pane %zu over pane %zu\n", page->name, k, j);
  }
  for (size_t i = 0; i < pane->bars_n; i++)
    bad += !within(pane->bars[i].x1, pane->x_low, pane->x_high) ||
           !within(pane->bars[i].x2, pane->x_low, pane->x_high) ||
           !within(pane->bars[i].y1, pane->y_low, pane->y_high) ||
           !within(pane->bars[i].y2, pane->y_low, pane->y_high) ||
           !(pane->bars[i].x2 > pane->bars[i].x1) || !(pane->bars[i].y2 > pane->bars[i].y1);
  for (size_t i = 0; i < pane->lines_n; i++)
    for (size_t p = 0; p < pane->lines[i].n; p++)
      bad += !is_break(&pane->lines[i], p) &&
             (!within(pane->lines[i].x[p], pane->x_low, pane->x_high) ||
              !within(pane->lines[i].y[p], pane->y_low, pane->y_high));
  for (size_t i = 0; i < pane->marks_n; i++) {
    double reach = fabs(pane->marks[i].shift_mm) + pane->marks[i].size_mm / 2;
    for (size_t p = 0; p < pane->marks[i].n; p++) {
      double y =
          bt_pane_y(pane, pane->marks[i].y[p]) + (pane->marks[i].shift_mm < 0 ? -reach : reach);
      bad += !within(pane->marks[i].x[p], pane->x_low, pane->x_high) ||
             !within(y, pane->y - 0.2, pane->y + pane->height + 0.2);
    }
  }
  if (bad > 0)
    bt_text_format(out, "%s: %zu parts leave pane %zu\n", page->name, bad, k);
}

static void check_boxes(const bt_document *document, const bt_page *page, bt_text *out) {
  for (size_t i = 0; i < page->boxes_n; i++) {
    const bt_page_box *b = &page->boxes[i];
    box its = {b->x, b->y, b->x + b->width, b->y + b->height};
    if (!inside(its, document->width_mm, document->height_mm) || b->height <= 0)
      bt_text_format(out, "%s: box %zu off the page\n", page->name, i);
    /* A text that begins on a box must end on it. */
    for (size_t j = 0; j < page->texts_n; j++) {
      box text = box_of(&page->texts[j]);
      if (overlap(its, text) &&
          !(text.left >= its.left - slack && text.right <= its.right + slack &&
            text.top >= its.top - slack && text.bottom <= its.bottom + slack))
        bt_text_format(out, "%s: \"%s\" leaves its box\n", page->name, page->texts[j].text);
    }
    for (size_t j = 0; j < page->panes_n; j++) {
      const bt_pane *pane = &page->panes[j];
      box theirs = {pane->x, pane->y, pane->x + pane->width, pane->y + pane->height};
      if (overlap(its, theirs))
        bt_text_format(out, "%s: box %zu over pane %zu\n", page->name, i, j);
    }
  }
}

/* An event's staff may not stand in words. */
static void check_lines(const bt_page *page, bt_text *out) {
  for (size_t i = 0; i < page->lines_n; i++) {
    const bt_page_line *line = &page->lines[i];
    box its = {fmin(line->x1, line->x2) - slack, fmin(line->y1, line->y2) - slack,
               fmax(line->x1, line->x2) + slack, fmax(line->y1, line->y2) + slack};
    for (size_t j = 0; j < page->texts_n; j++) {
      box text = box_of(&page->texts[j]);
      if (its.left < text.right - slack && its.right > text.left + slack &&
          its.top < text.bottom - 0.3 && its.bottom > text.top + 0.3)
        bt_text_format(out, "%s: a line through \"%s\"\n", page->name, page->texts[j].text);
    }
  }
}

void fixture_check(const bt_document *document, bt_text *out) {
  for (size_t p = 0; p < document->pages_n; p++) {
    const bt_page *page = &document->pages[p];
    check_texts(document, page, out);
    check_boxes(document, page, out);
    check_lines(page, out);
    for (size_t k = 0; k < page->panes_n; k++)
      check_pane(document, page, k, out);
  }
}
