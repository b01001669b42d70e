/* Characteristics derived from readings. */
#include "study_room.h"

#include <criterion/criterion.h>

/* A history of one check, and its unit's setting. */
typedef struct one_check {
  bt_history history;
  bt_time at;
  uint32_t present;
  double values[BT_READING_COUNT];
  bt_unit_setting unit;
  bt_settings settings;
  char name[8];
} one_check;

static void begin(one_check *one) {
  *one = (one_check){.name = "Unit A"};
  one->unit.name = one->name;
  one->settings = (bt_settings){.units_n = 1, .units = &one->unit};
  one->history = (bt_history){.unit = one->name, .n = 1, .at = &one->at, .present = &one->present};
  for (int r = 0; r < BT_READING_COUNT; r++)
    one->history.reading[r] = &one->values[r];
}

static void put(one_check *one, bt_reading reading, double value) {
  one->present |= 1U << reading;
  one->values[reading] = value;
}

static bool derive(const one_check *one, bt_characteristic characteristic, double *value) {
  study_place place = {.history = &one->history, .settings = &one->settings, .setting = &one->unit};
  return study_derive(&place, characteristic, 0, value);
}

Test(derive, energy_ratio_needs_both_and_a_target_above_zero) {
  one_check one;
  double value;
  begin(&one);
  put(&one, BT_READING_ENERGY_MJ, 1.5939);
  cr_assert_not(derive(&one, BT_ENERGY_RATIO, &value));
  put(&one, BT_READING_TARGET_MJ, 0);
  cr_assert_not(derive(&one, BT_ENERGY_RATIO, &value));
  put(&one, BT_READING_TARGET_MJ, 1.61);
  cr_assert(derive(&one, BT_ENERGY_RATIO, &value));
  cr_assert_float_eq(value, 0.99, 1e-12);
}

/* The percent of the target speaks where one of the two isn't logged; it makes no target and no
 * energy for what else follows from them. */
Test(derive, energy_ratio_of_a_percent) {
  one_check one;
  double value;
  begin(&one);
  put(&one, BT_READING_ENERGY_PCT, 98.7);
  cr_assert(derive(&one, BT_ENERGY_RATIO, &value));
  cr_assert_float_eq(value, 0.987, 1e-12);
  put(&one, BT_READING_SPOT_MM, 10);
  one.unit.fluence = BT_FLUENCE_ENERGY;
  one.unit.beam = BT_BEAM_FLAT_TOP;
  cr_assert_not(derive(&one, BT_FLUENCE, &value));
  cr_assert_not(derive(&one, BT_DEMAND, &value));
  put(&one, BT_READING_TARGET_MJ, 1.61);
  cr_assert(derive(&one, BT_ENERGY_RATIO, &value), "a target alone gives no ratio");
  cr_assert_float_eq(value, 0.987, 1e-12);
  put(&one, BT_READING_ENERGY_MJ, 1.5939);
  cr_assert(derive(&one, BT_ENERGY_RATIO, &value));
  cr_assert_float_eq(value, 0.99, 1e-12, "the energy and target in mJ count before the percent");
  put(&one, BT_READING_TARGET_MJ, 0);
  cr_assert(derive(&one, BT_ENERGY_RATIO, &value));
  cr_assert_float_eq(value, 0.987, 1e-12);
}

/* 1 mJ through a disc of 1 cm² (diameter 2/sqrt(pi) cm) is 1 mJ/cm²; the peak of a Gaussian of that
 * 1/e² diameter is twice the mean (definition of the 1/e² radius). */
Test(derive, fluence_from_energy_needs_a_declared_beam) {
  one_check one;
  double value;
  begin(&one);
  put(&one, BT_READING_ENERGY_MJ, 1);
  put(&one, BT_READING_SPOT_MM, 11.283791670955126);
  one.unit.fluence = BT_FLUENCE_ENERGY;
  cr_assert_not(derive(&one, BT_FLUENCE, &value));
  one.unit.beam = BT_BEAM_FLAT_TOP;
  cr_assert(derive(&one, BT_FLUENCE, &value));
  cr_assert_float_eq(value, 1.0, 1e-12);
  one.unit.beam = BT_BEAM_GAUSSIAN;
  cr_assert(derive(&one, BT_FLUENCE, &value));
  cr_assert_float_eq(value, 2.0, 1e-12);
}

/* Blow-off model: PMMA, 1/3.7 µm, threshold 76 mJ/cm² (Dorronsoro et al. 2008; values from memory,
 * depths computed): the depth a pulse at each fluence, to three decimals, gives the fluence back.
 */
Test(derive, fluence_from_plate_inverts_the_blow_off_model) {
  static const struct {
    double fluence, depth_um;
  } table[] = {{120, .123}, {160, .201}, {180, .233}, {200, .262},
               {250, .322}, {300, .371}, {400, .449}, {450, .481}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    one_check one;
    double value;
    begin(&one);
    one.unit.fluence = BT_FLUENCE_PLATE;
    put(&one, BT_READING_PLATE_DEPTH_UM, 1000 * table[i].depth_um);
    put(&one, BT_READING_PLATE_PULSES, 1000);
    cr_assert_not(derive(&one, BT_FLUENCE, &value), "no plate constants, no fluence");
    one.unit.has_plate = true;
    one.unit.plate_alpha_per_um = 3.7;
    one.unit.plate_threshold = 76;
    cr_assert(derive(&one, BT_FLUENCE, &value));
    cr_assert_float_eq(value, table[i].fluence, 0.0005 * 3.7 * table[i].fluence);
  }
}

Test(derive, radial_is_the_length_of_the_offset) {
  one_check one;
  double value;
  begin(&one);
  put(&one, BT_READING_OFFSET_X_UM, -3);
  cr_assert_not(derive(&one, BT_TRACKER_RADIAL, &value));
  put(&one, BT_READING_OFFSET_Y_UM, 4);
  cr_assert(derive(&one, BT_TRACKER_RADIAL, &value));
  cr_assert_float_eq(value, 5.0, 1e-12);
}

/* Staff turn up what their panel counts in until the fluence test passes. */
Test(derive, demand_is_the_setting_only_where_no_target_is_logged) {
  one_check one;
  double value;
  bt_error error = {0};
  bt_fill fill = {0};
  const bt_fills fills = {.n = 1, .fill = &fill};
  uint8_t refill = 0;
  study_place place;
  begin(&one);
  one.history.refill = &refill;
  put(&one, BT_READING_FLUENCE_SETTING, 104);
  for (int with_target = 0; with_target < 2; with_target++) {
    if (with_target)
      put(&one, BT_READING_TARGET_MJ, 1.61);
    cr_assert_eq(study_place_make(&one.history, &one.settings, &fills, 0, &place, &error), BT_OK);
    cr_assert(study_derive(&place, BT_DEMAND, 0, &value));
    cr_expect_eq(value, with_target ? 1.61 : 104);
    cr_expect_eq(study_derivation(&place, BT_DEMAND) == 0, with_target != 0);
    study_place_free(&place);
  }
}
