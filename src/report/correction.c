/* Which corrections are of the readings that a characteristic is made of: the others leave its
 * chart as it was. */
#include "report_study.h"

#include <string.h>

#define OF(ID) (1U << BT_READING_##ID)

/* The readings that a value is made of, one bit each; of them the fluence's depend on what the
 * clinic chose. */
static uint32_t readings_of(const bt_unit_study *unit, const bt_study *of) {
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  bt_reading logged = bt_characteristic_reading(of->characteristic);
  switch (of->characteristic) {
  case BT_ENERGY_RATIO:
    return OF(ENERGY_MJ) | OF(TARGET_MJ) | OF(ENERGY_PCT);
  case BT_DEMAND:
    return OF(TARGET_MJ) | OF(FLUENCE_SETTING);
  case BT_FLUENCE:
    return setting == NULL || setting->fluence == BT_FLUENCE_LOGGED ? OF(FLUENCE_MJ_CM2)
           : setting->fluence == BT_FLUENCE_ENERGY                  ? OF(ENERGY_MJ) | OF(SPOT_MM)
                                                   : OF(PLATE_DEPTH_UM) | OF(PLATE_PULSES);
  case BT_TRACKER_RADIAL:
  case BT_TRACKER_VECTOR:
    return OF(OFFSET_X_UM) | OF(OFFSET_Y_UM);
  case BT_HIGH_VOLTAGE:
    return OF(HV_KV) | OF(TARGET_MJ);
  default:
    return logged == BT_READING_NONE ? 0 : 1U << logged;
  }
}

static bool touches_own(const bt_touched *touched, const char *key) {
  for (size_t i = 0; i < touched->own_n; i++)
    if (strcmp(touched->own[i], key) == 0)
      return true;
  return false;
}

bool report_correction_touches(const bt_unit_study *unit, const bt_study *of,
                               const bt_correction *correction) {
  const bt_touched *touched = &correction->touched;
  /* A record that was superseded held something, and the row in its place may differ in anything;
   * where what stood stays, nothing was corrected. */
  if (correction->kind == BT_SETTLED)
    return touched->readings != 0 || touched->refill || touched->own_n > 0;
  bool age = touched->refill || (touched->readings & OF(FILL_AGE_DAYS)) != 0;
  if (correction->kind == BT_CORRECTED && (touched->place || (of->adjusted && age)))
    return true;
  return (touched->readings & readings_of(unit, of)) != 0 || touches_own(touched, of->quantity.key);
}
