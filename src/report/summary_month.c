/* The lines under the table of the summary: the month's checks, retests and failures, the
 * self-test, drift, and how many false alarms are expected. */
#include "report_pages.h"

/* Days of the month with a check, and checks. */
static void month_words(const bt_unit_study *unit, bt_time month, bt_text *out) {
  bt_time from = bt_month_start(month, 0), to = bt_month_start(month, 1);
  size_t checks = 0, days = 0;
  int64_t day = 0;
  for (size_t i = 0; i < unit->history.n; i++) {
    if (unit->history.at[i] < from || unit->history.at[i] >= to)
      continue;
    days += checks == 0 || bt_day_of(unit->history.at[i]) != day;
    day = bt_day_of(unit->history.at[i]);
    checks++;
  }
  if (checks == 0) {
    bt_text_add(out, "none");
    return;
  }
  report_count(out, checks, "check", "checks");
  bt_text_add(out, " on ");
  report_count(out, days, "day", "days");
}

/* Else 349 judged beside 354 checks would look like a slip. */
static bool lacks_readings(const bt_unit_study *unit) {
  bool lacks = false;
  for (size_t i = 0; i < unit->studies_n; i++)
    lacks |= report_is_judged(unit->studies[i]) && unit->studies[i]->tolerance.judged > 0 &&
             unit->studies[i]->checks.n < unit->history.n;
  return lacks;
}

/* The days that failed, one line a characteristic; a single one stands in the table. */
static double failed_lines(report_builder *builder, const bt_unit_study *unit, bool terse,
                           double y) {
  const size_t most = terse ? 3 : 6; /* dates */
  bt_text words = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_text dates = {0};
    if (unit->studies[i]->tolerance.outside > 1)
      report_failed_dates(unit->studies[i], most, &dates);
    if (!bt_text_empty(&dates)) {
      bt_text_clear(&words);
      bt_text_format(&words, "%s: %s", unit->studies[i]->quantity.title, bt_text_get(&dates));
      y = report_summary_line(builder, y, "Outside tolerance", bt_text_get(&words));
    }
    report_text_pass(&dates, &words);
  }
  report_text_end(builder, &words);
  return y;
}

/* The month's checks that were repeated at once, one line a characteristic. */
static double retest_lines(report_builder *builder, const bt_unit_study *unit, bt_time month,
                           bool terse, double y) {
  bt_text words = {0}, told = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_text_clear(&told);
    report_retests_between(unit->studies[i], bt_month_start(month, 0), bt_month_start(month, 1),
                           terse ? 1 : 2, &told);
    if (bt_text_empty(&told))
      continue;
    bt_text_clear(&words);
    bt_text_format(&words, "%s: %s", unit->studies[i]->quantity.title, bt_text_get(&told));
    y = report_summary_line(builder, y, "Retests", bt_text_get(&words));
  }
  report_text_end(builder, &words);
  report_text_end(builder, &told);
  return y;
}

double report_summary_month(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, size_t most, bool terse, double y) {
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  month_words(unit, request->month, &words);
  if (unit->has_check)
    bt_text_format(&words, "; the last check in the log is of %s",
                   report_short_date(unit->last_check, date));
  else
    bt_text_add(&words, "; the log holds no check up to then");
  if (unit->current) /* else the page opens with it */
    report_check_ago(unit, false, &words);
  if (lacks_readings(unit))
    bt_text_format(&words, "; not each of its %zu checks holds every reading", unit->history.n);
  y = report_summary_line(builder, y, "Checks this month", bt_text_get(&words));
  y = retest_lines(builder, unit, request->month, terse, y);
  y = failed_lines(builder, unit, terse, y);
  bt_text_clear(&words);
  report_selftest_words(unit, &words);
  y = report_summary_line(builder, y, "Self-test", bt_text_get(&words));
  bt_text_clear(&words);
  report_pattern_words(unit, bt_month_start(request->month, 0), bt_month_start(request->month, 1),
                       &words);
  if (!bt_text_empty(&words) && report_pattern_varies(unit))
    y = report_summary_line(builder, y, "Test pattern", bt_text_get(&words));
  bt_text_clear(&words);
  y = report_summary_drift_lines(builder, unit, most, terse, y);
  report_alarm_words(unit, &words);
  y = report_summary_line(builder, y, "False alarms", bt_text_get(&words));
  report_text_end(builder, &words);
  return y;
}
