/* What failed and passed since is asked about for a month: what, when, what came, and whom to tell.
 */
#include "fixture.h"
#include "made_drift.h"
#include "report_next.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

static bt_unit_study *quiet(void) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_rare_free(&unit->selftest.rare);
  memset(&unit->selftest, 0, sizeof unit->selftest);
  return unit;
}

static void says(const bt_unit_study *unit, void (*step)(const bt_unit_study *, bool, bt_text *),
                 bool brief, const char *words) {
  bt_text said = {0};
  step(unit, brief, &said);
  cr_expect_str_eq(bt_text_get(&said), words, "%s", bt_text_get(&said));
  bt_text_free(&said);
}

Test(next_passed, a_self_test) {
  bt_unit_study *unit = quiet();
  says(unit, report_selftest_step, false, "");
  bt_time last = bt_day_of(unit->last_check) * BT_DAY, *failed = fixture_filled(2, sizeof *failed);
  failed[0] = last - 40 * BT_DAY;
  failed[1] = last - 30 * BT_DAY + BT_DAY + 8 * BT_HOUR;
  unit->selftest = (bt_selftest){.logged = true,
                                 .n = 90,
                                 .failed = 2,
                                 .failed_items = "shutter",
                                 .passed_at = failed[1] + BT_HOUR / 4,
                                 .rare = {.failures = 2, .failed_at = failed}};
  says(
      unit, report_selftest_step, false,
      "Technician: the self-test failed on 29 Aug 2026, 08:00 and passed on 29 Aug 2026, 08:15 "
      "(failed: shutter): note what failed and what was done, “beamtally event --unit 'Suite "
      "North' --at 2026-08-29T08:00 --by NAME other --note TEXT”; tell the manufacturer’s engineer "
      "if it comes again.");
  unit->selftest.passed_at = failed[1] + 2 * BT_DAY;
  says(
      unit, report_selftest_step, true,
      "Technician: the self-test failed on 29 Aug 2026 and passed on 31 Aug 2026: note what failed "
      "and what was done; tell the manufacturer’s engineer if it comes again.");
  failed[0] = failed[1] - BT_HOUR * 2;
  says(
      unit, report_selftest_step, true,
      "Technician: the self-test failed on 29 Aug 2026 and passed on 31 Aug 2026: note what failed "
      "and what was done; it failed 2 times within a month: tell the manufacturer’s engineer.");
  unit->selftest.passed_at = 0; /* it fails now: another step is of that */
  says(unit, report_selftest_step, true, "");
  unit->selftest.passed_at = failed[1] + BT_HOUR;
  failed[0] = failed[1] = last - 31 * BT_DAY;
  says(unit, report_selftest_step, true, "");
  bt_unit_study_free(unit);
}

Test(next_passed, a_check_whose_retest_was_inside) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  of->episodes_n = 0;
  for (size_t i = 0; i < n; i++)
    of->checks.flags[i] = 0;
  says(unit, report_retest_step, false, "");
  bt_time day = bt_day_of(unit->last_check) * BT_DAY;
  of->checks.at[n - 2] = day + 7 * BT_HOUR;
  of->checks.at[n - 1] = day + 7 * BT_HOUR + BT_HOUR / 4;
  of->checks.raw[n - 2] = 0.941;
  of->checks.raw[n - 1] = 0.998;
  of->checks.flags[n - 2] = BT_POINT_OUT_OF_TOLERANCE;
  of->checks.flags[n - 1] = BT_POINT_RETEST;
  says(
      unit, report_retest_step, false,
      "Technician: Pulse-energy ratio failed at 07:00 on 27 Sep 2026 (0.9410), retest at 07:15 "
      "inside tolerance (0.9980): note what was done in between, “beamtally event --unit 'Suite "
      "North' --at 2026-09-27T07:00 --by NAME other --note TEXT”; tell the manufacturer’s engineer "
      "if it comes again.");
  of->checks.flags[n - 1] |= BT_POINT_OUT_OF_TOLERANCE; /* it fails now */
  says(unit, report_retest_step, false, "");
  of->checks.flags[n - 1] = BT_POINT_RETEST;
  unit->last_check += 31 * BT_DAY;
  says(unit, report_retest_step, false, "");
  bt_unit_study_free(unit);
}

