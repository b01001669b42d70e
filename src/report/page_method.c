/* Method: how limits came about, what judges and how often it cries without cause. What is said in
 * numbers stands in the findings, or is a published value with its source. */
#include "report_pages.h"

#include <stdio.h>
#include <string.h>

enum { RULE_COLUMNS = 5 };

static const report_column rule_columns[RULE_COLUMNS] = {
    {0, "In the lane"},
    {0.15, "In commands"},
    {0.26, "Signals at"},
    {0.65, "One false signal in so many points"},
    {0.89, "Strength"}};

/* In control, centre and sigma known: Champ and Woodall 1987 for the zone rules, here and in
 * BT_RULES; the two-sided CUSUM's 465.44 by the integral equation (Hawkins and Olwell 1998 print
 * 465). The program's own values are tested against both. */
static const char *const all_zones[] = {"All four", REPORT_DASH, "any of these", "92", "notice"};
static const bt_rule one_limit = {
    .bit = BT_WE1,
    .kind = BT_RULE_ZONE,
    .key = "WE1",
    .label = "1 > limit",
    .words = "one point beyond the limit of the tracker’s radius or of its T²",
    .in_control = "370"};
_Static_assert(
    BT_ZONE_RULES == 15,
    "a further ZONE rule: `all_zones` names their number, and the ARL in control of all of "
    "them together, as `runlength --rules` gives it");

static void rule_row(report_sheet *sheet, const bt_rule *rule, const char *label) {
  static const char sigma[] = " sigma";
  bt_text words = {0};
  const char *at = rule->words;
  for (const char *next; (next = strstr(at, sigma)) != NULL; at = next + strlen(sigma)) {
    bt_text_add_bytes(&words, at, (size_t)(next - at));
    bt_text_add(&words, "σ");
  }
  bt_text_add(&words, at);
  report_sheet_row(sheet, rule_columns, RULE_COLUMNS,
                   (const char *const[]){label, rule->key, bt_text_get(&words), rule->in_control,
                                         rule->kind == BT_RULE_ALARM ? "alarm" : "notice"});
  report_text_end(sheet->builder, &words);
}

/* "1 > 3σ, 1 > limit: tall": an alarm that stands in another rule's row. */
static void beyond_row(report_sheet *sheet, const bt_rule *alarm) {
  bt_text label = {0};
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if ((bt_rule_table[r].beyond & alarm->bit) != 0)
      bt_text_format(&label, "%s%s%s: tall", bt_rule_table[r].label,
                     bt_rule_table[r].bit == one_limit.bit ? ", " : "",
                     bt_rule_table[r].bit == one_limit.bit ? one_limit.label : "");
  rule_row(sheet, alarm, bt_text_get(&label));
  report_text_end(sheet->builder, &label);
}

/* Notices, then alarms; what has no row of its own before what has. */
static void rule_rows(report_sheet *sheet) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    if (rule->kind == BT_RULE_ALARM)
      continue;
    rule_row(sheet, rule, rule->label);
    if (rule->kind == BT_RULE_ZONE && (rule->bit << 1 & BT_ZONE_RULES) == 0)
      report_sheet_row(sheet, rule_columns, RULE_COLUMNS, all_zones);
  }
  rule_row(sheet, &one_limit, one_limit.label);
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (bt_rule_table[r].label == NULL)
      beyond_row(sheet, &bt_rule_table[r]);
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (bt_rule_table[r].kind == BT_RULE_ALARM && bt_rule_table[r].label != NULL)
      rule_row(sheet, &bt_rule_table[r], bt_rule_table[r].label);
}

static void rules_table(report_sheet *sheet) {
  report_sheet_heading(sheet, "What judges, and how often it signals on a laser that has not "
                              "changed");
  report_sheet_heads(sheet, rule_columns, RULE_COLUMNS);
  rule_rows(sheet);
  report_sheet_paragraph(
      sheet, BT_INK_SOFT,
      "On average, for a centre and σ that are known (Champ and Woodall 1987; CUSUM by the integral "
      "equation); limits from few points signal more often or more rarely than that. Each side is "
      "judged on its own, and a point on a line is not beyond it.");
}

