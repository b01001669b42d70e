/* The foot of the summary: where to read on, the cautions, and who signs. */
#include "report_pages.h"

/* Where to read on: links with the pages' numbers, which are put in once they are known. */
static void contents(report_builder *builder, const char *first_chart, const char *drift,
                     const char *selftest, bool changes, double y) {
  const char *const entries[][2] = {
      {"Charts from page ", first_chart},       {drift, drift != NULL ? "drift" : NULL},
      {"Self-test and room ", selftest},        {"Signals and decisions ", "record"},
      {"Changes ", changes ? "changes" : NULL}, {"Data ", "data"},
      {"Method and glossary ", "method"}};
  report_frame frame = report_frame_of(builder);
  double x = frame.left;
  x += report_text(builder, x, y, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT, "Read on:").width +
       4;
  for (size_t i = 0; i < sizeof entries / sizeof *entries; i++) {
    if (entries[i][1] == NULL)
      continue;
    report_refer(builder, x, y, BT_STYLE_CAPTION, BT_ALIGN_LEFT, entries[i][0], entries[i][1]);
    x += report_measure(builder, BT_STYLE_CAPTION, entries[i][0], 0).width +
         report_measure(builder, BT_STYLE_CAPTION, "999", 0).width + 5;
  }
}

double report_summary_foot(report_builder *builder, const char *first_chart, const char *drift,
                           const char *selftest, bool changes) {
  report_frame frame = report_frame_of(builder);
  static const double sign_height = 8.6, contents_height = 4.8;
  double half = (frame.right - frame.left) / 2, y = frame.bottom - sign_height;
  static const char *const roles[] = {"Prepared by, date", "Reviewed by, date"};
  for (int i = 0; i < 2; i++) {
    double left = frame.left + i * (half + 4);
    (void)report_text(builder, left, y + 4.8, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT,
                      roles[i]);
    report_line(builder, left, y + 4.2, left + half - 4, y + 4.2, 0.15, BT_INK_SOFT);
  }
  double height =
      report_measure(builder, BT_STYLE_NOTE, report_cautions_full, frame.right - frame.left - 6)
          .height;
  y -= height + 3;
  report_box(builder, frame.left, y - 1.2, frame.right - frame.left, height + 2.4, BT_INK_PANEL);
  (void)report_wrapped(builder, frame.left + 3, y, frame.right - frame.left - 6, BT_STYLE_NOTE,
                       BT_INK_TEXT, report_cautions_full);
  y -= 1.2 + contents_height;
  contents(builder, first_chart, drift, selftest, changes, y);
  return y;
}
