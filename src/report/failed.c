/* Checks that failed although the last one did not: the last check, which verdicts are of, says
 * nothing of them, whether a retest or only a later check passed. */
#include "report_drift.h"
#include "report_episodes.h"

static bool is_outside(const bt_study *of, size_t i) {
  return (of->checks.flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
}

bool report_failed_of(const bt_study *of, size_t check, report_retest *found) {
  if (of->characteristic == BT_TRACKER_VECTOR)
    return false;
  (void)report_retest_of(of, check, found);
  bool now = found->last + 1 == of->checks.n && is_outside(of, found->last);
  return found->first == check && !now && report_failing_check(of, found) != BT_NONE;
}

size_t report_failed_between(const bt_study *of, bt_time from, bt_time to, report_retest *newest) {
  size_t n = 0;
  report_retest found;
  for (size_t i = bt_series_from(&of->checks, from); i < of->checks.n && of->checks.at[i] < to; i++)
    if (report_failed_of(of, i, &found)) {
      *newest = found;
      n++;
    }
  return n;
}

void report_failed_words(const bt_study *of, const report_retest *found, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  size_t next = found->last + 1;
  bt_text_add(out, found->failed ? "" : "beyond its limits ");
  report_retest_at(of, found, out);
  if (!is_outside(of, found->last) || next >= of->checks.n)
    return;
  bt_text_format(out, "; the next check, of %s, %s tolerance (",
                 report_short_date(of->checks.at[next], date),
                 is_outside(of, next) ? "outside" : "inside");
  report_add_value(out, &of->quantity, of->checks.raw[next],
                   report_reading_decimals(of, of->checks.raw[next]));
  bt_text_add(out, ")");
}

/* "; 2 more of it failed": those of one characteristic beside the newest. */
static void add_more(size_t n, report_words *words) {
  if (n > 1)
    report_words_add(words, "; %zu more of it failed", n - 1);
}

static void add_checks(const bt_unit_study *unit, bt_time from, bt_time to, size_t *named,
                       report_words *words) {
  enum { MOST = 2 };
  size_t left = 0;
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    report_retest newest = {0};
    size_t n = report_failed_between(of, from, to, &newest);
    if (n == 0)
      continue;
    if (*named == MOST) {
      left++;
      continue;
    }
    report_words_add(words, *named == 0 ? " " : ". ");
    report_words_add(words, "%s ", of->quantity.title);
    report_failed_words(of, &newest, &words->text);
    add_more(n, words);
    ++*named;
  }
  if (left > 0)
    report_words_add(words, ". %zu more %s outside tolerance as well", left,
                     left == 1 ? "characteristic was" : "characteristics were");
}

/* "Self-test on 9 Sep 2026 (shutter), passed on 10 Sep 2026": by its own row of the log, since a
 * later failure may be the last. */
static void add_one_selftest(const bt_unit_study *unit, bt_time at, report_words *words) {
  const bt_history *history = &unit->history;
  char first[REPORT_DATE_TEXT], then[REPORT_DATE_TEXT];
  size_t row = report_selftest_failed_at(history, at);
  report_words_add(words, "Self-test on %s", report_short_moment(at, report_has_clock(at), first));
  if (row == BT_NONE)
    return;
  const char *items = report_selftest_items(history, row);
  size_t passed = report_selftest_passed_after(history, row);
  if (items != NULL && *items != '\0')
    report_words_add(words, " (%s)", items);
  if (passed != BT_NONE)
    report_words_add(
        words, ", passed on %s",
        report_short_moment(history->at[passed], report_has_clock(history->at[passed]), then));
}

/* The newest failure of the span; the one that the last self-test still is stands in the banner. */
static void add_selftest(const bt_unit_study *unit, bt_time from, bt_time to, size_t *named,
                         report_words *words) {
  const bt_selftest *test = &unit->selftest;
  const bt_rare *rare = &test->rare;
  size_t n = 0, all = rare->failed_at == NULL || !test->logged ? 0 : rare->failures;
  bt_time newest = 0;
  for (size_t i = 0; i < all; i++)
    if (rare->failed_at[i] >= from && rare->failed_at[i] < to &&
        !(test->last_failed && i + 1 == all)) {
      newest = rare->failed_at[i];
      n++;
    }
  if (n == 0)
    return;
  report_words_add(words, (*named)++ == 0 ? " " : ". ");
  add_one_selftest(unit, newest, words);
  add_more(n, words);
}

void report_lead_failed(const bt_unit_study *unit, bt_time from, bt_time to, report_words *words) {
  report_words told = {0};
  size_t named = 0;
  add_checks(unit, from, to, &named, &told);
  add_selftest(unit, from, to, &named, &told);
  if (named > 0) {
    report_words_bold(words, "Failed this month:");
    report_words_add(words, "%s.", bt_text_get(&told.text));
  }
  words->text.failed |= told.text.failed;
  report_words_free(&told);
}
