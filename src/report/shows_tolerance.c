/* The first of "What it shows.": which checks are inside tolerance, and how far the last one is
 * from its limit. */
#include "report_room.h"

#include <stdio.h>

/* Which checks were judged: those before the first tolerance came into force were not. */
static void judged_among(const bt_study *of, char *buffer, size_t size) {
  if (of->tolerance.judged < of->checks.n)
    (void)snprintf(buffer, size, "made under a tolerance (of %zu in the log)", of->checks.n);
  else
    (void)snprintf(buffer, size, "in the log");
}

static void last_is_outside(const bt_study *of, report_words *words) {
  size_t last = of->tolerance.last_outside;
  char date[REPORT_DATE_TEXT];
  report_words_bold(words, "The last check is outside tolerance");
  if (last >= of->checks.n)
    return;
  bt_text value = {0};
  report_add_value(&value, &of->quantity, of->checks.raw[last],
                   report_reading_decimals(of, of->checks.raw[last]));
  report_words_add(words, " (%s on %s)", bt_text_get(&value),
                   report_short_date(of->checks.at[last], date));
  report_text_pass(&value, &words->text);
}

static void tolerance_sentence(const bt_study *of, report_words *words) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  char date[REPORT_DATE_TEXT];
  if (!report_may_have_tolerance(of))
    return;
  if (tolerance->now == NULL && tolerance->judged == 0) {
    report_words_add(words, "No tolerance is entered, so no check is judged against one.");
    return;
  }
  if (tolerance->judged == 0) {
    report_words_add(words, "No check has been judged against the tolerance yet.");
    return;
  }
  char among[128];
  judged_among(of, among, sizeof among);
  if (tolerance->outside == 0) {
    if (tolerance->judged == 1)
      report_words_add(words, "The one check %s is inside tolerance.", among);
    else
      report_words_add(words, "All %zu checks %s are inside tolerance.", tolerance->judged, among);
    return;
  }
  bool dated = tolerance->last_outside < of->checks.n;
  if (tolerance->last_is_outside) {
    last_is_outside(of, words);
    report_words_add(words, "; in all, %zu of %zu %s %s.", tolerance->outside, tolerance->judged,
                     tolerance->judged == 1 ? "check" : "checks", among);
    return;
  }
  report_words_bold(words, "%zu of %zu checks", tolerance->outside, tolerance->judged);
  report_words_add(words, " %s %s outside tolerance", among,
                   tolerance->outside == 1 ? "is" : "are");
  if (dated)
    report_words_add(words, "%s on %s", tolerance->outside == 1 ? "," : ", the last",
                     report_short_date(of->checks.at[tolerance->last_outside], date));
  report_words_add(words, ".");
}

/* How far the last check is from the limit that it is nearer to. */
static void margin_sentence(const bt_study *of, report_words *words) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  size_t n = of->checks.n;
  if (!report_is_judged(of) || tolerance->now == NULL || tolerance->judged == 0 ||
      tolerance->last_is_outside || !(tolerance->margin > 0) || n == 0)
    return;
  bool low = tolerance->to_limit < 0;
  int decimals = report_reading_decimals(of, of->checks.raw[n - 1]);
  bt_text value = {0}, margin = {0}, limit = {0};
  report_add_value(&value, &of->quantity, of->checks.raw[n - 1], decimals);
  report_add_value(&margin, &of->quantity, tolerance->margin, decimals);
  report_add_value(&limit, &of->quantity, low ? tolerance->now->low : tolerance->now->high,
                   decimals);
  report_words_next(words);
  report_words_add(words, "The last, %s%s, is %s %s the %s limit %s.", bt_text_get(&value),
                   of->adjusted ? " as measured" : "", bt_text_get(&margin),
                   low ? "above" : "below", low ? "low" : "high", bt_text_get(&limit));
  report_text_pass(&value, &words->text);
  report_text_pass(&margin, &words->text);
  report_text_pass(&limit, &words->text);
}

void report_tolerance_sentences(const bt_unit_study *unit, const bt_study *of, report_speaks speaks,
                                bt_time from, bt_time to, report_words *words) {
  if (speaks == REPORT_SPEAKS_OF_LOG)
    tolerance_sentence(of, words);
  else {
    if (of->tolerance.last_is_outside && report_may_have_tolerance(of)) {
      last_is_outside(of, words);
      report_words_add(words, ". ");
    }
    report_tolerance_in_days(unit, of, from, to, words);
  }
  margin_sentence(of, words);
}
