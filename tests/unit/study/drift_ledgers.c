/* Drift that is looked for in more than one study: units that share a meter, forecasts of months
 * that are past; and the loss by the pulse counter. */
#include "made_ledger.h"

#include <math.h>
#include <string.h>

static bt_error error;

enum { STEP_DAY = 120, DAYS = 180 };

typedef struct meter_plan {
  const char *unit, *meter;
  int step_day;
  double step; /* in sigmas of a check */
} meter_plan;

static void put_unit(made_ledger *made, const meter_plan *plan, uint64_t *state) {
  for (int day = 0; day < DAYS; day++) {
    double stepped = day >= plan->step_day ? plan->step : 0;
    bt_check check = {.unit = plan->unit,
                      .time = made_time(day, 8, 0),
                      .has_clock = true,
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ};
    check.reading[BT_READING_TARGET_MJ] = 1;
    check.reading[BT_READING_ENERGY_MJ] = 1 + 0.004 * (stepped + made_normal(state));
    check.text[BT_FIELD_METER] = plan->meter;
    check.line = check.last_line = ++made->line;
    cr_assert_eq(bt_import_check(made->import, &check, &error), BT_OK, "%s", error.text);
  }
}

static bt_unit_study *drift_of(made_ledger *made, const char *unit, int until, size_t months) {
  bt_study_request ask = {.unit = unit,
                          .until = made_time(until, 0, 0),
                          .only_one = true,
                          .characteristic = BT_ENERGY_RATIO};
  bt_drift_request drift = {.past_months = months};
  bt_unit_study *study = NULL;
  cr_assert_eq(bt_study_unit(made->ledger, &ask, &study, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_study_drift(made->ledger, &drift, study, &error), BT_OK, "%s", error.text);
  cr_assert_eq(study->drift->n, 1);
  return study;
}

/* R1, R2 of drift_meters.c: one unit for each reason not to count, and one that does. */
Test(drift_ledgers, only_units_of_one_meter_that_step_together) {
  static const meter_plan plans[] = {
      {"Unit A", "M1", STEP_DAY, -4},           {"Unit B", "M1", STEP_DAY, -5},
      {"another meter", "M2", STEP_DAY, -5},    {"the other side", "M1", STEP_DAY, 5},
      {"another day", "M1", STEP_DAY + 40, -5}, {"no step", "M1", STEP_DAY, 0},
      {"no meter", NULL, STEP_DAY, -5}};
  enum { PLANS = sizeof plans / sizeof plans[0] };
  made_ledger made;
  uint64_t state = 5;
  made_begin(&made);
  for (size_t i = 0; i < PLANS; i++)
    put_unit(&made, &plans[i], &state);
  made_finish(&made);
  for (size_t i = 0; i < PLANS; i++) {
    bt_unit_study *study = drift_of(&made, plans[i].unit, DAYS, 0);
    const bt_unit_drift *drift = study->drift;
    cr_expect_eq(drift->drift[0].moved.changed, plans[i].step != 0, "%s", plans[i].unit);
    cr_expect_eq(drift->meters_n, i < 2 ? 1 : 0, "%s: %zu", plans[i].unit, drift->meters_n);
    if (i < 2 && drift->meters_n == 1) {
      double step = (double)made_time(STEP_DAY, 8, 0) / (double)BT_DAY;
      cr_expect_str_eq(drift->meters[0].unit, plans[1 - i].unit);
      cr_expect_str_eq(drift->meters[0].meter, "M1");
      cr_expect(drift->meters[0].from <= step && step <= drift->meters[0].to, "%s", plans[i].unit);
      cr_expect(drift->evidence.meter_shared);
    }
    bt_unit_study_free(study);
  }
  made_end(&made);
}

/* Loses 0.1 sigma a day from day 60 on, and is outside tolerance at last. */
static double losing(int day, uint64_t *state) {
  return 1 + 0.004 * ((day > 60 ? -0.1 * (day - 60) : 0) + made_normal(state));
}

/* Each month's forecast is what a study of that month's end gives by itself; it is scored by the
 * first check outside tolerance after it. */
Test(drift_ledgers, forecasts_of_past_months_are_made_again_and_scored) {
  static const double low = 0.97;
  static const int month_end[] = {59, 90, 120, 151}; /* 1 March to 1 June 2026 */
  made_ledger made;
  uint64_t state = 11;
  double ratio[DAYS];
  made_begin(&made);
  for (int day = 0; day < DAYS; day++) {
    ratio[day] = losing(day, &state);
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               ratio[day]);
  }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, low, 1.03);
  bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 4);
  const bt_drift *now = &study->drift->drift[0];
  cr_assert_eq(now->past_n, 4);
  size_t given = 0;
  for (size_t i = 0; i < now->past_n; i++) {
    const bt_past_forecast *past = &now->past[i];
    int until = month_end[i], failed = until;
    cr_expect_eq(past->until, made_time(until, 0, 0), "month %zu", i);
    while (failed < DAYS && ratio[failed] >= low)
      failed++;
    cr_assert_lt(failed, DAYS);
    cr_expect(past->failed, "month %zu", i);
    cr_expect_eq(past->failed_on, (double)made_time(failed, 8, 0) / (double)BT_DAY, "month %zu", i);
    bt_unit_study *then = drift_of(&made, "Unit A", until, 0);
    const bt_forecast *own = &then->drift->drift[0].forecast;
    cr_expect_eq(past->forecast.use, own->use, "month %zu", i);
    given += own->use == BT_FORECAST_GIVEN;
    cr_expect_eq(past->forecast.fail_5, own->fail_5, "month %zu", i);
    cr_expect_eq(past->forecast.fail_50, own->fail_50, "month %zu", i);
    cr_expect_eq(past->forecast.mean_at, own->mean_at, "month %zu", i);
    cr_expect_eq(past->mean_at_now,
                 now->forecast.use == BT_FORECAST_GIVEN ? now->forecast.mean_at : 0);
    bt_unit_study_free(then);
    cr_expect_eq(past->result,
                 past->forecast.use != BT_FORECAST_GIVEN               ? BT_PAST_NONE
                 : past->failed_on < floor(past->forecast.fail_5)      ? BT_PAST_SOONER
                 : past->failed_on < floor(past->forecast.fail_50) + 1 ? BT_PAST_INSIDE
                                                                       : BT_PAST_LATER,
                 "month %zu", i);
  }
  cr_expect_eq(now->past_score.given, given);
  cr_expect_eq(now->past_score.inside + now->past_score.sooner + now->past_score.later, given);
  cr_expect_eq(now->past_score.open + now->past_score.overtaken, 0);
  cr_expect(given > 0 && given < 4, "before the loss there is none, after it there is: %zu", given);
  bt_unit_study_free(study);
  made_end(&made);
}

