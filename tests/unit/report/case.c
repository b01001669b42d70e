/* The document of a case: nothing overlaps or leaves the page, whatever there is to tell; what it
 * says of a change, its causes and the days that may be affected. */
#include "fixture.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

typedef struct case_plan {
  size_t events, days, causes;
  bool changed, step, look_back, dioptres, coarse;
  bool older;           /* its first alarm is of before the change, so that its heading is long */
  bool unaged;          /* three points of the baseline lack a fill age */
  bool alone, forecast; /* nothing on a side of an event; of a drift that goes on */
  bool back, earlier;   /* an event of the span, or of before it, brought a change back */
  bool begins_there;    /* the dates of the change hold the events; else it began long before */
  bool line_off;        /* the fitted line was taken off what the events made */
  bool ended;           /* each of them ended a line that is told up to it */
  bool failed, cut;     /* the first check is outside tolerance; and lies before the span */
  bool one_day;         /* the last event is of the day of the one before */
  int self_test; /* 1: that of the last check but one failed; 2: and the next is a repeat at once;
                    3: and its row was corrected in another reading */
} case_plan;

/* What comes before and after an event, however many there are. */
static void add_effects(const bt_unit_study *unit, bt_drift *drift) {
  drift->events = fixture_filled(unit->history.events_n + 1, sizeof *drift->events);
  for (size_t e = 0; e < unit->history.events_n; e++)
    drift->events[drift->events_n++] =
        (bt_event_effect){.event = e,
                          .differs = e % 2 == 0,
                          .about = {.given = e % 2 == 0 || e % 3 != 1,
                                    .before = {20, 1.0001, 0.004},
                                    .after = {18, 0.9913, 0.005},
                                    .as_found = {8, 0.9999, 0.004},
                                    .as_left = {8, 0.9918, 0.005},
                                    .has_interval = true,
                                    .difference = -0.0088,
                                    .low = -0.0118,
                                    .high = -0.0058,
                                    .p = 0.0004,
                                    .has_ratio = true,
                                    .ratio = 1.56,
                                    .ratio_low = 0.6,
                                    .ratio_high = 4.1}};
}

/* A drift that was looked for and found, as a plan has it. */
static bt_unit_drift *drift_of(const bt_unit_study *unit, const case_plan *plan) {
  bt_unit_drift *all = fixture_filled(1, sizeof *all);
  all->drift = fixture_filled(unit->studies_n + 1, sizeof *all->drift);
  for (size_t s = 0; s < unit->studies_n; s++) {
    bt_drift *drift = &all->drift[all->n++];
    drift->characteristic = unit->studies[s]->characteristic;
    drift->study = unit->studies[s];
    drift->use = plan->coarse ? BT_DRIFT_COARSE : BT_DRIFT_LOOKED_AT;
    drift->sigma = 0.0042;
    drift->now = 0.9807;
    drift->now_low = 0.9797;
    drift->now_high = 0.9816;
    drift->from_first = -0.02;
    drift->loss = -1;
    drift->look = (bt_look){.given = true, .n = 351, .charts = 5, .threshold = 20.8};
    drift->change = (bt_change){.n = 351, .likelihood_ratio = 485.6, .from = 20453, .to = 20552};
    drift->moved = (bt_moved){.looked_at = true,
                              .changed = plan->changed,
                              .kind = plan->step ? BT_CHANGE_STEP : BT_CHANGE_HINGE,
                              .sign = -1};
    if (plan->older) {
      drift->change.day = 20500;
      drift->change.open = drift->has_alarm = true;
      drift->alarm_at = 20400 * BT_DAY;
    }
    drift->forecast.use = BT_FORECAST_NO_LIMIT;
    drift->causes_n = plan->causes;
    for (size_t c = 0; c < plan->causes; c++)
      drift->causes[c] = (bt_cause){.kind = (bt_cause_kind)c,
                                    .strength = BT_CAUSE_MODERATE,
                                    .evidence = BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED |
                                                BT_FACT_ENERGY_FALLS | BT_FACT_VOLTAGE_UNCHANGED,
                                    .against = c % 2 == 0 ? 0 : BT_FACT_PLATE_UNCHANGED};
    drift->look_back = (bt_look_back){.last_good = BT_NONE, .days = plan->days};
    drift->look_back_day = fixture_filled(plan->days + 1, sizeof *drift->look_back_day);
    for (size_t d = 0; d < plan->days; d++)
      drift->look_back_day[d] = (20453 + (bt_time)d) * BT_DAY;
    drift->dioptres = (bt_dioptres){.given = plan->dioptres,
                                    .beam = BT_BEAM_GAUSSIAN,
                                    .from = 180,
                                    .to = 176,
                                    .threshold = 50,
                                    .threshold_low = 40,
                                    .threshold_high = 60};
    if (!plan->alone)
      add_effects(unit, drift);
    if (plan->begins_there) {
      drift->moved.from = (double)bt_day_of(unit->history.events[0].time);
      drift->moved.to = drift->moved.from + 400;
    }
    for (size_t e = 0; e < drift->events_n && plan->line_off; e++) {
      drift->events[e].beyond = drift->events[e].about;
      drift->events[e].beyond.difference = -0.0123;
      drift->events[e].moved = plan->ended;
    }
    drift->before.changed = plan->back || plan->earlier;
    drift->before.moved.sign = -1;
    drift->before.change = (bt_change){.from = 20453, .to = 20552};
    drift->window.event = drift->before.event = plan->back ? unit->history.events_n - 1 : 0;
    drift->before.until = unit->history.events[drift->before.event].time;
    if (plan->forecast)
      drift->forecast = (bt_forecast){.use = BT_FORECAST_GIVEN,
                                      .side = BT_LOW,
                                      .limit = 0.96,
                                      .mean_at = 30000,
                                      .mean_from = 29900};
  }
  return all;
}

