/* Every sentence of the gas page over a grid of findings: grammar, singular and plural, hedges, and
 * nothing that the finding does not hold. */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* One finding of the grid: what each digit stands for. */
typedef struct grid {
  bool changed, step, rises, open, before, window, adjusted;
  int forecast;             /* bt_forecast_use */
  bool fail_5, fail_50, to; /* days of it that are given */
  bool step_possible;
  size_t fills_before, fills_since, suspected;
  size_t given, inside, sooner; /* past forecasts */
  bt_strength signals;          /* open on the chart */
} grid;

static bool has(const char *text, const char *words) {
  return strstr(text, words) != NULL;
}

static void set(bt_unit_study *unit, const grid *of) {
  bt_drift *drift = unit->drift->drift;
  bt_study *study = unit->studies[0];
  drift->moved.changed = of->changed;
  drift->moved.sign = of->rises ? 1 : -1;
  drift->moved.kind = drift->change.kind = of->step ? BT_CHANGE_STEP : BT_CHANGE_HINGE;
  drift->change.open = of->open;
  drift->change.step = (bt_step){.given = true, .before = 1, .after = of->rises ? 1.01 : 0.99};
  drift->window.event = of->window ? 0 : BT_NONE;
  drift->before.changed = of->window && of->before;
  drift->before.until = unit->history.events[0].time;
  drift->before.change = drift->change;
  drift->before.change.open = false;
  drift->before.moved = drift->moved;
  drift->before.moved.changed = true;
  drift->forecast.use = (bt_forecast_use)of->forecast;
  drift->forecast.side = of->rises ? BT_HIGH : BT_LOW;
  drift->forecast.has_fail_5 = of->fail_5;
  drift->forecast.has_fail_50 = of->fail_50;
  drift->forecast.has_mean_to = of->to;
  drift->forecast.step_possible = of->step_possible;
  drift->fills_before = of->fills_before;
  drift->fills_since = of->fills_since;
  drift->fills_tell = of->fills_before >= 3 && of->fills_since >= 3;
  drift->suspected_n = of->suspected;
  drift->past_score = (bt_past_score){.given = of->given,
                                      .inside = of->inside,
                                      .sooner = of->sooner,
                                      .open = of->given - of->inside - of->sooner,
                                      .moved = of->given,
                                      .moved_least_days = 1,
                                      .moved_most_days = 1};
  study->adjusted = of->adjusted;
  for (size_t i = 0; i < study->points.n; i++)
    study->rules[BT_LOW][i] = study->rules[BT_HIGH][i] = study->strength[i] = 0;
  study->episodes_n = of->signals == BT_QUIET ? 0 : 1;
  size_t last = study->points.n - 1;
  study->episodes[0] = (bt_episode){
      .strength = of->signals, .first = last, .last = last, .signals = 1, .rules = BT_WE1};
  study->rules[BT_LOW][last] =
      (bt_rules)(of->signals == BT_ALARM ? BT_WE1 | BT_ALARM_LIMIT : BT_WE1);
  study->strength[last] = (uint8_t)of->signals;
}

static bool is_word(const char *text, const char *word) {
  size_t length = strlen(word);
  for (const char *at = text; (at = strstr(at, word)) != NULL; at += length)
    if ((at == text || !isalnum((unsigned char)at[-1])) && !isalnum((unsigned char)at[length]))
      return true;
  return false;
}

static void reads_well(const char *text) {
  static const char *const never[] = {"safe", "steady", "OK", "stable", "nan", "inf", "(null)"};
  static const char *const slips[] = {
      " 1 fills", " 1 values",  " 1 forecasts",        " 1 jumps", " 1 points",
      "+1 days",  "jump look ", "jumps looks",         "  ",       " ,",
      " .",       "..",         "earlier, or earlier", ";.",       ":."};
  for (size_t i = 0; i < sizeof never / sizeof *never; i++)
    cr_expect_not(is_word(text, never[i]), "%s: %s", never[i], text);
  for (size_t i = 0; i < sizeof slips / sizeof *slips; i++)
    cr_expect_not(has(text, slips[i]), "\"%s\": %s", slips[i], text);
  size_t length = strlen(text);
  cr_expect(length == 0 || text[length - 1] == '.' || strcmp(text + length - 2, ".)") == 0,
            "no full stop: %s", text);
}

