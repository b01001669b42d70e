/* The analysis forms: alarms, capability, T², spread, baselines, episodes and dispositions. */
#include "made_up.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static json_t *get(json_t *object, const char *key) {
  json_t *value = json_object_get(object, key);
  cr_assert_not_null(value, "%s", key);
  return value;
}

static double number(json_t *object, const char *key) {
  json_t *value = get(object, key);
  cr_assert(json_is_number(value), "%s", key);
  return json_number_value(value);
}

static const char *text(json_t *object, const char *key) {
  json_t *value = get(object, key);
  cr_assert(json_is_string(value), "%s", key);
  return json_string_value(value);
}

static bool nothing(json_t *object, const char *key) {
  return json_is_null(get(object, key));
}

static bt_alarm_limits some_alarm(void) {
  return (bt_alarm_limits){.given = true,
                           .budget_a_year = 1,
                           .charts = 5,
                           .checks_a_year = 250,
                           .n = 60,
                           .limit = 4,
                           .h = 8.25,
                           .share_a_year = 0.2,
                           .low = 0.05,
                           .high = 0.7};
}

Test(findings, alarm_limits) {
  made_up made;
  make_up(&made);
  made.segment.chart.sigma = 0.25;
  made.segment.alarm = some_alarm();
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *chart = get(document, "individuals"), *alarm = get(document, "alarm");
  cr_expect_eq(number(chart, "alarm_lcl"), 0);
  cr_expect_eq(number(chart, "alarm_ucl"), 2);
  cr_expect_eq(number(get(document, "cusum"), "alarm_h"), 8.25);
  cr_expect_eq(number(alarm, "budget"), 1);
  cr_expect_eq(number(alarm, "charts"), 5);
  cr_expect_eq(number(alarm, "checks_a_year"), 250);
  cr_expect_eq(number(alarm, "n"), 60);
  cr_expect_eq(number(alarm, "limit"), 4);
  cr_expect_eq(number(alarm, "h"), 8.25);
  cr_expect(nothing(alarm, "t2_limit"));
  cr_expect_eq(number(alarm, "share"), 0.2);
  cr_expect_eq(number(alarm, "low"), 0.05);
  cr_expect_eq(number(alarm, "high"), 0.7);
  json_t *segment = json_array_get(get(document, "segments"), 0);
  cr_expect_eq(number(get(segment, "alarm"), "limit"), 4);
  json_decref(document);

  made.segment.alarm.limit = 0; /* the axes of the tracker: a CUSUM alone */
  document = parsed(&made, INT64_MIN, INT64_MAX);
  cr_expect(nothing(get(document, "individuals"), "alarm_lcl"));
  cr_expect(nothing(get(document, "alarm"), "limit"));
  cr_expect_eq(number(get(document, "cusum"), "alarm_h"), 8.25);
  json_decref(document);

  made.segment.alarm.given = false;
  document = parsed(&made, INT64_MIN, INT64_MAX);
  cr_expect(nothing(document, "alarm"));
  cr_expect(nothing(get(document, "cusum"), "alarm_h"));
  json_decref(document);
  drop(&made);
}

Test(findings, alarms_of_points_and_sums) {
  made_up made;
  make_up(&made);
  made.study.rules[BT_LOW][3] = BT_WE1 | BT_CUSUM_SIGNAL | BT_ALARM_LIMIT | BT_ALARM_CUSUM;
  made.study.strength[3] = BT_ALARM;
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *last = json_array_get(get(document, "points"), 3);
  json_t *signal = json_array_get(get(get(document, "cusum"), "signals"), 0);
  cr_expect(json_is_true(get(last, "alarm")));
  cr_expect(json_is_false(get(json_array_get(get(document, "points"), 2), "alarm")));
  cr_expect_str_eq(json_string_value(json_array_get(get(last, "rules"), 2)), "ALARM_LIMIT");
  cr_expect_str_eq(json_string_value(json_array_get(get(last, "rules"), 3)), "ALARM_CUSUM");
  cr_expect_str_eq(text(signal, "strength"), "alarm");
  cr_expect_str_eq(text(signal, "alarm_at"), "1970-01-04T08:00");
  json_decref(document);
  char *row = written(&made, false, 3 * BT_DAY, 4 * BT_DAY);
  cr_expect_not_null(strstr(row, ",alarm,WE1 CUSUM ALARM_LIMIT ALARM_CUSUM,"), "%s", row);
  free(row);

  made.study.rules[BT_LOW][3] = BT_CUSUM_SIGNAL;
  made.study.rules[BT_HIGH][3] = BT_ALARM_CUSUM; /* of the other side */
  document = parsed(&made, INT64_MIN, INT64_MAX);
  signal = json_array_get(get(get(document, "cusum"), "signals"), 0);
  cr_expect_str_eq(text(signal, "strength"), "notice");
  cr_expect(nothing(signal, "alarm_at"));
  json_decref(document);
  drop(&made);
}

