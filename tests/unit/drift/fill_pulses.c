/* Fill ages by the pulse counter, of hand-written histories. Times are hours after a midnight; a
 * day is 1,000 pulses. */
#include "beamtally/drift.h"
#include "histories.h"

#include <criterion/criterion.h>

static small_history made;

typedef struct aged {
  double age_days;
  uint8_t known;
} aged;

static void expect_ages(const aged *expected, size_t n) {
  int32_t fill[HISTORY_MOST], stretch[HISTORY_MOST];
  double age[HISTORY_MOST];
  uint8_t known[HISTORY_MOST];
  bt_fills fills;
  bt_error error;
  cr_assert_eq(made.history.n, n);
  cr_assert_eq(bt_fills_find(&made.history, &fills, &error), BT_OK);
  cr_assert_eq(bt_fills_place(&fills, &made.history, fill, stretch, age, known, &error), BT_OK);
  bt_fills_age_by_pulses(&made.history, 1000, fill, age, known);
  for (size_t i = 0; i < n; i++) {
    cr_expect_float_eq(age[i], expected[i].age_days, 1e-9, "check %zu: age %.6f", i, age[i]);
    cr_expect_eq(known[i], expected[i].known, "check %zu: known %d", i, known[i]);
  }
  bt_fills_free(&fills);
}

#define EXPECT_AGES(...)                                                                           \
  expect_ages((aged[]){__VA_ARGS__}, sizeof((aged[]){__VA_ARGS__}) / sizeof(aged))

/* A check at that hour; pulses < 0: the counter was not read. */
static void check(double hours, double pulses) {
  history_check(&made, hours, -1, BT_REFILL_NONE);
  if (pulses >= 0)
    history_pulses(&made, pulses);
}

Test(fill_pulses, C1_a_counter_that_begins_anew_reads_the_pulses_since_the_refill) {
  history_begin(&made);
  check(8, 2500);
  check(32, 2600);
  history_event(&made, 40, BT_EVENT_GAS_REFILL);
  check(56, 300);
  check(80, 2300);
  history_event(&made, 90, BT_EVENT_GAS_REFILL);
  check(104, 0);
  EXPECT_AGES({2.5, 1}, {2.6, 1}, {0.3, 1}, {2.3, 1}, {0, 1});
}

Test(fill_pulses, C1_without_two_readings_about_a_refill_the_counter_is_the_fills) {
  history_begin(&made);
  check(8, -1);
  history_event(&made, 40, BT_EVENT_GAS_REFILL);
  check(56, 700);
  EXPECT_AGES({0, 0}, {0.7, 1});
}

Test(fill_pulses, C2_a_counter_that_runs_on_counts_from_the_last_reading_before_the_refill) {
  history_begin(&made);
  check(8, 50000);
  check(32, 51000);
  history_event(&made, 40, BT_EVENT_GAS_REFILL);
  check(56, 51500);
  check(80, 54500);
  history_event(&made, 90, BT_EVENT_GAS_REFILL);
  check(104, -1);
  check(128, 55000);
  EXPECT_AGES({0, 0}, {1, 0}, {0.5, 1}, {3.5, 1}, {14.0 / 24, 0}, {0.5, 1});
}

Test(fill_pulses, C3_an_age_that_was_not_read_goes_on_by_the_day_and_is_not_known) {
  history_begin(&made);
  history_event(&made, 0, BT_EVENT_GAS_REFILL);
  check(12, -1);
  check(24, 4000);
  check(72, -1);
  check(96, 4500);
  EXPECT_AGES({0.5, 0}, {4, 1}, {6, 0}, {4.5, 1});
}

Test(fill_pulses, C4_a_counter_that_falls_inside_a_fill_is_trusted_no_more_in_it) {
  history_begin(&made);
  history_event(&made, 0, BT_EVENT_GAS_REFILL);
  check(24, 1000);
  check(48, 100);
  check(72, 700);
  history_event(&made, 80, BT_EVENT_GAS_REFILL);
  check(96, 50);
  EXPECT_AGES({1, 1}, {2, 0}, {2.6, 0}, {0.05, 1});
}

Test(fill_pulses, a_laser_that_fires_evenly_is_as_old_by_pulses_as_by_time) {
  for (int anew = 0; anew < 2; anew++) {
    history_begin(&made);
    aged expected[40];
    for (int day = 0; day < 40; day++) {
      if (day % 4 == 0)
        history_event(&made, 24.0 * day, BT_EVENT_GAS_REFILL);
      /* Read at the refill too, so that no pulse before it is counted to the new fill. */
      check(24.0 * day, anew ? 1000.0 * (day % 4) : 1000.0 * day);
      expected[day] = (aged){day % 4, 1};
      if (!anew) /* from the last reading, a day before the refill; the first fill from its first */
        expected[day] = (aged){day < 4 ? day : day % 4 + 1, day >= 4};
    }
    expect_ages(expected, 40);
  }
}

Test(fill_pulses, an_empty_history_has_no_ages) {
  history_begin(&made);
  bt_fills_age_by_pulses(&made.history, 1000, NULL, NULL, NULL);
}
