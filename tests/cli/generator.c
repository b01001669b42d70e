/* The demo clinic's program makes the very files that stand in sampledata. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

Test(generator, makes_the_files_of_sampledata_again) {
  static const char *const names[] = {"suite-north.csv", "suite-north-2026-q3.csv",
                                      "suite-south.txt", "events.csv",
                                      "refused.csv",     "truth.csv"};
  char *folder = folder_begin();
  run_setting setting = {.folder = folder, .executable = MAKE_DEMO_LOGS};
  run_result result = run_with(&setting, (const char *const[]){".", NULL});
  cr_expect_eq(result.status, 0, "%s", result.err);
  run_free(&result);
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char *made = path_in(folder, names[i]), *kept = sample(names[i]);
    files_must_be_same(made, kept);
    free(made);
    free(kept);
  }
  folder_end(folder);
}

/* Each line that the generator spoilt on purpose is refused, and no other. */
Test(generator, the_import_refuses_just_the_spoilt_lines) {
  char *folder = folder_begin(), *north = sample("suite-north.csv");
  char *south = sample("suite-south.txt"), *map = sample("suite-south.map.ini");
  char *one = RUN_DONE(folder, "import", north);
  char *two = RUN_DONE(folder, "import", "--new-unit", "--map", map, south);
  cr_expect_not_null(strstr(one, " 3 refused"), "%s", one);
  cr_expect_not_null(strstr(two, " 3 refused"), "%s", two);
  free(one);
  free(two);
  free(north);
  free(south);
  free(map);
  folder_end(folder);
}
