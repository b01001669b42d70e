/* The high voltage against baselines of one target energy: a target that changes for good, once by
 * a slip of the pen, slowly, or is not logged. */
#include "made_ledger.h"

#include <math.h>

static const bt_study_request ask = {.characteristic = BT_HIGH_VOLTAGE};

/* Of a laser that needs 1 % more voltage for 1 % more energy: 25 kV at 2 mJ, sigma 0.05 kV. */
static double voltage_for(double target, uint64_t *state) {
  return 25 * (target > 0 ? target / 2 : 1) + 0.05 * made_normal(state);
}

static void add(made_ledger *made, int day, int minute, double voltage, double target) {
  made_check(made, made_time(day, 8, minute), BT_READING_HV_KV, voltage,
             target > 0 ? BT_READING_TARGET_MJ : BT_READING_COUNT, target);
}

/* One check a day, its target given by `target`. */
static void make(made_ledger *made, int days, double (*target)(int day)) {
  uint64_t state = 20260301;
  made_begin(made);
  for (int day = 0; day < days; day++)
    add(made, day, 0, voltage_for(target(day), &state), target(day));
  made_finish(made);
}

static size_t signals_in(const bt_study *study, size_t from, size_t to) {
  size_t n = 0;
  for (size_t p = from; p < to; p++)
    n += (study->rules[BT_LOW][p] | study->rules[BT_HIGH][p]) != 0;
  return n;
}

static size_t count_flagged(const bt_study *study) {
  size_t n = 0;
  for (size_t p = 0; p < study->points.n; p++)
    n += (study->points.flags[p] & BT_POINT_OTHER_TARGET) != 0;
  return n;
}

static double changes_at_100(int day) {
  return day < 100 ? 2.0 : 2.1;
}

/* 2.1 mJ need 1.25 kV more: 25 sigma. Nothing is said of them, and the chart stands as it stood. */
Test(targets, a_change_by_design_is_no_signal) {
  made_ledger made;
  make(&made, 160, changes_at_100);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_float_eq(bt_study_now(study)->target_mj, 2.0, 1e-12);
  cr_assert_eq(count_flagged(study), 60);
  cr_assert_eq(bt_study_other_target_from(study), 100);
  cr_expect_eq(signals_in(study, 100, 160), 0);
  for (size_t p = 100; p < 160; p++)
    cr_assert(study->judged[p] == 0 && !study->has_range[p] && study->cusum.high[p] == 0);
  cr_expect_eq(bt_study_left_out(study, INT64_MIN, INT64_MAX).other_target, 60);
  cr_expect_eq(study->recent_n, 0, "where it is now isn't known from those before");
  cr_expect_eq(bt_study_shown_verdict(study), BT_VERDICT_NO_BASELINE);
  bt_unit_study_free(unit);

  /* Without a target in the log the same voltages are judged, as they always were. */
  made_ledger silent;
  uint64_t state = 20260301;
  made_begin(&silent);
  for (int day = 0; day < 160; day++)
    add(&silent, day, 0, voltage_for(changes_at_100(day), &state), 0);
  made_finish(&silent);
  made_freeze(&silent, BT_HIGH_VOLTAGE, 0, 59);
  unit = made_study(&silent, ask);
  cr_expect_eq(signals_in(unit->studies[0], 100, 160), 60);
  cr_expect_eq(count_flagged(unit->studies[0]), 0);
  cr_expect_eq(bt_study_now(unit->studies[0])->target_mj, 0);
  bt_unit_study_free(unit);
  made_end(&silent);
  made_end(&made);
}

