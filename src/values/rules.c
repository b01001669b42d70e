/* The rules' names. */
#include "beamtally/finding.h"

#include <string.h>

const bt_rule bt_rule_table[BT_RULE_COUNT] = {
#define X(ID, key, kind, line, needed, of, label, beyond, words, in_control)                       \
  {BT_##ID, beyond, BT_RULE_##kind, line, needed, of, key, label, words, in_control},
    BT_RULES(X)
#undef X
};

_Static_assert((BT_ZONE_RULES & (BT_ZONE_RULES + 1)) == 0,
               "the ZONE rules stand before all others in BT_RULES");

#define X(ID, key, kind, line, needed, of, ...)                                                    \
  _Static_assert(BT_RULE_##kind == BT_RULE_ZONE                                                    \
                     ? (line) >= 0 && (line) < BT_RULE_LINES && (needed) > 0 &&                    \
                           (needed) <= (of) && (of) <= BT_RULE_LONGEST                             \
                     : (line) == 0 && (needed) == 0 && (of) == 0,                                  \
                 key ": a ZONE rule, and no other, has a pattern");
BT_RULES(X)
#undef X

bt_rules bt_rule_named(const char *key, size_t length) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (strlen(bt_rule_table[r].key) == length && strncmp(bt_rule_table[r].key, key, length) == 0)
      return bt_rule_table[r].bit;
  return 0;
}

bt_strength bt_rules_strength(bt_rules rules) {
  if ((rules & BT_ALARM_RULES) != 0)
    return BT_ALARM;
  return rules != 0 ? BT_NOTICE : BT_QUIET;
}

void bt_rule_keys(bt_rules rules, const char *between, bt_text *out) {
  const char *before = "";
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if ((rules & bt_rule_table[r].bit) != 0) {
      bt_text_format(out, "%s%s", before, bt_rule_table[r].key);
      before = between;
    }
}
