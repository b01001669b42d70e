/* import --again, and the clinic's own characteristics in columns and import, from outside. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char log_text[] = "Datum;E Ist;E Soll;Kraft\n"
                               "13.04.2026;1,605;1,61;31,5\n"
                               "14.04.2026;1,612;1,61;32,5\n";
static const char wrong_map[] = "[format]\nunit = Room 1\ndates = dmy\ndecimal = comma\n"
                                "[columns]\ndate = Datum\nenergy_mj = E Soll\ntarget_mj = E Ist\n";
static const char right_map[] = "[format]\nunit = Room 1\ndates = dmy\ndecimal = comma\n"
                                "[columns]\ndate = Datum\nenergy_mj = E Ist\ntarget_mj = E Soll\n";
static const char own_map[] = "[format]\nunit = Room 1\ndates = dmy\ndecimal = comma\n"
                              "[columns]\ndate = Datum\nenergy_mj = E Ist\ntarget_mj = E Soll\n"
                              "door_force = Kraft\n";
static const char settings[] = "[unit 1]\nname = Room 1\n[characteristic 1]\nkey = door_force\n"
                               "title = Door force\nunit = N\ndecimals = 1\n";

static char *folder_with_files(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log_text);
  file_put(folder, "wrong.ini", wrong_map);
  file_put(folder, "right.ini", right_map);
  file_put(folder, "own.ini", own_map);
  file_put(folder, "clinic.ini", settings);
  return folder;
}

static void values_must_be(const char *folder, const char *key, double first, double second) {
  json_t *analysis = analysis_of(folder, "Room 1", key, NULL);
  const json_t *points = json_object_get(analysis, "points");
  cr_assert_eq(json_array_size(points), 2);
  cr_expect_float_eq(number_of(json_array_get(points, 0), "raw"), first, 1e-12);
  cr_expect_float_eq(number_of(json_array_get(points, 1), "raw"), second, 1e-12);
  json_decref(analysis);
}

Test(again, a_file_read_in_another_way_takes_its_own_place) {
  char *folder = folder_with_files();
  free(RUN_DONE(folder, "import", "--map", "wrong.ini", "log.csv"));
  values_must_be(folder, "energy_ratio", 1.61 / 1.605, 1.61 / 1.612);
  MUST_BE(folder, FAILED, "--again", "import", "--map", "right.ini", "log.csv");
  MUST_BE(folder, USAGE, "needs --by", "import", "--map", "right.ini", "--again", "log.csv");
  MUST_BE(folder, USAGE, "needs --why", "import", "--map", "right.ini", "--again", "--by", "KL",
          "log.csv");
  MUST_BE(folder, USAGE, "belong to --again", "import", "--map", "right.ini", "--by", "KL",
          "log.csv");
  values_must_be(folder, "energy_ratio", 1.61 / 1.605, 1.61 / 1.612);
  MUST_BE(folder, DONE, "log.csv: 2 records of its earlier import superseded", "import", "--map",
          "right.ini", "--again", "--by", "KL", "--why", "columns were changed over", "log.csv");
  values_must_be(folder, "energy_ratio", 1.605 / 1.61, 1.612 / 1.61);
  MUST_BE(folder, DONE, "nothing added", "import", "--map", "right.ini", "log.csv");
  MUST_BE(folder, DONE, "whole: ", "verify");
  folder_end(folder);
}

Test(again, columns_of_the_clinics_own_are_read) {
  char *folder = folder_with_files();
  MUST_BE(folder, FAILED, "door_force", "columns", "--map", "own.ini", "log.csv");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  MUST_BE(folder, DONE, "door_force", "columns", "--map", "own.ini", "log.csv");
  MUST_BE(folder, DONE, "2 rows, 2 new", "import", "--map", "own.ini", "log.csv");
  values_must_be(folder, "door_force", 31.5, 32.5);
  MUST_BE(folder, USAGE, "did you mean \"door_force\"?", "analyse", "--unit", "Room 1",
          "--characteristic", "dor_force");
  folder_end(folder);
}

Test(again, a_log_in_long_form_needs_no_more_than_its_map) {
  char *folder = folder_begin();
  file_put(folder, "long.csv",
           "when,unit,what,reading\n"
           "2026-04-13 07:30,Room 1,Energy,1.605\n"
           "2026-04-13 07:30,Room 1,Target,1.61\n"
           "2026-04-14 07:31,Room 1,Energy,1.612\n"
           "2026-04-14 07:31,Room 1,Target,1.61\n");
  file_put(folder, "long.ini",
           "[columns]\ndate = when\nunit = unit\ncharacteristic = what\nvalue = reading\n"
           "[values]\nenergy_mj = what, Energy\ntarget_mj = what, Target\n");
  MUST_BE(folder, DONE, "", "columns", "--map", "long.ini", "long.csv");
  free(RUN_DONE(folder, "import", "--map", "long.ini", "long.csv"));
  values_must_be(folder, "energy_ratio", 1.605 / 1.61, 1.612 / 1.61);
  folder_end(folder);
}

/* A map that was written before the clinic declared a characteristic leaves its column out. */
Test(again, a_known_column_that_the_map_leaves_out_is_named) {
  char *folder = folder_with_files();
  file_put(folder, "named.csv", "Datum;E Ist;E Soll;Door force\n13.04.2026;1,605;1,61;31,5\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  run_result result = RUN(folder, "import", "--map", "right.ini", "named.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.err, "not in the map, and so not stored: \"Door force\""), "%s",
                     result.err);
  run_free(&result);
  result = RUN(folder, "import", "--map", "right.ini", "log.csv");
  cr_expect_null(strstr(result.err, "not in the map"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* So does one that the map's writer forgot, where its header speaks for a key; with the key. */
Test(again, a_likely_reading_that_the_map_leaves_out_is_named_with_its_key) {
  char *folder = folder_with_files();
  file_put(folder, "fluence.csv",
           "Datum;E Ist;E Soll;Fluenz mJ/cm\xC2\xB2;Gerät 2;Gewicht (kg)\n"
           "13.04.2026;1,605;1,61;160;7;3\n");
  run_result result = RUN(folder, "import", "--map", "right.ini", "fluence.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.err, "fluence.csv: not in the map, and so not stored: \"Fluenz "
                                        "mJ/cm\xC2\xB2\" (there is a key for it: fluence_mj_cm2); "
                                        "add to its [columns] what should be"),
                     "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* The map of another log: not as if none had been given. */
Test(again, a_map_of_which_the_file_has_nothing) {
  char *folder = folder_with_files();
  file_put(folder, "other.csv", "Tag;Messung;Vorgabe\n13.04.2026;1,605;1,61\n");
  run_result result = RUN(folder, "import", "--map", "right.ini", "other.csv");
  cr_expect_eq(result.status, FAILED, "%s", result.err);
  cr_expect_not_null(strstr(result.err, "other.csv: none of this map's columns is in the file"),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "\"E Ist\""), "%s", result.err);
  cr_expect_null(strstr(result.err, "a column map must say"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* One list for two lasers: neither laser's rows go unasked, and what the answer says works. */
Test(again, a_file_that_holds_for_two_lasers) {
  char *folder = folder_begin();
  file_put(folder, "room.csv", "date,temp_c\n2026-04-13,21.5\n2026-04-14,21.7\n");
  file_put(folder, "both.csv",
           "date,unit,temp_c\n2026-04-13,A,21.5\n2026-04-13,B,21.5\n2026-04-14,A,21.7\n"
           "2026-04-14,B,21.7\n");
  MUST_BE(folder, DONE, "2 new", "import", "--unit", "A", "room.csv");
  MUST_BE(folder, FAILED, "for \"A\"; nothing was stored. If it is not of \"A\" but of \"B\", say",
          "import", "--new-unit", "--unit", "B", "room.csv");
  MUST_BE(folder, DONE, "4 rows, 2 new, 2 already known, 0 conflicts", "import", "--new-unit",
          "both.csv");
  folder_end(folder);
}

/* Pasted twice into one file: a mended copy takes its place, and comes to one correction. */
Test(again, a_mended_copy_takes_the_place_of_its_file) {
  char *folder = folder_begin(), log[1024], copy[512];
  int n = snprintf(copy, sizeof copy, "date,time,unit,target_mj,energy_mj\n"), head = n;
  for (int i = 0; i < 10; i++)
    n += snprintf(copy + n, sizeof copy - (size_t)n, "2026-04-%02d,07:30,Room 1,2,2.00%d\n", i + 1,
                  i % 7);
  static const char refused[] = "2026-04-20,07:30,Room 1,two,2\n";
  (void)snprintf(log, sizeof log, "%s%s%s", copy, copy + head, refused);
  file_put(folder, "log.csv", log);
  (void)snprintf(log, sizeof log, "%s%s", copy, refused);
  file_put(folder, "copy.csv", log);
  MUST_BE(folder, DONE,
          "take them out of a copy of the file, and `beamtally import --again --instead-of log.csv "
          "--by NAME --why REASON COPY`",
          "import", "log.csv");
  MUST_BE(folder, DONE, "0 new, 10 already known", "import", "copy.csv"); /* changes nothing */
#define INSTEAD(of, file)                                                                          \
  "import", "--again", "--instead-of", of, "--by", "KL", "--why", "pasted twice", file
  MUST_BE(folder, FAILED, "no log of the name \"lag.csv\"", INSTEAD("lag.csv", "copy.csv"));
  MUST_BE(folder, FAILED, "nothing mended in it", INSTEAD("log.csv", "log.csv"));
  MUST_BE(folder, USAGE, "belong to --again", "import", "--instead-of", "log.csv", "copy.csv");
  MUST_BE(folder, DONE, "copy.csv: 20 records of log.csv superseded",
          INSTEAD("log.csv", "copy.csv"));
  MUST_BE(folder, DONE, "nothing added", "import", "log.csv"); /* it was replaced */
  MUST_BE(folder, DONE, "nothing added", "import", "copy.csv");
  MUST_BE(folder, DONE, "whole: ", "verify");
  free(RUN_DONE(folder, "report", "--month", "2026-04", "-o", "reports"));
  char *words = pdf_words(folder, "reports/room-1-2026-04.pdf", NULL);
  cr_expect_not_null(strstr(words, "10 checks, 1 refused line, 1 correction. Ledger"), "%s", words);
  cr_expect_not_null(strstr(words, "rows replaced by importing copy.csv again"), "%s", words);
  free(words);
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  cr_expect_eq(json_array_size(json_object_get(analysis, "points")), 10);
  json_decref(analysis);
  /* And back. */
  MUST_BE(folder, DONE, "log.csv: 10 records of copy.csv superseded",
          INSTEAD("copy.csv", "log.csv"));
  MUST_BE(folder, DONE, "whole: ", "verify");
  folder_end(folder);
}

/* Logs of one name, told apart by what sha256sum says of them. */
Test(again, of_several_logs_of_a_name_one_is_chosen) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,hv_kv\n2026-04-01,Room 1,25.1\n2026-04-01,Room 1,25.1\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  char *sum = TOOL(folder, "sha256sum", "log.csv");
  sum[12] = '\0';
  file_put(folder, "log.csv", "date,unit,hv_kv\n2026-04-02,Room 1,25.2\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  file_put(folder, "copy.csv", "date,unit,hv_kv\n2026-04-01,Room 1,25.1\n");
  MUST_BE(folder, FAILED, "the log file \"log.csv\" was imported in 2 versions",
          INSTEAD("log.csv", "copy.csv"));
  MUST_BE(folder, FAILED, sum, INSTEAD("log.csv", "copy.csv"));
  MUST_BE(folder, DONE, "1 row, 1 new", INSTEAD(sum, "copy.csv"));
  MUST_BE(folder, DONE, "whole: ", "verify");
  free(sum);
  folder_end(folder);
}