/* Then another change of the voltage, at the same target, is seen: 0.2 kV from day 140 on. */
Test(targets, a_baseline_of_the_new_target_judges_again) {
  made_ledger made;
  uint64_t state = 5;
  made_begin(&made);
  for (int day = 0; day < 160; day++)
    add(&made, day, 0, voltage_for(changes_at_100(day), &state) + (day >= 140 ? 0.2 : 0),
        changes_at_100(day));
  made_finish(&made);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  made_freeze(&made, BT_HIGH_VOLTAGE, 100, 129);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  cr_assert_float_eq(study->segments[0].target_mj, 2.0, 1e-12);
  cr_assert_float_eq(study->segments[1].target_mj, 2.1, 1e-12);
  cr_expect_eq(count_flagged(study), 0);
  cr_expect_eq(signals_in(study, 130, 140), 0);
  cr_expect_gt(signals_in(study, 140, 160), 15);
  cr_expect_not(study->from_first.given, "voltages of two targets are not compared");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* At one target the newest level is compared with the first baseline's, as ever. */
Test(targets, the_first_baseline_of_the_same_target_is_compared) {
  made_ledger made;
  uint64_t state = 5;
  made_begin(&made);
  for (int day = 0; day < 160; day++)
    add(&made, day, 0, voltage_for(2, &state) + (day >= 90 ? 0.2 : 0), 2);
  made_finish(&made);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  made_freeze(&made, BT_HIGH_VOLTAGE, 100, 129);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_from_first *first = &unit->studies[0]->from_first;
  cr_assert(first->given);
  cr_expect_float_eq(first->shift, 0.2, 0.1);
  bt_unit_study_free(unit);
  made_end(&made);
}

static double mistyped_at_80(int day) {
  return day == 80 ? 20 : 2;
}

/* The voltage followed no slip of the pen: that point alone is set aside. The moving range bridges
 * it, and the sums go on. */
Test(targets, a_mistyped_target_sets_aside_one_point) {
  made_ledger made;
  uint64_t state = 7;
  made_begin(&made);
  for (int day = 0; day < 120; day++)
    add(&made, day, 0, voltage_for(2, &state), mistyped_at_80(day));
  made_finish(&made);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(count_flagged(study), 1);
  cr_assert_eq(study->judged[80], 0);
  cr_assert_eq(study->judged[81], 1);
  cr_expect(study->has_range[81]);
  cr_expect_float_eq(study->moving_range[81], fabs(study->points.raw[81] - study->points.raw[79]),
                     1e-12);
  cr_expect_float_eq(study->cusum.high[81], fmax(0, study->cusum.high[79] + study->z[81] - 0.5),
                     1e-12);
  cr_expect_eq(bt_study_other_target_from(study), BT_NONE);
  cr_expect_gt(study->recent_n, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

static double creeps(int day) {
  return day >= 130 ? 2 : 2 * (1 + 0.005 * (day < 60 ? 0 : (day - 60) / 10));
}

/* A target that creeps by 0.5 % each 10 days is followed as far as it goes: the voltage that climbs
 * with it is what the chart is for. Set back at once, by 3.4 %, it is the baseline's own again. */
Test(targets, a_creep_is_followed) {
  made_ledger made;
  make(&made, 150, creeps);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_float_eq(creeps(129), 2.06, 1e-12);
  cr_expect_eq(count_flagged(study), 0);
  for (size_t p = 60; p < 150; p++)
    cr_assert_eq(study->judged[p], 1, "day %zu", p);
  cr_expect_eq(signals_in(study, 80, 130), 50,
               "the voltage follows the creep, and the chart says so");
  bt_unit_study_free(unit);
  made_end(&made);
}

static double jumps_then_creeps(int day) {
  return day < 100 ? 2 : 2.03 * (1 + 0.005 * (day - 100) / 10);
}

/* What was jumped to is not crept to: only points of the baseline's target are followed. */
Test(targets, a_jump_is_not_followed) {
  made_ledger made;
  make(&made, 150, jumps_then_creeps);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  cr_expect_eq(bt_study_other_target_from(unit->studies[0]), 100);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* The first baseline is compared with over a creep, frozen anew, and not over a jump. */
Test(targets, a_creep_is_told_against_the_first_baseline) {
  for (int jump = 0; jump < 2; jump++) {
    made_ledger made;
    uint64_t state = 13;
    made_begin(&made);
    for (int day = 0; day < 170; day++) {
      double target = day < 60 ? 2 : day < 100 && !jump ? 2 + 0.001 * (day - 60) : 2.04;
      add(&made, day, 0, voltage_for(target, &state), target);
    }
    made_finish(&made);
    made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
    made_freeze(&made, BT_HIGH_VOLTAGE, 110, 139);
    bt_unit_study *unit = made_study(&made, ask);
    const bt_from_first *first = &unit->studies[0]->from_first;
    cr_assert_eq(first->given, !jump);
    if (!jump)
      cr_expect_float_eq(first->shift, 0.5, 0.1, "2 %% of 25 kV");
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

static double changes_inside(int day) {
  return day < 40 ? 2.0 : 1.9;
}

/* A suggested baseline over a change stands on the target that most of its points have; the others
 * are neither in it nor among its exclusions. A baseline frozen over it likewise. */
Test(targets, a_baseline_over_a_change_is_of_its_usual_target) {
  for (int frozen = 0; frozen < 2; frozen++) {
    made_ledger made;
    make(&made, 90, changes_inside);
    if (frozen)
      made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
    bt_unit_study *unit = made_study(&made, ask);
    const bt_study *study = unit->studies[0];
    const bt_segment *now = bt_study_now(study);
    cr_assert_eq(now->provisional, frozen == 0);
    cr_assert_float_eq(now->target_mj, 2.0, 1e-12);
    cr_expect_eq(now->chart.n + now->exclusions_n, 40);
    cr_expect_leq(now->exclusions_n, 2);
    cr_expect_float_eq(now->chart.centre, 25, 0.05);
    cr_expect_lt(now->chart.sigma, 0.1);
    cr_expect_not(now->stability.drifting, "p %g and %g", now->stability.trend_p,
                  now->stability.step_p);
    cr_expect_not(now->refit.differs);
    cr_expect_float_eq(now->alarm.checks_a_year, 365.25, 1e-9, "the clinic's rate, all points");
    for (size_t p = 40; p < 90; p++)
      cr_assert_eq(study->judged[p], 0);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* Half of the points at each: the lower one, a target that was set, not the mean of both. */
Test(targets, of_two_middle_targets_it_is_the_lower) {
  made_ledger made;
  uint64_t state = 3;
  made_begin(&made);
  for (int day = 0; day < 20; day++)
    add(&made, day, 0, voltage_for(day < 10 ? 2.2 : 2, &state), day < 10 ? 2.2 : 2);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_float_eq(bt_study_now(study)->target_mj, 2.0, 1e-12);
  cr_expect_eq(bt_study_now(study)->chart.n + bt_study_now(study)->exclusions_n, 10);
  cr_expect_eq(count_flagged(study), 10);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A check at another target lies beyond the limits by design: the one after it is no retest. */
Test(targets, a_check_at_another_target_calls_for_no_retest) {
  for (int logged = 0; logged < 2; logged++) {
    made_ledger made;
    uint64_t state = 11;
    made_begin(&made);
    for (int day = 0; day < 100; day++)
      if (day == 80) {
        add(&made, day, 0, voltage_for(2.1, &state), logged ? 2.1 : 0);
        add(&made, day, 20, voltage_for(2, &state), logged ? 2 : 0);
      } else
        add(&made, day, 0, voltage_for(2, &state), 2);
    made_finish(&made);
    made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
    bt_unit_study *unit = made_study(&made, ask);
    const bt_study *study = unit->studies[0];
    cr_assert_eq(study->points.n, 100);
    cr_assert_eq(study->points.checks[80], logged ? 2 : 1);
    cr_expect_eq((study->checks.flags[81] & BT_POINT_RETEST) != 0, !logged);
    cr_expect_float_eq(study->points.target_mj[80], logged ? 2.05 : 0, 1e-12);
    cr_expect_eq(study->judged[80], logged ? 0 : 1);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* The ceiling is the ceiling, whatever the voltage is for. */
Test(targets, tolerance_judges_all_the_same) {
  made_ledger made;
  make(&made, 160, changes_at_100);
  made_tolerance(&made, BT_HIGH_VOLTAGE, 20, 26);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  for (size_t p = 100; p < 160; p++)
    cr_assert_eq(study->rules[BT_HIGH][p], study->points.raw[p] > 26 ? BT_TOLERANCE_FAILED : 0);
  cr_expect_gt(signals_in(study, 100, 160), 50);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Readings against the ceiling are of one target, too: none is counted from two. */
Test(targets, capability_is_of_one_target) {
  made_ledger made;
  make(&made, 160, changes_at_100);
  made_tolerance(&made, BT_HIGH_VOLTAGE, 20, 30);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_capability *found = &unit->studies[0]->capability;
  cr_expect_eq(found->use, BT_CAPABILITY_OTHER_TARGET);
  cr_expect_eq(found->n, 100);
  cr_expect_float_eq(found->mean, 25, 0.05);
  bt_unit_study_free(unit);
  made_end(&made);
}

static const bt_drift *drift_of(made_ledger *made, bt_unit_study **unit) {
  bt_study_request request = {.unit = "Unit A", .until = made_time(400, 0, 0)};
  bt_drift_request plain = {0};
  bt_error error = {0};
  cr_assert_eq(bt_study_unit(made->ledger, &request, unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_study_drift(made->ledger, &plain, *unit, &error), BT_OK, "%s", error.text);
  return bt_unit_drift_of((*unit)->drift, BT_HIGH_VOLTAGE);
}

/* The step by design is no change of the laser; nor is one said of days before it. With a baseline
 * of the new target its days alone are looked at. */
Test(targets, drift_is_of_one_target) {
  made_ledger made;
  bt_unit_study *unit;
  make(&made, 160, changes_at_100);
  made_freeze(&made, BT_HIGH_VOLTAGE, 0, 59);
  const bt_drift *drift = drift_of(&made, &unit);
  cr_assert_eq(drift->use, BT_DRIFT_OTHER_TARGET);
  cr_expect_not(drift->moved.changed);
  cr_expect_eq(drift->forecast.use, BT_FORECAST_NO_DRIFT);
  bt_unit_study_free(unit);
  made_freeze(&made, BT_HIGH_VOLTAGE, 100, 129);
  drift = drift_of(&made, &unit);
  cr_assert_eq(drift->use, BT_DRIFT_LOOKED_AT);
  cr_expect_eq(drift->values.n, 60);
  cr_expect_not(drift->moved.changed);
  cr_expect_float_eq(drift->now, 26.25, 0.1);
  bt_unit_study_free(unit);
  made_end(&made);
}