/* The self-test of the last check but one failed. */
static void fail_selftest(bt_unit_study *unit, const case_plan *of) {
  bt_history *history = &unit->history;
  double **read = &history->reading[BT_READING_SELFTEST_PASSED],
         **all = &history->reading[BT_READING_SELFTEST_TOTAL];
  if (*read == NULL)
    *read = fixture_filled(history->n, sizeof **read);
  if (*all == NULL)
    *all = fixture_filled(history->n, sizeof **all);
  for (size_t i = 0; i < history->n; i++) {
    history->present[i] |= 1U << BT_READING_SELFTEST_PASSED | 1U << BT_READING_SELFTEST_TOTAL;
    (*all)[i] = (*read)[i] = 18;
  }
  if (history->source == NULL)
    history->source = fixture_filled(history->n, sizeof *history->source);
  size_t failed = history->n - 2;
  (*read)[failed] = 17;
  if (of->self_test == 2)
    history->at[failed + 1] = history->at[failed] + 70 * BT_HOUR / 60;
  if (of->self_test != 3)
    return;
  bt_corrections_free(unit->corrections, unit->corrections_n);
  unit->corrections = fixture_filled(1, sizeof *unit->corrections);
  unit->corrections_n = 1;
  unit->corrections[0].time = history->at[failed];
}

