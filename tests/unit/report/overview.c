/* The comparison of all units: every row of every size keeps to its page, says what the unit's
 * verdict is, and stands in its place. */
#include "fixture.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bt_error error;

static void add(bt_overview_row *rows, size_t *n, fixture_plan plan, const char *file,
                bt_report_request *request) {
  bt_unit_study *unit = fixture_make(&plan, request);
  cr_assert_eq(bt_overview_row_make(unit, request, file, &rows[(*n)++], &error), BT_OK, "%s",
               error.text);
  bt_unit_study_free(unit);
}

static void compose(bt_overview_row *rows, size_t n, const bt_report_request *request,
                    bt_document *document) {
  bt_text complaints = {0};
  cr_assert_eq(bt_report_overview(rows, n, "A clinic", "0123456789abcdef0123", request,
                                  &fixture_measure, document, &error),
               BT_OK, "%s", error.text);
  fixture_check(document, &complaints);
  cr_expect_str_eq(bt_text_get(&complaints), "");
  bt_text_free(&complaints);
  for (size_t i = 0; i < n; i++)
    bt_overview_row_free(&rows[i]);
}

/* The texts of all pages, a line each, owned. */
static char *said(const bt_document *document) {
  bt_text text = {0};
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t i = 0; i < document->pages[p].texts_n; i++)
      bt_text_format(&text, "%s\n", document->pages[p].texts[i].text);
  return bt_text_take(&text);
}

static size_t panes(const bt_document *document) {
  size_t n = 0;
  for (size_t p = 0; p < document->pages_n; p++)
    n += document->pages[p].panes_n;
  return n;
}

Test(overview, the_worst_verdict_first_with_what_its_report_says) {
  bt_overview_row rows[3];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  fixture_plan plan = fixture_usual();
  plan.unit = "Steady one";
  plan.drift = 0;
  add(rows, &n, plan, "steady-one-2026-09.pdf", &request);
  plan.unit = "Failing";
  plan.selftest_failed = true;
  add(rows, &n, plan, "failing-2026-09.pdf", &request);
  plan = fixture_usual();
  plan.unit = "Drifting";
  plan.drift = 0.3;
  plan.tolerance_half = 400;
  add(rows, &n, plan, "drifting-2026-09.pdf", &request);
  compose(rows, n, &request, &document);
  char *text = said(&document);
  cr_expect_not_null(strstr(text, "The worst verdict is that of Failing: SELF-TEST FAILED."), "%s",
                     text);
  const char *failing = strstr(text, "\nFailing\nSELF-TEST FAILED\n"),
             *drifting = strstr(text, "\nDrifting\n"), *steady = strstr(text, "\nSteady one\n");
  cr_assert(failing != NULL && drifting != NULL && steady != NULL, "%s", text);
  cr_expect(failing < drifting && drifting < steady, "%s", text);
  static const char *const words[] = {"Ledger 0123 4567 89ab cdef 0123.",
                                      "3 units, the worst verdict first; of equal ones",
                                      "draft, not issued: failing-2026-09.pdf",
                                      "▲ Pulse-energy ratio: ",
                                      "none open",
                                      "toxic fluorine gas",
                                      "Comparison, not issued · page 1 of 1"};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    cr_expect_not_null(strstr(text, words[i]), "\"%s\" is not in: %s", words[i], text);
  cr_expect_str_eq(document.title, "All units, September 2026");
  cr_expect_eq(panes(&document), 3);
  free(text);
  bt_document_free(&document);
}

/* Of issued reports each row names its revision; one draft among them leaves it a draft. */
/* A log that is behind hides no alarm, and an alarm that comes first is told once. */
Test(overview, an_alarm_is_told_beside_a_log_that_is_behind) {
  static const char alarm[] = "tell the manufacturer’s engineer";
  for (int behind = 0; behind < 2; behind++) {
    bt_overview_row row;
    bt_report_request request;
    bt_document document;
    fixture_plan plan = fixture_usual();
    plan.drift = 0.3;
    plan.alarms = true;
    plan.tolerance_half = 400;
    bt_unit_study *unit = fixture_make(&plan, &request);
    if (behind == 1) {
      unit->current = false;
      unit->expected_days = 3;
      unit->until = unit->last_check - unit->last_check % BT_DAY + 6 * BT_DAY;
      unit->verdict = BT_VERDICT_NO_CURRENT_CHECK;
    }
    cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
    bt_unit_study_free(unit);
    compose(&row, 1, &request, &document);
    char *text = said(&document), *told = strstr(text, alarm);
    cr_assert_not_null(told, "%s", text);
    cr_expect_null(strstr(told + strlen(alarm), alarm), "%s", text);
    cr_expect_eq(strstr(text, "import the newer log") != NULL, behind == 1, "%s", text);
    free(text);
    bt_document_free(&document);
  }
}

