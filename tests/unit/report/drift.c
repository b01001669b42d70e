/* The page "Gas and drift", the text of `drift` and the line of `status`, of a drift made by hand:
 * nothing overlaps or leaves the page, and what is said is what was found. */
#include "fixture.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { VALUES = 90, FILLS = 30 };

static const double first_day = 20600, slope = -0.0002;

static void fill_values(bt_drift *drift) {
  bt_drift_values *values = &drift->values;
  *values = (bt_drift_values){.n = VALUES,
                              .day = fixture_filled(VALUES, sizeof(double)),
                              .raw = fixture_filled(VALUES, sizeof(double)),
                              .value = fixture_filled(VALUES, sizeof(double)),
                              .age_days = fixture_filled(VALUES, sizeof(double)),
                              .fill = fixture_filled(VALUES, sizeof(int32_t)),
                              .stretch = fixture_filled(VALUES, sizeof(int32_t)),
                              .known = fixture_filled(VALUES, 1),
                              .point = fixture_filled(VALUES, sizeof(size_t)),
                              .row = fixture_filled(VALUES, sizeof(size_t))};
  for (int i = 0; i < VALUES; i++) {
    values->day[i] = first_day + i;
    values->value[i] = 1 + slope * fmax(i - 40, 0);
    values->age_days[i] = i % 3;
    values->raw[i] = values->value[i] - 0.004 * (i % 3);
    values->fill[i] = i / 3;
    values->known[i] = 1;
  }
  drift->levels.n = FILLS;
  drift->level = fixture_filled(FILLS, sizeof *drift->level);
  for (int f = 0; f < FILLS; f++)
    drift->level[f] = (bt_level){
        .fill = f, .n = 3, .day = first_day + 3 * f + 1, .value = values->value[3 * f + 1]};
}

static void fill_change(bt_drift *drift) {
  drift->moved = (bt_moved){.looked_at = true,
                            .changed = true,
                            .kind = BT_CHANGE_HINGE,
                            .sign = -1,
                            .from = first_day + 30,
                            .to = first_day + 50};
  drift->change = (bt_change){.n = VALUES,
                              .kind = BT_CHANGE_HINGE,
                              .likelihood_ratio = 80,
                              .from = first_day + 30,
                              .to = first_day + 50,
                              .day = first_day + 40,
                              .hinge = {.given = true, .day = first_day + 40, .per_day = slope}};
  drift->trend = (bt_trend){.given = true,
                            .has_interval = true,
                            .slope = slope,
                            .low = 1.1 * slope,
                            .high = 0.9 * slope,
                            .from_day = first_day + 40,
                            .to_day = first_day + 89,
                            .from_value = 1,
                            .to_value = 1 + 49 * slope};
  drift->forecast = (bt_forecast){.use = BT_FORECAST_GIVEN,
                                  .side = BT_LOW,
                                  .limit = 0.96,
                                  .has_fail_5 = true,
                                  .has_fail_50 = true,
                                  .fail_5 = first_day + 150,
                                  .fail_50 = first_day + 180,
                                  .mean_at = first_day + 220,
                                  .mean_from = first_day + 200,
                                  .mean_to = first_day + 250,
                                  .has_mean_to = true};
  drift->causes_n = 2;
  drift->causes[0] = (bt_cause){.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL,
                                .strength = BT_CAUSE_STRONG,
                                .evidence = BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED};
  drift->causes[1] = (bt_cause){.kind = BT_CAUSE_METER,
                                .strength = BT_CAUSE_WEAK,
                                .evidence = BT_FACT_ENERGY_STEPS | BT_FACT_METER_THEN,
                                .against = BT_FACT_VOLTAGE_CLIMBS};
}

static bt_unit_study *made(bool changed, bt_report_request *request) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, request);
  bt_unit_drift *all = fixture_filled(1, sizeof *all);
  all->n = 1;
  all->drift = fixture_filled(1, sizeof *all->drift);
  bt_drift *drift = all->drift;
  drift->characteristic = BT_ENERGY_RATIO;
  drift->study = unit->studies[0];
  drift->loss = -1;
  drift->sigma = 0.004;
  drift->centre = 1;
  fill_values(drift);
  drift->look =
      (bt_look){.given = true, .n = VALUES, .charts = 5, .looks_a_year = 250, .threshold = 20.8};
  drift->now = 0.9902;
  drift->now_low = 0.9892;
  drift->now_high = 0.9912;
  drift->from_first = -0.0098;
  drift->last_day = first_day + VALUES - 1;
  drift->oldest_now = 0.986;
  drift->window = (bt_window){.event = BT_NONE};
  drift->slope = drift->baseline_slope =
      (bt_slope){.use = BT_AGE_USED, .df = 50, .per_day = -0.004, .low = -0.0045, .high = -0.0035};
  drift->forecast.use = BT_FORECAST_NO_DRIFT;
  drift->fill_days.use = BT_FILL_NO_SLOPE;
  if (changed)
    fill_change(drift);
  unit->drift = all;
  return unit;
}

