/* Pages of every size of data: nothing overlaps, nothing leaves the page, and what a page claims
 * stands on it. */
#include "fixture.h"
#include "report_pages.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const size_t sizes[] = {0, 1, 2, 10, 150, 500, 5000};
enum { SIZES = sizeof sizes / sizeof *sizes };

static void no_complaint(const fixture_plan *plan, const char *name) {
  for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
    bt_report_request request;
    bt_document document;
    bt_error error = {0};
    bt_text complaints = {0};
    bt_unit_study *unit = fixture_make(plan, &request);
    request.paper = (bt_paper)paper;
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK, "%s",
                 error.text);
    fixture_check(&document, &complaints);
    size_t page = 1;
    for (size_t i = 0; i < unit->studies_n; i++)
      if (report_has_chart_page(unit->studies[i], &request))
        fixture_check_limits(unit->studies[i], &document.pages[page++], &complaints);
    cr_expect_str_eq(document.pages[page].name, report_selftest_place(unit, &request),
                     "%s: a page too many or few", name);
    bt_unit_study_free(unit);
    cr_expect_eq(complaints.length, 0, "%s, %zu points, paper %d:\n%s", name, plan->points, paper,
                 bt_text_get(&complaints));
    bt_text_free(&complaints);
    bt_document_free(&document);
  }
}

static void of_every_size(fixture_plan plan, const char *name) {
  for (size_t i = 0; i < SIZES; i++) {
    plan.points = sizes[i];
    plan.shown_days = sizes[i] > 200 ? (size_t)(1.2 * (double)sizes[i]) : 150;
    no_complaint(&plan, name);
  }
}

Test(pages, usual) {
  fixture_plan plan = fixture_usual();
  plan.covariates = true;
  of_every_size(plan, "usual");
}

Test(pages, falling_out_of_tolerance) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.08;
  plan.tolerance_half = 3.5;
  plan.retests = 2;
  of_every_size(plan, "falling");
}

Test(pages, rising_without_tolerance_baseline_or_fills) {
  fixture_plan plan = fixture_usual();
  plan.drift = 0.05;
  plan.tolerance = plan.fills = plan.adjusted = false;
  of_every_size(plan, "no tolerance");
  plan.baseline_n = 0;
  of_every_size(plan, "no baseline");
  plan.events = 0;
  of_every_size(plan, "nothing done");
}

Test(pages, sigma_zero) {
  fixture_plan plan = fixture_usual();
  plan.flat = true;
  plan.adjusted = false;
  of_every_size(plan, "flat");
  plan.state = BT_CHART_RESOLUTION;
  of_every_size(plan, "too coarse");
}

Test(pages, each_characteristic) {
  fixture_plan plan = fixture_usual();
  plan.adjusted = false;
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    plan.characteristic = (bt_characteristic)c;
    plan.state =
        bt_characteristic_is_covariate(plan.characteristic) ? BT_CHART_COVARIATE : BT_CHART_DRAWN;
    for (double scale = 1; scale < 2e6; scale *= 1000) {
      plan.centre = -3.5 * scale;
      plan.sigma = 0.02 * scale;
      no_complaint(&plan, bt_characteristic_key(plan.characteristic));
    }
  }
}

/* The clinic's own stand like any other, however they are called. */
Test(pages, characteristics_of_the_clinics_own) {
  static char brief[] = "N", title[] = "Door closing force", key[] = "Door_Force", none[] = "";
  static char endless[] = "A characteristic whose title goes on and on until it is far longer than "
                          "any line of a page or of a screen could ever hold, and then some more, "
                          "with a few words at the end, and these are they, at last, all of them";
  fixture_plan plan = fixture_usual();
  plan.adjusted = false;
  plan.characteristic = BT_CHARACTERISTIC_COUNT;
  plan.own = (bt_own_characteristic){.key = key, .title = title, .unit = brief, .decimals = 1};
  plan.centre = 35;
  plan.sigma = 1.5;
  bt_document document;
  fixture_compose(&plan, BT_PAPER_A4, &document);
  cr_expect_str_eq(document.pages[1].name, "own-1");
  cr_expect_str_eq(document.pages[1].title, "Door closing force");
  bool title_said = false, unit_said = false;
  for (size_t i = 0; i < document.pages[1].texts_n; i++) {
    title_said |= strcmp(document.pages[1].texts[i].text, "Door closing force") == 0;
    unit_said |= strstr(document.pages[1].texts[i].text, "35.0 ± 1.5\xC2\xA0N") != NULL;
  }
  cr_expect(title_said && unit_said);
  bt_document_free(&document);
  of_every_size(plan, "own");
  plan.own.title = plan.own.unit = endless;
  of_every_size(plan, "own, endless names");
  plan.own.unit = none;
  plan.own.decimals = 0;
  of_every_size(plan, "own, no unit");
}

