/* Likely causes: what the unit's characteristics did together, and for each of them what its own
 * fills add.
 *
 * R1 A cause stands with the characteristics that it is of: the energy, its fluence, the voltage,
 *    demand, spread or the tracker. A plate that reads low stands with the energy where no fluence
 *    is looked at.
 * R2 Of a fluence that falls while the energy doesn't, the gas fills are not asked: what differs
 *    lies behind the energy meter. Nor of a voltage that climbs with the demand: it is asked for
 *    more.
 * R3 Beside a fluence, plate, spread or tracker that changed, the energy is unchanged where its
 *    look says so and its values don't go along with that very change either (p >= 0.01): a look
 *    alone asks for much more than two readings of one loss would differ by.
 * R4 Only where a characteristic was looked at.
 * R5 Of fills only where enough of them are known (R5 of drift_slopes.c); a trend of single values
 *    is none from fill to fill. */
#include "study_drift.h"

#include <stdlib.h>

static const double along_p = 0.01;

/* Causes of each characteristic: R1. */
static bool belongs(bt_cause_kind cause, bt_characteristic characteristic) {
  switch (cause) {
  case BT_CAUSE_GAS_AGEING:
  case BT_CAUSE_NOT_RESTORED_BY_REFILL:
    return true;
  case BT_CAUSE_VOLTAGE_CEILING:
    return characteristic == BT_HIGH_VOLTAGE;
  case BT_CAUSE_DEMAND_CREEP:
    return characteristic == BT_DEMAND;
  case BT_CAUSE_DELIVERY_OPTICS:
  case BT_CAUSE_PLUME_OR_PLATE:
    return characteristic == BT_FLUENCE;
  case BT_CAUSE_METER:
    return characteristic == BT_ENERGY_RATIO;
  case BT_CAUSE_ALIGNMENT:
    return characteristic == BT_TRACKER_X || characteristic == BT_TRACKER_Y;
  case BT_CAUSE_SPREAD:
    return characteristic == BT_ENERGY_SPREAD;
  case BT_CAUSE_COUNT:
    break;
  }
  return false;
}

static const bt_drift *looked_at(const bt_unit_drift *all, bt_characteristic characteristic) {
  const bt_drift *drift = bt_unit_drift_of(all, characteristic);
  return drift != NULL && drift->use == BT_DRIFT_LOOKED_AT ? drift : NULL;
}

static bt_moved moved_of(const bt_unit_drift *all, bt_characteristic characteristic) {
  const bt_drift *drift = looked_at(all, characteristic);
  return drift != NULL ? drift->moved : (bt_moved){0};
}

/* Of x and y the one that changed, more clearly where both did. */
static bt_moved tracker_of(const bt_unit_drift *all) {
  const bt_drift *x = looked_at(all, BT_TRACKER_X), *y = looked_at(all, BT_TRACKER_Y);
  if (x == NULL || y == NULL)
    return x != NULL ? x->moved : y != NULL ? y->moved : (bt_moved){0};
  if (x->moved.changed != y->moved.changed)
    return x->moved.changed ? x->moved : y->moved;
  return x->change.likelihood_ratio >= y->change.likelihood_ratio ? x->moved : y->moved;
}

static void take_readings(const drift_unit *of, bt_unit_drift *all) {
  bt_evidence *evidence = &all->evidence;
  const bt_unit_setting *setting = bt_settings_unit(&of->unit->settings, of->unit->history.unit);
  bool by_plate = setting != NULL && setting->fluence == BT_FLUENCE_PLATE;
  evidence->energy = moved_of(all, BT_ENERGY_RATIO);
  evidence->demand = moved_of(all, BT_DEMAND);
  evidence->voltage = moved_of(all, BT_HIGH_VOLTAGE);
  evidence->spread = moved_of(all, BT_ENERGY_SPREAD);
  evidence->tracker = tracker_of(all);
  if (by_plate)
    evidence->plate = moved_of(all, BT_FLUENCE);
  else
    evidence->fluence = moved_of(all, BT_FLUENCE);
  const bt_drift *voltage = looked_at(all, BT_HIGH_VOLTAGE);
  if (voltage != NULL) {
    const bt_forecast *ahead = &voltage->forecast;
    evidence->ceiling_ahead = ahead->side == BT_HIGH &&
                              (ahead->use == BT_FORECAST_GIVEN || ahead->use == BT_FORECAST_BEYOND);
  }
}

