/* Long stretches without a check: told where they are well beyond the schedule or the laser's own
 * rhythm, with the days, and nothing of a weekend or a holiday's day. */
#include "made_ledger.h"

static const bt_study_request ask = {.characteristic = BT_TRACKER_X};

/* Day 0 is 1 Jan 2026, a Thursday. */
static bool is_weekday(int day) {
  int weekday = (day + 4 - 1) % 7; /* 0 Monday */
  return weekday < 5;
}

/* A check on every `every`th day or weekday up to `days`, none in from..to. */
static bt_unit_study *look(made_ledger *made, int days, int every, int from, int to,
                           uint32_t weekdays, double expected) {
  bt_error error;
  made_begin(made);
  for (int day = 0; day < days; day++)
    if ((every > 0 ? day % every == 0 : is_weekday(day)) && !(day >= from && day <= to))
      made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, day % 3, BT_READING_COUNT, 0);
  made_finish(made);
  char name[] = "Unit A";
  bt_unit_setting unit = {.name = name, .expected_days = expected};
  bt_settings settings = {
      .units_n = 1, .units = &unit, .weekdays = weekdays, .alarms_per_unit_year = 1};
  if (weekdays != 0 || expected > 0)
    cr_assert_eq(
        bt_ledger_add_settings(made->ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
        BT_OK, "%s", error.text);
  return made_study(made, ask);
}

static void must_have(int days, int every, int from, int to, uint32_t weekdays, double expected,
                      size_t gaps, int64_t missing, int64_t scheduled) {
  made_ledger made;
  bt_unit_study *unit = look(&made, days, every, from, to, weekdays, expected);
  cr_assert_eq(unit->gaps_n, gaps, "%d %d %d..%d: %zu", days, every, from, to, unit->gaps_n);
  if (gaps > 0) {
    cr_expect_eq(unit->gaps[0].days, missing, "%lld", (long long)unit->gaps[0].days);
    cr_expect_eq(unit->gaps[0].scheduled, scheduled, "%lld", (long long)unit->gaps[0].scheduled);
    cr_expect_eq(unit->gaps[0].to - unit->gaps[0].from, (missing - 1) * BT_DAY);
    cr_expect_leq(unit->gaps[0].from, made_time(from, 0, 0));
    cr_expect_geq(unit->gaps[0].to, made_time(to, 0, 0));
  }
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(gaps, a_log_without_any_tells_none) {
  must_have(120, 1, -1, -1, 0, 0, 0, 0, 0);
  must_have(120, 0, -1, -1, 0, 0, 0, 0, 0);
  must_have(1, 1, -1, -1, 0, 0, 0, 0, 0);
}

/* Weekdays: a weekend is of the rhythm, a week more is not; day 60 is a Monday. */
Test(gaps, of_the_laser_s_own_rhythm) {
  must_have(200, 0, 60, 62, 0, 0, 0, 0, 0);
  must_have(200, 0, 60, 66, 0, 0, 1, 9, 0);
  must_have(200, 1, 60, 61, 0, 0, 1, 2, 0);
  must_have(200, 7, 63, 63, 0, 0, 0, 0, 0);
  must_have(200, 7, 63, 70, 0, 0, 1, 20, 0);
}

Test(gaps, of_the_schedule_and_what_is_expected) {
  const uint32_t weekdays = 0x3E; /* Monday to Friday */
  must_have(200, 0, 60, 62, weekdays, 0, 0, 0, 0);
  must_have(200, 0, 60, 66, weekdays, 0, 1, 9, 5);
  must_have(200, 1, 60, 61, 0, 1, 1, 2, 0);
  must_have(200, 1, 60, 61, 0, 3, 0, 0, 0);
}

/* Those of over a year ago are of no daily screen. */
Test(gaps, of_the_last_year_alone) {
  must_have(380, 1, 30, 50, 0, 0, 1, 21, 0);
  must_have(500, 1, 30, 50, 0, 0, 0, 0, 0);
}