/* Names as long as people give them are set whole, smaller where they must be. */
Test(pages, names_of_eighty_letters_are_whole) {
  static char title[] = "Homogeneity of the beam, <b>by hand</b> &#65; with the second of two "
                        "test plates";
  static char key[] = "plates", arbitrary[] = "arb. units";
  fixture_plan plan = fixture_usual();
  plan.unit = "A laser with <b>&# in a name of eighty letters, in the second suite to the east";
  plan.clinic = "A clinic with <b>&# in a name of eighty letters, by the river and near a bridge";
  plan.source = "instructions for use <b>&#, section 7.2, page 114, as amended by a later letter";
  plan.adjusted = false;
  plan.drift = -0.08;
  plan.tolerance_half = 3.5;
  plan.characteristic = BT_CHARACTERISTIC_COUNT;
  plan.own = (bt_own_characteristic){.key = key, .title = title, .unit = arbitrary, .decimals = 1};
  for (plan.copies = 0; plan.copies <= 16; plan.copies += 4)
    for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
      bt_document document;
      no_complaint(&plan, "eighty letters");
      fixture_compose(&plan, (bt_paper)paper, &document);
      for (size_t p = 0; p < document.pages_n; p++)
        for (size_t i = 0; i < document.pages[p].texts_n; i++)
          cr_expect_null(strstr(document.pages[p].texts[i].text, "…"), "page %zu: %s", p + 1,
                         document.pages[p].texts[i].text);
      bt_document_free(&document);
    }
}

/* A month that nobody checked in, seen when it is over. */
Test(pages, month_without_a_check) {
  fixture_plan plan = fixture_usual();
  for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
    bt_report_request request;
    bt_document document;
    bt_error error = {0};
    bt_text complaints = {0};
    bt_unit_study *unit = fixture_make(&plan, &request);
    request.paper = (bt_paper)paper;
    request.month = bt_month_start(request.month, 2);
    request.to = unit->until = bt_month_start(request.month, 1);
    unit->current = false;
    unit->expected_days = 4;
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    fixture_check(&document, &complaints);
    cr_expect_eq(complaints.length, 0, "paper %d:\n%s", paper, bt_text_get(&complaints));
    bt_text_free(&complaints);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

Test(pages, crowded_events) {
  fixture_plan plan = fixture_usual();
  plan.note = "a note that is rather long, with <b>&# in it";
  for (size_t events = 0; events <= 60; events += events < 12 ? 1 : 12) {
    plan.events = events;
    no_complaint(&plan, "events");
  }
}

Test(pages, wild_readings) {
  fixture_plan plan = fixture_usual();
  for (plan.wild = 1; plan.wild < 40; plan.wild += 6)
    no_complaint(&plan, "wild");
}

Test(pages, long_and_odd_names) {
  fixture_plan plan = fixture_usual();
  plan.unit =
      "Operating room \xC2\xB5 <b>&# of a name that goes on until it is eighty letters long, x";
  plan.clinic =
      "Clinic <b>&# with a name so long that it can't stand on one line of the page, however "
      "small its letters may be, and so it is cut";
  plan.source =
      "instructions for use, section 7.2, third paragraph of the annex, <b>&#, as amended "
      "by the letter of the maker, and its enclosures, and by hand";
  plan.frozen_by = "a person whose name is <b>&# and long";
  plan.tell = "a list of people that is long enough to fill a line and more: first, second, third, "
              "fourth, fifth, sixth";
  plan.selftest_failed = true;
  plan.drift = -0.1;
  plan.tolerance_half = 3;
  of_every_size(plan, "odd names");
  plan.unit = "Operatingroomofanameinonewordthatgoesonuntilitiseightyletterslongandhasnoblanksxx";
  plan.source = plan.unit;
  of_every_size(plan, "one word");
}

Test(pages, every_doubt_at_once) {
  fixture_plan plan = fixture_usual();
  plan.baseline_n = 9;
  plan.provisional = plan.coarse = plan.autocorrelated = plan.restarted = true;
  plan.two_segments = true;
  plan.unknown_age = 5;
  plan.drift = -0.03;
  of_every_size(plan, "doubts");
}

static fixture_plan everything(void) {
  fixture_plan plan = fixture_usual();
  plan.alarms = plan.within = plan.first = plan.refit = plan.capable = plan.drifting = true;
  plan.restarted = plan.resolved = plan.covariates = true;
  plan.drift = -0.06;
  plan.concluded = 2;
  plan.alone = 2;
  plan.corrections = 6;
  plan.failures = 7;
  plan.held_back = 3;
  plan.clinic = "Eye Clinic Example";
  return plan;
}

Test(pages, alarms_spread_capability_and_decisions) {
  fixture_plan plan = everything();
  of_every_size(plan, "everything");
  plan.provisional = true;
  of_every_size(plan, "everything, provisional");
  plan.provisional = false;
  plan.accepted = plan.autocorrelated = plan.coarse = plan.two_segments = true;
  plan.tolerance_half = 3.5;
  of_every_size(plan, "everything, with all doubts");
}

Test(pages, offsets_as_they_lie) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_VECTOR;
  plan.centre = 6;
  plan.sigma = 3;
  plan.adjusted = plan.tolerance = false;
  for (int k = 0; k < 4; k++) {
    plan.axes = k > 0;
    plan.alarms = plan.refit = k > 1;
    plan.wild = k == 3 ? 5 : 0;
    plan.two_segments = k == 3;
    of_every_size(plan, "T²");
  }
}

