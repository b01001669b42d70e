/* Checks to points: days, retests, as-found readings. */
#include "made_ledger.h"

#include <math.h>

static const bt_study_request ask_ratio = {.characteristic = BT_ENERGY_RATIO};

static void ratio_check(made_ledger *made, bt_time at, double ratio) {
  made_check(made, at, BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ, ratio);
}

Test(points, a_day_is_the_mean_of_its_independent_checks) {
  made_ledger made;
  made_begin(&made);
  ratio_check(&made, made_time(0, 8, 0), 1.00);
  ratio_check(&made, made_time(0, 10, 0), 1.02);
  ratio_check(&made, made_time(1, 8, 0), 0.99);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  const bt_series *points = &unit->studies[0]->points;
  cr_assert_eq(points->n, 2);
  cr_assert_float_eq(points->raw[0], 1.01, 1e-12);
  cr_assert_eq(points->checks[0], 2);
  cr_assert_eq(points->at[0], made_time(0, 8, 0));
  cr_assert_eq(points->line[1], 3);
  cr_assert_eq(unit->studies[0]->checks.n, 3, "every check is kept");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A repeat within 60 minutes of a check outside tolerance is a retest, at 61 minutes it isn't. */
Test(points, retest_within_the_hour_of_a_failed_tolerance) {
  static const struct {
    int minutes;
    bool retest;
  } table[] = {{1, true}, {59, true}, {60, true}, {61, false}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    made_ledger made;
    made_begin(&made);
    ratio_check(&made, made_time(0, 8, 0), 0.90);
    ratio_check(&made, made_time(0, 8, 0) + table[i].minutes * BT_MINUTE, 1.00);
    made_finish(&made);
    made_tolerance(&made, BT_ENERGY_RATIO, 0.97, 1.03);
    bt_unit_study *unit = made_study(&made, ask_ratio);
    const bt_study *study = unit->studies[0];
    cr_assert_eq((study->checks.flags[1] & BT_POINT_RETEST) != 0, table[i].retest, "%d minutes",
                 table[i].minutes);
    cr_assert_float_eq(study->points.raw[0], table[i].retest ? 0.90 : 0.95, 1e-12);
    cr_assert_eq(study->tolerance.outside, 1);
    cr_assert_not(study->tolerance.last_is_outside);
    cr_assert((study->rules[BT_LOW][0] & BT_TOLERANCE_FAILED) != 0);
    cr_assert_eq(study->strength[0], BT_ALARM);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

Test(points, retest_after_a_check_beyond_the_limits) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    ratio_check(&made, made_time(day, 8, 0), day % 2 == 0 ? 1.001 : 0.999);
  ratio_check(&made, made_time(60, 8, 0), 0.95);
  ratio_check(&made, made_time(60, 8, 20), 1.00);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  const bt_study *study = unit->studies[0];
  cr_assert((study->checks.flags[61] & BT_POINT_RETEST) != 0);
  cr_assert_float_eq(study->points.raw[60], 0.95, 1e-12);
  cr_assert((study->rules[BT_LOW][60] & BT_WE1) != 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Three checks a day that scatter more than the days do: the limits of the day means are too narrow
 * for a single check, so that a check beyond them alone is followed by no retest. A check beyond
 * the limits of single ones is: sigma² = sigma of the means² + s² (1 - 1/3). */
Test(points, checks_of_a_day_are_no_retests_for_scattering_as_single_checks_do) {
  made_ledger made;
  uint64_t state = 7;
  enum { DAYS = 62 };
  made_begin(&made);
  for (int day = 0; day < DAYS; day++)
    for (int k = 0; k < 3; k++) {
      double scatter = made_normal(&state);
      scatter = day == 60 && k == 0 ? 2.6 : day == 61 && k == 0 ? -7 : scatter;
      ratio_check(&made, made_time(day, 8, 0) + (day < 60 ? 120 : 15) * k * BT_MINUTE,
                  1 + 0.004 * scatter);
    }
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  double sigma = now->chart.sigma;
  double single = sqrt(sigma * sigma + now->within.sigma * now->within.sigma * 2 / 3);
  cr_assert_eq(study->points.n, DAYS);
  size_t apart = 0;
  for (size_t i = 0; i < study->checks.n; i++) {
    double off = fabs(study->checks.value[i] - now->chart.centre);
    apart += off > 3 * sigma && off <= 3 * single;
    cr_expect_eq((study->checks.flags[i] & BT_POINT_RETEST) != 0, i > 3 * 61, "check %zu", i);
  }
  cr_expect_geq(apart, 5, "the limits differ: %zu", apart);
  cr_expect_eq(study->points.checks[60], 3);
  cr_expect_eq(study->points.checks[61], 1);
  cr_expect((study->rules[BT_HIGH][60] & BT_WE1) == 0);
  cr_expect((study->rules[BT_LOW][61] & BT_WE1) != 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Three checks within the hour every day: the third of them is no retest for what the first two
 * read, but after a failed tolerance. */
Test(points, where_repeats_are_routine_only_a_failed_tolerance_makes_retests) {
  made_ledger made;
  uint64_t state = 7;
  enum { DAYS = 62 };
  made_begin(&made);
  for (int day = 0; day < DAYS; day++)
    for (int k = 0; k < 3; k++) {
      double scatter = made_normal(&state);
      scatter = day == 60 && k == 0 ? -9 : day == 61 && k == 0 ? -26 : scatter;
      ratio_check(&made, made_time(day, 8, 15 * k), 1 + 0.004 * scatter);
    }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.9, 1.1);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  const bt_study *study = unit->studies[0];
  for (size_t i = 0; i < study->checks.n; i++)
    cr_expect_eq((study->checks.flags[i] & BT_POINT_RETEST) != 0, i > 3 * 61, "check %zu", i);
  cr_expect_eq(study->points.checks[60], 3);
  cr_expect_eq(study->points.checks[61], 1);
  cr_expect((study->rules[BT_LOW][60] & BT_WE1) != 0, "the mean itself is beyond its limits");
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(points, as_found_is_charted_and_as_left_kept) {
  made_ledger made;
  made_begin(&made);
  for (int k = 0; k < 2; k++) {
    bt_check check = {.time = made_time(0, 8, 90 * k % 60) + k * BT_HOUR,
                      .has_clock = true,
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ,
                      .state = k == 0 ? BT_AS_FOUND : BT_AS_LEFT};
    check.reading[BT_READING_TARGET_MJ] = 1;
    check.reading[BT_READING_ENERGY_MJ] = k == 0 ? 0.98 : 1.00;
    made_full_check(&made, check);
  }
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->points.n, 1);
  cr_assert_float_eq(study->points.raw[0], 0.98, 1e-12);
  cr_assert((study->checks.flags[1] & BT_POINT_AS_LEFT) != 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A log without times has the day as its time: its checks of one day are no retests of each other.
 */
Test(points, without_a_clock_nothing_is_a_retest) {
  made_ledger made;
  made_begin(&made);
  for (int k = 0; k < 2; k++) {
    bt_check check = {.time = made_time(0, 0, 0),
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ};
    check.reading[BT_READING_TARGET_MJ] = 1;
    check.reading[BT_READING_ENERGY_MJ] = k == 0 ? 0.90 : 1.00;
    made_full_check(&made, check);
  }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.97, 1.03);
  bt_unit_study *unit = made_study(&made, ask_ratio);
  cr_assert_eq(unit->studies[0]->points.checks[0], 2);
  cr_assert((unit->studies[0]->points.flags[0] & BT_POINT_NO_CLOCK) != 0);
  bt_unit_study_free(unit);
  made_end(&made);
}