/* The document of such a case; no complaint of its pages. Owned. */
static bt_document compose(fixture_plan plan, const case_plan *of, bt_paper paper) {
  bt_report_request request;
  bt_document document;
  bt_error error = {0};
  bt_text complaints = {0};
  plan.events = of->events;
  bt_unit_study *unit = fixture_make(&plan, &request);
  for (size_t s = 0; s < unit->studies_n && of->unaged; s++) {
    bt_segment *segment = &unit->studies[s]->segments[0];
    segment->baseline.adjusted = true;
    segment->chart.n = segment->phase2 - segment->from - segment->exclusions_n - 3;
    for (size_t p = segment->phase2 - 3; p < segment->phase2; p++)
      unit->studies[s]->points.flags[p] &= (uint16_t)~BT_POINT_HAS_AGE;
  }
  bt_history *history = &unit->history;
  if (of->one_day)
    history->events[history->events_n - 1].time = history->events[history->events_n - 2].time;
  if (of->self_test > 0)
    fail_selftest(unit, of);
  unit->drift = drift_of(unit, of);
  bt_time missing[] = {request.from, request.from + BT_DAY};
  bt_case one = {.unit = unit,
                 .from = request.from,
                 .to = request.to,
                 .begins = request.from,
                 .with_look_back = of->look_back,
                 .missing_n = 2,
                 .missing = missing};
  if (of->failed)
    unit->studies[0]->checks.flags[0] |= BT_POINT_OUT_OF_TOLERANCE;
  if (of->failed) {
    one.begins = bt_day_of(unit->studies[0]->checks.at[0]) * BT_DAY;
    one.from = one.begins + (of->cut ? 3 * BT_DAY : 0);
  }
  request.paper = paper;
  cr_assert_eq(bt_report_case(&one, &request, &fixture_measure, &document, &error), BT_OK, "%s",
               error.text);
  fixture_check(&document, &complaints);
  cr_expect_eq(complaints.length, 0, "%zu points, %zu events, paper %d:\n%s", plan.points,
               of->events, paper, bt_text_get(&complaints));
  bt_text_free(&complaints);
  bt_unit_study_free(unit);
  return document;
}

static bool says(const bt_document *document, const char *words) {
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t t = 0; t < document->pages[p].texts_n; t++)
      if (strstr(document->pages[p].texts[t].text, words) != NULL)
        return true;
  return false;
}

Test(case_pages, pages_of_every_size) {
  static const size_t points[] = {0, 1, 10, 150, 500};
  static const case_plan plans[] = {
      {0},
      {.events = 2},
      {.events = 2, .changed = true, .causes = 1, .older = true},
      {.events = 5, .changed = true, .causes = 1, .look_back = true, .days = 3, .dioptres = true},
      {.events = 60,
       .changed = true,
       .step = true,
       .causes = BT_CAUSE_COUNT,
       .look_back = true,
       .days = 400}};
  for (size_t k = 0; k < sizeof plans / sizeof *plans; k++)
    for (size_t i = 0; i < sizeof points / sizeof *points; i++)
      for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
        fixture_plan plan = fixture_usual();
        plan.points = points[i];
        plan.covariates = true;
        plan.alarms = true;
        plan.drift = -0.06;
        plan.note = "a note that is rather long, with <b>&# in it";
        plan.clinic = "A clinic with a name so long that it can't stand on one line of the page, "
                      "however small its letters may be, and so it is cut at the end";
        bt_document document = compose(plan, &plans[k], (bt_paper)paper);
        bt_document_free(&document);
      }
}

Test(case_pages, says_what_since_when_how_sure_and_what_is_asked) {
  const case_plan plan = {.events = 3, .changed = true, .causes = 2, .look_back = true, .days = 4};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  static const char *const words[] = {"falling since",
                                      "A day between",
                                      "values than none does, is 485.6; its threshold is",
                                      "which has not changed passes in fewer than 1 of 20 years",
                                      "0.9807 (0.9797 to 0.9816)",
                                      "What was done",
                                      "What is asked",
                                      "moderate",
                                      "no change of the depth in the test plate is shown",
                                      "4 days: ",
                                      "README.txt says"};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    cr_expect(says(&document, words[i]), "%s", words[i]);
  cr_expect(says(&document, "the spot model of this laser is not declared"));
  cr_expect(says(&document,
                 "Pulse-energy ratio: optics cleaned, ")); /* the page of days about an event */
  cr_expect(says(&document, "0.9913")); /* the mean after, that the difference leads to */
  cr_expect(says(&document, "−0.88\xC2\xA0% (−1.18 to −0.58)"));
  cr_expect(says(&document, "names its line of the clinic’s log. "));
  cr_expect_not(says(&document, " safe "));
  bt_document_free(&document);
}

Test(case_pages, tells_no_days_and_no_causes_that_nobody_asked_for) {
  const case_plan plan = {.events = 3, .changed = false, .days = 4};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  cr_expect_not(says(&document, "4 days: "));
  cr_expect(says(&document, "None is named: nothing changed past its threshold."));
  cr_expect_not(says(&document, "Since when"));
  bt_document_free(&document);
}

