/* A drift's numbers beside its chart: there where it changed, with what has passed in words. */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <string.h>

static bool has_fact(const report_facts *facts, const char *label, const char *value) {
  for (size_t i = 0; i < facts->n; i++)
    if (strcmp(facts->fact[i].label, label) == 0)
      return strstr(facts->fact[i].value, value) != NULL;
  return false;
}

static report_facts facts_of(const bt_unit_study *unit) {
  report_facts facts = {0};
  report_drift_facts(unit, unit->drift->drift->study, &facts);
  cr_assert_not(facts.failed);
  return facts;
}

Test(drift_facts, of_a_change_of_a_step_and_of_none) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  report_facts facts = facts_of(unit);
  cr_expect_eq(facts.n, 4);
  cr_expect(has_fact(&facts, "Changed (95 %)", "26 Jun 2026 – 16 Jul 2026"));
  cr_expect(has_fact(&facts, "Fitted line (95 %)", "a month (−0.670 to −0.548)"));
  cr_expect(has_fact(&facts, "Level now (95 %)", "0.9902 (0.9892 to 0.9912)"));
  cr_expect_not(has_fact(&facts, "First failing check, 5 %, 50 %", "passed"));
  report_facts_free(&facts);

  unit->drift->read_on = report_drift_time(drift->forecast.fail_5) + 2 * BT_DAY;
  facts = facts_of(unit);
  cr_expect(has_fact(&facts, "First failing check, 5 %, 50 %", " (passed); "));
  report_facts_free(&facts);

  drift->moved.kind = drift->change.kind = BT_CHANGE_STEP;
  drift->change.step = (bt_step){.given = true, .before = 1, .after = 0.99};
  drift->forecast.use = BT_FORECAST_STEP;
  drift->change.open = true;
  facts = facts_of(unit);
  cr_expect_eq(facts.n, 3);
  cr_expect(has_fact(&facts, "Changed, or earlier (95 %)", "26 Jun 2026"));
  cr_expect(has_fact(&facts, "Stepped by", "−1.0"));
  report_facts_free(&facts);

  drift->moved.changed = false;
  facts = facts_of(unit);
  cr_expect_eq(facts.n, 0);
  report_facts_free(&facts);
  bt_unit_study_free(unit);
}
