/* Limits of tolerances, which may stand with their unit: "low = -0.05 mm" of a characteristic that
 * is charted in µm is -50. Without a unit they are in that of the characteristic. */
#include "beamtally/intake.h"
#include "convert.h"
#include "number.h"
#include "settings.h"

#include <stdlib.h>
#include <string.h>

static bool begins_unit(char c) {
  return ((c | 0x20) >= 'a' && (c | 0x20) <= 'z') || c == '%' || (unsigned char)c >= 0x80;
}

bt_status intake_settings_take_limit(intake_settings_file *file, const intake_pair *pair,
                                     bt_error *error) {
  size_t last = file->settings->tolerances_n - 1;
  bt_tolerance *tolerance = &file->settings->tolerances[last];
  intake_limit_units *units = &file->limit_units[last];
  bool low = strcmp(pair->key, "low") == 0;
  double *limit = low ? &tolerance->low : &tolerance->high;
  *(low ? &tolerance->has_low : &tolerance->has_high) = true;
  bt_decimal_mark mark =
      intake_mark_of(pair->value) == INTAKE_MARK_COMMA ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT;
  const char *unit = NULL;
  if (intake_number_before(pair->value, mark, limit, &unit) && begins_unit(*unit))
    return intake_ini_keep(low ? &units->low : &units->high, unit, error);
  bt_status status = bt_number_typed(pair->value, limit, error);
  if (status != BT_OK)
    bt_error_prefix(error, "%s", pair->key);
  return status;
}

static bt_status convert(const bt_quantity *of, const char *wanted, const char *key,
                         const char *unit, double *limit, bt_error *error) {
  intake_conversion conversion;
  if (unit == NULL)
    return BT_OK;
  if (!intake_conversion_to(wanted, unit, &conversion) && *of->unit != '\0')
    return bt_fail(error, BT_INPUT,
                   "%s = %.9g %s: limits of %s are in %s, and \"%s\" is no unit that can be "
                   "converted to it; write the limit in %s",
                   key, *limit, unit, of->key, of->unit, unit, of->unit);
  if (!intake_conversion_to(wanted, unit, &conversion))
    return bt_fail(error, BT_INPUT,
                   "%s = %.9g %s: %s is a bare number, and \"%s\" can't be converted to one; write "
                   "the limit without a unit",
                   key, *limit, unit, of->key, unit);
  *limit = intake_convert(&conversion, *limit);
  return BT_OK;
}

bt_status intake_settings_convert_limits(const intake_settings_file *file, size_t i,
                                         bt_error *error) {
  bt_tolerance *tolerance = &file->settings->tolerances[i];
  const bt_quantity of = bt_settings_quantity(file->settings, tolerance->characteristic);
  const char *wanted = tolerance->characteristic == BT_ENERGY_RATIO ? "1" : of.unit;
  bt_status status = convert(&of, wanted, "low", file->limit_units[i].low, &tolerance->low, error);
  if (status == BT_OK)
    status = convert(&of, wanted, "high", file->limit_units[i].high, &tolerance->high, error);
  return status;
}

void intake_settings_free_limits(intake_settings_file *file, size_t n) {
  for (size_t i = 0; i < n && i < file->limit_units_capacity; i++) {
    free(file->limit_units[i].low);
    free(file->limit_units[i].high);
  }
  free(file->limit_units);
}
