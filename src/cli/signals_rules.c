/* What the pages call the rules whose keys `signals` lists. */
#include "signals.h"

/* As report_rules has it. What stands in another rule's row goes by that one's name. */
static void add_on_the_page(const bt_rule *rule, bt_text *out) {
  const bt_rule *row = rule;
  for (size_t r = 0; rule->label == NULL && r < BT_RULE_COUNT; r++)
    if ((bt_rule_table[r].beyond & rule->bit) != 0)
      row = &bt_rule_table[r];
  bt_text_add(out, row->label);
  if (row->bit == BT_WE1)
    bt_text_add(out, row == rule ? " (radial offset and T²: 1 > limit)" : " or 1 > limit");
  if (row != rule)
    bt_text_add(out, ", past the alarm limit");
}

void signals_add_rules(bt_rules rules, bt_text *out) {
  bool headed = false;
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    if ((rules & rule->bit) == 0)
      continue;
    bt_text_format(out, "%s  %-11s  %-6s  ", headed ? "" : "\nOn the pages:\n", rule->key,
                   rule->kind == BT_RULE_ALARM ? "alarm" : "notice");
    add_on_the_page(rule, out);
    bt_text_add(out, "\n");
    headed = true;
  }
  if (headed)
    bt_text_add(out, "\nopen: a signal is among the last 8 points; past: none is, whatever was "
                     "done\nundecided: nobody has written what it was: `beamtally resolve ID`\n");
}
