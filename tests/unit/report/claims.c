/* What pages and screens claim is what the findings hold: limits, tolerance, sides. */
#include "fixture.h"
#include "report_sentences.h"
#include "said.h"

#include <criterion/criterion.h>
#include <string.h>

static bt_report_request request;

/* ---- Limits ---------------------------------------------------------------------------------- */

Test(claims, the_radius_shows_the_limit_that_judges) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_RADIAL;
  plan.adjusted = false;
  plan.centre = 12;
  plan.sigma = 2; /* judged by 16.8; the 3-sigma limit would be 18 */
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text said = said_of(unit, &request);
  said_is(&said, "limit 16.8");
  said_is(&said, "Limit of the radius (99.73 %) 16.8");
  said_is(&said, "Limit of the radius (99.73 %): 16.8");
  said_never(&said, "18.0\xC2\xA0");
  said_never(&said, "limit 18");
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
  bt_text said = said_of(unit, &request);
  said_is(&said, "All 21 checks made under a tolerance (of 80 in the log) are inside tolerance.");
  cr_expect_eq(said_times(&said, "inside, 21 of 80 judged"), 2, "table and screen");
  said_never(&said, "21 checks in the log");
  said_never(&said, "21 of 21");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(1, 0);
  said = said_of(unit, &request);
  said_is(&said, "The one check made under a tolerance (of 80 in the log) is inside tolerance.");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(21, 2);
  said = said_of(unit, &request);
  said_is(&said, "2 of 21 checks made under a tolerance (of 80 in the log) are outside tolerance");
  cr_expect_eq(said_times(&said, "2 of 21 outside, 80 in log"), 1, "screen");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = judged_late(80, 0);
  said = said_of(unit, &request);
  said_is(&said, "All 80 checks in the log are inside tolerance.");
  cr_expect_eq(said_times(&said, "inside, 80 of 80"), 1, "screen");
  cr_expect_eq(said_times(&said, "all 80 inside"), 1, "table");
  said_never(&said, "of 80 judged");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, a_last_check_outside_names_how_many_were_judged) {
  bt_unit_study *unit = judged_late(21, 2);
  bt_study *of = unit->studies[0];
  of->tolerance.last_outside = of->checks.n - 1;
  of->tolerance.last_is_outside = true;
  bt_text said = said_of(unit, &request);
  said_is(&said, "in all, 2 of 21 checks made under a tolerance (of 80 in the log).");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Sides ----------------------------------------------------------------------------------- */

/* A quiet study with the given bits at its last point but `before`. */
static void signal_at(bt_study *of, bt_side side, size_t before, bt_rules bits) {
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

/* One word has one meaning: what is open is called by its side's last points, on the badge as in
 * the line of its episode; an alarm that has passed says so, also beside one of the other side. */
Test(claims, an_episode_is_called_by_what_is_open_now) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  signal_at(of, BT_LOW, 0, BT_WE4);
  of->episodes[0].first = of->points.n - 30;
  of->episodes[0].strength = BT_ALARM; /* once, and long ago */
  of->episodes[0].rules |= BT_ALARM_LIMIT;
  bt_text said = said_of(unit, &request);
  said_is(&said, "▼ NOTICE · low side");
  cr_expect_eq(said_times(&said, ", open notice (alarm earlier), low side"), 1, "the screen");
  cr_expect_geq(said_times(&said, "open notice (alarm earlier), low side, 1 point"), 2,
                "the page of decisions and the analysis");
  said_is(&said, "(Pulse-energy ratio, notice (alarm earlier), low side)");
  said_never(&said, "open alarm");
  bt_text_free(&said);
  signal_at(of, BT_HIGH, 1, BT_ALARM_LIMIT);
  of->strength[of->points.n - 2] = BT_ALARM;
  of->episodes[1].strength = BT_ALARM;
  of->verdict = BT_VERDICT_ALARM;
  said = said_of(unit, &request);
  said_is(&said, "▲ ALARM · high side");
  said_is(&said, "open notice (alarm earlier), low side");
  said_is(&said, "open alarm, high side");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, an_alarm_that_is_past_says_so) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 40, BT_TOLERANCE_FAILED);
  unit->studies[0]->verdict = BT_VERDICT_NO_SIGNAL;
  bt_text said = said_of(unit, &request);
  said_is(&said, "past alarm, low side, 1 point");
  said_never(&said, "open alarm");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, a_banner_states_the_side_and_no_direction) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 0, BT_WE1);
  bt_text said = said_of(unit, &request);
  said_is(&said, "▼ NOTICE · low side");
  said_is(&said, "one low signal, 27 Sep 2026");
  said_never(&said, "rising");
  said_never(&said, "falling");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  unit = quiet();
  signal_at(unit->studies[0], BT_HIGH, 2, BT_TOLERANCE_FAILED);
  said = said_of(unit, &request);
  said_is(&said, "▲ ALARM · high side");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims, both_sides_are_both_named) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 3, BT_WE1);
  signal_at(unit->studies[0], BT_HIGH, 1, BT_WE4);
  bt_text said = said_of(unit, &request);
  said_is(&said, "▲▼ NOTICE · both sides");
  said_is(&said, "one low signal, one high signal, first 23 Sep 2026");
  said_is(&said, "Signals on the low side: “1\xC2\xA0>\xC2\xA0"
                 "3σ”, at one point");
  said_is(&said, "Signals on the high side: “8\xC2\xA0one\xC2\xA0side”, at one point");
  said_never(&said, "other signal");
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
  of->tolerance.last_outside = of->checks.n - 2;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  bool state = false, tolerance = false, judged = false;
  for (size_t i = 0; i < document.pages[0].texts_n; i++) {
    const char *text = document.pages[0].texts[i].text;
    cr_expect_null(strstr(text, "…"), "%s", text);
    state |= strcmp(text, "▲▼ 141 low signals, 22 high signals, first 23 Sep 2026") == 0;
    tolerance |= strcmp(text, "0.9706 \xE2\x80\x93 1.0294") == 0;
    judged |= strcmp(text, "12 of 219 outside, last 26 Sep 2026") == 0;
  }
  cr_expect(state && tolerance && judged, "%d %d %d", state, tolerance, judged);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* The newest `n` days but the last have a check outside tolerance. */