/* Against the textbook's pooled slope inside groups: sum of products over sum of squares, both
 * about the means of their fill. */
Test(drift_ledgers, loss_by_the_pulse_counter) {
  enum { FILL = 4 };
  made_ledger made;
  uint64_t state = 23;
  double x[DAYS], y[DAYS], products = 0, squares = 0;
  made_begin(&made);
  for (int day = 0; day < DAYS; day++) {
    if (day % FILL == 0)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    bool counted = day % 7 != 0; /* the counter isn't always noted */
    x[day] = 1e6 + 2500.0 * day + 100.0 * (day % 3);
    y[day] = 1 - 0.003 * (day % FILL) + 0.001 * made_normal(&state);
    bt_check check = {.time = made_time(day, 8, 0),
                      .has_clock = true,
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ};
    check.present |= counted ? 1U << BT_READING_PULSES : 0;
    check.reading[BT_READING_TARGET_MJ] = 1;
    check.reading[BT_READING_ENERGY_MJ] = y[day];
    check.reading[BT_READING_PULSES] = x[day];
    made_full_check(&made, check);
  }
  made_finish(&made);
  for (int fill = 0; fill < DAYS / FILL; fill++) {
    double mean_x = 0, mean_y = 0, n = 0;
    for (int day = fill * FILL; day < (fill + 1) * FILL; day++)
      if (day % 7 != 0) {
        mean_x += x[day];
        mean_y += y[day];
        n++;
      }
    for (int day = fill * FILL; day < (fill + 1) * FILL; day++)
      if (day % 7 != 0) {
        products += (x[day] - mean_x / n) * (y[day] - mean_y / n);
        squares += (x[day] - mean_x / n) * (x[day] - mean_x / n);
      }
  }
  bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
  const bt_slope *slope = &study->drift->drift[0].pulses_slope;
  double expected = 1000 * products / squares;
  cr_expect_lt(expected, -0.001);
  cr_expect_float_eq(slope->per_day, expected, 1e-9 * -expected, "%.12g, %.12g", slope->per_day,
                     expected);
  cr_expect(slope->low < expected && expected < slope->high && slope->high < 0);
  bt_unit_study_free(study);
  made_end(&made);
}

/* Loses 0.1 sigma a day from day 60 on, until the optics are cleaned at noon of day 120; after that
 * as good as new. Or what was done then does no good. */
static void put_cleaned(made_ledger *made, bool helps, double *ratio) {
  uint64_t state = 41;
  for (int day = 0; day < DAYS; day++) {
    double lost = day > 60 && (day <= STEP_DAY || !helps) ? 0.1 * (day - 60) : 0;
    ratio[day] = 1 + 0.004 * (made_normal(&state) - lost);
    made_check(made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               ratio[day]);
  }
  made_event(made, made_time(STEP_DAY, 12, 0), BT_EVENT_OPTICS_CLEANED);
}

