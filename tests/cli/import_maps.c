/* A log that is given without the map by which one of its kind was read before: the map is named,
 * with the command, and nothing is read otherwise without a word. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char map[] = "[format]\nunit = A\n[columns]\ndate = date\nenergy_mj = energy_mj\n"
                          "target_mj = Soll\n[values]\nevent.service = Dazu, Wartung\n";
static const char log_of_may[] = "date,energy_mj,Soll,Dazu\n2026-05-01,1.6,1.61,\n"
                                 "2026-05-02,1.6,1.61,Wartung\n";
static const char log_of_june[] = "date,energy_mj,Soll,Dazu\n2026-06-01,1.6,1.61,\n";

Test(import_maps, a_log_without_its_map) {
  char *folder = folder_begin();
  char *maps = path_in(folder, "maps");
  cr_assert_eq(mkdir(maps, 0700), 0);
  free(maps);
  file_put(folder, "maps/log.map.ini", map);
  file_put(folder, "log.csv", log_of_may);
  MUST_BE(folder, DONE, "0 refused, by the map log.map.ini\n", "import", "--map",
          "maps/log.map.ini", "log.csv");
  /* the very file */
  MUST_BE(
      folder, FAILED,
      "log.csv: log.csv, imported on 2026-10-01, was read by the map log.map.ini, and this file "
      "is given without a map (",
      "import", "--unit", "A", "log.csv");
  /* grown, and another of the same columns */
  char grown[256];
  (void)snprintf(grown, sizeof grown, "%s2026-05-03,1.6,1.61,\n", log_of_may);
  file_put(folder, "log.csv", grown);
  file_put(folder, "log.map.ini", map);
  MUST_BE(folder, FAILED,
          "as then: `beamtally import --map log.map.ini log.csv`; or say --again, with --by and "
          "--why, if it is to be read in another way. Nothing was stored",
          "import", "--unit", "A", "log.csv");
  file_put(folder, "maps/june.csv", log_of_june);
  char *here = path_in(folder, "log.map.ini");
  cr_assert_eq(unlink(here), 0);
  free(here);
  MUST_BE(folder, FAILED,
          "june.csv: log.csv, imported on 2026-10-01, was read by the map log.map.ini and has the "
          "same columns, and this file is given without a map (",
          "import", "--unit", "A", "maps/june.csv");
  MUST_BE(folder, FAILED, "`beamtally import --map maps/log.map.ini maps/june.csv`", "import",
          "--unit", "A", "maps/june.csv");
  MUST_BE(folder, DONE, "checks", "status");
  free(RUN_DONE(folder, "import", "--map", "maps/log.map.ini", "log.csv", "maps/june.csv"));
  free(RUN_DONE(folder, "verify"));

  /* one that can't be read at all without it */
  file_put(folder, "else.csv", "Tag,E Ist\n2026-06-09,1.6\n");
  file_put(folder, "else.ini", "[format]\nunit = A\n[columns]\ndate = Tag\nenergy_mj = E Ist\n");
  free(RUN_DONE(folder, "import", "--map", "else.ini", "else.csv"));
  file_put(folder, "else.csv", "Tag,E Ist\n2026-06-09,1.6\n2026-06-10,1.6\n");
  MUST_BE(folder, FAILED,
          "else.csv, imported on 2026-10-01, was read by the map else.ini: `beamtally import --map "
          "else.ini else.csv`. Without it: ",
          "import", "else.csv");
  file_put(folder, "july.csv", "Tag,E Ist\n2026-07-09,1.6\n");
  MUST_BE(
      folder, FAILED,
      "july.csv: else.csv, imported on 2026-10-01, was read by the map else.ini and has the same "
      "columns: `beamtally import --map else.ini july.csv`. Without it: ",
      "import", "july.csv");
  file_put(folder, "other.csv", "Tag,E Soll\n2026-07-09,1.6\n");
  MUST_BE(folder, FAILED, "other.csv: line 1 is the header, it seems", "import", "other.csv");
  folder_end(folder);
}

/* The name of the map decides nothing, nor does a log that is read the same without it. */
Test(import_maps, what_is_the_same) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-05-01,A,1.6\n");
  file_put(folder, "one.ini", "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n");
  file_put(folder, "two.ini", "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n");
  free(RUN_DONE(folder, "import", "--map", "one.ini", "log.csv"));
  MUST_BE(folder, DONE, "this file is in the ledger already; nothing added", "import", "--map",
          "two.ini", "log.csv");
  MUST_BE(folder, DONE, "this file is in the ledger already; nothing added", "import", "log.csv");
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-05-01,A,1.6\n2026-05-02,A,1.6\n");
  run_result result = RUN(folder, "import", "log.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  /* another map of the very file: what differs is said */
  file_put(folder, "three.ini", "[columns]\ndate = date\nunit = unit\ntarget_mj = energy_mj\n");
  MUST_BE(folder, FAILED,
          "read in another way (another map or other reading options: column 3 energy_mj "
          "\"energy_mj\" then, target_mj \"energy_mj\" now); nothing was stored",
          "import", "--map", "three.ini", "log.csv");
  folder_end(folder);
}
