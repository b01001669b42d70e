/* Look-ups in a study, by studies made by hand. */
#include "beamtally/finding.h"

#include <criterion/criterion.h>
#include <string.h>

/* The words are the worst first, and none of them promises anything. */
Test(findings, verdict_words) {
  static const char *const never[] = {"STEADY", "SAFE", "OK", "GOOD", "FINE"};
  cr_assert_str_eq(bt_verdict_words(BT_VERDICT_OUT_OF_TOLERANCE), "OUT OF TOLERANCE");
  cr_assert_str_eq(bt_verdict_words(BT_VERDICT_NO_SIGNAL), "NO SIGNAL IN THE LOG");
  for (int v = 0; v <= BT_VERDICT_NO_SIGNAL; v++)
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++)
      cr_assert_null(strstr(bt_verdict_words((bt_verdict)v), never[i]));
}

enum { POINTS = 30 };

/* A study of 30 points, all judged, with these episodes. */
static bt_study study_of(uint8_t *judged, bt_episode *episodes, size_t episodes_n) {
  memset(judged, 1, POINTS);
  return (bt_study){
      .points = {.n = POINTS}, .judged = judged, .episodes_n = episodes_n, .episodes = episodes};
}

static bt_episode episode(size_t first, size_t last, bt_strength strength) {
  return (bt_episode){.first = first, .last = last, .strength = strength};
}

Test(findings, an_episode_is_open_while_it_reaches_into_the_last_8_points) {
  uint8_t judged[POINTS];
  for (size_t last = 0; last < POINTS; last++) {
    bt_episode episodes[] = {episode(0, last, BT_NOTICE)};
    bt_study study = study_of(judged, episodes, 1);
    cr_assert_eq(bt_study_open_episode(&study) != NULL, last >= POINTS - 8, "last %zu", last);
  }
}

/* Points that aren't judged don't count among the 8. */
Test(findings, points_that_are_not_judged_close_nothing) {
  uint8_t judged[POINTS];
  bt_episode episodes[] = {episode(10, 15, BT_ALARM)};
  bt_study study = study_of(judged, episodes, 1);
  cr_assert_null(bt_study_open_episode(&study));
  memset(judged + 16, 0, 7); /* 7 judged points after it: it is the eighth */
  cr_assert_eq(bt_study_open_episode(&study), &episodes[0]);
  judged[16] = 1;
  cr_assert_null(bt_study_open_episode(&study));
  judged[16] = 2; /* Phase I is judged too */
  cr_assert_null(bt_study_open_episode(&study));
}

Test(findings, the_worst_and_then_the_newest_is_chosen) {
  uint8_t judged[POINTS];
  bt_episode episodes[] = {
      episode(2, 8, BT_ALARM), /* closed */
      episode(9, 25, BT_NOTICE), episode(20, 24, BT_ALARM),
      episode(22, 23, BT_ALARM), episode(28, 29, BT_NOTICE),
  };
  bt_study study = study_of(judged, episodes, 5);
  cr_assert_eq(bt_study_open_episode(&study), &episodes[3]);
  episodes[3].strength = BT_NOTICE;
  cr_assert_eq(bt_study_open_episode(&study), &episodes[2]);
  episodes[2].strength = BT_NOTICE;
  cr_assert_eq(bt_study_open_episode(&study), &episodes[4]);
}

/* An alarm counts while it is among the last 8 judged points, and no longer. */
Test(findings, the_strength_that_is_open_now) {
  for (size_t alarm = 0; alarm < POINTS; alarm++) {
    uint8_t judged[POINTS], strength[POINTS] = {0};
    bt_study study = study_of(judged, NULL, 0);
    study.strength = strength;
    cr_assert_eq(bt_study_open_strength(&study), BT_QUIET);
    strength[POINTS - 1] = BT_NOTICE;
    strength[alarm] = BT_ALARM;
    bt_strength expected = alarm >= POINTS - 8 ? BT_ALARM : BT_NOTICE;
    cr_assert_eq(bt_study_open_strength(&study), expected, "alarm at %zu", alarm);
  }
  bt_study none = {0};
  cr_assert_eq(bt_study_open_strength(&none), BT_QUIET);
}

