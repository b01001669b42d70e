/* Where things stand today: limits as they would be, the first baseline, capability. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static bt_error error;

static const bt_study_request ask_x = {.characteristic = BT_TRACKER_X};

static void x_days(made_ledger *made, int days, double from_30) {
  uint64_t state = 23;
  made_begin(made);
  for (int day = 0; day < days; day++)
    made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
               made_normal(&state) + (day >= 30 ? from_30 : 0), BT_READING_COUNT, 0);
  made_finish(made);
}

/* A late row in a frozen period moves no limit, but it is said what they would be. */
Test(today, a_frozen_period_that_reads_otherwise_is_said) {
  made_ledger made;
  x_days(&made, 60, 0);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 39);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert_not(now->refit.differs);
  cr_assert_eq(now->refit.n, 40);
  cr_assert_float_eq(now->refit.centre, now->chart.centre, 1e-12);
  cr_assert_float_eq(now->refit.ucl, now->chart.ucl, 1e-9);
  cr_assert_eq(now->stability.n, 40);
  double centre = now->chart.centre;
  bt_unit_study_free(unit);

  made_again(&made, "late.csv");
  made_check(&made, made_time(10, 12, 0), BT_READING_OFFSET_X_UM, 1.5, BT_READING_COUNT, 0);
  made_finish(&made);
  unit = made_study(&made, ask_x);
  now = bt_study_now(unit->studies[0]);
  cr_assert(now->refit.differs);
  cr_assert_float_eq(now->chart.centre, centre, 0);
  double sum = 0;
  for (size_t p = 0; p < 40; p++)
    sum += unit->studies[0]->points.raw[p];
  cr_assert_float_eq(now->refit.centre, sum / 40, 1e-12);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Staff repeat what reads far off 20 minutes later. Which of the repeats are retests depends on the
 * limits, and the limits on the retests. */
static bool reads_otherwise(uint64_t state) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 70; day++) {
    double x = made_normal(&state) * (day % 7 == 0 ? 2 : 1);
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, x, BT_READING_COUNT, 0);
    if (fabs(x) > 1.8)
      made_check(&made, made_time(day, 8, 20), BT_READING_OFFSET_X_UM, made_normal(&state),
                 BT_READING_COUNT, 0);
  }
  made_finish(&made);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 59);
  bt_unit_study *unit = made_study(&made, ask_x);
  bool differs = bt_study_now(unit->studies[0])->refit.differs;
  bt_unit_study_free(unit);
  made_end(&made);
  return differs;
}

Test(today, a_period_reads_as_it_was_frozen_where_nothing_was_entered_since) {
  for (uint64_t seed = 90; seed < 104; seed++)
    cr_expect_not(reads_otherwise(seed), "seed %d", (int)seed);
}

