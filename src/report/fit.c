/* Texts of any length in a given room: whole, in the largest type that holds them; cut, with an
 * ellipsis, only where the smallest does not. */
#include "report_build.h"

#include <math.h>

const char *report_cut_to(report_builder *builder, bt_style style, const char *text, double wrap,
                          double height, bt_text *out) {
  double line = report_measure(builder, style, "0", 0).height;
  double width = fmax(1, floor(height / line + 0.1)) * wrap;
  bt_text_clear(out);
  bt_text_add(out, text);
  while (report_status(builder) == BT_OK && width > wrap / 2 &&
         report_measure(builder, style, bt_text_get(out), wrap).height > height) {
    (void)report_cut(builder, style, text, width, out);
    width *= 0.9;
  }
  return bt_text_get(out);
}

bool report_fits(report_builder *builder, double wrap, double height, const bt_style *styles,
                 size_t n, const char *text, bt_style *style) {
  for (size_t i = 0; i < n; i++) {
    *style = styles[i];
    if (report_measure(builder, *style, text, wrap).height <= height)
      return true;
  }
  return false;
}

report_size report_fit(report_builder *builder, double x, double y, double wrap, double height,
                       const bt_style *styles, size_t n, bt_ink ink, const char *text) {
  bt_text cut = {0};
  bt_style style = BT_STYLE_FINE;
  if (!report_fits(builder, wrap, height, styles, n, text, &style))
    text = report_cut_to(builder, style, text, wrap, height, &cut);
  report_size size = report_wrapped(builder, x, y, wrap, style, ink, text);
  report_text_end(builder, &cut);
  return size;
}

double report_title(report_builder *builder, double x, double y, double width, const char *text) {
  static const bt_style large[] = {BT_STYLE_TITLE, BT_STYLE_HEADING}, small[] = {BT_STYLE_TABLE};
  double line = report_measure(builder, BT_STYLE_TITLE, "0", 0).height, most = 1.25 * line;
  bt_style style;
  bool is_long = !report_fits(builder, width, most, large, 2, text, &style);
  /* Four lines of small type, for a name without end. */
  return is_long ? report_fit(builder, x, y, width, 2 * line, small, 1, BT_INK_TEXT, text).height
                 : report_fit(builder, x, y, width, most, large, 2, BT_INK_TEXT, text).height;
}
