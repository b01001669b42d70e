/* The page "Gas and drift", the text of `drift` and the line of `status`, of a drift made by hand:
 * nothing overlaps or leaves the page, and what is said is what was found. */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double first_day = MADE_DRIFT_FROM;

static bool is_said(const bt_document *document, const char *words) {
  const bt_page *page = made_drift_page(document);
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
      bt_unit_study *unit = made_drift(changed, &request);
      request.paper = (bt_paper)paper;
      cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK,
                   "%s", error.text);
      cr_assert_not_null(made_drift_page(&document));
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

/* A column holds its longest word on the narrower paper: nothing is parted within it. */
Test(drift_page, the_strength_of_a_cause_stands_on_one_line) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_unit_study *unit = made_drift(true, &request);
  unit->drift->drift->causes[0].strength = BT_CAUSE_MODERATE;
  request.paper = BT_PAPER_LETTER;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  const bt_page *page = made_drift_page(&document);
  size_t found = 0;
  for (size_t i = 0; i < page->texts_n; i++) {
    if (strcmp(page->texts[i].text, "moderate") != 0)
      continue;
    found++;
    cr_expect_gt(page->texts[i].width, 15, "it takes 14.4 mm in the page's face");
  }
  cr_expect_eq(found, 1);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drift_page, without_a_look_there_is_no_page) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_unit_study *unit = made_drift(true, &request);
  unit->drift->drift[0].use = BT_DRIFT_FEW;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  cr_expect_null(made_drift_page(&document));
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drift_text, answers_first_and_hedged) {
  for (int changed = 0; changed < 2; changed++) {
    bt_report_request request;
    bt_error error;
    bt_text text = {0}, screen = {0};
    bt_unit_study *unit = made_drift(changed, &request);
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

/* Rate and line are of the change's fit, not of the trend beside it. */
Test(drift_page, the_line_and_the_rate_are_of_the_fitted_change) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->trend.slope *= 3;
  char *text = made_drift_printed(unit, true);
  must_say(text, "The fitted line goes by −0.609 % a month (−0.670 to −0.548), and has gone by ");
  must_say(text,
           "(Theil-Sen: the median of the slopes from each of them to each other, which stray ones "
           "hardly move): ");
  free(text);
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  const bt_page *page = made_drift_page(&document);
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
    bt_unit_study *unit = made_drift(changed, &request);
    char *screen = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
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
    bt_unit_study *unit = made_drift(true, &request);
    request.paper = (bt_paper)paper;
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    for (size_t i = 0; i < document.pages[0].texts_n; i++)
      bt_text_format(&all, "%s\n", document.pages[0].texts[i].text);
    fixture_check(&document, &complaints);
    cr_expect_eq(complaints.length, 0, "%s", bt_text_get(&complaints));
    must_say(bt_text_get(&all), "1 in 20 by 24 Oct 2026, 1 in 2 by ");
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
    bt_unit_study *unit = made_drift(true, &request);
    unit->studies[0]->adjusted = adjusted;
    char *screen = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
    cr_expect_eq(strstr(screen, "at a fill’s end") != NULL, adjusted);
    cr_expect_eq(strstr(page, "wedge: the mean at a fill’s end") != NULL, adjusted);
    cr_expect_eq(strstr(page, "wedge: the mean up to tolerance") != NULL, !adjusted);
    free(screen);
    free(page);
    bt_unit_study_free(unit);
  }
}

