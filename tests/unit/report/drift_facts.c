/* A drift's numbers beside its chart: there where it changed, with what has passed in words. */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
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
  cr_expect(has_fact(&facts, "Fitted line (95 %)", "a month (−0.670 to −0.548)"));
  cr_expect(
      has_fact(&facts, "Gone since it began (95 %)", "−0.980" REPORT_JOIN "% (−1.078 to −0.882)"));
  cr_expect(has_fact(&facts, "End of the fitted line (95 %)", "0.9902 (0.9892 to 0.9912)"));
  cr_expect_not(has_fact(&facts, "First failing check, 1 in 20, 1 in 2", "passed"));
  report_facts_free(&facts);

  unit->until = report_drift_time(drift->forecast.fail_5) + 2 * BT_DAY;
  facts = facts_of(unit);
  cr_expect(has_fact(&facts, "First failing check, 1 in 20, 1 in 2", " (gone by); "));
  report_facts_free(&facts);

  drift->failed_n = 1;
  drift->first_failed = drift->study->checks.n - 1;
  facts = facts_of(unit);
  cr_expect(has_fact(&facts, "First failing check since the change", "27 Sep 2026"));
  cr_expect(has_fact(&facts, "Next failing check, 1 in 20, 1 in 2", " (gone by); "));
  report_facts_free(&facts);
  drift->failed_n = 0;

  drift->moved.kind = drift->change.kind = BT_CHANGE_STEP;
  drift->change.step = (bt_step){.given = true, .before = 1, .after = 0.99};
  drift->forecast.use = BT_FORECAST_STEP;
  facts = facts_of(unit);
  cr_expect_eq(facts.n, 2);
  cr_expect(has_fact(&facts, "Stepped by", "−1.0"));
  report_facts_free(&facts);

  drift->moved.changed = false;
  facts = facts_of(unit);
  cr_expect_eq(facts.n, 0);
  report_facts_free(&facts);
  bt_unit_study_free(unit);
}

static report_facts dates_of(const bt_study *of, const bt_drift *drift) {
  report_facts facts = {0};
  report_dates(of, drift, 0, &facts);
  cr_assert_not(facts.failed);
  return facts;
}

/* The lower side signals at the last ten points, with alarms at the sixth and the eighth. */
static void open_low(bt_study *of) {
  size_t n = of->points.n;
  for (size_t p = n - 10; p < n; p++)
    of->rules[BT_LOW][p] = p == n - 5 || p == n - 3 ? BT_WE1 | BT_ALARM_LIMIT : BT_WE1;
  of->episodes_n = 1;
  of->episodes[0] = (bt_episode){.side = BT_LOW, .first = n - 10, .last = n - 1, .signals = 10};
}

static const char *day_of(const bt_study *of, size_t from_end, char *buffer) {
  return report_short_date(of->points.at[of->points.n - from_end], buffer);
}

/* A row a day, of what there is alone. */
Test(dates, of_a_change_and_of_an_open_episode) {
  bt_report_request request;
  char date[REPORT_DATE_TEXT];
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  bt_study *of = unit->studies[0];
  of->episodes_n = 0;
  report_facts facts = dates_of(of, NULL);
  cr_expect_eq(facts.n, 0);
  report_facts_free(&facts);

  facts = dates_of(of, drift);
  cr_expect_eq(facts.n, 2);
  cr_expect(has_fact(&facts, "Change, likeliest day", "6 Jul 2026"));
  cr_expect(has_fact(&facts, "95 %", "26 Jun 2026 – 16 Jul 2026"));
  report_facts_free(&facts);
  drift->change.open = true;
  facts = dates_of(of, drift);
  cr_expect(has_fact(&facts, "95 %, or earlier", "26 Jun 2026 – 16 Jul 2026"));
  report_facts_free(&facts);

  open_low(of);
  facts = dates_of(of, NULL);
  cr_expect(has_fact(&facts, "Episode opened", day_of(of, 10, date)));
  cr_expect(has_fact(&facts, "First alarm", day_of(of, 5, date)));
  cr_expect(has_fact(&facts, "Last alarm", day_of(of, 3, date)));
  cr_expect(has_fact(&facts, "Last notice", day_of(of, 1, date)));
  report_facts_free(&facts);

  bt_excursion run = {.side = BT_LOW, /* its run signalled in an episode before this one */
                      .signal = of->points.n - 30,
                      .last = of->points.n - 1,
                      .run_began = of->points.n - 40};
  free(of->cusum.excursions);
  of->cusum.excursions = fixture_filled(1, sizeof run);
  of->cusum.excursions[0] = run;
  of->cusum.excursions_n = 1;
  facts = dates_of(of, NULL);
  cr_expect(has_fact(&facts, "Episode opened", day_of(of, 10, date)), "that of this episode");
  cr_expect(has_fact(&facts, "Signal, earlier episode", day_of(of, 30, date)));
  report_facts_free(&facts);

  of->cusum.excursions[0].signal = of->points.n - 9; /* that of this one is told in a sentence */
  facts = dates_of(of, NULL);
  cr_expect_not(has_fact(&facts, "Signal, earlier episode", ""));
  report_facts_free(&facts);

  report_dates(of, NULL, of->points.at[of->points.n - 9], &facts);
  cr_expect(has_fact(&facts, "Episode opened, before these days", day_of(of, 10, date)));
  report_facts_free(&facts);

  of->rules[BT_LOW][of->points.n - 10] |= BT_ALARM_LIMIT;
  facts = dates_of(of, NULL);
  cr_expect(has_fact(&facts, "Episode opened", day_of(of, 10, date)));
  cr_expect(has_fact(&facts, "First alarm", day_of(of, 10, date)));
  report_facts_free(&facts);
  bt_unit_study_free(unit);
}
