/* What fails the clinic's tolerance or comes to it leads, on page 1 of a month, in a case and on
 * the screen alike; not what has the strongest likelihood. */
#include "fixture.h"
#include "report_case.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { VOLTAGE, FLUENCE, RATIO, OFFSET, STUDIES };

static const bt_tolerance both_sides = {.has_low = true, .low = 0.9, .has_high = true, .high = 1.1};

/* Four that changed, the first past its threshold by far and without a tolerance; the others with
 * one, and a forecast of the later the further they stand behind. */
static bt_unit_study *made(bt_report_request *request) {
  static const char *const titles[STUDIES] = {"Discharge voltage", "Fluence", "Pulse-energy ratio",
                                              "Tracker offset x"};
  static const bt_characteristic of[STUDIES] = {BT_HIGH_VOLTAGE, BT_FLUENCE, BT_ENERGY_RATIO,
                                                BT_TRACKER_X};
  fixture_plan plan = fixture_usual();
  plan.copies = STUDIES - 1;
  bt_unit_study *unit = fixture_make(&plan, request);
  unit->drift = fixture_filled(1, sizeof *unit->drift);
  unit->drift->n = STUDIES;
  unit->drift->drift = fixture_filled(STUDIES, sizeof *unit->drift->drift);
  for (size_t s = 0; s < STUDIES; s++) {
    bt_drift *drift = &unit->drift->drift[s];
    unit->studies[s]->characteristic = drift->characteristic = of[s];
    unit->studies[s]->quantity.title = titles[s];
    unit->studies[s]->tolerance.last_is_outside = false;
    unit->studies[s]->verdict = BT_VERDICT_ALARM;
    drift->study = unit->studies[s];
    drift->use = BT_DRIFT_LOOKED_AT;
    drift->window.event = BT_NONE;
    drift->look = (bt_look){.given = true, .n = 100, .charts = 5, .threshold = 20};
    drift->moved =
        (bt_moved){.looked_at = true, .changed = true, .kind = BT_CHANGE_HINGE, .sign = -1};
    drift->change = (bt_change){.n = 100,
                                .kind = BT_CHANGE_HINGE,
                                .likelihood_ratio = 900 - 200 * (double)s,
                                .from = 20500,
                                .to = 20520,
                                .day = 20510};
    drift->forecast.use = BT_FORECAST_NO_LIMIT;
    if (s == VOLTAGE)
      continue;
    drift->tolerance = &both_sides;
    drift->forecast = (bt_forecast){.use = BT_FORECAST_GIVEN,
                                    .side = BT_LOW,
                                    .limit = 0.9,
                                    .has_fail_5 = true,
                                    .fail_5 = 20800 + 10 * (double)s};
  }
  return unit;
}

/* "FRV": the initials in order. */
static void order_is(const bt_unit_study *unit, const char *initials) {
  size_t n = 0;
  for (const bt_drift *drift = report_drift_after(unit, NULL); drift != NULL;
       drift = report_drift_after(unit, drift))
    cr_expect_eq(*drift->study->quantity.title, initials[n++], "%s in %s",
                 drift->study->quantity.title, initials);
  cr_expect_eq(n, strlen(initials));
}

Test(drift_order, what_fails_or_comes_to_its_tolerance_leads) {
  bt_report_request request;
  bt_unit_study *unit = made(&request);
  bt_drift *drift = unit->drift->drift;
  order_is(unit, "FPTD");
  drift[FLUENCE].forecast.fail_5 = 20900;
  order_is(unit, "PTFD");
  drift[OFFSET].forecast.use =
      BT_FORECAST_NO_DRIFT; /* a step, say: towards a tolerance all the same */
  order_is(unit, "PFTD");
  drift[OFFSET].moved.sign = 1;
  order_is(unit, "PFTD");
  drift[OFFSET].tolerance = NULL;
  order_is(unit, "PFDT");
  drift[OFFSET].failed_n = 1;
  order_is(unit, "TPFD");
  drift[FLUENCE].forecast.use = BT_FORECAST_BEYOND;
  order_is(unit, "FTPD");
  unit->studies[VOLTAGE]->tolerance.last_is_outside = true;
  unit->studies[VOLTAGE]->verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  order_is(unit, "DFTP");
  bt_unit_study_free(unit);
}

/* Where each of the titles first stands in a text, in their order. */
static void must_stand(const char *text, const char *const *words, size_t n) {
  const char *before = text;
  for (size_t i = 0; i < n; i++) {
    const char *found = strstr(text, words[i]);
    cr_assert_not_null(found, "%s in %s", words[i], text);
    cr_expect(found >= before, "%s in %s", words[i], text);
    before = found;
  }
}

static const char *const in_order[] = {"Fluence: falling", "Pulse-energy ratio: falling",
                                       "Tracker offset x: falling", "Discharge voltage: falling"};

Test(drift_order, is_that_of_a_case_and_says_why) {
  bt_report_request request;
  bt_unit_study *unit = made(&request);
  bt_case one = {.unit = unit, .from = request.from, .to = request.to, .begins = request.from};
  bt_text what = {0};
  cr_expect_str_eq(report_case_leads(&one)->study->quantity.title, "Fluence");
  report_case_what(&one, &what);
  must_stand(bt_text_get(&what), in_order, STUDIES);
  const char *leads =
      "What follows is of the first to look at: Fluence, as it comes to its tolerance first.";
  cr_expect_not_null(strstr(bt_text_get(&what), leads), "%s", bt_text_get(&what));
  bt_text_free(&what);
  bt_unit_study_free(unit);
}

Test(drift_order, is_that_of_the_screen) {
  bt_report_request request;
  bt_error error = {0};
  bt_text screen = {0};
  bt_unit_study *unit = made(&request);
  cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK, "%s", error.text);
  must_stand(bt_text_get(&screen), in_order, STUDIES);
  bt_text_free(&screen);
  bt_unit_study_free(unit);
}

/* The page of gas and drift is of what the first page leads with, where a cause is named for it. */
Test(drift_order, is_that_of_the_page_of_drift) {
  bt_report_request request;
  bt_unit_study *unit = made(&request);
  bt_drift *drift = unit->drift->drift;
  cr_expect_str_eq(report_drift_chosen(unit)->study->quantity.title, "Fluence");
  drift[VOLTAGE].causes_n = drift[RATIO].causes_n = 1;
  cr_expect_str_eq(report_drift_chosen(unit)->study->quantity.title, "Pulse-energy ratio");
  for (size_t s = 0; s < STUDIES; s++) {
    drift[s].moved.changed = false;
    drift[s].causes_n = 0;
    drift[s].forecast.use = BT_FORECAST_NO_DRIFT;
  }
  drift[VOLTAGE].use = BT_DRIFT_FEW;
  cr_expect_str_eq(report_drift_chosen(unit)->study->quantity.title, "Fluence");
  bt_unit_study_free(unit);
}
