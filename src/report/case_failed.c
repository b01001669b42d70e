/* Checks of a case that failed: the answer of page 1, and a list of each with its line of the log.
 * The folder's rows begin before the case's days, and so does the list. */
#include "report_case.h"

static bool is_outside(const bt_study *of, size_t check) {
  return (of->checks.flags[check] & BT_POINT_OUT_OF_TOLERANCE) != 0;
}

/* ---- In words -------------------------------------------------------------------------------- */

typedef struct outside {
  size_t n, retests, last;
} outside;

static outside count(const bt_study *of, bt_time from, bt_time to) {
  outside found = {0};
  for (size_t i = bt_series_from(&of->checks, from); i < of->checks.n && of->checks.at[i] < to; i++)
    if (is_outside(of, i)) {
      found.n++;
      found.last = i;
      found.retests += (of->checks.flags[i] & BT_POINT_RETEST) != 0;
    }
  return found;
}

/* "Pulse-energy ratio: 2 checks outside, the last on 11 Nov 2025; of these, 1 is a retest" */
static void count_words(const bt_study *of, const outside *found, bt_text *words) {
  char date[REPORT_DATE_TEXT];
  bt_text_format(words, "%s: ", of->quantity.title);
  report_count(words, found->n, "check", "checks");
  bt_text_format(words, " outside, %son %s", found->n == 1 ? "" : "the last ",
                 report_short_date(of->checks.at[found->last], date));
  if (found->retests > 0)
    bt_text_format(words, "; of these, %zu %s", found->retests,
                   found->retests == 1 ? "is a retest" : "are retests");
  bt_text_add(words, ".");
}

void report_case_outside(const bt_case *one, bt_text *words) {
  const bt_unit_study *unit = one->unit;
  size_t judged = 0, before = 0;
  for (size_t s = 0; s < unit->studies_n; s++) {
    outside found = count(unit->studies[s], one->from, one->to);
    judged += report_count_tolerance(unit, unit->studies[s], one->from, one->to).judged;
    if (found.n == 0)
      continue;
    report_case_sentence(words);
    count_words(unit->studies[s], &found, words);
  }
  if (words->length == 0)
    bt_text_add(words, judged > 0
                           ? "No check of the span is outside a tolerance that was entered."
                           : "None was in force in these days, so no check is judged against one.");
  report_case_selftest_words(one, words);
  for (size_t s = 0; s < unit->studies_n; s++) {
    outside found = count(unit->studies[s], one->begins, one->from);
    if (found.n == 0)
      continue;
    bt_text_add(words, before++ == 0 ? " Before these days, in the folder’s rows: " : " ");
    count_words(unit->studies[s], &found, words);
  }
}

/* ---- The list -------------------------------------------------------------------------------- */

enum { COLUMNS = REPORT_CASE_FAILED_COLUMNS, MOST = REPORT_CASE_MOST_FAILED };

static void check_row(case_pages *on, const bt_study *of, size_t i) {
  const bt_series *checks = &of->checks;
  const bt_tolerance *tolerance = bt_settings_tolerance(
      &on->one->unit->settings, on->one->unit->history.unit, of->characteristic, checks->at[i]);
  bool is_retest = (checks->flags[i] & BT_POINT_RETEST) != 0;
  char when[REPORT_DATE_TEXT];
  bt_text reading = {0}, range = {0}, came = {0}, line = {0};
  report_retest repeat;
  report_add_value(&reading, &of->quantity, checks->raw[i],
                   report_reading_decimals(of, checks->raw[i]));
  if (tolerance != NULL)
    report_tolerance_range(tolerance, &of->quantity, &range);
  if (is_retest)
    bt_text_add(&came, "is itself a retest");
  else if (report_retest_of(of, i, &repeat)) {
    bt_text_add(&came, is_outside(of, repeat.last) ? "retest outside: " : "retest inside: ");
    report_add_value(&came, &of->quantity, checks->raw[repeat.last],
                     report_reading_decimals(of, checks->raw[repeat.last]));
  } else
    bt_text_add(&came, "not repeated at once");
  report_case_line_words(on->one, checks->at[i], checks->source[i], checks->line[i], &line);
  const char *cells[COLUMNS] = {
      of->quantity.title,
      report_short_moment(checks->at[i], (checks->flags[i] & BT_POINT_NO_CLOCK) == 0, when),
      bt_text_get(&reading),
      bt_text_get(&range),
      bt_text_get(&came),
      bt_text_get(&line)};
  report_case_failed_row(on, cells);
  report_text_end(on->builder, &reading);
  report_text_end(on->builder, &range);
  report_text_end(on->builder, &came);
  report_text_end(on->builder, &line);
}

/* The latest MOST of them, in order of time. */
static void checks_of(case_pages *on, const bt_study *of) {
  const bt_case *one = on->one;
  size_t n = count(of, one->begins, one->to).n, skip = n > MOST ? n - MOST : 0;
  report_case_left_out(on, of->quantity.title, skip,
                       "reading, tolerance_low and tolerance_high of checks.csv");
  for (size_t i = bt_series_from(&of->checks, one->begins);
       i < of->checks.n && of->checks.at[i] < one->to; i++)
    if (is_outside(of, i) && (skip == 0 || skip-- == 0))
      check_row(on, of, i);
}

void report_case_failed(case_pages *on) {
  const bt_case *one = on->one;
  size_t checks = 0, tests = report_case_selftests_failed(one, one->begins, one->to);
  char period[REPORT_DATE_TEXT], from[REPORT_DATE_TEXT];
  bt_text words = {0};
  for (size_t s = 0; s < one->unit->studies_n; s++)
    checks += count(one->unit->studies[s], one->begins, one->to).n;
  if (checks + tests == 0)
    return;
  report_case_section(on, "Checks outside tolerance, and failed self-tests");
  bt_text_format(&words, "Of the folder’s rows, %s; the days of this case begin on %s.",
                 report_short_period(one->begins, one->to - 1, period),
                 report_short_date(one->from, from));
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(on->builder, &words);
  report_case_failed_head(on);
  for (size_t s = 0; s < one->unit->studies_n; s++)
    checks_of(on, one->unit->studies[s]);
  report_case_selftests(on, tests);
}
