/* What pages and screens say of alarms, capability, the baseline's worth and decisions is what the
 * findings hold. */
#include "fixture.h"
#include "report_episodes.h"
#include "report_sentences.h"
#include "said.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

static bt_text said_of_plan(const fixture_plan *plan) {
  bt_unit_study *unit = fixture_make(plan, &request);
  bt_text said = said_of(unit, &request);
  bt_unit_study_free(unit);
  return said;
}

/* ---- Alarm limits ---------------------------------------------------------------------------- */

Test(claims_alarms, limits_say_what_they_cost) {
  fixture_plan plan = fixture_usual();
  plan.alarms = true;
  bt_text said = said_of_plan(&plan);
  said_is(
      &said,
      "Alarm limits (±4.07σ, CUSUM above 8.20) are set so that this laser’s 5 charts "
      "with alarm limits together give about 1 false alarm a year, for a baseline of 78 points. This "
      "chart’s share is about 0.2 a year on average over such baselines; yours may "
      "give between 0.05 and 0.7.");
  said_is(&said, "alarm 1.0171"); /* 1 + 4.07 x 0.0042, beside the chart */
  said_is(&said, "alarm 0.9829");
  said_is(&said, "Alarm limits, ± 4.07σ: 0.9829 \xE2\x80\x93 1.0171");
  said_is(&said, "alarm above 8.20");
  said_is(&said, "about 0.2 a year expected of the 5 charts with alarm limits together");
  said_never(&said, "notices only");
  said_never(&said, "has no alarm limits");
  bt_text_free(&said);
}

Test(claims_alarms, a_screened_baseline_is_called_so) {
  fixture_plan plan = fixture_usual();
  plan.alarms = plan.screened = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "for a screened baseline of 78 points. This chart’s share");
  bt_text_free(&said);
}

/* Where neighbours are alike no rate is printed. */
Test(claims_alarms, no_rate_where_neighbours_are_alike) {
  fixture_plan plan = fixture_usual();
  plan.alarms = plan.autocorrelated = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "for a baseline of 78 points whose neighbouring points are unrelated.");
  said_is(&said, "false signals will be more frequent than the tables say.");
  said_is(&said, "; more where neighbouring points are alike");
  said_never(&said, "share is about");
  said_never(&said, "yours may give");
  bt_text_free(&said);
}

Test(claims_alarms, under_30_points_there_are_notices_only) {
  fixture_plan plan = fixture_usual();
  plan.alarms = true;
  plan.baseline_n = 12;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "With under 30 points in the baseline the limits are uncertain, and there are "
                 "notices only; a check outside tolerance is an alarm all the same.");
  said_is(
      &said,
      "no chart has alarm limits yet: a signal is a notice, a check outside tolerance an alarm");
  said_never(&said, "Alarm limits");
  bt_text_free(&said);
  plan.tolerance = false;
  said = said_of_plan(&plan);
  said_is(&said, "there are notices only.");
  bt_text_free(&said);
}

Test(claims_alarms, a_chart_that_does_not_alarm_says_so) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_RADIAL;
  plan.adjusted = false;
  plan.alarms = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "This chart has no alarm limits: its signals are notices;");
  bt_text_free(&said);
  plan.characteristic = BT_TRACKER_X; /* a CUSUM alone */
  said = said_of_plan(&plan);
  said_is(&said, "Alarm limits (CUSUM above 8.20) are set");
  said_never(&said, "alarm 1.0");
  bt_text_free(&said);
}