/* The worst of many characteristics are listed, the others counted. */
Test(pages, many_characteristics) {
  fixture_plan plan = fixture_usual();
  plan.points = 60;
  plan.baseline_n = 30;
  for (plan.copies = 11; plan.copies < 42; plan.copies += 5)
    no_complaint(&plan, "many");
  bt_report_request request;
  bt_document document;
  bt_error error = {0};
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *last = unit->studies[unit->studies_n - 1];
  last->verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  last->quantity.title = "The last one";
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  bool listed = false, counted = false;
  char rest[80];
  (void)snprintf(rest, sizeof rest, "and %zu more characteristics, each with its page",
                 unit->studies_n - 13);
  for (size_t i = 0; i < document.pages[0].texts_n; i++) {
    listed |= strcmp(document.pages[0].texts[i].text, "The last one") == 0;
    counted |= strcmp(document.pages[0].texts[i].text, rest) == 0;
  }
  cr_expect(listed && counted);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* Lists that are too long keep their newest entries and count the rest. */
Test(pages, long_records) {
  fixture_plan plan = everything();
  for (plan.corrections = 0; plan.corrections < 120; plan.corrections += 17) {
    plan.alone = plan.corrections / 4;
    plan.failures = plan.corrections / 3;
    plan.points = 2000;
    plan.shown_days = 2400;
    no_complaint(&plan, "record");
  }
}

Test(pages, short_and_long_spans) {
  fixture_plan plan = fixture_usual();
  static const size_t days[] = {1, 2, 5, 14, 31, 45, 62, 90, 200, 366, 400, 1000, 4000, 9000};
  for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
    plan.shown_days = days[i];
    no_complaint(&plan, "span");
  }
}

Test(pages, span_that_ends_before_it_begins_is_refused) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_document document;
  bt_error error = {0};
  bt_unit_study *unit = fixture_make(&plan, &request);
  request.to = request.from;
  cr_expect_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_USAGE);
  cr_expect(strlen(error.text) > 0);
  bt_unit_study_free(unit);
}

/* ---- The checker itself ---------------------------------------------------------------------- */

Test(pages, checker_sees_what_is_wrong) {
  fixture_plan plan = fixture_usual();
  for (int fault = 0; fault < 5; fault++) {
    bt_document document;
    bt_text complaints = {0};
    fixture_compose(&plan, BT_PAPER_A4, &document);
    bt_page *page = &document.pages[1];
    bt_page_text *text = &page->texts[2];
    if (fault == 0)
      text->x = page->texts[1].x, text->y = page->texts[1].y;
    else if (fault == 1)
      text->x = 290;
    else if (fault == 2)
      text->x = page->panes[1].x + 20, text->y = page->panes[1].y + 5;
    else if (fault == 3)
      page->panes[1].lines[0].y[0] = 1e6;
    else
      page->panes[2].y = page->panes[1].y;
    fixture_check(&document, &complaints);
    cr_expect(complaints.length > 0, "fault %d went unseen", fault);
    bt_text_free(&complaints);
    bt_document_free(&document);
  }
}

/* However many characteristics are flagged and fail: what to do next never runs into what stands
 * below it. */
Test(pages, a_full_summary_keeps_its_foot_free) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.06;
  plan.tolerance_half = 4;
  plan.alarms = true;
  for (plan.copies = 5; plan.copies < 11; plan.copies++)
    no_complaint(&plan, "a full summary");
}
