/* What is left of an event's effect when the line of a change that goes on is taken off
 * (drift_events.c R4). */
#include "made_ledger.h"

#include <math.h>

static bt_error error;

enum { DAYS = 260, FROM = 120, BOTTLE = 210, CLEANED = 240 };

static const double a_day = -0.0004, scatter = 0.002;

/* A check a day that falls from day FROM on, and rises by `gain` with the bottle. As a step: it
 * falls at once. */
static bt_unit_study *look(made_ledger *made, double gain, bool as_step) {
  uint64_t state = 5;
  made_begin(made);
  made_event(made, made_time(FROM, 7, 0), BT_EVENT_OPTICS_CLEANED);
  made_event(made, made_time(BOTTLE, 7, 0), BT_EVENT_GAS_BOTTLE);
  made_event(made, made_time(CLEANED, 7, 0), BT_EVENT_OPTICS_CLEANED);
  for (int day = 0; day < DAYS; day++) {
    int since = day > FROM ? day - FROM : 0;
    double fallen = as_step ? (since > 0 ? 50 * a_day : 0) : a_day * since;
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 + fallen + (day >= BOTTLE ? gain : 0) + scatter * made_normal(&state));
  }
  made_finish(made);
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(unit->drift->drift[0].events_n, 3);
  cr_assert(unit->drift->drift[0].moved.changed);
  return unit;
}

/* By a plain loop: 20 values on each side of an event of that day, less that line. */
static double left_at(const bt_drift *drift, const bt_hinge *hinge, int event) {
  double sum[2] = {0};
  for (int day = event - 20; day < event + 20; day++) {
    size_t p = (size_t)day;
    double at = (double)made_time(day, 8, 0) / (double)BT_DAY;
    double line = hinge->per_day * fmax(0, at - hinge->day);
    sum[day >= event] += drift->study->points.value[p] - line;
  }
  return (sum[1] - sum[0]) / 20;
}

static double left_of(const bt_drift *drift) {
  return left_at(drift, &drift->change.hinge, BOTTLE);
}

/* A gain that the fall hides: the means alone say the opposite. */
Test(drift_beyond, the_line_is_taken_off) {
  static const double gains[] = {0, 0.004};
  for (size_t g = 0; g < sizeof gains / sizeof *gains; g++) {
    made_ledger made;
    bt_unit_study *unit = look(&made, gains[g], false);
    const bt_drift *drift = &unit->drift->drift[0];
    const bt_event_effect *bottle = &drift->events[1];
    cr_assert_eq(drift->moved.kind, BT_CHANGE_HINGE);
    cr_expect(bottle->about.difference < 0 && bottle->about.p < 0.01);
    cr_assert(bottle->beyond.given && bottle->beyond.has_interval);
    cr_expect_float_eq(bottle->beyond.difference, left_of(drift), 1e-12);
    cr_expect_eq(bottle->beyond.before.n, 20);
    cr_expect_eq(bottle->beyond.after.n, 20);
    cr_expect_eq(bottle->beyond.p<0.01, gains[g]> 0, "%g", bottle->beyond.p);
    cr_expect_eq(bottle->beyond.low > 0, gains[g] > 0, "%g", bottle->beyond.low);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* An event inside the dates of the onset may be what began it; and a step has no slope. */
Test(drift_beyond, only_after_the_dates_of_an_onset) {
  made_ledger made;
  bt_unit_study *unit = look(&made, 0, false);
  const bt_drift *drift = &unit->drift->drift[0];
  double cleaned = (double)made_time(FROM, 7, 0) / (double)BT_DAY;
  cr_assert(cleaned <= drift->moved.to);
  cr_expect_not(drift->events[0].beyond.given);
  cr_expect(drift->events[1].beyond.given && drift->events[2].beyond.given);
  bt_unit_study_free(unit);
  made_end(&made);
  unit = look(&made, 0, true);
  cr_assert_eq(unit->drift->drift[0].moved.kind, BT_CHANGE_STEP);
  for (size_t e = 0; e < 3; e++)
    cr_expect_not(unit->drift->drift[0].events[e].beyond.given, "%zu", e);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Twenty checks before and after it differ by the drift alone: a recalibration that did nothing is
 * no new begin, one that moved the readings in the midst of the drift is. */
Test(drift_beyond, an_event_in_the_midst_of_a_drift_does_not_hide_it) {
  for (int moves = 0; moves < 2; moves++) {
    uint64_t state = 5;
    made_ledger made;
    made_begin(&made);
    for (int day = 0; day < 220; day++) {
      double lost = day < 100 ? 0 : 0.0004 * (day - 100);
      double put_back = moves && day >= 180 ? 0.025 : 0;
      if (day == 180)
        made_event(&made, made_time(day, 7, 0), BT_EVENT_RECALIBRATION);
      made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
                 1 - lost + put_back + 0.003 * made_normal(&state));
    }
    made_finish(&made);
    bt_drift_request request = {0};
    bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
    cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
    const bt_drift *drift = &unit->drift->drift[0];
    cr_assert_eq(drift->events_n, 1);
    cr_expect(drift->events[0].differs, "%d: p %g, %g", moves, drift->events[0].about.p,
              drift->events[0].about.difference);
    cr_expect_eq(drift->events[0].moved, moves == 1);
    cr_expect_eq(drift->window.event == BT_NONE, moves == 0);
    if (!moves) {
      double began = (double)made_time(100, 8, 0) / (double)BT_DAY;
      cr_expect(drift->moved.changed && drift->moved.kind == BT_CHANGE_HINGE);
      cr_expect(drift->change.from <= began && drift->change.to >= began, "%.1f to %.1f, %.1f",
                drift->change.from, drift->change.to, began);
    }
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* A line that is told up to the event which ended it is taken off there as well, and of what it
 * went on over before that (R5). */
Test(drift_beyond, a_line_up_to_an_event_is_taken_off_too) {
  enum { BEGINS = 100, MOVED_BY = 160, BACK = 200 };
  uint64_t state = 5;
  made_ledger made;
  made_begin(&made);
  made_event(&made, made_time(MOVED_BY, 7, 0), BT_EVENT_MOVED);
  made_event(&made, made_time(BACK, 7, 0), BT_EVENT_RECALIBRATION);
  for (int day = 0; day < 240; day++) {
    double lost = day < BEGINS || day >= BACK ? 0 : 0.0004 * (day - BEGINS);
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 - lost + 0.003 * made_normal(&state));
  }
  made_finish(&made);
  bt_drift_request request = {0};
  bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made.ledger, &request, unit, &error), BT_OK, "%s", error.text);
  const bt_drift *drift = &unit->drift->drift[0];
  cr_assert_eq(drift->events_n, 2);
  cr_assert(drift->before.changed && !drift->moved.changed);
  const int days[] = {MOVED_BY, BACK};
  for (size_t e = 0; e < 2; e++) {
    const bt_event_effect *effect = &drift->events[e];
    cr_assert(effect->beyond.given, "%zu", e);
    cr_expect_float_eq(effect->beyond.difference,
                       left_at(drift, &drift->before.change.hinge, days[e]), 1e-12);
    cr_expect_eq(effect->beyond.p < 0.01, e == 1, "%zu: %g", e, effect->beyond.p);
    cr_expect_eq(effect->moved, e == 1);
  }
  cr_expect_gt(drift->events[1].beyond.difference, drift->events[1].about.difference,
               "the line would have gone on");
  bt_unit_study_free(unit);
  made_end(&made);
}
