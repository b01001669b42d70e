/* `drift` on the demo: what was built into its readings is dated, told apart and named, and nothing
 * is before it began or after it was cured; the JSON has its promised form. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static json_t *drift_of(const char *folder, const char *unit, const char *key, const char *until) {
  char *out = RUN_DONE(folder, "drift", "--unit", unit, "--characteristic", key, "--until", until,
                       "--format", "json");
  json_error_t error;
  json_t *drift = json_loads(out, 0, &error);
  cr_assert_not_null(drift, "%s", error.text);
  free(out);
  return drift;
}

static const json_t *cause_of(const json_t *drift, const char *name) {
  const json_t *causes = json_object_get(drift, "causes"), *cause;
  size_t i;
  json_array_foreach(causes, i, cause) if (strcmp(text_of(cause, "cause"), name) == 0) return cause;
  return NULL;
}

/* On that day the change is dated around the truth and the cause is named, that one alone. */
static void must_name(const char *folder, const char *unit, const char *key, const char *until,
                      const char *truth, const char *cause) {
  json_t *drift = drift_of(folder, unit, key, until);
  const json_t *change = json_object_get(drift, "change");
  cr_assert(json_is_object(change), "%s %s %s", unit, key, until);
  cr_expect(
      strcmp(text_of(change, "from"), truth) <= 0 && strcmp(truth, text_of(change, "to")) <= 0,
      "%s %s: %s in %s .. %s", unit, key, truth, text_of(change, "from"), text_of(change, "to"));
  cr_expect_not_null(cause_of(drift, cause), "%s %s: %s", unit, key, cause);
  cr_expect_eq(json_array_size(json_object_get(drift, "causes")), 1, "%s %s", unit, key);
  json_decref(drift);
}

Test(drift, each_built_in_change_is_dated_and_named, .timeout = 300) {
  char *folder = folder_begin();
  demo_into(folder);
  static const char north[] = "Suite North", south[] = "Suite South";
  must_name(folder, north, "energy_ratio", "2026-09-30", "2026-02-02", "not_restored_by_refill");
  must_name(folder, north, "tracker_x", "2025-10-23", "2025-10-04", "alignment");
  must_name(folder, south, "energy_ratio", "2025-08-29", "2025-08-04", "gas_ageing");
  must_name(folder, south, "energy_spread", "2025-11-20", "2025-10-18", "spread");
  must_name(folder, south, "demand", "2026-05-14", "2026-01-12", "demand_creep");
  must_name(folder, south, "fluence", "2026-08-13", "2026-06-20", "delivery_optics");
  folder_end(folder);
}

Test(drift, without_change_nothing_is_named, .timeout = 300) {
  char *folder = folder_begin();
  demo_into(folder);
  static const char *const until[][2] = {{"Suite North", "2025-07-18"},
                                         {"Suite South", "2025-07-18"},
                                         {"Suite North", "2026-01-31"},
                                         {"Suite South", "2026-09-30"}};
  for (size_t k = 0; k < 4; k++) {
    char *out = RUN_DONE(folder, "drift", "--unit", until[k][0], "--until", until[k][1], "--format",
                         "json");
    json_t *drift = json_loads(out, 0, NULL);
    const json_t *all = json_object_get(drift, "characteristics"), *one;
    size_t i;
    cr_assert_gt(json_array_size(all), 3);
    json_array_foreach(all, i, one) {
      cr_expect(json_is_null(json_object_get(one, "change")), "%s %s %s", until[k][0], until[k][1],
                text_of(one, "characteristic"));
      cr_expect(json_is_null(json_object_get(one, "forecast")));
      cr_expect_eq(json_array_size(json_object_get(one, "causes")), 0);
    }
    json_decref(drift);
    free(out);
  }
  folder_end(folder);
}

/* The keys that are promised never to go; Suite North's optics, which lose 0.02 sigma of 0.004 a
 * day, a tolerance of 0.96, fills of 3 days that lose 0.004 a day. */
