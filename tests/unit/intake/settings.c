/* Settings files: what they say, and their mistakes with line and reason. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

Test(intake_settings, everything) {
  static const char text[] = "[clinic]\nname = Lakeside\ntell = the laser safety officer\n"
                             "font = faces/more.otf\n"
                             "[unit 1]\nname = Suite North\nbeam = gaussian\nfluence = plate\n"
                             "plate_alpha_per_um = 3,7\nplate_threshold_mj_cm2 = 50\nspread = 2s\n"
                             "refill_interval_days = 3\nexpected_days = 1.5\n"
                             "fill_age = pulses\npulses_per_day = 12000\n"
                             "[unit 2]\nname = Süd\n"
                             "[tolerance 1]\nunit = suite north\ncharacteristic = energy_ratio\n"
                             "low = 0.97\nhigh = 1.03\nsource = instructions for use, section 7.2\n"
                             "from = 2026-01-01\n"
                             "[tolerance 2]\nunit = SÜD\ncharacteristic = high_voltage\nhigh = 30\n"
                             "source = own policy\n"
                             "[schedule]\nweekdays = mon, Tuesday thu\n"
                             "[budget]\nalarms_per_unit_year = 0.5\n";
  bt_settings settings = {0};
  bt_error error = {0};
  cr_assert_eq(bt_settings_read(file_of_text(text), &settings, &error), BT_OK, "%s", error.text);
  cr_expect_str_eq(settings.clinic, "Lakeside");
  cr_expect_str_eq(settings.tell, "the laser safety officer");
  cr_expect_str_eq(settings.font, "faces/more.otf", "as typed");
  cr_assert_eq(settings.units_n, 2);
  const bt_unit_setting *unit = settings.units;
  cr_expect(unit[0].beam == BT_BEAM_GAUSSIAN && unit[1].beam == BT_BEAM_UNDECLARED);
  cr_expect(unit[0].fluence == BT_FLUENCE_PLATE && unit[1].fluence == BT_FLUENCE_LOGGED);
  cr_expect(unit[0].has_plate && !unit[1].has_plate);
  cr_expect(unit[0].plate_alpha_per_um == 3.7 && unit[0].plate_threshold == 50.0);
  cr_expect(unit[0].spread == BT_SPREAD_2S && unit[1].spread == BT_SPREAD_UNSTATED);
  cr_expect(unit[0].refill_interval_days == 3.0 && unit[0].expected_days == 1.5);
  cr_expect(unit[0].pulses_per_day == 12000 && unit[1].pulses_per_day == 0);
  cr_assert_eq(settings.tolerances_n, 2);
  const bt_tolerance *tolerance =
      bt_settings_tolerance(&settings, "Suite North", BT_ENERGY_RATIO, at("2026-01-01T07:00"));
  cr_assert_not_null(tolerance);
  cr_expect(tolerance->has_low && tolerance->has_high && tolerance->low == 0.97 &&
            tolerance->high == 1.03);
  cr_expect_str_eq(tolerance->source, "instructions for use, section 7.2");
  cr_expect_null(
      bt_settings_tolerance(&settings, "Suite North", BT_ENERGY_RATIO, at("2025-12-31T23:59")));
  tolerance = bt_settings_tolerance(&settings, "Süd", BT_HIGH_VOLTAGE, at("1985-01-01"));
  cr_assert_not_null(tolerance);
  cr_expect(!tolerance->has_low && tolerance->has_high && tolerance->high == 30.0);
  cr_expect_eq(settings.weekdays, 1U << 1 | 1U << 2 | 1U << 4);
  cr_expect_eq(settings.alarms_per_unit_year, 0.5);
  bt_settings_free(&settings);

  cr_assert_eq(bt_settings_read(file_of_text("; nothing yet\n"), &settings, &error), BT_OK);
  cr_expect(settings.alarms_per_unit_year == 1.0 && settings.units_n == 0);
  bt_settings_free(&settings);
}

#define UNIT      "[unit 1]\nname = A\n"
#define TOLERANCE "[tolerance 1]\nunit = A\ncharacteristic = fluence\n"

Test(intake_settings, mistakes) {
  static const struct {
    const char *text;
    int line;
    const char *says;
  } table[] = {
      {UNIT "beam = round\n", 3, "expected one of flat_top, gaussian for beam, found \"round\""},
      {UNIT "fluence = guess\n", 3, "expected one of logged, energy, plate for fluence"},
      {UNIT "spread = 3s\n", 3, "expected one of 1s, 2s for spread"},
      {UNIT "plate_alpha_per_um = 3.7 um\n", 3, "plate_alpha_per_um: \"3.7 um\" is no number"},
      {UNIT "pulses_per_day = 12,000\n", 3,
       "pulses_per_day: 12,000 can be 12.000 or, with thousands, 12000; write the one"},
      {UNIT "plate_alpha_per_um = -1\n", 3, "plate_alpha_per_um must be above zero, found -1"},
      {UNIT "plate_alpha_per_um = 3.7\n", 2, "the plate needs both plate_alpha_per_um and"},
      {UNIT "fluence = plate\n", 2, "fluence = plate needs plate_alpha_per_um and"},
      {UNIT "colour = red\n", 3, "\"colour\" is no key of [unit 1]; it has name, beam"},
      {UNIT "name = B\n", 3, "\"name\" came before in [unit 1]; write it once"},
      {UNIT "[unit 1]\n", 3, "the section [unit 1] came before"},
      {UNIT "[unit 2]\nname = a\n", 4, "the unit \"a\" has a section already"},
      {"[unit 1]\nbeam = gaussian\n", 2, "the unit has no name"},
      {"[unit A]\nname = A\n", 2, "\"[unit A]\" is no section of the settings"},
      {"[tolerances]\nlow = 1\n", 2, "\"[tolerances]\" is no section of the settings"},
      {"low = 1\n", 1, "this line stands before any heading in brackets. A settings file has "},
      {"Energy, measured/set: 0.95 to 1.05\nFluence: 152 to 168 mJ/cm2\n", 1,
       "this line stands before any heading in brackets. A settings file has headings, and under each "
       "its lines KEY = VALUE. A tolerance is these six lines: \"[tolerance 1]\", \"unit = Suite North\", "
       "\"characteristic = energy_ratio\", \"low = 0.95\", \"high = 1.05\", \"source = instructions for "
       "use, section 7.2\";"},
      {"; of the manual\nEnergy from 0.95 to 1.05\n[unit 1]\nname = A\n", 2,
       "this line stands before any heading in brackets"},
      {UNIT "Energy from 0.95 to 1.05\n", 3, "expected \"[section]\" or \"key = value\""},
      {UNIT TOLERANCE "low = 1\n", 4, "the tolerance has no source"},
      {UNIT TOLERANCE "source = own policy\n", 4, "the tolerance has no limit; write low, high"},
      {UNIT TOLERANCE "source = own policy\nlow = 2\nhigh = 2\n", 4,
       "low (2) is not below high (2)"},
      {UNIT TOLERANCE "source = s\nlow = 20 mm\n", 4,
       "low = 20 mm: limits of fluence are in mJ/cm², and \"mm\" is no unit that can be converted to "
       "it; write the limit in mJ/cm²"},
      {UNIT "[tolerance 1]\nunit = A\ncharacteristic = tracker_vector\nhigh = 9 %\nsource = s\n", 4,
       "high = 9 %: tracker_vector is a bare number, and \"%\" can't be converted to one"},
      {UNIT TOLERANCE "low = 1 000\n", 6, "low: \"1 000\" is no number"},
      {UNIT TOLERANCE "low = x\n", 6, "low: \"x\" is no number"},
      {UNIT TOLERANCE "low =\n", 6, "\"low\" has no value; fill it in or take the line out"},
      {UNIT TOLERANCE "from = 1.1.2026\n", 6, "expected a day such as 2026-01-01 for from"},
      {UNIT TOLERANCE "from = 2026-01-01T08:00\n", 6, "expected a day such as 2026-01-01 for from"},
      {UNIT "[tolerance 1]\nunit = A\nlow = 1\nsource = s\n", 4,
       "the tolerance has no characteristic"},
      {UNIT "[tolerance 1]\nunit = A\ncharacteristic = temp_c\nhigh = 24\nsource = s\n", 4,
       "temp_c is a room condition"},
      {UNIT "[tolerance 1]\ncharacteristic = energy\n", 4,
       "\"energy\" is no characteristic; there are energy_ratio, demand"},
      {"[tolerance 1]\ncharacteristic = fluence\nlow = 1\nsource = s\n", 2,
       "the tolerance has no unit"},
      {"[unit 1]\nname = Suite North\n[tolerance 1]\nunit = Suite Nroth\ncharacteristic = fluence\n"
       "low = 1\nsource = s\n",
       4, "no [unit] section names the unit \"Suite Nroth\"; the nearest is \"Suite North\""},
      {UNIT TOLERANCE
       "low = 1\nsource = s\n[tolerance 2]\nunit = a\ncharacteristic = fluence\nlow = "
       "2\nsource = s\n",
       9, "another tolerance of fluence for \"a\" begins on the same day"},
      {"[schedule]\nweekdays = mon fry\n", 2, "\"fry\" is no weekday"},
      {"[schedule]\nhours = 8\n", 2, "\"hours\" is no key of [schedule]; it has weekdays"},
      {"[budget]\nalarms_per_unit_year = 0\n", 2, "alarms_per_unit_year must be above zero"},
      {"[budget]\nalarms = 1\n", 2, "\"alarms\" is no key of [budget]"},
      {"[clinic]\nstreet = x\n", 2, "\"street\" is no key of [clinic]; it has name, tell"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    settings_must_be_refused(table[i].text, table[i].line, table[i].says);
  bt_settings settings = {0};
  bt_error error = {0};
  cr_expect_eq(bt_settings_read("/tmp/no-such-settings.ini", &settings, &error), BT_SYSTEM);
}

/* A limit with its unit is converted as a log's column is; a bare one is in that of the
 * characteristic. */
