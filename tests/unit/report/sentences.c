/* Every sentence over a grid of findings: grammar, forbidden words, and agreement with the lane. */
#include "fixture.h"
#include "report_pages.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* A word of its own: "safety officer" is the name of a person's task, "safe" a claim. */
static bool has_word(const char *text, const char *word) {
  size_t length = strlen(word);
  for (const char *at = text; (at = strstr(at, word)) != NULL; at += length) {
    bool begins = at == text || !isalnum((unsigned char)at[-1]);
    bool ends = !isalnum((unsigned char)at[length]);
    if (begins && ends)
      return true;
  }
  return false;
}

static void check_words(const char *text, const char *what) {
  static const char *const forbidden[] = {"since",  "safe",   "Safe",  "OK",  "ok",
                                          "steady", "Steady", "nan",   "inf", "-nan",
                                          "(null)", "e-05",   "stable"};
  for (size_t i = 0; i < sizeof forbidden / sizeof *forbidden; i++)
    cr_expect_not(has_word(text, forbidden[i]), "%s: \"%s\" in: %s", what, forbidden[i], text);
  static const char *const slips[] = {" 1 points", " 1 checks", "All 1 ",      "(1 points",
                                      " 1 rules",  " 1 events", "point were",  "points was",
                                      "checks is", " 1 days",   " ,",          " .",
                                      "..",        " -0.",      " 1 log files"};
  for (size_t i = 0; i < sizeof slips / sizeof *slips; i++)
    cr_expect_null(strstr(text, slips[i]), "%s: \"%s\" in: %s", what, slips[i], text);
  cr_expect(bt_utf8_valid(text, strlen(text)), "%s", what);
}

/* Every text of every page; the method speaks of all units alike, the gas page has its own. */
static void read_pages(const fixture_plan *plan, const char *what) {
  bt_report_request request;
  bt_error error = {0};
  bt_document document;
  bt_unit_study *unit = fixture_make(plan, &request);
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK, "%s",
               error.text);
  for (size_t p = 0; p < document.pages_n; p++)
    for (size_t i = 0; i < document.pages[p].texts_n; i++) {
      const char *text = document.pages[p].texts[i].text;
      cr_expect_neq(*text, '\0', "%s: an empty text on %s", what, document.pages[p].name);
      if (strncmp(document.pages[p].name, "method", strlen("method")) != 0 &&
          strstr(text, "pale bar: since the last one") == NULL)
        check_words(text, what);
    }
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

static void check_sentence(const char *text, const char *what) {
  check_words(text, what);
  cr_expect_null(strstr(text, "  "), "%s: double blank in: %s", what, text);
  size_t length = strlen(text);
  if (length > 0)
    cr_expect_eq(text[length - 1], '.', "%s: no full stop: %s", what, text);
}

/* What the lane of the shown span holds. */
static size_t signalling(const bt_study *of, bt_time from, bt_time to) {
  size_t n = 0;
  for (size_t i = 0; i < of->points.n; i++)
    n += of->points.at[i] >= from && of->points.at[i] < to &&
         (of->rules[BT_LOW][i] | of->rules[BT_HIGH][i]) != 0;
  return n;
}

static bool is_judged(const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  return segment != NULL && segment->state == BT_CHART_DRAWN;
}

static void agrees_with_lane(const bt_study *of, bt_time from, bt_time to, const char *text,
                             const char *what) {
  size_t n = signalling(of, from, to);
  bool says_none = strstr(text, "No rule signalled") != NULL;
  bool says_some = strstr(text, "Signals on the") != NULL || strstr(text, "signalled at") != NULL;
  cr_expect_not(says_none && n > 0, "%s: %zu points signal: %s", what, n, text);
  if (is_judged(of) && n > 0)
    cr_expect(says_some, "%s: %zu points signal: %s", what, n, text);
  if (is_judged(of) && bt_study_open_episode(of) == NULL)
    cr_expect_null(strstr(text, "Signals on the"), "%s: %s", what, text);
  bool all_inside =
      strstr(text, "are inside tolerance") != NULL || strstr(text, "is inside tolerance") != NULL;
  cr_expect_eq(all_inside, of->tolerance.judged > 0 && of->tolerance.outside == 0, "%s: %s", what,
               text);
  if (of->tolerance.outside > 0)
    cr_expect_not_null(strstr(text, "outside tolerance"), "%s: %s", what, text);
}

