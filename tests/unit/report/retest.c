/* A check that was repeated at once is told with both readings, on the page and on the screen, and
 * each word of it is true of the flags. */
#include "made_drift.h"
#include "report_episodes.h"
#include "report_sentences.h"
#include "report_table.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { R = BT_POINT_RETEST, F = BT_POINT_OUT_OF_TOLERANCE };

typedef struct morning {
  uint16_t first, second, third; /* flags of the last three checks */
  const char *words;             /* of the last one's group; NULL: there is none */
  const char *brief, *told;
} morning;

static const morning mornings[] = {
    {0, F, R, "failed at 07:50 on 28 Sep 2026 (0.9410), retest at 08:05 inside tolerance (0.9980)",
     "; retest inside", ", a retest at 08:05: the check at 07:50 failed (0.9410)"},
    {0, F, R | F,
     "failed at 07:50 on 28 Sep 2026 (0.9410), retest at 08:05 outside tolerance as well (0.9980)",
     "; retest outside", ", a retest at 08:05: the check at 07:50 failed (0.9410)"},
    {F, R | F, R,
     "failed at 07:40 on 28 Sep 2026 (0.9300), 2 retests, the last at 08:05 inside tolerance "
     "(0.9980)",
     "; retest inside", ", a retest at 08:05: the check at 07:40 failed (0.9300)"},
    {0, 0, R, "beyond its limits at 07:50 on 28 Sep 2026 (0.9410), retest at 08:05 (0.9980)", "",
     ", a retest at 08:05: the check at 07:50 lay beyond the limits (0.9410)"},
    {0, 0, R | F,
     "beyond its limits at 07:50 on 28 Sep 2026 (0.9410), retest at 08:05 failed (0.9980)", "",
     ", a retest at 08:05: the check at 07:50 lay beyond the limits (0.9410)"},
    {0, R | F, R,
     "beyond its limits at 07:40 on 28 Sep 2026 (0.9300), retest at 07:50 failed (0.9410), the last "
     "at 08:05 inside tolerance (0.9980)",
     "", ", a retest at 08:05: the check at 07:40 lay beyond the limits (0.9300)"},
    {0, R | F, R | F,
     "beyond its limits at 07:40 on 28 Sep 2026 (0.9300), retest at 07:50 failed (0.9410), the last "
     "at 08:05 as well (0.9980)",
     "", ", a retest at 08:05: the check at 07:40 lay beyond the limits (0.9300)"},
    {0, R, 0, NULL, "", ""},
    {0, 0, F, NULL, "", ""}};

/* The last three checks are of one morning, on the day after the others. */
static void make(bt_study *of, const morning *one) {
  size_t n = of->checks.n;
  static const int minutes[] = {460, 470, 485};
  static const double raw[] = {0.93, 0.941, 0.998};
  const uint16_t flags[] = {one->first, one->second, one->third};
  bt_time day = (bt_day_of(of->checks.at[n - 1]) + 1) * BT_DAY;
  for (size_t k = 0; k < 3; k++) {
    of->checks.at[n - 3 + k] = day + (bt_time)minutes[k] * 60;
    of->checks.raw[n - 3 + k] = raw[k];
    of->checks.flags[n - 3 + k] = flags[k];
  }
}

Test(retest, is_told_as_its_flags_have_it) {
  for (size_t i = 0; i < sizeof mornings / sizeof *mornings; i++) {
    bt_report_request request;
    bt_unit_study *unit = made_drift(false, &request);
    bt_study *of = unit->studies[0];
    make(of, &mornings[i]);
    report_retest found;
    bt_text words = {0};
    bool any = report_retest_of(of, of->checks.n - 1, &found);
    cr_expect_eq(any, mornings[i].words != NULL, "morning %zu", i);
    if (any && mornings[i].words != NULL) {
      report_retest_words(of, &found, &words);
      cr_expect_str_eq(bt_text_get(&words), mornings[i].words, "morning %zu: %s", i,
                       bt_text_get(&words));
    }
    cr_expect_str_eq(report_retest_brief(of, of->checks.n - 1), mornings[i].brief, "morning %zu",
                     i);
    bt_text_clear(&words);
    report_retest_told(of, &words);
    cr_expect_str_eq(bt_text_get(&words), mornings[i].told, "morning %zu: %s", i,
                     bt_text_get(&words));
    bt_text_free(&words);
    bt_unit_study_free(unit);
  }
}