/* Each check that failed is named with its line, on a page of its own or beside the table. */
Test(case_pages, lists_each_failed_check) {
  for (int cut = 0; cut < 2; cut++)
    for (size_t causes = 0; causes < 2; causes++) {
      const case_plan plan = {.changed = true, .causes = causes, .failed = true, .cut = cut};
      bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
      cr_expect(says(&document, "Checks outside tolerance, and failed self-tests"));
      cr_expect(says(&document, "typed in by hand"));
      cr_expect(says(&document, "not repeated at once"));
      cr_expect_eq(says(&document, "Before these days, in the folder’s rows: "), cut);
      bt_document_free(&document);
    }
  const case_plan none = {.changed = true};
  bt_document document = compose(fixture_usual(), &none, BT_PAPER_A4);
  cr_expect_not(says(&document, "failed self-tests"));
  cr_expect(says(&document, "Not in the log"));
  bt_document_free(&document);
}

/* No page without a row on it: page 1 says why, and what lies before the span is not denied. */
Test(case_pages, with_nothing_to_compare_there_is_no_page_of_it) {
  for (size_t events = 0; events < 3; events += 2) {
    const case_plan plan = {.events = events, .changed = true, .alone = true};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    cr_expect_not(says(&document, "Before and after"));
    cr_expect_eq(says(&document, "and nothing else that was recorded in these days."), events == 0);
    cr_expect_eq(says(&document, "Too few checks on a side of each to compare"), events > 0);
    bt_document_free(&document);
  }
}

/* A change that an event of the span brought back is told with it; of an earlier one its day. */
Test(case_pages, what_was_brought_back_is_told) {
  for (int earlier = 0; earlier < 2; earlier++) {
    const case_plan plan = {.events = 3, .back = earlier == 0, .earlier = earlier == 1};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    cr_expect(says(&document, "Brought back"));
    cr_expect_eq(says(&document, "it was falling since a day between 31 Dec 2025 and 9 Apr 2026"),
                 !earlier);
    cr_expect_eq(says(&document, "since the one that was brought back, and no alarm"), !earlier);
    cr_expect_eq(says(&document, "Brought back before these days: "), earlier);
    cr_expect_eq(says(&document,
                      "What was named before it stands in a folder of the days up to it: "
                      "“beamtally evidence --unit 'Suite North' --from "),
                 !earlier);
    cr_expect_eq(says(&document, "asks for no cause"), earlier);
    cr_expect_not(says(&document, "--until"));
    bt_document_free(&document);
  }
}

/* No number is cut, and why nothing is compared is said by what was done. */
Test(case_pages, what_an_event_changed_is_printed_whole) {
  fixture_plan usual = fixture_usual();
  usual.characteristic = BT_DEMAND;
  const case_plan plan = {.events = 3};
  bt_document document = compose(usual, &plan, BT_PAPER_LETTER);
  cr_expect(says(&document, "−0.0088 (−0.0118 to −0.0058)"));
  bt_document_free(&document);
}

/* A folder is read later than it is made, and is the same on each day. */
Test(case_pages, a_forecast_says_what_its_past_days_tell) {
  const case_plan plan = {.events = 3, .changed = true, .forecast = true};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  cr_expect(says(&document, "that is past when this is read tells nothing any more"));
  bt_document_free(&document);
}

/* The points of a baseline add up: used, left out, and without a fill age. */
Test(case_pages, points_of_a_baseline_add_up) {
  const case_plan plan = {.events = 2, .unaged = true};
  fixture_plan usual = fixture_usual();
  usual.adjusted = usual.provisional = true;
  bt_document document = compose(usual, &plan, BT_PAPER_A4);
  cr_expect(says(&document, "3 points were left out of the baseline: of unknown fill age."));
  bt_document_free(&document);
}

/* The first page with a text that begins so, from 1; 0: none. */
static size_t page_of(const bt_document *document, const char *words) {
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t t = 0; t < document->pages[p].texts_n; t++)
      if (strncmp(document->pages[p].texts[t].text, words, strlen(words)) == 0)
        return p + 1;
  return 0;
}

