#include "drift_lasers.h"
#include "made_ledger.h"

#include <math.h>

static void put(laser *made, size_t i, bt_reading which, double value) {
  made->present[i] |= 1U << which;
  made->reading[which][i] = value;
}

static void put_event(laser *made, bt_time at, bt_event_kind kind) {
  bt_event *event = &made->events[made->history.events_n++];
  *event = (bt_event){.unit = made->history.unit, .time = at, .has_clock = true, .kind = kind};
}

/* Day of check i, from 0. */
static int day_of(const laser_plan *plan, size_t i) {
  return plan->weekdays ? (int)(7 * (i / 5) + i % 5) : (int)i;
}

static void put_readings(laser *made, const laser_plan *plan, size_t i, int day, int age,
                         bool new_gas, uint64_t *state) {
  int onset = day_of(plan, plan->onset);
  double since = i >= plan->onset ? day - onset + 1 : 0;
  double steps = since > 0 ? floor((since - 1) / 14) + 1 : 0;
  double lost = plan->fill_loss * age + plan->optics * since + (new_gas ? plan->gas * age : 0);
  double demand = 1.6 + 0.006 * (plan->creep * steps);
  double stepped = since > 0 ? 1 : 0;
  if (plan->others)
    demand += 0.006 * made_normal(state);
  put(made, i, BT_READING_TARGET_MJ, demand);
  double ratio = 1 + LASER_SIGMA * (plan->meter_step * stepped - lost + made_normal(state));
  put(made, i, BT_READING_ENERGY_MJ, demand * ratio);
  if (plan->others) {
    double volts = plan->voltage * since + plan->creep * steps / 3;
    put(made, i, BT_READING_FLUENCE_MJ_CM2,
        180 - 0.9 * (lost + plan->delivery * since - made_normal(state)));
    put(made, i, BT_READING_HV_KV, 24 + 0.05 * (volts + made_normal(state)));
    put(made, i, BT_READING_ENERGY_SD_PCT, 2 + 0.15 * (plan->spread * since + made_normal(state)));
    put(made, i, BT_READING_OFFSET_X_UM,
        5 + 6 * (plan->tracker_step * stepped + made_normal(state)));
    put(made, i, BT_READING_OFFSET_Y_UM, -2 + 5 * made_normal(state));
  }
  if (plan->plate) {
    double low = lost + plan->delivery * since - plan->plate_step * stepped;
    put(made, i, BT_READING_PLATE_PULSES, 100);
    put(made, i, BT_READING_PLATE_DEPTH_UM, 30 - 0.3 * (low - made_normal(state)));
  }
}

static void put_settings(laser *made, const laser_plan *plan) {
  static char unit[] = "Unit A", source[] = "a policy";
  made->tolerances[0] = (bt_tolerance){.unit = unit,
                                       .characteristic = BT_ENERGY_RATIO,
                                       .has_low = plan->low > 0,
                                       .low = 1 - LASER_SIGMA * plan->low,
                                       .source = source};
  made->tolerances[1] = (bt_tolerance){.unit = unit,
                                       .characteristic = BT_HIGH_VOLTAGE,
                                       .has_high = plan->ceiling > 0,
                                       .high = 24 + 0.05 * plan->ceiling,
                                       .source = source};
  made->settings =
      (bt_settings){.tolerances_n = 2, .tolerances = made->tolerances, .alarms_per_unit_year = 1};
}

void laser_make(laser *made, const laser_plan *plan, uint64_t seed) {
  static char unit[] = "Unit A";
  uint64_t state = seed * 2654435761U + 12345;
  *made = (laser){.history = {.unit = unit,
                              .at = made->at,
                              .sequence = made->sequence,
                              .source = made->source,
                              .line = made->line,
                              .present = made->present,
                              .state = made->state,
                              .refill = made->refill,
                              .has_clock = made->has_clock,
                              .events = made->events}};
  for (int r = 0; r < BT_READING_COUNT; r++)
    made->history.reading[r] = made->reading[r];
  put_settings(made, plan);
  cr_assert_leq(plan->checks, LASER_MOST);
  int filled = -1;
  bool new_gas = false;
  for (size_t i = 0; i < plan->checks; i++) {
    int day = day_of(plan, i);
    bool first = i == plan->onset;
    if (first && plan->meter_event)
      put_event(made, made_time(day, 6, 0), BT_EVENT_METER_CHANGED);
    if (first && plan->moved_event)
      put_event(made, made_time(day, 6, 0), BT_EVENT_MOVED);
    if (first && plan->bottle_event)
      put_event(made, made_time(day, 6, 0), BT_EVENT_GAS_BOTTLE);
    if (filled < 0 || day - filled >= plan->refill_every) {
      filled = day;
      new_gas = i >= plan->onset;
      put_event(made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    }
    made->at[i] = made_time(day, 8, 0);
    made->has_clock[i] = 1;
    made->source[i] = 1;
    made->line[i] = (int64_t)i + 2;
    if (first)
      made->onset_day = (double)made->at[i] / (double)BT_DAY;
    put_readings(made, plan, i, day, day - filled, new_gas, &state);
  }
  made->history.n = plan->checks;
}

/* What there is of it up to then. */
static bt_unit_study *unit_of(laser *made, size_t checks) {
  bt_unit_study *unit = bt_new(1, sizeof *unit);
  cr_assert_not_null(unit);
  unit->history = made->history;
  unit->history.n = checks;
  unit->settings = made->settings;
  unit->until = made->at[checks - 1] + 1;
  size_t events = 0;
  while (events < made->history.events_n && made->events[events].time < unit->until)
    events++;
  unit->history.events_n = events;
  return unit;
}

static void find_drift(bt_unit_study *unit) {
  bt_error error;
  bt_drift_request plain = {0};
  cr_assert_eq(bt_study_drift(NULL, &plain, unit, &error), BT_OK, "%s", error.text);
}

bt_unit_study *laser_look(laser *made, size_t checks) {
  bt_error error;
  bt_unit_study *unit = unit_of(made, checks);
  bt_study_request request = {.unit = "Unit A", .until = unit->until};
  study_place place;
  cr_assert_eq(bt_fills_find(&unit->history, &unit->fills, &error), BT_OK);
  cr_assert_eq(
      study_place_make(&unit->history, &unit->settings, &unit->fills, unit->until, &place, &error),
      BT_OK);
  unit->studies = bt_new(BT_CHARACTERISTIC_COUNT, sizeof *unit->studies);
  cr_assert_not_null(unit->studies);
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_study *study;
    if (c == BT_TRACKER_VECTOR || c == BT_TRACKER_RADIAL)
      continue; /* not looked at for drift */
    cr_assert_eq(study_one(NULL, &request, (bt_characteristic)c, &place, true, &study, &error),
                 BT_OK);
    if (study != NULL)
      unit->studies[unit->studies_n++] = study;
  }
  study_place_free(&place);
  find_drift(unit);
  return unit;
}

bt_unit_study *laser_judge(laser *made, size_t checks) {
  bt_error error;
  bt_unit_study *unit = unit_of(made, checks);
  bt_study_request request = {
      .unit = "Unit A", .until = unit->until, .only_one = true, .characteristic = BT_ENERGY_RATIO};
  cr_assert_eq(study_judge_unit(NULL, &request, unit, &error), BT_OK, "%s", error.text);
  find_drift(unit);
  return unit;
}

void laser_look_end(bt_unit_study *unit) {
  unit->history = (bt_history){0}; /* the laser's own */
  unit->settings = (bt_settings){0};
  bt_unit_study_free(unit);
}
