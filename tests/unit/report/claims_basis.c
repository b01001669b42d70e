/* What pages and screens say of baselines, rooms and retests is what the findings hold. */
#include "fixture.h"
#include "report_sentences.h"
#include "said.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

static char *basis_of(const bt_study *of) {
  report_words words = {0};
  report_basis(of, &words);
  char *taken = bt_text_take(&words.text);
  report_words_free(&words);
  cr_assert_not_null(taken);
  return taken;
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

Test(claims_basis, autocorrelation_says_what_its_sign_means) {
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
Test(claims_basis, likeness_of_neighbours_is_no_matter_of_the_radius) {
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

Test(claims_basis, a_room_condition_is_never_judged) {
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
  bt_text said = said_of(unit, &request);
  said_never(&said, "Follow the instructions for use");
  said_never(&said, "OUT OF TOLERANCE");
  said_never(&said, "tolerance 20");
  said_never(&said, "first on 27 Sep 2026");
  said_never(&said, "flagged");
  said_is(&said, "NO SIGNAL IN THE LOG to 27 Sep 2026");
  said_never(&said, "NO OPEN SIGNAL");
  bt_text_free(&said);
  said = said_of_one(unit, room, &request);
  said_is(&said, "NOT JUDGED");
  said_is(&said, "neither rules nor a tolerance judge them.");
  said_never(&said, "outside");
  said_never(&said, "alarm");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Retests --------------------------------------------------------------------------------- */

Test(claims_basis, without_times_of_day_no_retest_is_told) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.3;
  plan.tolerance_half = 3;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text said = said_of(unit, &request);
  said_is(&said, "never averaged");
  bt_text_free(&said);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->checks.n; i++)
    of->checks.flags[i] |= BT_POINT_NO_CLOCK;
  for (size_t i = 0; i < unit->history.n; i++)
    unit->history.has_clock[i] = 0;
  said = said_of(unit, &request);
  said_is(&said, "Follow the instructions for use");
  said_is(&said, "log the time of day");
  said_never(&said, "never averaged");
  said_never(&said, "within 60 minutes");
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

Test(claims_basis, points_left_out_say_why) {
  static const int beyond[] = {1}, outside[] = {0, 0}, mixed[] = {0, 1, 2};
  bt_unit_study *unit = with_exclusions(1, beyond, true);
  bt_text said = said_of(unit, &request);
  said_is(&said, "suggested from the first 78 points");
  said_is(&said, "77 of them used, frozen by nobody yet.");
  said_is(&said, "1 point was left out of the baseline: beyond 3σ.");
  said_is(&said, "n\xC2\xA0=\xC2\xA0"
                 "77 of 78");
  said_never(&said, "first 77 points");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = with_exclusions(2, outside, false);
  said = said_of(unit, &request);
  said_is(&said, "2 points were left out of the baseline: outside tolerance.");
  said_never(&said, "beyond 3σ");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = with_exclusions(3, mixed, false);
  said = said_of(unit, &request);
  said_is(&said, "3 points were left out of the baseline: 1 outside tolerance, 2 beyond 3σ.");
  bt_text_free(&said);

  unit->studies[0]->segments[0].refit.differs = true; /* they are those of the freeze */
  said = said_of(unit, &request);
  said_is(&said, "3 points were left out of the baseline: 1 outside tolerance, 2 beyond 3σ.");
  bt_text_free(&said);

  bt_refit *refit = &unit->studies[0]->segments[0].refit; /* most were withdrawn since */
  refit->n = 5;
  refit->given = false;
  said = said_of(unit, &request);
  said_is(&said, "no limits could be taken from its 5 points now. Those drawn stay");
  said_never(&said, "the limits would be");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* Days of one check are judged by limits of means of three. */
Test(claims_basis, days_of_few_checks_are_told) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  bt_text said = said_of(unit, &request);
  said_never(&said, "half as many checks");
  bt_text_free(&said);
  for (size_t p = 0; p < of->points.n; p++)
    of->points.checks[p] = 3;
  said = said_of(unit, &request);
  said_never(&said, "half as many checks");
  bt_text_free(&said);
  of->points.checks[of->points.n - 1] = 1;
  said = said_of(unit, &request);
  said_is(&said, "1 of the points judged is the mean of half as many checks as is usual in the "
                 "baseline, or fewer");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims_basis, stated_limits_are_neither_provisional_nor_a_baseline) {
  fixture_plan plan = fixture_usual();
  plan.provisional = plan.autocorrelated = true;
  plan.adjusted = false;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_segment *segment = &unit->studies[0]->segments[0];
  segment->stated = true;
  segment->phase2 = segment->from;
  segment->chart.n = 0;
  segment->chart.df = 0;
  bt_text said = said_of(unit, &request);
  said_is(&said, "Centre and sigma were stated for this analysis.");
  said_is(&said, "stated, not estimated");
  said_never(&said, "rovisional");
  said_never(&said, "Baseline");
  said_never(&said, "autocorrelation");
  said_never(&said, "baseline");
  bt_text_free(&said);
  segment->chart.n = 78;
  segment->phase2 = segment->from + 78;
  said = said_of(unit, &request);
  said_is(&said, "Centre or sigma was stated for this analysis; the other comes from 78 points");
  said_never(&said, "rovisional");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* 78 points, 5 of them not used: each of the 5 has its reason. */
Test(claims_basis, points_of_unknown_age_are_counted_among_those_left_out) {
  static const int mixed[] = {0, 1};
  bt_unit_study *unit = with_exclusions(2, mixed, true);
  bt_study *of = unit->studies[0];
  bt_segment *segment = &of->segments[0];
  segment->slope.use = BT_AGE_USED;
  for (size_t p = segment->from; p < segment->phase2; p++)
    of->points.flags[p] |= BT_POINT_HAS_AGE;
  for (size_t p = 1; p < 5; p++) /* the second is left out for its value already */
    of->points.flags[p] &= (uint16_t)~BT_POINT_HAS_AGE;
  segment->chart.n -= 3;
  char *basis = basis_of(of);
  cr_expect_not_null(strstr(basis, "from the first 78 points"), "%s", basis);
  cr_expect_not_null(strstr(basis, "73 of them used"), "%s", basis);
  cr_expect_not_null(strstr(basis, "5 points were left out of the baseline: 1 outside tolerance, 1 "
                                   "beyond 3σ, 3 of unknown fill age."),
                     "%s", basis);
  free(basis);
  segment->slope.use = BT_AGE_NO_FILLS; /* nothing is moved: no age is asked for */
  basis = basis_of(of);
  cr_expect_null(strstr(basis, "fill age."), "%s", basis);
  free(basis);
  bt_unit_study_free(unit);
}

/* ---- Words for whoever knows no statistics --------------------------------------------------- */

/* Its page says what T² is, and how often its limit is passed by chance. */
Test(claims_basis, t2_says_what_it_is) {
  for (int vector = 0; vector < 2; vector++) {
    fixture_plan plan = fixture_usual();
    plan.characteristic = vector ? BT_TRACKER_VECTOR : BT_TRACKER_X;
    plan.adjusted = plan.tolerance = false;
    plan.centre = 6;
    plan.sigma = 3;
    plan.axes = vector;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_text said = said_of(unit, &request);
    cr_expect_eq(said_times(&said, "T² tells how far an offset lies from its usual place") > 0,
                 vector);
    cr_expect_eq(said_times(&said, "Limit of T², passed by chance at 0.27 % of the later points") >
                     0,
                 vector);
    said_never(&said, "pooled");
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* A log that grew or was mended counts once, in words that need no explanation. */
Test(claims_basis, a_log_that_was_imported_again) {
  for (int files = 1; files < 3; files++) {
    fixture_plan plan = fixture_usual();
    bt_unit_study *unit = fixture_make(&plan, &request);
    unit->provenance.sources = files;
    unit->provenance.sources_again = 1;
    bt_text said = said_of(unit, &request);
    said_is(&said, files == 1 ? "1 log file (imported again, grown or mended), "
                              : "2 log files (1 of them imported again, grown or mended), ");
    said_never(&said, "versions)");
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}