/* Of the gas one number: alone where it is known, else with what else is lost meanwhile. */
Test(drift_text, the_gas_has_one_number_and_none_without_fills) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = made_drift_printed(unit, true);
  must_say(text, "Inside a fill it goes by −0.400 % a day");
  free(text);
  drift->gas = (bt_gas_slope){.given = true, .per_day = -0.0038, .low = -0.0043, .high = -0.0033};
  text = made_drift_printed(unit, true);
  must_say(text, "Inside a fill it goes by −0.380 % a day (−0.430 to −0.330) by the ageing of the "
                 "gas alone, the lasting loss taken off");
  cr_expect_null(strstr(text, "−0.400 % a day (−0.450 to −0.350) by"));
  free(text);
  drift->fills_tell = false;
  drift->fills_since = 2;
  text = made_drift_printed(unit, true);
  must_say(text, "Too few gas fills are known to tell: 15 before the change and 2 since");
  free(text);
  drift->fills_before = drift->fills_since = 0;
  text = made_drift_printed(unit, true);
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
    bt_unit_study *unit = made_drift(false, &request);
    bt_drift *drift = unit->drift->drift;
    drift->use = cases[k].use;
    drift->values.n = cases[k].values;
    unit->studies[0]->points.n = cases[k].points;
    for (int one = 0; one < 2; one++) {
      char *text = made_drift_printed(unit, one == 1);
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
  bt_unit_study *unit = made_drift(true, &request);
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
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  char end[REPORT_DATE_TEXT], words[2 * REPORT_DATE_TEXT];
  const bt_series *checks = &unit->studies[0]->checks;
  (void)report_short_date(checks->at[checks->n - 1], end);
  drift->past_n = 1;
  drift->past = fixture_filled(1, sizeof *drift->past);
  drift->past[0] =
      (bt_past_forecast){.until = report_drift_time(first_day + 60), .forecast = drift->forecast};
  unit->until = report_drift_time(drift->forecast.fail_5) + BT_DAY; /* that very day */
  char *text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "passed"));
  must_say(text, "Agree on a service visit before it comes to that");
  (void)snprintf(words, sizeof words, "up to its last check, of %s", end);
  must_say(text, words);
  (void)snprintf(words, sizeof words, "none in the log, which ends on %s", end);
  must_say(text, words);
  must_say(text,
           "If it goes on as up to the last value looked at, of 24 Aug 2026, a check below 0.96");
  cr_expect_null(strstr(text, "none has come"));
  free(text);
  unit->until += BT_DAY;
  unit->last_check = unit->until - 3 * BT_DAY;
  text = made_drift_printed(unit, true);
  drift->last_day = floor((double)checks->at[checks->n - 1] / (double)BT_DAY) + 0.3;
  must_say(text, "The first of these dates has passed: this is of checks up to 24 Aug 2026");
  must_say(text, "What to do next - Measure now and import it, if nobody has since: the day");
  must_say(text, "Agree on the service visit now;");
  free(text);
  text = made_drift_printed(unit, true);
  must_say(text, "If it goes on as up to its last check, of 27 Sep 2026, a check");
  free(text);
  unit->until -= BT_DAY; /* of the month's end, but read later */
  cr_expect_eq(report_drift_passed(unit, drift), REPORT_PASSED_NONE);
  unit->drift->read_on = unit->until + BT_DAY;
  cr_expect_eq(report_drift_passed(unit, drift), REPORT_PASSED_FIRST);
  unit->provenance.checks++; /* one came since: the page is of what was known then */
  cr_expect_eq(report_drift_passed(unit, drift), REPORT_PASSED_NONE);
  bt_unit_study_free(unit);
}

/* Both dates past, wherever the forecast is told; nothing is past on the day itself. */
Test(drift_text, passed_dates_are_told_everywhere) {
  for (int days = 1; days <= 2; days++) {
    bt_report_request request;
    bt_unit_study *unit = made_drift(true, &request);
    bt_drift *drift = unit->drift->drift;
    drift->forecast.fail_5 = drift->last_day + 3;
    drift->forecast.fail_50 = drift->last_day + 6;
    unit->until = report_drift_time(drift->forecast.fail_50) + days * BT_DAY;
    unit->last_check = unit->until - 3 * BT_DAY;
    bool both = days == 2;
    cr_expect_eq(report_drift_passed(unit, drift), both ? REPORT_PASSED_BOTH : REPORT_PASSED_FIRST);
    char *text = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
    const char *said = both ? "Both dates have passed: " : "The first of these dates has passed: ";
    must_say(text, said);
    must_say(page, both ? "Both dates" : "The first of these dates");
    bt_text line = {0};
    report_drift_headline(unit, drift, false, &line);
    must_say(bt_text_get(&line), both ? "; both dates have passed: measure now"
                                      : "; the first of them has passed: measure now");
    bt_text_free(&line);
    free(text);
    free(page);
    bt_unit_study_free(unit);
  }
}

static void put_past(bt_drift *drift, size_t i, bt_past_result result, double moved) {
  drift->past[i] = (bt_past_forecast){.until = report_drift_time(first_day + 60),
                                      .forecast = drift->forecast,
                                      .failed = result == BT_PAST_SOONER,
                                      .failed_on = first_day + 100,
                                      .overtaken = result == BT_PAST_OVERTAKEN,
                                      .overtaken_on = first_day + 90,
                                      .result = result,
                                      .has_moved = moved != 0,
                                      .moved_days = moved};
}

