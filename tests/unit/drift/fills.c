/* Gas fills of hand-written histories. Times are hours after a midnight. */
#include "beamtally/drift.h"
#include "histories.h"

#include <criterion/criterion.h>

#define REFILL BT_EVENT_GAS_REFILL

static small_history made;

/* Finds the fills and expects their beginnings; the last number is the end of the last one.
 * start_known: 1 or 0 for the first. */
static bt_fills expect_fills(size_t n, const double *bounds, bool first_known) {
  bt_fills fills;
  bt_error error;
  cr_assert_eq(bt_fills_find(&made.history, &fills, &error), BT_OK);
  cr_assert_eq(fills.n, n, "%zu fills, not %zu", fills.n, n);
  for (size_t f = 0; f < n; f++) {
    double from = (double)(fills.fill[f].from - HISTORY_START) / (double)BT_HOUR;
    double to = (double)(fills.fill[f].to - HISTORY_START) / (double)BT_HOUR;
    cr_expect_float_eq(from, bounds[f], 1e-9, "fill %zu from %.4f, not %.4f", f, from, bounds[f]);
    cr_expect_float_eq(to, bounds[f + 1], 1e-9, "fill %zu to %.4f, not %.4f", f, to, bounds[f + 1]);
    cr_expect_eq(fills.fill[f].start_known, f > 0 || first_known, "fill %zu", f);
  }
  return fills;
}

#define EXPECT_FILLS(first_known, ...)                                                             \
  expect_fills(sizeof((double[]){__VA_ARGS__}) / sizeof(double) - 1, (double[]){__VA_ARGS__},      \
               first_known)

Test(fills, F8_without_a_check_refills_alone) {
  history_begin(&made);
  history_event(&made, 2, BT_EVENT_SERVICE);
  bt_fills fills;
  bt_error error;
  cr_assert_eq(bt_fills_find(&made.history, &fills, &error), BT_OK);
  cr_expect_eq(fills.n, 0);
  bt_fills_free(&fills);
  history_event(&made, 3, REFILL);
  history_event(&made, 99, REFILL);
  fills = EXPECT_FILLS(true, 3, 99, 99);
  cr_expect_eq(fills.interval_days, 4);
  bt_fills_free(&fills);
}

Test(fills, F5_no_refill_is_one_fill_of_unknown_start) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_check(&made, 32, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(false, 8, 32);
  cr_expect_eq(fills.interval_days, 0);
  cr_expect(!fills.from_log);
  bt_fills_free(&fills);
}

Test(fills, F1_F6_events_other_kinds_do_not_count) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_event(&made, 30, REFILL);
  history_event(&made, 40, BT_EVENT_GAS_BOTTLE);
  history_event(&made, 41, BT_EVENT_SERVICE);
  history_check(&made, 56, -1, BT_REFILL_NONE);
  history_event(&made, 102, REFILL);
  history_check(&made, 104, -1, BT_REFILL_NONE);
  history_event(&made, 198, REFILL);
  bt_fills fills = EXPECT_FILLS(false, 8, 30, 102, 198, 198);
  cr_expect_float_eq(fills.interval_days, 3.5, 1e-12, "median of 3 and 4 days");
  bt_fills_free(&fills);
}

