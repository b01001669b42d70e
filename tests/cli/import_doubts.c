/* What an import says of rows that it keeps and that a person should look at, and of clocks. The
 * program's day is 1 October 2026 (program.h). */
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* The import of that log, which must end so, says all of `said`, and nothing of `silent`. */
static void must_say(const char *log, int status, const char *const *said, const char *silent) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  run_result result = RUN(folder, "import", "--max-refused", "90", "log.csv");
  cr_expect_eq(result.status, status, "%s", result.err);
  for (; *said != NULL; said++)
    cr_expect(strstr(result.err, *said) != NULL || strstr(result.out, *said) != NULL,
              "\"%s\" is not in: %s%s", *said, result.err, result.out);
  if (silent != NULL)
    cr_expect_null(strstr(result.err, silent), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}
#define SAID(...) ((const char *const[]){__VA_ARGS__, NULL})

Test(import_doubts, a_target_energy_of_zero) {
  must_say("date,unit,target_mj,energy_mj\n2026-09-01,A,0,1.6\n2026-09-02,A,0,1.6\n", DONE,
           SAID("log.csv: the target energy is 0 in each of the 2 rows that have one (lines 2, 3): "
                "kept, but no ratio",
                "not_stored = THE COLUMN, 0", "2 rows, 2 new"),
           NULL);
  must_say("date,unit,target_mj,energy_mj\n2026-09-01,A,1.6,1.6\n2026-09-02,A,0,1.6\n", DONE,
           SAID("the target energy is 0 in some of the 2 rows that have one (line 3): kept",
                "where it is a slip, `beamtally correct` puts the right one in its place\n"),
           NULL);
  must_say("date,unit,target_mj,energy_mj,energy_pct\n2026-09-02,A,0,1.6,99.8\n", DONE,
           SAID("1 row, 1 new"), "target energy");
  must_say("date,unit,target_mj,energy_mj\n2026-09-01,A,1.6,1.6\n2026-09-02,A,,1.6\n", DONE,
           SAID("2 rows, 2 new"), "target energy");

  /* What it asks for: a 0 that stands for nothing is left out. */
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,target_mj,energy_mj\n2026-09-01,A,1.6,1.6\n2026-09-02,A,0,1.6\n");
  file_put(folder, "map.ini",
           "[columns]\ndate = date\nunit = unit\ntarget_mj = target_mj\nenergy_mj = energy_mj\n"
           "[values]\nnot_stored = target_mj, 0\n");
  run_result result = RUN(folder, "import", "--map", "map.ini", "log.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

Test(import_doubts, clocks_that_are_wrong) {
  /* of an empty battery */
  must_say("date,time,unit,energy_mj\n1970-01-01,00:03,A,1.6\n2026-09-02,07:30,A,1.6\n"
           "1970-01-02,07:31,A,1.6\n",
           DONE,
           SAID("log.csv: 2 rows are before 1985 (lines 2, 4): refused. A clock whose battery was "
                "empty begins anew at such a day",
                "1970-01-01 is before 1985",
                "3 rows, 1 new, 0 already known, 0 conflicts, 2 refused"),
           NULL);
  must_say("date,time,unit,energy_mj\n2000-01-01,00:03,A,1.6\n2026-09-02,07:30,A,1.6\n", DONE,
           SAID("log.csv: 1 row is of a 1 January at which clocks begin anew (line 2), over a year "
                "before the newest: kept",
                "2 rows, 2 new"),
           NULL);
  must_say("date,time,unit,energy_mj\n2020-01-01,00:03,A,1.6\n2020-09-02,07:30,A,1.6\n", DONE,
           SAID("2 rows, 2 new"), "clock");
  /* ahead of the computer's */
  must_say("date,time,unit,energy_mj\n2026-10-01,23:30,A,1.6\n2026-10-02,07:30,A,1.6\n"
           "2026-10-03,07:30,A,1.6\n",
           DONE,
           SAID("log.csv: 1 row is of tomorrow (line 3): kept. By this computer's clock today is "
                "2026-10-01",
                "log.csv: 1 row is later than tomorrow (line 4), which by this computer's clock is "
                "2026-10-02: refused",
                "3 rows, 2 new, 0 already known, 0 conflicts, 1 refused"),
           NULL);
  must_say("date,time,unit,energy_mj\n2026-10-01,23:30,A,1.6\n", DONE, SAID("1 row, 1 new"),
           "clock");
  /* all rows of it: nothing is stored, and it is said why */
  must_say("date,time,unit,energy_mj\n1970-01-01,00:03,A,1.6\n", FAILED,
           SAID("1 row is before 1985 (line 2): refused", "1 of 1 lines were refused"), NULL);
}

/* A column that the map reads for what its texts mean is none that it left out. */
Test(import_doubts, a_column_read_for_its_texts) {
  char *folder = folder_begin();
  file_put(
      folder, "log.csv",
      "date,unit,energy_mj,Notes,Remark\n2026-09-01,A,1.6,\"gas bottle changed, lot 4711\",x\n");
  file_put(folder, "map.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n"
           "[values]\nevent.gas_bottle = Notes, \"gas bottle changed, lot 4711\"\n");
  run_result result = RUN(folder, "import", "--map", "map.ini", "log.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.err, "not stored: \"Remark\""), "%s", result.err);
  cr_expect_null(strstr(result.err, "\"Notes\""), "%s", result.err);
  run_free(&result);
  MUST_BE(folder, DONE, "gas bottle changed: gas bottle changed, lot 4711", "event", "--list");
  folder_end(folder);
}

/* Rows are checks, rows of events alone and refused ones; records are checks and events. */
Test(import_doubts, counts_that_add_up) {
  char *folder = folder_begin();
  file_put(
      folder, "log.csv",
      "date,time,unit,energy_mj,Done\n2026-09-01,07:30,A,1.6,\n2026-09-02,07:30,A,1.6,Service\n"
      "2026-09-03,07:30,A,,Service\n2026-09-04,07:30,A,1.6,\n2026-09-05,07:30,A,lots,\n");
  file_put(folder, "map.ini",
           "[columns]\ndate = date\ntime = time\nunit = unit\nenergy_mj = energy_mj\n"
           "[values]\nevent.service = Done, Service\n");
  MUST_BE(folder, DONE,
          "log.csv: 5 rows (3 checks, 1 of events alone), 2 events, 1 refused, by the map map.ini; "
          "nothing stored (--dry-run)\n",
          "import", "--dry-run", "--map", "map.ini", "log.csv");
  MUST_BE(folder, DONE,
          "log.csv: 5 rows (3 checks, 1 of events alone), 2 events, 5 new, 0 already known, 0 "
          "conflicts, 1 refused, by the map map.ini",
          "import", "--map", "map.ini", "log.csv");
  /* one row a reading */
  file_put(folder, "long.csv",
           "date,time,unit,characteristic,value\n2026-08-01,07:30,A,energy_mj,1.6\n"
           "2026-08-01,07:30,A,target_mj,1.6\n2026-08-02,07:30,A,energy_mj,1.6\n"
           "2026-08-02,07:30,A,target_mj,\n");
  MUST_BE(folder, DONE, "long.csv: 4 rows (2 checks), 2 new, 0 already known", "import",
          "long.csv");
  /* a log of events, and one of checks alone, are rows as ever */
  file_put(folder, "events.csv", "date,unit,event\n2026-07-01,A,service\n2026-07-02,A,moved\n");
  MUST_BE(folder, DONE, "events.csv: 2 rows, 2 new, 0 already known", "import", "events.csv");
  /* but for one whose text means two */
  file_put(folder, "diary.csv", "date,unit,Done\n2026-06-01,A,\"visit, cleaned\"\n");
  file_put(folder, "diary.ini",
           "[columns]\ndate = date\nunit = unit\nevent = Done\n[values]\n"
           "event.service = Done, \"visit, cleaned\"\n"
           "event.optics_cleaned = Done, \"visit, cleaned\"\n");
  MUST_BE(folder, DONE, "diary.csv: 1 row, 2 events, 2 new, 0 already known", "import", "--map",
          "diary.ini", "diary.csv");
  folder_end(folder);
}