/* R2 of drift_look_back.c: after the repair nothing is changing, and it is then that the days are
 * asked for: from the check after the last good one before the dates, to the last before the
 * cleaning. */
Test(drift_ledgers, days_of_a_change_that_was_brought_back) {
  for (int helps = 0; helps < 2; helps++) {
    made_ledger made;
    double ratio[DAYS];
    made_begin(&made);
    put_cleaned(&made, helps, ratio);
    made_finish(&made);
    made_tolerance(&made, BT_ENERGY_RATIO, 0.9, 1.1);
    bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
    const bt_drift *now = &study->drift->drift[0];
    cr_expect_eq(now->moved.changed, !helps);
    cr_expect_eq(now->before.changed, helps);
    const bt_look_back *of = &now->look_back;
    double from = helps ? now->before.moved.from : now->moved.from;
    size_t first = 0; /* check that is not before the dates */
    while ((double)made_time((int)first, 8, 0) < floor(from * (double)BT_DAY))
      first++;
    cr_expect(40 < first && first <= 61, "%zu", first);
    cr_expect_eq(of->last_good, first - 1, "%zu", of->last_good);
    cr_expect_eq(of->days, (helps ? STEP_DAY + 1 : DAYS) - first, "%zu", of->days);
    cr_expect_eq(now->look_back_day[0], made_time((int)first, 0, 0));
    cr_expect_eq(now->look_back_day[of->days - 1], made_time(helps ? STEP_DAY : DAYS - 1, 0, 0));
    cr_expect_eq(of->restored, helps ? (size_t)STEP_DAY + 1 : BT_NONE);
    if (helps) {
      double onset = (double)made_time(60, 8, 0) / (double)BT_DAY;
      cr_expect(now->before.moved.from <= onset && onset <= now->before.moved.to);
      cr_expect_eq(now->causes_n, 0);
    }
    bt_unit_study_free(study);
    made_end(&made);
  }
}

/* R3 of drift_look_back.c: it fell for two months until another meter, which reads lower still, was
 * taken at noon of day 120; since then it holds. */
Test(drift_ledgers, a_change_before_an_event_that_did_not_bring_it_back_is_told) {
  made_ledger made;
  uint64_t state = 41;
  made_begin(&made);
  for (int day = 0; day < DAYS; day++) {
    double lost = day <= 60 ? 0 : day <= STEP_DAY ? 0.1 * (day - 60) : 12;
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1 + 0.004 * (made_normal(&state) - lost));
  }
  made_event(&made, made_time(STEP_DAY, 12, 0), BT_EVENT_METER_CHANGED);
  made_finish(&made);
  bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
  const bt_drift *now = &study->drift->drift[0];
  double onset = (double)made_time(60, 8, 0) / (double)BT_DAY;
  cr_expect_neq(now->window.event, BT_NONE);
  cr_expect_not(now->moved.changed);
  cr_expect_not(now->before.changed);
  cr_expect(now->before.went_on);
  cr_expect_eq(now->before.moved.sign, -1);
  cr_expect(now->before.moved.from <= onset && onset <= now->before.moved.to);
  bt_unit_study_free(study);
  made_end(&made);
}

/* R1 of drift_causes.c: energy and plate, no fluence. The plate alone reads low from one day on; or
 * both do. */
Test(drift_ledgers, a_plate_that_reads_low_without_a_fluence) {
  for (int energy_too = 0; energy_too < 2; energy_too++) {
    made_ledger made;
    uint64_t state = 57;
    made_begin(&made);
    for (int day = 0; day < DAYS; day++) {
      double stepped = day >= STEP_DAY ? -4 : 0;
      bt_check check = {.time = made_time(day, 8, 0),
                        .has_clock = true,
                        .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ |
                                   1U << BT_READING_PLATE_DEPTH_UM | 1U << BT_READING_PLATE_PULSES};
      check.reading[BT_READING_TARGET_MJ] = 1;
      check.reading[BT_READING_ENERGY_MJ] =
          1 + 0.004 * (made_normal(&state) + (energy_too ? stepped : 0));
      check.reading[BT_READING_PLATE_DEPTH_UM] = 20 * (1 + 0.006 * (made_normal(&state) + stepped));
      check.reading[BT_READING_PLATE_PULSES] = 50;
      made_full_check(&made, check);
    }
    made_finish(&made);
    bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
    const bt_unit_drift *drift = study->drift;
    double day = (double)made_time(STEP_DAY, 8, 0) / (double)BT_DAY;
    cr_expect(drift->evidence.plate.changed);
    cr_expect(drift->plate.from <= day && day <= drift->plate.to);
    cr_expect_float_eq((drift->plate.step.after - drift->plate.step.before) / 0.4, -0.024, 0.004);
    cr_expect_float_eq(drift->plate_per_cent, -2.4, 0.4);
    bool named = false;
    for (size_t c = 0; c < drift->drift[0].causes_n; c++)
      named = named || drift->drift[0].causes[c].kind == BT_CAUSE_PLUME_OR_PLATE;
    cr_expect_eq(named, !energy_too);
    bt_unit_study_free(study);
    made_end(&made);
  }
}