/* A notice on one side doesn't share the alarm of the other. */
Test(findings, each_side_is_as_strong_as_its_own_signals) {
  for (size_t alarm = 0; alarm < POINTS; alarm++) {
    uint8_t judged[POINTS];
    bt_rules low[POINTS] = {0}, high[POINTS] = {0};
    bt_study study = study_of(judged, NULL, 0);
    study.rules[BT_LOW] = low;
    study.rules[BT_HIGH] = high;
    cr_assert_eq(bt_study_open_strength_on(&study, BT_LOW), BT_QUIET);
    low[POINTS - 1] = BT_WE4;
    high[alarm] = BT_ALARM_CUSUM;
    cr_assert_eq(bt_study_open_strength_on(&study, BT_LOW), BT_NOTICE);
    cr_assert_eq(bt_study_open_strength_on(&study, BT_HIGH),
                 alarm >= POINTS - 8 ? BT_ALARM : BT_QUIET, "alarm at %zu", alarm);
  }
}

/* Beyond tolerance before sigma; half widths, or the limit's distance from the centre. */
Test(findings, how_far_off_a_unit_is) {
  const bt_tolerance two = {.has_low = true, .has_high = true, .low = 0.9, .high = 1.1},
                     one = {.has_high = true, .high = 26};
  bt_segment segments[2] = {{.state = BT_CHART_DRAWN, .chart = {.centre = 1, .sigma = 0.01}},
                            {.state = BT_CHART_DRAWN, .chart = {.centre = 24, .sigma = 0.5}}};
  bt_study ratio = {.characteristic = BT_ENERGY_RATIO,
                    .segments = &segments[0],
                    .segments_n = 1,
                    .recent_n = 8,
                    .recent_shift = -0.03,
                    .tolerance = {.now = &two, .margin = -0.02}},
           voltage = {.characteristic = BT_HIGH_VOLTAGE,
                      .segments = &segments[1],
                      .segments_n = 1,
                      .recent_n = 8,
                      .recent_shift = 1,
                      .tolerance = {.now = &one, .margin = -1}},
           room = {.characteristic = BT_TEMPERATURE, .recent_n = 8, .recent_shift = 99};
  bt_study *studies[] = {&ratio, &voltage, &room};
  bt_unit_study unit = {.studies = studies, .studies_n = 3};
  bt_deviation off = bt_unit_deviation(&unit);
  cr_assert_float_eq(off.beyond, 0, 1e-12);
  cr_assert_float_eq(off.sigmas, 3, 1e-9);
  ratio.tolerance.last_is_outside = true;
  off = bt_unit_deviation(&unit);
  cr_assert_float_eq(off.beyond, 0.2, 1e-9);
  voltage.tolerance.last_is_outside = true;
  bt_deviation farther = bt_unit_deviation(&unit);
  cr_assert_float_eq(farther.beyond, 0.5, 1e-9);
  cr_assert_lt(bt_deviation_order(farther, off), 0);
  cr_assert_gt(bt_deviation_order(off, farther), 0);
  cr_assert_eq(bt_deviation_order(off, off), 0);
  cr_assert_lt(bt_deviation_order(off, (bt_deviation){.beyond = off.beyond, .sigmas = 2}), 0);
}

Test(findings, few_points_and_none) {
  uint8_t judged[POINTS];
  bt_episode episodes[] = {episode(0, 0, BT_NOTICE)};
  bt_study study = study_of(judged, episodes, 1);
  study.points.n = 5;
  cr_assert_eq(bt_study_open_episode(&study), &episodes[0]);
  bt_study none = {0};
  cr_assert_null(bt_study_open_episode(&none));
  cr_assert_null(bt_study_now(&none));
}

Test(findings, the_last_segment_is_now) {
  bt_segment segments[3] = {{.from = 0}, {.from = 10}, {.from = 20}};
  bt_study study = {.segments_n = 3, .segments = segments};
  cr_assert_eq(bt_study_now(&study), &segments[2]);
}

Test(findings, study_of_a_characteristic) {
  bt_study ratio = {.characteristic = BT_ENERGY_RATIO};
  bt_study voltage = {.characteristic = BT_HIGH_VOLTAGE};
  bt_study *studies[] = {&ratio, &voltage};
  bt_unit_study unit = {.studies_n = 2, .studies = studies};
  cr_assert_eq(bt_unit_study_of(&unit, BT_ENERGY_RATIO), &ratio);
  cr_assert_eq(bt_unit_study_of(&unit, BT_HIGH_VOLTAGE), &voltage);
  cr_assert_null(bt_unit_study_of(&unit, BT_FLUENCE));
}

