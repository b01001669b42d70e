/* Which rules the points of a baseline break, by hand: phases, kinds of limits, failed checks. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

enum { N = 8 };

typedef struct made_up {
  double value[N], z[N], high[N], low[N];
  uint8_t judged[N], strength[N];
  uint32_t run_high[N], run_low[N];
  bt_rules above[N], below[N];
  bt_cusum cusum;
  bt_judged of;
} made_up;

/* Points 0 to 2 are Phase I, point 6 is judged by nothing. */
static void make(made_up *made, bt_characteristic characteristic, const double *value) {
  *made = (made_up){.judged = {2, 2, 2, 1, 1, 1, 0, 1}};
  for (size_t p = 0; p < N; p++)
    made->value[p] = value[p];
  made->cusum = (bt_cusum){.k = 0.5,
                           .h = 5,
                           .high = made->high,
                           .low = made->low,
                           .run_high = made->run_high,
                           .run_low = made->run_low};
  made->of = (bt_judged){.characteristic = characteristic,
                         .value = made->value,
                         .judged = made->judged,
                         .z = made->z,
                         .rules = {made->below, made->above},
                         .cusum = &made->cusum};
}

static void expect(const made_up *made, const bt_rules above[N], const bt_rules below[N]) {
  for (size_t p = 0; p < N; p++) {
    cr_expect_eq(made->above[p], above[p], "point %zu, high: %u", p, made->above[p]);
    cr_expect_eq(made->below[p], below[p], "point %zu, low: %u", p, made->below[p]);
  }
}

static bt_segment segment_of(double alarm_limit, double alarm_h) {
  return (bt_segment){.to = N,
                      .phase2 = 3,
                      .state = BT_CHART_DRAWN,
                      .chart = {.centre = 10, .sigma = 2},
                      .alarm = {.given = true, .limit = alarm_limit, .h = alarm_h}};
}

/* In Phase I two points beyond 2 sigma are none; h is passed by 2.5 + 3.5 = 6 at the second of
 * Phase II, and by the last. */
Test(judge, J1_J3_a_chart_and_its_alarm_limits) {
  static const double value[] = {15, 15, 3.9, 16, 18, 3.8, 30, 18};
  bt_error error = {0};
  made_up made;
  make(&made, BT_HIGH_VOLTAGE, value);
  bt_segment segment = segment_of(3.5, 5.9);
  cr_assert_eq(bt_judge_segment(&made.of, &segment, &error), BT_OK, "%s", error.text);
  expect(&made,
         (const bt_rules[N]){0, 0, 0, 0, BT_WE1 | BT_WE2 | BT_CUSUM_SIGNAL, 0, 0,
                             BT_WE1 | BT_WE2 | BT_CUSUM_SIGNAL},
         (const bt_rules[N]){0, 0, BT_WE1, 0, 0, BT_WE1, 0, 0});
  cr_expect_float_eq(made.z[2], -3.05, 1e-12);
  bt_judge_alarms(&made.of, &segment);
  expect(&made,
         (const bt_rules[N]){0, 0, 0, 0,
                             BT_WE1 | BT_WE2 | BT_CUSUM_SIGNAL | BT_ALARM_LIMIT | BT_ALARM_CUSUM, 0,
                             0, BT_WE1 | BT_WE2 | BT_CUSUM_SIGNAL | BT_ALARM_LIMIT},
         (const bt_rules[N]){0, 0, BT_WE1, 0, 0, BT_WE1, 0, 0});
  bt_judge_strengths(&made.of, N, BT_WE1 | BT_ALARM_CUSUM, made.strength);
  cr_expect(made.above[4] == (BT_WE1 | BT_ALARM_CUSUM) && made.above[7] == BT_WE1);
  cr_expect(made.strength[4] == BT_ALARM && made.strength[7] == BT_NOTICE &&
            made.strength[2] == BT_NOTICE && made.strength[3] == BT_QUIET);
  free(made.cusum.excursions);

  make(&made, BT_HIGH_VOLTAGE, value);
  segment = segment_of(0, 0); /* neither: T² alone has the budget, say */
  cr_assert_eq(bt_judge_segment(&made.of, &segment, &error), BT_OK);
  bt_judge_alarms(&made.of, &segment);
  cr_expect_eq((made.above[4] | made.below[5]) & BT_ALARM_RULES, 0);
  free(made.cusum.excursions);

  make(&made, BT_HIGH_VOLTAGE, value);
  segment.state = BT_CHART_RESOLUTION;
  cr_assert_eq(bt_judge_segment(&made.of, &segment, &error), BT_OK);
  bt_judge_alarms(&made.of, &segment);
  expect(&made, (const bt_rules[N]){0}, (const bt_rules[N]){0});
}

/* J5: a billionth of the limit beyond it is still on it. */
Test(judge, J2_offsets_by_their_own_limit) {
  static const double value[] = {4.9, 5.1, 9, 4.9, 5 * (1 + 0.9e-9), 5 * (1 + 1.1e-9), 9, 8};
  bt_error error = {0};
  made_up made;
  bt_segment segment = segment_of(0, 0);
  segment.radial.limit = 5;
  make(&made, BT_TRACKER_RADIAL, value);
  cr_assert_eq(bt_judge_segment(&made.of, &segment, &error), BT_OK);
  expect(&made, (const bt_rules[N]){0, BT_WE1, BT_WE1, 0, 0, BT_WE1, 0, BT_WE1},
         (const bt_rules[N]){0});
  cr_expect_eq(made.z[7], 0, "no zones");

  segment.vector.phase1_limit = 8;
  segment.vector.phase2_limit = 5;
  segment.alarm.t2_limit = 7;
  make(&made, BT_TRACKER_VECTOR, value);
  cr_assert_eq(bt_judge_segment(&made.of, &segment, &error), BT_OK);
  bt_judge_alarms(&made.of, &segment);
  expect(&made, (const bt_rules[N]){0, 0, BT_WE1, 0, 0, BT_WE1, 0, BT_WE1 | BT_ALARM_LIMIT},
         (const bt_rules[N]){0});
}

/* Points on the days 1, 2 and 4, at noon. */
Test(judge, J4_the_point_of_a_failed_check) {
  static const bt_time at[] = {BT_DAY + 12 * BT_HOUR, 2 * BT_DAY + 12 * BT_HOUR,
                               4 * BT_DAY + 12 * BT_HOUR};
  static const struct {
    size_t next;
    bt_time check;
    size_t point;
  } cases[] = {{1, BT_DAY + 12 * BT_HOUR, 0},          /* the point itself */
               {1, BT_DAY + 13 * BT_HOUR, 0},          /* its retest */
               {1, 2 * BT_DAY + 8 * BT_HOUR, 1},       /* as left, before the day's first */
               {2, 3 * BT_DAY + 8 * BT_HOUR, BT_NONE}, /* that day has no point */
               {0, 8 * BT_HOUR, BT_NONE},
               {3, 5 * BT_DAY, BT_NONE}};
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++)
    cr_expect_eq(bt_judge_failed_point(at, 3, cases[k].next, cases[k].check), cases[k].point, "%zu",
                 k);
  cr_expect_eq(bt_judge_failed_point(at, 0, 0, 5), BT_NONE);
}
