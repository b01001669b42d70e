/* Self-test failures, which are rare: not their share but the days from one to the next. */
#include "report_sentences.h"

#include <stdio.h>

/* The last one came after one of the same day that failed. */
static void add_repeat(const bt_selftest *test, bt_text *out) {
  const bt_rare *rare = &test->rare;
  if (test->last_failed || rare->failed_at == NULL || rare->failures == 0)
    return;
  bt_time failed = rare->failed_at[rare->failures - 1];
  bt_civil first = bt_civil_of(failed), then = bt_civil_of(test->last_at);
  if (failed < test->last_at && bt_day_of(failed) == bt_day_of(test->last_at))
    bt_text_format(out, " at %02d:%02d, after a failure at %02d:%02d", then.hour, then.minute,
                   first.hour, first.minute);
}

void report_selftest_words(const bt_unit_study *unit, bt_text *out) {
  const bt_selftest *test = &unit->selftest;
  char date[REPORT_DATE_TEXT], passed[REPORT_NUMBER_TEXT], total[REPORT_NUMBER_TEXT];
  if (!test->logged) {
    bt_text_add(out, "not in the log");
    return;
  }
  if (test->total > 1)
    bt_text_format(out, "%s of %s passed on ", report_plain(test->passed, passed),
                   report_plain(test->total, total));
  else /* logged as a word, not as a count */
    bt_text_add(out, test->last_failed ? "failed on " : "passed on ");
  bt_text_add(out, report_short_date(test->last_at, date));
  add_repeat(test, out);
  if (test->last_failed && test->items != NULL && *test->items != '\0')
    bt_text_format(out, ", failed: %s", test->items);
  bt_text_add(out, "; ");
  report_count(out, test->failed, "failure", "failures");
  bt_text_add(out, " in ");
  report_count(out, test->n, "test", "tests");
  const bt_rare *rare = &test->rare;
  if (rare->failed_at != NULL && rare->failures > 0 && !test->last_failed)
    bt_text_format(out, ", %s%s", test->failed > 1 ? "the last on " : "on ",
                   report_short_date(rare->failed_at[rare->failures - 1], date));
}

/* Those before the last one, which is told before, by their days, the newest first; one of several
 * checks in a session is one failure. */
static void dates_sentence(const bt_rare *rare, bt_text *out) {
  enum { MOST_DATES = 6 };
  char date[REPORT_DATE_TEXT];
  size_t shown = rare->failures < MOST_DATES ? rare->failures : MOST_DATES;
  if (rare->failed_at == NULL || rare->failures < 2)
    return;
  bt_text_add(out, " Before that on ");
  for (size_t i = 1; i < shown; i++)
    bt_text_format(out, "%s%s", i == 1 ? "" : ", ",
                   report_short_date(rare->failed_at[rare->failures - 1 - i], date));
  if (rare->failures > shown) {
    bt_text_add(out, " and ");
    report_count(out, rare->failures - shown, "time", "times");
    bt_text_format(out, " before, the first on %s", report_short_date(rare->failed_at[0], date));
  }
  bt_text_add(out, ".");
}

static void add_days(double days, bt_text *out) {
  char number[REPORT_NUMBER_TEXT];
  (void)report_number(days, days < 9.95 ? 1 : 0, number);
  bt_text_format(out, "%s days", number);
}

static void gaps_sentence(const bt_rare *rare, bt_time until, bt_text *out) {
  char end[REPORT_DATE_TEXT];
  bt_text_add(out, " The last failure was ");
  if (rare->failed_at != NULL) /* by their dates, as all else on the page is counted */
    report_count(out,
                 (uint64_t)(bt_day_of(until - 1) - bt_day_of(rare->failed_at[rare->failures - 1])),
                 "day", "days");
  else
    add_days(rare->open_days, out);
  bt_text_format(out, " before %s", report_short_date(until - 1, end));
  if (rare->gaps_n == 0) {
    bt_text_add(out, ".");
    return;
  }
  bt_text_add(out, "; failures came ");
  add_days(rare->mean_days, out);
  if (rare->gaps_n == 1)
    bt_text_add(out, " apart.");
  else
    bt_text_format(out, " apart on average (%zu gaps).", rare->gaps_n);
  if (rare->last_is_short) {
    bt_text_add(out, " The last gap, ");
    add_days(rare->gap_days[rare->gaps_n - 1], out);
    bt_text_add(out, ", is shorter than chance would often give at the earlier rate (under ");
    add_days(rare->short_limit, out);
    bt_text_add(out, ").");
  }
}

/* A single look, said as one: the days are looked at every morning. */
static void trend_sentence(const bt_rare *rare, bt_text *out) {
  enum { FEWEST_GAPS = 4 };
  char p[REPORT_NUMBER_TEXT];
  if (rare->gaps_n < FEWEST_GAPS)
    return;
  (void)report_p(rare->trend_p, p);
  if (rare->trend_p < 0.05)
    bt_text_format(out, " They may be coming %s often than before (%s for a single look).",
                   rare->laplace_u > 0 ? "more" : "less", p);
  else
    bt_text_format(out, " Whether they come more or less often than before cannot be told (%s).",
                   p);
}

/* Which items failed stands in a table under it. */
void report_rare_words(const bt_unit_study *unit, bt_text *out) {
  const bt_rare *rare = &unit->selftest.rare;
  if (!unit->selftest.logged || rare->failures == 0)
    return;
  dates_sentence(rare, out);
  gaps_sentence(rare, unit->until, out);
  trend_sentence(rare, out);
}
