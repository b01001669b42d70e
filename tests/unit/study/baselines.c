/* Baselines and what is judged by them. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static const bt_study_request ask_ratio = {.characteristic = BT_ENERGY_RATIO};
static const bt_study_request ask_x = {.characteristic = BT_TRACKER_X};

static void x_check(made_ledger *made, int day, double x) {
  made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, x, BT_READING_COUNT, 0);
}

/* Individuals example of the NIST/SEMATECH e-Handbook, 6.3.2.2 (published mean 50.81, MRbar
 * 1.8778; limits with exact d2 computed): the suggested baseline of ten points gives them. */
Test(baselines, suggested_baseline_gives_the_handbook_limits) {
  static const double flow[] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 10; day++)
    x_check(&made, day, flow[day]);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert(now->provisional);
  cr_assert_eq(now->baseline.n, 10);
  cr_assert_float_eq(now->chart.centre, 50.81, 1e-9);
  cr_assert_float_eq(now->chart.mr_centre, 1.877778, 5e-7);
  cr_assert_float_eq(now->chart.ucl, 55.80241, 5e-6);
  cr_assert_float_eq(now->chart.lcl, 45.81759, 5e-6);
  cr_assert_eq(now->phase2, 10, "no Phase II yet");
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(baselines, under_eight_points_there_is_none) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 7; day++)
    x_check(&made, day, day % 3);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_eq(bt_study_now(unit->studies[0])->state, BT_CHART_TOO_FEW);
  bt_unit_study_free(unit);

  bt_error error;
  bt_proposal proposal;
  cr_assert_eq(bt_study_baseline(made.ledger, "Unit A", BT_TRACKER_X, made_time(0, 0, 0),
                                 made_time(6, 0, 0), false, false, &proposal, &error),
               BT_REFUSED);
  made_end(&made);
}

Test(baselines, equal_readings_give_no_chart) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 20; day++)
    x_check(&made, day, 2.5);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_eq(bt_study_now(unit->studies[0])->state, BT_CHART_RESOLUTION);
  for (int p = 0; p < 20; p++)
    cr_assert_eq(unit->studies[0]->judged[p], 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* One wild reading in twenty is screened; three in twenty are more than one in ten, and stay. */
Test(baselines, screening_stops_at_one_in_ten) {
  for (int wild = 1; wild <= 3; wild += 2) {
    made_ledger made;
    made_begin(&made);
    for (int day = 0; day < 20; day++)
      x_check(&made, day, day % 7 == 3 && day / 7 < wild ? 80 : (day * 7) % 5);
    made_finish(&made);
    bt_unit_study *unit = made_study(&made, ask_x);
    const bt_study *study = unit->studies[0];
    const bt_segment *now = bt_study_now(study);
    if (wild == 1) {
      cr_assert_eq(now->exclusions_n, 1);
      cr_assert_eq(now->exclusions[0].point, 3);
      cr_assert_eq(now->baseline.n, 19);
      cr_assert((study->points.flags[3] & BT_POINT_SCREENED) != 0);
      cr_assert((study->rules[BT_HIGH][3] & BT_WE1) != 0);
      cr_assert(study->has_range[4] && study->moving_range[4] < 10,
                "the moving range bridges a screened point");
    } else {
      cr_assert_eq(now->exclusions_n, 0);
      cr_assert_eq(now->baseline.n, 20);
    }
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* A sawtooth of 0.01 a day over three-day fills with a small ripple: the adjusted chart has none of
 * it left, the raw one keeps it. */
Test(baselines, fill_age_adjustment_takes_the_sawtooth_out) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 90; day++) {
    if (day % 3 == 0)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    double ripple = 0.002 * ((day * 37) % 11 - 5) / 5;
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1.01 - 0.01 * (day % 3) + ripple);
  }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.9, 1.1);
  bt_study_request ask = ask_ratio;
  bt_unit_study *adjusted = made_study(&made, ask);
  ask.series = BT_SERIES_RAW;
  bt_unit_study *raw = made_study(&made, ask);
  const bt_segment *moved = bt_study_now(adjusted->studies[0]);
  const bt_segment *kept = bt_study_now(raw->studies[0]);
  cr_assert(adjusted->studies[0]->adjusted);
  cr_assert_not(raw->studies[0]->adjusted);
  cr_assert_eq(kept->slope.use, BT_AGE_NOT_ASKED);
  cr_assert_float_eq(moved->slope.per_day, -0.01, 0.0005);
  cr_assert_lt(moved->chart.sigma, kept->chart.sigma / 3);
  for (int p = 0; p < 90; p++) {
    double age = p % 3 + 1.0 / 24;
    double expected = adjusted->studies[0]->points.raw[p] -
                      moved->slope.per_day * (age - moved->slope.mean_age_days);
    cr_assert_float_eq(adjusted->studies[0]->points.value[p], expected, 1e-12);
  }
  /* The tolerance is of raw readings, which the sigma of moved ones is not. */
  const bt_capability *of_moved = &adjusted->studies[0]->capability;
  const bt_capability *of_raw = &raw->studies[0]->capability;
  cr_expect(of_moved->use == BT_CAPABILITY_GIVEN && of_raw->use == BT_CAPABILITY_GIVEN);
  cr_expect(of_moved->ppk.given && !of_moved->cpk.given && !of_moved->cp.given);
  cr_expect(of_raw->ppk.given && of_raw->cpk.given && of_raw->cp.given);
  cr_expect_float_eq(of_moved->ppk.value, of_raw->ppk.value, 1e-12);
  bt_unit_study_free(adjusted);
  bt_unit_study_free(raw);
  made_end(&made);
}

