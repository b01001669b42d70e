/* Settings as a whole.
 *
 * T1  A tolerance names its source and at least one limit; low is below high.
 * T2  Spot models and plate constants have no default.
 * T3  A tolerance is of a unit that the file names, where it names any.
 * T4  A room condition has no tolerance: it is shown beside the laser's readings, not judged.
 * T5  Two tolerances of one unit and characteristic begin on different days.
 * T6  Fill age by pulses needs how many of them are a day, a whole number, and nothing else does.
 */
#include "settings.h"

/* T6. */
static bt_status check_fill_age(const bt_unit_setting *unit, bool by_pulses, bt_error *error) {
  static const double most = 1e9;
  if (by_pulses && unit->pulses_per_day == 0)
    return bt_fail(error, BT_INPUT,
                   "fill_age = pulses needs pulses_per_day: how many pulses the laser usually "
                   "fires in a day; a fill age is told in days of so many");
  if (!by_pulses && unit->pulses_per_day > 0)
    return bt_fail(error, BT_INPUT,
                   "pulses_per_day goes with fill_age = pulses; write that too, or take it out");
  if (unit->pulses_per_day > most || unit->pulses_per_day != (double)(int64_t)unit->pulses_per_day)
    return bt_fail(error, BT_INPUT, "pulses_per_day must be a whole number up to %.0f, found %.15g",
                   most, unit->pulses_per_day);
  return BT_OK;
}

static bt_status check_unit(const intake_settings_file *file, size_t i, bt_error *error) {
  bt_unit_setting *unit = &file->settings->units[i];
  if (unit->name == NULL)
    return bt_fail(error, BT_INPUT,
                   "the unit has no name; write name = the laser's name in the log");
  for (size_t k = 0; k < i; k++)
    if (bt_same_name(file->settings->units[k].name, unit->name))
      return bt_fail(error, BT_INPUT, "the unit \"%s\" has a section already", unit->name);
  if (file->has_alpha[i] != file->has_threshold[i])
    return bt_fail(error, BT_INPUT,
                   "the plate needs both plate_alpha_per_um and plate_threshold_mj_cm2");
  unit->has_plate = file->has_alpha[i];
  if (unit->fluence == BT_FLUENCE_PLATE && !unit->has_plate)
    return bt_fail(error, BT_INPUT,
                   "fluence = plate needs plate_alpha_per_um and plate_threshold_mj_cm2 of the "
                   "plate's material; they have no default");
  return check_fill_age(unit, file->by_pulses[i], error);
}

/* T3, with the nearest name. */
static bt_status check_unit_name(const bt_settings *settings, const char *name, bt_error *error) {
  const char *nearest = NULL;
  size_t least = SIZE_MAX;
  if (settings->units_n == 0 || bt_settings_unit(settings, name) != NULL)
    return BT_OK;
  for (size_t i = 0; i < settings->units_n; i++) {
    size_t distance = bt_name_distance(settings->units[i].name, name);
    if (distance < least) {
      least = distance;
      nearest = settings->units[i].name;
    }
  }
  return bt_fail(error, BT_INPUT, "no [unit] section names the unit \"%s\"; the nearest is \"%s\"",
                 name, nearest == NULL ? "" : nearest);
}

/* The characteristic that a tolerance names, built in or of the clinic's own. */
static bt_status find_characteristic(const bt_settings *settings, const char *name,
                                     bt_characteristic *characteristic, bt_error *error) {
  if (name == NULL)
    return bt_fail(error, BT_INPUT,
                   "the tolerance has no characteristic; write characteristic = energy_ratio, say");
  if (bt_settings_characteristic(settings, name, characteristic))
    return BT_OK;
  bt_text list = {0};
  for (size_t i = 0; i < BT_CHARACTERISTIC_COUNT + settings->own_n; i++)
    bt_text_format(&list, "%s%s", i == 0 ? "" : ", ",
                   bt_settings_quantity(settings, (bt_characteristic)i).key);
  bt_status status = bt_fail(error, BT_INPUT, "\"%s\" is no characteristic; there are %s", name,
                             bt_text_get(&list));
  bt_text_free(&list);
  return status;
}

static bt_status check_tolerance(const intake_settings_file *file, size_t i, bt_error *error) {
  const bt_settings *settings = file->settings;
  bt_tolerance *tolerance = &settings->tolerances[i];
  bt_status found =
      find_characteristic(settings, file->judged[i], &tolerance->characteristic, error);
  if (found != BT_OK)
    return found;
  if (tolerance->unit == NULL)
    return bt_fail(error, BT_INPUT, "the tolerance has no unit; write unit = the laser's name");
  if (bt_characteristic_is_covariate(tolerance->characteristic)) /* T4 */
    return bt_fail(
        error, BT_INPUT,
        "%s is a room condition: it is shown beside the laser's readings, never judged, so "
        "a tolerance of it would do nothing; take it out",
        bt_characteristic_key(tolerance->characteristic));
  if (tolerance->source == NULL)
    return bt_fail(error, BT_INPUT,
                   "the tolerance has no source; write where it comes from (source = instructions "
                   "for use, section 7.2)");
  if (!tolerance->has_low && !tolerance->has_high)
    return bt_fail(error, BT_INPUT, "the tolerance has no limit; write low, high, or both");
  found = intake_settings_convert_limits(file, i, error);
  if (found != BT_OK)
    return found;
  if (tolerance->has_low && tolerance->has_high && tolerance->low >= tolerance->high)
    return bt_fail(error, BT_INPUT, "low (%.15g) is not below high (%.15g)", tolerance->low,
                   tolerance->high);
  for (size_t k = 0; k < i; k++) {
    const bt_tolerance *other = &settings->tolerances[k];
    if (other->characteristic == tolerance->characteristic && other->from == tolerance->from &&
        bt_same_name(other->unit, tolerance->unit))
      return bt_fail(error, BT_INPUT,
                     "another tolerance of %s for \"%s\" begins on the same day; give this one "
                     "another from, or take one out",
                     bt_settings_quantity(settings, tolerance->characteristic).key,
                     tolerance->unit);
  }
  return check_unit_name(settings, tolerance->unit, error);
}

bt_status intake_settings_check(const intake_settings_file *file, int *line, bt_error *error) {
  for (size_t i = 0; i < file->settings->units_n; i++) {
    *line = file->unit_lines[i];
    bt_status status = check_unit(file, i, error);
    if (status != BT_OK)
      return status;
  }
  for (size_t i = 0; i < file->settings->own_n; i++) {
    *line = file->own_lines[i];
    bt_status status = intake_settings_check_own(file, i, error);
    if (status != BT_OK)
      return status;
  }
  for (size_t i = 0; i < file->settings->tolerances_n; i++) {
    *line = file->tolerance_lines[i];
    bt_status status = check_tolerance(file, i, error);
    if (status != BT_OK)
      return status;
  }
  return BT_OK;
}