Test(fills, F5_a_refill_before_the_log_begins_the_first_fill) {
  history_begin(&made);
  history_event(&made, 2, REFILL);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_event(&made, 74, REFILL);
  history_check(&made, 80, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(true, 2, 74, 80);
  cr_expect_float_eq(fills.interval_days, 3, 1e-12);
  bt_fills_free(&fills);
}

Test(fills, F1_flags_before_and_after) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_check(&made, 32, -1, BT_REFILL_BEFORE);
  history_check(&made, 56, -1, BT_REFILL_AFTER);
  history_check(&made, 80, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(false, 8, 32, 56 + 1.0 / 3600, 80);
  bt_fills_free(&fills);
}

Test(fills, F3_six_hours_are_one_from_the_later) {
  history_begin(&made);
  history_check(&made, 1, -1, BT_REFILL_NONE);
  history_event(&made, 10, REFILL);
  history_event(&made, 16, REFILL);
  history_check(&made, 40, -1, BT_REFILL_NONE);
  history_event(&made, 50, REFILL);
  history_event(&made, 56 + 1.0 / 3600, REFILL);
  history_check(&made, 64, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(false, 1, 16, 50, 56 + 1.0 / 3600, 64);
  bt_fills_free(&fills);
}

Test(fills, F4_a_refill_without_clock_joins_another_of_its_day) {
  history_begin(&made);
  history_check(&made, 1, -1, BT_REFILL_NONE);
  history_event(&made, 24, REFILL); /* the day's first second stands for the day */
  history_event_without_clock(&made);
  history_check(&made, 24 + 8, -1, BT_REFILL_BEFORE);
  history_event(&made, 72, REFILL);
  history_event_without_clock(&made);
  history_event(&made, 72 + 9, REFILL);
  history_check(&made, 96, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(false, 1, 32, 81, 96);
  bt_fills_free(&fills);

  /* A log of days: the row says on which side of the refill its reading lies. */
  history_begin(&made);
  history_check(&made, 0, -1, BT_REFILL_NONE);
  history_check_without_clock(&made);
  history_check(&made, 24, -1, BT_REFILL_BEFORE);
  history_check_without_clock(&made);
  history_event(&made, 33, REFILL);
  history_check(&made, 48, -1, BT_REFILL_NONE);
  history_check_without_clock(&made);
  fills = EXPECT_FILLS(false, 0, 24, 48);
  bt_fills_free(&fills);
}

Test(fills, F2_F5_logged_ages_alone) {
  history_begin(&made);
  history_check(&made, 10, 1.5, BT_REFILL_NONE); /* filled 26 hours before hour 0 */
  history_check(&made, 34, 2.5, BT_REFILL_NONE);
  history_check(&made, 58, 0.25, BT_REFILL_NONE); /* a drop: filled at 52 */
  history_check(&made, 82, -1, BT_REFILL_NONE);
  history_check(&made, 106, 2.25, BT_REFILL_NONE);
  history_check(&made, 250, 2.5, BT_REFILL_NONE); /* older, but six days on: filled at 190 */
  bt_fills fills = EXPECT_FILLS(true, -26, 52, 190, 250);
  cr_expect(fills.from_log);
  cr_expect_float_eq(fills.interval_days, (78.0 + 138) / 2 / 24, 1e-12);
  bt_fills_free(&fills);
}

Test(fills, F5_a_later_check_logs_the_first_fill_s_age) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_check(&made, 32, 2, BT_REFILL_NONE);
  history_event(&made, 60, REFILL);
  history_check(&made, 80, -1, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(true, -16, 60, 80);
  bt_fills_free(&fills);
}

/* Ages in whole days, cut off: no drop is read into their rounding, and a fill never reaches back
 * over the check before it. */
Test(fills, F2_ages_in_whole_days) {
  history_begin(&made);
  history_check(&made, 9, 0, BT_REFILL_NONE); /* true age 0.9 */
  history_check(&made, 34, 1, BT_REFILL_NONE);
  history_check(&made, 60, 3, BT_REFILL_NONE);
  history_check(&made, 84, 3, BT_REFILL_NONE);
  history_check(&made, 86, 2, BT_REFILL_NONE); /* says hour 38: after the check before it */
  bt_fills fills = EXPECT_FILLS(true, 9, 84 + 1.0 / 3600, 86);
  bt_fills_free(&fills);
}

/* An age that says the very moment of the check before: the refill came just after it, between
 * checks alone and after a recorded refill. */
Test(fills, A1_A4_filled_at_the_check_before) {
  const double soon = 1.0 / 3600;
  history_begin(&made);
  history_check(&made, 10, 1, BT_REFILL_NONE);
  history_check(&made, 34, 3, BT_REFILL_NONE);
  history_check(&made, 58, 1, BT_REFILL_NONE);
  bt_fills alone = EXPECT_FILLS(true, -14, 34 + soon, 58);
  bt_fills_free(&alone);
  history_begin(&made);
  history_event(&made, 7, REFILL);
  history_check(&made, 8, 0, BT_REFILL_NONE);
  history_check(&made, 56, 2, BT_REFILL_NONE);
  history_check(&made, 80, 1, BT_REFILL_NONE);
  bt_fills after = EXPECT_FILLS(true, 7, 56 + soon, 80);
  bt_fills_free(&after);
}

Test(fills, F2_A4_ages_before_the_first_recorded_refill_and_after_the_last) {
  history_begin(&made);
  history_check(&made, 8, -1, BT_REFILL_NONE);
  history_check(&made, 80, 1,
                BT_REFILL_NONE); /* filled at 56: the first fill's start is not known */
  history_check(&made, 104, 0.5, BT_REFILL_NONE);
  history_event(&made, 120, REFILL);
  history_check(&made, 128, 0.1, BT_REFILL_NONE);
  history_check(&made, 140, 0.7, BT_REFILL_NONE);
  history_event(&made, 160, REFILL);
  history_check(&made, 168, 0, BT_REFILL_NONE);
  history_check(&made, 192, 1, BT_REFILL_NONE);
  history_check(&made, 216, 0.5, BT_REFILL_NONE);  /* nobody recorded it: filled at 204 */
  history_check(&made, 288, 1.25, BT_REFILL_NONE); /* older, but three days on: at 258 */
  bt_fills fills = EXPECT_FILLS(false, 8, 56, 92, 120, 160, 204, 258, 288);
  bt_fills_free(&fills);
}

/* Between two recorded refills, and next to the last, ages that disagree make no fill: an age that
 * somebody forgot to set back, whole days cut off or rounded up. */
Test(fills, A4_what_is_recorded_stands) {
  history_begin(&made);
  history_event(&made, 7, REFILL);
  history_check(&made, 8, 3, BT_REFILL_NONE); /* still that of the gas before */
  history_check(&made, 32, 1, BT_REFILL_NONE);
  history_check(&made, 56, 0, BT_REFILL_NONE);
  history_event(&made, 79, REFILL);
  history_check(&made, 80, 4, BT_REFILL_NONE);
  history_check(&made, 104, 1, BT_REFILL_NONE); /* says hour 80 */
  history_check(&made, 128, 2, BT_REFILL_NONE);
  bt_fills fills = EXPECT_FILLS(true, 7, 79, 128);
  bt_fills_free(&fills);
}

/* One check a day at 8, 2,400 pulses a day, a refill at 20 every second day from day 1 on. At the
 * first check after a refill the counter shows the 1,200 pulses of 12 hours. */
static void counted(int days) {
  history_begin(&made);
  for (int day = 0; day < days; day++) {
    history_check(&made, 24 * day + 8, -1, BT_REFILL_NONE);
    history_pulses(&made, day == 0 ? 900 : day % 2 == 0 ? 1200 : day == 1 ? 3300 : 3600);
  }
}

Test(fills, F9_A3_a_pulse_counter_alone) {
  counted(7);
  bt_fills fills = EXPECT_FILLS(false, 8, 44, 92, 140, 152);
  cr_expect(fills.from_counter && !fills.from_log);
  cr_expect_float_eq(fills.interval_days, 2, 1e-12);
  bt_fills_free(&fills);

  /* a check without the counter between hides no refill, and doesn't make one */
  counted(7);
  made.present[1] = made.present[5] = 0;
  bt_fills gaps = EXPECT_FILLS(false, 8, 152);
  cr_expect(!gaps.from_counter, "900, 1200, 3600, 1200, 1200: it falls once");
  bt_fills_free(&gaps);
}

/* Much was fired within minutes: the refill isn't moved before the check before it. */
Test(fills, A3_never_before_the_check_before) {
  history_begin(&made);
  static const double reading[] = {100, 5000, 4900, 9800, 9700, 14600, 14500};
  for (int i = 0; i < 7; i++) {
    history_check(&made, 24 * i, -1, BT_REFILL_NONE);
    history_pulses(&made, reading[i]);
  }
  double soon = 1.0 / 3600;
  bt_fills fills = EXPECT_FILLS(false, 0, 24 + soon, 72 + soon, 120 + soon, 144);
  bt_fills_free(&fills);
}

Test(fills, A2_a_counter_of_the_laser_s_life_tells_no_refill) {
  history_begin(&made);
  for (int day = 0; day < 30; day++) {
    history_check(&made, 24 * day, -1, BT_REFILL_NONE);
    history_pulses(&made, 1000.0 * ((day < 10 ? 500 : 0) + (day >= 20 ? -15 : 0) + day));
  }
  bt_fills fills = EXPECT_FILLS(false, 0, 24 * 29);
  cr_expect(!fills.from_counter);
  bt_fills_free(&fills);
}

Test(fills, F9_events_and_ages_come_before_the_counter) {
  counted(7);
  history_event(&made, 30, REFILL);
  bt_fills fills = EXPECT_FILLS(false, 8, 30, 152);
  cr_expect(!fills.from_counter);
  bt_fills_free(&fills);

  counted(7);
  made.present[6] |= 1U << BT_READING_FILL_AGE_DAYS; /* filled at 128 */
  made.age[6] = 1;
  bt_fills aged = EXPECT_FILLS(false, 8, 128, 152);
  cr_expect(aged.from_log && !aged.from_counter);
  bt_fills_free(&aged);
}