Test(intake_settings, limits_with_their_unit) {
  static const struct {
    const char *characteristic, *low, *high;
    double is_low, is_high;
  } table[] = {{"tracker_x", "-0.05 mm", "0.05mm", -50, 50},
               {"tracker_x", "-50 µm", "0,05 mm", -50, 50},
               {"tracker_x", "-50 um", "50", -50, 50},
               {"tracker_x", "-0.05", "0.05", -0.05, 0.05},
               {"energy_ratio", "97 %", "1.03", 0.97, 1.03},
               {"high_voltage", "25 kV", "30000 V", 25, 30},
               {"fluence", "0.15 J/cm²", "170 mJ/cm2", 150, 170},
               {"energy_spread", "0.5 %", "3%", 0.5, 3}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char text[256];
    bt_settings settings = {0};
    bt_error error = {0};
    (void)snprintf(text, sizeof text,
                   "[tolerance 1]\nunit = A\ncharacteristic = %s\nlow = %s\nhigh = %s\n"
                   "source = s\n",
                   table[i].characteristic, table[i].low, table[i].high);
    cr_assert_eq(bt_settings_read(file_of_text(text), &settings, &error), BT_OK, "%zu: %s", i,
                 error.text);
    cr_expect_float_eq(settings.tolerances[0].low, table[i].is_low, 1e-12, "%zu: %.17g", i,
                       settings.tolerances[0].low);
    cr_expect_float_eq(settings.tolerances[0].high, table[i].is_high, 1e-12, "%zu: %.17g", i,
                       settings.tolerances[0].high);
    bt_settings_free(&settings);
  }
}
