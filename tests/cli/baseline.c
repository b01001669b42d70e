/* baseline and analyse, from outside: a period that drifts needs a person's word, what is left out
 * is named, and each check as a point only where that is right. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHECKS = 40 };

/* Readings without a pattern, in thousandths of a millijoule. */
static const int noise[] = {3,  -5, 8,  0,  -7, 4, -2, 6,  -9, 1,  5,  -4, 2, -8,
                            7,  -1, 9,  -6, 0,  3, -3, 5,  2,  -8, 6,  -4, 7, -1,
                            -5, 9,  -2, 4,  -6, 8, 1,  -7, 3,  0,  -9, 5};

/* A check a day from 1 Mar on; `slope` is what a day adds, `outlier` what the 20th has more. */
static char *folder_with_log(double slope, double outlier) {
  char *folder = folder_begin(), log[4096];
  int n = snprintf(log, sizeof log, "date,time,unit,hv_kv\n");
  for (int i = 0; i < CHECKS; i++)
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-%02d-%02d,07:30,Room 1,%.3f\n",
                  i < 31 ? 3 : 4, i < 31 ? i + 1 : i - 30,
                  25 + noise[i] / 1000.0 + slope * i + (i == 19 ? outlier : 0));
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

/* One line of it: where a screen's edge breaks a sentence doesn't matter. */
static void unbreak(char *text) {
  for (char *at = text; *at != '\0'; at++)
    *at = *at == '\n' ? ' ' : *at;
}

/* Sixty readings that are all alike have no chart; that later ones differ is said all the same. */
Test(baseline, a_change_after_readings_all_alike_is_told) {
  char *folder = folder_begin(), log[8192];
  int n = snprintf(log, sizeof log, "date,time,unit,hv_kv\n");
  for (int i = 0; i < 70; i++)
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-%02d-%02d,07:30,Room 1,%.1f\n", i / 28 + 1,
                  i % 28 + 1, i == 64 || i > 66 ? 25.4 : 25.1);
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  char *text = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage");
  unbreak(text);
  cr_expect_not_null(strstr(text, "Of the points after it 4 of 10 differ from them, the first on 9 "
                                  "March 2026: look at what was changed then."),
                     "%s", text);
  free(text);
  text = RUN_DONE(folder, "status");
  unbreak(text);
  cr_expect_not_null(strstr(text, "tolerance: none entered; changed on 9 Mar 2026"), "%s", text);
  free(text);
  folder_end(folder);
}

#define PERIOD                                                                                     \
  "baseline", "--unit", "Room 1", "--characteristic", "high_voltage", "--from", "2026-03-01",      \
      "--to", "2026-04-09", "--by", "KL", "--why", "after service"

/* The same once more stores nothing; what differs, or would take another's place, does. */
Test(baseline, what_is_in_force_already_is_nothing_new) {
  char *folder = folder_with_log(0, 0);
  char *said = RUN_DONE(folder, PERIOD);
  cr_expect_not_null(strstr(said, "baseline 1 frozen"), "%s", said);
  free(said);
  char *before = RUN_DONE(folder, "verify");
  said = RUN_DONE(folder, PERIOD);
  cr_expect_not_null(strstr(said, "nothing new: baseline 1 is this one to the last digit"), "%s",
                     said);
  free(said);
  char *after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after);
  free(after);
  said = RUN_DONE(folder, PERIOD, "--screen");
  cr_expect_not_null(strstr(said, "baseline 2 frozen"), "%s", said);
  free(said);
  said = RUN_DONE(folder, PERIOD);
  cr_expect_not_null(strstr(said, "baseline 3 frozen"), "it takes the place of 2: %s", said);
  free(said);
  free(before);

  file_put(folder, "clinic.ini", "[clinic]\nname = Clinic\n[unit 1]\nname = Room 1\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  before = RUN_DONE(folder, "verify");
  said = RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "again");
  cr_expect_not_null(strstr(said, "clinic.ini: nothing new"), "%s", said);
  free(said);
  after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after);
  free(after);
  file_put(folder, "clinic.ini", "[clinic]\nname = Other\n[unit 1]\nname = Room 1\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "renamed"));
  after = RUN_DONE(folder, "verify");
  cr_expect_str_neq(before, after);
  free(before);
  free(after);
  folder_end(folder);
}