Test(findings, capability_or_why_not) {
  static const char *const reasons[] = {[BT_CAPABILITY_NO_TOLERANCE] = "no tolerance",
                                        [BT_CAPABILITY_NO_BASELINE] = "baseline of under 30 points",
                                        [BT_CAPABILITY_OUT_OF_CONTROL] = "out of control",
                                        [BT_CAPABILITY_OTHER_TARGET] =
                                            "newest points at another target",
                                        [BT_CAPABILITY_NOT_NORMAL] = "not normal"};
  made_up made;
  make_up(&made);
  made.study.capability = (bt_capability){.n = 312,
                                          .mean = 1.001,
                                          .overall_s = 0.005,
                                          .baseline_n = 78,
                                          .within_sigma = 0.0042,
                                          .within_df = 47.5,
                                          .cpk = {true, 1.5, 1.25, 1.75},
                                          .ppk = {true, 1.4, 1.3, 1.5}};
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *found = get(document, "capability");
  cr_expect(nothing(found, "cp") && nothing(found, "pp"), "a one-sided tolerance");
  cr_expect_eq(number(get(found, "cpk"), "value"), 1.5);
  cr_expect_eq(number(get(found, "ppk"), "low"), 1.3);
  cr_expect_eq(number(get(found, "ppk"), "high"), 1.5);
  cr_expect_eq(number(found, "n"), 312);
  cr_expect_eq(number(found, "baseline_n"), 78);
  cr_expect_eq(number(found, "within_sigma"), 0.0042);
  cr_expect(nothing(document, "capability_reason"));
  json_decref(document);
  for (int use = BT_CAPABILITY_NO_TOLERANCE; use <= BT_CAPABILITY_NOT_NORMAL; use++) {
    made.study.capability.use = (bt_capability_use)use;
    document = parsed(&made, INT64_MIN, INT64_MAX);
    cr_expect(nothing(document, "capability"));
    cr_expect_str_eq(text(document, "capability_reason"), reasons[use]);
    json_decref(document);
  }
  drop(&made);
}

Test(findings, t2_has_one_limit_and_its_covariance) {
  made_up made;
  make_up(&made);
  made.study.characteristic = BT_TRACKER_VECTOR;
  made.study.quantity.key = "tracker_vector";
  made.segment.vector = (bt_vector){.n = 60,
                                    .from_differences = true,
                                    .df = 40.5,
                                    .mean_x = 1,
                                    .mean_y = -2,
                                    .var_x = 4,
                                    .var_y = 9,
                                    .cov_xy = 0.5,
                                    .phase1_limit = 11.8,
                                    .phase2_limit = 12.5};
  made.segment.chart.ucl = 12.5; /* of the newest phase */
  made.segment.alarm = some_alarm();
  made.segment.alarm.limit = made.segment.alarm.h = 0;
  made.segment.alarm.t2_limit = 20;
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *chart = get(document, "individuals"), *vector = get(document, "vector");
  cr_expect_str_eq(text(document, "characteristic"), "tracker_vector");
  cr_expect(nothing(chart, "centre") && nothing(chart, "lcl") && nothing(chart, "alarm_lcl"));
  cr_expect_eq(number(chart, "ucl"), 12.5);
  cr_expect_eq(number(chart, "alarm_ucl"), 20);
  cr_expect_str_eq(text(vector, "covariance"), "successive differences");
  cr_expect_eq(number(vector, "mean_y"), -2);
  cr_expect_eq(number(vector, "phase1_limit"), 11.8);
  cr_expect(nothing(document, "cusum") && nothing(document, "ewma"));
  cr_expect(nothing(json_array_get(get(document, "points"), 3), "z"));
  json_decref(document);
  char *row = written(&made, false, 3 * BT_DAY, 4 * BT_DAY);
  cr_expect_not_null(strstr(row, ",1.25,,,,,notice,"), "neither z nor sums: %s", row);
  free(row);
  drop(&made);
}