static bt_text said_of_failures(size_t n) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  size_t last = of->checks.n - 2;
  for (size_t i = 0; i < n; i++)
    of->checks.flags[last - i] |= BT_POINT_OUT_OF_TOLERANCE;
  of->tolerance.outside = n;
  of->tolerance.last_outside = n > 0 ? last : BT_NONE;
  bt_text said = said_of(unit, &request);
  bt_unit_study_free(unit);
  return said;
}

Test(claims, the_summary_names_the_days_that_failed) {
  bt_text said = said_of_failures(0);
  said_never(&said, "Outside tolerance");
  bt_text_free(&said);
  said = said_of_failures(1);
  said_is(&said, "1 of 228 outside, 26 Sep 2026");
  said_never(&said, "Outside tolerance Pulse");
  bt_text_free(&said);
  said = said_of_failures(3);
  said_is(&said, "3 of 228 outside, last 26 Sep 2026");
  said_is(&said,
          "Outside tolerance Pulse-energy ratio: 26 Sep 2026, 25 Sep 2026, 23 Sep 2026 Self-test");
  bt_text_free(&said);
  said = said_of_failures(7);
  said_is(&said, "20 Sep 2026 and 1 day before, the first 19 Sep 2026");
  bt_text_free(&said);
  said = said_of_failures(9);
  said_is(&said, "20 Sep 2026 and 3 days before, the first 16 Sep 2026");
  bt_text_free(&said);
}

/* A notice on the other side doesn't share the alarm. */
Test(claims, an_alarm_names_the_side_of_the_alarm) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_LOW, 3, BT_TOLERANCE_FAILED);
  signal_at(unit->studies[0], BT_HIGH, 1, BT_WE1);
  bt_text said = said_of(unit, &request);
  said_is(&said, "▼ ALARM · low side");
  said_never(&said, "both sides");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* What is past is no side of what is open. */
Test(claims, a_past_signal_is_no_open_side) {
  bt_unit_study *unit = quiet();
  signal_at(unit->studies[0], BT_HIGH, 40, BT_TOLERANCE_FAILED);
  signal_at(unit->studies[0], BT_LOW, 1, BT_WE1);
  unit->studies[0]->verdict = BT_VERDICT_NOTICE;
  bt_text said = said_of(unit, &request);
  said_is(&said, "▼ NOTICE · low side");
  said_never(&said, "both sides");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* ---- Strengths ------------------------------------------------------------------------------- */

/* T² with three points past its limit, the first `alarms` of them past that of alarms too. */
static bt_text said_of_vector(size_t alarms) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_VECTOR;
  plan.adjusted = false;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->points.n; i++)
    of->rules[BT_LOW][i] = of->rules[BT_HIGH][i] = of->strength[i] = 0;
  of->episodes_n = 0;
  of->verdict = BT_VERDICT_NO_SIGNAL;
  for (size_t k = 0; k < 3; k++) {
    size_t i = of->points.n - 40 + 10 * k;
    of->rules[BT_HIGH][i] = (bt_rules)(BT_WE1 | (k < alarms ? BT_ALARM_LIMIT : 0));
    of->strength[i] = k < alarms ? BT_ALARM : BT_NOTICE;
  }
  bt_text said = said_of_one(unit, of, &request);
  bt_unit_study_free(unit);
  return said;
}

