/* A drift's numbers among those beside the chart of its characteristic: of several that drift only
 * one has a page of its own. */
#include "report_drift.h"

static void rate(const bt_drift *drift, report_facts *facts) {
  const bt_hinge *hinge = &drift->change.hinge;
  const bt_step *step = &drift->change.step;
  bt_text label = {0}, value = {0};
  if (drift->moved.kind == BT_CHANGE_STEP) {
    bt_text_add(&label, drift->moved.levelled ? "Went by, or more" : "Stepped by");
    report_add_size(drift->study, step->after - step->before, &value);
  } else {
    bt_text_add(&label, "Fitted line (95 %)");
    report_drift_rate(drift, hinge->per_day, hinge->low, hinge->high, "a month", BT_DAYS_A_MONTH,
                      &value);
  }
  report_fact_add(facts, &label, &value);
}

static void level(const bt_drift *drift, report_facts *facts) {
  char now[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  int decimals = report_decimals(&drift->study->quantity, drift->sigma);
  bt_text label = {0}, value = {0};
  bt_text_format(&label, "%s (95 %%)",
                 drift->moved.kind != BT_CHANGE_STEP ? "End of the fitted line"
                 : drift->moved.levelled             ? "Mean since the middle of the slope"
                                                     : "Mean since the step");
  bt_text_format(&value, "%s (%s to %s)", report_number(drift->now, decimals, now),
                 report_number(drift->now_low, decimals, low),
                 report_number(drift->now_high, decimals, high));
  report_fact_add(facts, &label, &value);
}

static void ahead(const bt_unit_study *unit, const bt_drift *drift, report_facts *facts) {
  const bt_forecast *of = &drift->forecast;
  char five[REPORT_DATE_TEXT], fifty[REPORT_DATE_TEXT];
  bt_text label = {0}, value = {0};
  if (of->use != BT_FORECAST_GIVEN || !of->has_fail_5)
    return;
  bt_text_format(&label, "%s failing check, 1 in 20%s", drift->failed_n > 0 ? "Next" : "First",
                 of->has_fail_50 ? ", 1 in 2" : "");
  report_passed passed = report_drift_passed(unit, drift);
  bt_text_format(&value, "%s%s", report_short_date(report_drift_time(of->fail_5), five),
                 passed != REPORT_PASSED_NONE ? " (gone by)" : "");
  if (of->has_fail_50)
    bt_text_format(&value, "; %s%s", report_short_date(report_drift_time(of->fail_50), fifty),
                   passed == REPORT_PASSED_BOTH ? " (gone by)" : "");
  report_fact_add(facts, &label, &value);
}

static void failed(const bt_drift *drift, report_facts *facts) {
  char day[REPORT_DATE_TEXT];
  bt_text label = {0}, value = {0};
  if (drift->failed_n == 0)
    return;
  bt_text_add(&label, "First failing check since the change");
  bt_text_add(&value, report_short_date(drift->study->checks.at[drift->first_failed], day));
  report_fact_add(facts, &label, &value);
}

static void gone(const bt_drift *drift, report_facts *facts) {
  bt_text label = {0}, value = {0};
  if (drift->moved.kind == BT_CHANGE_STEP) /* that is how far it stepped */
    return;
  bt_text_add(&label, "Gone since it began (95 %)");
  report_drift_gone(drift, &value);
  report_fact_add(facts, &label, &value);
}

void report_drift_facts(const bt_unit_study *unit, const bt_study *of, report_facts *facts) {
  const bt_drift *drift =
      unit->drift != NULL ? bt_unit_drift_of(unit->drift, of->characteristic) : NULL;
  if (drift == NULL || !report_drift_is_changed(drift))
    return;
  rate(drift, facts);
  gone(drift, facts);
  level(drift, facts);
  failed(drift, facts);
  ahead(unit, drift, facts);
}
