/* A log that has the pulse energy as percent of its target alone, from outside: charted as the
 * pulse-energy ratio, typed in, corrected, exported and read back, in an evidence folder; and what
 * an import says where it looks wrong. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 30 };

static const char settings[] = "[unit 1]\nname = Room 1\n"
                               "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\n"
                               "low = 0.97\nhigh = 1.03\nsource = invented\nfrom = 2026-01-01\n";
static const char map[] = "[format]\nunit = Room 1\ndecimal = comma\ndates = dmy\n"
                          "[columns]\ndate = Datum\nenergy_pct = Energie (% Soll)\n";

static double percent_on(int day) {
  return 98 + (day * 7 % 13) / 4.0;
}

/* Days in January 2026; of the last one the energy is below tolerance. As a ratio: another log. */
static void put_log(const char *folder, const char *name, bool ratio) {
  char *path = path_in(folder, name);
  FILE *log = fopen(path, "w");
  cr_assert_not_null(log);
  (void)fputs("Datum;Energie (% Soll)\n", log);
  for (int day = 0; day < DAYS; day++) {
    double percent = day == DAYS - 1 ? 96.5 : percent_on(day);
    int whole = (int)(percent * 100 + 0.5);
    if (ratio)
      (void)fprintf(log, "%02d.01.2026;%d,%04d\n", 1 + day, whole / 10000, whole % 10000);
    else
      (void)fprintf(log, "%02d.01.2026;%d,%02d %%\n", 1 + day, whole / 100, whole % 100);
  }
  cr_assert_eq(fclose(log), 0);
  free(path);
}

static char *room_folder(void) {
  char *folder = folder_begin();
  file_put(folder, "clinic.ini", settings);
  file_put(folder, "map.ini", map);
  put_log(folder, "log.txt", false);
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  free(RUN_DONE(folder, "import", "--map", "map.ini", "log.txt"));
  return folder;
}

static char *read_in(const char *folder, const char *name) {
  char *path = path_in(folder, name), *text = file_read(path, NULL);
  free(path);
  return text;
}

Test(percent, is_charted_as_the_ratio) {
  char *folder = room_folder();
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  const json_t *points = json_object_get(analysis, "points");
  cr_assert_eq(json_array_size(points), DAYS);
  for (int day = 0; day < DAYS; day++)
    cr_expect_float_eq(number_of(json_array_get(points, (size_t)day), "raw"),
                       day == DAYS - 1 ? 0.965 : percent_on(day) / 100, 1e-12);
  json_decref(analysis);
  run_result status = RUN(folder, "status");
  unwrap(status.out);
  cr_expect_not_null(strstr(status.out, "last 0.9650"), "%s", status.out);
  cr_expect_not_null(strstr(status.out, "OUT OF TOLERANCE"), "%s", status.out);
  cr_expect_null(strstr(status.out, "Fluence"), "%s", status.out);
  run_free(&status);
  MUST_BE(folder, FAILED, "has no demand", "analyse", "--unit", "Room 1", "--characteristic",
          "demand");
  MUST_BE(folder, USAGE, "did you mean \"energy_ratio\"", "analyse", "--unit", "Room 1",
          "--characteristic", "energy_pct");
  folder_end(folder);
}

/* The same laser logged as a ratio gives the same points. */
Test(percent, as_a_ratio) {
  char *folder = folder_begin(), with_unit[sizeof map + 40];
  put_log(folder, "log.txt", true);
  file_put(folder, "map.ini", map);
  run_result plain = RUN(folder, "import", "--map", "map.ini", "log.txt");
  cr_expect_eq(plain.status, DONE);
  cr_expect_not_null(strstr(plain.err, "energy_pct is 2 or less in each row that has it (30)"),
                     "%s", plain.err);
  run_free(&plain);
  (void)snprintf(with_unit, sizeof with_unit, "%s[units]\nenergy_pct = 1\n", map);
  file_put(folder, "ratio.ini", with_unit);
  run_result again = RUN(folder, "import", "--again", "--by", "KL", "--why", "a ratio", "--yes",
                         "--map", "ratio.ini", "log.txt");
  cr_expect_eq(again.status, DONE, "%s", again.err);
  cr_expect_null(strstr(again.err, "energy_pct"), "%s", again.err);
  run_free(&again);
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  const json_t *points = json_object_get(analysis, "points");
  cr_assert_eq(json_array_size(points), DAYS);
  cr_expect_float_eq(number_of(json_array_get(points, DAYS - 1), "raw"), 0.965, 1e-12);
  json_decref(analysis);
  folder_end(folder);
}

