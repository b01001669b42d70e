/* Gas that ages faster from fill to fill: the forecast is of a fill's end as it is by then, not
 * along the slope of the baseline (drift_ahead.c R4). */
#include "made_ledger.h"

#include <math.h>

static bt_error error;

enum { DAYS = 260, FROM = 150, FILL = 5 };

static const double a_day = -0.001, growth = -0.00003, scatter = 0.002, low = 0.95;
static const double end = FILL - 1 + 2.0 / 24, middle = 2 + 2.0 / 24;

static double loss_of(double days) {
  return a_day + growth * fmax(0, days - FROM);
}

/* A check a day, on gas of 1 to 5 days. `grows`: inside the fills; else as much at the mean age,
 * and no refill brings it back. */
static bt_unit_study *look(made_ledger *made, bool grows) {
  uint64_t state = 9;
  made_begin(made);
  for (int day = 0; day < DAYS; day += FILL)
    made_event(made, made_time(day, 6, 0), BT_EVENT_GAS_REFILL);
  for (int day = 0; day < DAYS; day++) {
    double age = day % FILL + 2.0 / 24, lost = a_day * age, more = loss_of(day) - a_day;
    lost += more * (grows ? age : middle);
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 + lost + scatter * made_normal(&state));
  }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, low, 1.05);
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  return unit;
}

/* The day on which the mean at a fill's end meets the limit. */
static double meets(bool grows) {
  double left = low - 1 - a_day * end;
  return (double)made_time(FROM, 8, 0) / (double)BT_DAY + left / (growth * (grows ? end : middle));
}

Test(drift_growing, the_forecast_is_of_a_fills_end_by_then) {
  for (int grows = 0; grows < 2; grows++) {
    made_ledger made;
    bt_unit_study *unit = look(&made, grows == 1);
    const bt_drift *drift = &unit->drift->drift[0];
    double days = DAYS - 1, truth = meets(grows == 1);
    cr_assert_eq(drift->moved.kind, BT_CHANGE_HINGE);
    cr_assert_eq(drift->forecast.use, BT_FORECAST_GIVEN);
    cr_expect_eq(drift->growth.given, grows == 1);
    cr_expect_float_eq(drift->fill_end_days, end, 1e-9);
    double now = 1 + a_day * end + (loss_of(days) - a_day) * (grows ? end : middle);
    cr_expect_float_eq(drift->oldest_now, now, 0.0015, "%d: %g for %g", grows, drift->oldest_now,
                       now);
    cr_expect(drift->forecast.mean_from <= truth && truth <= drift->forecast.mean_to, "%d", grows);
    if (grows) {
      cr_expect_float_eq(drift->forecast.mean_at, truth, 25, "%g for %g", drift->forecast.mean_at,
                         truth);
      cr_expect(drift->growth.low < loss_of(days) && loss_of(days) < drift->growth.high, "%g",
                drift->growth.now);
      cr_expect_leq(drift->fill_days.low, drift->fill_days.days);
    }
    bt_unit_study_free(unit);
    made_end(&made);
  }
}
