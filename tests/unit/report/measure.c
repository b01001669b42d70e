/* A measure with fixed widths, so that tests need no fonts. */
#include "fixture.h"

#include <string.h>

static const double mm_per_point = 25.4 / 72;

static double word_width(const char *text, size_t length, double em) {
  double width = 0;
  for (size_t i = 0; i < length; i++)
    width += ((unsigned char)text[i] & 0xC0) != 0x80 ? 0.5 * em : 0;
  return width;
}

static bt_status measure(void *context, bt_style style, const char *text, double wrap_mm,
                         double *width_mm, double *height_mm, bt_error *error) {
  (void)context;
  (void)error;
  double em = bt_style_points(style) * mm_per_point, line = 1.22 * em, used = 0, widest = 0;
  size_t lines = 1;
  while (*text != '\0') {
    size_t length = strcspn(text, " ");
    double width = word_width(text, length, em);
    if (wrap_mm > 0 && used > 0 && used + width > wrap_mm) {
      lines++;
      used = 0;
    }
    while (wrap_mm > 0 && width > wrap_mm) { /* a word longer than the line is broken */
      lines++;
      width -= wrap_mm;
    }
    used += width;
    widest = used > widest ? used : widest;
    text += length;
    for (; *text == ' '; text++)
      used += 0.5 * em;
  }
  if (wrap_mm == 0 && used > widest)
    widest = used;
  *width_mm = wrap_mm > 0 ? wrap_mm : widest;
  *height_mm = (double)lines * line;
  return BT_OK;
}

/* Bold words are as wide as the others. */
static bt_status measure_strong(void *context, bt_style style, const char *text,
                                const bt_strong *strong, size_t strong_n, double wrap_mm,
                                double *width_mm, double *height_mm, bt_error *error) {
  (void)strong;
  (void)strong_n;
  return measure(context, style, text, wrap_mm, width_mm, height_mm, error);
}

const bt_measure fixture_measure = {measure, NULL, measure_strong};
