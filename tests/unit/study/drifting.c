/* Periods that drift: refused, or frozen with the drift accepted; the tests stand on levels of gas
 * fills where values are moved. */
#include "made_ledger.h"

#include <stdlib.h>
#include <string.h>

static bt_error error;

static bt_status propose(made_ledger *made, bt_characteristic characteristic, int from, int to,
                         bool accept_drift, bt_proposal *proposal) {
  return bt_study_baseline(made->ledger, "Unit A", characteristic, made_time(from, 0, 0),
                           made_time(to, 0, 0), true, accept_drift, proposal, &error);
}

static void x_days(made_ledger *made, int days, double per_day, double step) {
  uint64_t state = 17;
  made_begin(made);
  for (int day = 0; day < days; day++)
    made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
               per_day * day + (day >= days / 2 ? step : 0) + made_normal(&state), BT_READING_COUNT,
               0);
  made_finish(made);
}

Test(drifting, a_trend_is_refused_and_can_be_accepted) {
  made_ledger made;
  bt_proposal proposal;
  x_days(&made, 60, 0.05, 0);
  cr_assert_eq(propose(&made, BT_TRACKER_X, 0, 59, false, &proposal), BT_REFUSED);
  cr_assert(strstr(error.text, " points rise (") != NULL &&
                strstr(error.text, "--accept-drift") != NULL,
            "%s", error.text);
  cr_assert_eq(propose(&made, BT_TRACKER_X, 0, 59, true, &proposal), BT_OK, "%s", error.text);
  cr_assert(proposal.baseline.drift_accepted);
  cr_assert_lt(proposal.baseline.trend_p, 0.01);
  cr_assert(proposal.stability.drifting);
  cr_assert_gt(proposal.stability.tau, 0);
  bt_proposal_free(&proposal);
  made_end(&made);
}

Test(drifting, a_step_is_named_with_its_day) {
  made_ledger made;
  bt_proposal proposal;
  x_days(&made, 16, 0, 8); /* too few for the trend's p to be the smaller */
  cr_assert_eq(propose(&made, BT_TRACKER_X, 0, 15, false, &proposal), BT_REFUSED);
  cr_assert(strstr(error.text, "16 points step at 2026-01-09 (p ") != NULL, "%s", error.text);
  made_end(&made);
}

Test(drifting, a_period_without_drift_is_proposed_with_its_tests_and_exclusions) {
  made_ledger made;
  bt_proposal proposal;
  uint64_t state = 29;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
               day == 20 ? 60 : made_normal(&state), BT_READING_COUNT, 0);
  made_finish(&made);
  cr_assert_eq(propose(&made, BT_TRACKER_X, 0, 59, false, &proposal), BT_OK, "%s", error.text);
  cr_assert_not(proposal.baseline.drift_accepted);
  cr_assert_eq(proposal.stability.n, 59);
  cr_assert_gt(proposal.stability.detectable, 0);
  cr_assert_float_eq(proposal.baseline.trend_p, proposal.stability.trend_p, 0);
  cr_assert_float_eq(proposal.baseline.step_p, proposal.stability.step_p, 0);
  cr_assert_eq(proposal.exclusions_n, 1);
  cr_assert_eq(proposal.exclusions[0].at, made_time(20, 8, 0));
  cr_assert_eq(proposal.exclusions[0].pass, 1);
  cr_assert_gt(proposal.exclusions[0].z, 3);
  bt_proposal_free(&proposal);
  made_end(&made);
}

/* 30 fills of three checks. Nothing changes from fill to fill but for the last loss: the levels are
 * 30 values, each the mean of its three moved checks. */
Test(drifting, levels_of_fills_are_what_is_tested) {
  enum { FILLS = 20 };
  made_ledger made;
  uint64_t state = 41;
  made_begin(&made);
  for (int day = 0; day < 3 * FILLS; day++) {
    if (day % 3 == 0)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1.02 - 0.01 * (day % 3) + 0.001 * made_normal(&state));
  }
  made_finish(&made);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert(now->baseline.adjusted);
  double level[FILLS] = {0};
  uint8_t use[FILLS];
  for (int day = 0; day < 3 * FILLS; day++) {
    level[day / 3] += study->points.value[day] / 3;
    use[day / 3] = 1;
  }
  bt_stability expected;
  cr_assert_eq(bt_stability_test(level, use, FILLS, &expected, &error), BT_OK, "%s", error.text);
  cr_assert_eq(now->stability.n, FILLS);
  cr_assert_float_eq(now->stability.tau, expected.tau, 1e-12);
  cr_assert_float_eq(now->stability.trend_p, expected.trend_p, 1e-12);
  cr_assert_float_eq(now->stability.step_f, expected.step_f, 1e-6);
  cr_assert_eq(now->stability.step_at, 3 * expected.step_at, "the first point of that fill");
  bt_unit_study_free(unit);
  made_end(&made);
}
