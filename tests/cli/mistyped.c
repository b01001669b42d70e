/* Words of a command that were mistyped: the answer names them as they were typed, and what was
 * meant. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static char *folder_with_log(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,time,unit,target_mj,energy_mj,hv_kv\n"
           "2026-04-13,07:30,Room 1,1.61,1.605,25.1\n"
           "2026-04-14,07:31,Room 1,1.61,1.612,25.2\n"
           "2026-04-15,07:29,Room 1,1.61,1.598,25.2\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

typedef struct mistyped {
  const char *words[14];
  const char *says, *not ; /* what must, and what must not be said; NULL: nothing */
} mistyped;

static void all_are_usage(const mistyped *cases, size_t n) {
  char *folder = folder_with_log();
  for (size_t i = 0; i < n; i++) {
    run_result result = run_plain(folder, cases[i].words);
    cr_expect_eq(result.status, USAGE, "case %zu: status %d, %s", i, result.status, result.err);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: \"%s\" is not in: %s", i,
                       cases[i].says, result.err);
    cr_expect(cases[i].not == NULL || strstr(result.err, cases[i].not ) == NULL,
              "case %zu: \"%s\" is in: %s", i, cases[i].not, result.err);
    run_free(&result);
  }
  folder_end(folder);
}
#define ALL_ARE_USAGE(cases) all_are_usage((cases), sizeof(cases) / sizeof *(cases))

Test(mistyped, options_are_named_with_their_dashes) {
  static const mistyped cases[] = {
      {{"status", "-unit", "Room 1"}, "no option \"-unit\"; did you mean \"--unit\"?", NULL},
      {{"report", "-month", "2026-04"}, "no option \"-month\"; did you mean \"--month\"?", NULL},
      {{"report", "--month", "2026-04", "-output", "x"},
       "\"-output\"; did you mean \"--output\"?",
       NULL},
      {{"report", "-output=x"}, "did you mean \"--output\"?", NULL},
      {{"-ledger", "x", "status"},
       "\"-ledger\" before a command is not known; did you mean "
       "\"--ledger\"?",
       NULL},
      {{"status", "-x"}, "status has no option \"-x\"", "did you mean"},
      {{"settings", "--unit", "Room 1"}, "did you mean \"--new-unit\"?", "--by"},
      {{"status", "--xyzzy"}, "status has no option \"--xyzzy\"", "did you mean"},
      {{"status", "--yes=1"}, "\"--yes\" takes no value", NULL},
  };
  ALL_ARE_USAGE(cases);
}

Test(mistyped, a_name_cut_short_is_none) {
  static const mistyped cases[] = {
      {{"status", "--unti", "Room 1"}, "no option \"--unti\"; did you mean \"--unit\"", NULL},
      {{"status", "--un", "Room 1"}, "did you mean \"--unit\" or \"--until\"?", NULL},
      {{"status", "--unti=Room 1"}, "did you mean \"--unit\"", NULL},
      {{"status", "--unti"}, "did you mean \"--unit\"", "needs a value"},
      {{"report", "--mon", "2026-04"}, "did you mean \"--month\"?", NULL},
  };
  ALL_ARE_USAGE(cases);
}