/* Phase I is judged by the 3-sigma limit only; eight on one side there are no signal, later ones
 * are; a service restarts the CUSUM at its first point, with the headstart. */
Test(baselines, phases_and_restarts) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 100; day++) {
    double ripple = day % 2 == 0 ? 1 : -1;
    double shift = day >= 20 && day < 30 ? 1.2 : day >= 70 ? 2.5 : 0;
    x_check(&made, day, ripple + shift);
  }
  made_event(&made, made_time(90, 12, 0), BT_EVENT_SERVICE);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  for (int p = 0; p < 60; p++) {
    cr_assert_eq(study->judged[p], 2);
    cr_assert_eq(study->rules[BT_HIGH][p] & ~BT_WE1, 0, "point %d is of Phase I", p);
    cr_assert_eq(study->cusum.high[p], 0);
  }
  cr_assert((study->rules[BT_HIGH][89] & BT_WE4) != 0);
  cr_assert((study->rules[BT_HIGH][89] & BT_CUSUM_SIGNAL) != 0);
  cr_assert_eq(study->cusum.restarts_n, 1);
  cr_assert_eq(study->cusum.restarts[0].point, 91);
  cr_assert_eq(study->cusum.restarts[0].kind, BT_EVENT_SERVICE);
  double z = study->z[91];
  double expected = fmax(0, study->cusum.headstart * study->cusum.h + z - study->cusum.k);
  cr_assert_float_eq(study->cusum.high[91], expected, 1e-12);
  cr_assert_eq(study->restarted, BT_NONE, "nine points have passed");
  bt_unit_study_free(unit);

  bt_study_request early = ask_x;
  early.until = made_time(95, 0, 0);
  unit = made_study(&made, early);
  cr_assert_eq(unit->studies[0]->restarted, 0, "four points are too early to say");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A frozen baseline's numbers stay when the record grows; before its first day there are no
 * limits; a later baseline takes over from its first day. */
Test(baselines, frozen_baselines_judge_their_own_stretch) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 80; day++)
    x_check(&made, day, (day * 7) % 5 + (day >= 40 ? 100 : 0));
  made_finish(&made);
  cr_assert_eq(made_freeze(&made, BT_TRACKER_X, 10, 29), 1);
  cr_assert_eq(made_freeze(&made, BT_TRACKER_X, 45, 64), 2);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  cr_assert_not(study->segments[0].provisional);
  cr_assert_eq(study->segments[0].chart.n, 20);
  cr_assert_eq(study->segments[1].chart.n, 20);
  cr_assert_eq(study->points.segment[9], -1);
  cr_assert_eq(study->points.segment[10], 0);
  cr_assert_eq(study->points.segment[44], 0);
  cr_assert_eq(study->points.segment[45], 1);
  cr_assert_float_eq(study->segments[0].chart.centre, 2.0, 1e-9);
  cr_assert_float_eq(study->segments[1].chart.centre, 102.0, 1e-9);
  cr_assert((study->rules[BT_HIGH][40] & BT_WE1) != 0);
  cr_assert_eq(study->rules[BT_HIGH][50], 0);
  cr_assert_eq(study->judged[9], 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(baselines, stated_centre_and_sigma_judge_every_point) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 5; day++)
    x_check(&made, day, day == 4 ? 3.5 : 0);
  made_finish(&made);
  bt_study_request ask = ask_x;
  ask.has_centre = ask.has_sigma = true;
  ask.sigma = 1;
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->judged[0], 1);
  cr_assert((study->rules[BT_HIGH][4] & BT_WE1) != 0);
  cr_assert(bt_study_now(study)->stated);
  bt_unit_study_free(unit);
  made_end(&made);
}