Test(findings, spread_within_days) {
  made_up made;
  make_up(&made);
  double ucl[POINTS] = {0, 0, 0.5, 0};
  made.study.within_s_ucl = ucl;
  made.study.points.checks[2] = 3;
  made.study.points.within_s[2] = 0.25;
  made.segment.within = (bt_within){.days = 12, .sigma = 0.2};
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *points = get(document, "points");
  cr_expect_eq(number(json_array_get(points, 2), "within_s"), 0.25);
  cr_expect_eq(number(json_array_get(points, 2), "within_s_ucl"), 0.5);
  cr_expect(nothing(json_array_get(points, 1), "within_s"), "a single check has no spread");
  cr_expect_eq(number(get(document, "within_day"), "days"), 12);
  cr_expect_eq(number(get(document, "within_day"), "sigma"), 0.2);
  json_decref(document);
  char *row = written(&made, false, 2 * BT_DAY, 3 * BT_DAY);
  cr_expect_not_null(strstr(row, ",0.25,0.5\n"), "%s", row);
  free(row);
  made.study.within_s_ucl = NULL;
  drop(&made);
}

Test(findings, what_is_known_of_the_baseline) {
  made_up made;
  make_up(&made);
  made.segment.stability = (bt_stability){.n = 26,
                                          .tau = -0.5,
                                          .trend_p = 0.001,
                                          .step_f = 12.5,
                                          .step_at = 13,
                                          .step_p = 0.002,
                                          .drifting = true,
                                          .detectable = 1.2};
  made.segment.refit = (bt_refit){.differs = true,
                                  .given = true,
                                  .n = 79,
                                  .centre = 1.1,
                                  .sigma = 0.5,
                                  .lcl = -0.4,
                                  .ucl = 2.6};
  made.study.from_first =
      (bt_from_first){.given = true, .from = 0, .to = 30 * BT_DAY, .centre = 1.0, .shift = -0.0089};
  made.restart.resolved = true;
  made.study.every = true;
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *found = get(document, "stability");
  cr_expect_eq(number(found, "tau"), -0.5);
  cr_expect_eq(number(found, "step_at"), 13);
  cr_expect_eq(number(found, "detectable"), 1.2);
  cr_expect(json_is_true(get(found, "drifting")));
  cr_expect_eq(number(get(document, "refit"), "ucl"), 2.6);
  cr_expect_str_eq(text(get(document, "from_first"), "to"), "1970-01-31");
  cr_expect_eq(number(get(document, "from_first"), "shift"), -0.0089);
  cr_expect_str_eq(text(document, "session"), "every");
  json_t *restart = json_array_get(get(get(document, "cusum"), "restarts"), 0);
  cr_expect(nothing(restart, "event"));
  cr_expect_str_eq(text(restart, "asked_by"), "disposition");
  cr_expect(nothing(get(document, "refit"), "fill_age_slope_per_day"));
  json_decref(document);

  made.segment.refit.adjusted = true;
  made.segment.refit.slope_per_day = -0.002;
  made.segment.vector.n = 60; /* T²: a limit alone */
  document = parsed(&made, INT64_MIN, INT64_MAX);
  found = get(document, "refit");
  cr_expect_eq(number(found, "fill_age_slope_per_day"), -0.002);
  cr_expect_eq(number(found, "ucl"), 2.6);
  cr_expect(nothing(found, "centre") && nothing(found, "sigma") && nothing(found, "lcl"));
  json_decref(document);

  made.segment.vector.n = 0;
  made.segment.refit.given = false; /* 79 points, and none of them differs from another */
  document = parsed(&made, INT64_MIN, INT64_MAX);
  found = get(document, "refit");
  cr_expect_eq(number(found, "n"), 79);
  cr_expect(nothing(found, "centre") && nothing(found, "sigma") && nothing(found, "lcl") &&
            nothing(found, "ucl") && nothing(found, "fill_age_slope_per_day"));
  json_decref(document);
  made.restart.resolved = false;
  made.segment.stability.n = 0;
  made.segment.refit.differs = made.study.from_first.given = false;
  document = parsed(&made, INT64_MIN, INT64_MAX);
  restart = json_array_get(get(get(document, "cusum"), "restarts"), 0);
  cr_expect_str_eq(text(restart, "event"), "service");
  cr_expect_str_eq(text(restart, "asked_by"), "event");
  cr_expect(nothing(document, "stability") && nothing(document, "refit") &&
            nothing(document, "from_first"));
  json_decref(document);
  drop(&made);
}

