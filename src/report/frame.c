/* What every page has: margins, the banner, the footer with provenance and caution. */
#include "report_room.h"

#include <stdio.h>
#include <string.h>

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

/* A date at the end stays in one piece: "NO OPEN SIGNAL", "to 30 Sep 2026" below it. */
static void join_date(bt_text *words) {
  static const char to[] = " to ";
  bt_text joined = {0};
  const char *at = strstr(bt_text_get(words), to);
  if (at == NULL)
    return;
  bt_text_add_bytes(&joined, bt_text_get(words), (size_t)(at - bt_text_get(words)) + 1);
  for (at++; *at != '\0'; at++)
    if (*at == ' ')
      bt_text_add(&joined, REPORT_JOIN);
    else
      bt_text_add_bytes(&joined, at, 1);
  bt_text_free(words);
  *words = joined;
}

double report_banner(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                     const bt_study *of) {
  static const double inset = 2.8, above = 1.3;
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  report_banner_words(unit, verdict, of, &words);
  join_date(&words);
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  double wrap = panel_width - 2 * inset;
  double height =
      report_measure(builder, BT_STYLE_BANNER, bt_text_get(&words), wrap).height + 2 * above;
  report_box(builder, frame.panel_left, frame.top + 0.6, panel_width, height,
             report_unit_ink(unit, verdict, of));
  (void)report_wrapped(builder, frame.panel_left + inset, frame.top + 0.6 + above, wrap,
                       BT_STYLE_BANNER, BT_INK_PAPER, bt_text_get(&words));
  bt_text_free(&words);
  return height + 0.6;
}

void report_state_words(const char *state, bt_text *out) {
  bt_text_add(out, " Ledger");
  for (size_t i = 0; i < strlen(state); i += 4)
    bt_text_format(out, " %.4s", state + i);
  bt_text_add(out, ".");
}

void report_provenance_words(const bt_unit_study *unit, bt_text *out) {
  const bt_provenance *from = &unit->provenance;
  report_count(out, (uint64_t)from->sources, "log file", "log files");
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->checks, "check", "checks");
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->refused, "refused line", "refused lines");
  if (from->serious > 0)
    bt_text_format(out, ", %lld of them with a failed self-test, a remark or a refill",
                   (long long)from->serious);
  if (from->conflicts > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->conflicts, "row held back", "rows held back");
  }
  if (from->corrections > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->corrections, "correction", "corrections");
  }
  bt_text_add(out, ".");
  report_state_words(from->state, out);
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
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  for (size_t p = 0; p < builder->document->pages_n; p++) {
    builder->at = p;
    footer(builder, bt_text_get(&words));
  }
  bt_text_free(&words);
}
