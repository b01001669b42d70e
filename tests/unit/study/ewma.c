/* The EWMA of a study: which points it averages, where it starts, and what has none. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

/* Points [from, to) hold one run of it, from the segment's centre on. Gives the points judged. */
static int expect_run(const bt_study *study, const bt_segment *segment, size_t from, size_t to) {
  double average = segment->chart.centre;
  int count = 0;
  for (size_t p = from; p < to; p++) {
    if (study->judged[p] != 1) {
      cr_expect(study->ewma.value[p] == 0 && study->ewma.ucl[p] == 0, "point %zu", p);
      continue;
    }
    average = 0.2 * study->points.value[p] + 0.8 * average;
    count++;
    double width = 2.962 * segment->chart.sigma * sqrt(0.2 / 1.8 * (1 - pow(0.8, 2.0 * count)));
    cr_expect_float_eq(study->ewma.value[p], average, 1e-12, "point %zu", p);
    cr_expect_float_eq(study->ewma.lcl[p], segment->chart.centre - width, 1e-12, "point %zu", p);
    cr_expect_float_eq(study->ewma.ucl[p], segment->chart.centre + width, 1e-12, "point %zu", p);
  }
  return count;
}

static void expect_none(const bt_study *study, size_t from, size_t to) {
  for (size_t p = from; p < to; p++)
    cr_expect(study->ewma.value[p] == 0 && study->ewma.lcl[p] == 0 && study->ewma.ucl[p] == 0,
              "point %zu", p);
}

static void x_check(made_ledger *made, int day, double x) {
  made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, x, BT_READING_COUNT, 0);
}

/* It starts with Phase II, and anew with the CUSUM. At its first point its limits are at 2.962
 * sigma, the chart's at 3: a reading between them is no signal. */
Test(ewma, phase_2_and_restarts) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 100; day++)
    x_check(&made, day, day == 60 ? 5.28 : (day % 2 == 0 ? 1 : -1) + (day >= 70 ? 0.8 : 0));
  made_event(&made, made_time(90, 12, 0), BT_EVENT_SERVICE);
  made_event(&made, made_time(95, 12, 0), BT_EVENT_GAS_REFILL);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_TRACKER_X});
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert_eq(now->phase2, 60);
  expect_none(study, 0, 60);
  cr_expect_eq(expect_run(study, now, 60, 91), 31);
  cr_expect_eq(expect_run(study, now, 91, 100), 9);

  cr_expect_gt(study->ewma.value[60], study->ewma.ucl[60]);
  cr_expect_eq(study->rules[BT_HIGH][60], 0);
  cr_expect_eq(study->strength[60], BT_QUIET);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A fill that grows older than the baseline knows is stepped over, and i doesn't count it. */
Test(ewma, points_that_are_not_judged_are_stepped_over) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 90; day++) {
    if (day % 3 == 0 && (day < 72 || day > 81))
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    double ripple = 0.002 * ((day * 37) % 11 - 5) / 5;
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1.01 - 0.01 * (day % 3) + ripple);
  }
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert(study->adjusted, "the adjusted values are averaged");
  cr_assert_eq(now->phase2, 60);
  int judged = expect_run(study, now, 60, 90);
  cr_expect(judged > 15 && judged < 25, "%d", judged);
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(ewma, nothing_carries_over_a_baseline_boundary) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 80; day++)
    x_check(&made, day, (day * 7) % 5 + (day >= 40 ? 100 : 0));
  made_finish(&made);
  (void)made_freeze(&made, BT_TRACKER_X, 10, 29);
  (void)made_freeze(&made, BT_TRACKER_X, 45, 64);
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_TRACKER_X});
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  expect_none(study, 0, 30);
  cr_expect_eq(expect_run(study, &study->segments[0], 30, 45), 15);
  expect_none(study, 45, 65);
  cr_expect_eq(expect_run(study, &study->segments[1], 65, 80), 15);
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(ewma, radius_and_room_conditions_have_none) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 80; day++) {
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, (day * 37) % 11 - 5,
               BT_READING_OFFSET_Y_UM, (day * 31) % 9 - 4);
    made_check(&made, made_time(day, 8, 10), BT_READING_TEMP_C, 20 + day % 3, BT_READING_COUNT, 0);
  }
  made_finish(&made);
  static const bt_characteristic without[] = {BT_TRACKER_RADIAL, BT_TEMPERATURE};
  for (size_t c = 0; c < 2; c++) {
    bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = without[c]});
    const bt_study *study = unit->studies[0];
    cr_assert_eq(study->points.n, 80);
    cr_assert(c == 1 || study->judged[79] == 1);
    expect_none(study, 0, 80);
    bt_unit_study_free(unit);
  }
  made_end(&made);
}
