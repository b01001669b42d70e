/* The tracker's radius on days with several checks: point and limit are of the same mean offsets;
 * and axes too coarse for a chart of their own. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static bt_error error;

enum { BASE = 60, A_DAY = 3 };

/* Three checks within the hour each day, about a day's own offset; from day BASE on the mean offset
 * is moved. */
static void days(made_ledger *made, int n, double moved, double x[], double y[]) {
  uint64_t state = 77;
  made_begin(made);
  for (int day = 0; day < n; day++) {
    double dx = 2 + 3 * made_normal(&state) + (day >= BASE ? moved : 0);
    double dy = -1 + 2 * made_normal(&state);
    x[day] = y[day] = 0;
    for (int k = 0; k < A_DAY; k++) {
      double cx = dx + 12 * made_normal(&state), cy = dy + 12 * made_normal(&state);
      made_check(made, made_time(day, 8, 20 * k), BT_READING_OFFSET_X_UM, cx,
                 BT_READING_OFFSET_Y_UM, cy);
      x[day] += cx / A_DAY;
      y[day] += cy / A_DAY;
    }
  }
  made_finish(made);
}

static bt_unit_study *radius_of(made_ledger *made) {
  bt_study_request ask = {.characteristic = BT_TRACKER_RADIAL,
                          .has_baseline = true,
                          .baseline_from = made_time(0, 0, 0),
                          .baseline_to = made_time(BASE - 1, 0, 0)};
  return made_study(made, ask);
}

/* A point is the length of its day's mean vector, and the limit the quantile of the normal fitted
 * to the mean vectors of the baseline. */
Test(radius, point_and_limit_are_of_the_days_mean_offset) {
  enum { DAYS = 90 };
  double x[DAYS], y[DAYS];
  uint8_t use[BASE];
  made_ledger made;
  days(&made, DAYS, 0, x, y);
  bt_unit_study *unit = radius_of(&made);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  for (int i = 0; i < BASE; i++)
    use[i] = 1;
  bt_radial_limit expected;
  cr_assert_eq(bt_radial_limit_fit(x, y, use, BASE, &expected, &error), BT_OK, "%s", error.text);
  cr_assert_eq(now->radial.n, (size_t)BASE);
  cr_assert_float_eq(now->radial.limit, expected.limit, 1e-9);
  for (int day = 0; day < DAYS; day++) {
    cr_expect_float_eq(study->points.value[day], hypot(x[day], y[day]), 1e-9, "day %d", day);
    cr_expect_eq((study->rules[BT_HIGH][day] & BT_WE1) != 0,
                 hypot(x[day], y[day]) > expected.limit);
    cr_expect_eq(study->points.within_s[day], 0, "the mean of lengths is not charted");
  }
  cr_assert_eq(study->checks.raw[0] == study->points.raw[0], false, "checks keep their own length");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* The chart must see a mean offset that moves by six of its sigmas: a limit of single lengths (12
 * of scatter inside a day) would be about 45, and show none of these days. */
Test(radius, sees_a_moved_mean_offset) {
  enum { DAYS = 100 };
  double x[DAYS], y[DAYS];
  made_ledger made;
  days(&made, DAYS, 40, x, y);
  bt_unit_study *unit = radius_of(&made);
  const bt_study *study = unit->studies[0];
  int seen = 0;
  for (int day = BASE; day < DAYS; day++)
    seen += (study->rules[BT_HIGH][day] & BT_WE1) != 0;
  cr_assert_gt(seen, 35, "%d of 40 days", seen);
  cr_assert_lt(bt_study_now(study)->radial.limit, 35);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* In control with three checks a day: 0.27 % of the days beyond the limit of a baseline of 400.
 * Over 1600 days 4.3 are expected; 0 to 14 has a probability of 0.999 with the limit's own scatter.
 */
Test(radius, keeps_its_rate_with_several_checks_a_day) {
  enum { DAYS = 2000, PHASE1 = 400 };
  double *x = bt_new(DAYS, sizeof *x), *y = bt_new(DAYS, sizeof *y);
  made_ledger made;
  days(&made, DAYS, 0, x, y);
  bt_study_request ask = {.characteristic = BT_TRACKER_RADIAL,
                          .has_baseline = true,
                          .baseline_from = made_time(0, 0, 0),
                          .baseline_to = made_time(PHASE1 - 1, 0, 0)};
  bt_unit_study *unit = made_study(&made, ask);
  int beyond = 0;
  for (size_t p = PHASE1; p < unit->studies[0]->points.n; p++)
    beyond += (unit->studies[0]->rules[BT_HIGH][p] & BT_WE1) != 0;
  cr_assert_leq(beyond, 14, "%d days", beyond);
  cr_assert_geq(beyond, 1, "%d days: a blind chart shows none", beyond);
  bt_unit_study_free(unit);
  made_end(&made);
  free(x);
  free(y);
}

/* y is 0 or 20, with a sigma of about 7: no chart of its own, so none of the radius, nor of T². */
Test(radius, axes_too_coarse_are_refused_together) {
  static const bt_characteristic made_of_both[] = {BT_TRACKER_Y, BT_TRACKER_RADIAL,
                                                   BT_TRACKER_VECTOR};
  made_ledger made;
  uint64_t state = 5;
  made_begin(&made);
  for (int day = 0; day < 80; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, made_normal(&state),
               BT_READING_OFFSET_Y_UM, day % 5 == 2 ? 20 : 0);
  made_finish(&made);
  for (size_t k = 0; k < sizeof made_of_both / sizeof *made_of_both; k++) {
    bt_study_request ask = {.characteristic = made_of_both[k]};
    bt_unit_study *unit = made_study(&made, ask);
    const bt_segment *now = bt_study_now(unit->studies[0]);
    cr_expect_eq(now->state, BT_CHART_RESOLUTION, "%s", unit->studies[0]->quantity.key);
    cr_expect_float_eq(now->resolution.step, 20, 1e-9);
    for (size_t p = 0; p < unit->studies[0]->points.n; p++)
      cr_expect_eq(unit->studies[0]->rules[BT_HIGH][p], 0);
    bt_unit_study_free(unit);
    bt_proposal proposal;
    cr_expect_eq(bt_study_baseline(made.ledger, "Unit A", made_of_both[k], made_time(0, 0, 0),
                                   made_time(59, 0, 0), false, true, &proposal, &error),
                 BT_REFUSED);
    bt_proposal_free(&proposal);
  }
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_eq(bt_study_now(unit->studies[0])->state, BT_CHART_DRAWN);
  bt_unit_study_free(unit);
  made_end(&made);
}