/* One row a characteristic: where its limits come from, and why. */
static void baseline_row(report_sheet *sheet, const report_column *columns, size_t n,
                         const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  const bt_baseline *baseline = &segment->baseline;
  bt_text points = {0}, whose = {0};
  char period[REPORT_DATE_TEXT], p[REPORT_NUMBER_TEXT], q[REPORT_NUMBER_TEXT],
      limits[2 * REPORT_NUMBER_TEXT];
  report_count(&points, segment->chart.n, "point", "points");
  size_t left = segment->exclusions_n + report_without_age(of, segment);
  if (left > 0)
    bt_text_format(&points, ", %zu left out", left);
  if (segment->provisional)
    bt_text_add(&whose, "provisional: nobody has frozen one");
  else if (baseline->by != NULL && *baseline->by != '\0')
    bt_text_format(&whose, "%s%s%s", baseline->by, baseline->why != NULL ? ": " : "",
                   baseline->why != NULL ? baseline->why : "");
  else
    bt_text_add(&whose, "given for this analysis");
  if (baseline->drift_accepted)
    bt_text_add(&whose, " (frozen although its period drifts)");
  int decimals = report_decimals(&of->quantity, segment->chart.sigma);
  if (report_has_one_limit(of))
    (void)snprintf(limits, sizeof limits, "up to %s",
                   report_number(report_upper_limit(of, segment), decimals, p));
  else
    (void)snprintf(limits, sizeof limits, "%s to %s",
                   report_number(segment->chart.lcl, decimals, p),
                   report_number(segment->chart.ucl, decimals, q));
  const char *cells[] = {of->quantity.title,
                         report_short_period(baseline->from, baseline->to, period),
                         bt_text_get(&points), limits, bt_text_get(&whose)};
  report_sheet_row(sheet, columns, n, cells);
  report_text_end(sheet->builder, &points);
  report_text_end(sheet->builder, &whose);
}

static void baselines(report_sheet *sheet, const bt_unit_study *unit) {
  static const report_column columns[] = {{0, "Characteristic"},
                                          {0.17, "Baseline in force"},
                                          {0.35, "From"},
                                          {0.49, "Control limits"},
                                          {0.66, "Who froze it, and why"}};
  size_t n = 0;
  report_sheet_heading(sheet, "Where the limits of the newest points come from");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_segment *segment = bt_study_now(unit->studies[i]);
    if (!report_has_limits(segment))
      continue;
    if (n++ == 0)
      report_sheet_heads(sheet, columns, sizeof columns / sizeof *columns);
    baseline_row(sheet, columns, sizeof columns / sizeof *columns, unit->studies[i]);
  }
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT, "No characteristic has limits yet.");
}

/* What the pages of the charts leave out. */
static void behind_limits(report_sheet *sheet, const bt_unit_study *unit) {
  bt_text words = {0};
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_text_clear(&words);
    report_basis_rest(unit->studies[i], &words);
    if (bt_text_empty(&words))
      continue;
    if (n++ == 0)
      report_sheet_heading(sheet, "Behind the limits of each characteristic");
    report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  }
  report_text_end(sheet->builder, &words);
}

static void formulas(report_sheet *sheet) {
  static const char *const words[] = {
      "Centre: mean of the baseline’s points. σ: mean moving range ÷ 1.12838 (d2 of two, exactly "
      "2/√π; tables round it to 1.128). Control limits: centre ± 3σ. Upper limit of the moving "
      "range: 3.26653 × its mean (D4 of two).",
      "CUSUM: C+ = max(0, C+ + z " REPORT_MINUS " 0.5), C" REPORT_MINUS
      " likewise for falling, z = "
      "(value " REPORT_MINUS
      " centre) ÷ σ. No reset at a signal; both sides restart after service, "
      "recalibration, cleaning, a changed meter, or where a person asks for it: after the last "
      "check of the episode, or from the time on at which the action was done.",
      "Moved to the mean fill age: value " REPORT_MINUS " b × (fill age " REPORT_MINUS " mean fill "
      "age of the baseline), b the common slope inside the fills (one intercept a fill, one slope), "
      "used only where it differs from zero at 95 % with 3 fills and 10 degrees of freedom or more.",
      "Tracker radius: limit from the baseline’s bivariate normal at 99.73 %. T²: Hotelling, with "
      "limits of Phase I and Phase II at 0.27 % false alarms a point.",
      "Capability: Pp = tolerance width ÷ 6s and Ppk = distance from the mean to the nearer limit ÷ "
      "3s, mean and s those of all single checks since the baseline began, retests left out; Cp and "
      "Cpk the same with the baseline’s σ, not given where that is one of day means or of values "
      "moved to the mean fill age. Intervals of 95 %: chi-square for Pp and Cp, variance "
      "1/(9n) + C²/(2ν) for the others.",
      "Alarm limits: solved so that the charts of a laser that have them together keep the yearly "
      "budget of the settings, given the baseline’s number of points and the rate of checking. They "
      "are counted alike on all pages: the tracker’s T², x and y share one part of the budget and "
      "count as one chart; the radius has none.",
      "Self-tests: days between failures against the exponential distribution; trend by reverse "
      "arrangements (pairs of gaps of which the later one is longer). Each is a single look."};
  report_sheet_heading(sheet, "Formulas");
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    report_sheet_paragraph(sheet, BT_INK_TEXT, words[i]);
}

void report_method_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request) {
  report_sheet sheet;
  bt_text subtitle = {0};
  char month[BT_TIME_TEXT];
  bt_text_format(&subtitle, "%s  ·  %s  ·  how this report was computed, and its words",
                 unit->history.unit, bt_time_month(request->month, month));
  report_sheet_begin(&sheet, builder, "Method", "method", bt_text_get(&subtitle));
  rules_table(&sheet);
  baselines(&sheet, unit);
  behind_limits(&sheet, unit);
  formulas(&sheet);
  report_glossary(&sheet);
  report_text_end(builder, &subtitle);
}
