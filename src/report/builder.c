/* The page builder: texts, boxes and lines of a document, measured as they are put down. */
#include "report_build.h"

#include <stdarg.h>
#include <string.h>

bt_status report_status(const report_builder *builder) {
  return builder->status;
}

void report_no_memory(report_builder *builder) {
  if (builder->status == BT_OK)
    builder->status = bt_fail_memory(builder->error);
}

void report_text_end(report_builder *builder, bt_text *text) {
  if (!bt_text_ok(text))
    report_no_memory(builder);
  bt_text_free(text);
}

/* The page being composed; NULL after a failure, and while nothing is to be put. */
static bt_page *current(report_builder *builder) {
  bt_document *document = builder->document;
  if (builder->status != BT_OK || builder->measures_only || builder->at >= document->pages_n)
    return NULL;
  return &document->pages[builder->at];
}

static char *copied(report_builder *builder, const char *text) {
  char *copy = bt_copy(text);
  if (copy == NULL)
    report_no_memory(builder);
  return copy;
}

void report_page(report_builder *builder, const char *title, const char *name) {
  bt_document *document = builder->document;
  if (builder->status != BT_OK)
    return;
  if (!bt_grow(&document->pages, &document->pages_room, document->pages_n + 1,
               sizeof *document->pages)) {
    report_no_memory(builder);
    return;
  }
  builder->at = document->pages_n;
  bt_page *page = &document->pages[document->pages_n++];
  page->title = title == NULL ? NULL : copied(builder, title);
  page->name = copied(builder, name);
}

report_size report_measure(report_builder *builder, bt_style style, const char *text, double wrap) {
  report_size size = {0, 0};
  if (builder->status == BT_OK)
    builder->status = builder->measure->measure(builder->measure->context, style, text, wrap,
                                                &size.width, &size.height, builder->error);
  return size;
}

/* Bold words are wider, so that a text with some is measured with them. */
static report_size measured(report_builder *builder, const bt_page_text *item, const char *text) {
  double wrap = item->wrap ? item->width : 0;
  const bt_measure *measure = builder->measure;
  report_size size = {0, 0};
  if (item->strong_n == 0 || builder->status != BT_OK)
    return report_measure(builder, item->style, text, wrap);
  builder->status =
      measure->measure_strong(measure->context, item->style, text, item->strong, item->strong_n,
                              wrap, &size.width, &size.height, builder->error);
  return size;
}

/* Takes the item's text by copy. */
static report_size put(report_builder *builder, bt_page_text item, const char *text) {
  report_size size = measured(builder, &item, text);
  bt_page *page = current(builder);
  if (page == NULL || *text == '\0')
    return size;
  if (!bt_grow(&page->texts, &page->texts_room, page->texts_n + 1, sizeof *page->texts)) {
    report_no_memory(builder);
    return size;
  }
  item.text = copied(builder, text);
  if (!item.wrap)
    item.width = size.width;
  item.height = size.height;
  if (item.text != NULL)
    page->texts[page->texts_n++] = item;
  return size;
}

report_size report_text(report_builder *builder, double x, double y, bt_style style, bt_ink ink,
                        bt_align align, const char *text) {
  bt_page_text item = {.x = x, .y = y, .style = style, .ink = ink, .align = align};
  return put(builder, item, text);
}

report_size report_wrapped(report_builder *builder, double x, double y, double wrap, bt_style style,
                           bt_ink ink, const char *text) {
  bt_page_text item = {.x = x, .y = y, .width = wrap, .wrap = true, .style = style, .ink = ink};
  return put(builder, item, text);
}

report_size report_paragraph(report_builder *builder, double x, double y, double wrap,
                             bt_style style, bt_ink ink, const report_words *words) {
  if (!bt_text_ok(&words->text)) {
    report_no_memory(builder);
    return (report_size){0, 0};
  }
  bt_page_text item = {.x = x, .y = y, .width = wrap, .wrap = true, .style = style, .ink = ink};
  item.strong_n = words->strong_n;
  memcpy(item.strong, words->strong, sizeof item.strong);
  return put(builder, item, bt_text_get(&words->text));
}

void report_turned(report_builder *builder, double x, double y1, double y2, bt_style style,
                   bt_ink ink, const char *text) {
  report_size size = report_measure(builder, style, text, 0);
  bt_page_text item = {.x = x - size.height,
                       .y = (y1 + y2) / 2 + size.width / 2,
                       .turn = 90,
                       .style = style,
                       .ink = ink};
  (void)put(builder, item, text);
}

void report_link(report_builder *builder, const char *name) {
  bt_page *page = current(builder);
  if (page != NULL && page->texts_n > 0)
    page->texts[page->texts_n - 1].link = copied(builder, name);
}

void report_box(report_builder *builder, double x, double y, double width, double height,
                bt_ink ink) {
  bt_page *page = current(builder);
  if (page == NULL)
    return;
  if (!bt_grow(&page->boxes, &page->boxes_room, page->boxes_n + 1, sizeof *page->boxes)) {
    report_no_memory(builder);
    return;
  }
  page->boxes[page->boxes_n++] = (bt_page_box){x, y, width, height, ink};
}

void report_line(report_builder *builder, double x1, double y1, double x2, double y2,
                 double width_mm, bt_ink ink) {
  bt_page *page = current(builder);
  if (page == NULL)
    return;
  if (!bt_grow(&page->lines, &page->lines_room, page->lines_n + 1, sizeof *page->lines)) {
    report_no_memory(builder);
    return;
  }
  page->lines[page->lines_n++] = (bt_page_line){x1, y1, x2, y2, width_mm, ink, BT_DASH_SOLID};
}

/* Bytes of the longest prefix of whole characters with at most `length` bytes. */
static size_t whole(const char *text, size_t length) {
  while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
    length--;
  return length;
}

const char *report_cut(report_builder *builder, bt_style style, const char *text, double width,
                       bt_text *out) {
  bt_text_clear(out);
  bt_text_add(out, text);
  size_t low = 0, high = strlen(text); /* a prefix of `low` bytes fits, one of `high` doesn't */
  if (!bt_text_ok(out) || report_measure(builder, style, text, 0).width <= width)
    return bt_text_get(out);
  while (builder->status == BT_OK && whole(text, (low + high) / 2) > low) {
    size_t middle = whole(text, (low + high) / 2);
    bt_text_clear(out);
    bt_text_add_bytes(out, text, middle);
    bt_text_add(out, "…");
    if (report_measure(builder, style, bt_text_get(out), 0).width <= width)
      low = middle;
    else
      high = middle;
  }
  while (low > 0 && text[low - 1] == ' ')
    low--;
  bt_text_clear(out);
  bt_text_add_bytes(out, text, low);
  bt_text_add(out, "…");
  return bt_text_get(out);
}