Test(drift, json_has_its_promised_form_and_the_truth_in_its_intervals, .timeout = 300) {
  char *folder = folder_begin();
  demo_into(folder);
  json_t *drift = drift_of(folder, "Suite North", "energy_ratio", "2026-09-30");
  static const char *const keys[] = {
      "format", "unit",   "characteristic", "until",      "checks",   "fills",     "level",
      "notice", "alarm",  "change",         "causes",     "forecast", "look_back", "before",
      "plate",  "meters", "past_forecasts", "past_score", "newest"};
  for (size_t k = 0; k < sizeof keys / sizeof *keys; k++)
    cr_expect_not_null(json_object_get(drift, keys[k]), "%s", keys[k]);
  cr_expect_eq(number_of(drift, "format"), 1);
  cr_expect_str_eq(text_of(drift, "until"), "2026-09-30");
  cr_expect_eq(number_of(drift, "checks"), 354);
  const json_t *fills = json_object_get(drift, "fills"), *level = json_object_get(drift, "level"),
               *forecast = json_object_get(drift, "forecast"),
               *back = json_object_get(drift, "look_back");
  cr_expect_float_eq(number_of(fills, "interval_days"), 3, 0.05);
  cr_expect(number_of(fills, "gas_low") <= -0.004 && -0.004 <= number_of(fills, "gas_high"));
  cr_expect(number_of(fills, "low") < number_of(fills, "slope_per_day"));
  cr_expect_float_eq(number_of(fills, "gas_per_day"),
                     number_of(fills, "slope_per_day") - number_of(level, "slope_per_day"), 1e-12);
  cr_expect(number_of(level, "slope_low") <= -0.00008 &&
            -0.00008 <= number_of(level, "slope_high"));
  cr_expect(number_of(level, "low") <= 1 - 0.01928 - 0.004 * 1.0 + 0.004 &&
            number_of(level, "high") < 1);
  const json_t *change = json_object_get(drift, "change");
  cr_expect(number_of(change, "slope_low") <= -0.00008 &&
            -0.00008 <= number_of(change, "slope_high"));
  cr_expect(number_of(change, "slope_low") < number_of(change, "slope_per_day") &&
            number_of(change, "slope_per_day") < number_of(change, "slope_high"));
  cr_expect(number_of(change, "gone_low") < number_of(change, "gone") &&
            number_of(change, "gone") < number_of(change, "gone_high"));
  cr_expect(number_of(change, "gone_low") <= -0.01928 &&
            -0.01928 <= number_of(change, "gone_high"));
  cr_expect_float_eq(number_of(change, "gone_per_cent"), 100 * number_of(change, "gone"), 0.1);
  cr_expect_eq(number_of(change, "failed"), 0, "the misreading was before it");
  const json_t *newest = json_object_get(drift, "newest");
  cr_expect_eq(number_of(newest, "n"), 5);
  cr_expect(number_of(newest, "low") < number_of(newest, "difference") &&
            number_of(newest, "difference") < number_of(newest, "high"));
  cr_expect_str_eq(text_of(drift, "last_check"), "2026-09-30");
  cr_expect(number_of(fills, "known_before") > 50 && number_of(fills, "known_since") > 50);
  cr_expect_eq(number_of(forecast, "limit"), 0.96);
  cr_expect_str_eq(text_of(forecast, "source"), "clinic policy QA-7, section 2");
  cr_expect(strcmp(text_of(forecast, "first_fail_5"), text_of(forecast, "first_fail_50")) < 0);
  cr_expect(strcmp(text_of(forecast, "from"), text_of(forecast, "mean_at")) < 0 &&
            strcmp(text_of(forecast, "mean_at"), text_of(forecast, "to")) < 0);
  cr_expect(strcmp(text_of(back, "last_good"), "2026-02-02") < 0);
  cr_expect_gt(json_array_size(json_object_get(back, "days")), 100);
  cr_expect(json_is_object(json_object_get(drift, "notice")));
  json_decref(drift);
  folder_end(folder);
}

Test(drift, operators_only_where_asked_for_and_wrong_usage, .timeout = 300) {
  char *folder = folder_begin();
  demo_into(folder);
  char *plain = RUN_DONE(folder, "drift", "--unit", "Suite North", "--characteristic", "fluence");
  cr_expect_null(strstr(plain, "operator"));
  cr_expect_not_null(strstr(plain, "temperature"));
  cr_expect_not_null(strstr(plain, "no figure to treat by"), "a spot model is declared");
  char *asked = RUN_DONE(folder, "drift", "--unit", "Suite North", "--characteristic", "fluence",
                         "--with-operator");
  cr_expect_not_null(strstr(asked, "operator T1 against all others"));
  free(plain);
  free(asked);
  static const char *const wrong[][7] = {
      {"drift", NULL},
      {"drift", "--unit", "Suite North", "--format", "csv", NULL},
      {"drift", "--unit", "Suite North", "--characteristic", "temp_c", NULL},
  };
  for (size_t k = 0; k < 3; k++) {
    run_result result = run_plain(folder, wrong[k]);
    cr_expect_eq(result.status, 2, "%zu: %d %s", k, result.status, result.err);
    run_free(&result);
  }
  char *screen = RUN_DONE(folder, "status", "--unit", "Suite North", "--until", "2026-09-30");
  cr_expect_not_null(strstr(screen, "\nDrift        Pulse-energy ratio: falling since"));
  free(screen);
  folder_end(folder);
}
