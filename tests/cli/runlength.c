/* runlength from outside: what is asked for comes back, as text and JSON, without a ledger. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static json_t *document(const char *folder, const char *const *words) {
  char *text = run_done(folder, words);
  json_t *found = json_loads(text, 0, NULL);
  cr_assert_not_null(found, "no JSON: %s", text);
  free(text);
  return found;
}

#define JSON(folder, ...)                                                                          \
  document((folder), (const char *const[]){"runlength", "--format", "json", __VA_ARGS__, NULL})

static double number(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  cr_assert(json_is_number(value), "no number \"%s\"", key);
  return json_number_value(value);
}

/* Champ and Woodall, Technometrics 29 (1987): 20.01 (value from memory, confirmed by computation);
 * the further digits are computed. */
Test(runlength, rules_as_the_design_has_them) {
  char *folder = folder_begin();
  char *text =
      RUN_DONE(folder, "runlength", "--rules", "WE1,WE2", "--shift", "1", "--format", "json");
  cr_expect_str_eq(text, "{\"format\":1,\"rules\":[\"WE1\",\"WE2\"],\"shift\":1.0,\"arl\":20.005,"
                         "\"sdrl\":18.837,\"percentiles\":{\"5\":2,\"25\":7,\"50\":14,\"75\":27,"
                         "\"95\":58}}\n");
  free(text);
  char *path = path_in(folder, "beamtally.sqlite");
  cr_expect_not(file_exists(path), "it needs no ledger, and makes none");
  free(path);
  folder_end(folder);
}

/* Lucas and Crosier, Technometrics 24 (1982); Lucas and Saccucci, Technometrics 32 (1990); values
 * from memory, confirmed by computation; decimals computed. */
Test(runlength, options_reach_their_charts) {
  char *folder = folder_begin();
  json_t *cusum = JSON(folder, "--k", "0.5", "--h", "4", "--headstart", "0.5", "--shift", "-1");
  cr_expect_float_eq(number(cusum, "arl"), 5.287, 1e-9);
  cr_expect_float_eq(number(cusum, "headstart"), 0.5, 0);
  json_decref(cusum);
  json_t *exact = JSON(folder, "--lambda", "0.2", "--limit", "2.962");
  cr_expect_float_eq(number(exact, "arl"), 494.386, 6e-4);
  cr_expect_str_eq(json_string_value(json_object_get(exact, "limits")), "exact");
  json_decref(exact);
  json_t *constant = JSON(folder, "--lambda", "0.2", "--limit", "2.962", "--constant-limits");
  cr_expect_float_eq(number(constant, "arl"), 499.735, 6e-4);
  json_decref(constant);
  json_t *solved = JSON(folder, "--k", "0.5", "--arl", "370");
  cr_expect_float_eq(number(solved, "h"), 4.773834, 1.1e-6);
  cr_expect_float_eq(number(solved, "wanted_arl"), 370, 0);
  json_decref(solved);
  json_t *rate = JSON(folder, "--rules", "WE1,WE2,WE3,WE4", "--checks-per-month", "20");
  cr_expect_float_eq(number(json_object_get(rate, "false_signals"), "within_month"), .173934, 6e-7);
  json_decref(rate);
  folder_end(folder);
}

Test(runlength, without_options_the_charts_that_are_drawn) {
  char *folder = folder_begin();
  json_t *usual = document(folder, (const char *const[]){"runlength", "--format", "json", NULL});
  const json_t *charts = json_object_get(usual, "charts");
  cr_assert_eq(json_array_size(charts), 2);
  cr_expect_eq(json_array_size(json_object_get(json_array_get(charts, 0), "rules")), 4);
  cr_expect_float_eq(number(json_array_get(charts, 0), "arl"), 91.751, 6e-4);
  cr_expect_float_eq(number(json_array_get(charts, 1), "arl"), 465.444, 6e-4);
  json_decref(usual);
  char *text = RUN_DONE(folder, "runlength");
  cr_expect_not_null(strstr(text, "one false signal in about 92 checks on average"));
  cr_expect_not_null(strstr(text, "one false signal in about 465 checks on average"));
  free(text);
  folder_end(folder);
}

/* Used together they signal at least as often as the more talkative of them; five charts five times
 * as often, as the first of five. */
Test(runlength, rules_and_cusum_together_and_on_several_charts) {
  char *folder = folder_begin();
  json_t *one = JSON(folder, "--rules", "WE1,WE2,WE3,WE4", "--k", "0.5", "--h", "5",
                     "--checks-per-month", "20");
  cr_expect_eq(json_array_size(json_object_get(one, "charts")), 2);
  const json_t *quiet = json_array_get(json_object_get(one, "together"), 0);
  const json_t *shifted = json_array_get(json_object_get(one, "together"), 1);
  double arl = number(quiet, "arl"), error = number(quiet, "arl_standard_error");
  cr_expect(arl < 91.8 + 3 * error && arl > 70, "%g", arl);
  cr_expect_float_eq(number(quiet, "a_year"), 240 / arl, 1e-3);
  cr_expect_eq(number(shifted, "shift"), 1);
  cr_expect_lt(number(shifted, "arl"), 9.23);
  json_t *five =
      JSON(folder, "--rules", "WE1,WE2,WE3,WE4", "--k", "0.5", "--h", "5", "--charts", "5");
  double of_five = number(json_array_get(json_object_get(five, "together"), 0), "arl");
  cr_expect(of_five > arl / 6 && of_five < arl / 2.5, "%g of %g", of_five, arl);
  json_decref(one);
  json_decref(five);
  char *text =
      RUN_DONE(folder, "runlength", "--rules", "WE1", "--k", "0.5", "--h", "5", "--charts", "3");
  cr_expect_not_null(strstr(text, "Used together on 3 charts"), "%s", text);
  cr_expect_not_null(strstr(text, "margin"), "%s", text);
  free(text);
  folder_end(folder);
}

