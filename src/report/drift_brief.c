/* A drift as a line among others, with its days where it has a forecast, and with what its chart
 * has open beside “no change”. */
#include "report_drift.h"

static bool is_open_unchanged(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && !drift->moved.changed &&
         bt_study_open_strength(drift->study) != BT_QUIET;
}

void report_drift_brief(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  size_t before = out->length;
  if (report_drift_is_ahead(drift)) /* what drifts has its days wherever it is told */
    report_drift_headline(unit, drift, false, out);
  if (out->length == before)
    report_drift_short(unit, drift, out);
  if (is_open_unchanged(drift))
    bt_text_format(out, "; its chart has %s open all the same",
                   bt_study_open_strength(drift->study) == BT_ALARM ? "an alarm" : "a notice");
  bt_text_add(out, ".");
}

bool report_drift_both(const bt_unit_drift *all, bt_text *out) {
  bool any = false;
  for (size_t i = 0; i < all->n; i++)
    any = any || is_open_unchanged(&all->drift[i]);
  if (any)
    bt_text_add(out, "A signal that is open and no change shown can both be true: a chart asks "
                     "whether points stand out of the baseline’s scatter, the look for drift "
                     "whether the level changed for good.");
  return any;
}
