/* Failed self-tests of a case: how many in the answer of page 1, and a row of each in the list,
 * with what came of it. */
#include "report_case.h"

/* What came of it: the last self-test of the same day, or else the next one of a later day; what
 * `failed` says there is that row's. */
static void add_came(const bt_history *history, size_t row, bt_text *came) {
  size_t next = row;
  for (size_t i = row + 1; i < history->n; i++) {
    bool same_day = bt_day_of(history->at[i]) == bt_day_of(history->at[row]);
    if (!same_day && next != row)
      break;
    if (!report_is_selftest(history, i))
      continue;
    next = i;
    if (!same_day)
      break;
  }
  char when[REPORT_DATE_TEXT];
  bool same_day = bt_day_of(history->at[next]) == bt_day_of(history->at[row]);
  bt_civil clock = bt_civil_of(history->at[next]);
  if (next == row) {
    bt_text_add(came, "no test since");
    return;
  }
  if (!same_day)
    bt_text_format(came, "next test %s", report_short_date(history->at[next], when));
  else if (history->has_clock[next])
    bt_text_format(came, "repeated at %02d:%02d", clock.hour, clock.minute);
  else
    bt_text_add(came, "repeated that day");
  bt_text_add(came, report_selftest_is_failed(history, next) ? ": failed" : ": passed");
}

size_t report_case_selftests_failed(const bt_case *one, bt_time from, bt_time to) {
  const bt_history *history = &one->unit->history;
  size_t n = 0;
  for (size_t i = 0; i < history->n; i++)
    n += history->at[i] >= from && history->at[i] < to && report_selftest_is_failed(history, i);
  return n;
}

void report_case_selftest_words(const bt_case *one, bt_text *words) {
  const bt_history *history = &one->unit->history;
  size_t n = report_case_selftests_failed(one, one->from, one->to);
  char date[REPORT_DATE_TEXT];
  if (n == 0)
    return;
  for (size_t i = history->n; i > 0; i--)
    if (history->at[i - 1] >= one->from && history->at[i - 1] < one->to &&
        report_selftest_is_failed(history, i - 1)) {
      bt_text_format(words, " Self-test: %zu failed, %son %s.", n, n == 1 ? "" : "the last ",
                     report_short_date(history->at[i - 1], date));
      return;
    }
}

static void one_row(case_pages *on, size_t row) {
  const bt_history *history = &on->one->unit->history;
  const char *items = report_selftest_items(history, row);
  bt_text title = {0}, passed = {0}, came = {0}, line = {0};
  char when[REPORT_DATE_TEXT];
  bt_text_format(&title, "Self-test%s%s", items != NULL ? ": " : "", items != NULL ? items : "");
  if (report_selftest_is_counted(history, row))
    bt_text_format(&passed, "%.0f of %.0f passed",
                   history->reading[BT_READING_SELFTEST_PASSED][row],
                   history->reading[BT_READING_SELFTEST_TOTAL][row]);
  add_came(history, row, &came);
  report_case_line_words(on->one, history->at[row], history->source[row], history->line[row],
                         &line);
  const char *cells[REPORT_CASE_FAILED_COLUMNS] = {
      bt_text_get(&title),  report_short_moment(history->at[row], history->has_clock[row], when),
      bt_text_get(&passed), REPORT_DASH,
      bt_text_get(&came),   bt_text_get(&line)};
  report_case_failed_row(on, cells);
  report_text_end(on->builder, &title);
  report_text_end(on->builder, &passed);
  report_text_end(on->builder, &came);
  report_text_end(on->builder, &line);
}

void report_case_selftests(case_pages *on, size_t n) {
  const bt_case *one = on->one;
  const bt_history *history = &one->unit->history;
  size_t skip = n > REPORT_CASE_MOST_FAILED ? n - REPORT_CASE_MOST_FAILED : 0;
  report_case_left_out(on, "Self-test", skip,
                       "selftest_passed and selftest_failed of readings.csv");
  for (size_t i = 0; i < history->n; i++)
    if (history->at[i] >= one->begins && history->at[i] < one->to &&
        report_selftest_is_failed(history, i) && (skip == 0 || skip-- == 0))
      one_row(on, i);
}
