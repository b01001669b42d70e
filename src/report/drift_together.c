/* Two losses side by side: which lost how much in the same days. */
#include "report_drift.h"

#include <math.h>

static bool is_loss(const bt_drift *drift) {
  return drift != NULL && report_drift_is_changed(drift) && drift->moved.sign < 0 &&
         drift->gone_per_cent != 0;
}

/* Up to its onset each stood where it was before, so that from the earlier onset on both have lost
 * what they lost in all, where both were looked at since then. */
void report_drift_together(const bt_unit_study *unit, bt_text *out) {
  const bt_drift *energy = bt_unit_drift_of(unit->drift, BT_ENERGY_RATIO);
  const bt_drift *fluence = bt_unit_drift_of(unit->drift, BT_FLUENCE);
  char day[REPORT_DATE_TEXT], one[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT];
  if (!is_loss(energy) || !is_loss(fluence))
    return;
  double onset = fmin(energy->change.day, fluence->change.day);
  bt_time first = report_drift_time(onset) + BT_DAY;
  if (energy->window.from >= first || fluence->window.from >= first)
    return;
  bt_text_format(out,
                 "Side by side, since %s, of what each was before: %s %s" REPORT_JOIN "%%, %s "
                 "%s" REPORT_JOIN "%%.",
                 report_drift_date(onset, day), energy->study->quantity.title,
                 report_signed(energy->gone_per_cent, 1, one), fluence->study->quantity.title,
                 report_signed(fluence->gone_per_cent, 1, other));
}