/* How good past forecasts were: counted, with what a reader may expect of good ones. */
Test(drift_text, past_forecasts_are_scored) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->past_n = 4;
  drift->past = fixture_filled(4, sizeof *drift->past);
  put_past(drift, 0, BT_PAST_OVERTAKEN, 0);
  put_past(drift, 1, BT_PAST_SOONER, -20);
  put_past(drift, 2, BT_PAST_LATER, 15);
  put_past(drift, 3, BT_PAST_OPEN, 0);
  drift->past_score = (bt_past_score){.given = 4,
                                      .sooner = 1,
                                      .later = 1,
                                      .open = 1,
                                      .overtaken = 1,
                                      .moved = 2,
                                      .moved_least_days = -20,
                                      .moved_most_days = 15};
  char *text = made_drift_printed(unit, true);
  must_say(
      text,
      "Of 4 forecasts made at month ends, 2 can be judged: the first failing check came "
      "between the 1-in-20 and the 1-in-2 day in 0, sooner in 1, later or not yet in 1. Of good "
      "forecasts about half come later and 1 in 20 sooner");
  must_say(text, "Where it came sooner, do not wait for the days that are named now. Apart from "
                 "that, 1 was overtaken by an event that moved the readings. Open, with the 1-in-2 "
                 "day ahead of the last check: 1. The newest forecast’s 1-in-2 day lies 20 days "
                 "before to 15 days after those of the 2 it can be held against.");
  must_say(text, ": overtaken, as an event of ");
  must_say(text, ": sooner; the newest forecast’s 1-in-2 day lies 20 days before this one’s");
  must_say(text, ": not yet; the newest forecast’s 1-in-2 day lies 15 days after this one’s");
  must_say(text, ": open ");
  free(text);
  char *page = made_drift_page_text(unit, &request);
  must_say(page, "forecasts made at month ends");
  free(page);
  drift->past_score = (bt_past_score){.given = 1, .open = 1};
  text = made_drift_printed(unit, true);
  must_say(text, "Of 1 forecast made at month ends, none can be judged yet.");
  free(text);
  bt_unit_study_free(unit);
}

/* Why the charts' days are not that on which it began. */
Test(drift_text, first_signals_are_told_from_when_it_began) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = made_drift_printed(unit, true);
  must_say(text, "A day between 26 Jun 2026 and 16 Jul 2026; the likeliest is 6 Jul 2026.");
  must_say(text, "from 6 Jul 2026 on (Theil-Sen: ");
  must_say(text, "that day is where its first value stands, not when it began");
  cr_expect_null(strstr(text, "The charts speak of it"));
  free(text);
  drift->has_notice = drift->has_alarm = true;
  drift->notice_at = report_drift_time(first_day + 60);
  drift->alarm_at = report_drift_time(first_day + 70);
  text = made_drift_printed(unit, true);
  must_say(text, "The charts speak of it since 26 Jul 2026, their first notice; the first alarm is "
                 "of 5 Aug 2026. Those are days on which it stood out");
  cr_expect_null(strstr(text, "older"), "%s", text);
  free(text);
  drift->notice_at = drift->alarm_at = report_drift_time(first_day + 38);
  text = made_drift_printed(unit, true);
  must_say(text,
           "The alarm is older than the likeliest day of the change: single points can stand");
  free(text);
  bt_text words = {0};
  report_drift_short(unit, drift, &words);
  must_say(bt_text_get(&words), "(likeliest 6 Jul 2026), by −1.0" REPORT_JOIN
                                "%; its alarm is open since 4 Jul 2026 already: single points");
  bt_text_free(&words);
  drift->alarm_at = report_drift_time(first_day + 70);
  unit->drift->drift->change.to = unit->drift->drift->change.from; /* one day: no other to tell */
  text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "the likeliest"));
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
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  bt_text line = {0};
  unit->studies[0]->quantity.unit = "mJ/cm²";
  for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
    free(unit->history.unit);
    unit->history.unit = bt_copy(names[k].unit);
    bt_text_clear(&line);
    report_drift_line(unit, drift, &line);
    must_say(bt_text_get(&line), names[k].typed);
    must_say(bt_text_get(&line),
             "a check below 0.96\xC2\xA0mJ/cm² at a fill’s end: 1 in 20 by 24 Oct 2026");
  }
  bt_text_free(&line);
  drift->look.charts = 1;
  drift->look_back = (bt_look_back){.last_good = 0, .days = 3, .restored = BT_NONE};
  drift->look_back_day = fixture_filled(3, sizeof *drift->look_back_day);
  for (int d = 0; d < 3; d++)
    drift->look_back_day[d] = report_drift_time(20664 + d); /* 30 Jul 2026 on */
  unit->studies[0]->checks.at[0] = report_drift_time(20600);
  char *text = made_drift_printed(unit, true);
  must_say(text, "1 chart of the laser is looked at");
  must_say(text,
           "Last good check before the change: 27 May 2026. 3 days: 30, 31 Jul 2026, 1 Aug 2026.");
  free(text);
  drift->look.charts = 2;
  text = made_drift_printed(unit, true);
  must_say(text, "2 charts of the laser are looked at");
  free(text);
  bt_unit_study_free(unit);
}