/* Causes stand beside the table where it has a page of its own, else behind the charts with what
 * events did; where there is room a section begins no page. */
Test(case_pages, short_sections_share_a_page) {
  const case_plan plan = {.events = 3, .changed = true, .causes = 1};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  size_t causes = page_of(&document, "Likely causes");
  size_t effects = page_of(&document, "Before and after");
  bool own_page = page_of(&document, "Characteristics") == 2; /* of the table */
  cr_expect_eq(causes, own_page ? 2 : effects);
  cr_expect_gt(effects, page_of(&document, "What these days show"));
  cr_expect_eq(page_of(&document, "Method"), effects);
  cr_expect_eq(page_of(&document, "Changes"), page_of(&document, "A step and a hinge"));
  bt_document_free(&document);
}

/* A flat line is a sentence, not a page; one check outside tolerance, and it has its chart. */
Test(case_pages, readings_that_are_all_alike_have_no_chart) {
  for (int failed = 0; failed < 2; failed++) {
    const case_plan plan = {.events = 1, .failed = failed};
    fixture_plan flat = fixture_usual();
    flat.flat = true;
    flat.adjusted = false;
    flat.state = BT_CHART_RESOLUTION;
    bt_document document = compose(flat, &plan, BT_PAPER_A4);
    cr_expect_eq(says(&document, "Without a chart, as these days hold one value alone: "
                                 "Pulse-energy ratio (1.0"),
                 !failed);
    size_t titled = 0;
    for (size_t p = 0; p < document.pages_n; p++)
      titled += strcmp(document.pages[p].title, "Pulse-energy ratio") == 0;
    cr_expect_eq(titled, failed ? 1 : 0);
    bt_document_free(&document);
  }
  const case_plan plan = {.events = 1};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  cr_expect_not(says(&document, "Without a chart"));
  bt_document_free(&document);
}

/* What was not looked at doesn't read as unchanged. */
Test(case_pages, what_was_not_looked_at_is_said_with_its_reason) {
  for (int coarse = 0; coarse < 2; coarse++) {
    const case_plan plan = {.events = 1, .coarse = coarse};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    cr_expect_eq(says(&document, "For drift not looked at: the readings are too coarse"), coarse);
    cr_expect_eq(says(&document, "Likely causes"), !coarse, "no page to say nothing on");
    cr_expect_eq(says(&document, "othing changed past its threshold"), !coarse);
    cr_expect_not(coarse && says(&document, "No change past its threshold"));
    bt_document_free(&document);
  }
}

/* The cautions stand on page 1 with the answers, also where these are many. */
Test(case_pages, the_case_is_one_page) {
  for (int paper = 0; paper < 2; paper++) {
    const case_plan plan = {.events = 9, .changed = true, .forecast = true};
    bt_document document =
        compose(fixture_usual(), &plan, paper == 0 ? BT_PAPER_A4 : BT_PAPER_LETTER);
    cr_expect_eq(page_of(&document, "A chart is no substitute for the laser’s own interlocks"), 1);
    cr_expect_eq(page_of(&document, "The whole log of this laser"), 1);
    bt_document_free(&document);
  }
}

static size_t titled(const bt_document *document, const char *words) {
  size_t n = 0;
  for (size_t p = 0; p < document->pages_n; p++)
    n += strstr(document->pages[p].title, words) != NULL;
  return n;
}

/* What was done on one day is charted and compared once, and all of it is named. */
Test(case_pages, events_of_one_day_are_one) {
  const case_plan apart = {.events = 2, .changed = true};
  const case_plan together = {.events = 2, .changed = true, .one_day = true};
  fixture_plan usual = fixture_usual();
  usual.fills = false;
  bt_document two = compose(usual, &apart, BT_PAPER_A4);
  bt_document one = compose(usual, &together, BT_PAPER_A4);
  size_t before = titled(&two, "Pulse-energy ratio: "),
         after = titled(&one, "Pulse-energy ratio: ");
  cr_expect_eq(before, 1, "one of the two made a difference");
  cr_expect_eq(after, 1);
  cr_expect_eq(titled(&two, " and "), 0);
  cr_expect_eq(titled(&one, "Pulse-energy ratio: optics cleaned and service visit, "), 1);
  cr_expect(says(&one, "Optics cleaned and service visit, "));
  cr_expect_not(says(&two, "Optics cleaned and service visit, "));
  cr_expect(says(&one, "Differences told from chance (p under 0.01, one look each)"));
  bt_document_free(&two);
  bt_document_free(&one);
}