Test(runlength, limits_from_few_points_are_a_range) {
  char *folder = folder_begin();
  json_t *few = JSON(folder, "--rules", "WE1", "--n", "30");
  const json_t *range = json_object_get(few, "estimated");
  cr_expect_eq(number(range, "n"), 30);
  cr_expect_lt(number(range, "arl_10"), number(range, "arl_50"));
  cr_expect_lt(number(range, "arl_50"), number(range, "arl_90"));
  cr_expect_lt(number(range, "arl_10"), 370.398);
  cr_expect_gt(number(range, "arl_90"), 370.398);
  json_decref(few);
  folder_end(folder);
}

/* Where signals are rare fewer runs are simulated, and say so; the mean keeps to the exact one. */
Test(runlength, rare_signals_are_not_simulated_for_minutes) {
  char *folder = folder_begin();
  json_t *found = JSON(folder, "--k", "0.5", "--h", "9.5", "--charts", "4");
  const json_t *quiet = json_array_get(json_object_get(found, "together"), 0);
  double runs = number(quiet, "runs"), exact = 42533.21; /* of one such CUSUM */
  cr_expect(runs >= 100 && runs < 10000, "%g runs", runs);
  cr_expect_float_eq(number(quiet, "arl"), exact / 4, 4 * number(quiet, "arl_standard_error"));
  json_decref(found);
  folder_end(folder);
}

/* Each suggestion, asked for again by its own options, keeps the budget. */
Test(runlength, suggestions_keep_the_budget) {
  char *folder = folder_begin();
  json_t *found = JSON(folder, "--budget", "2", "--checks-per-month", "20", "--shift", "1");
  const json_t *list = json_object_get(found, "suggestions");
  cr_assert_gt(json_array_size(list), 2);
  double sooner = 0;
  for (size_t i = 0; i < json_array_size(list); i++) {
    const json_t *of = json_array_get(list, i);
    cr_expect_leq(number(of, "a_year"), 2);
    cr_expect_geq(number(of, "arl_shifted"), sooner);
    sooner = number(of, "arl_shifted");
    if (json_object_get(of, "k") == NULL)
      continue;
    char k[32], h[32], headstart[32];
    (void)snprintf(k, sizeof k, "%.9g", number(of, "k"));
    (void)snprintf(h, sizeof h, "%.9g", number(of, "h"));
    (void)snprintf(headstart, sizeof headstart, "%.9g", number(of, "headstart"));
    json_t *again = JSON(folder, "--k", k, "--h", h, "--headstart", headstart, "--shift", "1");
    cr_expect_float_eq(number(again, "arl"), number(of, "arl_shifted"), 2e-3);
    json_decref(again);
  }
  json_decref(found);
  /* Five charts share it: each has a fifth, which is what that fifth alone would give. */
  json_t *five = JSON(folder, "--budget", "2", "--charts", "5");
  json_t *fifth = JSON(folder, "--budget", "0.4");
  cr_expect_eq(number(five, "charts_together"), 5);
  cr_expect(
      json_equal(json_object_get(five, "suggestions"), json_object_get(fifth, "suggestions")));
  json_decref(five);
  json_decref(fifth);
  char *text = RUN_DONE(folder, "runlength", "--budget", "2");
  cr_expect_not_null(strstr(text, "at most 2 false signals a year at 20 checks a month"), "%s",
                     text);
  free(text);
  folder_end(folder);
}

Test(runlength, what_cannot_be_answered_is_wrong_usage) {
  static const char *const words[][8] = {
      {"runlength", "--rules", "WE5"},
      {"runlength", "--rules", "WE1,"},
      {"runlength", "--rules", "WE1", "--arl", "370"},
      {"runlength", "--h", "5", "--arl", "370"},
      {"runlength", "--lambda", "0.2", "--limit", "3", "--arl", "370"},
      {"runlength", "--arl", "0"},
      {"runlength", "--k", "0.5", "--h", "31"},
      {"runlength", "--headstart", "1"},
      {"runlength", "--shift", "much"},
      {"runlength", "--checks-per-month", "0"},
      {"runlength", "--format", "csv"},
      {"runlength", "WE1"},
      {"runlength", "--charts", "0"},
      {"runlength", "--charts", "2.5"},
      {"runlength", "--lambda", "0.2", "--charts", "2"},
      {"runlength", "--n", "7"},
      {"runlength", "--budget", "2", "--rules", "WE1"},
      {"runlength", "--budget", "0"},
      {"runlength", "--budget", "much"},
  };
  char *folder = folder_begin();
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    run_result result = run_plain(folder, words[i]);
    cr_expect_eq(result.status, USAGE, "case %zu: status %d", i, result.status);
    cr_expect_str_eq(result.out, "", "case %zu prints data though it failed", i);
    cr_expect_eq(strncmp(result.err, "beamtally: ", 11), 0, "case %zu: %s", i, result.err);
    run_free(&result);
  }
  folder_end(folder);
}
