/* Characteristics, and which setting or tolerance is meant. */
#include "beamtally/setup.h"

#include <criterion/criterion.h>
#include <string.h>

static char north[] = "Suite North", lower_north[] = "suite north", south[] = "Suite South";

Test(setups, every_characteristic_key_is_read_back) {
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_characteristic found = BT_CHARACTERISTIC_COUNT;
    cr_assert(bt_characteristic_of(bt_characteristic_key((bt_characteristic)c), &found));
    cr_assert_eq((int)found, c);
    bt_quantity quantity = bt_settings_quantity(&(bt_settings){0}, (bt_characteristic)c);
    cr_assert(strlen(quantity.title) > 0 && quantity.decimals >= 0);
  }
}

Test(setups, characteristics) {
  bt_characteristic found = BT_CHARACTERISTIC_COUNT;
  cr_assert_not(bt_characteristic_of("energy", &found));
  cr_assert_not(bt_characteristic_of("ENERGY_RATIO", &found));
  cr_assert_not(bt_characteristic_of("", &found));
  cr_assert_eq(found, BT_CHARACTERISTIC_COUNT);
  cr_assert_str_eq(bt_characteristic_key(BT_TRACKER_RADIAL), "tracker_radial");
  cr_assert_str_eq(bt_settings_quantity(&(bt_settings){0}, BT_TRACKER_RADIAL).unit, "µm");
  cr_assert_str_eq(bt_settings_quantity(&(bt_settings){0}, BT_ENERGY_RATIO).unit, "");
  cr_assert_eq(bt_characteristic_decimals(BT_ENERGY_RATIO), 4);
}

/* The clinic's own come first: one may have been declared before there was a built-in one. */
Test(setups, a_key_that_the_clinic_had_first_is_its_own) {
  char key[] = "demand", title[] = "Demand for rooms", unit[] = "";
  bt_own_characteristic own = {.key = key, .title = title, .unit = unit};
  bt_settings settings = {.own_n = 1, .own = &own};
  bt_characteristic found = BT_DEMAND;
  cr_assert(bt_settings_characteristic(&settings, "demand", &found));
  cr_expect_eq((int)found, BT_CHARACTERISTIC_COUNT);
  for (int c = 0; c <= BT_CHARACTERISTIC_COUNT; c++)
    cr_expect_eq(bt_settings_hide(&settings, (bt_characteristic)c), c == BT_DEMAND, "%d", c);
  settings.own_n = 0;
  cr_assert(bt_settings_characteristic(&settings, "demand", &found));
  cr_expect_eq(found, BT_DEMAND);
  cr_expect_not(bt_settings_hide(&settings, BT_DEMAND));
}

Test(setups, only_room_conditions_are_covariates) {
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++)
    cr_assert_eq(bt_characteristic_is_covariate((bt_characteristic)c),
                 c == BT_TEMPERATURE || c == BT_HUMIDITY);
}

Test(setups, unit_by_name) {
  bt_unit_setting units[] = {{.name = north, .beam = BT_BEAM_GAUSSIAN}, {.name = south}};
  bt_settings settings = {.units_n = 2, .units = units};
  cr_assert_eq(bt_settings_unit(&settings, " suite NORTH"), &units[0]);
  cr_assert_eq(bt_settings_unit(&settings, "Suite South"), &units[1]);
  cr_assert_null(bt_settings_unit(&settings, "Suite"));
  settings.units_n = 0;
  cr_assert_null(bt_settings_unit(&settings, "Suite North"));
}

/* A tolerance is in force from its day on, until a later one of the same unit and characteristic;
 * of two from one day the one written last. The order in the file doesn't matter otherwise. */
Test(setups, tolerance_in_force) {
  enum { JANUARY = 1000, MARCH = 2000, JUNE = 3000 };
  bt_tolerance all[] = {
      {.unit = north, .characteristic = BT_ENERGY_RATIO, .from = JUNE, .low = 3},
      {.unit = north, .characteristic = BT_ENERGY_RATIO, .from = JANUARY, .low = 1},
      {.unit = north, .characteristic = BT_FLUENCE, .from = MARCH, .low = 9},
      {.unit = south, .characteristic = BT_ENERGY_RATIO, .from = MARCH, .low = 8},
      {.unit = lower_north, .characteristic = BT_ENERGY_RATIO, .from = MARCH, .low = 2},
      {.unit = north, .characteristic = BT_DEMAND, .from = MARCH, .low = 4},
      {.unit = north, .characteristic = BT_DEMAND, .from = MARCH, .low = 5},
  };
  bt_settings settings = {.tolerances_n = sizeof all / sizeof all[0], .tolerances = all};
  static const struct {
    bt_time at;
    int expected; /* index into all; -1: none */
  } table[] = {
      {JANUARY - 1, -1}, {JANUARY, 1},  {JANUARY + 1, 1}, {MARCH - 1, 1},
      {MARCH, 4},        {JUNE - 1, 4}, {JUNE, 0},        {JUNE + 100000, 0},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    const bt_tolerance *found =
        bt_settings_tolerance(&settings, "SUITE NORTH", BT_ENERGY_RATIO, table[i].at);
    cr_assert_eq(found, table[i].expected < 0 ? NULL : &all[table[i].expected], "case %zu", i);
  }
  cr_assert_eq(bt_settings_tolerance(&settings, "Suite North", BT_DEMAND, JUNE), &all[6]);
  cr_assert_null(bt_settings_tolerance(&settings, "Suite North", BT_DEMAND, MARCH - 1));
  cr_assert_null(bt_settings_tolerance(&settings, "Suite North", BT_TRACKER_X, JUNE));
  cr_assert_null(bt_settings_tolerance(&settings, "Suite West", BT_ENERGY_RATIO, JUNE));
}