/* A line that was refused has no day; it is told where it stands among the period's checks, until
 * it is mended. Which line of the log a day's check has: the 1st of March is line 2. */
Test(baseline, refused_lines_of_its_days_are_told_until_mended) {
  for (int bad = 0; bad <= CHECKS; bad += 8) { /* behind so many checks */
    char *folder = folder_begin(), log[4096], mended[4096], expected[128];
    for (int pass = 0; pass < 2; pass++) {
      char *to = pass == 0 ? log : mended;
      int n = snprintf(to, sizeof log, "date,time,unit,hv_kv\n");
      for (int i = 0; i <= CHECKS; i++) {
        if (i == bad)
          n += snprintf(to + n, sizeof log - (size_t)n,
                        pass == 0 ? "2026-%02d-%02d,07:40,Room 1,25.x\n"
                                  : "2026-%02d-%02d,07:40,Room 1,25.003\n",
                        i < 31 ? 3 : 4, i < 31 ? i + 1 : i - 30);
        if (i < CHECKS)
          n += snprintf(to + n, sizeof log - (size_t)n, "2026-%02d-%02d,07:30,Room 1,%.3f\n",
                        i < 31 ? 3 : 4, i < 31 ? i + 1 : i - 30, 25 + noise[i] / 1000.0);
      }
    }
    file_put(folder, "log.csv", log);
    run_result result = RUN(folder, "import", "log.csv");
    run_free(&result);
    char *said = RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic",
                          "high_voltage", "--from", "2026-03-05", "--to", "2026-03-30", "--by",
                          "KL", "--why", "after service");
    (void)snprintf(expected, sizeof expected,
                   "1 line of the log among the checks of these days was refused, and is not in "
                   "it:\n  log.csv, line %d\n",
                   bad + 2);
    cr_expect_eq(strstr(said, expected) != NULL, bad == 8 || bad == 16 || bad == 24, "%d: %s", bad,
                 said);
    cr_expect_eq(strstr(said, "refused") != NULL, bad == 8 || bad == 16 || bad == 24, "%d: %s", bad,
                 said);
    free(said);
    if (bad == 16) { /* nobody will mend it: it is told no more */
      free(RUN_DONE(folder, "conflicts", "--yes", "--refused", "log.csv:18", "--leave-out", "--by",
                    "KL", "--why", "never written"));
      said = RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                      "--from", "2026-03-05", "--to", "2026-03-30", "--by", "KL", "--why", "again");
      cr_expect_null(strstr(said, "refused"), "%s", said);
      free(said);
    }
    if (bad == 24) { /* the last row reads otherwise as well, and is held back */
      char *last = mended + strlen(mended) - 2;
      *last = *last == '0' ? '1' : '0';
    }
    file_put(folder, "log.csv", mended);
    free(RUN_DONE(folder, "import", "log.csv"));
    said = RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                    "--from", "2026-03-05", "--to", "2026-03-30", "--by", "KL", "--why", "mended");
    cr_expect_null(strstr(said, "refused"), "%d: %s", bad, said);
    free(said);
    folder_end(folder);
  }
}