/* The month's line has all of them, the newest first, and those of other months stay out. */
Test(retest, of_a_month_are_all_told_or_counted) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  bt_text words = {0};
  for (size_t i = 0; i < n; i++)
    of->checks.flags[i] = 0;
  report_retests_between(of, of->checks.at[0], unit->until, 2, &words);
  cr_expect_str_eq(bt_text_get(&words), "");
  for (size_t i = n - 8; i < n; i += 2) { /* four pairs */
    of->checks.flags[i] = 0;
    of->checks.flags[i + 1] = R;
  }
  report_retests_between(of, of->checks.at[0], unit->until, 2, &words);
  cr_expect_eq(count_of(bt_text_get(&words), "beyond its limits at"), 2, "%s", bt_text_get(&words));
  must_say(bt_text_get(&words), "; and 2 more this month");
  bt_text_clear(&words);
  report_retests_between(of, of->checks.at[n - 4], unit->until, 2, &words);
  cr_expect_eq(count_of(bt_text_get(&words), "beyond its limits at"), 2, "%s", bt_text_get(&words));
  cr_expect_null(strstr(bt_text_get(&words), "more this month"), "%s", bt_text_get(&words));
  bt_text_clear(&words);
  report_retests_between(of, of->checks.at[0] - 40 * BT_DAY, of->checks.at[n - 8], 2, &words);
  cr_expect_str_eq(bt_text_get(&words), "");
  bt_text_clear(&words);
  of->checks.flags[n - 4] = F; /* leads the page */
  report_retests_between(of, of->checks.at[n - 4], unit->until, 2, &words);
  cr_expect_eq(count_of(bt_text_get(&words), "limits at"), 1, "%s", bt_text_get(&words));
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* The row and the paragraphs; and the screen, which has it once, and as a step. */
Test(retest, stands_on_the_first_page_and_the_screen) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  of->checks.at[n - 2] = of->checks.at[n - 1] - 900;
  of->checks.flags[n - 2] = F;
  of->checks.flags[n - 1] = R;
  of->tolerance.outside = 1;
  of->tolerance.judged = n;
  of->tolerance.last_outside = n - 2;
  of->tolerance.last_is_outside = false;
  cr_assert_not_null(of->tolerance.now);
  bt_document document;
  bt_error error;
  bt_text page = {0}, screen = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t i = 0; i < document.pages[0].texts_n; i++)
    bt_text_format(&page, "%s\n", document.pages[0].texts[i].text);
  cr_expect_eq(count_of(bt_text_get(&page), "; retest inside\n"), 1, "%s", bt_text_get(&page));
  const char *told = strstr(bt_text_get(&page), "Failed this month:"); /* before the table */
  cr_expect(told != NULL && told < strstr(bt_text_get(&page), "Checks this month\n"));
  cr_expect_null(strstr(bt_text_get(&page), "Retests\n"), "%s", bt_text_get(&page));
  must_say(bt_text_get(&page), "retest at ");
  cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
  cr_expect_eq(count_of(bt_text_get(&screen), "failed"), 2, "%s", bt_text_get(&screen));
  must_say(bt_text_get(&screen), "\n  - Technician: Pulse-energy ratio failed at ");
  must_say(bt_text_get(&screen), ", a retest; tolerance: 1 of ");
  bt_document_free(&document);
  bt_text_free(&page);
  bt_text_free(&screen);
  bt_unit_study_free(unit);
}

/* Of several failed checks the row says of the last one alone that it was repeated. */
Test(retest, of_several_failed_checks_is_that_of_the_last) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  of->checks.at[n - 2] = of->checks.at[n - 1] - 900;
  of->checks.flags[n - 9] = of->checks.flags[n - 2] = F;
  of->checks.flags[n - 1] = R;
  of->tolerance.outside = 2;
  of->tolerance.judged = n;
  of->tolerance.last_outside = n - 2;
  of->tolerance.last_is_outside = false;
  bt_document document;
  bt_error error;
  bt_text page = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t i = 0; i < document.pages[0].texts_n; i++)
    bt_text_format(&page, "%s\n", document.pages[0].texts[i].text);
  must_say(bt_text_get(&page), " outside, last 27 Sep 2026; its retest inside\n");
  bt_text_clear(&page);
  report_cell_shorten(of, TABLE_JUDGED, &page);
  must_say(bt_text_get(&page), "2 outside; last one's retest inside");
  bt_document_free(&document);
  bt_text_free(&page);
  bt_unit_study_free(unit);
}

/* Rows of the history with a self-test: one that failed at that time, and one that passed later. */
static void log_selftests(bt_history *history, bt_time failed, bt_time passed) {
  double **read = &history->reading[BT_READING_SELFTEST_PASSED],
         **all = &history->reading[BT_READING_SELFTEST_TOTAL];
  char ***items = &history->text[BT_FIELD_SELFTEST_FAILED];
  size_t row = 0;
  cr_assert(*read == NULL && *all == NULL && *items == NULL);
  *read = fixture_filled(history->n, sizeof **read);
  *all = fixture_filled(history->n, sizeof **all);
  *items = fixture_filled(history->n, sizeof **items);
  while (history->at[row] < bt_day_of(failed) * BT_DAY)
    row++;
  cr_assert(row + 2 < history->n && history->at[row + 2] > passed);
  history->at[row] = failed;
  history->at[row + 1] = passed;
  (*items)[row] = bt_copy("shutter");
  for (size_t i = row; i <= row + 1; i++) {
    history->present[i] |= 1U << BT_READING_SELFTEST_PASSED | 1U << BT_READING_SELFTEST_TOTAL;
    (*all)[i] = 18;
    (*read)[i] = i == row ? 17 : 18;
  }
}

