/* Days with several checks: the within-day chart, and whether each check may be a point. */
#include "beamtally/spc.h"
#include "made_ledger.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bt_error error;

static void x_check(made_ledger *made, bt_time at, double x) {
  made_check(made, at, BT_READING_OFFSET_X_UM, x, BT_READING_COUNT, 0);
}

/* Days of 1, 2 or 3 checks; all that follows from a day's spread against plain sums. */
Test(several, spread_inside_a_day_and_its_chart) {
  enum { DAYS = 70 };
  static double value[DAYS][3];
  made_ledger made;
  uint64_t state = 11;
  made_begin(&made);
  for (int day = 0; day < DAYS; day++)
    for (int k = 0; k <= day % 3; k++) {
      value[day][k] = 10 + made_normal(&state);
      x_check(&made, made_time(day, 8 + 2 * k, 0), value[day][k]);
    }
  made_finish(&made);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  static const double c4[] = {0, 0, 0.7978845608, 0.8862269255}; /* c4(2), c4(3) */
  double sum = 0;
  int several = 0;
  for (int day = 0; day < DAYS; day++) {
    int n = day % 3 + 1;
    double mean = 0, squares = 0;
    for (int k = 0; k < n; k++)
      mean += value[day][k] / n;
    for (int k = 0; k < n; k++)
      squares += (value[day][k] - mean) * (value[day][k] - mean);
    double s = n < 2 ? 0 : sqrt(squares / (n - 1));
    cr_expect_float_eq(study->points.within_s[day], s, 1e-12, "day %d", day);
    cr_expect_float_eq(study->points.value[day], mean, 1e-12);
    if (day < 60 && n > 1) {
      sum += s / c4[n];
      several++;
    }
  }
  cr_assert_eq(now->within.days, (size_t)several);
  cr_assert_float_eq(now->within.sigma, sum / several, 1e-9);
  for (int day = 0; day < DAYS; day++) {
    int n = day % 3 + 1;
    double ucl = n < 2 ? 0 : (c4[n] + 3 * sqrt(1 - c4[n] * c4[n])) * now->within.sigma;
    cr_expect_float_eq(study->within_s_ucl[day], ucl, 1e-8);
  }
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Where values are moved, so is what a day's spread comes from: a refill between two checks of one
 * day is no spread. */
Test(several, the_spread_is_that_of_moved_values) {
  made_ledger made;
  uint64_t state = 5;
  made_begin(&made);
  for (int day = 0; day < 90; day++) {
    if (day % 3 == 0)
      made_event(&made, made_time(day, 9, 0), BT_EVENT_GAS_REFILL);
    for (int k = 0; k < 2; k++) {
      double age = (day % 3 == 0 && k == 0 ? 3 : day % 3) + (k == 0 ? -1 : 3) / 24.0;
      made_check(&made, made_time(day, k == 0 ? 8 : 12, 0), BT_READING_TARGET_MJ, 1,
                 BT_READING_ENERGY_MJ, 1.02 - 0.01 * age + 0.0005 * made_normal(&state));
    }
  }
  made_finish(&made);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert(now->baseline.adjusted);
  cr_assert_float_eq(now->within.sigma, 0.0005, 0.0002);
  bt_unit_study_free(unit);
  made_end(&made);
}

typedef struct alike {
  double between, within;
  uint64_t seed;
} alike;

/* Three checks a day that share the day's deviation. */
static void import_days(made_ledger *made, alike of, int days) {
  made_begin(made);
  for (int day = 0; day < days; day++) {
    double shared = of.between * made_normal(&of.seed);
    for (int k = 0; k < 3; k++)
      x_check(made, made_time(day, 8 + 2 * k, 0), shared + of.within * made_normal(&of.seed));
  }
  made_finish(made);
}

static bt_status study_every(made_ledger *made, bt_study_request ask, bt_unit_study **unit) {
  ask.unit = "Unit A";
  ask.until = made_time(10000, 0, 0);
  ask.only_one = true;
  ask.characteristic = BT_TRACKER_X;
  ask.every = true;
  return bt_study_unit(made->ledger, &ask, unit, &error);
}

/* In control, with a baseline of 1,000 days so that its own error is small, the day's mean is
 * beyond 3 sigma as often as the table says (0.27 %; of 3,000 days 8, and 20 at most). Single
 * checks, whose moving ranges hardly see the days, would be so more than ten times as often: they
 * are refused. */
Test(several, alike_checks_keep_the_rate_as_day_means_and_are_refused_as_points) {
  enum { DAYS = 4000, BASELINE = 1000 };
  made_ledger made;
  import_days(&made, (alike){.between = 1, .within = 0.4, .seed = 3}, DAYS);
  bt_study_request ask = {.characteristic = BT_TRACKER_X,
                          .has_baseline = true,
                          .baseline_from = made_time(0, 0, 0),
                          .baseline_to = made_time(BASELINE - 1, 0, 0)};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  int beyond = 0, any = 0, single_beyond = 0;
  for (size_t p = BASELINE; p < study->points.n; p++) {
    unsigned rules = study->rules[BT_LOW][p] | study->rules[BT_HIGH][p];
    beyond += (rules & BT_WE1) != 0;
    any += (rules & (BT_WE1 | BT_WE2 | BT_WE3 | BT_WE4)) != 0;
  }
  /* 0.27 of 100 points are beyond 3 sigma, 1.85 marked by a rule (simulated, 200,000 points): 8 and
   * 56 of 3,000. Between the ends of Poisson's 99.9 % band; marks come in flocks, so twice as wide.
   */
  printf("of 3000 day means %d beyond 3 sigma, %d marked by a rule\n", beyond, any);
  cr_assert(beyond >= 1 && beyond <= 20, "%d", beyond);
  cr_assert(any >= 20 && any <= 110, "%d", any);
  cr_assert_lt(bt_study_now(study)->between_p, 1e-6);

  double ranges = 0;
  for (size_t i = 1; i < 3 * BASELINE; i++)
    ranges += fabs(study->checks.raw[i] - study->checks.raw[i - 1]);
  double sigma = ranges / (3 * BASELINE - 1) / 1.1283791671;
  for (size_t i = 3 * BASELINE; i < study->checks.n; i++)
    single_beyond += fabs(study->checks.raw[i] - bt_study_now(study)->chart.centre) > 3 * sigma;
  cr_assert_gt(single_beyond, 10 * 0.0027 * 9000);
  bt_unit_study_free(unit);

  cr_assert_eq(study_every(&made, ask, &unit), BT_REFUSED);
  cr_assert(strstr(error.text, "tracker_x") != NULL && strstr(error.text, "--sigma") != NULL, "%s",
            error.text);
  made_end(&made);
}

/* Where days don't differ each check is a point; with a stated centre and sigma always. */
Test(several, each_check_is_a_point_where_days_are_alike_or_limits_are_stated) {
  made_ledger made;
  import_days(&made, (alike){.between = 0, .within = 1, .seed = 8}, 60);
  bt_unit_study *unit;
  bt_study_request plain = {0}, stated = {.has_centre = true, .has_sigma = true, .sigma = 1};
  cr_assert_eq(study_every(&made, plain, &unit), BT_OK, "%s", error.text);
  const bt_study *study = unit->studies[0];
  cr_assert(study->every);
  cr_assert_eq(study->points.n, 180);
  cr_assert_eq(bt_study_now(study)->chart.n, 60, "the first 60 points");
  cr_assert_geq(bt_study_now(study)->between_p, 0.05);
  for (size_t p = 0; p < 180; p++) {
    cr_assert_eq(study->points.checks[p], 1);
    cr_assert_float_eq(study->points.raw[p], study->checks.raw[p], 0);
  }
  bt_unit_study_free(unit);
  made_end(&made);

  import_days(&made, (alike){.between = 1, .within = 0.1, .seed = 8}, 60);
  cr_assert_eq(study_every(&made, plain, &unit), BT_REFUSED);
  cr_assert_eq(study_every(&made, stated, &unit), BT_OK, "%s", error.text);
  cr_assert_eq(unit->studies[0]->points.n, 180);
  cr_assert_eq(unit->studies[0]->judged[0], 1);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Limits that were frozen for day means don't judge single checks; a retest is no point. */
Test(several, frozen_limits_of_day_means_are_not_those_of_single_checks) {
  made_ledger made;
  uint64_t state = 21;
  made_begin(&made);
  for (int day = 0; day < 40; day++)
    for (int k = 0; k < 3; k++)
      x_check(&made, made_time(day, 8 + 2 * k, 0), made_normal(&state));
  x_check(&made, made_time(40, 8, 0), 30);
  x_check(&made, made_time(40, 8, 30), 0);
  made_finish(&made);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 39);
  bt_unit_study *unit;
  bt_study_request plain = {0};
  cr_assert_eq(study_every(&made, plain, &unit), BT_OK, "%s", error.text);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert_eq(now->baseline.version, 0);
  cr_assert_eq(now->chart.n + now->exclusions_n, 120);
  cr_assert_eq(unit->studies[0]->points.n, 121, "the retest is in no point");
  cr_assert_gt(now->chart.sigma, 0.8);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* The sigma of day means says nothing of single readings: no Cp and Cpk. Readings of one day are
 * alike: the intervals of Pp and Ppk are those of as many readings as there are days. */
Test(several, capability_of_days_with_several_checks) {
  enum { DAYS = 60, CHECKS = 4 };
  made_ledger made;
  uint64_t state = 3;
  made_begin(&made);
  for (int day = 0; day < DAYS; day++) {
    double shared = made_normal(&state);
    for (int k = 0; k < CHECKS; k++)
      x_check(&made, made_time(day, 8 + 2 * k, 0), 10 + shared + 0.3 * made_normal(&state));
  }
  made_finish(&made);
  made_tolerance(&made, BT_TRACKER_X, 0, 20);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_capability *found = &unit->studies[0]->capability;
  cr_assert_eq(found->use, BT_CAPABILITY_GIVEN);
  cr_expect_eq(found->n, DAYS * CHECKS);
  cr_expect_eq(found->days, DAYS);
  cr_expect(!found->cp.given && !found->cpk.given);
  bt_tolerance tolerance = {.has_low = true, .has_high = true, .low = 0, .high = 20};
  bt_capability days = {.n = DAYS, .mean = found->mean, .overall_s = found->overall_s};
  bt_capability_find(&tolerance, &days);
  cr_expect_float_eq(found->pp.low, days.pp.low, 1e-12);
  cr_expect_float_eq(found->ppk.high, days.ppk.high, 1e-12);
  bt_unit_study_free(unit);
  made_end(&made);
}
