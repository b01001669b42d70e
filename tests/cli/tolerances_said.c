/* What `settings` says of what it took, and of tolerances that need a look. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Every section of the settings is told of. */
Test(tolerances_said, settings_say_what_was_taken) {
  char *folder = folder_begin();
  file_put(folder, "own.ini",
           "[characteristic 1]\nkey = door_force\ntitle = Door\nunit = N\n"
           "[characteristic 2]\nkey = lamp\ntitle = Lamp\nunit = h\n");
  MUST_SAY(folder, DONE,
           WORDS("own.ini: taken: 2 characteristics, a budget of 1 false alarm a unit and year\n"),
           "settings", "own.ini", "--by", "KL", "--why", "first");
  file_put(folder, "all.ini",
           "[clinic]\nname = C\n[unit 1]\nname = A\n[schedule]\nweekdays = mon\n[budget]\n"
           "alarms_per_unit_year = 2\n[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\n"
           "low = 0.97\nsource = policy\nfrom = 2026-01-01\n");
  MUST_SAY(folder, DONE,
           WORDS("all.ini: taken: 1 unit, 1 tolerance, the clinic, the schedule, a budget of 2 "
                 "false alarms a unit and year\n"),
           "settings", "all.ini", "--by", "KL", "--why", "all");
  folder_end(folder);
}

static void put_tolerance(const char *folder, const char *characteristic, const char *limits,
                          const char *from) {
  char ini[300];
  (void)snprintf(ini, sizeof ini,
                 "[tolerance 1]\nunit = A\ncharacteristic = %s\n%ssource = policy\nfrom = %s\n",
                 characteristic, limits, from);
  file_put(folder, "s.ini", ini);
}

static char *folder_of_nine(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,target_mj,energy_mj,offset_x_um\n2026-01-01,A,1,1.000,3\n"
           "2026-01-02,A,1,1.001,4\n2026-01-03,A,1,1.002,5\n2026-01-04,A,1,1.003,6\n"
           "2026-01-05,A,1,1.004,7\n2026-01-06,A,1,1.005,8\n2026-01-07,A,1,1.006,9\n"
           "2026-01-08,A,1,1.007,10\n2026-01-09,A,1,1.008,11\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

/* A tolerance that most checks lie outside of is taken, with a question; a good one without: one in
 * force over the checks, or from a later day on. */
Test(tolerances_said, a_tolerance_in_another_unit_than_the_readings) {
  static const struct {
    const char *characteristic, *limits, *says[3];
  } cases[] = {
      {"energy_ratio", "low = 0.97\nhigh = 1.03\n", {NULL}},
      {"energy_ratio", "high = 0.99\n", {"0 of 9 checks", "of another laser", NULL}},
      {"energy_ratio", "high = 1.004\n", {NULL}}, /* 5 of 9 */
      {"energy_ratio", "high = 1.003\n", {"4 of 9 checks", NULL}},
      {"energy_ratio",
       "low = -3\nhigh = 3\n",
       {"the tolerance of energy_ratio of A (low = -3, high = 3) has a limit so far off",
        "low = 0.97, high = 1.03", NULL}},
      {"energy_ratio", "low = 0.5\nhigh = 1.5\n", {NULL}},
      {"energy_ratio", "low = 0.97\nhigh = 1.51\n", {"has a limit so far off", NULL}},
      {"tracker_x", "low = -300\nhigh = 300\n", {NULL}},
      {"tracker_x",
       "low = -0.04\nhigh = 0.04\n",
       {"0 of 9 checks", "in mm? The readings are in µm", NULL}},
  };
  char *folder = folder_of_nine();
  for (size_t i = 0; i < 2 * sizeof cases / sizeof *cases; i++) {
    const char *const *says = cases[i / 2].says;
    put_tolerance(folder, cases[i / 2].characteristic, cases[i / 2].limits,
                  i % 2 == 0 ? "2026-01-01" : "2026-09-01");
    run_result result = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "a trial");
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect_eq(strstr(result.err, "note: ") != NULL, says[0] != NULL, "%zu: %s", i, result.err);
    for (size_t k = 0; says[k] != NULL; k++)
      cr_expect_not_null(strstr(result.err, says[k]), "%zu: %s", i, result.err);
    run_free(&result);
  }
  folder_end(folder);
}

/* One without a day holds from the beginning: no day is made up for it, and what is shown says the
 * same when it is given again. */
