/* Names of canonical columns, events, and how a person may type them. */
#include "beamtally/record.h"

#include <criterion/criterion.h>
#include <string.h>

Test(records, readings) {
  cr_assert_str_eq(bt_reading_key(BT_READING_TARGET_MJ), "target_mj");
  cr_assert_str_eq(bt_reading_key(BT_READING_PRESSURE_MBAR), "pressure_mbar");
  cr_assert_str_eq(bt_reading_unit(BT_READING_HV_KV), "kV");
  cr_assert_str_eq(bt_reading_unit(BT_READING_FLUENCE_MJ_CM2), "mJ/cm²");
  for (int r = 0; r < BT_READING_COUNT; r++)
    for (int other = 0; other < r; other++)
      cr_assert_str_neq(bt_reading_key((bt_reading)r), bt_reading_key((bt_reading)other));
}

/* `present` of a check has one bit a reading. */
Test(records, readings_fit_their_bits) {
  cr_assert(BT_READING_COUNT <= 32);
  bt_check check = {.present = 1U << BT_READING_PRESSURE_MBAR};
  for (int r = 0; r < BT_READING_COUNT; r++)
    cr_assert_eq(bt_check_has(&check, (bt_reading)r), r == BT_READING_PRESSURE_MBAR);
}

/* Only offsets and the temperature can be below zero. */
Test(records, signs) {
  for (int r = 0; r < BT_READING_COUNT; r++) {
    bool expected =
        r == BT_READING_OFFSET_X_UM || r == BT_READING_OFFSET_Y_UM || r == BT_READING_TEMP_C;
    cr_assert_eq(bt_reading_may_be_negative((bt_reading)r), expected, "%s",
                 bt_reading_key((bt_reading)r));
  }
}

/* Counts, ages and what may lie about zero are of any size. */
Test(records, sizes) {
  cr_expect(bt_reading_is_steady(BT_READING_HV_KV) && bt_reading_is_steady(BT_READING_ENERGY_PCT));
  for (int r = 0; r < BT_READING_COUNT; r++)
    cr_expect(!bt_reading_is_steady((bt_reading)r) || !bt_reading_may_be_negative((bt_reading)r));
  cr_expect_not(bt_reading_is_steady(BT_READING_PULSES));
}

Test(records, text_fields) {
  static const char *const keys[] = {"pattern", "selftest_failed", "meter", "operator", "remark"};
  cr_assert_eq(sizeof keys / sizeof keys[0], BT_FIELD_COUNT);
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    cr_assert_str_eq(bt_text_field_key((bt_text_field)f), keys[f]);
}

Test(records, every_event_key_is_read_back) {
  for (int k = 0; k < BT_EVENT_COUNT; k++) {
    bt_event_kind kind = BT_EVENT_COUNT;
    cr_assert(bt_event_kind_of(bt_event_key((bt_event_kind)k), &kind));
    cr_assert_eq((int)kind, k);
    cr_assert(strlen(bt_event_words((bt_event_kind)k)) > 0);
  }
}

Test(records, event_keys_as_typed) {
  static const struct {
    const char *typed;
    bool known;
    bt_event_kind kind;
  } table[] = {
      {"gas_refill", true, BT_EVENT_GAS_REFILL},
      {"Gas Refill", true, BT_EVENT_GAS_REFILL},
      {"  GAS-REFILL\t", true, BT_EVENT_GAS_REFILL},
      {"Service ", true, BT_EVENT_SERVICE},
      {"meter changed", true, BT_EVENT_METER_CHANGED},
      {"other", true, BT_EVENT_OTHER},
      {"gas", false, 0},
      {"gas_refills", false, 0},
      {"gas_refill now", false, 0},
      {"gasrefill", false, 0},
      {"gas__refill", false, 0},
      {"gas\trefill", false, 0},
      {"_service", false, 0},
      {"", false, 0},
      {"   ", false, 0},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_event_kind kind = BT_EVENT_COUNT;
    cr_assert_eq(bt_event_kind_of(table[i].typed, &kind), table[i].known, "\"%s\"", table[i].typed);
    cr_assert_eq(kind, table[i].known ? table[i].kind : BT_EVENT_COUNT, "\"%s\"", table[i].typed);
  }
}

Test(records, what_a_refused_line_lost_in_words) {
  static const struct {
    unsigned lost;
    const char *joint, *words;
  } table[] = {
      {0, "and", ""},
      {BT_LOST_SELFTEST, "and", "a failed self-test"},
      {BT_LOST_REMARK | BT_LOST_REFILL, "and", "a remark and a refill"},
      {BT_LOST_SELFTEST | BT_LOST_REFILL, "or", "a failed self-test or a refill"},
      {BT_LOST_SELFTEST | BT_LOST_REMARK | BT_LOST_REFILL, "and",
       "a failed self-test, a remark and a refill"},
      {BT_LOST_UNTOLD, "and", "a failed self-test, a remark or a refill"},
      {BT_LOST_UNTOLD | BT_LOST_REMARK, "and", "a failed self-test, a remark or a refill"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text words = {0};
    bt_lost_words(table[i].lost, table[i].joint, &words);
    cr_expect_str_eq(bt_text_get(&words), table[i].words);
    bt_text_free(&words);
  }
}

Test(records, all_event_keys_in_a_row) {
  char keys[BT_EVENT_KEYS_TEXT];
  cr_expect_str_eq(bt_event_keys(" or ", keys),
                   "gas_refill, gas_bottle, optics_cleaned, service, recalibration, moved, "
                   "meter_changed or other");
}

Test(records, what_the_reason_of_a_refused_line_does_not_tell) {
  unsigned lost = BT_LOST_REMARK | BT_LOST_REFILL;
  cr_expect_eq(bt_lost_untold(lost, "expected a number" BT_REFUSED_REFILL), BT_LOST_REMARK);
  cr_expect_eq(bt_lost_untold(lost, "expected a number"), lost, "there was no room for it");
}