Test(claims_alarms, one_chart_and_large_budgets_in_right_number) {
  fixture_plan plan = fixture_usual();
  plan.alarms = true;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_alarm_limits *alarm = &unit->studies[0]->segments[0].alarm;
  alarm->charts = 1;
  alarm->budget_a_year = 2.5;
  alarm->low = alarm->high = 0;
  alarm->share_a_year = 2.5;
  unit->false_alarms_a_year = 1;
  bt_text said = said_of(unit, &request);
  said_is(&said, "this laser’s one chart with alarm limits gives about 2.5 false alarms a year");
  said_is(&said, "This chart’s share is about 2.5 a year.");
  said_is(&said, "False alarms about 1 a year expected of the one chart with alarm limits");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(claims_alarms, rates_and_p_values_as_people_say_them) {
  char text[REPORT_NUMBER_TEXT];
  cr_expect_str_eq(report_rate(0.0001, text), "under 0.01");
  cr_expect_str_eq(report_rate(0.053, text), "0.05");
  cr_expect_str_eq(report_rate(0.21, text), "0.2");
  cr_expect_str_eq(report_rate(1.02, text), "1");
  cr_expect_str_eq(report_rate(2.46, text), "2.5");
  cr_expect_str_eq(report_rate(10, text), "10");
  cr_expect_str_eq(report_rate(120.4, text), "120");
  cr_expect_str_eq(report_p(0.0004, text), "p under 0.001");
  cr_expect_str_eq(report_p(0.034, text), "p 0.034");
  cr_expect_str_eq(report_p(0.41, text), "p 0.41");
}

/* The sentence has the names of the lane's rows; a row holds the notice and the alarm. */
Test(claims_alarms, signals_have_the_names_of_the_lane) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text names = {0};
  report_rule_names(unit->studies[0], BT_WE1 | BT_ALARM_LIMIT | BT_WE4, &names);
  cr_expect_str_eq(bt_text_get(&names),
                   "“1\xC2\xA0>\xC2\xA0"
                   "3σ” (past the alarm limit) and “8\xC2\xA0one\xC2\xA0side”");
  bt_text_clear(&names);
  report_rule_names(unit->studies[0], BT_CUSUM_SIGNAL | BT_ALARM_CUSUM, &names);
  cr_expect_str_eq(bt_text_get(&names), "“CUSUM\xC2\xA0>\xC2\xA0h” (past the alarm limit)");
  bt_text_clear(&names);
  report_rule_names(unit->studies[0], BT_CUSUM_SIGNAL | BT_TOLERANCE_FAILED, &names);
  cr_expect_str_eq(bt_text_get(&names), "“CUSUM\xC2\xA0>\xC2\xA0h” and “tolerance”");
  bt_text_free(&names);
  bt_unit_study_free(unit);
}

/* ---- Capability ------------------------------------------------------------------------------ */

Test(claims_alarms, capability_has_its_interval_and_n_or_a_reason) {
  fixture_plan plan = fixture_usual();
  plan.capable = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "Capability (95 %), 228 readings Ppk\xC2\xA0\xE2\x88\x92"
                 "0.12 (\xE2\x88\x92"
                 "0.34 to 0.10)");                         /* page */
  said_is(&said, "Pp 2.31 (2.05 \xE2\x80\x93 2.57), Ppk"); /* analysis */
  said_is(&said, "Capability (95 %), σ of 78 points");
  said_never(&said, "not given");
  bt_text_free(&said);
  plan.one_sided = true;
  said = said_of_plan(&plan);
  said_never(&said, "Pp 2.31");
  said_never(&said, "Cp 2.31");
  bt_text_free(&said);
  plan.capable = false;
  said = said_of_plan(&plan);
  said_is(&said, "not given while a signal is open");
  said_never(&said, "Ppk");
  bt_text_free(&said);
  plan.baseline_n = 20;
  said = said_of_plan(&plan);
  said_is(&said, "not given: under 30 points in a baseline");
  bt_text_free(&said);
  plan.tolerance = false;
  said = said_of_plan(&plan);
  said_is(&said, "not given: no tolerance is entered");
  bt_text_free(&said);
  plan.tolerance = true;
  plan.characteristic = BT_TRACKER_RADIAL;
  said = said_of_plan(&plan);
  said_never(&said, "Capability");
  bt_text_free(&said);
}

