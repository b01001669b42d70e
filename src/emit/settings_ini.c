/* The clinic's settings as the INI file that `settings` takes: what stands here reads back as the
 * same settings. */
#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>

/* The shortest of 15, 16 or 17 digits that reads back as the same number. */
static void add_number(bt_text *out, const char *key, double number) {
  char text[32];
  for (int digits = 15; digits <= 17; digits++) {
    (void)snprintf(text, sizeof text, "%.*g", digits, number);
    if (strtod(text, NULL) == number)
      break;
  }
  bt_text_format(out, "%s = %s\n", key, text);
}

static const char *beam_word(bt_beam beam) {
  return beam == BT_BEAM_GAUSSIAN ? "gaussian" : beam == BT_BEAM_FLAT_TOP ? "flat_top" : NULL;
}

static const char *fluence_word(bt_fluence_from fluence) {
  return fluence == BT_FLUENCE_ENERGY ? "energy" : fluence == BT_FLUENCE_PLATE ? "plate" : "logged";
}

static void add_unit(const bt_unit_setting *unit, size_t number, bt_text *out) {
  bt_text_format(out, "\n[unit %zu]\nname = %s\n", number, unit->name);
  if (beam_word(unit->beam) != NULL)
    bt_text_format(out, "beam = %s\n", beam_word(unit->beam));
  bt_text_format(out, "fluence = %s\n", fluence_word(unit->fluence));
  if (unit->has_plate) {
    add_number(out, "plate_alpha_per_um", unit->plate_alpha_per_um);
    add_number(out, "plate_threshold_mj_cm2", unit->plate_threshold);
  }
  if (unit->spread != BT_SPREAD_UNSTATED)
    bt_text_format(out, "spread = %s\n", unit->spread == BT_SPREAD_1S ? "1s" : "2s");
  if (unit->refill_interval_days > 0)
    add_number(out, "refill_interval_days", unit->refill_interval_days);
  if (unit->pulses_per_day > 0) {
    bt_text_add(out, "fill_age = pulses\n");
    add_number(out, "pulses_per_day", unit->pulses_per_day);
  }
  if (unit->expected_days > 0)
    add_number(out, "expected_days", unit->expected_days);
}

static void add_tolerance(const bt_settings *settings, size_t i, bt_text *out) {
  const bt_tolerance *tolerance = &settings->tolerances[i];
  char from[BT_TIME_TEXT];
  bt_text_format(out, "\n[tolerance %zu]\nunit = %s\ncharacteristic = %s\n", i + 1, tolerance->unit,
                 bt_settings_quantity(settings, tolerance->characteristic).key);
  if (tolerance->has_low)
    add_number(out, "low", tolerance->low);
  if (tolerance->has_high)
    add_number(out, "high", tolerance->high);
  bt_text_format(out, "source = %s\n", tolerance->source);
  if (tolerance->from != 0) /* else from the beginning: the file had no day */
    bt_text_format(out, "from = %s\n", bt_time_day_iso(tolerance->from, from));
}

static void add_own(const bt_own_characteristic *own, size_t number, bt_text *out) {
  bt_text_format(out, "\n[characteristic %zu]\nkey = %s\ntitle = %s\n", number, own->key,
                 own->title);
  if (own->unit[0] != '\0')
    bt_text_format(out, "unit = %s\n", own->unit);
  bt_text_format(out, "decimals = %d\n", own->decimals);
}

void bt_emit_settings_ini(const bt_settings *settings, bt_text *out) {
  static const char *const days[] = {"", "mon", "tue", "wed", "thu", "fri", "sat", "sun"};
  if (settings->clinic != NULL || settings->tell != NULL || settings->font != NULL)
    bt_text_add(out, "[clinic]\n");
  if (settings->clinic != NULL)
    bt_text_format(out, "name = %s\n", settings->clinic);
  if (settings->tell != NULL)
    bt_text_format(out, "tell = %s\n", settings->tell);
  if (settings->font != NULL)
    bt_text_format(out, "font = %s\n", settings->font);
  for (size_t i = 0; i < settings->units_n; i++)
    add_unit(&settings->units[i], i + 1, out);
  if (settings->weekdays != 0) {
    bt_text_add(out, "\n[schedule]\nweekdays =");
    for (unsigned day = 1; day <= 7; day++)
      if ((settings->weekdays >> day & 1U) != 0)
        bt_text_format(out, " %s", days[day]);
    bt_text_add(out, "\n");
  }
  bt_text_add(out, "\n[budget]\n");
  add_number(out, "alarms_per_unit_year", settings->alarms_per_unit_year);
  for (size_t i = 0; i < settings->own_n; i++)
    add_own(&settings->own[i], i + 1, out);
  for (size_t i = 0; i < settings->tolerances_n; i++)
    add_tolerance(settings, i, out);
}
