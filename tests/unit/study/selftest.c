/* The self-test's failures: rare events and which items they were. */
#include "made_ledger.h"

#include <stdlib.h>

static void test_at(made_ledger *made, bt_time at, const char *failed) {
  bt_check check = {
      .time = at,
      .has_clock = true,
      .present = 1U << BT_READING_SELFTEST_PASSED | 1U << BT_READING_SELFTEST_TOTAL,
  };
  check.reading[BT_READING_SELFTEST_PASSED] = failed == NULL ? 9 : 8;
  check.reading[BT_READING_SELFTEST_TOTAL] = 9;
  check.text[BT_FIELD_SELFTEST_FAILED] = failed;
  made_full_check(made, check);
}

static bt_unit_study *study_until(made_ledger *made, bt_time until) {
  bt_error error;
  bt_unit_study *unit;
  bt_study_request request = {.unit = "Unit A", .until = until};
  cr_assert_eq(bt_study_unit(made->ledger, &request, &unit, &error), BT_OK, "%s", error.text);
  return unit;
}

/* Failures on days 5, 9 (twice within the hour: one), 20, 22 of 30. */
Test(selftest, days_between_failures_and_their_items) {
  static const struct {
    int day, hour, minute;
    const char *failed;
  } fails[] = {{5, 8, 0, "shutter; gas pressure"},
               {9, 8, 0, "Shutter"},
               {9, 8, 50, "shutter"},
               {20, 8, 0, " tracker ,SHUTTER,"},
               {22, 8, 0, "tracker"}};
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 30; day++) {
    bool failed = false;
    for (size_t k = 0; k < sizeof fails / sizeof *fails; k++)
      if (fails[k].day == day) {
        test_at(&made, made_time(day, fails[k].hour, fails[k].minute), fails[k].failed);
        failed = true;
      }
    if (!failed)
      test_at(&made, made_time(day, 8, 0), NULL);
  }
  made_finish(&made);
  bt_unit_study *unit = study_until(&made, made_time(30, 8, 0));
  const bt_selftest *selftest = &unit->selftest;
  const bt_rare *rare = &selftest->rare;
  cr_assert_eq(selftest->n, 31);
  cr_assert_eq(selftest->failed, 5, "each failed self-test");
  cr_assert_eq(rare->failures, 4, "a repeat within the hour is the same failure");
  cr_assert_eq(rare->gaps_n, 3);
  cr_assert_float_eq(rare->gap_days[0], 4, 1e-12);
  cr_assert_float_eq(rare->gap_days[1], 11, 1e-12);
  cr_assert_float_eq(rare->gap_days[2], 2, 1e-12);
  cr_assert_float_eq(rare->mean_days, 17.0 / 3, 1e-12);
  cr_assert_float_eq(rare->open_days, 8, 1e-12);
  cr_assert_eq(rare->items_n, 3);
  cr_assert_str_eq(rare->items[0].name, "shutter");
  cr_assert_eq(rare->items[0].failures, 3);
  cr_assert_eq(rare->items[0].last_at, made_time(20, 8, 0));
  cr_assert_str_eq(rare->items[1].name, "tracker");
  cr_assert_eq(rare->items[1].failures, 2);
  cr_assert_str_eq(rare->items[2].name, "gas pressure");
  cr_expect_eq(selftest->passed_at, made_time(23, 8, 0),
               "the first that passed since the last one");
  cr_expect_str_eq(selftest->failed_items, "tracker");
  bt_unit_study_free(unit);
  unit = study_until(&made, made_time(22, 9, 0));
  cr_expect(unit->selftest.last_failed && unit->selftest.passed_at == 0);
  bt_unit_study_free(unit);

  unit = study_until(&made, made_time(4, 0, 0));
  cr_assert(unit->selftest.logged);
  cr_assert_eq(unit->selftest.rare.failures, 0);
  cr_assert_eq(unit->selftest.rare.items_n, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}
