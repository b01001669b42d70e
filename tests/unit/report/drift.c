/* The page "Gas and drift", the text of `drift` and the line of `status`, of a drift made by hand:
 * nothing overlaps or leaves the page, and what is said is what was found. */
#include "fixture.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
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
                              .now = 1 + 49 * slope,
                              .hinge = {.given = true,
                                        .day = first_day + 40,
                                        .before = 1,
                                        .per_day = slope,
                                        .low = 1.1 * slope,
                                        .high = 0.9 * slope}};
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
  drift->fills_before = drift->fills_since = FILLS / 2;
  drift->fills_tell = true;
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
      cr_expect_eq(is_said(&document, "no change past the threshold"), !changed);
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

static size_t count_of(const char *text, const char *words) {
  size_t n = 0;
  for (const char *at = text; (at = strstr(at, words)) != NULL; at++)
    n++;
  return n;
}

/* What `drift` prints of it, on one line, blanks and line breaks as one blank. Owned. */
static char *printed(const bt_unit_study *unit, bool one) {
  bt_error error;
  bt_text text = {0}, flat = {0};
  cr_assert_eq(bt_report_drift(unit, one ? unit->drift->drift : NULL, &text, &error), BT_OK);
  must_be_plain(bt_text_get(&text));
  for (const char *at = bt_text_get(&text); *at != '\0'; at++)
    if (*at != ' ' && *at != '\n')
      bt_text_format(&flat, "%c", *at);
    else if (at[1] != ' ' && at[1] != '\n')
      bt_text_add(&flat, " ");
  bt_text_free(&text);
  return bt_text_take(&flat);
}

static void must_say(const char *text, const char *words) {
  cr_expect_not_null(strstr(text, words), "\"%s\" is not in: %s", words, text);
}

/* The texts of the page, a line each. Owned. */
static char *page_text(const bt_unit_study *unit, const bt_report_request *request) {
  bt_document document;
  bt_error error;
  bt_text text = {0};
  cr_assert_eq(bt_report_month(unit, request, &fixture_measure, &document, &error), BT_OK);
  const bt_page *page = page_of(&document);
  cr_assert_not_null(page);
  for (size_t i = 0; i < page->texts_n; i++)
    bt_text_format(&text, "%s\n", page->texts[i].text);
  bt_document_free(&document);
  return bt_text_take(&text);
}

/* Rate and line are of the change's fit, not of the trend beside it. */
Test(drift_page, the_line_and_the_rate_are_of_the_fitted_change) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_unit_study *unit = made(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->trend.slope = 3 * slope;
  char *text = printed(unit, true);
  must_say(text, "It goes by −0.609 % a month (−0.670 to −0.548).");
  must_say(text, "Theil-Sen trend");
  free(text);
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  const bt_page *page = page_of(&document);
  const bt_pane *pane = &page->panes[page->panes_n - 1];
  size_t found = 0;
  for (size_t l = 0; l < pane->lines_n; l++) {
    const bt_polyline *line = &pane->lines[l];
    if (line->ink != BT_INK_FALL)
      continue;
    found++;
    cr_assert_eq(line->n, 3);
    cr_expect_eq(line->x[1], drift->change.day);
    cr_expect_eq(line->y[0], 1);
    cr_expect_eq(line->y[1], 1);
    cr_expect_eq(line->x[2], drift->last_day);
    cr_expect_eq(line->y[2], drift->change.now);
  }
  cr_expect_eq(found, 1);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drift_text, each_thing_is_said_once) {
  for (int changed = 0; changed < 2; changed++) {
    bt_report_request request;
    bt_unit_study *unit = made(changed, &request);
    char *screen = printed(unit, true), *page = page_text(unit, &request);
    cr_expect_eq(count_of(screen, "o change past the threshold"), changed ? 0 : 1, "%s", screen);
    cr_expect_eq(count_of(page, "o change past the threshold"), changed ? 0 : 1, "%s", page);
    cr_expect_eq(count_of(screen, "between"), (size_t)changed, "%s", screen);
    cr_expect_eq(count_of(page, "between"), (size_t)changed, "%s", page);
    cr_expect_eq(count_of(screen, "falling"), (size_t)changed, "%s", screen);
    cr_expect_eq(count_of(page, "falling"), (size_t)changed, "%s", page);
    cr_expect_eq(count_of(screen, "single checks scatter"), (size_t)changed);
    cr_expect_eq(count_of(page, "scatter"), (size_t)changed);
    free(screen);
    free(page);
    bt_unit_study_free(unit);
  }
}

