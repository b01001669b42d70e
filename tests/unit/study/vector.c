/* T² of the tracker's offset through the ledger: values, phases, screening, drift, frozen numbers.
 */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bt_error error;

static const bt_study_request ask_vector = {.characteristic = BT_TRACKER_VECTOR};

static void offset(made_ledger *made, bt_time at, double x, double y) {
  made_check(made, at, BT_READING_OFFSET_X_UM, x, BT_READING_OFFSET_Y_UM, y);
}

/* One pair a day; x drifts by so much a day. */
static void pairs(made_ledger *made, int days, double drift, double x[], double y[]) {
  uint64_t state = 31;
  made_begin(made);
  for (int day = 0; day < days; day++) {
    x[day] = 4 + 6 * made_normal(&state) + drift * day;
    y[day] = -3 + 0.3 * x[day] + 4 * made_normal(&state);
    offset(made, made_time(day, 8, 0), x[day], y[day]);
  }
  made_finish(made);
}

/* T² from its definition, with a covariance that is inverted by hand. */
static double t2(double dx, double dy, double xx, double yy, double xy) {
  return (yy * dx * dx - 2 * xy * dx * dy + xx * dy * dy) / (xx * yy - xy * xy);
}

static double f_limit(double m) { /* 2(m+1)(m-1)/(m(m-2)) F(2, m-2) at 0.0027 */
  return 2 * (m + 1) * (m - 1) / (m * (m - 2)) * (m - 2) / 2 * (pow(0.0027, -2 / (m - 2)) - 1);
}

static double beta_limit(double m) {
  return (m - 1) * (m - 1) / m * (1 - pow(0.0027, 2 / (m - 3)));
}

