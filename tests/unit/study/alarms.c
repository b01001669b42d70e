/* Alarm limits: which charts share the unit's budget, what each segment's are, what they mark. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static bt_error error;

enum { RATIO = 1, FLUENCE = 2, VOLTAGE = 4, SPREAD = 8, TRACKER = 16, ROOM = 32 };

static void put(bt_check *check, bt_reading reading, double value) {
  check->present |= 1U << reading;
  check->reading[reading] = value;
}

/* One check a day; the energy's target is constant. From day `days` - 10 on the energy falls. */
static void unit_days(made_ledger *made, int parts, int days, double fall) {
  uint64_t state = 43;
  made_begin(made);
  for (int day = 0; day < days; day++) {
    bt_check check = {.time = made_time(day, 8, 0), .has_clock = true};
    double low = day >= days - 10 ? fall : 0;
    put(&check, BT_READING_TARGET_MJ, 1.5);
    if (parts & RATIO)
      put(&check, BT_READING_ENERGY_MJ, 1.5 * (1 - low + 0.004 * made_normal(&state)));
    if (parts & FLUENCE)
      put(&check, BT_READING_FLUENCE_MJ_CM2, 180 + made_normal(&state));
    if (parts & VOLTAGE)
      put(&check, BT_READING_HV_KV, 28 + 0.1 * made_normal(&state));
    if (parts & SPREAD)
      put(&check, BT_READING_ENERGY_SD_PCT, 2 + 0.1 * made_normal(&state));
    if (parts & TRACKER) {
      put(&check, BT_READING_OFFSET_X_UM, made_normal(&state));
      put(&check, BT_READING_OFFSET_Y_UM, made_normal(&state));
    }
    if (parts & ROOM)
      put(&check, BT_READING_TEMP_C, 21 + made_normal(&state));
    made_full_check(made, check);
  }
  made_finish(made);
}

static bt_unit_study *whole(made_ledger *made) {
  bt_study_request ask = {.unit = "Unit A", .until = made_time(400, 0, 0)};
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made->ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  return unit;
}

static const bt_alarm_limits *alarm_of(const bt_unit_study *unit, bt_characteristic of) {
  return &bt_study_now(bt_unit_study_of(unit, of))->alarm;
}

/* Five charts: each has a fifth of the budget of 1, at 365.25 checks a year. */
Test(alarms, charts_share_the_budget) {
  made_ledger made;
  unit_days(&made, RATIO | FLUENCE | VOLTAGE | SPREAD | TRACKER | ROOM, 70, 0);
  bt_unit_study *unit = whole(&made);
  static const bt_characteristic both[] = {BT_ENERGY_RATIO, BT_FLUENCE, BT_HIGH_VOLTAGE,
                                           BT_ENERGY_SPREAD};
  double sum = 0;
  for (int k = 0; k < 4; k++) {
    const bt_alarm_limits *alarm = alarm_of(unit, both[k]);
    cr_assert(alarm->given);
    cr_assert_eq(alarm->charts, 5);
    cr_assert_float_eq(alarm->budget_a_year, 1, 0);
    cr_assert_float_eq(alarm->checks_a_year, 365.25, 1e-9);
    cr_assert_gt(alarm->limit, 3);
    cr_assert_gt(alarm->h, 5);
    cr_assert_leq(alarm->share_a_year, 0.2 + 1e-12);
    cr_assert_gt(alarm->share_a_year, 0.15);
    sum += alarm->share_a_year;
  }
  const bt_alarm_limits *t2 = alarm_of(unit, BT_TRACKER_VECTOR);
  const bt_alarm_limits *x = alarm_of(unit, BT_TRACKER_X), *y = alarm_of(unit, BT_TRACKER_Y);
  cr_assert(t2->given && t2->t2_limit > 0 && t2->limit == 0 && t2->h == 0);
  cr_assert_leq(t2->share_a_year, 0.1 + 1e-12);
  cr_assert(x->given && x->limit == 0 && x->h > 5);
  cr_assert_leq(x->share_a_year, 0.05 + 1e-12);
  cr_assert(x->n != y->n || x->h == y->h);
  sum += t2->share_a_year + x->share_a_year + y->share_a_year;
  cr_assert_float_eq(unit->false_alarms_a_year, sum, 1e-12);
  cr_assert_leq(sum, 1);
  cr_assert_not(alarm_of(unit, BT_TRACKER_RADIAL)->given, "the radius gives notices only");
  cr_assert_not(alarm_of(unit, BT_TEMPERATURE)->given);
  cr_assert_not(alarm_of(unit, BT_DEMAND)->given, "a constant demand has no chart");

  /* One studied alone has the same limits: the others count all the same. */
  static const bt_characteristic alone[] = {BT_ENERGY_RATIO, BT_TRACKER_X, BT_TRACKER_VECTOR};
  for (int k = 0; k < 3; k++) {
    bt_study_request ask = {.characteristic = alone[k], .until = made_time(400, 0, 0)};
    bt_unit_study *one = made_study(&made, ask);
    cr_assert_eq(one->studies_n, 1);
    const bt_alarm_limits *alarm = alarm_of(one, alone[k]), *same = alarm_of(unit, alone[k]);
    cr_assert_eq(alarm->charts, 5);
    cr_assert(alarm->limit == same->limit && alarm->h == same->h &&
              alarm->t2_limit == same->t2_limit);
    bt_unit_study_free(one);
  }
  bt_unit_study_free(unit);
  made_end(&made);
}