Test(baseline, a_period_that_drifts_needs_the_word) {
  char *folder = folder_with_log(0.002, 0);
  char *before = RUN_DONE(folder, "verify");
  run_result result = RUN(folder, PERIOD);
  cr_expect_eq(result.status, FAILED, "%s", result.out);
  static const char *const said_first[] = {
      "high_voltage drifts from 2026-03-01 to 2026-04-09: its 40 points rise (Kendall's tau ",
      "). In a period of so many, the test for a step finds one of ",
      " sigma between the halves 8 times in 10. Choose another period, or accept the drift with "
      "--accept-drift and say why"};
  for (size_t i = 0; i < 3; i++)
    cr_expect_not_null(strstr(result.err, said_first[i]), "%s", result.err);
  run_free(&result);
  result = RUN(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage", "--to",
               "2026-02-28");
  cr_expect(result.status == FAILED && result.out[0] == '\0');
  cr_expect_not_null(strstr(result.err, "--to is 2026-02-28, and the log of Room 1 begins on "
                                        "2026-03-01; give a later day"),
                     "%s", result.err);
  run_free(&result);
  char *after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after, "a refused baseline entered something");
  free(before);
  free(after);
  char *said = RUN_DONE(folder, PERIOD, "--accept-drift");
  cr_expect_not_null(strstr(said, "baseline 1 frozen, 40 points"), "%s", said);
  cr_expect_not_null(strstr(said, "tests for drift, 40 values: trend p "), "%s", said);
  cr_expect_not_null(strstr(said, "drifts, and was accepted all the same"), "%s", said);
  free(said);
  folder_end(folder);
}

Test(baseline, one_without_drift_says_its_tests) {
  char *folder = folder_with_log(0, 0);
  char *said = RUN_DONE(folder, PERIOD);
  cr_expect_not_null(strstr(said, "tests for drift, 40 values: trend p "), "%s", said);
  cr_expect_not_null(strstr(said, "would be found in 80 of 100"), "%s", said);
  cr_expect_null(strstr(said, "accepted"), "%s", said);
  cr_expect_null(strstr(said, "left out"), "%s", said);
  free(said);
  folder_end(folder);
}

/* One that begins no later ends what judged before: that must not happen without a word. */
Test(baseline, says_whose_place_it_takes) {
  char *folder = folder_with_log(0, 0);
  static const char *const from[] = {"2026-03-11", "2026-03-21", "2026-03-11", "2026-03-01"};
  static const char *const replaced[] = {NULL, NULL, "baseline 1 (2026-03-11 to 2026-04-09, 30",
                                         "baseline 3 (2026-03-11 to 2026-04-09, 30"};
  for (size_t i = 0; i < sizeof from / sizeof *from; i++) {
    char *said =
        RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                 "--from", from[i], "--to", "2026-04-09", "--by", "KL", "--why", "x");
    if (replaced[i] == NULL)
      cr_expect_null(strstr(said, "takes the place"), "%s", said);
    else
      cr_expect_not_null(strstr(said, replaced[i]), "%s", said);
    free(said);
  }
  folder_end(folder);
}

/* A typing error in a date must not take a chart's alarms away without a word. */
Test(baseline, a_short_one_says_that_it_has_no_alarm_limits) {
  char *folder = folder_with_log(0, 0);
  char *whole = RUN_DONE(folder, PERIOD);
  cr_expect_null(strstr(whole, "no alarm limits"), "%s", whole);
  free(whole);
  char *part = RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                        "--from", "2026-03-01", "--to", "2026-03-29", "--by", "KL", "--why", "x");
  cr_expect_not_null(strstr(part, "29 points"), "%s", part);
  cr_expect_not_null(strstr(part, "no alarm limits now and gives notices only"), "%s", part);
  free(part);
  folder_end(folder);
}

Test(baseline, what_is_left_out_is_named) {
  char *folder = folder_with_log(0, 0.2);
  char *said = RUN_DONE(folder, PERIOD, "--screen");
  cr_expect_not_null(strstr(said, "baseline 1 frozen, 39 points"), "%s", said);
  cr_expect_not_null(strstr(said, "  left out: 2026-03-20T07:30, "), "%s", said);
  cr_expect_not_null(strstr(said, " sigma from the centre in pass 1\n"), "%s", said);
  free(said);
  folder_end(folder);
}

static char *folder_with_days(double between) {
  char *folder = folder_begin(), log[4096];
  int n = snprintf(log, sizeof log, "date,time,unit,hv_kv\n");
  for (int i = 0; i < CHECKS; i++)
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-03-%02d,%02d:30,Room 1,%.3f\n", i / 2 + 1,
                  i % 2 == 0 ? 7 : 13, 25 + noise[i] / 1000.0 + between * noise[i / 2] / 1000.0);
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