/* ---- What the baseline is worth -------------------------------------------------------------- */

Test(claims_alarms, a_drifting_suggestion_is_named_and_the_power_of_the_test) {
  fixture_plan plan = fixture_usual();
  plan.provisional = true;
  bt_text said = said_of_plan(&plan);
  said_is(
      &said,
      "No drift of the baseline’s own points could be told (trend p 0.41, step p 0.30). A shift of "
      "0.9σ between their halves would be found 8 times in 10.");
  bt_text_free(&said);
  plan.drifting = true;
  said = said_of_plan(&plan);
  said_is(&said, "The points that they were suggested from drift (trend p under 0.001, step p "
                 "0.012): choose another period, or say why when freezing this one "
                 "(--accept-drift).");
  said_never(&said, "No drift");
  bt_text_free(&said);
}

Test(claims_alarms, a_frozen_baseline_tells_of_drift_only_where_there_is_some) {
  fixture_plan plan = fixture_usual();
  bt_text said = said_of_plan(&plan);
  said_never(&said, "period drifts");
  bt_text_free(&said);
  plan.drifting = true;
  said = said_of_plan(&plan);
  said_is(&said, "As it reads today, the baseline’s period drifts (trend p under 0.001");
  bt_text_free(&said);
  plan.accepted = true;
  said = said_of_plan(&plan);
  said_is(&said, "The baseline was frozen although its period drifts (trend p under 0.001");
  said_never(&said, "As it reads today");
  bt_text_free(&said);
}

Test(claims_alarms, a_period_that_reads_otherwise_today) {
  fixture_plan plan = fixture_usual();
  plan.refit = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said,
          "The frozen baseline’s period reads otherwise today (a correction, late entry "
          "or retest): from its 80 points the limits would be 0.9887 and 1.0139. Those drawn "
          "stay until somebody freezes again.");
  said_is(&said, "UCL 1.0126");
  bt_text_free(&said);
  plan.provisional = true;
  said = said_of_plan(&plan);
  said_never(&said, "reads otherwise");
  bt_text_free(&said);
}

Test(claims_alarms, the_first_baseline_is_remembered) {
  fixture_plan plan = fixture_usual();
  bt_text said = said_of_plan(&plan);
  said_never(&said, "first baseline");
  bt_text_free(&said);
  plan.first = true;
  said = said_of_plan(&plan);
  said_is(&said, "The newest points lie on average \xE2\x88\x92"
                 "0.9 % from the centre of the first baseline (");
  bt_text_free(&said);
}

Test(claims_alarms, spread_within_days) {
  fixture_plan plan = fixture_usual();
  plan.within = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "Within-day σ, 26 days of the baseline 0.0021");
  said_is(&said, "the checks differ more than the within-day limit.");
  said_is(&said, "“In a day”: the spread (s) of that day’s checks.");
  bt_text_free(&said);
  plan.within = false;
  said = said_of_plan(&plan);
  said_never(&said, "ithin-day");
  bt_text_free(&said);
}

Test(claims_alarms, an_empty_cusum_is_explained) {
  fixture_plan plan = fixture_usual();
  plan.points = plan.baseline_n;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "Tinted: the baseline; the CUSUM starts after it.");
  bt_text_free(&said);
  plan.points = plan.baseline_n + 5;
  said = said_of_plan(&plan);
  said_is(&said, "Tinted: the baseline.");
  said_never(&said, "the CUSUM starts after it");
  bt_text_free(&said);
}

/* ---- Decisions ------------------------------------------------------------------------------- */