Test(findings, words_of_a_verdict) {
  static const struct {
    bt_characteristic characteristic;
    bt_verdict verdict;
    size_t episodes;
    const char *words;
  } table[] = {{BT_ENERGY_RATIO, BT_VERDICT_NO_SIGNAL, 0, "NO SIGNAL IN THE LOG"},
               {BT_ENERGY_RATIO, BT_VERDICT_NO_SIGNAL, 1, "NO OPEN SIGNAL"},
               {BT_ENERGY_RATIO, BT_VERDICT_NOTICE, 1, "NOTICE"},
               {BT_ENERGY_RATIO, BT_VERDICT_NO_TOLERANCE, 0, "NO BASELINE"},
               {BT_HUMIDITY, BT_VERDICT_NO_SIGNAL, 0, "NOT JUDGED"}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_study study = {.characteristic = table[i].characteristic,
                      .verdict = table[i].verdict,
                      .episodes_n = table[i].episodes};
    cr_assert_str_eq(bt_study_verdict_words(&study), table[i].words);
  }
}

/* A missing tolerance hides nothing of what the chart says. */
Test(findings, a_missing_tolerance_is_looked_through) {
  uint8_t judged[9] = {1, 1, 1, 1, 1, 1, 1, 1, 1}, strength[9] = {0};
  uint16_t flags[9] = {0};
  bt_segment segment = {.to = 9};
  bt_study study = {.verdict = BT_VERDICT_NO_TOLERANCE,
                    .points = {.n = 9, .flags = flags},
                    .judged = judged,
                    .strength = strength,
                    .segments_n = 1,
                    .segments = &segment};
  cr_expect_str_eq(bt_study_verdict_words(&study), "NO SIGNAL IN THE LOG");
  flags[8] = BT_POINT_OTHER_TARGET;
  cr_expect_str_eq(bt_study_verdict_words(&study), "NO BASELINE");
  flags[8] = 0;
  strength[8] = BT_NOTICE;
  cr_expect_str_eq(bt_study_verdict_words(&study), "NOTICE");
  strength[7] = BT_ALARM;
  cr_expect_str_eq(bt_study_verdict_words(&study), "ALARM");
  study.verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  cr_expect_str_eq(bt_study_verdict_words(&study), "OUT OF TOLERANCE");
}

Test(findings, first_point_from_a_moment_on) {
  bt_time at[] = {10, 20, 20, 30};
  bt_series series = {.n = 4, .at = at};
  static const struct {
    bt_time moment;
    size_t first;
  } table[] = {{INT64_MIN, 0}, {10, 0}, {11, 1}, {20, 1}, {21, 3}, {30, 3}, {31, 4}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    cr_assert_eq(bt_series_from(&series, table[i].moment), table[i].first);
  series.n = 0;
  cr_assert_eq(bt_series_from(&series, 0), 0);
}

/* Steps of 1, 1, 1, 3, 3, 3, 3, 10 days: their median is 3. */
Test(findings, the_longest_step_that_is_no_gap) {
  static const int day[] = {0, 1, 2, 3, 6, 9, 12, 15, 25};
  bt_time at[9];
  bt_series series = {.n = 9, .at = at};
  for (size_t i = 0; i < 9; i++)
    at[i] = day[i] * BT_DAY;
  double days = 4;
  cr_assert(bt_series_longest_step(&series, 0, 9, &days));
  cr_expect_eq(days, 6, "twice the usual one");
  days = 7;
  cr_assert(bt_series_longest_step(&series, 0, 9, &days));
  cr_expect_eq(days, 7, "as expected");
  days = 4;
  cr_assert(bt_series_longest_step(&series, 1, 9, &days));
  cr_expect_eq(days, 4, "too few points to say what is usual");
  cr_assert(bt_series_longest_step(&series, 9, 9, &days));
  cr_expect_eq(days, 4);
  for (int i = 0; i < 9; i++) /* each ten minutes earlier in the day than the one before */
    at[i] = day[i] * BT_DAY + 9 * BT_HOUR - i * 600;
  cr_assert(bt_series_longest_step(&series, 0, 9, &days));
  cr_expect_eq(days, 6, "days of the calendar, at any hour: %.10g", days);
}

Test(findings, the_strength_of_a_set_of_rules) {
  cr_expect_eq(bt_rules_strength(0), BT_QUIET);
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    cr_expect_eq(bt_rules_strength(rule->bit), rule->kind == BT_RULE_ALARM ? BT_ALARM : BT_NOTICE,
                 "%s", rule->key);
  }
  cr_expect_eq(bt_rules_strength(BT_WE1 | BT_TOLERANCE_FAILED), BT_ALARM);
}
