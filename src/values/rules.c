/* The rules' names. */
#include "beamtally/finding.h"

#include <string.h>

const bt_rule bt_rule_table[BT_RULE_COUNT] = {
    {BT_WE1, "WE1", "one check beyond 3 sigma"},
    {BT_WE2, "WE2", "two of three successive checks beyond 2 sigma"},
    {BT_WE3, "WE3", "four of five successive checks beyond 1 sigma"},
    {BT_WE4, "WE4", "eight successive checks on one side of the centre"},
    {BT_CUSUM_SIGNAL, "CUSUM", "the CUSUM above h"},
    {BT_TOLERANCE_FAILED, "TOLERANCE", "a check outside tolerance"},
    {BT_ALARM_LIMIT, "ALARM_LIMIT", "a point beyond the alarm limit"},
    {BT_ALARM_CUSUM, "ALARM_CUSUM", "the CUSUM above the alarm's h"}};

bt_rules bt_rule_named(const char *key, size_t length) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (strlen(bt_rule_table[r].key) == length && strncmp(bt_rule_table[r].key, key, length) == 0)
      return bt_rule_table[r].bit;
  return 0;
}

void bt_rule_keys(bt_rules rules, const char *between, bt_text *out) {
  const char *before = "";
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if ((rules & bt_rule_table[r].bit) != 0) {
      bt_text_format(out, "%s%s", before, bt_rule_table[r].key);
      before = between;
    }
}
