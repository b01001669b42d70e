/* Events of one day are one (drift_events.c R1): what a service brought back is told alike where
 * the cleaning and the recalibration that were part of it are entered as well. */
#include "made_ledger.h"

static bt_error error;

enum { DAYS = 260, FELL = 150, SERVICE = 210 };

static const double fall = 0.011;

/* A check a day; lower from day FELL to the service. `more` further events of its day. */
static bt_unit_study *look(made_ledger *made, int more) {
  static const bt_event_kind kinds[] = {BT_EVENT_OPTICS_CLEANED, BT_EVENT_RECALIBRATION};
  uint64_t state = 7;
  made_begin(made);
  made_event(made, made_time(SERVICE, 6, 0), BT_EVENT_SERVICE);
  for (int k = 0; k < more; k++)
    made_event(made, made_time(SERVICE, 6, 10 + k), kinds[k]);
  for (int day = 0; day < DAYS; day++)
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 - (day >= FELL && day < SERVICE ? fall : 0) + 0.003 * made_normal(&state));
  made_finish(made);
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  return unit;
}

Test(drift_one_day, a_service_and_its_parts_are_one_event) {
  made_ledger alone, with;
  bt_unit_study *one = look(&alone, 0);
  const bt_drift *is = &one->drift->drift[0];
  double fell = (double)made_time(FELL, 8, 0) / (double)BT_DAY;
  cr_assert(is->before.changed && is->before.moved.sign < 0);
  cr_expect(is->before.moved.from <= fell && fell <= is->before.moved.to);
  for (int more = 1; more <= 2; more++) {
    bt_unit_study *unit = look(&with, more);
    const bt_drift *drift = &unit->drift->drift[0];
    cr_assert_eq(drift->events_n, (size_t)more + 1);
    for (size_t e = 0; e < drift->events_n; e++)
      cr_expect(drift->events[e].moved, "%zu", e);
    cr_expect_eq(drift->window.from, is->window.from);
    cr_expect_eq(drift->values.n, is->values.n);
    cr_expect(drift->before.changed, "%d more", more);
    cr_expect_float_eq(drift->before.change.likelihood_ratio, is->before.change.likelihood_ratio,
                       1e-9);
    cr_expect_eq(drift->look_back.days, is->look_back.days);
    bt_unit_study_free(unit);
    made_end(&with);
  }
  bt_unit_study_free(one);
  made_end(&alone);
}