Test(claims_alarms, episodes_have_ids_and_what_was_concluded) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.08;
  plan.tolerance_half = 40;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  const bt_episode *open = bt_study_open_episode(of);
  cr_assert_not_null(open);
  bt_text said = said_of(unit, &request), wanted = {0};
  bt_text_format(&wanted, "Episode %s: undecided.", open->id);
  said_is(&said, bt_text_get(&wanted));
  bt_text_clear(&wanted);
  char first[REPORT_DATE_TEXT], later[REPORT_DATE_TEXT];
  (void)report_short_date(of->points.at[open->first], first);
  bt_text_format(&wanted, "episode %s, open notice, low side, first signal %s, undecided", open->id,
                 first);
  cr_expect_eq(said_times(&said, bt_text_get(&wanted)), 1, "the screen");
  bt_text_clear(&wanted);
  bt_text_format(&wanted, "beamtally resolve %s --cause TEXT --action TEXT --by NAME", open->id);
  cr_expect_eq(said_times(&said, bt_text_get(&wanted)), 3, "summary, screen and analysis");
  said_never(&said, "cause:");
  bt_text_free(&said);
  /* An alarm that the last points no longer show is told as its own page has it. */
  bt_overview_row row;
  bt_error error;
  ((bt_episode *)open)->strength = BT_ALARM;
  cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
  cr_expect_not_null(strstr(row.signals, ": notice (alarm earlier), first signal "), "%s",
                     row.signals);
  bt_overview_row_free(&row);
  /* An alarm is open since its first alarm, not since the notice that the episode began with. */
  of->rules[BT_LOW][of->points.n - 1] |= BT_ALARM_LIMIT;
  of->strength[of->points.n - 1] = BT_ALARM;
  ((bt_episode *)open)->last = of->points.n - 1;
  (void)report_short_date(of->points.at[of->points.n - 1], later);
  bt_text_clear(&wanted);
  bt_text_format(&wanted, ": alarm, first alarm %s (first signal %s)", later, first);
  cr_assert_eq(bt_overview_row_make(unit, &request, NULL, &row, &error), BT_OK);
  cr_expect_not_null(strstr(row.signals, bt_text_get(&wanted)), "%s", row.signals);
  bt_overview_row_free(&row);
  unit->studies[0]->verdict = unit->verdict = BT_VERDICT_ALARM;
  said = said_of(unit, &request);
  said_is(&said, "tell the engineer");
  bt_text_free(&said);
  bt_unit_study_free(unit);

  plan.concluded = 100; /* all of them */
  unit = fixture_make(&plan, &request);
  said = said_of(unit, &request);
  said_is(&said, "cause: old gas <b>&#; action: gas bottle changed, refilled twice; M. Reader, 27 "
                 "Sep 2026");
  said_is(&said, "concluded by M. Reader on 27 Sep 2026; it stays open until 8 points in a row are "
                 "without a signal");
  said_is(&said, "Technician, at the next checks: look whether what was done has helped: ");
  said_is(&said, ", concluded by M. Reader on 27 Sep 2026 (open until 8 points in a row are "
                 "without a signal).");
  said_is(&said, "open notice, low side, ");
  said_never(&said, "earlier)");
  said_never(&said, "undecided");
  said_never(&said, "beamtally resolve");
  said_never(&said, "without an episode");
  bt_text_free(&said);
  of = unit->studies[0]; /* an alarm that has a conclusion asks for no engineer either */
  of->rules[BT_LOW][of->points.n - 1] |= BT_ALARM_LIMIT;
  of->strength[of->points.n - 1] = BT_ALARM;
  unit->studies[0]->verdict = unit->verdict = BT_VERDICT_ALARM;
  said = said_of(unit, &request);
  said_is(&said, "look whether what was done has helped: ");
  said_never(&said, "tell the engineer");
  said_never(&said, "tell the manufacturer’s engineer");
  bt_text_free(&said);
  bt_text_free(&wanted);
  bt_unit_study_free(unit);
}

Test(claims_alarms, dispositions_left_alone_are_listed) {
  fixture_plan plan = fixture_usual();
  plan.alone = 1;
  bt_text said = said_of_plan(&plan);
  cr_expect_eq(said_times(&said, "Dispositions that later entries left without an episode"), 2);
  said_is(&said, "0badcafe low side, ");
  said_is(&said, "; the CUSUM restarted after the last check of the episode, ");
  bt_text_free(&said);
}