static void read_study(const fixture_plan *plan, const char *what) {
  bt_report_request request;
  bt_unit_study *unit = fixture_make(plan, &request);
  bt_text rare = {0}, alarms = {0};
  report_rare_words(unit, &rare);
  check_words(bt_text_get(&rare), what);
  report_alarm_words(unit, &alarms);
  check_words(bt_text_get(&alarms), what);
  bt_text_free(&rare);
  bt_text_free(&alarms);
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    report_words shows = {0}, basis = {0}, failing = {0};
    report_shows(unit, of, REPORT_SPEAKS_OF_LOG, request.from, request.to, &shows);
    check_sentence(bt_text_get(&shows.text), what);
    agrees_with_lane(of, request.from, request.to, bt_text_get(&shows.text), what);
    bt_text banner = {0};
    report_banner_words(unit, of->verdict, of, &banner);
    check_words(bt_text_get(&banner), what);
    cr_expect_not(strstr(bt_text_get(&banner), "NO SIGNAL IN THE LOG") != NULL &&
                      of->episodes_n > 0,
                  "%s: %zu episodes", what, of->episodes_n);
    bt_text_free(&banner);
    report_basis(of, &basis);
    check_sentence(bt_text_get(&basis.text), what);
    report_failing_morning(unit, &failing);
    check_sentence(bt_text_get(&failing.text), what);
    for (size_t i = 0; i < shows.strong_n; i++)
      cr_expect(shows.strong[i].from < shows.strong[i].to &&
                shows.strong[i].to <= shows.text.length);
    report_words_free(&shows);
    report_words_free(&basis);
    report_words_free(&failing);
  }
  bt_unit_study_free(unit);
}

Test(sentences, over_a_grid) {
  static const size_t points[] = {0, 1, 2, 8, 9, 30, 228};
  static const double drifts[] = {0, -0.02, 0.03, -0.3};
  for (size_t n = 0; n < sizeof points / sizeof *points; n++)
    for (size_t d = 0; d < sizeof drifts / sizeof *drifts; d++)
      for (unsigned bits = 0; bits < 64; bits++) {
        fixture_plan plan = fixture_usual();
        char what[96];
        plan.points = points[n];
        plan.drift = drifts[d];
        plan.tolerance = (bits & 1) != 0;
        plan.tolerance_half = (bits & 2) != 0 ? 7 : 2.6;
        plan.baseline_n = (bits & 4) != 0 ? (points[n] < 78 ? 8 : 78) : 0;
        plan.provisional = plan.restarted = (bits & 8) != 0;
        plan.adjusted = plan.fills = (bits & 16) != 0;
        plan.autocorrelated = plan.coarse = plan.covariates = (bits & 32) != 0;
        plan.unknown_age = (bits & 8) != 0 ? 2 : 0;
        plan.flat = (bits & 44) == 44;
        plan.resolved = (bits & 1) != 0;
        plan.within = (bits & 2) != 0;
        plan.accepted = (bits & 4) != 0;
        plan.drifting = (bits & 8) != 0;
        plan.first = plan.refit = (bits & 16) != 0;
        plan.alarms = (bits & 48) != 0;
        plan.concluded = (bits & 32) != 0 ? 1 : 0;
        plan.capable = (bits & 3) == 3;
        plan.failures = bits % 9;
        plan.state = plan.flat ? BT_CHART_RESOLUTION : BT_CHART_DRAWN;
        (void)snprintf(what, sizeof what, "%zu points, drift %g, bits %u", points[n], drifts[d],
                       bits);
        read_study(&plan, what);
        if ((n + d + bits) % 11 == 0)
          read_pages(&plan, what);
      }
}

