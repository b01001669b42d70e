/* Which points are no part of the look for drift, counted by why (drift_values.c R2, R3, R5): with
 * those that are looked at they are all points of the days that are. */
#include "made_ledger.h"
#include "study_drift.h"

static bt_error error;

enum { SCREENED = 15, UNAGED = 3, LONG_FILL = 120, OTHER_TARGET = 150, MISREAD = 160 };

/* So many days with a check at 8:00, a refill every third day at 7:00 from day UNAGED on, but none
 * on day LONG_FILL; loses 0.3 % a day inside the fills. */
static void make_log(made_ledger *made, int days) {
  uint64_t state = 17;
  made_begin(made);
  for (int day = 0; day < days; day++) {
    double read = 1 - 0.003 * (day % 3) + 0.001 * made_normal(&state);
    if (day % 3 == 0 && day >= UNAGED && day != LONG_FILL)
      made_event(made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               day == MISREAD    ? 0.9
               : day == SCREENED ? 1.02
                                 : read);
    if (day == MISREAD)
      made_check(made, made_time(day, 8, 20), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ, read);
  }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, 0.97, 1.03);
}

static bt_unit_study *look(made_ledger *made, bt_characteristic characteristic) {
  bt_drift_request request = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = characteristic});
  cr_assert_eq(bt_study_drift(made->ledger, &request, unit, &error), BT_OK, "%s", error.text);
  return unit;
}

static size_t screened(const bt_drift *drift, size_t from) {
  const bt_series *points = &drift->study->points;
  size_t n = 0;
  for (size_t p = from; p < points->n; p++)
    n += (points->flags[p] & BT_POINT_SCREENED) != 0;
  return n;
}

static void must_be_all(const bt_drift *drift, size_t points) {
  cr_expect_eq(drift->values.n + (drift->far_n - drift->far_before) + drift->misread +
                   drift->of_no_age + drift->off_baseline,
               points);
}

Test(drift_left_out, each_is_counted_once_by_its_reason) {
  enum { DAYS = 200 };
  made_ledger made;
  make_log(&made, DAYS);
  bt_unit_study *unit = look(&made, BT_ENERGY_RATIO);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert_eq(drift->window.event, BT_NONE);
  cr_assert(bt_study_now(drift->study)->baseline.adjusted);
  cr_assert_eq(drift->study->points.n, DAYS);
  cr_assert((drift->study->points.flags[SCREENED] & BT_POINT_SCREENED) != 0);
  cr_expect_eq(drift->misread, 1);
  cr_expect_eq(drift->of_no_age, UNAGED + 2, "before the first refill, and days 4 and 5 of a fill");
  cr_expect_eq(drift->off_baseline, screened(drift, 0));
  cr_expect_eq(drift->looked_from, made_time(0, 8, 0));
  must_be_all(drift, DAYS);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Of many values the newest are looked at: what was left out before them is not counted. */
Test(drift_left_out, of_the_days_looked_at_alone) {
  enum { DAYS = DRIFT_MOST_VALUES + 60 };
  made_ledger made;
  make_log(&made, DAYS);
  bt_unit_study *unit = look(&made, BT_ENERGY_RATIO);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert(drift->values.cut);
  size_t first = drift->values.point[0];
  cr_assert_gt(first, SCREENED);
  cr_expect_eq(drift->looked_from, drift->study->points.at[first]);
  cr_expect_eq(drift->misread, 1);
  cr_expect_eq(drift->of_no_age, 2);
  cr_expect_eq(drift->off_baseline, screened(drift, first));
  must_be_all(drift, DAYS - first);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A voltage that held another target energy is another quantity. */
Test(drift_left_out, a_voltage_of_another_target) {
  enum { DAYS = 200 };
  uint64_t state = 23;
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < DAYS; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, day == OTHER_TARGET ? 1.05 : 1,
               BT_READING_HV_KV, 20 + 0.05 * made_normal(&state));
  made_finish(&made);
  bt_unit_study *unit = look(&made, BT_HIGH_VOLTAGE);
  const bt_drift *drift = bt_unit_drift_of(unit->drift, BT_HIGH_VOLTAGE);
  cr_assert_not_null(drift);
  cr_expect_eq(drift->off_baseline, screened(drift, 0) + 1);
  must_be_all(drift, DAYS);
  bt_unit_study_free(unit);
  made_end(&made);
}
