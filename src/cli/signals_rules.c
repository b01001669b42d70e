/* What the pages call the rules whose keys `signals` lists. */
#include "signals.h"

void signals_add_rules(bt_rules rules, bt_text *out) {
  static const struct {
    bt_rules bit;
    const char *on_the_page; /* as report_rules has it */
  } names[] = {{BT_WE1, "1 > 3σ (radial offset and T²: 1 > limit)"},
               {BT_WE2, "2 of 3 > 2σ"},
               {BT_WE3, "4 of 5 > 1σ"},
               {BT_WE4, "8 one side"},
               {BT_CUSUM_SIGNAL, "CUSUM > h"},
               {BT_TOLERANCE_FAILED, "tolerance"},
               {BT_ALARM_LIMIT, "1 > 3σ or 1 > limit, beyond the alarm limit"},
               {BT_ALARM_CUSUM, "CUSUM > h, above the alarm's h"}};
  bool headed = false;
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    bt_text key = {0};
    if ((rules & names[i].bit) == 0)
      continue;
    bt_rule_keys(names[i].bit, "", &key);
    bt_text_format(out, "%s  %-11s  %-6s  %s\n", headed ? "" : "\nOn the pages:\n",
                   bt_text_get(&key), (names[i].bit & BT_ALARM_RULES) != 0 ? "alarm" : "notice",
                   names[i].on_the_page);
    out->failed = out->failed || key.failed;
    bt_text_free(&key);
    headed = true;
  }
}