/* 1.617 / 1.61 is 100.43 %. Up to 0.5 away nothing is said. */
Test(percent, beside_the_energies_in_mj) {
  static const struct {
    const char *percent;
    bool said;
  } cases[] = {
      {"100.4", false}, {"100.9", false}, {"100.0", false}, {"100.95", true}, {"99.9", true}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *folder = folder_begin(), log[200];
    (void)snprintf(log, sizeof log,
                   "date,unit,target_mj,energy_mj,energy_pct\n2026-01-05,A,1.61,1.617,%s\n"
                   "2026-01-06,A,1.61,1.617,100.4\n2026-01-07,A,,,99\n",
                   cases[i].percent);
    file_put(folder, "log.csv", log);
    run_result result = RUN(folder, "import", "log.csv");
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect_eq(strstr(result.err, "in 1 of 2 rows energy_pct is over 0.5 % of the target away") !=
                     NULL,
                 cases[i].said, "%s: %s", cases[i].percent, result.err);
    run_free(&result);
    json_t *analysis = analysis_of(folder, "A", "energy_ratio", NULL);
    const json_t *points = json_object_get(analysis, "points");
    cr_assert_eq(json_array_size(points), 3, "one series, whichever form a day has");
    cr_expect_float_eq(number_of(json_array_get(points, 0), "raw"), 1.617 / 1.61, 1e-12);
    cr_expect_float_eq(number_of(json_array_get(points, 2), "raw"), 0.99, 1e-12);
    json_decref(analysis);
    folder_end(folder);
  }
}

Test(percent, typed_in_corrected_exported_and_read_back) {
  char *folder = room_folder();
  MUST_BE(folder, DONE, "energy_pct 99.75 stored", "record", "--unit", "Room 1", "--at",
          "2026-02-02T08:05", "--by", "KL", "energy_pct=99.75");
  MUST_BE(folder, DONE, "energy_pct", "correct", "--unit", "Room 1", "--at", "2026-02-02T08:05",
          "--by", "KL", "--why", "misread", "--yes", "energy_pct=99.25");
  free(RUN_DONE(folder, "export", "-o", "out"));
  char *checks = read_in(folder, "out/checks.csv");
  cr_expect_not_null(strstr(checks, ",energy_pct,"), "%s", checks);
  cr_expect_not_null(strstr(checks, ",99.25,"), "%s", checks);
  json_t *before = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  free(RUN_DONE(folder, "import", "--ledger", "second.sqlite", "--new-unit", "out/checks.csv"));
  free(RUN_DONE(folder, "export", "--ledger", "second.sqlite", "-o", "again"));
  MUST_BE(folder, DONE, "31 rows, 0 new, 31 already known", "import", "again/checks.csv");
  const char *const more[] = {"--ledger", "second.sqlite", NULL};
  json_t *after = analysis_of(folder, "Room 1", "energy_ratio", more);
  cr_expect_float_eq(number_of(json_array_get(json_object_get(after, "points"), DAYS), "raw"),
                     0.9925, 1e-12);
  cr_expect_eq(json_array_size(json_object_get(after, "points")),
               json_array_size(json_object_get(before, "points")));
  json_decref(before);
  json_decref(after);
  free(checks);
  MUST_BE(folder, DONE, "whole: ", "verify");
  folder_end(folder);
}

/* What readings.csv and checks.csv say is compared without the ledger. */
Test(percent, in_an_evidence_folder) {
  static const char again[] =
      "cd case && sed -i '0,/,96.5,/s//,97.5,/' readings.csv && "
      "sha256sum $(sed 's/^[0-9a-f]*  //' MANIFEST.sha256) >../all && mv ../all MANIFEST.sha256";
  char *folder = room_folder();
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-10", "-o", "case"));
  free(RUN_DONE(folder, "verify", "case"));
  free(RUN_DONE(folder, "verify", "case", "--ledger", "none"));
  char *checks = read_in(folder, "case/checks.csv"), *readme = read_in(folder, "case/README.txt");
  cr_expect_not_null(strstr(checks, "energy_ratio,2026-01-30,,0,0.965,"), "%s", checks);
  cr_expect_not_null(strstr(readme, "energy_pct / 100 where"), "%s", readme);
  cr_expect_not_null(strstr(readme, "pulse energy (energy_mj)"), "%s", readme);
  free(checks);
  free(readme);
  free(TOOL(folder, "sh", "-c", again));
  run_result altered = RUN(folder, "verify", "case", "--ledger", "none");
  cr_expect_eq(altered.status, FAILED);
  cr_expect_not_null(strstr(altered.err, "its reading is not the same in both"), "%s", altered.err);
  run_free(&altered);
  folder_end(folder);
}