/* The marks are those of the budgeted limits, on the sums that are drawn; they are alarms. */
Test(alarms, what_is_beyond_is_an_alarm) {
  made_ledger made;
  unit_days(&made, RATIO, 100, 0.01);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert_eq(now->alarm.charts, 1);
  int limits = 0, sums = 0;
  for (size_t p = 0; p < study->points.n; p++) {
    bool judged = p >= now->phase2;
    bool limit = judged && study->z[p] < -now->alarm.limit;
    bool sum = judged && study->cusum.low[p] > now->alarm.h;
    cr_expect_eq((study->rules[BT_LOW][p] & BT_ALARM_LIMIT) != 0, limit, "point %zu", p);
    cr_expect_eq((study->rules[BT_LOW][p] & BT_ALARM_CUSUM) != 0, sum, "point %zu", p);
    cr_expect_eq(study->strength[p] == BT_ALARM, limit || sum, "point %zu", p);
    limits += limit;
    sums += sum;
  }
  cr_assert(limits > 0 && sums > 0);
  cr_assert_eq(study->episodes[study->episodes_n - 1].strength, BT_ALARM);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Under 30 points there are notices only, and the chart has no share. */
Test(alarms, a_short_baseline_gives_notices_only) {
  made_ledger made;
  unit_days(&made, RATIO | SPREAD, 80, 0.05);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO,
                          .has_baseline = true,
                          .baseline_from = made_time(0, 0, 0),
                          .baseline_to = made_time(28, 0, 0)};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_not(alarm_of(unit, BT_ENERGY_RATIO)->given);
  for (size_t p = 0; p < 80; p++)
    cr_expect_neq(unit->studies[0]->strength[p], BT_ALARM);
  cr_assert_eq(unit->studies[0]->strength[79], BT_NOTICE);
  bt_unit_study_free(unit);
  ask.baseline_to = made_time(29, 0, 0);
  unit = made_study(&made, ask);
  cr_assert(alarm_of(unit, BT_ENERGY_RATIO)->given);
  cr_assert_eq(alarm_of(unit, BT_ENERGY_RATIO)->charts, 2);
  cr_assert_eq(unit->studies[0]->strength[79], BT_ALARM);
  bt_unit_study_free(unit);

  (void)made_freeze(&made, BT_ENERGY_SPREAD, 0, 19); /* a chart of 20 points doesn't count */
  bt_study_request plain = {.characteristic = BT_ENERGY_RATIO};
  unit = made_study(&made, plain);
  cr_assert_eq(alarm_of(unit, BT_ENERGY_RATIO)->charts, 1);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A fluence derived from the energy is no second witness. Each segment's limits are of its own n.
 */
Test(alarms, no_second_witness_and_each_segment_its_own) {
  made_ledger made;
  uint64_t state = 47;
  made_begin(&made);
  for (int day = 0; day < 120; day++) {
    bt_check check = {.time = made_time(day, 8, 0), .has_clock = true};
    put(&check, BT_READING_TARGET_MJ, 1.5);
    put(&check, BT_READING_ENERGY_MJ, 1.5 + 0.01 * made_normal(&state));
    put(&check, BT_READING_SPOT_MM, 0.7);
    made_full_check(&made, check);
  }
  made_finish(&made);
  char name[] = "Unit A";
  bt_unit_setting setting = {.name = name, .beam = BT_BEAM_GAUSSIAN, .fluence = BT_FLUENCE_ENERGY};
  bt_settings settings = {.units_n = 1, .units = &setting, .alarms_per_unit_year = 0.5};
  cr_assert_eq(
      bt_ledger_add_settings(made.ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK);
  (void)made_freeze(&made, BT_ENERGY_RATIO, 0, 29);
  (void)made_freeze(&made, BT_ENERGY_RATIO, 40, 99);
  bt_unit_study *unit = whole(&made);
  cr_assert_eq(bt_study_now(bt_unit_study_of(unit, BT_FLUENCE))->state, BT_CHART_DRAWN);
  cr_assert_not(alarm_of(unit, BT_FLUENCE)->given);
  const bt_study *ratio = bt_unit_study_of(unit, BT_ENERGY_RATIO);
  cr_assert_eq(ratio->segments_n, 2);
  const bt_alarm_limits *first = &ratio->segments[0].alarm, *second = &ratio->segments[1].alarm;
  cr_assert(first->given && second->given);
  cr_assert_eq(first->n, ratio->segments[0].chart.n);
  cr_assert_eq(second->n, ratio->segments[1].chart.n);
  cr_assert_float_eq(second->budget_a_year, 0.5, 0);
  cr_assert_gt(first->limit, second->limit, "fewer points, wider limits");
  cr_assert_float_eq(unit->false_alarms_a_year, second->share_a_year, 1e-12);
  bt_unit_study_free(unit);
  made_end(&made);
}
