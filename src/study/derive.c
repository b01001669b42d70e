/* From readings to characteristics.
 *
 * energy ratio  measured / target energy, 1; where one of them isn't logged, the logged percent of
 *               the target / 100: the same quantity, worked out by the laser. So a log that changes
 *               from one form to the other goes on in one segment: unlike a fluence that is derived
 *               otherwise (study_derivation), which is of a setting, and another number
 * fluence       as the clinic chose (mJ/cm²):
 *   logged      the log's own column
 *   energy      E / A for a flat top, A = pi (d/2)^2; peak 2 E / (pi w^2), w = d/2, for a Gaussian
 *               whose diameter d is 1/e^2 (a factor 2 between them: never without a declared beam)
 *   plate       F = Fth exp(depth per pulse x alpha), the blow-off model of photoablation
 * radial        sqrt(x^2 + y^2), µm
 * T²            where x and y are there; its value follows from the baseline (vector.c)
 * demand        the target energy (mJ), or, in a log that has none, what staff set to reach the
 *               fluence, in whatever the laser's panel counts
 * the rest      as logged
 *
 * Source: definitions; the Gaussian peak is the integral of a Gaussian irradiance over the plane
 * (ISO 11146-1 gives the 1/e^2 diameter); checked in tests/unit/study. */
#include "study_room.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static bool reading(const bt_history *history, bt_reading which, size_t i, double *value) {
  if ((history->present[i] >> which & 1U) == 0)
    return false;
  *value = history->reading[which][i];
  return true;
}

static bool ratio(const bt_history *history, size_t i, double *value) {
  double energy, target, percent;
  if (reading(history, BT_READING_ENERGY_MJ, i, &energy) &&
      reading(history, BT_READING_TARGET_MJ, i, &target) && target > 0) {
    *value = energy / target;
    return true;
  }
  if (!reading(history, BT_READING_ENERGY_PCT, i, &percent))
    return false;
  *value = percent / 100;
  return true;
}

static bool fluence_from_energy(const bt_history *history, bt_beam beam, size_t i, double *value) {
  double energy, spot_mm;
  if (beam == BT_BEAM_UNDECLARED || !reading(history, BT_READING_ENERGY_MJ, i, &energy) ||
      !reading(history, BT_READING_SPOT_MM, i, &spot_mm) || spot_mm <= 0)
    return false;
  double radius_cm = spot_mm / 20;
  double mean = energy / (pi * radius_cm * radius_cm);
  *value = beam == BT_BEAM_GAUSSIAN ? 2 * mean : mean;
  return true;
}

static bool fluence_from_plate(const bt_history *history, const bt_unit_setting *unit, size_t i,
                               double *value) {
  double depth_um, pulses;
  if (!unit->has_plate || !reading(history, BT_READING_PLATE_DEPTH_UM, i, &depth_um) ||
      !reading(history, BT_READING_PLATE_PULSES, i, &pulses) || pulses <= 0)
    return false;
  *value = unit->plate_threshold * exp(depth_um / pulses * unit->plate_alpha_per_um);
  return isfinite(*value) != 0;
}

static bool fluence(const study_place *place, size_t i, double *value) {
  const bt_history *history = place->history;
  const bt_unit_setting *unit = place->setting;
  switch (unit == NULL ? BT_FLUENCE_LOGGED : unit->fluence) {
  case BT_FLUENCE_LOGGED:
    return reading(history, BT_READING_FLUENCE_MJ_CM2, i, value);
  case BT_FLUENCE_ENERGY:
    return fluence_from_energy(history, unit->beam, i, value);
  case BT_FLUENCE_PLATE:
    return fluence_from_plate(history, unit, i, value);
  }
  return false;
}

static int64_t value_derivation(const study_place *place, bt_characteristic characteristic) {
  enum { OTHER, LOGGED, ENERGY_UNDECLARED, ENERGY_FLAT_TOP, ENERGY_GAUSSIAN, PLATE, SETTING };
  if (characteristic == BT_DEMAND && place->demand_is_setting)
    return SETTING;
  if (characteristic != BT_FLUENCE)
    return OTHER;
  const bt_unit_setting *unit = place->setting;
  if (unit == NULL || unit->fluence == BT_FLUENCE_LOGGED)
    return LOGGED;
  if (unit->fluence == BT_FLUENCE_PLATE)
    return PLATE;
  return unit->beam == BT_BEAM_GAUSSIAN   ? ENERGY_GAUSSIAN
         : unit->beam == BT_BEAM_FLAT_TOP ? ENERGY_FLAT_TOP
                                          : ENERGY_UNDECLARED;
}

int64_t study_derivation(const study_place *place, bt_characteristic characteristic) {
  enum { VALUE_DERIVATIONS = 16 }; /* room for those of value_derivation */
  int64_t derivation = value_derivation(place, characteristic);
  if (study_may_adjust(characteristic) && place->setting != NULL)
    derivation += VALUE_DERIVATIONS * (int64_t)place->setting->pulses_per_day;
  return derivation;
}

static bool radial(const bt_history *history, size_t i, double *value) {
  double x, y;
  if (!reading(history, BT_READING_OFFSET_X_UM, i, &x) ||
      !reading(history, BT_READING_OFFSET_Y_UM, i, &y))
    return false;
  *value = hypot(x, y);
  return true;
}

/* A reading of a characteristic of the clinic's own. */
static bool own(const study_place *place, size_t which, size_t i, double *value) {
  if (which >= place->settings->own_n || place->own[which] == BT_NONE)
    return false;
  const bt_history *history = place->history;
  size_t column = place->own[which];
  if (history->own_present[column][i] == 0)
    return false;
  *value = history->own_value[column][i];
  return true;
}

bool study_derive(const study_place *place, bt_characteristic characteristic, size_t i,
                  double *value) {
  if (characteristic >= BT_CHARACTERISTIC_COUNT)
    return own(place, (size_t)characteristic - BT_CHARACTERISTIC_COUNT, i, value);
  const bt_history *history = place->history;
  bt_reading logged = bt_characteristic_reading(characteristic);
  if (characteristic == BT_DEMAND && place->demand_is_setting)
    logged = BT_READING_FLUENCE_SETTING;
  if (logged != BT_READING_NONE)
    return reading(history, logged, i, value);
  if (characteristic == BT_ENERGY_RATIO)
    return ratio(history, i, value);
  if (characteristic == BT_FLUENCE)
    return fluence(place, i, value);
  bool has_offset = radial(history, i, value);
  if (characteristic == BT_TRACKER_VECTOR)
    *value = 0;
  return has_offset;
}