Test(vector, values_and_both_limits) {
  enum { DAYS = 80, M = 60 };
  double x[DAYS], y[DAYS], mx = 0, my = 0, xx = 0, yy = 0, xy = 0;
  made_ledger made;
  pairs(&made, DAYS, 0, x, y);
  for (int i = 0; i < M; i++) {
    mx += x[i] / M;
    my += y[i] / M;
  }
  for (int i = 0; i < M; i++) {
    xx += (x[i] - mx) * (x[i] - mx) / (M - 1);
    yy += (y[i] - my) * (y[i] - my) / (M - 1);
    xy += (x[i] - mx) * (y[i] - my) / (M - 1);
  }
  bt_unit_study *unit = made_study(&made, ask_vector);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert_eq(study->points.n, DAYS);
  cr_expect_eq(now->slope.use, BT_AGE_NOT_ASKED, "T² isn't moved to a fill age");
  cr_assert_eq(now->exclusions_n, 0, "nothing of this series is beyond the limit of Phase I");
  cr_assert_not(now->vector.from_differences);
  cr_assert_float_eq(now->vector.phase1_limit, beta_limit(M), 1e-9);
  cr_assert_float_eq(now->vector.phase2_limit, f_limit(M), 1e-9);
  for (int i = 0; i < DAYS; i++) {
    double expected = t2(x[i] - mx, y[i] - my, xx, yy, xy);
    cr_expect_float_eq(study->points.value[i], expected, 1e-9);
    cr_expect_float_eq(study->points.raw[i], expected, 1e-9);
    cr_expect_float_eq(study->checks.raw[i], expected, 1e-9);
    bool beyond = expected > (i < M ? beta_limit(M) : f_limit(M));
    cr_expect_eq((study->rules[BT_HIGH][i] & BT_WE1) != 0, beyond);
    cr_expect_eq(study->rules[BT_LOW][i], 0);
    cr_expect(study->z[i] == 0 && study->cusum.high[i] == 0 && !study->has_range[i]);
  }
  cr_assert_float_eq(now->chart.ucl, now->vector.phase2_limit, 0);
  cr_assert(now->chart.lcl == 0 && now->chart.centre == 0 && now->chart.sigma == 0);
  cr_assert_eq(now->chart.n, M);
  cr_assert_eq(study->recent_n, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A point is T² of the day's mean offset, far less than the mean of its checks' T². */
Test(vector, a_point_is_of_its_days_mean_offset) {
  made_ledger made;
  uint64_t state = 13;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    offset(&made, made_time(day, 8, 0), made_normal(&state), made_normal(&state));
  offset(&made, made_time(60, 8, 0), 3, 0);
  offset(&made, made_time(60, 12, 0), -3, 0);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_vector);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->points.n, 61);
  cr_assert_lt(study->points.value[60], 1);
  cr_assert_gt(study->checks.raw[60], 5);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A wild pair is screened; the repeat of a pair beyond the limit is a retest. */
Test(vector, screening_and_retests) {
  made_ledger made;
  uint64_t state = 19;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    offset(&made, made_time(day, 8, 0), day == 30 ? 40 : made_normal(&state), made_normal(&state));
  offset(&made, made_time(60, 8, 0), 9, 9);
  offset(&made, made_time(60, 8, 30), 0, 0);
  made_finish(&made);
  bt_unit_study *unit = made_study(&made, ask_vector);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert_eq(now->exclusions_n, 1);
  cr_assert_eq(now->exclusions[0].point, 30);
  cr_assert_eq(now->vector.n, 59);
  cr_assert((study->points.flags[30] & BT_POINT_SCREENED) != 0);
  cr_assert((study->rules[BT_HIGH][30] & BT_WE1) != 0);
  cr_assert((study->checks.flags[61] & BT_POINT_RETEST) != 0);
  cr_assert((study->rules[BT_HIGH][60] & BT_WE1) != 0);
  cr_assert((study->rules[BT_HIGH][60] & BT_ALARM_LIMIT) != 0);
  cr_assert_eq(study->strength[60], BT_ALARM);
  cr_assert_eq(study->verdict, BT_VERDICT_ALARM, "T² needs no tolerance to have a verdict");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A day on which x fails its tolerance stays out of the vector's baseline; T² itself fails none. */
Test(vector, failed_offsets_stay_out) {
  made_ledger made;
  uint64_t state = 37;
  made_begin(&made);
  for (int day = 0; day < 40; day++)
    offset(&made, made_time(day, 8, 0), day == 5 ? 3.5 : made_normal(&state) / 2,
           made_normal(&state));
  made_finish(&made);
  made_tolerance(&made, BT_TRACKER_X, -3, 3);
  bt_unit_study *unit = made_study(&made, ask_vector);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert_eq(now->exclusions_n, 1);
  cr_assert_eq(now->exclusions[0].point, 5);
  cr_assert_eq(now->exclusions[0].pass, 0);
  cr_assert_eq(study->tolerance.judged, 0);
  cr_assert_eq(study->rules[BT_HIGH][5] & BT_TOLERANCE_FAILED, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Where the period drifts its covariance is from successive differences, which it hardly widens. */
Test(vector, a_drifting_period_takes_the_differences) {
  enum { DAYS = 60 };
  double x[DAYS], y[DAYS];
  made_ledger made;
  bt_proposal proposal;
  pairs(&made, DAYS, 0.6, x, y);
  bt_unit_study *unit = made_study(&made, ask_vector);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  double differences = 0, sum = 0, squares = 0, m = 0, before = 0;
  for (int i = 0; i < DAYS; i++) {
    if ((unit->studies[0]->points.flags[i] & BT_POINT_SCREENED) != 0)
      continue;
    differences += m > 0 ? pow(x[i] - before, 2) : 0;
    before = x[i];
    sum += x[i];
    squares += x[i] * x[i];
    m++;
  }
  double xx = differences / (2 * (m - 1)), pooled = (squares - sum * sum / m) / (m - 1);
  cr_assert_geq(m, DAYS - 6, "at most one in ten is screened");
  cr_assert(now->stability.drifting);
  cr_assert(now->vector.from_differences);
  cr_assert_float_eq(now->vector.var_x, xx, 1e-9);
  cr_assert_lt(xx, pooled / 2);
  cr_assert_float_eq(now->vector.phase1_limit, -2 * log(0.0027), 1e-9);
  bt_unit_study_free(unit);

  cr_assert_eq(bt_study_baseline(made.ledger, "Unit A", BT_TRACKER_VECTOR, made_time(0, 0, 0),
                                 made_time(59, 0, 0), true, false, &proposal, &error),
               BT_REFUSED);
  (void)made_freeze(&made, BT_TRACKER_VECTOR, 0, 59);
  unit = made_study(&made, ask_vector);
  now = bt_study_now(unit->studies[0]);
  cr_assert_eq(now->baseline.version, 1);
  cr_assert(now->baseline.drift_accepted && now->vector.from_differences);
  cr_assert_float_eq(now->vector.var_x, xx, 1e-9);
  cr_assert_not(now->refit.differs);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* What is frozen are the vector's numbers: a late pair in the period moves neither them nor what
 * follows from them. Before the baseline T² is counted from it, and not judged. */
Test(vector, frozen_numbers_are_the_limits) {
  enum { DAYS = 80 };
  double x[DAYS], y[DAYS];
  made_ledger made;
  pairs(&made, DAYS, 0, x, y);
  (void)made_freeze(&made, BT_TRACKER_VECTOR, 10, 49);
  bt_unit_study *before = made_study(&made, ask_vector);
  const bt_segment *was = bt_study_now(before->studies[0]);
  cr_assert_eq(was->baseline.version, 1);
  cr_assert_eq(was->vector.n, (size_t)was->baseline.n);
  cr_assert_float_eq(was->vector.phase2_limit, f_limit((double)was->vector.n), 1e-9);
  cr_assert_float_eq(was->vector.phase1_limit, beta_limit((double)was->vector.n), 1e-9);
  cr_assert_float_eq(was->vector.df, (double)was->vector.n - 1, 0);
  cr_assert_not(was->refit.differs);
  cr_assert_eq(before->studies[0]->judged[9], 0);
  cr_assert_gt(before->studies[0]->points.value[9], 0);

  made_again(&made, "late.csv");
  offset(&made, made_time(20, 14, 0), 12, -9);
  made_finish(&made);
  bt_unit_study *after = made_study(&made, ask_vector);
  const bt_segment *now = bt_study_now(after->studies[0]);
  cr_assert_float_eq(now->vector.mean_x, was->vector.mean_x, 0);
  cr_assert_float_eq(now->vector.cov_xy, was->vector.cov_xy, 0);
  for (int p = 0; p < DAYS; p++)
    if (p != 20)
      cr_expect_float_eq(after->studies[0]->points.value[p], before->studies[0]->points.value[p],
                         1e-12);
  cr_assert(now->refit.differs);
  bt_unit_study_free(before);
  bt_unit_study_free(after);
  made_end(&made);
}

/* Too few pairs, or all on one line: there is no T², and whoever asks for it is told why. */
Test(vector, none_without_a_vector) {
  for (int k = 0; k < 2; k++) {
    made_ledger made;
    made_begin(&made);
    for (int day = 0; day < (k == 0 ? 7 : 30); day++)
      offset(&made, made_time(day, 8, 0), day * day % 7, k == 0 ? day % 3 : 2 * (day * day % 7));
    made_finish(&made);
    bt_study_request ask = {.unit = "Unit A", .until = made_time(90, 0, 0)};
    bt_unit_study *unit;
    cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
    cr_assert_null(bt_unit_study_of(unit, BT_TRACKER_VECTOR));
    cr_assert_not_null(bt_unit_study_of(unit, BT_TRACKER_X));
    bt_unit_study_free(unit);
    ask.only_one = true;
    ask.characteristic = BT_TRACKER_VECTOR;
    cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_NOTFOUND);
    cr_assert(strstr(error.text, "at least 8 points") != NULL, "%s", error.text);
    made_end(&made);
  }
}
