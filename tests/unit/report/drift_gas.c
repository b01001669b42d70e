/* Whether it is the gas: what an open signal does to the answer, and readings that no gas acts on.
 */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A signal that is open is not passed over by “no sign”, and how both can be is said where another
 * reading has one. */
Test(drift_answers, an_open_signal_beside_no_change) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_study *of = unit->studies[0];
  bt_drift two[2], *one = unit->drift->drift;
  bt_text text = {0};
  memset(of->strength, BT_QUIET, of->points.n);
  report_drift_gas_line(unit, one, &text);
  cr_expect_str_eq(bt_text_get(&text),
                   "Gas: no sign: there is no loss past the threshold that it would explain.");
  bt_text_clear(&text);
  cr_expect(!report_drift_both(unit->drift, &text));
  cr_expect_eq(text.length, 0);
  of->strength[of->points.n - 1] = BT_ALARM;
  report_drift_gas_line(unit, one, &text);
  must_say(bt_text_get(&text), "The log cannot tell whether it is the gas: a chart has an alarm "
                               "open, but no change for good is told from chance.");
  bt_text_clear(&text);
  report_drift_brief(unit, one, &text);
  must_say(bt_text_get(&text), "no change past the threshold; its chart has an alarm open all the "
                               "same.");
  bt_text_clear(&text);
  cr_expect(report_drift_both(unit->drift, &text));
  must_say(bt_text_get(&text), "A signal that is open and no change shown can both be true");
  two[0] = two[1] = *one;
  two[1].characteristic = BT_FLUENCE;
  unit->drift->drift = two;
  unit->drift->n = 2;
  char *page = made_drift_page_text(unit, &request), *screen = made_drift_printed(unit, false);
  must_say(page, "What else was looked at");
  must_say(page, "its chart has an alarm open all the same");
  must_say(page, "can both be true");
  must_say(screen, "The log cannot tell whether it is the gas: a chart has an alarm open");
  must_say(screen, "can both be true");
  free(page);
  free(screen);
  unit->drift->drift = one;
  unit->drift->n = 1;
  bt_text_free(&text);
  bt_unit_study_free(unit);
}

/* A tracker's offset has nothing to do with fills: its page speaks of time alone. */
Test(drift_answers, what_no_gas_acts_on_is_told_by_time) {
  bt_report_request request;
  for (int by_time = 0; by_time < 2; by_time++) {
    bt_unit_study *unit = made_drift(true, &request);
    bt_drift *drift = unit->drift->drift;
    drift->causes_n = 0;
    if (by_time) {
      drift->characteristic = BT_TRACKER_X;
      drift->loss = 0;
      unit->studies[0]->adjusted = false;
    }
    char *page = made_drift_page_text(unit, &request), *screen = made_drift_printed(unit, true);
    cr_expect_eq(strstr(page, "fill") == NULL, by_time, "%s", page);
    cr_expect_eq(strstr(page, "refill") == NULL, by_time, "%s", page);
    cr_expect_eq(strstr(page, "Gas and drift") == NULL, by_time, "%s", page);
    cr_expect_eq(strstr(page, ", by day") != NULL, by_time, "%s", page);
    cr_expect_eq(strstr(screen, "The gas fills ") == NULL, by_time, "%s", screen);
    cr_expect_eq(
        strstr(screen, "Gas: not asked: a gas fill is not known to act on this reading.") != NULL,
        by_time, "%s", screen);
    free(page);
    free(screen);
    bt_unit_study_free(unit);
  }
}

/* Where a fill is far older than fills get, and nothing else asks about the refills. */
Test(drift_gas, a_fill_that_is_far_too_old_asks_for_refills) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  bt_suspected one = {.first = 1};
  struct {
    bool missing, suspected, wrong_side, asks;
  } cases[] = {{false, false, false, false},
               {true, false, false, true},
               {true, true, false, false},
               {true, false, true, false}};
  unit->fills.interval_days = 4;
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_text text = {0};
    drift->refill_doubt = (bt_refill_doubt){.wrong_side = cases[k].wrong_side,
                                            .slope = {.df = 20, .per_day = 1, .t = 9},
                                            .missing = cases[k].missing,
                                            .day = drift->values.day[0],
                                            .age_days = 60.4};
    drift->suspected_n = cases[k].suspected ? 1 : 0;
    drift->suspected = cases[k].suspected ? &one : NULL;
    report_drift_gas_numbers(unit, drift, &text);
    cr_expect_eq(strstr(bt_text_get(&text),
                        "the gas would be 60 days old, where a refill comes about every 4 days: "
                        "refills may be missing from the log") != NULL,
                 cases[k].asks, "case %zu: %s", k, bt_text_get(&text));
    drift->suspected = NULL;
    drift->suspected_n = 0;
    bt_text_free(&text);
  }
  bt_unit_study_free(unit);
}

/* A laser with events alone: what is missing is its log, not an answer. */
Test(drift_gas, without_any_check_the_log_is_asked_for) {
  bt_unit_study unit = {.has_check = false};
  bt_text text = {0};
  report_drift_gas_line(&unit, NULL, &text);
  cr_expect_str_eq(bt_text_get(&text),
                   "No check is stored for this laser up to then: import its log of checks.");
  bt_text_clear(&text);
  unit.has_check = true;
  report_drift_gas_line(&unit, NULL, &text);
  cr_expect_not_null(strstr(bt_text_get(&text), "The log cannot tell whether it is the gas"));
  bt_text_free(&text);
}
