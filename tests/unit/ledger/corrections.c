/* Corrections of checks: the old record stays, another stands in its place, each step is listed. */
#include "helpers.h"

TestSuite(ledger_corrections, .fini = test_cleanup);

#define AT "2026-01-03T08:05"

/* Unit A with one check at AT and two at the next day, unit B with one. */
static bt_ledger *ledger_with_checks(void) {
  bt_ledger *ledger = test_ledger();
  bt_check log[] = {test_check("A", AT, 1.61, 2), test_check("A", "2026-01-04T08:05", 1.5, 3),
                    test_check("A", "2026-01-04T08:05", 1.25, 4), test_check("B", AT, 2, 5)};
  log[0].text[BT_FIELD_REMARK] = "lamp warm";
  log[0].text[BT_FIELD_PATTERN] = "pass";
  (void)test_import(ledger, "log.csv", log, 4);
  return ledger;
}

static bt_check found(bt_ledger *ledger, const char *unit, const char *at) {
  bt_check check;
  bt_error error = {0};
  cr_ok(bt_ledger_find_check(ledger, unit, test_time(at), false, 0, &check, &error), error);
  return check;
}

static void correct(bt_ledger *ledger, const char *unit, const char *at, int32_t sequence,
                    const bt_check *replacement) {
  bt_error error = {0};
  cr_ok(bt_ledger_correct_check(ledger, unit, test_time(at), sequence, replacement, "tech 1",
                                "typing error", TEST_NOW + BT_DAY, &error),
        error);
}

Test(ledger_corrections, a_corrected_check_stands_in_place_of_the_old_one) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_check check = found(ledger, "a ", AT);
  cr_expect_str_eq(check.unit, "A");
  cr_expect_str_eq(check.text[BT_FIELD_REMARK], "lamp warm");
  cr_expect(check.sequence == 0 && check.line == 2 && check.has_clock);
  bt_check other = check;
  other.reading[BT_READING_ENERGY_MJ] = 1.59;
  other.present |= 1U << BT_READING_TEMP_C;
  other.reading[BT_READING_TEMP_C] = 21;
  other.text[BT_FIELD_REMARK] = NULL;
  correct(ledger, "A", AT, 0, &other);
  bt_check_free(&check);

  check = found(ledger, "A", AT);
  cr_expect(check.sequence == 1 && check.line == 0 && check.reading[BT_READING_ENERGY_MJ] == 1.59);
  cr_expect_null(check.text[BT_FIELD_REMARK]);
  cr_expect_str_eq(check.text[BT_FIELD_PATTERN], "pass");
  bt_check_free(&check);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks WHERE energy_mj = 1.61"), 1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM source WHERE kind = 'typed' AND "
                                   "name = 'typed in' AND bytes = 0 AND reading = '' AND "
                                   "sha256 = zeroblob(32)"),
               1);
  /* What both records say is one text, so that it can be removed from both at once. */
  cr_expect_eq(test_number(ledger, "SELECT count(DISTINCT pattern) FROM checks WHERE unit = 1 "
                                   "AND pattern IS NOT NULL"),
               1);

  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_CORRECTED && !list[0].of_event && list[0].records == 1);
  cr_expect(list[0].time == test_time(AT) && list[0].has_clock && list[0].sequence == 0);
  cr_expect_str_eq(list[0].changes, "energy_mj 1.61 -> 1.59; temp_c 21 added; remark removed");
  cr_expect(list[0].touched.readings == (1U << BT_READING_ENERGY_MJ | 1U << BT_READING_TEMP_C) &&
            !list[0].touched.place && !list[0].touched.refill && list[0].touched.own_n == 0);
  cr_expect_str_eq(list[0].unit, "A");
  cr_expect_str_eq(list[0].by, "tech 1");
  cr_expect_str_eq(list[0].why, "typing error");
  cr_expect_eq(list[0].at, TEST_NOW + BT_DAY);
  bt_corrections_free(list, n);
  cr_ok(bt_ledger_corrections(ledger, "B", &list, &n, &error), error);
  cr_expect(n == 0 && list == NULL);
  bt_verification verified;
  cr_ok(bt_ledger_verify(ledger, &verified, &error), error);
  cr_expect(verified.entries == 3 && verified.checks == 5);
  bt_ledger_close(ledger);
}

