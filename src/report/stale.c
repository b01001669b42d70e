/* A characteristic that nobody has read for long: its chart says nothing of today. */
#include "report_sentences.h"

bool report_is_told_current(const bt_unit_study *unit, const bt_study *of) {
  return !unit->current && unit->has_check && of->checks.n > 0 &&
         bt_day_of(of->checks.at[of->checks.n - 1]) == bt_day_of(unit->last_check);
}

void report_stale_words(const bt_unit_study *unit, const bt_study *of, bt_text *out) {
  char date[REPORT_DATE_TEXT], end[REPORT_DATE_TEXT];
  if (of->stale_days > 0)
    bt_text_format(out, "last reading %s, %lld days before %s",
                   report_short_date(of->checks.at[of->checks.n - 1], date),
                   (long long)of->stale_days, report_short_date(unit->until - 1, end));
}