/* A failed self-test has its sentence on page 1, and a row with what came of it. */
Test(case_pages, a_failed_selftest_says_what_came_of_it) {
  static const char *const came[] = {NULL, "next test ", "repeated ", "next test "};
  for (int k = 0; k <= 3; k++) {
    const case_plan plan = {.events = 1, .self_test = k};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    cr_expect_eq(says(&document, " Self-test: 1 failed, on "), k > 0);
    cr_expect_eq(says(&document, "17 of 18 passed"), k > 0);
    cr_expect(k == 0 || (says(&document, came[k]) && says(&document, ": passed")), "%d", k);
    cr_expect_eq(says(&document, "corrected: see superseded_checks.csv"), k == 3);
    bt_document_free(&document);
  }
}

/* A chart's page has what its reader must know; the rest stands under the method. */
Test(case_pages, what_lies_behind_limits_stands_under_the_method) {
  const case_plan plan = {.events = 1, .unaged = true};
  fixture_plan usual = fixture_usual();
  usual.adjusted = usual.provisional = true;
  bt_document document = compose(usual, &plan, BT_PAPER_A4);
  size_t chart = page_of(&document, "Limits are provisional: suggested from the first");
  size_t rest = page_of(&document, "Pulse-energy ratio. ");
  cr_expect(chart > 0 && rest > chart, "%zu %zu", chart, rest);
  bt_document_free(&document);
}

/* The page promises a row with the line taken off: where there is none it says why. */
Test(case_pages, why_a_line_is_not_taken_off_is_said) {
  for (int k = 0; k < 8; k++) {
    const case_plan plan = {.events = 2,
                            .changed = true,
                            .begins_there = (k & 1) != 0,
                            .step = (k & 2) != 0,
                            .line_off = (k & 4) != 0};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    bool none = plan.begins_there && !plan.line_off;
    cr_expect(says(&document, "where it is not, a sentence says why"));
    cr_expect_eq(says(&document, "its fitted line"), plan.line_off, "%d", k);
    cr_expect_eq(says(&document, "Pulse-energy ratio: no line is taken off, as it may have begun "
                                 "on this day or later, and would"),
                 none && !plan.step, "%d", k);
    cr_expect_eq(says(&document,
                      "Pulse-energy ratio: no line is taken off, as it changed in a step, "
                      "which may lie within 30 days of this one."),
                 none && plan.step, "%d", k);
    bt_document_free(&document);
  }
}

/* A line that goes on is taken off what page 1 says that an event made; one that it ended is not.
 */
Test(case_pages, a_line_that_an_event_ended_is_named_so) {
  for (int ended = 0; ended < 2; ended++) {
    const case_plan plan = {.events = 2, .changed = true, .line_off = true, .ended = ended};
    bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
    cr_expect_eq(says(&document, "the line up to it"), ended);
    cr_expect_eq(says(&document, "its fitted line"), !ended);
    cr_expect(says(&document, ended ? ", −0.88\xC2\xA0% (−1.18" : ", −1.23\xC2\xA0% (−1.18"));
    bt_document_free(&document);
  }
}

/* What is open and what the whole span holds are two counts, and say so. */
Test(case_pages, the_table_says_of_what_its_counts_are) {
  const case_plan plan = {.events = 1};
  bt_document document = compose(fixture_usual(), &plan, BT_PAPER_A4);
  cr_expect(says(&document, "Open episodes, from their first day on"));
  cr_expect(says(&document, "Span: alarms, notices"));
  bt_document_free(&document);
}