static void take_events(const drift_unit *of, bt_unit_drift *all) {
  bt_evidence *evidence = &all->evidence;
  const bt_history *history = &of->unit->history;
  for (size_t e = 0; e < history->events_n && history->events[e].time < of->unit->until; e++) {
    const bt_event *event = &history->events[e];
    if (event->kind == BT_EVENT_METER_CHANGED) {
      evidence->has_meter_event = true;
      evidence->meter_day = drift_day(event->time);
    } else if (event->kind == BT_EVENT_MOVED) {
      evidence->has_move = true;
      evidence->move_day = drift_day(event->time);
    }
  }
  const bt_drift *energy = looked_at(all, BT_ENERGY_RATIO);
  if (energy != NULL)
    evidence->meter = study_drift_about(of, energy, BT_EVENT_METER_CHANGED);
}

/* R3: readings of the energy that go along with another's change aren't unchanged. */
static bt_status ask_energy(const bt_unit_drift *all, const bt_change *change, bt_moved *energy,
                            bt_error *error) {
  const bt_drift *drift = looked_at(all, BT_ENERGY_RATIO);
  bt_effect along;
  if (drift == NULL || energy->changed || change->kind == BT_CHANGE_NONE)
    return BT_OK;
  const bt_drift_values *values = &drift->values;
  bt_status status = bt_along_find(values->day, values->value, values->n, change, &along, error);
  if (status == BT_OK && along.given && along.p < along_p)
    *energy = (bt_moved){0};
  return status;
}

static bt_status causes_of(const drift_unit *of, const bt_unit_drift *all, bt_drift *drift,
                           bt_error *error) {
  bt_evidence evidence = all->evidence;
  bt_cause causes[BT_CAUSE_COUNT];
  bool behind_meter = drift->characteristic == BT_FLUENCE && evidence.energy.looked_at &&
                      !evidence.energy.changed; /* R2 */
  bool asked_for = drift->characteristic == BT_HIGH_VOLTAGE && evidence.demand.changed &&
                   evidence.demand.sign > 0;
  bool without_fluence =
      drift->characteristic == BT_ENERGY_RATIO && looked_at(all, BT_FLUENCE) == NULL; /* R1 */
  bool beside_plate = drift->characteristic == BT_FLUENCE || without_fluence;
  evidence.own = drift->moved;
  evidence.loss = behind_meter || asked_for ? 0 : drift->loss;
  evidence.baseline_slope = drift->baseline_slope;
  evidence.window_slope = drift->slope;
  evidence.cleaning = study_drift_about(of, drift, BT_EVENT_OPTICS_CLEANED);
  evidence.bottle = study_drift_about(of, drift, BT_EVENT_GAS_BOTTLE);
  evidence.parts = drift->parts;
  evidence.meter_shared = evidence.meter_shared && drift->characteristic == BT_ENERGY_RATIO;
  if (drift->fills_tell && drift->trend_of_fills) /* R5 */
    evidence.levels = drift->trend;
  bt_status status = BT_OK;
  if (drift->moved.changed)
    status = ask_energy(all, &drift->change, &evidence.energy, error);
  if (status == BT_OK && beside_plate && evidence.plate.changed)
    status = ask_energy(all, &all->plate, &evidence.energy, error);
  size_t n = status == BT_OK ? bt_causes_find(&evidence, causes) : 0;
  for (size_t c = 0; c < n; c++)
    if (belongs(causes[c].kind, drift->characteristic) ||
        (causes[c].kind == BT_CAUSE_PLUME_OR_PLATE && without_fluence))
      drift->causes[drift->causes_n++] = causes[c];
  return status;
}

bt_status study_drift_causes(const drift_unit *of, bt_unit_drift *all, bt_error *error) {
  take_readings(of, all);
  take_events(of, all);
  all->evidence.meter_shared = all->meters_n > 0;
  bt_status status = BT_OK;
  if (!all->evidence.plate.looked_at)
    status = study_drift_plate(of, &all->plate, &all->evidence.plate, error);
  if (all->evidence.plate.changed)
    all->plate_per_cent = bt_change_per_cent(&all->plate);
  for (size_t i = 0; i < all->n && status == BT_OK; i++)
    if (all->drift[i].use == BT_DRIFT_LOOKED_AT)
      status = causes_of(of, all, &all->drift[i], error);
  return status;
}
