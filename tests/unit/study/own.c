/* Characteristics of the clinic's own: studied after the canonical ones, as the settings name them.
 */
#include "made_ledger.h"

#include <stdlib.h>
#include <string.h>

static bt_error error;

static char door[] = "door_force", door_title[] = "Door closing force", newton[] = "N";
static char beam[] = "beam_tilt", beam_title[] = "Beam tilt", mrad[] = "mrad";

/* Settings that name one or both, in this order. */
static void name_own(made_ledger *made, bool tilt_first, size_t n) {
  bt_own_characteristic force = {.key = door, .title = door_title, .unit = newton, .decimals = 1};
  bt_own_characteristic tilt = {.key = beam, .title = beam_title, .unit = mrad, .decimals = 3};
  bt_own_characteristic own[] = {tilt_first ? tilt : force, tilt_first ? force : tilt};
  char unit[] = "Unit A", source[] = "a policy";
  bt_tolerance tolerance = {.unit = unit,
                            .characteristic = BT_CHARACTERISTIC_COUNT,
                            .has_high = true,
                            .high = 40,
                            .source = source};
  bt_settings settings = {.tolerances_n = 1,
                          .tolerances = &tolerance,
                          .alarms_per_unit_year = 1,
                          .own_n = n,
                          .own = own};
  cr_assert_eq(
      bt_ledger_add_settings(made->ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK, "%s", error.text);
}

static void own_check(made_ledger *made, int day, double force, double tilt, bool has_tilt) {
  bt_own_reading own[] = {{.key = door, .value = force}, {.key = beam, .value = tilt}};
  bt_check check = {.time = made_time(day, 8, 0),
                    .has_clock = true,
                    .present = 1U << BT_READING_OFFSET_X_UM,
                    .own_n = has_tilt ? 2 : 1,
                    .own = own};
  check.reading[BT_READING_OFFSET_X_UM] = day % 5;
  made_full_check(made, check);
}

Test(own, studies_stand_behind_the_canonical_ones_in_order_of_the_settings) {
  made_ledger made;
  uint64_t state = 2;
  made_begin(&made);
  for (int day = 0; day < 80; day++)
    own_check(&made, day, 30 + made_normal(&state) + (day >= 70 ? 9 : 0) + (day == 79 ? 20 : 0),
              0.1 * made_normal(&state), day % 2 == 0);
  made_finish(&made);
  name_own(&made, false, 2);
  bt_study_request ask = {.unit = "Unit A", .until = made_time(200, 0, 0)};
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(unit->studies_n, 3);
  cr_assert_str_eq(unit->studies[0]->quantity.key, "tracker_x");
  const bt_study *force = unit->studies[1], *tilt = unit->studies[2];
  cr_assert_str_eq(force->quantity.title, door_title);
  cr_assert_str_eq(tilt->quantity.unit, mrad);
  cr_assert_eq(tilt->characteristic, BT_CHARACTERISTIC_COUNT + 1);
  cr_assert_eq(force->points.n, 80);
  cr_assert_eq(tilt->points.n, 40, "a check without the reading has no point");
  cr_assert_not(force->adjusted);
  cr_assert((force->rules[BT_HIGH][75] & BT_WE1) != 0);
  cr_assert_not(bt_study_now(force)->alarm.given, "it gives notices only");
  cr_assert_gt(force->tolerance.outside, 0, "40 is its upper limit");
  cr_assert_eq(force->verdict, BT_VERDICT_OUT_OF_TOLERANCE);
  bt_unit_study_free(unit);

  /* In another order, and with one that the settings name no more. */
  name_own(&made, true, 2);
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  cr_assert_str_eq(unit->studies[1]->quantity.key, beam);
  cr_assert_eq(unit->studies[2]->points.n, 80);
  bt_unit_study_free(unit);
  name_own(&made, true, 1);
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  cr_assert_eq(unit->studies_n, 2);
  cr_assert_str_eq(unit->studies[1]->quantity.key, beam);
  bt_unit_study_free(unit);
  ask.only_one = true;
  ask.characteristic = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + 1);
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_NOTFOUND);
  made_end(&made);
}