Test(sentences, screens_have_80_columns_and_clean_words) {
  for (unsigned bits = 0; bits < 32; bits++) {
    fixture_plan plan = fixture_usual();
    plan.points = (bits & 1) != 0 ? 228 : (bits >> 1) % 4;
    plan.drift = (bits & 2) != 0 ? -0.05 : 0;
    plan.tolerance = (bits & 4) != 0;
    plan.tolerance_half = (bits & 8) != 0 ? 3 : 8;
    plan.selftest_failed = plan.covariates = (bits & 16) != 0;
    plan.alarms = plan.within = plan.first = (bits & 8) != 0;
    plan.concluded = bits % 3;
    plan.alone = bits % 2;
    if ((bits & 16) != 0)
      plan.unit = "Operating room \xC2\xB5 of a name that goes on until it is longer than eighty "
                  "columns wide, and more";
    bt_report_request request;
    bt_error error = {0};
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_text screens[2] = {0};
    cr_assert_eq(bt_report_status(unit, false, &screens[0], &error), BT_OK);
    cr_assert_eq(
        bt_report_analysis(unit, unit->studies[0], INT64_MIN, INT64_MAX, &screens[1], &error),
        BT_OK);
    for (int k = 0; k < 2; k++) {
      check_words(bt_text_get(&screens[k]), "screen");
      char *rest = screens[k].data;
      for (char *line = strtok(rest, "\n"); line != NULL; line = strtok(NULL, "\n"))
        cr_expect(report_columns(line) <= 80, "%zu columns: %s", report_columns(line), line);
      bt_text_free(&screens[k]);
    }
    bt_unit_study_free(unit);
  }
}

/* Section 8 of the design, word for word. */
static const char failing_text[] =
    "Follow the instructions for use and your failure procedure; the responsible person decides "
    "about treatment; do not rely on this program.";

static bool page_says(const bt_page *page, const char *words) {
  for (size_t i = 0; i < page->texts_n; i++)
    if (strstr(page->texts[i].text, words) != NULL)
      return true;
  return false;
}

Test(sentences, a_failing_morning_says_what_to_do) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.3;
  plan.tolerance_half = 3;
  plan.tell = "the physicist on call";
  bt_report_request request;
  bt_error error = {0};
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  cr_assert_eq(unit->verdict, BT_VERDICT_OUT_OF_TOLERANCE);
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  size_t charts = 0; /* the summary and the characteristics; behind them stand pages of text */
  while (charts < document.pages_n &&
         strcmp(document.pages[charts].name, report_selftest_place(unit, &request)) != 0)
    charts++;
  cr_assert_eq(charts, unit->studies_n + 1);
  for (size_t p = 0; p < document.pages_n; p++)
    cr_expect(page_says(&document.pages[p], report_caution));
  for (size_t p = 0; p < charts; p++) {
    cr_expect(page_says(&document.pages[p], failing_text));
    cr_expect(page_says(&document.pages[p], "within 60 minutes is a retest"));
    cr_expect(page_says(&document.pages[p], "the physicist on call"));
    cr_expect(page_says(&document.pages[p], "OUT OF TOLERANCE"));
  }
  cr_expect(page_says(&document.pages[0], "toxic fluorine"));
  bt_document_free(&document);
  bt_text screen = {0}, joined = {0};
  cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
  for (const char *at = bt_text_get(&screen); *at != '\0'; at++)
    bt_text_add_bytes(&joined, *at == '\n' ? " " : at, 1);
  cr_expect_not_null(strstr(bt_text_get(&joined), failing_text));
  bt_text_free(&screen);
  bt_text_free(&joined);
  bt_unit_study_free(unit);
}

Test(sentences, colour_only_repeats_the_words) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.05;
  bt_report_request request;
  bt_error error = {0};
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text plain = {0}, coloured = {0}, stripped = {0};
  cr_assert_eq(bt_report_status(unit, false, &plain, &error), BT_OK);
  cr_assert_eq(bt_report_status(unit, true, &coloured, &error), BT_OK);
  cr_expect_null(strchr(bt_text_get(&plain), '\033'));
  cr_expect_not_null(strchr(bt_text_get(&coloured), '\033'));
  for (const char *at = bt_text_get(&coloured); *at != '\0'; at++) {
    if (*at == '\033')
      at = strchr(at, 'm');
    else
      bt_text_add_bytes(&stripped, at, 1);
  }
  cr_expect_str_eq(bt_text_get(&stripped), bt_text_get(&plain));
  bt_text_free(&plain);
  bt_text_free(&coloured);
  bt_text_free(&stripped);
  bt_unit_study_free(unit);
}
