/* How far something lies from the centre, in words. */
#include "report_sentences.h"

/* "-0.0051" in the unit; for a ratio in per cent, which is the same number read aloud. */
void report_add_size(const bt_study *of, double size, bt_text *out) {
  char number[REPORT_NUMBER_TEXT];
  const bt_segment *segment = bt_study_now(of);
  double sigma = segment != NULL ? segment->chart.sigma : 0;
  if (of->characteristic == BT_ENERGY_RATIO)
    bt_text_format(out, "%s" REPORT_JOIN "%%",
                   report_signed(100 * size, report_digits(1, 100 * sigma, 1), number));
  else {
    bt_text_add(out, report_signed(size, report_decimals(&of->quantity, sigma), number));
    report_add_unit(out, &of->quantity);
  }
}