Test(tolerances_said, a_tolerance_without_a_day) {
  char *folder = folder_of_nine();
  file_put(folder, "s.ini",
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 1.6\nsource = policy\n");
  run_result result = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "first");
  cr_expect_not_null(
      strstr(result.err, "0 of 9 checks of A lie inside the tolerance of energy_ratio (low = 1.6)"),
      "%s", result.err);
  run_free(&result);
  char *shown = RUN_DONE(folder, "settings", "--show");
  cr_expect_null(strstr(shown, "from"), "%s", shown);
  file_put(folder, "shown.ini", shown);
  free(shown);
  MUST_SAY(folder, DONE, WORDS("nothing new: these settings are in force already"), "settings",
           "shown.ini", "--by", "KL", "--why", "again");
  folder_end(folder);
}

/* Else a year that was mistyped would show as a tolerance that nobody entered. */
Test(tolerances_said, a_tolerance_that_is_still_to_come) {
  char *folder = folder_of_nine();
  file_put(folder, "s.ini",
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 0.9\nsource = policy\n"
           "from = 2062-01-01\n");
  MUST_SAY(folder, DONE,
           WORDS("tolerance of energy_ratio of A begins on 2062-01-01, which has not come yet"),
           "settings", "s.ini", "--by", "KL", "--why", "first");
  folder_end(folder);
}

/* A file replaces the one before; nobody is at a terminal to see what changes. */
Test(tolerances_said, settings_that_fall_away) {
  char *folder = folder_of_nine();
  file_put(folder, "all.ini",
           "[unit 1]\nname = A\nbeam = flat_top\n[schedule]\nweekdays = mon\n"
           "[characteristic 1]\nkey = lamp\ntitle = Lamp\nunit = h\n"
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 0.97\nsource = policy\n"
           "from = 2026-01-01\n"
           "[tolerance 2]\nunit = A\ncharacteristic = lamp\nhigh = 900\nsource = policy\n"
           "from = 2026-01-01\n");
  char *first = RUN_DONE(folder, "settings", "all.ini", "--by", "KL", "--why", "first");
  cr_expect_null(strstr(first, "no longer in force"), "%s", first);
  free(first);
  put_tolerance(folder, "energy_ratio", "low = 0.96\n", "2026-01-01");
  char *second = RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "second");
  cr_expect_not_null(strstr(second,
                            "no longer in force, as a settings file replaces all of the one "
                            "before: tolerance of lamp of A, what was said of A, "
                            "characteristic lamp, the schedule\n"),
                     "%s", second);
  free(second);
  folder_end(folder);
}

/* Then there is no baseline, and it is said why. */
Test(tolerances_said, a_tolerance_that_leaves_no_baseline) {
  char *folder = folder_of_nine();
  put_tolerance(folder, "energy_ratio", "low = 1.97\nhigh = 2.03\n", "2026-01-01");
  free(RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "of another laser"));
  MUST_SAY(folder, DONE, WORDS("no baseline: 9 of 9"), "status");
  MUST_SAY(folder, DONE, WORDS("since all of", "Compare the tolerance with its source"), "drift",
           "--unit", "A", "--characteristic", "energy_ratio");
  free(RUN_DONE(folder, "report", "--month", "2026-01"));
  char *pdf = TOOL(folder, "pdftotext", "reports/a-2026-01.pdf", "-");
  cr_expect_not_null(strstr(pdf, "If these readings are usual for this laser"), "%s", pdf);
  free(pdf);
  folder_end(folder);
}

/* A tolerance of a laser that is not there judges nothing: it is not taken without a word. */
Test(tolerances_said, settings_of_a_laser_that_the_ledger_has_not) {
  static const char tolerance[] = "[tolerance 1]\nunit = Lazer 1\ncharacteristic = energy_ratio\n"
                                  "low = 0.97\nsource = policy\nfrom = 2026-01-01\n";
  char *folder = folder_begin();
  file_put(folder, "wrong.ini", tolerance);
  MUST_SAY(folder, DONE,
           WORDS("no unit named \"Lazer 1\" is in the ledger yet", "wrong.ini: taken: 1 tolerance"),
           "settings", "wrong.ini", "--by", "KL", "--why", "first", "--ledger", "none.sqlite");
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-02,Laser 1,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, FAILED,
           WORDS("\"Lazer 1\"", "did you mean \"Laser 1\"?", "nothing was taken", "--new-unit"),
           "settings", "wrong.ini", "--by", "KL", "--why", "first");
  file_put(folder, "unit.ini", "[unit 1]\nname = Room 9\nbeam = flat_top\n");
  MUST_SAY(folder, FAILED, WORDS("\"Room 9\"", "nothing was taken"), "settings", "unit.ini", "--by",
           "KL", "--why", "first");
  MUST_SAY(folder, DONE, WORDS("no unit named \"Lazer 1\" is in the ledger yet", "taken"),
           "settings", "--new-unit", "wrong.ini", "--by", "KL", "--why", "comes later");
  /* once it was taken, it is known */
  file_put(folder, "wrong.ini",
           "[tolerance 1]\nunit = Lazer 1\ncharacteristic = energy_ratio\n"
           "low = 0.96\nsource = policy\nfrom = 2026-01-01\n");
  MUST_SAY(folder, DONE, WORDS("taken: 1 tolerance"), "settings", "wrong.ini", "--by", "KL",
           "--why", "again");
  folder_end(folder);
}

