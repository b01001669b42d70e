/* The rows of a lane, and the rules as they name them. */
#include "report_episodes.h"

size_t report_rules(const bt_study *of, report_rule rows[BT_RULE_COUNT]) {
  static const report_rule limit = {BT_WE1, BT_ALARM_LIMIT, "1 > limit"};
  bool single = report_has_one_limit(of);
  size_t n = 0;
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    bool alarm = rule->kind == BT_RULE_ALARM;
    if (rule->label == NULL || (single && !alarm && rule->bit != limit.notice))
      continue;
    rows[n++] = single && !alarm ? limit
                                 : (report_rule){.notice = alarm ? 0 : rule->bit,
                                                 .alarm = alarm ? rule->bit : rule->beyond,
                                                 .label = rule->label};
  }
  return n;
}

static bool is_broken(const report_rule *rule, bt_rules bits) {
  return (bits & (rule->notice | rule->alarm)) != 0;
}

void report_rule_names(const bt_study *of, bt_rules bits, bt_text *out) {
  report_rule rules[BT_RULE_COUNT];
  size_t n = report_rules(of, rules), broken = 0, named = 0;
  for (size_t i = 0; i < n; i++)
    broken += is_broken(&rules[i], bits);
  for (size_t i = 0; i < n; i++) {
    if (!is_broken(&rules[i], bits))
      continue;
    bt_text_format(out, "%s“", report_list_join(named++, broken));
    report_add_joined(out, rules[i].label);
    bt_text_add(out, (bits & rules[i].alarm & ~BT_TOLERANCE_FAILED) != 0
                         ? "” (past the alarm limit)"
                         : "”");
  }
}
