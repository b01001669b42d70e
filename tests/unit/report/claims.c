/* What pages and screens claim is what the findings hold, case by case. */
#include "fixture.h"
#include "report_room.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* All that is said of a unit: its pages, its screen, and the analysis of each study; wrapped lines
 * joined. Owned. */
static bt_text said_of(const bt_unit_study *unit) {
  bt_text all = {0}, joined = {0};
  bt_error error = {0};
  bt_document document;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t p = 0; p < document.pages_n; p++)
    for (size_t i = 0; i < document.pages[p].texts_n; i++)
      bt_text_format(&all, "%s\n", document.pages[p].texts[i].text);
  bt_document_free(&document);
  cr_assert_eq(bt_report_status(unit, false, &all, &error), BT_OK);
  for (size_t i = 0; i < unit->studies_n; i++)
    cr_assert_eq(bt_report_analysis(unit, unit->studies[i], INT64_MIN, INT64_MAX, &all, &error),
                 BT_OK);
  bool blank = false;
  for (const char *at = bt_text_get(&all); *at != '\0'; at++) {
    bool here = *at == '\n' || *at == ' ';
    if (!here || !blank)
      bt_text_add_bytes(&joined, here ? " " : at, 1);
    blank = here;
  }
  bt_text_free(&all);
  return joined;
}

static size_t times(const bt_text *said, const char *words) {
  size_t n = 0;
  for (const char *at = bt_text_get(said); (at = strstr(at, words)) != NULL; at++)
    n++;
  return n;
}

static void says(const bt_text *said, const char *words) {
  cr_expect(times(said, words) > 0, "not said: %s\n%s", words, bt_text_get(said));
}

static void never_says(const bt_text *said, const char *words) {
  cr_expect(times(said, words) == 0, "said: %s\n%s", words, bt_text_get(said));
}

static char *basis_of(const bt_study *of) {
  report_words words = {0};
  report_basis(of, &words);
  char *taken = bt_text_take(&words.text);
  report_words_free(&words);
  cr_assert_not_null(taken);
  return taken;
}

/* ---- Limits ---------------------------------------------------------------------------------- */

Test(claims, the_radius_shows_the_limit_that_judges) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_RADIAL;
  plan.adjusted = false;
  plan.centre = 12;
  plan.sigma = 2; /* judged by 16.8; the 3-sigma limit would be 18 */
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text said = said_of(unit);
  says(&said, "limit 16.8");
  says(&said, "Limit of the radius (99.73 %) 16.8");
  says(&said, "Limit of the radius (99.73 %): 16.8");
  never_says(&said, "18.0\xC2\xA0");
  never_says(&said, "limit 18");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Tolerance ------------------------------------------------------------------------------- */

/* Only the last `judged` checks were made while a tolerance was in force. */
static bt_unit_study *judged_late(size_t judged, size_t outside) {
  fixture_plan plan = fixture_usual();
  plan.points = 80;
  plan.baseline_n = 40;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_tolerance_finding *finding = &unit->studies[0]->tolerance;
  finding->judged = judged;
  finding->outside = outside;
  finding->last_outside = outside > 0 ? 70 : BT_NONE;
  finding->last_is_outside = false;
  return unit;
}