/* What a report prints of a characteristic names it as its key does. */
Test(tolerances_said, a_characteristic_by_its_title) {
  char *folder = folder_begin();
  demo_into(folder);
  char *by_key =
      RUN_DONE(folder, "analyse", "--unit", "Suite North", "--characteristic", "energy_ratio");
  char *by_title = RUN_DONE(folder, "analyse", "--unit", "Suite North", "--characteristic",
                            "pulse-energy ratio");
  cr_expect_str_eq(by_key, by_title);
  free(by_key);
  free(by_title);
  MUST_SAY(folder, USAGE, WORDS("did you mean \"energy_ratio\"?"), "analyse", "--unit",
           "Suite North", "--characteristic", "energy_ratios");
  MUST_SAY(folder, USAGE, WORDS("--month 2019-03 is before the log begins: its checks are of 20"),
           "report", "--unit", "Suite North", "--month", "2019-03");
  folder_end(folder);
}

/* In percent it is refused, with the line to write, whether checks are stored or not; but not where
 * the stored ratios really lie there. */
Test(tolerances_said, a_tolerance_in_percent_is_refused) {
  char *folder = folder_of_nine();
  static const struct {
    const char *limits, *says;
  } cases[] = {
      {"low = 97\nhigh = 103\n",
       "s.ini: the tolerance of energy_ratio of A (low = 97, high = 103) "
       "is in percent, as it seems, and 0 of 9 stored checks are of "
       "that size; energy_ratio is measured / target energy, near 1: write "
       "low = 0.97, high = 1.03. Nothing was stored"},
      {"high = 103\n", "near 1: write high = 1.03. Nothing"},
      {"low = 97,5\n", "near 1: write low = 0.975."},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    put_tolerance(folder, "energy_ratio", cases[i].limits, "2026-01-01");
    MUST_BE(folder, FAILED, cases[i].says, "settings", "s.ini", "--by", "KL", "--why", "percent");
  }
  MUST_BE(folder, DONE, "[budget]", "settings", "--show");
  MUST_BE(folder, FAILED, "energy_ratio of A (low = 97.5) is in percent, as it seems; energy_ratio",
          "--ledger", "none.sqlite", "settings", "s.ini", "--by", "KL", "--why", "percent");
  file_put(folder, "hundred.csv",
           "date,unit,target_mj,energy_mj\n2026-01-01,A,1,100\n2026-01-02,A,1,101\n");
  free(RUN_DONE(folder, "--ledger", "other.sqlite", "import", "hundred.csv"));
  free(RUN_DONE(folder, "--ledger", "other.sqlite", "settings", "s.ini", "--by", "KL", "--why",
                "so it is logged"));
  folder_end(folder);
}

/* Without checks such a tolerance would be taken in silence. */
Test(tolerances_said, a_tolerance_that_no_check_can_be_held_against_is_asked_about) {
  char *folder = folder_begin();
  static const char form[] = "[unit 1]\nname = A\n[tolerance 1]\nunit = A\n"
                             "characteristic = energy_ratio\nlow = %s\nhigh = %s\nsource = x\n";
  char text[256];
  (void)snprintf(text, sizeof text, form, "1.6", "1.7");
  file_put(folder, "mj.ini", text);
  MUST_BE(
      folder, DONE,
      "(low = 1.6, high = 1.7) can't be held against checks yet: fewer than 8 are stored. Is it "
      "in percent?",
      "settings", "mj.ini", "--by", "KL", "--why", "first");
  (void)snprintf(text, sizeof text, form, "0.97", "1.03");
  file_put(folder, "ratio.ini", text);
  run_result result = RUN(folder, "settings", "ratio.ini", "--by", "KL", "--why", "mended");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_null(strstr(result.err, "can't be held"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}