/* What failed within the month leads the page, whatever passed since; other months' don't. */
Test(retest, what_failed_within_the_month_leads_the_page) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  bt_time month = bt_month_start(unit->last_check, 0), end = bt_month_start(month, 1);
  report_words words = {0};
  for (size_t i = 0; i < n; i++)
    of->checks.flags[i] = 0;
  bt_rare_free(&unit->selftest.rare);
  unit->selftest = (bt_selftest){.logged = true};
  report_lead_failed(unit, month, end, &words);
  cr_expect(bt_text_empty(&words.text), "%s", bt_text_get(&words.text));
  of->checks.flags[n - 3] = F; /* passed by the next check alone */
  bt_time *failed = calloc(2, sizeof *failed);
  failed[0] = month - BT_DAY;
  failed[1] = month + 8 * BT_HOUR;
  unit->selftest = (bt_selftest){.logged = true,
                                 .n = 90,
                                 .failed = 2,
                                 .failed_items = "shutter",
                                 .passed_at = month + 9 * BT_HOUR,
                                 .rare = {.failures = 2, .failed_at = failed}};
  log_selftests(&unit->history, failed[1], month + 9 * BT_HOUR);
  report_lead_failed(unit, month, end, &words);
  const char *said = bt_text_get(&words.text);
  must_say(said, "Failed this month: Pulse-energy ratio ");
  must_say(said, "; the next check, of ");
  must_say(said, " inside tolerance (");
  must_say(said, ". Self-test on 1 Sep 2026, 08:00 (shutter), passed on 1 Sep 2026, 09:00.");
  cr_expect_null(strstr(said, "31 Aug"), "%s", said);
  report_words_free(&words);
  of->checks.flags[n - 3] = 0;
  of->checks.flags[n - 1] = F; /* fails now: banner and first paragraph are of it */
  unit->selftest.last_failed = true;
  report_lead_failed(unit, month, end, &words);
  cr_expect(bt_text_empty(&words.text), "%s", bt_text_get(&words.text));
  report_words_free(&words);
  bt_unit_study_free(unit);
}

/* An earlier self-test is told by its own row where the last one fails. */
Test(retest, a_failed_self_test_before_one_that_fails_now_keeps_its_item) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_time month = bt_month_start(unit->last_check, 0), *failed = fixture_filled(3, sizeof *failed);
  report_words words = {0};
  for (size_t i = 0; i < unit->studies[0]->checks.n; i++)
    unit->studies[0]->checks.flags[i] = 0;
  bt_rare_free(&unit->selftest.rare);
  failed[0] = month + 2 * BT_HOUR;
  failed[1] = month + 8 * BT_HOUR;
  failed[2] = unit->last_check;
  unit->selftest = (bt_selftest){.logged = true,
                                 .n = 90,
                                 .failed = 3,
                                 .last_failed = true,
                                 .failed_items = "pump",
                                 .rare = {.failures = 3, .failed_at = failed}};
  log_selftests(&unit->history, failed[1], month + 9 * BT_HOUR);
  report_lead_failed(unit, month, bt_month_start(month, 1), &words);
  cr_expect_str_eq(bt_text_get(&words.text),
                   "Failed this month: Self-test on 1 Sep 2026, 08:00 (shutter), passed on 1 Sep "
                   "2026, 09:00; 1 more of it failed.",
                   "%s", bt_text_get(&words.text));
  report_words_free(&words);
  bt_unit_study_free(unit);
}

/* A self-test that passed after a failure of the same morning. */
Test(retest, of_a_self_test_is_told) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_text words = {0};
  bt_time failed = bt_day_of(unit->last_check) * BT_DAY + 470 * 60, times[] = {failed};
  unit->selftest = (bt_selftest){.logged = true,
                                 .n = 90,
                                 .failed = 1,
                                 .last_at = failed + 900,
                                 .passed = 9,
                                 .total = 9,
                                 .rare = {.failures = 1, .failed_at = times}};
  report_selftest_words(unit, &words);
  must_say(bt_text_get(&words), " at 08:05, after a failure at 07:50; 1 failure in 90 tests");
  bt_text_clear(&words);
  unit->selftest.last_at += BT_DAY;
  report_selftest_words(unit, &words);
  cr_expect_null(strstr(bt_text_get(&words), "after a failure"), "%s", bt_text_get(&words));
  unit->selftest = (bt_selftest){0};
  bt_text_free(&words);
  bt_unit_study_free(unit);
}
