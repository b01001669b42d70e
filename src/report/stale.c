/* A characteristic that nobody has read for long: its chart says nothing of today. */
#include "report_sentences.h"

/* Some are read once a week: after two missed weeks nobody means it. Our own choice, no source. */
enum { LEAST_STALE_DAYS = 15 };

int64_t report_stale_days(const bt_unit_study *unit, const bt_study *of) {
  if (of->checks.n == 0)
    return 0;
  int64_t days = bt_day_of(unit->until - 1) - bt_day_of(of->checks.at[of->checks.n - 1]);
  return days >= LEAST_STALE_DAYS && (double)days > unit->expected_days ? days : 0;
}

bool report_is_told_current(const bt_unit_study *unit, const bt_study *of) {
  return !unit->current && unit->has_check && of->checks.n > 0 &&
         bt_day_of(of->checks.at[of->checks.n - 1]) == bt_day_of(unit->last_check);
}

void report_stale_words(const bt_unit_study *unit, const bt_study *of, bt_text *out) {
  char date[REPORT_DATE_TEXT], end[REPORT_DATE_TEXT];
  int64_t days = report_stale_days(unit, of);
  if (days > 0)
    bt_text_format(out, "last reading %s, %lld days before %s",
                   report_short_date(of->checks.at[of->checks.n - 1], date), (long long)days,
                   report_short_date(unit->until - 1, end));
}
