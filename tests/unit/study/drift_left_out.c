/* Which points are no part of the look for drift, counted by why (drift_values.c R2, R3, R5): with
 * those that are looked at they are all points of the days that are. */
#include "made_ledger.h"

static bt_error error;

enum { DAYS = 200, UNAGED = 3, LONG_FILL = 120, OTHER_TARGET = 150, MISREAD = 160 };

/* A check a day at 8:00, a refill every third day at 7:00 from day UNAGED on, but none on day
 * LONG_FILL; loses 0.3 % a day inside the fills. */
static void make_log(made_ledger *made) {
  uint64_t state = 17;
  made_begin(made);
  for (int day = 0; day < DAYS; day++) {
    double target = day == OTHER_TARGET ? 1.05 : 1;
    double read = target * (1 - 0.003 * (day % 3) + 0.001 * made_normal(&state));
    if (day % 3 == 0 && day >= UNAGED && day != LONG_FILL)
      made_event(made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, target, BT_READING_ENERGY_MJ,
               day == MISREAD ? 0.9 : read);
    if (day == MISREAD)
      made_check(made, made_time(day, 8, 20), BT_READING_TARGET_MJ, target, BT_READING_ENERGY_MJ,
                 read);
  }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, 0.97, 1.03);
}

Test(drift_left_out, each_is_counted_once_by_its_reason) {
  made_ledger made;
  bt_drift_request request = {0};
  make_log(&made);
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert_eq(drift->window.event, BT_NONE);
  cr_assert(bt_study_now(drift->study)->baseline.adjusted);
  cr_assert_eq(drift->study->points.n, DAYS);
  cr_expect_eq(drift->misread, 1);
  cr_expect_eq(drift->of_no_age, UNAGED + 2, "before the first refill, and days 4 and 5 of a fill");
  cr_expect_eq(drift->off_baseline, 1, "another target");
  cr_expect_eq(drift->values.n + drift->far_n + drift->misread + drift->of_no_age +
                   drift->off_baseline,
               DAYS);
  bt_unit_study_free(unit);
  made_end(&made);
}