/* What it is, since when, and that a chart may signal beside no change. */
static void agrees_on_change(const grid *of, const char *text) {
  bool low = of->changed && !of->rises;
  bool falls = has(text, "ratio: falling"), climbs = has(text, "ratio: climbing");
  cr_expect_eq(falls, low && !of->step, "%s", text);
  cr_expect_eq(climbs, of->changed && of->rises && !of->step, "%s", text);
  cr_expect_eq(has(text, "ratio: lower, in a step"), low && of->step, "%s", text);
  cr_expect_eq(has(text, "no change past the threshold"), !of->changed, "%s", text);
  cr_expect_eq(has(text, "may be there all the same"), !of->changed, "%s", text);
  cr_expect_eq(has(text, ", or earlier"), of->changed && of->open, "%s", text);
  cr_expect_eq(has(text, "an alarm open all the same"), !of->changed && of->signals == BT_ALARM,
               "%s", text);
  cr_expect_eq(has(text, "a notice open all the same"), !of->changed && of->signals == BT_NOTICE,
               "%s", text);
  cr_expect_eq(has(text, "the days since the event alone"),
               !of->changed && of->signals != BT_QUIET && of->window, "%s", text);
  cr_expect_eq(has(text, "when an event moved it"), !of->changed && of->window, "%s", text);
}

/* A day ahead is named only of a forecast that is given, and only where it has that day. */
static void agrees_on_forecast(const grid *of, const char *text) {
  bool given = of->forecast == BT_FORECAST_GIVEN;
  cr_expect_eq(has(text, " has a chance of 1 in 20 by "), given && of->fail_5, "%s", text);
  cr_expect_eq(has(text, " 1 in 2 by "), given && of->fail_50, "%s", text);
  cr_expect_eq(has(text, "not to be expected within 20 years"),
               given && !of->fail_5 && !of->fail_50, "%s", text);
  cr_expect_eq(has(text, "with no finite date"), given && !of->to, "%s", text);
  cr_expect_eq(has(text, "No forecast"), !given && of->forecast != BT_FORECAST_BEYOND, "%s", text);
  cr_expect_eq(has(text, "If it goes on as"), given, "%s", text);
  cr_expect_eq(has(text, "of the drift alone, not of what a cleaning would restore"), given, "%s",
               text);
  cr_expect_eq(has(text, "do not wait for the days"), of->given > 0 && of->sooner > 0, "%s", text);
  cr_expect_eq(has(text, "none can be judged yet"), of->given > 0 && of->inside + of->sooner == 0,
               "%s", text);
}

static void agrees_on_gas(const grid *of, const char *text) {
  size_t known = of->fills_before + of->fills_since;
  bool tell = of->fills_before >= 3 && of->fills_since >= 3;
  cr_expect_eq(has(text, "No gas fill of known age"), known == 0, "%s", text);
  cr_expect_eq(has(text, "Too few gas fills are known"), known > 0 && !tell, "%s", text);
  cr_expect_eq(has(text, "Inside a fill it goes by"), tell, "%s", text);
  cr_expect_eq(has(text, "Gas: yes"), false, "no such cause is named: %s", text);
  cr_expect_eq(has(text, "Gas: no sign: it is no loss"), tell && of->changed && of->rises, "%s",
               text);
  cr_expect_eq(has(text, "1 jump looks like a refill"), of->suspected == 1, "%s", text);
  cr_expect_eq(has(text, "2 jumps look like a refill"), of->suspected == 2, "%s", text);
}