Test(mistyped, days_and_months) {
  static const mistyped cases[] = {
      {{"report", "--month", "2026-13"}, "there is no month 13", "did you mean"},
      {{"report", "--month", "2026-6"}, "did you mean 2026-06?", NULL},
      {{"report", "--month", "06/2026"}, "did you mean 2026-06?", NULL},
      {{"report", "--month", "June 2026"}, "did you mean 2026-06?", NULL},
      {{"report", "--month", "2026 jun"}, "did you mean 2026-06?", NULL},
      {{"report", "--month", "2026-06-01"}, "did you mean 2026-06?", NULL},
      {{"report", "--month", "June"}, "June 2026 is 2026-06", NULL},
      {{"report", "--month", "06/07"}, "a month is written like", "did you mean"},
      {{"status", "--until", "2026-06-31"}, "June has 30 days", NULL},
      {{"status", "--until", "2026-02-29"}, "February 2026 has 28 days", NULL},
      {{"status", "--until", "2026-14-01"}, "there is no month 14", NULL},
      {{"status", "--until", "1.6.2026"}, "did you mean 2026-06-01?", NULL},
      {{"status", "--until", "1 June 2026"}, "did you mean 2026-06-01?", NULL},
      {{"status", "--until", "June 1, 2026"}, "did you mean 2026-06-01?", NULL},
      {{"status", "--until", "06/13/2026"}, "did you mean 2026-06-13?", NULL},
      {{"status", "--until", "2026/6/1"}, "did you mean 2026-06-01?", NULL},
      {{"status", "--until", "03/04/2026"}, "a day is written like", "did you mean"},
      {{"status", "--until", "0.0.2026"}, "there is no month 0", NULL},
      {{"status", "--until", "99999999999-1-1"}, "a day is written like", "did you mean"},
      {{"status", "--until", ""}, "a day is written like", "did you mean"},
  };
  ALL_ARE_USAGE(cases);
}

Test(mistyped, characteristics_by_column_and_title) {
#define ANALYSE(of)                                                                                \
  { "analyse", "--unit", "Room 1", "--characteristic", of }
  static const mistyped cases[] = {
      {ANALYSE("hv_kv"), "did you mean \"high_voltage\"?", NULL},
      {ANALYSE("energy_mj"), "did you mean \"energy_ratio\"?", NULL},
      {ANALYSE("Pulse energy"), "did you mean \"energy_ratio\"?", NULL},
      {ANALYSE("target_mj"), "did you mean \"demand\"?", NULL},
      {ANALYSE("offset_x_um"), "did you mean \"tracker_x\"?", NULL},
      {ANALYSE("tracker_offset_x"), "did you mean \"tracker_x\"?", NULL},
      {ANALYSE("energy_sd_pct"), "did you mean \"energy_spread\"?", NULL},
      {ANALYSE("voltage"), "did you mean \"high_voltage\"?", NULL},
      {ANALYSE("colour"), "which of them a laser has", "did you mean"},
  };
  ALL_ARE_USAGE(cases);
}

Test(mistyped, what_is_not_there) {
  char *folder = folder_with_log();
  run_result result = RUN(folder, "analyse", "--unit", "Room 1", "--characteristic", "fluence");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "has no fluence up to 2026-10-01;"), "%s", result.err);
  run_free(&result);
  result = RUN(folder, "status", "--unit", "Q");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "no unit named \"Q\"; it has \"Room 1\""), "%s",
                     result.err);
  run_free(&result);
  result = RUN(folder, "event", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL", "refill");
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "did you mean \"gas_refill\"?"), "%s", result.err);
  run_free(&result);
  file_put(folder, "second.csv", "date,unit,energy_mj\n2026-04-20,B,1.6\n");
  result = RUN(folder, "import", "second.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "\"B\" is new to this ledger (it holds \"Room 1\"); if it "
                                        "is another laser, say --new-unit"),
                     "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* The last of two would put both logs to one laser. */
Test(mistyped, an_option_with_two_values) {
  char *folder = folder_with_log();
  MUST_BE(folder, USAGE, "--unit is given twice, as \"A\" and as \"B\"; give it once", "import",
          "--unit", "A", "log.csv", "--unit", "B", "other.csv");
  MUST_BE(folder, USAGE, "--ledger is given twice", "--ledger", "a", "--ledger=b", "status");
  MUST_BE(folder, USAGE, "--output is given twice", "chart", "--unit", "Room 1", "-o", "a.png",
          "--output", "b.png");
  MUST_BE(folder, DONE, "Room 1", "status", "--unit", "Room 1", "--unit", "Room 1"); /* one value */
  free(RUN_DONE(folder, "--ledger", "none", "status", "--ledger", "beamtally.sqlite"));
  folder_end(folder);
}
