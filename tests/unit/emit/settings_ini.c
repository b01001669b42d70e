/* Settings as an INI file: each value stands in its line, with all the digits that it needs. */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <string.h>

Test(settings_ini, everything_stands_in_its_section) {
  char north[] = "Suite North", source[] = "clinic policy", clinic[] = "A clinic", tell[] = "us";
  char font[] = "/faces/more.otf";
  char key[] = "door_force", title[] = "Door closing force", newton[] = "N";
  bt_unit_setting unit = {.name = north,
                          .beam = BT_BEAM_GAUSSIAN,
                          .fluence = BT_FLUENCE_PLATE,
                          .has_plate = true,
                          .plate_alpha_per_um = 0.1 + 0.2,
                          .plate_threshold = 45,
                          .spread = BT_SPREAD_2S,
                          .refill_interval_days = 3,
                          .expected_days = 2,
                          .pulses_per_day = 12000};
  bt_tolerance tolerances[] = {{.unit = north,
                                .characteristic = BT_ENERGY_RATIO,
                                .has_low = true,
                                .has_high = true,
                                .low = .97,
                                .high = 1.03,
                                .source = source,
                                .from = 20454 * BT_DAY},
                               {.unit = north,
                                .characteristic = (bt_characteristic)BT_CHARACTERISTIC_COUNT,
                                .has_high = true,
                                .high = 40,
                                .source = source}};
  bt_own_characteristic own = {key, title, newton, 1};
  bt_settings settings = {.units_n = 1,
                          .units = &unit,
                          .tolerances_n = 2,
                          .tolerances = tolerances,
                          .weekdays = 1U << 1 | 1U << 4,
                          .alarms_per_unit_year = .5,
                          .tell = tell,
                          .clinic = clinic,
                          .font = font,
                          .own_n = 1,
                          .own = &own};
  bt_text text = {0};
  bt_emit_settings_ini(&settings, &text);
  cr_assert(bt_text_ok(&text));
  cr_expect_str_eq(
      bt_text_get(&text),
      "[clinic]\nname = A clinic\ntell = us\nfont = /faces/more.otf\n"
      "\n[unit 1]\nname = Suite North\nbeam = gaussian\nfluence = plate\n"
      "plate_alpha_per_um = 0.30000000000000004\nplate_threshold_mj_cm2 = 45\n"
      "spread = 2s\nrefill_interval_days = 3\nfill_age = pulses\npulses_per_day = 12000\n"
      "expected_days = 2\n"
      "\n[schedule]\nweekdays = mon thu\n"
      "\n[budget]\nalarms_per_unit_year = 0.5\n"
      "\n[characteristic 1]\nkey = door_force\ntitle = Door closing force\nunit = N\n"
      "decimals = 1\n"
      "\n[tolerance 1]\nunit = Suite North\ncharacteristic = energy_ratio\n"
      "low = 0.97\nhigh = 1.03\nsource = clinic policy\nfrom = 2026-01-01\n"
      "\n[tolerance 2]\nunit = Suite North\ncharacteristic = door_force\nhigh = 40\n"
      "source = clinic policy\n");
  bt_text_free(&text);
}