Test(ledger_corrections, a_correction_can_be_corrected_but_not_what_was_superseded) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_check other = test_check("A", AT, 1.59, 0), again;
  correct(ledger, "A", AT, 0, &other);
  expect_refused(
      bt_ledger_correct_check(ledger, "A", test_time(AT), 0, &other, "t", "w", TEST_NOW, &error),
      BT_REFUSED, "that of \"A\" at " AT "#1 stands in its place");
  other.unit = "B";
  other.time = test_time("2026-01-04T09:00");
  correct(ledger, "A", AT, 1, &other);
  expect_refused(bt_ledger_find_check(ledger, "A", test_time(AT), true, 0, &again, &error),
                 BT_REFUSED,
                 "corrected on 2026-01-02 by tech 1): that of \"B\" at "
                 "2026-01-04T09:00#0 stands");
  expect_refused(bt_ledger_find_check(ledger, "A", test_time(AT), false, 0, &again, &error),
                 BT_REFUSED, "\"B\" at 2026-01-04T09:00#0");
  again = found(ledger, "B", "2026-01-04T09:00");
  cr_expect(again.sequence == 0 && again.reading[BT_READING_ENERGY_MJ] == 1.59);
  bt_check_free(&again);

  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "B", &list, &n, &error), error);
  cr_assert_eq(n, 1); /* it came to B */
  cr_expect_str_eq(list[0].changes, "unit A -> B; time " AT " -> 2026-01-04T09:00");
  cr_expect(list[0].touched.place && list[0].touched.readings == 0);
  bt_corrections_free(list, n);
  cr_ok(bt_ledger_corrections(ledger, NULL, &list, &n, &error), error);
  cr_expect_eq(n, 2);
  bt_corrections_free(list, n);
  bt_ledger_close(ledger);
}

Test(ledger_corrections, a_withdrawn_check_leaves_nothing_in_its_place) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_check none;
  correct(ledger, "A", AT, 0, NULL);
  expect_refused(bt_ledger_find_check(ledger, "A", test_time(AT), false, 0, &none, &error),
                 BT_REFUSED, "(withdrawn on 2026-01-02 by tech 1) and nothing stands in its place");
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, NULL, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_WITHDRAWN);
  cr_expect_str_eq(list[0].changes, "energy_mj 1.61, pattern pass"); /* no remark spelled out */
  cr_expect(list[0].touched.readings == 1U << BT_READING_ENERGY_MJ && !list[0].touched.place);
  bt_corrections_free(list, n);
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect(provenance.corrections == 1 && provenance.checks == 2 && provenance.sources == 1);
  cr_ok(bt_ledger_provenance(ledger, "B", &provenance, &error), error);
  cr_expect(provenance.corrections == 0 && provenance.checks == 1);
  cr_ok(bt_ledger_provenance(ledger, NULL, &provenance, &error), error);
  cr_expect(provenance.corrections == 1 && provenance.checks == 3);
  bt_ledger_close(ledger);
}

Test(ledger_corrections, a_wrong_place_is_answered_with_the_nearest) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_check check;
  bt_time at = test_time(AT), two = test_time("2026-01-04T08:05");
  expect_refused(bt_ledger_find_check(ledger, "C", at, false, 0, &check, &error), BT_NOTFOUND,
                 "no unit named \"C\"");
  expect_refused(bt_ledger_find_check(ledger, "A", at + 60, false, 0, &check, &error), BT_NOTFOUND,
                 "has no check at 2026-01-03T08:06; the nearest is at " AT);
  expect_refused(bt_ledger_find_check(ledger, "A", two + 60, false, 0, &check, &error), BT_NOTFOUND,
                 "the nearest is at 2026-01-04T08:05");
  expect_refused(bt_ledger_find_check(ledger, "A", at, true, 7, &check, &error), BT_NOTFOUND,
                 "has no check #7 at " AT "; there is #0");
  expect_refused(bt_ledger_find_check(ledger, "A", two, false, 0, &check, &error), BT_USAGE,
                 "has 2 checks at 2026-01-04T08:05 (#0, #1)");
  cr_ok(bt_ledger_find_check(ledger, "A", two, true, 1, &check, &error), error);
  cr_expect_eq(check.reading[BT_READING_ENERGY_MJ], 1.25);
  bt_check_free(&check);
  bt_time day = test_time("2026-01-03"), none = test_time("2026-02-03");
  cr_ok(bt_ledger_time_on_day(ledger, "A", &day, &error), error);
  cr_ok(bt_ledger_time_on_day(ledger, "A", &none, &error), error);
  cr_expect(day == at && none == test_time("2026-02-03"));
  correct(ledger, "A", AT, 0, NULL); /* what no longer stands is no nearest one */
  day = test_time("2026-01-03");     /* but may be the one that is meant */
  cr_ok(bt_ledger_time_on_day(ledger, "A", &day, &error), error);
  cr_expect_eq(day, at);
  expect_refused(bt_ledger_find_check(ledger, "A", at + 60, false, 0, &check, &error), BT_NOTFOUND,
                 "the nearest is at 2026-01-04T08:05");
  correct(ledger, "B", AT, 0, NULL);
  expect_refused(bt_ledger_find_check(ledger, "B", at + 60, false, 0, &check, &error), BT_NOTFOUND,
                 "nor any other");
  bt_ledger_close(ledger);
}