/* So few are left of a frozen period that it could not be frozen today: its limits stay. */
Test(today, a_frozen_period_of_which_little_is_left) {
  made_ledger made;
  x_days(&made, 60, 0);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 9);
  for (int day = 0; day < 4; day++)
    cr_assert_eq(bt_ledger_correct_check(made.ledger, "Unit A", made_time(day, 8, 0), 0, NULL, "KL",
                                         "no reading", made_time(900, 0, 0), &error),
                 BT_OK, "%s", error.text);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert_eq(now->state, BT_CHART_DRAWN);
  cr_assert_eq(now->chart.n, 10);
  cr_assert(now->refit.differs);
  cr_assert_eq(now->refit.n, 6);
  cr_assert_not(now->refit.given);
  cr_assert_eq(now->stability.n, 0);
  cr_assert_float_eq(now->stability.trend_p, 1, 0);
  cr_assert_float_eq(now->stability.step_p, 1, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A second baseline hides no loss against the first. */
Test(today, distance_from_the_first_baseline) {
  made_ledger made;
  x_days(&made, 100, 4);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 29);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_not(unit->studies[0]->from_first.given, "it is the first");
  bt_unit_study_free(unit);
  (void)made_freeze(&made, BT_TRACKER_X, 40, 89);
  unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  cr_assert(study->from_first.given);
  cr_assert_eq(study->from_first.from, made_time(0, 0, 0));
  cr_assert_eq(study->from_first.to, made_time(29, 0, 0));
  double sum = 0;
  for (size_t p = 92; p < 100; p++)
    sum += study->points.raw[p];
  cr_assert_float_eq(study->from_first.centre, study->segments[0].chart.centre, 0);
  cr_assert_float_eq(study->from_first.shift, sum / 8 - study->segments[0].chart.centre, 1e-12);
  cr_assert_lt(fabs(study->recent_shift), 1.5);
  cr_assert_gt(study->from_first.shift, 2.5);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A loss of 4 from day 30 on; then somebody freezes days that begin with the first baseline's first
 * and hold the loss, or days before it. In force is the later one, but the first stays the first.
 */
Test(today, no_later_baseline_takes_the_first_ones_place) {
  static const int later[][2] = {{0, 89}, {40, 89}, {-5, 80}};
  for (size_t i = 0; i < sizeof later / sizeof later[0]; i++) {
    made_ledger made;
    x_days(&made, 100, 4);
    (void)made_freeze(&made, BT_TRACKER_X, 0, 29);
    (void)made_freeze(&made, BT_TRACKER_X, later[i][0], later[i][1]);
    bt_unit_study *unit = made_study(&made, ask_x);
    const bt_study *study = unit->studies[0];
    cr_assert_eq(bt_study_now(study)->baseline.from, made_time(later[i][0], 0, 0));
    cr_assert(study->from_first.given, "days %d to %d", later[i][0], later[i][1]);
    cr_assert_eq(study->from_first.from, made_time(0, 0, 0));
    cr_assert_eq(study->from_first.to, made_time(29, 0, 0));
    double before = 0, now = 0;
    for (size_t p = 0; p < 30; p++)
      before += study->points.raw[p] / 30;
    for (size_t p = 92; p < 100; p++)
      now += study->points.raw[p] / 8;
    cr_assert_float_eq(study->from_first.centre, before, 1e-9);
    cr_assert_float_eq(study->from_first.shift, now - before, 1e-9);
    cr_assert_gt(study->from_first.shift, 2.5);
    bt_unit_study_free(unit);

    /* Its own days once more: they judge, and there is nothing else to compare with. */
    (void)made_freeze(&made, BT_TRACKER_X, 0, 29);
    unit = made_study(&made, ask_x);
    cr_assert_eq(bt_study_now(unit->studies[0])->baseline.version, 3);
    cr_assert_not(unit->studies[0]->from_first.given);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* Days that are frozen anew after a correction count as corrected. */
Test(today, the_first_baseline_frozen_anew_after_a_correction) {
  made_ledger made;
  x_days(&made, 100, 4);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 29);
  (void)made_freeze(&made, BT_TRACKER_X, 40, 89);
  cr_assert_eq(bt_ledger_correct_check(made.ledger, "Unit A", made_time(3, 8, 0), 0, NULL, "KL",
                                       "no reading", made_time(900, 0, 0), &error),
               BT_OK, "%s", error.text);
  bt_unit_study *unit = made_study(&made, ask_x);
  double frozen = unit->studies[0]->from_first.centre;
  bt_unit_study_free(unit);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 29);
  (void)made_freeze(&made, BT_TRACKER_X, 40, 89); /* the one above has taken its place */
  unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  double sum = 0;
  for (size_t p = 0; p < 29; p++)
    sum += study->points.raw[p] / 29;
  cr_assert(study->from_first.given);
  cr_assert_float_eq(study->from_first.centre, sum, 1e-9);
  cr_assert_gt(fabs(study->from_first.centre - frozen), 1e-6);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Readings since the baseline began, retests left out; the four indices as their definitions say.
 */
Test(today, capability_of_raw_readings) {
  made_ledger made;
  x_days(&made, 60, 0);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_eq(unit->studies[0]->capability.use, BT_CAPABILITY_NO_TOLERANCE);
  bt_unit_study_free(unit);
  made_tolerance(&made, BT_TRACKER_X, -6, 5);
  (void)made_freeze(&made, BT_TRACKER_X, 10, 49);
  unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  const bt_capability *capability = &study->capability;
  cr_assert_eq(capability->use, BT_CAPABILITY_GIVEN);
  cr_assert_eq(capability->n, 50);
  double mean = 0, squares = 0;
  for (size_t i = 10; i < 60; i++)
    mean += study->checks.raw[i] / 50;
  for (size_t i = 10; i < 60; i++)
    squares += pow(study->checks.raw[i] - mean, 2);
  double s = sqrt(squares / 49), sigma = bt_study_now(study)->chart.sigma;
  cr_assert_float_eq(capability->mean, mean, 1e-12);
  cr_assert_float_eq(capability->overall_s, s, 1e-12);
  cr_assert_float_eq(capability->pp.value, 11 / (6 * s), 1e-9);
  cr_assert_float_eq(capability->ppk.value, fmin(5 - mean, mean + 6) / (3 * s), 1e-9);
  cr_assert_float_eq(capability->cpk.value, fmin(5 - mean, mean + 6) / (3 * sigma), 1e-9);
  cr_assert_eq(capability->baseline_n, 40);
  cr_assert_lt(capability->ppk.low, capability->ppk.value);
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(today, capability_is_not_given_where_it_means_nothing) {
  made_ledger made;
  x_days(&made, 60, 0);
  made_tolerance(&made, BT_TRACKER_X, -20, 20);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 19);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_eq(unit->studies[0]->capability.use, BT_CAPABILITY_NO_BASELINE, "20 points");
  bt_unit_study_free(unit);
  made_end(&made);

  x_days(&made, 38, 6);
  made_tolerance(&made, BT_TRACKER_X, -20, 20);
  bt_study_request ask = ask_x;
  ask.has_baseline = true;
  ask.baseline_from = made_time(0, 0, 0);
  ask.baseline_to = made_time(29, 0, 0);
  unit = made_study(&made, ask);
  cr_assert_eq(unit->studies[0]->capability.use, BT_CAPABILITY_OUT_OF_CONTROL);
  cr_assert_eq(unit->studies[0]->capability.n, 38);
  cr_assert_not(unit->studies[0]->capability.ppk.given);
  bt_unit_study_free(unit);
  made_end(&made);

  made_begin(&made);
  for (int day = 0; day < 40; day++) {
    bt_check check = {.time = made_time(day, 8, 0),
                      .has_clock = true,
                      .present = 1U << BT_READING_OFFSET_X_UM | 1U << BT_READING_OFFSET_Y_UM |
                                 1U << BT_READING_TEMP_C};
    check.reading[BT_READING_OFFSET_X_UM] = (day * 7) % 11;
    check.reading[BT_READING_OFFSET_Y_UM] = (day * 5) % 13;
    check.reading[BT_READING_TEMP_C] = 20 + day % 3;
    made_full_check(&made, check);
  }
  made_finish(&made);
  bt_study_request all = {.unit = "Unit A", .until = made_time(50, 0, 0)};
  cr_assert_eq(bt_study_unit(made.ledger, &all, &unit, &error), BT_OK, "%s", error.text);
  static const bt_characteristic none[] = {BT_TRACKER_RADIAL, BT_TRACKER_VECTOR, BT_TEMPERATURE};
  for (int k = 0; k < 3; k++)
    cr_assert_eq(bt_unit_study_of(unit, none[k])->capability.use, BT_CAPABILITY_NOT_NORMAL);
  bt_unit_study_free(unit);
  made_end(&made);
}
