/* Places of checks in their fills, of hand-written histories. Times are hours after a midnight. */
#include "beamtally/drift.h"
#include "histories.h"

#include <criterion/criterion.h>

static small_history made;

typedef struct place {
  int32_t fill, stretch;
  double age_days;
  uint8_t known;
} place;

static void expect_places(const place *expected, size_t n) {
  int32_t fill[HISTORY_MOST], stretch[HISTORY_MOST];
  double age[HISTORY_MOST];
  uint8_t known[HISTORY_MOST];
  bt_fills fills;
  bt_error error;
  cr_assert_eq(made.history.n, n);
  cr_assert_eq(bt_fills_find(&made.history, &fills, &error), BT_OK);
  cr_assert_eq(bt_fills_place(&fills, &made.history, fill, stretch, age, known, &error), BT_OK);
  for (size_t i = 0; i < n; i++) {
    cr_expect_eq(fill[i], expected[i].fill, "check %zu: fill %d", i, fill[i]);
    cr_expect_eq(stretch[i], expected[i].stretch, "check %zu: stretch %d", i, stretch[i]);
    cr_expect_float_eq(age[i], expected[i].age_days, 1e-9, "check %zu: age %.6f", i, age[i]);
    cr_expect_eq(known[i], expected[i].known, "check %zu: known %d", i, known[i]);
  }
  bt_fills_free(&fills);
}

#define EXPECT_PLACES(...)                                                                         \
  expect_places((place[]){__VA_ARGS__}, sizeof((place[]){__VA_ARGS__}) / sizeof(place))

Test(fill_place, P1_P4_a_reading_at_the_refill_is_of_the_new_fill) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_check(&made, 20, -1, BT_REFILL_NONE);
  history_event(&made, 32, BT_EVENT_GAS_REFILL);
  history_check(&made, 32, -1, BT_REFILL_NONE);
  history_check(&made, 68, -1, BT_REFILL_NONE);
  EXPECT_PLACES({0, 0, 0, 0}, {0, 0, 0.5, 0}, {1, 1, 0, 1}, {1, 1, 1.5, 1});
}

Test(fill_place, P1_flags_before_and_after) {
  history_begin(&made);
  history_check(&made, 0, -1, BT_REFILL_BEFORE);
  history_check(&made, 24, -1, BT_REFILL_AFTER);
  history_check(&made, 24, -1, BT_REFILL_NONE); /* a later row of that moment */
  history_check(&made, 48, -1, BT_REFILL_NONE);
  EXPECT_PLACES({0, 0, 0, 1}, {0, 0, 1, 1}, {1, 1, 0, 1}, {1, 1, 1 - 1.0 / 86400, 1});
}

Test(fill_place, P1_a_refill_after_the_last_check_holds_none) {
  history_begin(&made);
  history_event(&made, 0, BT_EVENT_GAS_REFILL);
  history_check(&made, 6, -1, BT_REFILL_NONE);
  history_event(&made, 60, BT_EVENT_GAS_REFILL);
  EXPECT_PLACES({0, 0, 0.25, 1});
}

Test(fill_place, P2_stretches_split_at_what_steps_the_reading) {
  history_begin(&made);
  history_event(&made, 0, BT_EVENT_GAS_REFILL);
  history_event(&made, 1, BT_EVENT_SERVICE); /* before the first check: splits nothing */
  history_check(&made, 12, -1, BT_REFILL_NONE);
  history_event(&made, 13, BT_EVENT_MOVED); /* no step of the reading is known */
  history_event(&made, 14, BT_EVENT_GAS_BOTTLE);
  history_event(&made, 15, BT_EVENT_OTHER);
  history_check(&made, 24, -1, BT_REFILL_NONE);
  history_event(&made, 36, BT_EVENT_OPTICS_CLEANED);
  history_check(&made, 36, -1, BT_REFILL_NONE); /* at the event's time: after it */
  history_event(&made, 40, BT_EVENT_RECALIBRATION);
  history_event(&made, 41, BT_EVENT_OTHER);
  history_check(&made, 48, -1, BT_REFILL_NONE);
  history_event(&made, 49, BT_EVENT_METER_CHANGED);
  history_check(&made, 54, -1, BT_REFILL_NONE);
  history_event(&made, 55, BT_EVENT_SERVICE);
  history_check(&made, 60, -1, BT_REFILL_NONE);
  history_event(&made, 66, BT_EVENT_GAS_REFILL);
  history_check(&made, 72, -1, BT_REFILL_NONE);
  EXPECT_PLACES({0, 0, 0.5, 1}, {0, 0, 1, 1}, {0, 1, 1.5, 1}, {0, 2, 2, 1}, {0, 3, 2.25, 1},
                {0, 4, 2.5, 1}, {1, 5, 0.25, 1});
}

Test(fill_place, P3_logged_ages_win_events_decide_the_fill) {
  history_begin(&made);
  history_event(&made, 0, BT_EVENT_GAS_REFILL);
  history_check(&made, 12, 0.4, BT_REFILL_NONE);
  history_check(&made, 24, -1, BT_REFILL_NONE);
  history_check(&made, 36, 0.1, BT_REFILL_NONE);
  history_event(&made, 60, BT_EVENT_GAS_REFILL); /* after the last one ages tell of refills */
  EXPECT_PLACES({0, 0, 0.4, 1}, {0, 0, 1, 1}, {0, 0, 0.1, 1});
}

Test(fill_place, P3_logged_ages_alone) {
  history_begin(&made);
  history_check(&made, 0, 2, BT_REFILL_NONE);
  history_check(&made, 24, -1, BT_REFILL_NONE);
  history_check(&made, 48, 0.5, BT_REFILL_NONE);
  history_check(&made, 60, -1, BT_REFILL_NONE);
  EXPECT_PLACES({0, 0, 2, 1}, {0, 0, 3, 1}, {1, 1, 0.5, 1}, {1, 1, 1, 1});
}

Test(fill_place, fills_of_another_history_are_refused) {
  history_begin(&made);
  history_check(&made, 0, -1, BT_REFILL_NONE);
  bt_fills none = {0};
  int32_t fill, stretch;
  double age;
  uint8_t known;
  bt_error error;
  cr_expect_eq(bt_fills_place(&none, &made.history, &fill, &stretch, &age, &known, &error),
               BT_INPUT);
}
