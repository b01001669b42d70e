/* What each format of evidence folders knows. Folders that were handed over stay as they are: what
 * came later has no column in them and judges nothing, or `verify` would take them for altered.
 *
 * Whoever adds a reading, a characteristic or a rule raises BT_CASE_FORMAT and enters it here with
 * that format; tests/unit/emit/case_readme.c fails until it is so. */
#include "beamtally/finding.h"

/* The first format that knows it; what isn't named was there from format 1 on. */
static const uint8_t reading_since[BT_READING_COUNT] = {[BT_READING_ENERGY_PCT] = 3};
static const uint8_t characteristic_since[BT_CHARACTERISTIC_COUNT] = {0};
static const uint8_t rule_since[BT_RULE_COUNT] = {0};

bool bt_case_knows_reading(int format, bt_reading reading) {
  return reading_since[reading] <= format;
}

bool bt_case_knows_characteristic(int format, bt_characteristic characteristic) {
  return characteristic >= BT_CHARACTERISTIC_COUNT ||
         characteristic_since[characteristic] <= format;
}

bt_rules bt_case_rules(int format) {
  bt_rules rules = 0;
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (rule_since[r] <= format)
      rules |= bt_rule_table[r].bit;
  return rules;
}
