/* What the record of a case holds, and what it lacks. */
#include "report_case.h"

static size_t retests_of(const bt_case *one) {
  size_t n = 0;
  for (size_t s = 0; s < one->unit->studies_n; s++) {
    const bt_series *checks = &one->unit->studies[s]->checks;
    size_t here = 0;
    for (size_t i = bt_series_from(checks, one->begins); i < checks->n; i++)
      here += (checks->flags[i] & BT_POINT_RETEST) != 0;
    n = here > n ? here : n;
  }
  return n;
}

/* Checks of the folder that no log has: typed in, or corrected. */
static size_t typed_of(const bt_case *one) {
  const bt_history *history = &one->unit->history;
  size_t n = 0;
  for (size_t i = 0; i < history->n; i++)
    n += history->at[i] >= one->begins && history->at[i] < one->to && history->line[i] <= 0;
  return n;
}

/* Where the span goes on past the last check, or the ledger was written to long after it. */
static void no_check_after(const bt_case *one, bt_text *words) {
  const bt_history *history = &one->unit->history;
  char date[REPORT_DATE_TEXT];
  bt_text ago = {0};
  report_check_ago(one->unit, false, &ago);
  if (history->n > 0 &&
      (!bt_text_empty(&ago) || (bt_day_of(history->at[history->n - 1]) + 1) * BT_DAY < one->to))
    bt_text_format(words, "The last check of the log up to then is of %s%s. ",
                   report_short_date(history->at[history->n - 1], date), bt_text_get(&ago));
  report_text_pass(&ago, words);
}

void report_case_record(const bt_case *one, bt_text *words) {
  const bt_provenance *from = &one->unit->provenance;
  char period[REPORT_DATE_TEXT];
  size_t typed = typed_of(one);
  bt_text_add(words, "The whole log of this laser: ");
  report_provenance_words(one->unit, words);
  bt_text_format(words, " The folder has its checks of %s. ",
                 report_short_period(one->begins, one->to - 1, period));
  no_check_after(one, words);
  if (one->unit->settings.weekdays == 0)
    bt_text_add(words, "The clinic’s schedule is not entered, so missing days are not known. ");
  else {
    report_count(words, one->missing_n, "day", "days");
    bt_text_format(
        words, " of the clinic’s schedule without a check (missing.csv)%s. ",
        one->missing_n > 0 && from->refused > 0 ? "; refused lines may be of some of these" : "");
  }
  size_t retests = retests_of(one);
  if (retests == 0)
    bt_text_add(words, "No retest among these checks. ");
  else {
    report_count(words, retests, "retest", "retests");
    bt_text_add(words, " among them (of the quantity with the most), which no point is made of. ");
  }
  if (from->refused > 0)
    bt_text_add(words, "Refused lines: refused_lines.csv. ");
  if (from->conflicts > 0)
    bt_text_add(words, "Rows held back: held_back.csv. ");
  if (from->corrections > 0)
    bt_text_add(words, "Corrections: superseded_checks.csv and superseded_events.csv. ");
  bt_text_add(words,
              "Signals are dated by their checks, whenever the log was imported (sources.csv). ");
  bt_text_add(words, "Every row of checks.csv names its line of the clinic’s log");
  if (typed > 0) {
    bt_text_add(words, ", but for ");
    report_count(words, typed, "check", "checks");
    bt_text_add(words, " typed in or corrected by hand");
  }
  bt_text_add(
      words,
      ". README.txt says how to find points, limits and signals again without Beamtally; what the "
      "words on changes and forecasts rest on, the method at the end.");
}