/* The first page's paragraph. */
static void read_lead(const bt_unit_study *unit, const grid *of) {
  report_words words = {0};
  report_drift_lead(unit, unit->drift->drift, NULL, &words);
  const char *text = bt_text_get(&words.text);
  bool given = of->forecast == BT_FORECAST_GIVEN;
  cr_expect_eq(has(text, ": 1 in 20 by "), given && of->fail_5, "%s", text);
  cr_expect_eq(has(text, " 1 in 2 by "), given && of->fail_50, "%s", text);
  cr_expect_eq(has(text, " within 20 years"), given && !of->fail_5 && !of->fail_50, "%s", text);
  cr_expect_eq(has(text, " Before it or meanwhile: "), of->changed, "%s", text);
  cr_expect_eq(has(text, "alarm open, low side"), of->signals == BT_ALARM, "%s", text);
  cr_expect_eq(has(text, ", first alarm 27 Sep 2026"), of->signals == BT_ALARM && !of->changed,
               "%s", text);
  cr_expect(has(text, "Last check (27 Sep 2026) inside tolerance"), "%s", text);
  reads_well(text);
  report_words_free(&words);
}

/* In the order of the page, each with its part of the finding. */
static void read(const bt_unit_study *unit, const grid *of) {
  const bt_drift *drift = unit->drift->drift;
  bt_text text = {0};
  read_lead(unit, of);
  report_drift_short(unit, drift, &text);
  bt_text_add(&text, ". ");
  report_drift_pace(drift, false, &text);
  bt_text_add(&text, of->changed ? " " : "");
  report_drift_level(drift, &text);
  agrees_on_change(of, bt_text_get(&text));
  reads_well(bt_text_get(&text));
  bt_text_clear(&text);
  report_drift_when(unit, drift, &text);
  bt_text_add(&text, of->given > 0 ? " " : "");
  report_drift_past_score(drift, &text);
  agrees_on_forecast(of, bt_text_get(&text));
  reads_well(bt_text_get(&text));
  bt_text_clear(&text);
  report_drift_span(unit, drift, &text);
  bt_text_add(&text, " ");
  report_drift_gas(unit, drift, &text);
  agrees_on_gas(of, bt_text_get(&text));
  reads_well(bt_text_get(&text));
  bt_text_clear(&text);
  report_drift_before(unit, drift, &text);
  cr_expect_eq(text.length > 0, of->window && of->before, "%s", bt_text_get(&text));
  reads_well(bt_text_get(&text));
  bt_text_free(&text);
}

static bt_unit_study *studied(bt_report_request *request) {
  bt_unit_study *unit = made_drift(true, request);
  bt_study *study = unit->studies[0];
  if (study->episodes == NULL || study->episodes_n == 0)
    study->episodes = fixture_filled(1, sizeof *study->episodes);
  unit->drift->drift->causes_n = 0;
  unit->drift->drift->suspected = fixture_filled(2, sizeof *unit->drift->drift->suspected);
  for (size_t i = 0; i < 2; i++)
    unit->drift->drift->suspected[i] = (bt_suspected){.first = 20 + i};
  return unit;
}

Test(drift_grid, what_it_is_and_how_it_stands_beside_the_chart) {
  bt_report_request request;
  bt_unit_study *unit = studied(&request);
  for (unsigned bits = 0; bits < 128; bits++)
    for (int signals = BT_QUIET; signals <= BT_ALARM; signals++) {
      grid of = {.changed = (bits & 1) != 0,
                 .step = (bits & 2) != 0,
                 .rises = (bits & 4) != 0,
                 .open = (bits & 8) != 0,
                 .before = (bits & 16) != 0,
                 .window = (bits & 32) != 0,
                 .adjusted = (bits & 64) != 0,
                 .forecast = BT_FORECAST_NO_DRIFT,
                 .signals = (bt_strength)signals};
      set(unit, &of);
      read(unit, &of);
    }
  unit->drift->drift->suspected_n = 2;
  bt_unit_study_free(unit);
}