Test(claims, only_checks_under_a_tolerance_count) {
  bt_unit_study *unit = judged_late(21, 0);
  bt_text said = said_of(unit);
  says(&said, "All 21 checks made under a tolerance (of 80 in the log) are inside tolerance.");
  cr_expect_eq(times(&said, "inside, 21 of 80 judged"), 2, "table and screen");
  never_says(&said, "21 checks in the log");
  never_says(&said, "21 of 21");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(1, 0);
  said = said_of(unit);
  says(&said, "The one check made under a tolerance (of 80 in the log) is inside tolerance.");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(21, 2);
  said = said_of(unit);
  says(&said, "2 of 21 checks made under a tolerance (of 80 in the log) are outside tolerance");
  cr_expect_eq(times(&said, "2 of 21 outside, 80 in log"), 2, "table and screen");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(80, 0);
  said = said_of(unit);
  says(&said, "All 80 checks in the log are inside tolerance.");
  cr_expect_eq(times(&said, "inside, 80 of 80"), 2, "table and screen");
  never_says(&said, "of 80 judged");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, a_last_check_outside_names_how_many_were_judged) {
  bt_unit_study *unit = judged_late(21, 2);
  bt_study *of = unit->studies[0];
  of->tolerance.last_outside = of->checks.n - 1;
  of->tolerance.last_is_outside = true;
  bt_text said = said_of(unit);
  says(&said, "in all, 2 of 21 checks made under a tolerance (of 80 in the log).");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Sides ----------------------------------------------------------------------------------- */

/* A quiet study with the given bits at its last point but `before`. */
static void signal_at(bt_study *of, bt_side side, size_t before, uint8_t bits) {
  size_t i = of->points.n - 1 - before;
  of->rules[side][i] |= bits;
  bt_strength strength = (bits & BT_TOLERANCE_FAILED) != 0 ? BT_ALARM : BT_NOTICE;
  if (of->strength[i] < (uint8_t)strength)
    of->strength[i] = (uint8_t)strength;
  of->episodes[of->episodes_n++] = (bt_episode){
      .side = side, .strength = strength, .first = i, .last = i, .signals = 1, .rules = bits};
  of->verdict = strength == BT_ALARM || of->verdict == BT_VERDICT_ALARM ? BT_VERDICT_ALARM
                                                                        : BT_VERDICT_NOTICE;
}

static bt_unit_study *quiet(void) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->points.n; i++)
    of->rules[BT_LOW][i] = of->rules[BT_HIGH][i] = of->strength[i] = 0;
  of->episodes_n = of->cusum.excursions_n = 0;
  of->verdict = BT_VERDICT_NO_SIGNAL;
  return unit;
}

Test(claims, a_banner_states_the_side_and_no_direction) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 0, BT_WE1);
  bt_text said = said_of(unit);
  says(&said, "▼ NOTICE · low side");
  says(&said, "flagged low at one point, 27 Sep 2026");
  never_says(&said, "rising");
  never_says(&said, "falling");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = quiet();
  signal_at(unit->studies[0], BT_HIGH, 2, BT_TOLERANCE_FAILED);
  said = said_of(unit);
  says(&said, "▲ ALARM · high side");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, both_sides_are_both_named) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 3, BT_WE1);
  signal_at(unit->studies[0], BT_HIGH, 1, BT_WE4);
  bt_text said = said_of(unit);
  says(&said, "▲▼ NOTICE · both sides");
  says(&said, "flagged low at one point, high at one, first 23 Sep 2026");
  says(&said, "Signals on the low side: “1\xC2\xA0>\xC2\xA0"
              "3σ”, at one point");
  says(&said, "Signals on the high side: “8\xC2\xA0one\xC2\xA0side”, at one point");
  never_says(&said, "other signal");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, the_table_holds_its_words_whole) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  bt_error error = {0};
  bt_document document;
  signal_at(of, BT_LOW, 3, BT_WE1);
  signal_at(of, BT_HIGH, 1, BT_WE4);
  of->episodes[0].signals = 141;
  of->episodes[1].signals = 22;
  of->tolerance.judged = 219;
  of->tolerance.outside = 12;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  bool state = false, tolerance = false;
  for (size_t i = 0; i < document.pages[0].texts_n; i++) {
    const char *text = document.pages[0].texts[i].text;
    cr_expect_null(strstr(text, "…"), "%s", text);
    state |= strcmp(text, "flagged low at 141 points, high at 22, first 23 Sep 2026") == 0;
    tolerance |= strcmp(text, "12 of 219 outside, 228 in log") == 0;
  }
  cr_expect(state && tolerance);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* A notice on the other side doesn't share the alarm. */
Test(claims, an_alarm_names_the_side_of_the_alarm) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 3, BT_TOLERANCE_FAILED);
  signal_at(unit->studies[0], BT_HIGH, 1, BT_WE1);
  bt_text said = said_of(unit);
  says(&said, "▼ ALARM · low side");
  never_says(&said, "both sides");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* What is past is no side of what is open. */
