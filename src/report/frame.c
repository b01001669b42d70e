/* What every page has: margins, and the footer with provenance and caution. */
#include "report_sentences.h"
#include "report_sheet.h"

#include <stdio.h>

static const double margin = 12.7, top_margin = 8.0, panel_width = 53.4;
static const double footer_top = 13.2; /* from the lower edge */

report_frame report_frame_of(const report_builder *builder) {
  const bt_document *document = builder->document;
  report_frame frame = {.left = margin,
                        .right = document->width_mm - margin,
                        .top = top_margin,
                        .bottom = document->height_mm - footer_top - 2.2};
  frame.panel_left = frame.right - panel_width;
  return frame;
}

static void footer(report_builder *builder, const char *words) {
  report_frame frame = report_frame_of(builder);
  double y = builder->document->height_mm - footer_top;
  char number[128];
  (void)snprintf(number, sizeof number, "%s%spage %zu of %zu", builder->edition,
                 builder->edition[0] == '\0' ? "" : " · ", builder->at + 1,
                 builder->document->pages_n);
  report_size size = report_measure(builder, BT_STYLE_NOTE, number, 0);
  /* The page's number stands at the end of the second line. */
  double wrap = frame.right - frame.left;
  if (report_measure(builder, BT_STYLE_NOTE, words, wrap).height > 1.5 * size.height)
    wrap -= size.width + 8;
  (void)report_wrapped(builder, frame.left, y, wrap, BT_STYLE_NOTE, BT_INK_SOFT, words);
  (void)report_text(builder, frame.right, y + size.height, BT_STYLE_NOTE, BT_INK_SOFT,
                    BT_ALIGN_RIGHT, number);
}

void report_footers(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request) {
  bt_text words = {0};
  if (unit != NULL)
    report_provenance_words(unit, &words);
  if (request->missing > 0) {
    bt_text_add(&words, words.length > 0 ? " " : "");
    report_count(&words, request->missing, "character has", "characters have");
    bt_text_add(&words, " no sign in the font.");
  }
  bt_text_format(&words, "%s%s", words.length > 0 ? " " : "", report_caution);
  for (size_t p = 0; p < builder->document->pages_n; p++) {
    builder->at = p;
    footer(builder, bt_text_get(&words));
  }
  report_text_end(builder, &words);
}
