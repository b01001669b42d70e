/* A sheet: headings, paragraphs and tables that go on over as many pages as they need. Cells are
 * wrapped, never cut to one line; a text without end stops after a dozen lines, with an ellipsis.
 */
#include "report_sheet.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double section_gap = 3.4, row_gap = 0.9, heading_gap = 0.9, column_gap = 2.2;
enum { MOST_LINES = 12 };

static void head(report_sheet *sheet) {
  report_builder *builder = sheet->builder;
  report_frame frame = sheet->frame;
  bt_text words = {0};
  bool first = sheet->pages == 0;
  char name[REPORT_NAME];
  if (first)
    (void)snprintf(name, sizeof name, "%s", sheet->name);
  else
    (void)snprintf(name, sizeof name, "%s-%zu", sheet->name, sheet->pages + 1);
  report_page(builder, first ? sheet->title : NULL, name);
  sheet->pages++;
  sheet->y = frame.top;
  sheet->y += report_text(builder, frame.left, sheet->y, BT_STYLE_TITLE, BT_INK_TEXT, BT_ALIGN_LEFT,
                          sheet->title)
                  .height +
              0.3;
  bt_text_format(&words, "%s%s", sheet->subtitle, first ? "" : "  ·  continued");
  sheet->y += report_wrapped(builder, frame.left, sheet->y, frame.right - frame.left,
                             BT_STYLE_SUBTITLE, BT_INK_SOFT, bt_text_get(&words))
                  .height; /* a long name takes a second line: what follows it must not be cut */
  sheet->empty = true;
  report_text_end(builder, &words);
}

void report_sheet_begin(report_sheet *sheet, report_builder *builder, const char *title,
                        const char *name, const char *subtitle) {
  *sheet = (report_sheet){.builder = builder,
                          .frame = report_frame_of(builder),
                          .title = title,
                          .name = name,
                          .subtitle = subtitle};
  sheet->line = report_measure(builder, BT_STYLE_TABLE, "0", 0).height + row_gap;
  head(sheet);
}

bool report_sheet_room(report_sheet *sheet, double height) {
  if (sheet->y + height <= sheet->frame.bottom || sheet->empty)
    return false;
  head(sheet);
  return true;
}

void report_sheet_heading(report_sheet *sheet, const char *words) {
  (void)report_sheet_room(sheet, section_gap + 3.5 * sheet->line);
  sheet->y += section_gap;
  sheet->y += report_text(sheet->builder, sheet->frame.left, sheet->y, BT_STYLE_HEADING,
                          BT_INK_TEXT, BT_ALIGN_LEFT, words)
                  .height +
              heading_gap;
}

void report_sheet_paragraph(report_sheet *sheet, bt_ink ink, const char *words) {
  double wrap = sheet->frame.right - sheet->frame.left;
  double height = report_measure(sheet->builder, BT_STYLE_TABLE, words, wrap).height;
  if (report_sheet_room(sheet, height))
    sheet->y += section_gap;
  (void)report_wrapped(sheet->builder, sheet->frame.left, sheet->y, wrap, BT_STYLE_TABLE, ink,
                       words);
  sheet->y += height + row_gap;
  sheet->empty = false;
}

static double cell_left(const report_sheet *sheet, const report_column *columns, size_t c) {
  return sheet->frame.left + columns[c].at * (sheet->frame.right - sheet->frame.left);
}

static double cell_width(const report_sheet *sheet, const report_column *columns, size_t n,
                         size_t c) {
  double right = c + 1 < n ? cell_left(sheet, columns, c + 1) - column_gap : sheet->frame.right;
  return right - cell_left(sheet, columns, c);
}

/* The text, or as much of it as a dozen lines hold. */
static const char *bounded(report_builder *builder, const char *text, double width, bt_text *cut) {
  double most = (MOST_LINES + 0.3) * report_measure(builder, BT_STYLE_TABLE, "0", 0).height;
  return report_cut_to(builder, BT_STYLE_TABLE, text, width, most, cut);
}

void report_sheet_heads(report_sheet *sheet, const report_column *columns, size_t n) {
  double y = sheet->y;
  report_box(sheet->builder, sheet->frame.left - 1, y - 0.4,
             sheet->frame.right - sheet->frame.left + 2, sheet->line + 0.4, BT_INK_PANEL);
  for (size_t c = 0; c < n; c++)
    (void)report_text(sheet->builder, cell_left(sheet, columns, c), y, BT_STYLE_TABLE_HEAD,
                      BT_INK_SOFT, BT_ALIGN_LEFT, columns[c].head);
  sheet->y += sheet->line + 0.5;
}

void report_sheet_row(report_sheet *sheet, const report_column *columns, size_t n,
                      const char *const *cells) {
  report_builder *builder = sheet->builder;
  bt_text cut = {0};
  double height = sheet->line - row_gap;
  for (size_t c = 0; c < n; c++) {
    double width = cell_width(sheet, columns, n, c);
    height = fmax(height, report_measure(builder, BT_STYLE_TABLE,
                                         bounded(builder, cells[c], width, &cut), width)
                              .height);
  }
  if (report_sheet_room(sheet, height)) {
    sheet->y += section_gap;
    report_sheet_heads(sheet, columns, n);
  }
  for (size_t c = 0; c < n; c++) {
    double width = cell_width(sheet, columns, n, c);
    (void)report_wrapped(builder, cell_left(sheet, columns, c), sheet->y, width, BT_STYLE_TABLE,
                         BT_INK_TEXT, bounded(builder, cells[c], width, &cut));
  }
  sheet->y += height + row_gap;
  sheet->empty = false;
  report_text_end(builder, &cut);
}

void report_sheet_rest(report_sheet *sheet, size_t n, const char *one, const char *many,
                       const char *command) {
  bt_text words = {0};
  if (n == 0)
    return;
  bt_text_add(&words, "and ");
  report_count(&words, n, one, many);
  bt_text_format(&words, ", see “%s”", command);
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}
