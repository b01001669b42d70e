/* What a forecast is of, in words: a check that fails, and one that failed already. */
#include "report_drift.h"

bool report_drift_failed(const bt_drift *drift, bool brief, bool opens, bt_text *out) {
  const bt_study *of = drift->study;
  char day[REPORT_DATE_TEXT];
  if (!report_drift_is_changed(drift) || drift->failed_n == 0)
    return false;
  size_t first = drift->first_failed;
  if (drift->failed_n == 1)
    bt_text_format(out, "%s check failed already, on %s", opens ? "A" : "a",
                   report_short_date(of->checks.at[first], day));
  else
    bt_text_format(out, "%zu checks failed already, the first on %s", drift->failed_n,
                   report_short_date(of->checks.at[first], day));
  if (brief)
    return true;
  bt_text_add(out, " (");
  report_add_value(out, &of->quantity, of->checks.raw[first],
                   report_reading_decimals(of, of->checks.raw[first]));
  bt_text_format(out, "%s)", report_retest_brief(of, first));
  return true;
}

void report_drift_failing(const bt_drift *drift, bt_text *out) {
  char limit[REPORT_NUMBER_TEXT];
  bt_text_format(out, "%s %s %s",
                 drift->failed_n > 0 && report_drift_is_changed(drift) ? "another one" : "a check",
                 drift->forecast.side == BT_LOW ? "below" : "above",
                 report_plain(drift->forecast.limit, limit));
  report_add_unit(out, &drift->study->quantity);
  bt_text_add(out, report_end_of_fill(drift));
}
