/* The first of "What it shows.": which checks are inside tolerance, and how far the last one is
 * from its limit. */
#include "report_sentences.h"

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
  if (tolerance->now == NULL && tolerance->judged == 0 && tolerance->to_come != NULL) {
    report_words_add(words, "The tolerance begins on %s, so no check is judged against it yet.",
                     report_short_date(tolerance->to_come->from, date));
    return;
  }
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

static bool is_same(const bt_tolerance *a, const bt_tolerance *b) {
  return a != NULL && b != NULL && a->from == b->from;
}

/* Where checks shown were judged by another tolerance than the newest, whose lines the chart has.
 */
static void older_tolerances(const bt_unit_study *unit, const bt_study *of, bt_time from,
                             bt_time to, report_words *words) {
  size_t first = 0, end = 0, next;
  char period[REPORT_DATE_TEXT];
  report_between(&of->checks, from, to, &first, &end);
  for (size_t i = first; i < end; i = next) {
    const bt_tolerance *here = bt_settings_tolerance(&unit->settings, unit->history.unit,
                                                     of->characteristic, of->checks.at[i]);
    for (next = i + 1; next < end; next++) {
      const bt_tolerance *then = bt_settings_tolerance(&unit->settings, unit->history.unit,
                                                       of->characteristic, of->checks.at[next]);
      if (then != here && !is_same(then, here))
        break;
    }
    if (here == NULL || is_same(here, of->tolerance.now))
      continue;
    bt_text range = {0};
    report_tolerance_range(here, &of->quantity, &range);
    report_words_next(words);
    report_words_add(words,
                     "The checks of %s were judged by the tolerance then in force, %s; the "
                     "chart draws the newest.",
                     report_short_period(of->checks.at[i], of->checks.at[next - 1], period),
                     bt_text_get(&range));
    report_text_pass(&range, &words->text);
  }
}

void report_tolerance_in_days(const bt_unit_study *unit, const bt_study *of, bt_time from,
                              bt_time to, report_words *words) {
  report_tolerance_counts counts = report_count_tolerance(unit, of, from, to);
  char date[REPORT_DATE_TEXT];
  if (!report_may_have_tolerance(of))
    return;
  if (counts.judged == 0) {
    report_words_add(words, "No tolerance was in force on the days shown.");
    return;
  }
  const char *checks = counts.judged == 1 ? "check" : "checks";
  if (counts.outside == 0 && counts.checks == 1)
    report_words_add(words, "The one check shown");
  else if (counts.outside == 0)
    report_words_add(words, "None of the %zu %s shown", counts.judged, checks);
  else
    report_words_bold(words, "%zu of the %zu %s", counts.outside, counts.judged, checks);
  report_words_add(words, "%s%s", counts.outside == 0 ? "" : " shown",
                   counts.judged < counts.checks ? " that were made under a tolerance" : "");
  if (counts.outside == 0 && counts.checks == 1)
    report_words_add(words, " is inside tolerance");
  else
    report_words_add(words, " %s outside tolerance", counts.outside <= 1 ? "is" : "are");
  if (counts.outside > 0)
    report_words_add(words, "%s on %s", counts.outside == 1 ? "," : ", the last",
                     report_short_date(of->checks.at[counts.last], date));
  report_words_add(words, ".");
  older_tolerances(unit, of, from, to, words);
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