Test(claims_alarms, a_restart_says_who_asked_for_it) {
  fixture_plan plan = fixture_usual();
  plan.restarted = true;
  bt_text said = said_of_plan(&plan);
  said_is(&said, "(service visit): too early to say");
  bt_text_free(&said);
  plan.resolved = true;
  said = said_of_plan(&plan);
  said_is(&said, "(asked for with a disposition): too early to say");
  said_never(&said, "(service visit)");
  bt_text_free(&said);
}

Test(claims_alarms, corrections_and_what_waits) {
  fixture_plan plan = fixture_usual();
  bt_text said = said_of_plan(&plan);
  said_is(&said, "Corrections, the newest first None in this record.");
  said_never(&said, "Held back");
  bt_text_free(&said);
  plan.corrections = 3;
  plan.held_back = 1;
  said = said_of_plan(&plan);
  said_is(&said,
          "27 Sep 2026 corrected: check of 27 Sep 2026, 08:00 energy_mj 1.61 -> 1.59 M. Reader "
          "a slip of the pen");
  said_is(&said, "read again: 40 records");
  said_is(&said, "1 row waits for a decision");
  said_is(&said, "1 row held back, 3 corrections. Ledger");
  said_never(&said, "rows wait");
  bt_text_free(&said);
}

/* ---- Self-tests ------------------------------------------------------------------------------ */

Test(claims_alarms, failures_by_their_days) {
  fixture_plan plan = fixture_usual();
  bt_text said = said_of_plan(&plan);
  said_never(&said, "last failure");
  said_never(&said, "What failed");
  bt_text_free(&said);
  plan.failures = 1;
  said = said_of_plan(&plan);
  said_is(&said, "1 failure in 228 tests, on 15 Sep 2026. What failed: gas pressure. The last "
                 "failure was 12 days before 27 Sep 2026. ");
  said_never(&said, "gas pressure 1 15 Sep 2026"); /* one failure is told once */
  said_never(&said, "Before that on");
  said_never(&said, "apart");
  bt_text_free(&said);
  plan.failures = 2;
  said = said_of_plan(&plan);
  said_is(&said, "2 failures in 228 tests, the last on 15 Sep 2026");
  said_is(&said, "the last on 15 Sep 2026. Before that on 16 Aug 2026. The last");
  said_is(&said, "; failures came 32 days apart.");
  bt_text_free(&said);
  plan.failures = 7;
  said = said_of_plan(&plan);
  said_is(&said, "18 Apr 2026 and 1 time before, the first on 19 Mar 2026. ");
  said_is(&said,
          "failures came 32 days apart on average (6 gaps). The last gap, 15 days, is shorter "
          "than chance would often give at the earlier rate (under 21 days). They may be "
          "coming more often than before (p 0.020 for a single look).");
  said_is(&said, "gas pressure 3 15 Sep 2026 shutter 1 14 Sep 2026");
  bt_text_free(&said);
  plan.failures = 8;
  said = said_of_plan(&plan);
  said_is(&said, "and 2 times before, the first on ");
  bt_text_free(&said);
}

/* Logged as a word: no count is made of it. */
Test(claims_alarms, a_self_test_logged_as_a_word_is_not_counted) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text words = {0};
  unit->selftest.passed = unit->selftest.total = 1;
  report_selftest_words(unit, &words);
  cr_expect_eq(strncmp(bt_text_get(&words), "passed on ", 10), 0, "%s", bt_text_get(&words));
  bt_text_clear(&words);
  unit->selftest.passed = 0;
  unit->selftest.last_failed = true;
  report_selftest_words(unit, &words);
  cr_expect_eq(strncmp(bt_text_get(&words), "failed on ", 10), 0, "%s", bt_text_get(&words));
  bt_text_free(&words);
  bt_unit_study_free(unit);
}