/* The summary's line holds the date to its last letter. */
Test(drift_page, the_summary_does_not_cut_the_forecast) {
  for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
    bt_report_request request;
    bt_document document;
    bt_error error;
    bt_text complaints = {0}, all = {0};
    bt_unit_study *unit = made(true, &request);
    request.paper = (bt_paper)paper;
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    for (size_t i = 0; i < document.pages[0].texts_n; i++)
      bt_text_format(&all, "%s\n", document.pages[0].texts[i].text);
    fixture_check(&document, &complaints);
    cr_expect_eq(complaints.length, 0, "%s", bt_text_get(&complaints));
    must_say(bt_text_get(&all), "becomes possible (5\xC2\xA0%) by 24 Oct 2026\n");
    bt_text_free(&all);
    bt_text_free(&complaints);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

/* Where no fill age is known none is spoken of. */
Test(drift_text, without_ages_the_mean_has_none) {
  for (int adjusted = 0; adjusted < 2; adjusted++) {
    bt_report_request request;
    bt_unit_study *unit = made(true, &request);
    unit->studies[0]->adjusted = adjusted;
    char *screen = printed(unit, true), *page = page_text(unit, &request);
    cr_expect_eq(strstr(screen, "oldest usual fill age") != NULL, adjusted);
    cr_expect_eq(strstr(page, "wedge: the mean at the oldest fill age") != NULL, adjusted);
    cr_expect_eq(strstr(page, "wedge: the mean up to tolerance") != NULL, !adjusted);
    free(screen);
    free(page);
    bt_unit_study_free(unit);
  }
}

/* Of the gas one number: alone where it is known, else with what else is lost meanwhile. */
Test(drift_text, the_gas_has_one_number_and_none_without_fills) {
  bt_report_request request;
  bt_unit_study *unit = made(true, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = printed(unit, true);
  must_say(text, "Inside the fills it goes by −0.400 % a day");
  free(text);
  drift->gas = (bt_gas_slope){.given = true, .per_day = -0.0038, .low = -0.0043, .high = -0.0033};
  text = printed(unit, true);
  must_say(text, "Gas ageing alone, inside the fills less what the levels lose: −0.380 %");
  cr_expect_null(strstr(text, "Inside the fills it goes by"));
  free(text);
  drift->fills_tell = false;
  drift->fills_since = 2;
  text = printed(unit, true);
  must_say(text, "Too few gas fills are known to tell: 15 before the change and 2 since");
  free(text);
  drift->fills_before = drift->fills_since = 0;
  text = printed(unit, true);
  must_say(text, "No gas fill of known age is in the log");
  cr_expect_null(strstr(text, "a day (−0.4"));
  free(text);
  bt_unit_study_free(unit);
}

/* That nothing was looked at never reads as nothing found. */
Test(drift_text, what_was_not_looked_at_says_so_and_why) {
  static const struct {
    bt_drift_use use;
    size_t points, values;
    const char *why;
  } cases[] = {{BT_DRIFT_NO_BASELINE, 1, 0, "no baseline yet (it takes 8 points, and there is 1)"},
               {BT_DRIFT_NO_BASELINE, 7, 0, "no baseline yet (it takes 8 points, and there are 7)"},
               {BT_DRIFT_COARSE, 90, 90, "the readings are too coarse for a chart"},
               {BT_DRIFT_FEW, 9, 9, "a look takes 10 values, and there are 9"}};
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_report_request request;
    bt_error error;
    bt_overview_row row;
    bt_unit_study *unit = made(false, &request);
    bt_drift *drift = unit->drift->drift;
    drift->use = cases[k].use;
    drift->values.n = cases[k].values;
    unit->studies[0]->points.n = cases[k].points;
    for (int one = 0; one < 2; one++) {
      char *text = printed(unit, one == 1);
      must_say(text, "not looked at");
      must_say(text, cases[k].why);
      must_say(text, "ot changed");
      cr_expect_null(strstr(text, "past the threshold"), "%s", text);
      cr_expect_null(strstr(text, "as planned"), "%s", text);
      free(text);
    }
    cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
    must_say(row.drift, "not looked at: ");
    must_say(row.drift, cases[k].why);
    cr_expect_null(strstr(row.drift, "past the threshold"));
    bt_overview_row_free(&row);
    bt_unit_study_free(unit);
  }
}

/* In the row of all units a change stands there also without a cause or a forecast. */
Test(drift_text, the_row_of_all_units_hides_no_change) {
  bt_report_request request;
  bt_error error;
  bt_overview_row row;
  bt_unit_study *unit = made(true, &request);
  unit->drift->drift->causes_n = 0;
  unit->drift->drift->forecast.use = BT_FORECAST_NO_LIMIT;
  cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
  must_say(row.drift, "Pulse-energy ratio: falling since a day between");
  bt_overview_row_free(&row);
  unit->drift->drift->moved.changed = false;
  cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
  cr_expect_str_eq(row.drift, "no change past the threshold in 1 characteristic");
  bt_overview_row_free(&row);
  bt_unit_study_free(unit);
}

/* Forecasts are of the last check; a day that has passed since, without one, is called that. */
Test(drift_text, dates_are_of_the_last_check) {
  bt_report_request request;
  bt_unit_study *unit = made(true, &request);
  bt_drift *drift = unit->drift->drift;
  char end[REPORT_DATE_TEXT], words[2 * REPORT_DATE_TEXT];
  const bt_series *checks = &unit->studies[0]->checks;
  (void)report_short_date(checks->at[checks->n - 1], end);
  drift->past_n = 1;
  drift->past = fixture_filled(1, sizeof *drift->past);
  drift->past[0] =
      (bt_past_forecast){.until = report_drift_time(first_day + 60), .forecast = drift->forecast};
  unit->until = report_drift_time(drift->forecast.fail_5) + BT_DAY; /* that very day */
  char *text = printed(unit, true);
  cr_expect_null(strstr(text, "is past"));
  (void)snprintf(words, sizeof words, "up to its last check, of %s", end);
  must_say(text, words);
  (void)snprintf(words, sizeof words, "none in the log, which ends on %s", end);
  must_say(text, words);
  must_say(text,
           "If it goes on as up to the last value looked at, of 24 Aug 2026, a check below 0.96");
  cr_expect_null(strstr(text, "none has come"));
  free(text);
  unit->until += BT_DAY;
  text = printed(unit, true);
  drift->last_day = floor((double)checks->at[checks->n - 1] / (double)BT_DAY) + 0.3;
  must_say(text, "24 Oct 2026 is past: the log ends on 27 Sep 2026");
  free(text);
  text = printed(unit, true);
  must_say(text, "If it goes on as up to its last check, of 27 Sep 2026, a check");
  free(text);
  bt_unit_study_free(unit);
}

/* Units, plurals and dates; the command of `status` as a shell takes it. */
Test(drift_text, units_plurals_and_names) {
  static const struct {
    const char *unit, *typed;
  } names[] = {{"North-1", "--unit North-1 --"},
               {"Suite North", "--unit 'Suite North' --"},
               {"Bob's $HOME", "--unit 'Bob'\\''s $HOME' --"},
               {"-x", "--unit '-x' --"}};
  bt_report_request request;
  bt_unit_study *unit = made(true, &request);
  bt_drift *drift = unit->drift->drift;
  bt_text line = {0};
  unit->studies[0]->quantity.unit = "mJ/cm²";
  for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
    free(unit->history.unit);
    unit->history.unit = bt_copy(names[k].unit);
    bt_text_clear(&line);
    report_drift_line(unit, drift, &line);
    must_say(bt_text_get(&line), names[k].typed);
    must_say(bt_text_get(&line), "a check below 0.96\xC2\xA0mJ/cm² becomes possible");
  }
  bt_text_free(&line);
  drift->look.charts = 1;
  drift->look_back = (bt_look_back){.last_good = 0, .days = 3, .restored = BT_NONE};
  drift->look_back_day = fixture_filled(3, sizeof *drift->look_back_day);
  for (int d = 0; d < 3; d++)
    drift->look_back_day[d] = report_drift_time(20664 + d); /* 30 Jul 2026 on */
  unit->studies[0]->checks.at[0] = report_drift_time(20600);
  char *text = printed(unit, true);
  must_say(text, "1 chart of the laser is looked at");
  must_say(text, "Last good check: 27 May 2026. 3 days: 30, 31 Jul 2026, 1 Aug 2026.");
  free(text);
  drift->look.charts = 2;
  text = printed(unit, true);
  must_say(text, "2 charts of the laser are looked at");
  free(text);
  bt_unit_study_free(unit);
}

/* From where values are looked at, and why. */
Test(drift_page, the_span_says_why_it_begins_there) {
  bt_report_request request;
  bt_unit_study *unit = made(false, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = page_text(unit, &request);
  must_say(text,
           "90 values are looked at, from the first, of 27 May 2026, on: no event moved them.");
  free(text);
  cr_assert_gt(unit->history.events_n, 0);
  drift->window = (bt_window){.event = 0, .from = report_drift_time(first_day - 1)};
  unit->history.events[0].kind = BT_EVENT_OPTICS_CLEANED;
  text = page_text(unit, &request);
  must_say(text, "from 27 May 2026 on: an event of 26 May 2026 moved them (optics cleaned).");
  free(text);
  drift->values.cut = true;
  text = page_text(unit, &request);
  must_say(text, "Only the newest 90 values are looked at: they begin on 27 May 2026.");
  free(text);
  bt_unit_study_free(unit);
}
