/* Which corrections are of the readings that a characteristic is made of: the others leave its
 * chart as it was. What a correction changed is known by its words alone, which begin with the
 * column's name: "energy_mj 1.61 -> 1.59; remark changed". */
#include "report_room.h"

#include <string.h>

/* The columns that a reading is made of; of them the fluence's depend on what the clinic chose. */
static const char *const *columns_of(const bt_unit_study *unit, const bt_study *of) {
  static const char *const ratio[] = {"energy_mj", "target_mj", NULL},
                           *const demand[] = {"target_mj", "fluence_setting", NULL},
                           *const logged[] = {"fluence_mj_cm2", NULL},
                           *const energy[] = {"energy_mj", "spot_mm", NULL},
                           *const plate[] = {"plate_depth_um", "plate_pulses", NULL},
                           *const offsets[] = {"offset_x_um", "offset_y_um", NULL},
                           *const voltage[] = {"hv_kv", "target_mj", NULL},
                           *const x[] = {"offset_x_um", NULL}, *const y[] = {"offset_y_um", NULL},
                           *const spread[] = {"energy_sd_pct", NULL}, *const none[] = {NULL};
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  switch (of->characteristic) {
  case BT_ENERGY_RATIO:
    return ratio;
  case BT_DEMAND:
    return demand;
  case BT_FLUENCE:
    return setting == NULL || setting->fluence == BT_FLUENCE_LOGGED ? logged
           : setting->fluence == BT_FLUENCE_ENERGY                  ? energy
                                                                    : plate;
  case BT_TRACKER_X:
    return x;
  case BT_TRACKER_Y:
    return y;
  case BT_TRACKER_RADIAL:
  case BT_TRACKER_VECTOR:
    return offsets;
  case BT_HIGH_VOLTAGE:
    return voltage;
  case BT_ENERGY_SPREAD:
    return spread;
  default:
    return none; /* its column has its own key */
  }
}

/* Any part of the words, parted by semicolons or commas, begins with that name. */
static bool names(const char *words, const char *column) {
  size_t length = strlen(column);
  for (const char *part = words; part != NULL && *part != '\0';) {
    part += strspn(part, " ;,");
    if (strncmp(part, column, length) == 0 && part[length] == ' ')
      return true;
    part = strpbrk(part, ";,");
  }
  return false;
}

/* Columns that place every reading of their row, or say what it is. */
static bool names_any_row(const bt_study *of, const char *words) {
  return names(words, "unit") || names(words, "time") || names(words, "state") ||
         (of->adjusted && (names(words, "refill") || names(words, "fill_age_days")));
}

bool report_correction_touches(const bt_unit_study *unit, const bt_study *of,
                               const bt_correction *correction) {
  if (correction->kind == BT_SETTLED) /* its rows may differ in anything */
    return true;
  if (names(correction->changes, of->quantity.key))
    return true;
  if (correction->kind == BT_CORRECTED && names_any_row(of, correction->changes))
    return true;
  for (const char *const *column = columns_of(unit, of); *column != NULL; column++)
    if (names(correction->changes, *column))
      return true;
  return false;
}