Test(claims, a_past_signal_is_no_open_side) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_HIGH, 40, BT_TOLERANCE_FAILED);
  signal_at(unit->studies[0], BT_LOW, 1, BT_WE1);
  unit->studies[0]->verdict = BT_VERDICT_NOTICE;
  bt_text said = said_of(unit);
  says(&said, "▼ NOTICE · low side");
  never_says(&said, "both sides");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Autocorrelation ------------------------------------------------------------------------- */

static char *basis_with(bt_autocorrelation found, double df) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_segment *segment = &unit->studies[0]->segments[0];
  segment->autocorrelation = found;
  segment->chart.df = df;
  char *basis = basis_of(unit->studies[0]);
  bt_unit_study_free(unit);
  return basis;
}

Test(claims, autocorrelation_says_what_its_sign_means) {
  bt_autocorrelation alike = {.n = 78, .lag1 = 0.41, .bound = 0.22, .high = 0.63, .exceeded = true};
  bt_autocorrelation unlike = {
      .n = 78, .lag1 = -0.41, .bound = 0.22, .high = -0.19, .exceeded = true};
  bt_autocorrelation unsure = {.n = 60, .lag1 = 0.1, .bound = 0.25, .high = 0.35, .exceeded = true};
  char *basis = basis_with(alike, 40);
  cr_expect_not_null(strstr(basis, "are alike (lag-1 autocorrelation 0.41): false signals will be "
                                   "more frequent than the tables say."),
                     "%s", basis);
  free(basis);
  basis = basis_with(unlike, 40);
  cr_expect_not_null(strstr(basis, "are unlike (lag-1 autocorrelation \xE2\x88\x92"
                                   "0.41): sigma, which comes from their differences, is too "
                                   "large, so the chart sees less."),
                     "%s", basis);
  cr_expect_null(strstr(basis, "frequent"), "%s", basis);
  free(basis);
  basis = basis_with(unlike, 0);
  cr_expect_not_null(strstr(basis, "are unlike"), "%s", basis);
  cr_expect_null(strstr(basis, "sigma, which"), "a stated sigma comes from no differences");
  free(basis);
  basis = basis_with(unsure, 40);
  cr_expect_not_null(strstr(basis, "It cannot be ruled out that neighbouring points of the "
                                   "baseline are alike (lag-1 autocorrelation 0.10, perhaps up to "
                                   "0.35)"),
                     "%s", basis);
  cr_expect_null(strstr(basis, "will be"), "%s", basis);
  free(basis);
}

/* One limit at a quantile signals as often whether neighbours are alike or not. */
Test(claims, likeness_of_neighbours_is_no_matter_of_the_radius) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_RADIAL;
  plan.adjusted = false;
  plan.autocorrelated = true;
  bt_unit_study *unit = fixture_make(&plan, &request);
  char *basis = basis_of(unit->studies[0]);
  cr_expect_null(strstr(basis, "alike"), "%s", basis);
  free(basis);
  bt_unit_study_free(unit);
}

/* ---- Room conditions ------------------------------------------------------------------------- */