/* The check itself was inside: what failed is its retest, and the note goes to that one's time. */
Test(next_passed, a_check_of_which_only_the_retest_failed) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  of->episodes_n = 0;
  for (size_t i = 0; i < n; i++)
    of->checks.flags[i] = 0;
  bt_time day = bt_day_of(unit->last_check) * BT_DAY;
  of->checks.at[n - 3] = day - BT_DAY + 450 * 60;
  of->checks.at[n - 2] = day - BT_DAY + 465 * 60;
  of->checks.at[n - 1] = day + 7 * BT_HOUR;
  of->checks.raw[n - 3] = 0.978;
  of->checks.raw[n - 2] = 0.96;
  of->checks.raw[n - 1] = 0.998;
  of->checks.flags[n - 2] = BT_POINT_RETEST | BT_POINT_OUT_OF_TOLERANCE;
  says(
      unit, report_retest_step, false,
      "Technician: Pulse-energy ratio beyond its limits at 07:30 on 26 Sep 2026 (0.9780), retest at "
      "07:45 failed (0.9600); the next check, of 27 Sep 2026, inside tolerance (0.9980): note what "
      "was done in between, “beamtally event --unit 'Suite North' --at 2026-09-26T07:45 --by NAME "
      "other --note TEXT”; tell the manufacturer’s engineer if it comes again.");
  report_words words = {0};
  report_lead_failed(unit, day - 2 * BT_DAY, day + BT_DAY, &words);
  must_say(bt_text_get(&words.text),
           "Failed this month: Pulse-energy ratio beyond its limits at 07:30 on 26 Sep 2026 "
           "(0.9780), retest at 07:45 failed (0.9600); the next check");
  report_words_free(&words);
  of->checks.at[n - 1] = day - BT_DAY + 470 * 60; /* a second one, which passed */
  of->checks.flags[n - 1] = BT_POINT_RETEST;
  bt_text said = {0};
  report_retest_step(unit, true, &said);
  must_say(bt_text_get(&said), "retest at 07:45 failed (0.9600), the last at 07:50 inside");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* A check is one, however many characteristics it failed with. */
Test(next_passed, a_check_of_two_characteristics_is_counted_once) {
  fixture_plan plan = fixture_usual();
  plan.copies = 1;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text said = {0};
  size_t n = unit->studies[0]->checks.n;
  for (size_t s = 0; s < unit->studies_n; s++) {
    bt_study *of = unit->studies[s];
    of->episodes_n = 0;
    for (size_t i = 0; i < of->checks.n; i++)
      of->checks.flags[i] = 0;
  }
  cr_assert_eq(unit->studies[1]->checks.n, n);
  for (size_t s = 0; s < 2; s++) {
    unit->studies[s]->checks.flags[n - 3] = BT_POINT_OUT_OF_TOLERANCE;
    cr_assert_eq(unit->studies[s]->checks.at[n - 3], unit->studies[0]->checks.at[n - 3]);
  }
  report_retest_step(unit, true, &said);
  must_say(bt_text_get(&said), "if it comes again.");
  cr_expect_null(strstr(bt_text_get(&said), "In the last month"), "%s", bt_text_get(&said));
  bt_text_clear(&said);
  unit->studies[1]->checks.flags[n - 5] = BT_POINT_OUT_OF_TOLERANCE;
  unit->studies[0]->checks.flags[n - 7] = BT_POINT_OUT_OF_TOLERANCE;
  report_retest_step(unit, true, &said);
  must_say(bt_text_get(&said), "In the last month 2 other checks failed as well.");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* One that nobody repeated passes by the next check alone, and is told all the same; at once where
 * the reading drifts. */
Test(next_passed, a_check_that_only_a_later_one_passed) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  size_t n = of->checks.n;
  of->episodes_n = 0;
  of->verdict = BT_VERDICT_NO_SIGNAL;
  for (size_t i = 0; i < n; i++)
    of->checks.flags[i] = 0;
  bt_time day = bt_day_of(unit->last_check) * BT_DAY;
  of->checks.at[n - 2] = day - BT_DAY + 7 * BT_HOUR;
  of->checks.at[n - 1] = day + 7 * BT_HOUR;
  of->checks.raw[n - 2] = 0.941;
  of->checks.raw[n - 1] = 0.998;
  of->checks.flags[n - 2] = BT_POINT_OUT_OF_TOLERANCE;
  says(unit, report_retest_step, true,
       "Technician: Pulse-energy ratio failed at 07:00 on 26 Sep 2026 (0.9410); the next check, of "
       "27 Sep 2026, inside tolerance (0.9980): note what was done in between; tell the "
       "manufacturer’s engineer if it comes again.");
  of->verdict = BT_VERDICT_ALARM;
  free(unit->settings.tell);
  unit->settings.tell = bt_copy("the physicist on call");
  says(unit, report_retest_step, false,
       "Technician: Pulse-energy ratio failed at 07:00 on 26 Sep 2026 (0.9410); the next check, of "
       "27 Sep 2026, inside tolerance (0.9980): note what was done in between, “beamtally event "
       "--unit 'Suite North' --at 2026-09-26T07:00 --by NAME other --note TEXT”; tell the "
       "manufacturer’s engineer of it. Whom to tell: the physicist on call.");
  of->checks.flags[n - 1] = BT_POINT_OUT_OF_TOLERANCE; /* each is told: this one in the banner */
  of->checks.at[n - 3] = day - 2 * BT_DAY;             /* without a time of day */
  of->checks.flags[n - 3] = BT_POINT_OUT_OF_TOLERANCE;
  bt_text said = {0};
  report_retest_step(unit, true, &said);
  must_say(bt_text_get(&said), "of it. In the last month 1 other check failed as well.");
  must_say(bt_text_get(&said), "the next check, of 27 Sep 2026, outside tolerance (0.9980)");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}