Test(claims, points_past_a_limit_are_counted_by_strength) {
  static const char *const counted[] = {"signalled at 3 points, the last on",
                                        "signalled at 3 points (1 alarm, 2 notices), the last on",
                                        "signalled at 3 points (2 alarms, 1 notice), the last on",
                                        "signalled at 3 points (3 alarms), the last on"};
  for (size_t alarms = 0; alarms <= 3; alarms++) {
    bt_text said = said_of_vector(alarms);
    said_is(&said, counted[alarms]);
    bt_text_free(&said);
  }
}

Test(claims, an_open_episode_is_counted_by_strength) {
  for (size_t alarms = 0; alarms <= 2; alarms++) {
    bt_unit_study *unit = quiet();
    bt_study *of = unit->studies[0];
    size_t last = of->points.n - 1;
    for (size_t k = 0; k < 2; k++) {
      of->rules[BT_LOW][last - k] = (bt_rules)(BT_WE1 | (k < alarms ? BT_ALARM_LIMIT : 0));
      of->strength[last - k] = k < alarms ? BT_ALARM : BT_NOTICE;
    }
    of->episodes_n = 1;
    of->episodes[0] = (bt_episode){.side = BT_LOW,
                                   .strength = alarms > 0 ? BT_ALARM : BT_NOTICE,
                                   .first = last - 1,
                                   .last = last,
                                   .signals = 2,
                                   .rules = of->rules[BT_LOW][last]};
    of->verdict = alarms > 0 ? BT_VERDICT_ALARM : BT_VERDICT_NOTICE;
    static const char *const counted[] = {"at 2 points (2 notices). Episode",
                                          "at 2 points (1 alarm, 1 notice). Episode",
                                          "at 2 points (2 alarms). Episode"};
    bt_text said = said_of(unit, &request);
    cr_expect_geq(said_times(&said, counted[alarms]), 2, "summary and page, %zu", alarms);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* The newest jump of the days shown is asked about. */
Test(claims, a_jump_is_asked_about) {
  bt_unit_study *unit = quiet();
  bt_study *of = unit->studies[0];
  size_t n = of->points.n;
  of->jumps_n = 2;
  of->jumps = fixture_filled(of->jumps_n, sizeof *of->jumps);
  of->jumps[0] = (bt_jump){.before = n - 31, .at = n - 30, .by = 0.004};
  of->jumps[1] = (bt_jump){.before = n - 11, .at = n - 10, .by = -0.002};
  const bt_time ends[] = {of->points.at[n - 30], of->points.at[n - 10], INT64_MAX};
  static const char *const told[] = {NULL, "from its signals on the low side, and no event",
                                     "from its signals on the high side, and no event"};
  for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
    bt_text words = {0};
    report_jump_words(of, INT64_MIN, ends[i], &words);
    if (told[i] == NULL)
      cr_expect(bt_text_empty(&words), "%s", bt_text_get(&words));
    else
      cr_expect_not_null(strstr(bt_text_get(&words), told[i]), "%zu: %s", i, bt_text_get(&words));
    bt_text_free(&words);
  }
  bt_unit_study_free(unit);
}

/* The log's own words with their counts; what is not in the days asked for does not count. */
Test(claims, the_test_pattern_is_told_in_the_log_s_words) {
  bt_unit_study *unit = quiet();
  bt_history *history = &unit->history;
  bt_text words = {0};
  report_pattern_words(unit, INT64_MIN, INT64_MAX, &words);
  cr_expect_eq(words.length, 0, "%s", bt_text_get(&words));
  char **text = fixture_filled(history->n, sizeof *text);
  history->text[BT_FIELD_PATTERN] = text;
  size_t last = history->n - 1;
  text[last] = bt_copy("pass");
  text[last - 1] = bt_copy("Pass");
  text[last - 2] = bt_copy("blurred <b>at & the rim, by far more words than any line may hold");
  report_pattern_words(unit, INT64_MIN, INT64_MAX, &words);
  cr_expect_eq(strncmp(bt_text_get(&words), "“pass” at 2 checks, the last on 27 Sep 2026; “blurred",
                       strlen("“pass” at 2 checks, the last on 27 Sep 2026; “blurred")),
               0, "%s", bt_text_get(&words));
  cr_expect_not_null(strstr(bt_text_get(&words), "…” at 1 check, on 25 Sep 2026"), "%s",
                     bt_text_get(&words));
  bt_text said = said_of(unit, &request);
  said_is(&said, "which nothing here judges: “pass” at 2 checks");
  said_is(&said, "Test pattern “pass” at 2 checks"); /* the summary, where it varies */
  bt_text_free(&said);
  bt_text_clear(&words);
  report_pattern_words(unit, history->at[last], INT64_MAX, &words);
  cr_expect_str_eq(bt_text_get(&words), "“pass” at 1 check, on 27 Sep 2026");
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* ---- What nobody need enter ------------------------------------------------------------------ */

Test(claims, no_tolerance_is_asked_for_of_a_demand_that_never_changes) {
  for (int varies = 0; varies < 2; varies++) {
    fixture_plan plan = fixture_usual();
    plan.characteristic = BT_DEMAND;
    plan.tolerance = plan.adjusted = false;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    for (size_t i = 0; i < of->checks.n; i++)
      of->checks.value[i] = 1.61;
    if (varies)
      of->checks.value[of->checks.n - 1] = 1.62;
    bt_text step = {0}, all = {0};
    for (size_t i = 0; report_next_step(unit, request.from, i, &step); i++)
      bt_text_format(&all, "%s\n", bt_text_get(&step));
    cr_expect_eq(strstr(bt_text_get(&all), "enter the tolerance") != NULL, varies, "%s",
                 bt_text_get(&all));
    bt_text_free(&step);
    bt_text_free(&all);
    bt_unit_study_free(unit);
  }
}

/* Only where some event has no time of day, and how many. */
Test(claims, events_without_a_time_are_counted) {
  static const char *const told[] = {
      NULL, "1 event has no time of day: it counts as done before that day’s checks.",
      "2 events have no time of day: each counts as done before that day’s checks."};
  for (size_t without = 0; without <= 2; without++) {
    bt_unit_study *unit = quiet();
    cr_assert_geq(unit->history.events_n, 2);
    for (size_t i = 0; i < unit->history.events_n; i++)
      unit->history.events[i].has_clock = i >= without;
    bt_text said = said_of(unit, &request);
    if (told[without] != NULL)
      cr_expect_eq(said_times(&said, told[without]), 1, "%zu", without);
    else
      cr_expect_eq(said_times(&said, "time of day: "), 0, "%s", bt_text_get(&said));
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* ---- Which episode a first signal is of -------------------------------------------------------
 */

Test(claims, a_first_signal_names_its_episode) {
  for (int before = 0; before < 2; before++) {
    fixture_plan plan = fixture_usual();
    plan.drift = -0.06;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    const bt_episode *open = report_open_on(of, BT_LOW);
    cr_assert_not_null(open);
    cr_assert_gt(of->cusum.excursions_n, 0);
    of->cusum.excursions_n = 1;
    of->cusum.excursions[0] = (bt_excursion){.side = BT_LOW,
                                             .signal = before ? open->first - 9 : open->first + 1,
                                             .run_began = open->first - 12,
                                             .last = open->last,
                                             .size = -0.004};
    bt_text said = said_of_one(unit, of, &request);
    cr_expect_eq(said_times(&said,
                            "The run of its CUSUM signalled before this episode as well, first "
                            "on ") > 0,
                 before);
    cr_expect_eq(said_times(&said, "The CUSUM first signalled in it on ") > 0, !before);
    cr_expect_eq(said_times(&said, "Signal, earlier episode") > 0, before);
    said_never(&said, "At its first signal");
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* The days shown may begin after it. */
Test(claims, an_episode_that_opened_before_the_days_shown_says_so) {
  for (int before = 0; before < 2; before++) {
    fixture_plan plan = fixture_usual();
    plan.drift = -0.06;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    const bt_episode *open = report_open_on(of, BT_LOW);
    cr_assert_not_null(open);
    if (before)
      request.from = of->points.at[open->first + 1];
    bt_text said = said_of_one(unit, of, &request);
    cr_expect_eq(said_times(&said, ", the first of them before the days shown, on ") > 0, before);
    cr_expect_eq(said_times(&said, "Episode opened, before these days") > 0, before);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}
