/* Past forecasts held against made histories: each result on either side of its days, and their
 * count. Days are plain numbers; a forecast's are 100.4 (5 %) and 120.6 (50 %). */
#include "beamtally/drift.h"

#include <criterion/criterion.h>

static bt_past_forecast forecast_of(double failed_on, double event_on) {
  return (bt_past_forecast){.forecast = {.use = BT_FORECAST_GIVEN,
                                         .has_fail_5 = true,
                                         .has_fail_50 = true,
                                         .fail_5 = 100.4,
                                         .fail_50 = 120.6},
                            .failed = failed_on > 0,
                            .failed_on = failed_on,
                            .overtaken = event_on > 0,
                            .overtaken_on = event_on};
}

Test(past, each_result_on_either_side_of_its_days) {
  static const struct {
    double failed, event, last;
    bt_past_result result;
  } cases[] = {
      {99.9, 0, 130, BT_PAST_SOONER},  /* P1 */
      {100.1, 0, 101, BT_PAST_INSIDE}, /* P2: the 5 % day itself, before the hour */
      {120.9, 0, 121, BT_PAST_INSIDE}, /* the 50 % day itself, after the hour */
      {121.1, 0, 130, BT_PAST_LATER},      {0, 0, 121.1, BT_PAST_LATER},
      {0, 0, 120.9, BT_PAST_OPEN},         {0, 110, 115, BT_PAST_OVERTAKEN}, /* P3 */
      {0, 110, 200, BT_PAST_OVERTAKEN},    {0, 120.9, 200, BT_PAST_OVERTAKEN},
      {0, 121.1, 200, BT_PAST_LATER},      {115, 110, 200, BT_PAST_OVERTAKEN},
      {110.3, 110.5, 200, BT_PAST_INSIDE}, {90, 110, 200, BT_PAST_SOONER},
  };
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_past_forecast past = forecast_of(cases[k].failed, cases[k].event);
    cr_expect_eq(bt_past_judge(&past, cases[k].last), cases[k].result, "%zu", k);
  }
}

/* P4 */
Test(past, without_both_days_there_is_nothing_to_hold_it_against) {
  bt_past_forecast past = forecast_of(110, 0);
  past.forecast.has_fail_50 = false;
  cr_expect_eq(bt_past_judge(&past, 200), BT_PAST_NONE);
  past = forecast_of(110, 0);
  past.forecast.use = BT_FORECAST_STEP;
  cr_expect_eq(bt_past_judge(&past, 200), BT_PAST_NONE);
}

Test(past, the_score_counts_each_and_keeps_the_range_of_moves) {
  static const bt_past_result results[] = {BT_PAST_NONE,   BT_PAST_OPEN,  BT_PAST_INSIDE,
                                           BT_PAST_INSIDE, BT_PAST_LATER, BT_PAST_SOONER,
                                           BT_PAST_LATER,  BT_PAST_LATER, BT_PAST_OVERTAKEN};
  enum { N = sizeof results / sizeof *results };
  bt_past_forecast past[N] = {0};
  for (size_t i = 0; i < N; i++)
    past[i].result = results[i];
  past[2].has_moved = past[4].has_moved = past[5].has_moved = true;
  past[2].moved_days = 12;
  past[4].moved_days = -7;
  past[5].moved_days = 3;
  past[6].moved_days = 99; /* not to be held against the newest */
  bt_past_score score = bt_past_score_of(past, N);
  cr_expect_eq(score.given, 8);
  cr_expect_eq(score.open, 1);
  cr_expect_eq(score.inside, 2);
  cr_expect_eq(score.sooner, 1);
  cr_expect_eq(score.later, 3);
  cr_expect_eq(score.overtaken, 1);
  cr_expect_eq(score.moved, 3);
  cr_expect_eq(score.moved_least_days, -7);
  cr_expect_eq(score.moved_most_days, 12);
  score = bt_past_score_of(past, 0);
  cr_expect(score.given == 0 && score.moved == 0 && score.moved_most_days == 0);
}