Test(overview, the_revision_of_each_report_is_named) {
  for (int drafts = 0; drafts < 2; drafts++) {
    bt_overview_row rows[2];
    bt_report_request request;
    bt_document document;
    size_t n = 0;
    fixture_plan plan = fixture_usual();
    for (int u = 0; u < 2; u++) {
      bt_unit_study *unit = fixture_make(&plan, &request);
      request.revision = u == 0 ? 3 : drafts == 0 ? 1 : 0;
      cr_assert_eq(bt_overview_row_make(unit, &request, "a.pdf", &rows[n++], &error), BT_OK);
      bt_unit_study_free(unit);
    }
    compose(rows, n, &request, &document);
    char *text = said(&document);
    cr_expect_not_null(strstr(text, "revision 3, issued: a.pdf"), "%s", text);
    cr_expect_eq(strstr(text, "revision 1, issued: a.pdf") != NULL, drafts == 0, "%s", text);
    cr_expect_not_null(strstr(text, drafts == 0 ? "Comparison of issued reports · page"
                                                : "Comparison, not issued · page"),
                       "%s", text);
    free(text);
    bt_document_free(&document);
  }
}

/* Each chart has a mark for each failed check that it shows, at the edge where it lies beyond. */
Test(overview, failed_checks_are_marked) {
  bt_overview_row rows[2];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  fixture_plan plan = fixture_usual();
  plan.drift = 0.3;
  add(rows, &n, plan, NULL, &request);
  size_t failed = 0;
  for (size_t i = 0; i < rows[0].n; i++)
    failed += rows[0].outside[i] != 0;
  cr_assert_geq(failed, 1);
  compose(rows, n, &request, &document);
  const bt_pane *pane = &document.pages[0].panes[0];
  cr_assert_eq(pane->marks_n, 1);
  cr_expect_eq(pane->marks[0].n, failed);
  for (size_t i = 0; i < pane->marks[0].n; i++)
    cr_expect(pane->marks[0].y[i] > pane->y_low && pane->marks[0].y[i] < pane->y_high);
  cr_expect_eq(pane->levels_n, 3, "centre and both tolerance limits");
  bt_document_free(&document);
}

/* No tolerance, no baseline, another characteristic, one check, none in the span; long names; and
 * so many units that they need several pages. */
Test(overview, units_of_every_kind_keep_to_their_pages) {
  enum { UNITS = 40 };
  bt_overview_row rows[UNITS];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  char names[UNITS][96];
  for (size_t i = 0; i < UNITS; i++) {
    fixture_plan plan = fixture_usual();
    (void)snprintf(names[i], sizeof names[i], "Unit %zu%s", i,
                   i % 7 == 3 ? " with a name that goes on until nobody would type it again" : "");
    plan.unit = names[i];
    plan.points = i % 5 == 0 ? 1 : i % 5 == 1 ? 0 : 150;
    plan.baseline_n = plan.points < 150 ? 0 : 60;
    plan.tolerance = i % 3 != 0;
    plan.one_sided = i % 6 == 1;
    plan.flat = i % 11 == 4;
    plan.alarms = i % 4 == 2;
    plan.copies = i % 9 == 2 ? 6 : 0;
    if (i % 8 == 5)
      plan.characteristic = BT_FLUENCE;
    add(rows, &n, plan, i % 2 == 0 ? names[i] : NULL, &request);
  }
  compose(rows, n, &request, &document);
  cr_expect_geq(document.pages_n, 3);
  for (size_t p = 0; p < document.pages_n; p++) {
    size_t scales = 0;
    for (size_t i = 0; i < document.pages[p].texts_n; i++)
      scales += strncmp(document.pages[p].texts[i].text, "each from ", 10) == 0;
    cr_expect_eq(scales, document.pages[p].panes_n > 0, "page %zu", p + 1);
  }
  char *text = said(&document);
  for (size_t i = 0; i < UNITS; i++)
    cr_expect_not_null(strstr(text, names[i]), "%s", names[i]);
  cr_expect_not_null(strstr(text, "no pulse-energy ratio in this span"));
  cr_expect_not_null(strstr(text, "40 units"));
  free(text);
  bt_document_free(&document);
}

