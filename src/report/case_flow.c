/* Pages of a case that flow: headings, paragraphs and rows that go on to the next page. */
#include "report_case.h"

#include <stdio.h>

static const double line_gap = 0.9, heading_gap = 1.0, section_gap = 3.4;

/* So little room left is left blank: a section's head and its first rows. */
static const double least_room = 40;

static void fresh_page(case_pages *on) {
  char name[REPORT_NUMBER_TEXT];
  bt_text title = {0};
  on->part++;
  bt_text_add(&title, on->title);
  if (on->part > 1)
    bt_text_format(&title, ", continued");
  (void)snprintf(name, sizeof name, "case-%zu", on->builder->document->pages_n + 1);
  report_page(on->builder, bt_text_get(&title), name);
  on->frame = report_frame_of(on->builder);
  on->y = on->frame.top;
  on->y += report_text(on->builder, on->frame.left, on->y, BT_STYLE_TITLE, BT_INK_TEXT,
                       BT_ALIGN_LEFT, bt_text_get(&title))
               .height +
           1.5;
  report_text_end(on->builder, &title);
}

void report_case_begin(case_pages *on, const char *title) {
  on->title = title;
  on->part = 0;
  fresh_page(on);
}

void report_case_room(case_pages *on, double height) {
  if (on->y + height > on->frame.bottom)
    fresh_page(on);
}

void report_case_heading(case_pages *on, const char *words) {
  double wrap = on->frame.right - on->frame.left;
  double height = report_measure(on->builder, BT_STYLE_HEADING, words, wrap).height;
  report_case_room(on, section_gap + height + heading_gap + 12); /* never alone at the foot */
  on->y += section_gap;
  (void)report_wrapped(on->builder, on->frame.left, on->y, wrap, BT_STYLE_HEADING, BT_INK_TEXT,
                       words);
  on->y += height + heading_gap;
}

void report_case_paragraph(case_pages *on, bt_style style, bt_ink ink, const char *words) {
  double wrap = on->frame.right - on->frame.left;
  double height = report_measure(on->builder, style, words, wrap).height;
  report_case_room(on, height);
  (void)report_wrapped(on->builder, on->frame.left, on->y, wrap, style, ink, words);
  on->y += height + line_gap;
}

double report_case_line(const case_pages *on) {
  return report_measure(on->builder, BT_STYLE_TABLE, "0", 0).height + line_gap;
}

void report_case_row(case_pages *on, const double *at, const char *const *cells, size_t n,
                     bt_style style, bt_ink ink) {
  double width = on->frame.right - on->frame.left, height = 0;
  bt_text cut = {0};
  height = report_measure(on->builder, style, "0", 0).height + line_gap;
  report_case_room(on, height);
  for (size_t c = 0; c < n; c++) {
    double left = on->frame.left + at[c] * width;
    double right = c + 1 < n ? on->frame.left + at[c + 1] * width - 2 : on->frame.right;
    (void)report_text(on->builder, left, on->y, style, ink, BT_ALIGN_LEFT,
                      report_cut(on->builder, style, cells[c], right - left, &cut));
  }
  report_text_end(on->builder, &cut);
  on->y += height;
}

bool report_case_has_room(const case_pages *on) {
  return on->y + least_room <= on->frame.bottom;
}

void report_case_section(case_pages *on, const char *title) {
  if (!report_case_has_room(on)) {
    report_case_begin(on, title);
    return;
  }
  on->title = title;
  on->part = 1;
  on->y += 2 * section_gap;
  on->y += report_text(on->builder, on->frame.left, on->y, BT_STYLE_TITLE, BT_INK_TEXT,
                       BT_ALIGN_LEFT, title)
               .height +
           1.5;
}
