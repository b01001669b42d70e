/* A row of cells that wrap side by side. */
#include "report_sheet.h"

double report_cells(report_builder *builder, bool put, double y, const double *at, double gap,
                    const char *const *cells, size_t n, bt_style style, bt_ink ink) {
  report_frame frame = report_frame_of(builder);
  double width = frame.right - frame.left, height = 0;
  for (size_t c = 0; c < n; c++) {
    double left = frame.left + at[c] * width;
    double right = c + 1 < n ? frame.left + at[c + 1] * width - gap : frame.right;
    double tall = put && *cells[c] != '\0'
                      ? report_wrapped(builder, left, y, right - left, style, ink, cells[c]).height
                      : report_measure(builder, style, cells[c], right - left).height;
    height = tall > height ? tall : height;
  }
  return height;
}