/* The page of that name; NULL: there is none. */
static const bt_page *page_of(const bt_document *document) {
  for (size_t p = 0; p < document->pages_n; p++)
    if (strcmp(document->pages[p].name, "drift") == 0)
      return &document->pages[p];
  return NULL;
}

static bool is_said(const bt_document *document, const char *words) {
  const bt_page *page = page_of(document);
  for (size_t i = 0; i < page->texts_n; i++)
    if (strstr(page->texts[i].text, words) != NULL)
      return true;
  return false;
}

Test(drift_page, nothing_overlaps_and_what_was_found_is_said) {
  for (int changed = 0; changed < 2; changed++)
    for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
      bt_report_request request;
      bt_document document;
      bt_error error;
      bt_text complaints = {0};
      bt_unit_study *unit = made(changed, &request);
      request.paper = (bt_paper)paper;
      cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK,
                   "%s", error.text);
      cr_assert_not_null(page_of(&document));
      fixture_check(&document, &complaints);
      cr_expect_eq(complaints.length, 0, "changed %d, paper %d:\n%s", changed, paper,
                   bt_text_get(&complaints));
      cr_expect(is_said(&document, "Gas and drift"));
      cr_expect_eq(is_said(&document, "falling since a day between"), changed);
      cr_expect_eq(is_said(&document, "No change past the threshold"), !changed);
      cr_expect_eq(is_said(&document, "A loss that refills do not bring back"), changed);
      cr_expect_eq(is_said(&document, "voltage climbs"), changed, "what speaks against");
      cr_expect_eq(is_said(&document, "No cause is named"), !changed);
      bt_text_free(&complaints);
      bt_document_free(&document);
      bt_unit_study_free(unit);
    }
}

Test(drift_page, without_a_look_there_is_no_page) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_unit_study *unit = made(true, &request);
  unit->drift->drift[0].use = BT_DRIFT_FEW;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  cr_expect_null(page_of(&document));
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* Lines of at most 80 columns; no word that promises anything of a laser. */
static void must_be_plain(const char *text) {
  static const char *const never[] = {"safe", "steady", " OK"};
  for (size_t k = 0; k < sizeof never / sizeof *never; k++)
    cr_expect_null(strstr(text, never[k]), "%s", never[k]);
  for (const char *line = text; *line != '\0';) {
    const char *end = strchr(line, '\n');
    size_t bytes = end == NULL ? strlen(line) : (size_t)(end - line), columns = 0;
    for (size_t i = 0; i < bytes; i++)
      columns += ((unsigned char)line[i] & 0xC0) != 0x80;
    cr_expect_leq(columns, 80, "%.*s", (int)bytes, line);
    line += bytes + (end != NULL);
  }
}

Test(drift_text, answers_first_and_hedged) {
  for (int changed = 0; changed < 2; changed++) {
    bt_report_request request;
    bt_error error;
    bt_text text = {0}, screen = {0};
    bt_unit_study *unit = made(changed, &request);
    cr_assert_eq(bt_report_drift(unit, unit->drift->drift, &text, &error), BT_OK);
    const char *is = strstr(bt_text_get(&text), "Is it drifting?"),
               *causes = strstr(bt_text_get(&text), "What the data support"),
               *next = strstr(bt_text_get(&text), "What to do next"),
               *details = strstr(bt_text_get(&text), "Details");
    cr_assert(is && causes && next && details && is < causes && causes < next && next < details);
    cr_expect_eq(strstr(bt_text_get(&text), "Since when?") != NULL, changed);
    cr_expect_eq(strstr(bt_text_get(&text), "against: voltage climbs") != NULL, changed);
    must_be_plain(bt_text_get(&text));
    cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
    cr_expect_eq(strstr(bt_text_get(&screen), "\nDrift        Pulse-energy ratio: falling since") !=
                     NULL,
                 changed);
    must_be_plain(bt_text_get(&screen));
    bt_text_free(&text);
    bt_text_free(&screen);
    bt_unit_study_free(unit);
  }
}