#define ANALYSE                                                                                    \
  "analyse", "--unit", "Room 1", "--characteristic", "high_voltage", "--format", "json"

static size_t points_of(const char *folder, const char *const *words) {
  char *text = run_done(folder, words);
  json_t *analysis = json_loads(text, 0, NULL);
  cr_assert_not_null(analysis, "%s", text);
  size_t n = json_array_size(json_object_get(analysis, "points"));
  json_decref(analysis);
  free(text);
  return n;
}
#define POINTS(folder, ...) points_of((folder), (const char *const[]){__VA_ARGS__, NULL})

/* Days alike: each check may be a point. Days that differ more than their checks: only where centre
 * and sigma are stated. */
Test(baseline, each_check_is_a_point_where_that_is_right) {
  char *folder = folder_with_days(0);
  cr_expect_eq(POINTS(folder, ANALYSE), CHECKS / 2);
  cr_expect_eq(POINTS(folder, ANALYSE, "--session", "day"), CHECKS / 2);
  cr_expect_eq(POINTS(folder, ANALYSE, "--session", "every"), CHECKS);
  run_result result = RUN(folder, ANALYSE, "--session", "week");
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "it is day"), "%s", result.err);
  run_free(&result);
  folder_end(folder);

  folder = folder_with_days(10);
  result = RUN(folder, ANALYSE, "--session", "every");
  cr_expect_eq(result.status, FAILED, "%d %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "--session every"), "%s", result.err);
  run_free(&result);
  cr_expect_eq(POINTS(folder, ANALYSE, "--session", "every", "--centre", "25", "--sigma", "0.05"),
               CHECKS);
  folder_end(folder);
}

/* Readings there are, but none as found. */
Test(baseline, readings_left_by_an_adjustment_make_none) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,time,unit,hv_kv,state\n2026-03-01,07:30,Room 1,25.1,as_left\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  run_result result = RUN(folder, PERIOD);
  cr_expect_eq(result.status, FAILED, "%d", result.status);
  cr_expect_not_null(strstr(result.err, "every reading of high_voltage is marked as_left"), "%s",
                     result.err);
  run_free(&result);
  char *said = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage");
  cr_expect_not_null(strstr(said, "marked as left"), "%s", said);
  cr_expect_null(strstr(said, "holds no reading"), "%s", said);
  free(said);
  folder_end(folder);
}

/* --from and --to cut what is listed, and the text says what the rest stands on. */
Test(baseline, a_part_of_the_record_says_what_its_limits_rest_on) {
  char *folder = folder_with_log(0, 0);
  char *part = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage",
                        "--from", "2026-03-05", "--to", "2026-03-06");
  cr_expect_not_null(strstr(part, "2 of 40 points\n"), "%s", part);
  cr_expect_not_null(strstr(part, "Verdict, limits and numbers rest on\nthe whole record, 1 Mar "
                                  "\xE2\x80\x93 9 Apr 2026."),
                     "%s", part);
  free(part);
  char *none = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage",
                        "--from", "2026-05-05");
  cr_expect_not_null(strstr(none, "no points in this span\nOnly what is listed"), "%s", none);
  free(none);
  char *whole = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "high_voltage");
  cr_expect_not_null(strstr(whole, ", 40 points\n"), "%s", whole);
  cr_expect_null(strstr(whole, "Only what is listed"), "%s", whole);
  free(whole);
  folder_end(folder);
}

Test(baseline, readings_all_alike_are_called_so) {
  char log[1200] = "date,unit,target_mj,energy_mj\n";
  for (int day = 1; day <= 28; day++)
    (void)snprintf(log + strlen(log), sizeof log - strlen(log), "2026-08-%02d,Room 1,1.6,1.6\n",
                   day);
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_BE(folder, FAILED, "are all alike", "baseline", "--unit", "Room 1", "--characteristic",
          "energy_ratio", "--from", "2026-08-01", "--to", "2026-08-28", "--by", "KL", "--why", "x");
  folder_end(folder);
}
