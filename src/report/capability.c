/* Capability as rows of numbers: each index with its interval and how many readings it comes from;
 * or why it isn't given. */
#include "report_facts.h"
#include "report_study.h"

static void add_index(const char *name, const bt_index *index, bt_text *out) {
  char value[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (!index->given)
    return;
  bt_text_format(out, "%s%s" REPORT_JOIN "%s (%s %s %s)", out->length > 0 ? ", " : "", name,
                 report_number(index->value, 2, value), report_number(index->low, 2, low),
                 index->low < 0 ? "to" : REPORT_DASH, report_number(index->high, 2, high));
}

static const char *why_not(bt_capability_use use) {
  switch (use) {
  case BT_CAPABILITY_GIVEN:
  case BT_CAPABILITY_NOT_NORMAL:
    break;
  case BT_CAPABILITY_NO_TOLERANCE:
    return "not given: "; /* and report_no_tolerance */
  case BT_CAPABILITY_NO_BASELINE:
    return "not given: under 30 points in a baseline";
  case BT_CAPABILITY_OUT_OF_CONTROL:
    return "not given while a signal is open";
  case BT_CAPABILITY_OTHER_TARGET:
    return "not given: the newest points are at another target";
  }
  return NULL;
}

/* On a page, where room is short, only the index of the nearer limit. Overall, the mean and spread
 * are those of the n readings; else the spread is the baseline's, of n points. */
static void indices_fact(const bt_index *both, const char *name, const bt_index *nearer,
                         const char *nearer_name, bool overall, size_t n, report_facts *facts) {
  bt_text label = {0}, value = {0};
  if (!nearer->given)
    return;
  bt_text_format(&label, "Capability (95 %%), %s%zu %s", overall ? "" : "σ of ", n,
                 overall ? "readings" : "points");
  if (both != NULL)
    add_index(name, both, &value);
  add_index(nearer_name, nearer, &value);
  report_fact_add(facts, &label, &value);
}

/* The radius, T² and room conditions have none, and nothing is said of it. */
void report_capability_facts(const bt_study *of, bool on_page, report_facts *facts) {
  const bt_capability *found = &of->capability;
  const char *why = why_not(found->use);
  bt_text label = {0}, value = {0};
  if (why != NULL) {
    bt_text_add(&label, "Capability");
    bt_text_add(&value, why);
    if (found->use == BT_CAPABILITY_NO_TOLERANCE)
      report_no_tolerance(of, false, &value);
    report_fact_add(facts, &label, &value);
    return;
  }
  if (found->use != BT_CAPABILITY_GIVEN)
    return;
  indices_fact(on_page ? NULL : &found->pp, "Pp", &found->ppk, "Ppk", true, found->n, facts);
  indices_fact(on_page ? NULL : &found->cp, "Cp", &found->cpk, "Cpk", false, found->baseline_n,
               facts);
}