Test(claims, a_room_condition_is_never_judged) {
  fixture_plan plan = fixture_usual();
  plan.covariates = true;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *room = unit->studies[1];
  /* As though a tolerance of the room had failed. */
  size_t last = room->points.n - 1;
  bt_tolerance tolerance = {.characteristic = BT_TEMPERATURE, .has_high = true, .high = 20};
  room->tolerance = (bt_tolerance_finding){.now = &tolerance,
                                           .judged = room->checks.n,
                                           .outside = 1,
                                           .last_outside = room->checks.n - 1,
                                           .last_is_outside = true};
  room->rules[BT_HIGH][last] = BT_TOLERANCE_FAILED;
  room->strength[last] = BT_ALARM;
  room->episodes[room->episodes_n++] = (bt_episode){.side = BT_HIGH,
                                                    .strength = BT_ALARM,
                                                    .first = last,
                                                    .last = last,
                                                    .signals = 1,
                                                    .rules = BT_TOLERANCE_FAILED};
  room->verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  unit->studies[0]->episodes_n = 0;
  unit->verdict = unit->studies[0]->verdict = BT_VERDICT_NO_SIGNAL;
  bt_text said = said_of(unit);
  says(&said, "NOT JUDGED");
  says(&said, "neither rules nor a tolerance judge them.");
  never_says(&said, "outside");
  never_says(&said, "Follow the instructions for use");
  never_says(&said, "OUT OF TOLERANCE");
  never_says(&said, "tolerance 20");
  never_says(&said, "first on 27 Sep 2026");
  never_says(&said, "flagged");
  says(&said, "NO SIGNAL IN THE LOG to 27 Sep 2026");
  never_says(&said, "NO OPEN SIGNAL");
  never_says(&said, "alarm");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Retests --------------------------------------------------------------------------------- */

Test(claims, without_times_of_day_no_retest_is_told) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.3;
  plan.tolerance_half = 3;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text said = said_of(unit);
  says(&said, "never averaged");
  bt_text_free(&said);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->checks.n; i++)
    of->checks.flags[i] |= BT_POINT_NO_CLOCK;
  for (size_t i = 0; i < unit->history.n; i++)
    unit->history.has_clock[i] = 0;
  said = said_of(unit);
  says(&said, "Follow the instructions for use");
  says(&said, "log the time of day");
  never_says(&said, "never averaged");
  never_says(&said, "within 60 minutes");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Baselines ------------------------------------------------------------------------------- */

static bt_unit_study *with_exclusions(size_t n, const int *passes, bool provisional) {
  fixture_plan plan = fixture_usual();
  plan.provisional = provisional;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_segment *segment = &unit->studies[0]->segments[0];
  segment->exclusions = fixture_filled(n, sizeof *segment->exclusions);
  segment->exclusions_n = n;
  for (size_t i = 0; i < n; i++)
    segment->exclusions[i] = (bt_exclusion){.point = i, .pass = passes[i], .z = 4};
  segment->chart.n -= n;
  return unit;
}

Test(claims, points_left_out_say_why) {
  static const int beyond[] = {1}, outside[] = {0, 0}, mixed[] = {0, 1, 2};
  bt_unit_study *unit = with_exclusions(1, beyond, true);
  bt_text said = said_of(unit);
  says(&said, "suggested from the first 78 points");
  says(&said, "77 of them used, frozen by nobody yet.");
  says(&said, "1 point was left out of the baseline: beyond 3σ.");
  says(&said, "n\xC2\xA0=\xC2\xA0"
              "77 of 78");
  never_says(&said, "first 77 points");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = with_exclusions(2, outside, false);
  said = said_of(unit);
  says(&said, "2 points were left out of the baseline: outside tolerance.");
  never_says(&said, "beyond 3σ");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = with_exclusions(3, mixed, false);
  said = said_of(unit);
  says(&said, "3 points were left out of the baseline: 1 outside tolerance, 2 beyond 3σ.");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, stated_limits_are_neither_provisional_nor_a_baseline) {
  fixture_plan plan = fixture_usual();
  plan.provisional = plan.autocorrelated = true;
  plan.adjusted = false;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_segment *segment = &unit->studies[0]->segments[0];
  segment->stated = true;
  segment->phase2 = segment->from;
  segment->chart.n = 0;
  segment->chart.df = 0;
  bt_text said = said_of(unit);
  says(&said, "Centre and sigma were stated for this analysis.");
  says(&said, "stated, not estimated");
  never_says(&said, "rovisional");
  never_says(&said, "Baseline");
  never_says(&said, "autocorrelation");
  never_says(&said, "baseline");
  bt_text_free(&said);
  segment->chart.n = 78;
  segment->phase2 = segment->from + 78;
  said = said_of(unit);
  says(&said, "Centre or sigma was stated for this analysis; the other comes from 78 points");
  never_says(&said, "rovisional");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}