/* From where values are looked at, and why. */
Test(drift_page, the_span_says_why_it_begins_there) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = made_drift_page_text(unit, &request);
  must_say(text,
           "90 values are looked at, from the first, of 27 May 2026, on: no event moved them.");
  free(text);
  cr_assert_gt(unit->history.events_n, 0);
  drift->window = (bt_window){.event = 0, .from = report_drift_time(first_day - 1)};
  unit->history.events[0].kind = BT_EVENT_OPTICS_CLEANED;
  text = made_drift_page_text(unit, &request);
  must_say(text, "from 27 May 2026 on: an event of 26 May 2026 moved them (optics cleaned).");
  free(text);
  drift->values.cut = true;
  text = made_drift_page_text(unit, &request);
  must_say(text, "Only the newest 90 values are looked at: they begin on 27 May 2026.");
  free(text);
  bt_unit_study_free(unit);
}

/* ---- Days that lie close --------------------------------------------------------------------- */

/* "1 in 20" and "1 in 2" have a line each, at any distance and at the pane's edge. */
Test(drift_page, labels_of_close_days_do_not_overlap) {
  for (int far = 0; far <= 60; far = 2 * far + 1)
    for (int later = 0; later < 2; later++) {
      bt_report_request request;
      bt_document document;
      bt_error error;
      bt_text complaints = {0};
      bt_unit_study *unit = made_drift(true, &request);
      bt_forecast *ahead = &unit->drift->drift->forecast;
      ahead->has_fail_50 = ahead->has_fail_5 = true;
      ahead->fail_5 += later * 150;
      ahead->fail_50 = ahead->fail_5 + far;
      cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
      fixture_check(&document, &complaints);
      cr_expect_eq(complaints.length, 0, "%d days: %s", far, bt_text_get(&complaints));
      cr_expect(is_said(&document, "1 in 20"));
      cr_expect(is_said(&document, "1 in 2"));
      bt_text_free(&complaints);
      bt_document_free(&document);
      bt_unit_study_free(unit);
    }
}

/* Page 1 says that it was looked for where nothing was found, and that an event ended what had been
 * found before. */
static void summary_says(bool earlier, const char *words) {
  bt_report_request request;
  bt_document document;
  bt_error error;
  bt_text all = {0};
  bt_unit_study *unit = made_drift(false, &request);
  if (earlier) {
    bt_drift *drift = &unit->drift->drift[0];
    drift->before = (bt_drift_before){
        .changed = true, .change = {.from = 20453, .to = 20552}, .moved = {.sign = -1}};
    drift->window.event = 0;
    drift->before.until = unit->history.events[0].time;
  }
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t i = 0; i < document.pages[0].texts_n; i++)
    bt_text_format(&all, "%s\n", document.pages[0].texts[i].text);
  must_say(bt_text_get(&all), words);
  bt_text_free(&all);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drift_page, the_summary_says_that_no_drift_was_found) {
  summary_says(false, "Drift\nlooked for in 1 characteristic: none past the threshold\n");
  summary_says(true,
               "Drift\nlooked for in 1 characteristic: none past the threshold now; changed "
               "earlier: Pulse-energy ratio until 9 Jan 2026 (gas refill), see “Gas and drift”\n");
}
