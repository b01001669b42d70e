/* Characteristics of the clinic's own: how they are declared, and how columns become them. */
#include "own.h"
#include "gather.h"

#include <criterion/criterion.h>
#include <string.h>

#define DOOR "[characteristic 1]\nkey = door_force\ntitle = Door closing force\nunit = N\n"

Test(intake_own, declared_in_the_settings) {
  static const char text[] = "[unit 1]\nname = A\n"
                             "[tolerance 1]\nunit = A\ncharacteristic = door_force\nhigh = 40\n"
                             "source = own policy\n" DOOR "decimals = 1\n"
                             "[characteristic 2]\nkey = homogeneity\ntitle = Homogenität\nunit =\n";
  bt_settings settings = {0};
  bt_error error = {0};
  cr_assert_eq(bt_settings_read(file_of_text(text), &settings, &error), BT_OK, "%s", error.text);
  cr_assert_eq(settings.own_n, 2);
  cr_expect_str_eq(settings.own[0].key, "door_force");
  cr_expect_str_eq(settings.own[0].title, "Door closing force");
  cr_expect_str_eq(settings.own[0].unit, "N");
  cr_expect_eq(settings.own[0].decimals, 1);
  cr_expect_str_eq(settings.own[1].unit, "");
  cr_expect_eq(settings.own[1].decimals, 2, "what is unsaid has two decimals");
  bt_characteristic door = BT_CHARACTERISTIC_COUNT;
  cr_assert_eq(settings.tolerances_n, 1);
  cr_expect_eq(settings.tolerances[0].characteristic, door, "declared behind its tolerance");
  cr_assert_not_null(bt_settings_tolerance(&settings, "A", door, at("2026-08-17")));
  bt_settings_free(&settings);
}

Test(intake_own, mistakes_in_the_settings) {
  static const struct {
    const char *text;
    int line;
    const char *says;
  } table[] = {
      {"[characteristic 1]\nkey = energy_mj\n", 2,
       "\"energy_mj\" is there already, of Beamtally's"},
      {"[characteristic 1]\nkey = date\n", 2, "\"date\" is there already, of Beamtally's own"},
      {"[characteristic 1]\nkey = beamtally_line\n", 2,
       "\"beamtally_line\" is what an export calls a column of its own"},
      {"[characteristic 1]\nkey = became\n", 2,
       "\"became\" is what an export calls a column of its own"},
      {"[characteristic 1]\nkey = value\n", 2, "\"value\" is there already, of Beamtally's own"},
      {"[characteristic 1]\nkey = high_voltage\n", 2, "\"high_voltage\" is there already"},
      {"[characteristic 1]\nkey = laser\n", 2, "a column \"laser\" is read as unit already"},
      {"[characteristic 1]\nkey = door force\n", 2, "\"door force\" can't be a key"},
      {"[characteristic 1]\nkey = t\xC3\xBCr\n", 2, "\"t\xC3\xBCr\" can't be a key"},
      {"[characteristic 1]\nkey =\n", 2, "\"key\" has no value; fill it in"},
      {"[characteristic 1]\nkey = d\ntitle = Energy (mJ)\n", 3,
       "a column \"Energy (mJ)\" is read as energy_mj already; choose another title"},
      {"[characteristic 1]\nkey = d\ntitle = Patient age\n", 3,
       "\"Patient age\" looks like a patient's identity"},
      {DOOR "decimals = 10\n", 5, "expected a number from 0 to 9 for decimals, found \"10\""},
      {DOOR "decimals = 1.0\n", 5, "expected a number from 0 to 9 for decimals, found \"1.0\""},
      {DOOR "colour = red\n", 5, "\"colour\" is no key of [characteristic 1]; it has key, title"},
      {DOOR "title = other\n", 5, "\"title\" came before in [characteristic 1]; write it once"},
      {"[characteristic 1]\ntitle = Door\n", 2, "the characteristic has no key"},
      {"[characteristic 1]\nkey = door\n", 2, "the characteristic \"door\" has no title"},
      {DOOR "[characteristic 2]\nkey = Door_Force\ntitle = other\n", 6,
       "the characteristic \"Door_Force\" (other) has the same name as \"door_force\""},
      {DOOR "[characteristic 2]\nkey = other\ntitle = door closing FORCE\n", 6,
       "the characteristic \"other\" (door closing FORCE) has the same name as \"door_force\""},
      {DOOR "[tolerance 1]\nunit = A\ncharacteristic = door_farce\nlow = 1\nsource = s\n", 6,
       "\"door_farce\" is no characteristic; there are energy_ratio, demand"},
      {DOOR "[tolerance 1]\nunit = A\ncharacteristic = door_force\nlow = 1\nsource = s\n"
            "[tolerance 2]\nunit = A\ncharacteristic = door_force\nlow = 2\nsource = s\n",
       11, "another tolerance of door_force for \"A\" begins on the same day"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    settings_must_be_refused(table[i].text, table[i].line, table[i].says);
}

/* 32 there can be, 33 not. */
Test(intake_own, the_most) {
  for (int n = BT_OWN_MOST; n <= BT_OWN_MOST + 1; n++) {
    bt_settings settings = {0};
    bt_error error = {0};
    bt_text text = {0};
    for (int i = 1; i <= n; i++)
      bt_text_format(&text, "[characteristic %d]\nkey = k%d\ntitle = title %d\n", i, i, i);
    bt_status status = bt_settings_read(file_of_text(bt_text_get(&text)), &settings, &error);
    cr_expect_eq(status, n == BT_OWN_MOST ? BT_OK : BT_INPUT, "%d: %s", n, error.text);
    cr_expect(status == BT_OK || strstr(error.text, "at most 32 characteristics") != NULL, "%s",
              error.text);
    bt_settings_free(&settings);
    bt_text_free(&text);
  }
}

Test(intake_own, headers) {
  bt_own_characteristic own[] = {
      {(char[]){"door_force"}, (char[]){"Door closing force"}, (char[]){"N"}, 1},
      {(char[]){"tuer"}, (char[]){"Türkraft"}, (char[]){""}, 1}};
  static const struct {
    const char *header;
    int item; /* -1: none */
  } table[] = {{"door_force", 0},
               {"Door force", 0},
               {"DOOR-FORCE", 0},
               {"Door closing force", 0},
               {"door closing force (N)", 0},
               {"Door closing force [N]", 0},
               {"Door closing force N", 0},
               {"Door closing force (kN)", -1},
               {"Door closing", -1},
               {"TÜRKRAFT", 1},
               {"Tuer", 1},
               {"Trkraft", -1},
               {"Tärkraft", -1},
               {"", -1},
               {"N", -1},
               {"(N)", -1}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    size_t item = 0;
    bool found = intake_own_of(table[i].header, own, 2, &item);
    cr_expect_eq(found ? (int)item : -1, table[i].item, "%s", table[i].header);
  }
}
