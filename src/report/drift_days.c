/* A list of days in words: one by one, or of many by the month. */
#include "report_drift.h"

void report_drift_days(const bt_time *day, size_t n, bt_text *out) {
  char text[REPORT_DATE_TEXT];
  for (size_t i = 0; i < n; i++) {
    bool last = i + 1 == n || bt_month_start(day[i + 1], 0) != bt_month_start(day[i], 0);
    if (last)
      bt_text_add(out, report_short_date(day[i], text));
    else
      bt_text_format(out, "%d", bt_civil_of(day[i]).day);
    bt_text_add(out, i + 1 == n ? "" : ", ");
  }
}

void report_drift_days_by_month(const bt_time *day, size_t n, bt_text *out) {
  char text[REPORT_DATE_TEXT];
  if (n <= REPORT_DAYS_ONE_BY_ONE) {
    report_drift_days(day, n, out);
    return;
  }
  size_t first = 0; /* of its month */
  for (size_t i = 0; i < n; i++) {
    if (i + 1 < n && bt_month_start(day[i + 1], 0) == bt_month_start(day[i], 0))
      continue;
    if (i > first)
      bt_text_format(out, "%zu from %d to ", i + 1 - first, bt_civil_of(day[first]).day);
    bt_text_format(out, "%s%s", report_short_date(day[i], text), i + 1 == n ? "" : ", ");
    first = i + 1;
  }
}
