/* The lines under the table of the summary: a label and its words. */
#include "report_pages.h"

static const double label_width = 31; /* of the lines under the table */

bool report_summary_fits(report_builder *builder, const char *value) {
  report_frame frame = report_frame_of(builder);
  return report_measure(builder, BT_STYLE_TABLE, value, 0).width <=
         frame.right - frame.left - label_width;
}

double report_summary_line(report_builder *builder, double y, const char *label,
                           const char *value) {
  report_frame frame = report_frame_of(builder);
  double left = frame.left + label_width;
  (void)report_text(builder, frame.left, y, BT_STYLE_TABLE, BT_INK_SOFT, BT_ALIGN_LEFT, label);
  double height =
      report_wrapped(builder, left, y, frame.right - left, BT_STYLE_TABLE, BT_INK_TEXT, value)
          .height;
  return y + height + 0.6;
}
