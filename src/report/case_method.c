/* The method of a case: what was computed and how, in the words of the trade. */
#include "report_case.h"

#include <string.h>

static const char rules_heading[] = "Rules";

static const struct {
  const char *heading, *words;
} parts[] = {
    {"Points",
     "One point a day: the mean of the day’s independent checks. A repeat within 60 "
     "minutes of a check outside tolerance or limits is a retest: kept, drawn hollow, "
     "judged against tolerance, in no mean, moving range, rule or CUSUM. Where most days of a "
     "baseline have repeats within 60 minutes, only one after a check outside tolerance is a "
     "retest. Where the state is logged, the reading as found is charted. Every check is judged by the tolerance in "
     "force that day on its raw reading."},
    {"Fill age",
     "Where a slope inside the gas fills is told from zero (one intercept a fill, one "
     "slope, 95 %; asked of energy ratio, fluence and voltage alone), values are moved to the baseline’s mean fill age, so that the age of "
     "the gas does not pass for a drift."},
    {"Limits",
     "Centre: mean of the baseline’s points. Sigma: mean moving range / d2, d2 = 2/√π = "
     "1.1284. Limits: centre ± 3 sigma; upper limit of the moving range 3.2665 MRbar. "
     "Where limits.json says screen true, Phase I is screened by the 3-sigma limit, one pass at a "
     "time, at most 10 %. Tracker "
     "radius: 99.73 % quantile of the baseline’s bivariate normal; the vector: Hotelling’s "
     "T². A suggested baseline that nobody has frozen is provisional, and its chart says "
     "so."},
    {rules_heading, /* behind those of the table */
     "The zone rules are Western Electric’s (1956). The CUSUM restarts with headstart after a "
     "service, recalibration, cleaning or meter change. All these are notices. An alarm is a failed tolerance, or a limit set so wide that the laser’s charts "
     "together keep the clinic’s budget of false alarms a year; the tracker’s T², x and y count as "
     "one chart."},
    {"Changes",
     "A step and a hinge (a straight line from an onset on) are fitted by maximum "
     "likelihood to the days’ values, but for checks that failed and passed their retest and what "
     "a baseline’s screening left out; "
     "its span of dates holds all from which a step, a hinge or a slope that levels off has twice "
     "the log likelihood ratio of the largest less 8.5 or more (found by simulation). A change, its causes "
     "and a forecast are spoken of only past a threshold that keeps false ones under 5 % a "
     "laser and year though it is looked for every day. The rate a month is the slope of that "
     "hinge, with its likelihood interval, nothing else; the interval of the line’s end is that of "
     "its straight part, the onset as found; the Theil-Sen slope of the fills’ levels "
     "(Kendall) must agree with its sign before a forecast is made. The days of a first failing check "
     "count the chances of all checks to come together, each as if late in its fill: checks "
     "earlier in a fill come to it later."},
    {"Strength of a cause",
     "Moderate: all that it needs is in the log. Strong: a further fact speaks for it. Weak: a fact "
     "speaks against it as a whole; with one for it as well, moderate. No probability."},
    {"Effect at the treatment plane",
     "D (q " REPORT_MINUS " 1) for a flat-top spot, D (q² " REPORT_MINUS " 1) for a Gaussian one, "
     "q = ln(fluence now ÷ threshold) ÷ ln(fluence before ÷ threshold), by the blow-off model; its "
     "interval is of the threshold alone."},
    {"Capability",
     "Ppk: distance from the mean to the nearer limit, by 3 s, mean and s of all single checks since "
     "the baseline began, also of before the days of this case, retests left out; Cpk: the same mean "
     "with the baseline’s sigma, not given where that is of day means or of moved values."},
    {"To check it",
     "README.txt of the folder goes through the limits step by step, with sha256sum and "
     "any spreadsheet. That nobody altered the folder shows when the SHA-256 of its "
     "MANIFEST.sha256 is the one that the clinic gives on paper. The ledger state in the footer says "
     "of which record this was made."},
};

static const double heading_height = 10; /* mm, with its gaps */

/* What the pages of the charts leave out. */
static void behind_limits(case_pages *on) {
  bt_text words = {0};
  size_t n = 0;
  for (size_t i = 0; i < on->one->unit->studies_n; i++) {
    bt_text_clear(&words);
    report_basis_rest(on->one->unit->studies[i], &words);
    if (bt_text_empty(&words))
      continue;
    if (n++ == 0)
      report_case_heading(on, "Behind the limits of each characteristic");
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  }
  report_text_end(on->builder, &words);
}

/* "“1 > 3σ”: one point beyond 3 sigma; ...": every rule that is no alarm, by the name that its row
 * in the lanes has. */
static void add_rules(bt_text *words) {
  bool any = false;
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    if (rule->kind == BT_RULE_ALARM)
      continue;
    bt_text_format(words, "%s“%s”: %s", any ? "; " : "", rule->label, rule->words);
    any = true;
  }
  bt_text_add(words, ". ");
}

static void part(case_pages *on, const char *heading, const char *words) {
  double wrap = on->frame.right - on->frame.left;
  double height = report_measure(on->builder, BT_STYLE_TABLE, words, wrap).height;
  report_case_room(on, heading_height + height); /* a heading stays with its words */
  report_case_heading(on, heading);
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, words);
}

void report_case_method(case_pages *on) {
  bt_text words = {0};
  report_case_section(on, "Method");
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
    bt_text_clear(&words);
    if (strcmp(parts[i].heading, rules_heading) == 0)
      add_rules(&words);
    bt_text_add(&words, parts[i].words);
    part(on, parts[i].heading, bt_text_get(&words));
  }
  report_text_end(on->builder, &words);
  behind_limits(on);
  report_case_heading(on, "Cautions");
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, report_cautions_full);
}