Test(findings, episodes_and_dispositions) {
  static char cause[] = "old \"gas\"", action[] = "gas bottle changed", by[] = "M. Reader";
  made_up made;
  make_up(&made);
  bt_disposition concluded[2] = {
      {.episode = "0badcafe",
       .cause = cause,
       .action = action,
       .by = by,
       .high = true,
       .from = BT_DAY,
       .to = 2 * BT_DAY,
       .at = 3 * BT_DAY,
       .restart = true,
       .restart_at = 2 * BT_DAY,
       .baseline_version = 2},
      {.episode = "1a2b3c4d", .cause = cause, .action = action, .by = by}};
  bool used[2] = {false, true};
  bt_episode episodes[2] = {{.id = "11111111",
                             .side = BT_HIGH,
                             .strength = BT_NOTICE,
                             .first = 0,
                             .last = 0,
                             .signals = 1,
                             .rules = BT_WE1,
                             .disposition = BT_NONE},
                            {.id = "1a2b3c4d",
                             .side = BT_LOW,
                             .strength = BT_ALARM,
                             .first = 1,
                             .last = 3,
                             .signals = 2,
                             .rules = BT_WE4 | BT_ALARM_CUSUM,
                             .disposition = 1}};
  made.study.dispositions_n = made.study.episodes_n = 2;
  made.study.dispositions = concluded;
  made.study.disposition_used = used;
  made.study.episodes = episodes;
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *first = json_array_get(get(document, "episodes"), 0);
  json_t *second = json_array_get(get(document, "episodes"), 1);
  cr_expect(nothing(first, "disposition"));
  cr_expect_str_eq(text(second, "id"), "1a2b3c4d");
  cr_expect_str_eq(text(second, "strength"), "alarm");
  cr_expect_str_eq(text(second, "side"), "low");
  cr_expect_str_eq(text(second, "from"), "1970-01-02T08:00");
  cr_expect_str_eq(text(second, "to"), "1970-01-04T08:00");
  cr_expect_eq(number(second, "signals"), 2);
  cr_expect(json_is_true(get(second, "open")));
  cr_expect_str_eq(text(get(second, "disposition"), "cause"), cause);
  json_t *left = get(document, "dispositions_without_episode");
  cr_assert_eq(json_array_size(left), 1);
  cr_expect_str_eq(text(json_array_get(left, 0), "episode"), "0badcafe");
  cr_expect_str_eq(text(json_array_get(left, 0), "side"), "high");
  cr_expect(json_is_true(get(json_array_get(left, 0), "restart")));
  cr_expect_str_eq(text(json_array_get(left, 0), "restart_at"), "1970-01-03T00:00");
  json_decref(document);
  made.study.episodes_n = made.study.dispositions_n = 0;
  drop(&made);
}