Test(own, one_alone_and_frozen) {
  made_ledger made;
  uint64_t state = 7;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    own_check(&made, day, 30 + made_normal(&state), 0, false);
  made_finish(&made);
  name_own(&made, false, 1);
  cr_assert_eq(made_freeze(&made, BT_CHARACTERISTIC_COUNT, 0, 39), 1);
  bt_study_request ask = {.characteristic = BT_CHARACTERISTIC_COUNT};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_eq(unit->studies_n, 1);
  cr_assert_eq(bt_study_now(unit->studies[0])->baseline.version, 1);
  cr_assert_eq(bt_study_now(unit->studies[0])->phase2, 40);
  bt_unit_study_free(unit);

  name_own(&made, true, 1); /* the log has no tilt */
  bt_study_request other = {.unit = "Unit A",
                            .until = made_time(200, 0, 0),
                            .only_one = true,
                            .characteristic = BT_CHARACTERISTIC_COUNT};
  cr_assert_eq(bt_study_unit(made.ledger, &other, &unit, &error), BT_NOTFOUND);
  cr_assert(strstr(error.text, beam) != NULL, "%s", error.text);
  made_end(&made);
}

/* A key that a built-in characteristic has too: what is under it stays the clinic's own, with its
 * tolerance and its unit, also where one chart alone is asked for, and shares no budget. */
Test(own, a_key_that_is_built_in_now) {
  char key[] = "demand", unit_name[] = "Unit A", source[] = "a policy";
  made_ledger made;
  uint64_t state = 3;
  made_begin(&made);
  for (int day = 0; day < 80; day++) {
    bt_own_reading own = {.key = key, .value = 30 + made_normal(&state)};
    bt_check check = {.time = made_time(day, 8, 0),
                      .has_clock = true,
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_OFFSET_X_UM,
                      .own_n = 1,
                      .own = &own};
    check.reading[BT_READING_TARGET_MJ] = 1.6 + 0.01 * made_normal(&state);
    check.reading[BT_READING_OFFSET_X_UM] = made_normal(&state);
    made_full_check(&made, check);
  }
  made_finish(&made);
  bt_own_characteristic force = {.key = key, .title = door_title, .unit = newton, .decimals = 1};
  bt_tolerance tolerance = {.unit = unit_name,
                            .characteristic = BT_CHARACTERISTIC_COUNT,
                            .has_high = true,
                            .high = 40,
                            .source = source};
  bt_settings settings = {.tolerances_n = 1,
                          .tolerances = &tolerance,
                          .alarms_per_unit_year = 1,
                          .own_n = 1,
                          .own = &force};
  cr_assert_eq(
      bt_ledger_add_settings(made.ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK, "%s", error.text);
  bt_study_request ask = {.unit = "Unit A", .until = made_time(200, 0, 0)};
  for (int one = 0; one < 2; one++) {
    bt_unit_study *unit;
    ask.only_one = one != 0;
    ask.characteristic = BT_CHARACTERISTIC_COUNT;
    cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
    cr_assert_eq(unit->studies_n, one ? 1 : 2, "%zu", unit->studies_n);
    const bt_study *force_study = unit->studies[unit->studies_n - 1];
    cr_expect_str_eq(force_study->quantity.unit, newton);
    cr_expect_not_null(force_study->tolerance.now);
    cr_expect_float_eq(bt_study_now(force_study)->chart.centre, 30, 1);
    bt_unit_study_free(unit);
  }
  ask.characteristic = BT_TRACKER_X;
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  cr_expect_eq(bt_study_now(unit->studies[0])->alarm.charts, 1, "x alone");
  bt_unit_study_free(unit);
  made_end(&made);
}