/* F8 of the gas fills, whole: a log with a pulse counter and no refill tells a loss that stays from
 * one inside the fills, as if the refills were in it. */
Test(drift_ledgers, fills_of_a_pulse_counter_alone) {
  enum { FILL = 3 };
  bt_fills fills[2] = {0};
  double slope[2];
  for (int events = 0; events < 2; events++) {
    made_ledger made;
    uint64_t state = 71;
    made_begin(&made);
    for (int day = 0; day < DAYS; day++) {
      if (events && day % FILL == 0)
        made_event(&made, made_time(day, 6, 0), BT_EVENT_GAS_REFILL);
      double lost = 0.5 * (day % FILL) + (day > 90 ? 0.08 * (day - 90) : 0);
      bt_check check = {.time = made_time(day, 8, 0),
                        .has_clock = true,
                        .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ |
                                   1U << BT_READING_PULSES};
      check.reading[BT_READING_TARGET_MJ] = 1;
      check.reading[BT_READING_ENERGY_MJ] = 1 + 0.004 * (made_normal(&state) - lost);
      check.reading[BT_READING_PULSES] = 2000 + 24000.0 * (day % FILL);
      made_full_check(&made, check);
    }
    made_finish(&made);
    bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
    const bt_drift *drift = &study->drift->drift[0];
    cr_expect_eq(study->fills.from_counter, !events);
    cr_expect_eq(drift->causes_n, 1);
    cr_expect_eq(drift->causes[0].kind, BT_CAUSE_NOT_RESTORED_BY_REFILL);
    double half = (drift->slope.high - drift->slope.low) / 2;
    cr_expect_float_eq(drift->slope.per_day, -0.00232, 2 * half, "%g", drift->slope.per_day);
    slope[events] = drift->slope.per_day;
    fills[events] = study->fills;
    bt_unit_study_free(study);
    made_end(&made);
  }
  cr_expect_eq(fills[0].n, fills[1].n);
  cr_expect_float_eq(fills[0].interval_days, fills[1].interval_days, 1e-6);
  cr_expect_float_eq(slope[0], slope[1], 1e-12);
}

/* R5 of drift_one.c: readings that rise as the gas ages, where rows note the refills; and a fill of
 * three weeks where they last four days. Moved to a mean fill age, points so old would be none of
 * those looked at: there the gas does not act. */
Test(drift_ledgers, refills_that_may_stand_otherwise_than_they_were) {
  enum { FILL = 4, WITHOUT = 20 };
  static const struct {
    bool noted, ends;
  } cases[] = {{false, false}, {true, false}, {false, true}};
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    made_ledger made;
    uint64_t state = 29;
    made_begin(&made);
    for (int day = 0; day < DAYS; day++) {
      bool refill = day % FILL == 0 && (day < DAYS - WITHOUT || !cases[k].ends);
      if (refill && !cases[k].noted)
        made_event(&made, made_time(day, 6, 0), BT_EVENT_GAS_REFILL);
      bt_check check = {.time = made_time(day, 8, 0),
                        .has_clock = true,
                        .refill = refill && cases[k].noted ? BT_REFILL_BEFORE : BT_REFILL_NONE,
                        .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ};
      check.reading[BT_READING_TARGET_MJ] = 1;
      double gained = cases[k].ends ? 0 : 0.6 * (day % FILL);
      check.reading[BT_READING_ENERGY_MJ] = 1 + 0.004 * (made_normal(&state) + gained);
      made_full_check(&made, check);
    }
    made_finish(&made);
    bt_unit_study *study = drift_of(&made, "Unit A", DAYS, 0);
    const bt_refill_doubt *doubt = &study->drift->drift[0].refill_doubt;
    cr_expect_eq(doubt->wrong_side, cases[k].noted, "%zu", k);
    cr_expect(!cases[k].noted || (doubt->slope.per_day > 0 && doubt->slope.t > 3), "%zu", k);
    cr_expect_eq(doubt->missing, cases[k].ends, "%zu: %g days", k, doubt->age_days);
    if (cases[k].ends) {
      cr_expect_geq(doubt->age_days, WITHOUT);
      cr_expect_eq(doubt->day, (double)made_time(DAYS - 1, 8, 0) / (double)BT_DAY);
    }
    bt_unit_study_free(study);
    made_end(&made);
  }
}
