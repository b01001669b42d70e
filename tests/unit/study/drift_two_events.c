/* What led to an event that moved the level is not hidden by another event after it, nor by a
 * change since (drift_look_back.c R4). */
#include "made_ledger.h"

static bt_error error;

enum { DAYS = 270, ONSET = 80, CLEANED = 150, SERVED = 190, STEP = 230 };

/* A check a day: falls from day ONSET to the cleaning, which brings most of it back; a service
 * visit takes some; and where `steps` the level falls once more. */
static bt_unit_study *look(made_ledger *made, bool steps) {
  uint64_t state = 29;
  made_begin(made);
  for (int day = 0; day < DAYS; day++) {
    double level = day < ONSET     ? 0
                   : day < CLEANED ? -0.0003 * (day - ONSET)
                   : day < SERVED  ? -0.006
                                   : -0.012;
    if (day == CLEANED)
      made_event(made, made_time(day, 7, 0), BT_EVENT_OPTICS_CLEANED);
    if (day == SERVED)
      made_event(made, made_time(day, 7, 0), BT_EVENT_SERVICE);
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 + level - (steps && day >= STEP ? 0.01 : 0) + 0.002 * made_normal(&state));
  }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, 0.95, 1.05);
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  return unit;
}

Test(drift_two_events, what_changed_before_the_first_of_them_is_told) {
  for (int steps = 0; steps < 2; steps++) {
    made_ledger made;
    bt_unit_study *unit = look(&made, steps == 1);
    const bt_drift *drift = &unit->drift->drift[0];
    double onset = (double)made_time(ONSET, 8, 0) / (double)BT_DAY;
    cr_assert_neq(drift->window.event, BT_NONE);
    cr_expect_eq(drift->window.from, made_time(SERVED, 7, 0));
    cr_expect_eq(drift->moved.changed, steps == 1);
    cr_expect(drift->before.changed && !drift->before.went_on);
    cr_expect_eq(drift->before.until, made_time(CLEANED, 7, 0));
    cr_expect_eq(unit->history.events[drift->before.event].kind, BT_EVENT_OPTICS_CLEANED);
    cr_expect(drift->before.moved.from <= onset && onset <= drift->before.moved.to);
    cr_expect_eq(drift->before.moved.kind, BT_CHANGE_HINGE);
    cr_assert_gt(drift->look_back.days, 0);
    bt_time last = drift->look_back_day[drift->look_back.days - 1];
    cr_expect_eq(last < made_time(CLEANED, 7, 0), steps == 0, "the days of the newest change");
    bt_unit_study_free(unit);
    made_end(&made);
  }
}
