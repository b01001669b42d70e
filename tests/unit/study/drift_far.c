/* A reading that stands alone takes no part in drift, whatever it reads (drift_values.c R4): the
 * same log with it and without it tells the same. */
#include "made_ledger.h"

#include <math.h>

static bt_error error;

enum { DAYS = 240, FROM = 150, WILD = 200 };

/* A check a day at 8:00, a refill every third day at 7:00; loses 0.1 % a day inside the fills, and
 * 0.02 % a day for good from day FROM on. One day reads `wild` times what it would; 0: it is not
 * there. */
static bt_unit_study *look(made_ledger *made, double wild) {
  uint64_t state = 11;
  made_begin(made);
  for (int day = 0; day < DAYS; day++) {
    double lost = 0.001 * (day % 3) + 0.0002 * (day > FROM ? day - FROM : 0);
    double read = 1 - lost + 0.003 * made_normal(&state);
    if (day % 3 == 0)
      made_event(made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    if (day == WILD && wild <= 0)
      continue;
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               day == WILD ? wild * read : read);
  }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, 0.97, 1.03);
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(unit->drift->n, 1);
  return unit;
}

static void expect_alike(double value, double without, const char *what, double wild) {
  cr_expect(fabs(value - without) <= 1e-12 * fabs(without), "%s, %g times: %.15g, %.15g", what,
            wild, value, without);
}

Test(drift_far, it_changes_nothing_that_drift_says) {
  static const double wilds[] = {1000, 10, 1.08, 0.93, 0.1};
  made_ledger without, with;
  bt_unit_study *good = look(&without, 0);
  const bt_drift *is = &good->drift->drift[0];
  cr_assert(is->moved.changed);
  cr_assert_eq(is->far_n, 0);
  cr_assert_eq(is->forecast.use, BT_FORECAST_GIVEN);
  for (size_t w = 0; w < sizeof wilds / sizeof *wilds; w++) {
    bt_unit_study *unit = look(&with, wilds[w]);
    const bt_drift *drift = &unit->drift->drift[0];
    cr_assert_eq(drift->far_n, 1, "%g times: %zu", wilds[w], drift->far_n);
    cr_expect_eq(drift->study->points.at[drift->far[0]], made_time(WILD, 8, 0));
    cr_expect_eq(drift->values.n, is->values.n);
    cr_expect_eq(drift->suspected_n, is->suspected_n);
    cr_expect_eq(drift->causes_n, is->causes_n);
    expect_alike(drift->change.likelihood_ratio, is->change.likelihood_ratio, "ratio", wilds[w]);
    expect_alike(drift->change.day, is->change.day, "day", wilds[w]);
    expect_alike(drift->now, is->now, "level", wilds[w]);
    expect_alike(drift->slope.per_day, is->slope.per_day, "slope", wilds[w]);
    expect_alike(drift->trend.slope, is->trend.slope, "trend", wilds[w]);
    expect_alike(drift->forecast.fail_50, is->forecast.fail_50, "forecast", wilds[w]);
    bt_unit_study_free(unit);
    made_end(&with);
  }
  bt_unit_study_free(good);
  made_end(&without);
}

/* What is left out before the window is no part of it, and what failed since the change is. */
Test(drift_far, it_is_of_the_window_alone) {
  uint64_t state = 5;
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 200; day++) {
    double level = day < 100 ? 1 : 0.985, read = level + 0.003 * made_normal(&state);
    if (day == 60 || day == 150) /* alone, far from those around them */
      read *= 0.9;
    if (day == 100)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_SERVICE);
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ, read);
  }
  made_finish(&made);
  bt_drift_request request = {0};
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert_eq(drift->window.from, made_time(100, 7, 0));
  cr_assert_eq(drift->far_n, 2);
  cr_expect_eq(drift->far_before, 1);
  cr_expect_eq(drift->study->points.at[drift->far[1]], made_time(150, 8, 0));
  cr_expect_eq(drift->failed_n, 0, "without a change nothing is counted");
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Failed checks since the change count on its side alone, a retest being none of its own; no
 * more than a reading that stands alone; and how far it has gone is told of what it was before. */
Test(drift_far, what_failed_since_the_change_is_found) {
  uint64_t state = 7;
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 240; day++) {
    double read = 1 - (day > 120 ? 0.0001 * (day - 120) : 0) + 0.003 * made_normal(&state);
    bool fails = day == 40 || day == 200 || day == 220, high = day == 210, comma = day == 190;
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               fails   ? 0.978
               : high  ? 1.007
               : comma ? 0.1
                       : read);
    if (day == 200)
      made_check(&made, made_time(day, 8, 20), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
                 0.977);
  }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.979, 1.006);
  bt_drift_request request = {.past_months = 2};
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert(drift->moved.changed && drift->moved.sign < 0);
  cr_expect_eq(drift->failed_n, 2);
  cr_expect_eq(drift->study->checks.at[drift->first_failed], made_time(200, 8, 0));
  cr_expect_eq(drift->study->points.at[drift->far[drift->far_n - 1]], made_time(190, 8, 0));
  cr_expect_float_eq(drift->gone_per_cent, -1.2, 0.5);
  cr_assert_eq(drift->past_n, 2);
  cr_expect_eq(drift->past[0].until, made_time(181, 0, 0));
  cr_expect_eq(drift->past[0].failed_on, (double)made_time(200, 8, 0) / (double)BT_DAY);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* An offset is 0 where all is well, so that no change of it is a share of what it was. */
Test(drift_far, an_offset_has_gone_by_no_per_cent) {
  uint64_t state = 3;
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 200; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
               0.1 + (day > 100 ? 0.12 * (day - 100) : 0) + 1.5 * made_normal(&state),
               BT_READING_COUNT, 0);
  made_finish(&made);
  bt_drift_request request = {0};
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_TRACKER_X});
  cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
  const bt_drift *drift = bt_unit_drift_of(unit->drift, BT_TRACKER_X);
  cr_assert(drift != NULL && drift->moved.changed);
  cr_expect_gt(drift->change.gone, 5);
  cr_expect_eq(drift->gone_per_cent, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}
