/* What a change of the fluence is worth, by the blow-off model: an aid to judge its importance. */
#include "report_drift.h"

void report_dioptre_words(const bt_dioptres *of, const char *threshold, bt_text *out) {
  char from[REPORT_NUMBER_TEXT], to[REPORT_NUMBER_TEXT], by[REPORT_NUMBER_TEXT];
  bt_text_format(
      out, "%s to %s mJ/cm², by the blow-off model for a %s spot%s %.0f (%.0f to %.0f) mJ/cm²:",
      report_number(of->from, 1, from), report_number(of->to, 1, to),
      of->beam == BT_BEAM_GAUSSIAN ? "Gaussian" : "flat-top", threshold, of->threshold,
      of->threshold_low, of->threshold_high);
  for (size_t k = 0; k < BT_DIOPTRE_ROWS; k++) {
    const bt_dioptre_row *row = &of->row[k];
    bt_text_format(out, " at %.0f D %s D (%s to %s)%s", row->correction,
                   report_signed(row->change, 2, by), report_signed(row->low, 2, from),
                   report_signed(row->high, 2, to), k + 1 < BT_DIOPTRE_ROWS ? "," : ".");
  }
}
