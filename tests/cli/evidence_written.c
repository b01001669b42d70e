/* evidence, from outside: the same bytes anywhere, and never over a folder or half a one.
 *
 * A short run (BEAMTALLY_LONG_TESTS unset) leaves out the demo from two places of the world. */
#include "evidence_case.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The clock of the room, and how it writes numbers and sorts: nothing of it in the folder. A locale
 * that the system lacks counts as "C". */
Test(evidence_written, is_the_same_from_anywhere_and_at_any_time) {
  static const char *const zones[] = {"TZ=UTC", "TZ=Pacific/Auckland", "TZ=America/St_Johns"};
  static const char *const locales[] = {"LC_ALL=C", "LC_ALL=C.UTF-8", "LC_ALL=de_DE.UTF-8"};
  char *folder = is_long() ? demo_folder() : private_folder(private_log);
  const char *unit = is_long() ? "Suite North" : "Room 1",
             *other = is_long() ? "suite north" : "ROOM 1";
  char *sums = NULL;
  for (size_t i = 0; i < 9; i++) {
    char name[] = "case-0";
    name[5] = (char)('0' + i);
    const char *const environment[] = {zones[i / 3], locales[i % 3], "SOURCE_DATE_EPOCH=", NULL};
    run_setting setting = {.folder = folder, .environment = environment};
    run_result result =
        run_with(&setting, (const char *const[]){"evidence", "--unit", i % 2 == 0 ? unit : other,
                                                 "--from", "2026-02-01", "-o", name, NULL});
    cr_assert_eq(result.status, DONE, "%s", result.err);
    run_free(&result);
    char *inside = path_in(folder, name), *here = read_in(inside, "MANIFEST.sha256");
    free(TOOL(inside, "sha256sum", "--strict", "--quiet", "-c", "MANIFEST.sha256"));
    if (sums == NULL)
      sums = here;
    else {
      cr_expect_str_eq(here, sums, "%s, %s", environment[0], environment[1]);
      free(here);
    }
    free(inside);
  }
  free(sums);
  folder_end(folder);
}

/* Ctrl-C, or a service manager's word, at any moment: a whole folder or none. */
Test(evidence_written, what_is_interrupted_leaves_nothing) {
  char *folder = private_folder(private_log);
  size_t before = names_in(folder);
  static const char *const signals[] = {"INT", "TERM", "HUP"};
  for (int i = 0; i < 24; i++) {
    char after[16];
    (void)snprintf(after, sizeof after, "0.%03d", 5 + 12 * i);
    run_setting setting = {.folder = folder, .executable = "/usr/bin/timeout"};
    run_result result =
        run_with(&setting, (const char *const[]){"-s", signals[i % 3], after, BEAMTALLY_PROGRAM,
                                                 "evidence", "--unit", "Room 1", "--from",
                                                 "2026-04-01", "-o", "case", NULL});
    char *inside = path_in(folder, "case");
    if (file_exists(inside)) {
      free(RUN_DONE(folder, "verify", "case"));
      free(TOOL(folder, "rm", "-r", "case"));
    }
    cr_assert_eq(names_in(folder), before, "something was left after %s s: %s", after, result.err);
    run_free(&result);
    free(inside);
  }
  folder_end(folder);
}

/* Two at once under one name: one folder, whole, and nothing else. */
Test(evidence_written, of_two_at_once_one_gets_the_name) {
  char *folder = private_folder(private_log);
  size_t before = names_in(folder);
  free(
      TOOL(folder, "sh", "-c",
           "one() { '" BEAMTALLY_PROGRAM
           "' evidence --unit 'Room 1' --from 2026-04-01 -o case 2>said-$1; echo $? >status-$1; }; "
           "one 1 & one 2 & wait; test $(cat status-1 status-2 | sort | tr -d '\\n') = 01 && "
           "grep -q 'is there already' said-1 said-2; found=$?; "
           "rm said-1 said-2 status-1 status-2; exit $found"));
  cr_expect_eq(names_in(folder), before + 1);
  free(RUN_DONE(folder, "verify", "case"));
  folder_end(folder);
}

Test(evidence_written, what_fails_leaves_nothing) {
  char *folder = private_folder(private_log);
  file_put(folder, "there", "a file");
  size_t before = names_in(folder);
  static const struct {
    const char *words[12];
    int status;
    const char *says;
  } cases[] = {
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "there"},
       FAILED,
       "is there already"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01"}, USAGE, "needs --output"},
      {{"evidence", "--unit", "Room 1", "-o", "x"}, USAGE, "needs --from"},
      {{"evidence", "--from", "2026-02-01", "-o", "x"}, USAGE, "needs --unit"},
      {{"evidence", "--unit", "Room 9", "--from", "2026-02-01", "-o", "x"}, FAILED, "Room 9"},
      {{"evidence", "--unit", "Room 1", "--from", "2027-02-01", "-o", "x"},
       FAILED,
       "ends before --from"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "--to", "2026-01-01", "-o", "x"},
       USAGE,
       "--to is before"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "--event", "99", "-o", "x"},
       FAILED,
       "no event 99"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "x", "logs"},
       USAGE,
       "--with-sources"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_result result = run_plain(folder, cases[i].words);
    cr_expect_eq(result.status, cases[i].status, "case %zu: %d, %s", i, result.status, result.err);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: %s", i, result.err);
    run_free(&result);
  }
  static const rlim_t limits[] = {3000, 24000}; /* for a table, and for the PDF */
  static const char *const named[] = {"beamtally: ", ": evidence.pdf cannot be written: "};
  for (size_t i = 0; i < 2; i++) {
    run_setting small = {.folder = folder, .file_limit = limits[i]};
    run_result result = run_with(&small, (const char *const[]){SMALL, NULL});
    cr_expect_eq(result.status, FAILED, "status %d", result.status);
    cr_expect_not_null(strstr(result.err, named[i]), "%s", result.err);
    cr_expect_null(strstr(result.err, ".part"), "names a passing file: %s", result.err);
    run_free(&result);
  }
  cr_expect_eq(names_in(folder), before, "something was left");
  folder_end(folder);
}
