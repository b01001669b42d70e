/* Of `drift --format json`: the gas fills, what is lost inside them, and how long one lasts. */
#include "emit_drift.h"

static json_t *slope(const bt_slope *of) {
  if (of->df < 1)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", emit_count(of->n)) &&
              emit_put(object, "fills", emit_count(of->fills)) &&
              emit_put_number(object, "slope", of->per_day) &&
              emit_put_number(object, "low", of->low) && emit_put_number(object, "high", of->high);
  return emit_whole(object, made);
}

static json_t *fill_levels(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t f = 0; f < drift->levels.n && made; f++) {
    const bt_level *level = &drift->level[f];
    json_t *object = json_object();
    bool whole = emit_put(object, "at", emit_day_of(level->day)) &&
                 emit_put(object, "n", emit_count(level->n)) &&
                 emit_put_number(object, "age_days", level->age_days) &&
                 emit_put_number(object, "level", level->value) &&
                 emit_put_number(object, "se", level->se) &&
                 emit_put(object, "slope_per_day", emit_number_if(level->has_slope, level->slope));
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *suspected(const bt_drift *drift) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < drift->suspected_n && made; i++) {
    const bt_suspected *of = &drift->suspected[i];
    json_t *object = json_object();
    bool whole = emit_put(object, "at", emit_day_of(drift->values.day[of->first])) &&
                 emit_put_number(object, "jump", of->jump) && emit_put_number(object, "z", of->z) &&
                 emit_put_number(object, "age_days", of->age_days) &&
                 emit_put_number(object, "expected", of->expected);
    made = json_array_append_new(list, emit_whole(object, whole)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *lasts(const bt_drift *drift) {
  const bt_fill_days *of = &drift->fill_days;
  if (of->use != BT_FILL_GIVEN && of->use != BT_FILL_BEYOND)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put_number(object, "limit", of->limit) &&
              emit_put_number(object, "days", of->days) &&
              emit_put(object, "low", emit_number_if(of->has_high, of->low)) &&
              emit_put(object, "high", emit_number_if(of->has_high, of->high));
  return emit_whole(object, made);
}

/* The slope that grew; null where it didn't. */
static json_t *on_last_day(const bt_fill_growth *growth) {
  if (!growth->given)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put_number(object, "slope_per_day", growth->now) &&
              emit_put_number(object, "low", growth->low) &&
              emit_put_number(object, "high", growth->high);
  return emit_whole(object, made);
}

json_t *emit_drift_fills(const bt_unit_study *unit, const bt_drift *drift) {
  const bt_slope *of = &drift->slope;
  bool looked = drift->use == BT_DRIFT_LOOKED_AT, given = looked && of->df >= 1;
  const bt_gas_slope *gas = &drift->gas;
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  bool planned = setting != NULL && setting->refill_interval_days > 0;
  json_t *object = json_object();
  bool made =
      emit_put(object, "n", emit_count(unit->fills.n)) &&
      emit_put(object, "known_before", looked ? emit_count(drift->fills_before) : json_null()) &&
      emit_put(object, "known_since", looked ? emit_count(drift->fills_since) : json_null()) &&
      emit_put(object, "interval_days",
               emit_number_if(unit->fills.interval_days > 0, unit->fills.interval_days)) &&
      emit_put(object, "slope_per_day", emit_number_if(given, of->per_day)) &&
      emit_put(object, "low", emit_number_if(given, of->low)) &&
      emit_put(object, "high", emit_number_if(given, of->high)) &&
      emit_put(object, "gas_per_day", emit_number_if(gas->given, gas->per_day)) &&
      emit_put(object, "gas_low", emit_number_if(gas->has_interval, gas->low)) &&
      emit_put(object, "gas_high", emit_number_if(gas->has_interval, gas->high)) &&
      emit_put(object, "slope_since", emit_day_if(looked, drift->since)) &&
      emit_put(object, "on_last_day", on_last_day(&drift->growth)) &&
      emit_put(object, "baseline", slope(&drift->baseline_slope)) &&
      emit_put(object, "per_1000_pulses", slope(&drift->pulses_slope)) &&
      emit_put(object, "planned_interval_days",
               emit_number_if(planned, planned ? setting->refill_interval_days : 0)) &&
      emit_put(object, "fill_age_pulses_per_day",
               emit_number_if(setting != NULL && setting->pulses_per_day > 0,
                              setting == NULL ? 0 : setting->pulses_per_day)) &&
      emit_put(object, "end_days",
               emit_number_if(looked && drift->fill_end_days > 0, drift->fill_end_days)) &&
      emit_put(object, "lasts", lasts(drift)) &&
      emit_put(object, "suspected_refills", suspected(drift)) &&
      emit_put(object, "levels", fill_levels(drift));
  return emit_whole(object, made);
}