Test(drift_grid, when_it_matters) {
  bt_report_request request;
  bt_unit_study *unit = studied(&request);
  for (int use = BT_FORECAST_GIVEN; use <= BT_FORECAST_BEYOND; use++)
    for (unsigned bits = 0; bits < 32; bits++)
      for (size_t given = 0; given <= 2; given++)
        for (size_t sooner = 0; sooner <= given; sooner++) {
          grid of = {.changed = true,
                     .rises = (bits & 1) != 0,
                     .fail_5 = (bits & 2) != 0,
                     .fail_50 = (bits & 2) != 0 && (bits & 4) != 0,
                     .to = (bits & 8) != 0,
                     .step_possible = (bits & 16) != 0,
                     .forecast = use,
                     .adjusted = true,
                     .given = given,
                     .sooner = sooner};
          set(unit, &of);
          read(unit, &of);
        }
  bt_unit_study_free(unit);
}

Test(drift_grid, gas_fills_from_none_to_enough) {
  bt_report_request request;
  bt_unit_study *unit = studied(&request);
  for (size_t before = 0; before <= 3; before++)
    for (size_t since = 0; since <= 3; since++)
      for (size_t suspected = 0; suspected <= 2; suspected++)
        for (unsigned bits = 0; bits < 4; bits++) {
          grid of = {.changed = (bits & 1) != 0,
                     .rises = (bits & 2) != 0,
                     .forecast = BT_FORECAST_NO_DRIFT,
                     .adjusted = true,
                     .fills_before = before,
                     .fills_since = since,
                     .suspected = suspected};
          set(unit, &of);
          read(unit, &of);
        }
  bt_unit_study_free(unit);
}

/* What an event brought back is hedged, and is told of no event that made no difference. */
Test(drift_grid, what_an_event_may_have_brought_back) {
  bt_report_request request;
  bt_unit_study *unit = studied(&request);
  bt_drift *drift = unit->drift->drift;
  grid of = {.window = true, .before = true, .forecast = BT_FORECAST_NO_DRIFT, .adjusted = true};
  drift->events_n = 1;
  drift->events = fixture_filled(1, sizeof *drift->events);
  for (unsigned bits = 0; bits < 16; bits++) {
    bool differs = (bits & 1) != 0, up = (bits & 2) != 0, rises = (bits & 4) != 0;
    bool cleaned = (bits & 8) != 0, back = up != rises;
    of.rises = rises;
    set(unit, &of);
    unit->history.events[0].kind = cleaned ? BT_EVENT_OPTICS_CLEANED : BT_EVENT_SERVICE;
    drift->events[0] = (bt_event_effect){.differs = differs,
                                         .about = {.given = true, .difference = up ? 0.01 : -0.01}};
    bt_text text = {0};
    report_drift_before(unit, drift, &text);
    const char *said = bt_text_get(&text);
    reads_well(said);
    cr_expect_eq(has(said, "the cleaning may have helped"), differs && back && cleaned, "%s", said);
    cr_expect_eq(has(said, "may have brought it back"), differs && back && !cleaned, "%s", said);
    cr_expect_eq(has(said, "another reason on those days is not ruled out"), differs, "%s", said);
    cr_expect_eq(has(said, "which may be chance"), !differs, "%s", said);
    bt_text_free(&text);
  }
  bt_unit_study_free(unit);
}

/* Without a fill of known age the levels take the room of the fills. */
Test(drift_grid, the_page_closes_up_without_fills) {
  for (int known = 0; known < 2; known++) {
    bt_report_request request;
    bt_document document;
    bt_error error;
    bt_unit_study *unit = studied(&request);
    bt_drift *drift = unit->drift->drift;
    if (!known)
      memset(drift->values.known, 0, drift->values.n * sizeof *drift->values.known);
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    const bt_page *page = made_drift_page(&document);
    cr_assert_not_null(page);
    cr_expect_eq(page->panes_n, known ? 2 : 1);
    cr_expect(known || page->panes[0].width > 200, "%g mm", page->panes[0].width);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}
