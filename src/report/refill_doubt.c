/* Two signs that refills stand otherwise in the log than they were, in a sentence that asks. */
#include "report_drift.h"

#include <math.h>

bool report_refill_doubt(const bt_drift *drift, bt_text *out) {
  const bt_slope *slope = &drift->refill_doubt.slope;
  char t[REPORT_NUMBER_TEXT];
  if (!drift->refill_doubt.wrong_side)
    return false;
  bt_text_format(out, "%s %s with the age of the gas (", drift->study->quantity.title,
                 slope->per_day > 0 ? "rises" : "falls");
  report_drift_rate(drift, slope->per_day, slope->low, slope->high, "a day", 1, out);
  bt_text_format(out,
                 ", %s standard errors), where gas that ages loses: is “before” or “after” of the "
                 "refills right in the column map? If not, correct it, and read the log anew: "
                 "“beamtally import --again”.",
                 report_number(fabs(slope->t), 1, t));
  return true;
}

bool report_refills_missing(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  const bt_refill_doubt *doubt = &drift->refill_doubt;
  char days[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT], day[REPORT_DATE_TEXT];
  if (!doubt->missing)
    return false;
  bt_text_format(out,
                 "On %s the gas would be %s days old, where a refill comes about every %s days: "
                 "refills may be missing from the log, and ages be too high.",
                 report_short_date(report_drift_time(doubt->day), day),
                 report_number(doubt->age_days, 0, days),
                 report_plain(round(10 * unit->fills.interval_days) / 10, other));
  return true;
}