/* Where no tolerance holds the scale open, a level that drifted away is seen all the same. */
Test(overview, the_scale_reaches_to_the_level_of_now) {
  bt_overview_row rows[2];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  fixture_plan plan = fixture_usual();
  plan.tolerance = false;
  plan.drift = 0;
  add(rows, &n, plan, NULL, &request);
  cr_assert_gt(rows[0].n, 8);
  double level = rows[0].centre - 9 * rows[0].sigma;
  for (size_t i = rows[0].n - 8; i < rows[0].n; i++)
    rows[0].ratio[i] = level;
  compose(rows, n, &request, &document);
  cr_expect_lt(document.pages[0].panes[0].y_low, level);
  bt_document_free(&document);
}

/* A line of one point draws nothing, so a single check is a dot. */
Test(overview, a_single_check_is_a_dot) {
  bt_overview_row rows[1];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  fixture_plan plan = fixture_usual();
  add(rows, &n, plan, NULL, &request);
  cr_assert_gt(rows[0].n, 0);
  rows[0].n = 1;
  compose(rows, n, &request, &document);
  cr_assert_eq(panes(&document), 1);
  const bt_pane *pane = &document.pages[0].panes[0];
  cr_assert_gt(pane->marks_n, 0);
  cr_expect_eq(pane->marks[0].shape, BT_SHAPE_DOT);
  cr_expect_eq(pane->marks[0].n, 1);
  bt_document_free(&document);
}

/* Without a reading there is neither a chart nor a scale. */
Test(overview, without_readings_no_scale_is_told) {
  bt_overview_row rows[1];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  fixture_plan plan = fixture_usual();
  plan.points = 0;
  plan.baseline_n = 0;
  plan.tolerance = false;
  add(rows, &n, plan, NULL, &request);
  compose(rows, n, &request, &document);
  char *text = said(&document);
  cr_expect_null(strstr(text, "scale from"), "%s", text);
  cr_expect_not_null(strstr(text, "no pulse-energy ratio in this span"), "%s", text);
  cr_expect_eq(panes(&document), 0);
  free(text);
  bt_document_free(&document);
}

/* Then by how far off they are: beyond tolerance before σ. */
Test(overview, equal_verdicts_stand_by_how_far_off_they_are) {
  static const struct {
    const char *unit;
    bt_deviation off;
  } made[] = {{"A near", {.beyond = 0.1, .sigmas = 9}},
              {"B inside", {.sigmas = 2}},
              {"C far", {.beyond = 0.4, .sigmas = 1}},
              {"D inside", {.sigmas = 3}}};
  enum { UNITS = 4 };
  static const char *const order[UNITS] = {"\nC far\n", "\nA near\n", "\nD inside\n",
                                           "\nB inside\n"};
  bt_overview_row rows[UNITS];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  for (size_t i = 0; i < UNITS; i++) {
    fixture_plan plan = fixture_usual();
    plan.unit = made[i].unit;
    add(rows, &n, plan, "a.pdf", &request);
    rows[i].off = made[i].off;
  }
  compose(rows, n, &request, &document);
  char *text = said(&document);
  const char *before = text;
  for (size_t i = 0; i < UNITS; i++) {
    const char *row = strstr(text, order[i]);
    cr_assert_not_null(row, "%s in %s", order[i], text);
    cr_expect_gt(row, before, "%s", order[i]);
    before = row;
  }
  free(text);
  bt_document_free(&document);
}

/* Among equal verdicts by what is open, then by name; all of the worst kind are named. */
Test(overview, equal_verdicts_stand_by_what_is_open) {
  static const struct {
    const char *unit;
    bt_ink ink;
  } made[] = {{"A quiet", BT_INK_TEXT},
              {"B notice", BT_INK_NOTICE},
              {"D alarm", BT_INK_ALARM},
              {"C alarm", BT_INK_ALARM}};
  enum { UNITS = 4 };
  static const char *const order[UNITS] = {"\nC alarm\n", "\nD alarm\n", "\nB notice\n",
                                           "\nA quiet\n"};
  bt_overview_row rows[UNITS];
  bt_report_request request;
  bt_document document;
  size_t n = 0;
  for (size_t i = 0; i < UNITS; i++) {
    fixture_plan plan = fixture_usual();
    plan.unit = made[i].unit;
    add(rows, &n, plan, "a.pdf", &request);
    rows[i].rank = BT_VERDICT_NO_TOLERANCE;
    rows[i].ink = made[i].ink;
  }
  compose(rows, n, &request, &document);
  char *text = said(&document);
  cr_expect_not_null(strstr(text, " C alarm and D alarm: "), "%s", text);
  const char *before = text;
  for (size_t i = 0; i < UNITS; i++) {
    const char *row = strstr(text, order[i]);
    cr_assert_not_null(row, "%s in %s", order[i], text);
    cr_expect_gt(row, before, "%s", order[i]);
    before = row;
  }
  free(text);
  bt_document_free(&document);
}