Test(ledger_corrections, what_is_missing_or_changes_nothing_is_refused) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_time at = test_time(AT);
  bt_check same = found(ledger, "A", AT), other = same;
  expect_refused(bt_ledger_correct_check(ledger, "A", at, 0, &same, " ", "w", TEST_NOW, &error),
                 BT_USAGE, "--by");
  expect_refused(bt_ledger_correct_check(ledger, "A", at, 0, &same, "t", "", TEST_NOW, &error),
                 BT_USAGE, "--why");
  expect_refused(bt_ledger_correct_check(ledger, "A", at, 0, &same, "t", "w", TEST_NOW, &error),
                 BT_USAGE, "nothing would change");
  other.unit = "Aa";
  expect_refused(bt_ledger_correct_check(ledger, "A", at, 0, &other, "t", "w", TEST_NOW, &error),
                 BT_NOTFOUND, "it has \"A\", \"B\"");
  other = same;
  other.reading[BT_READING_ENERGY_MJ] = -1;
  expect_refused(bt_ledger_correct_check(ledger, "A", at, 0, &other, "t", "w", TEST_NOW, &error),
                 BT_INPUT, "energy_mj is below zero");
  expect_refused(bt_ledger_correct_check(ledger, "C", at, 0, NULL, "t", "w", TEST_NOW, &error),
                 BT_NOTFOUND, "no unit named \"C\"");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2, "nothing was stored");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks"), 4);
  bt_check_free(&same);
  bt_ledger_close(ledger);
}

Test(ledger_corrections, readings_of_the_clinics_own_are_kept_and_compared) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_own_reading own[] = {{"lid_gap", 0.1}, {"door_force", 12.5}};
  bt_check other = test_check("A", AT, 1.61, 0);
  other.own = own;
  other.own_n = 2;
  other.text[BT_FIELD_PATTERN] = "pass";
  other.text[BT_FIELD_REMARK] = "lamp warm, door open";
  correct(ledger, "A", AT, 0, &other);
  own[0].value = 0.3;
  other.own_n = 1;
  correct(ledger, "A", AT, 1, &other);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, NULL, &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect_str_eq(list[0].changes, "remark changed; door_force 12.5 added; lid_gap 0.1 added");
  cr_expect_str_eq(list[1].changes, "door_force 12.5 removed; lid_gap 0.1 -> 0.3");
  for (size_t c = 0; c < 2; c++) {
    cr_assert_eq(list[c].touched.own_n, 2);
    cr_expect_str_eq(list[c].touched.own[0], "door_force");
    cr_expect_str_eq(list[c].touched.own[1], "lid_gap");
    cr_expect_eq(list[c].touched.readings, 0);
  }
  bt_corrections_free(list, n);
  bt_check check = found(ledger, "A", AT);
  cr_assert(check.own_n == 1 && check.own[0].value == 0.3);
  cr_expect_str_eq(check.own[0].key, "lid_gap");
  bt_check_free(&check);
  test_close_whole(ledger);
}

Test(ledger_corrections, a_change_of_nothing_but_an_own_reading_or_the_clock_is_a_change) {
  bt_ledger *ledger = ledger_with_checks();
  bt_error error = {0};
  bt_check check = found(ledger, "B", AT), other = check;
  bt_own_reading own = {"door_force", 0};
  other.own = &own;
  other.own_n = 1;
  correct(ledger, "B", AT, 0, &other);
  other.has_clock = false;
  correct(ledger, "B", AT, 1, &other);
  other.state = BT_AS_LEFT;
  other.refill = BT_REFILL_BEFORE;
  correct(ledger, "B", AT, 2, &other);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "B", &list, &n, &error), error);
  cr_assert_eq(n, 3);
  cr_expect_str_eq(list[0].changes, "door_force 0 added");
  cr_expect_str_eq(list[1].changes, "time " AT " -> 2026-01-03");
  cr_expect_str_eq(list[2].changes, "state as_left added; refill before added");
  cr_expect(list[2].touched.place && list[2].touched.refill && !list[0].touched.place);
  bt_corrections_free(list, n);
  bt_check_free(&check);
  bt_ledger_close(ledger);
}
