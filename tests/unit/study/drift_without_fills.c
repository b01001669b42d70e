/* A log that knows no gas fill, or too few: the rate of a change is that since the change, and
 * nothing is said of fills. */
#include "made_ledger.h"

static bt_error error;

enum { WEEKS = 260, BREAK_WEEK = 238 };

static const double a_day = -0.00161 / 30.4375;

/* Five years of weekdays, level up to a Monday and falling from then on. Refills, if any, every
 * Monday from that week on. */
static void put_log(made_ledger *made, int first_refill, int last_refill) {
  uint64_t state = 3;
  made_begin(made);
  for (int week = 0; week < WEEKS; week++)
    for (int weekday = 0; weekday < 5; weekday++) {
      int day = 7 * week + weekday, since = day - 7 * BREAK_WEEK;
      if (weekday == 0 && week >= first_refill && week < last_refill)
        made_event(made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
      made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
                 1 + (since > 0 ? a_day * since : 0) + 0.002 * made_normal(&state));
    }
  made_finish(made);
  made_tolerance(made, BT_ENERGY_RATIO, 0.97, 1.03);
}

static bt_unit_study *look(made_ledger *made) {
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_drift_request drift = {0};
  bt_unit_study *unit = made_study(made, ask);
  cr_assert_eq(bt_study_drift(made->ledger, &drift, unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(unit->drift->n, 1);
  return unit;
}

static double day_number(int day) {
  return (double)made_time(day, 8, 0) / (double)BT_DAY;
}

/* drift_slopes.c R1; change.c. */
Test(drift_without_fills, the_rate_is_that_since_the_change) {
  made_ledger made;
  put_log(&made, WEEKS, WEEKS);
  bt_unit_study *unit = look(&made);
  const bt_drift *drift = &unit->drift->drift[0];
  const bt_hinge *hinge = &drift->change.hinge;
  double onset = day_number(7 * BREAK_WEEK);
  cr_assert(drift->moved.changed);
  cr_assert_eq(drift->change.kind, BT_CHANGE_HINGE);
  cr_expect(drift->change.from <= onset && onset <= drift->change.to);
  cr_expect_float_eq(drift->since, hinge->day, 1e-9);
  cr_expect_not(drift->trend_of_fills);
  cr_expect_geq(drift->trend.from_day, hinge->day);
  cr_expect_float_eq(drift->trend.slope, a_day, 0.15 * -a_day, "%g", drift->trend.slope);
  cr_expect(hinge->low < a_day && a_day < hinge->high && hinge->high < 0, "%g .. %g", hinge->low,
            hinge->high);
  cr_expect(hinge->low < drift->trend.slope && drift->trend.slope < hinge->high);
  /* one line: from the level before, along the rate, to the level now and the forecast's day */
  double now = hinge->before + hinge->per_day * (drift->last_day - hinge->day);
  cr_expect_float_eq(drift->now, now, 1e-9);
  cr_assert_eq(drift->forecast.use, BT_FORECAST_GIVEN);
  cr_expect_float_eq(drift->forecast.mean_at, drift->last_day + (0.97 - now) / hinge->per_day,
                     1e-3);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* drift_slopes.c R5: none known, known on the near side alone, on the far side alone, one too few
 * since the change; and enough. */
Test(drift_without_fills, of_too_few_fills_nothing_is_evidence) {
  static const struct {
    int first, last; /* weeks with a refill */
    bool tell;
  } logs[] = {{WEEKS, WEEKS, false},
              {BREAK_WEEK, WEEKS, false},
              {BREAK_WEEK - 60, BREAK_WEEK - 30, false},
              {BREAK_WEEK - 60, WEEKS, true}};
  for (size_t k = 0; k < sizeof logs / sizeof *logs; k++) {
    made_ledger made;
    put_log(&made, logs[k].first, logs[k].last);
    bt_unit_study *unit = look(&made);
    const bt_drift *drift = &unit->drift->drift[0];
    cr_assert(drift->moved.changed, "%zu", k);
    cr_expect_eq(drift->fills_tell, logs[k].tell, "%zu: %zu before, %zu since", k,
                 drift->fills_before, drift->fills_since);
    for (size_t c = 0; c < drift->causes_n; c++)
      cr_expect(logs[k].tell || (drift->causes[c].kind != BT_CAUSE_GAS_AGEING &&
                                 drift->causes[c].kind != BT_CAUSE_NOT_RESTORED_BY_REFILL),
                "%zu", k);
    cr_expect_eq(drift->causes_n > 0, logs[k].tell, "%zu", k);
    cr_expect_eq(drift->slope.df >= 1, logs[k].tell, "%zu", k);
    cr_expect_eq(drift->baseline_slope.df >= 1, false, "the baseline is older than all refills");
    cr_expect_eq(drift->gas.given, logs[k].tell, "%zu", k);
    cr_expect_eq(drift->parts.given, logs[k].tell, "%zu", k);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}
