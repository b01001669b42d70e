/* Eight logs of one laser, each in another shape: read by doing what the program itself says.
 *
 * The test plays a person without a manual: `columns --write MAP FILE`, then the map's own comments
 * are followed (a # is taken off a line that is offered, a capital word is replaced), then
 * `import`. Each line that is changed must stand in the map as the program wrote it. What comes out
 * must be what was meant: tests/cli/eight/meant.csv. The data are invented. */
#include "program.h"

#include <criterion/criterion.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_EDITS = 16 };

typedef struct edit {
  const char *offered, *done; /* done NULL: the # and blank before it are taken off */
} edit;

typedef struct log_file {
  const char *name;
  edit edits[MOST_EDITS];
} log_file;

static char *fixture(const char *name) {
  char path[512];
  (void)snprintf(path, sizeof path, BEAMTALLY_TREE "/tests/cli/eight/%s", name);
  char *copy = malloc(strlen(path) + 1);
  cr_assert_not_null(copy);
  (void)strcpy(copy, path);
  return copy;
}

/* The map with one whole line changed, owned; frees the old one. */
static char *change(char *map, const edit *e, const char *name) {
  char whole[256];
  (void)snprintf(whole, sizeof whole, "\n%s\n", e->offered);
  char *at = strstr(map, whole);
  cr_assert_not_null(at, "%s: \"%s\" is not offered:\n%s", name, e->offered, map);
  const char *done = e->done == NULL ? e->offered + 2 : e->done;
  size_t before = (size_t)(at - map) + 1, length = strlen(map);
  char *made = malloc(length + strlen(done) + 1);
  cr_assert_not_null(made);
  (void)sprintf(made, "%.*s%s%s", (int)before, map, done, at + 1 + strlen(e->offered));
  free(map);
  return made;
}

/* All checks of the ledger, as meant.csv has them, owned. */
static char *readings_of(const char *folder) {
  static const char sql[] =
      "SELECT strftime('%Y-%m-%dT%H:%M', time, 'unixepoch') || printf("
      "',%.6g,%.6g,%.6g,%.6g,%.6g,%.6g,%.6g,', target_mj, energy_mj, offset_x_um, offset_y_um, "
      "selftest_passed, selftest_total, hv_kv) || coalesce((SELECT body FROM text WHERE number = "
      "pattern), '') || printf(',%.6g', temp_c) FROM checks ORDER BY time";
  char *path = path_in(folder, "beamtally.sqlite"), *text = calloc(1, 8192);
  sqlite3 *database = NULL;
  sqlite3_stmt *rows = NULL;
  cr_assert_not_null(text);
  cr_assert_eq(sqlite3_open_v2(path, &database, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_prepare_v2(database, sql, -1, &rows, NULL), SQLITE_OK, "%s",
               sqlite3_errmsg(database));
  while (sqlite3_step(rows) == SQLITE_ROW) {
    const unsigned char *row = sqlite3_column_text(rows, 0);
    cr_assert(row != NULL && strlen(text) + 256 < 8192);
    (void)strcat(strcat(text, (const char *)row), "\n");
  }
  cr_assert_eq(sqlite3_finalize(rows), SQLITE_OK);
  cr_assert_eq(sqlite3_close(database), SQLITE_OK);
  free(path);
  return text;
}

static const log_file logs[] = {
    {"1-comma.csv", {{NULL, NULL}}},
    {"2-semicolon.txt",
     {{"# date = Datum", NULL},
      {"# time = Uhrzeit", NULL},
      {"# unit = Gerät", NULL},
      {"# target_mj = Energie Soll (mJ)", NULL},
      {"# energy_mj = Energie Ist (mJ)", NULL},
      {"# offset_x_um = Versatz x (µm)", NULL},
      {"# offset_y_um = Versatz y (µm)", NULL},
      {"# selftest_passed = Selbsttest bestanden", NULL},
      {"# hv_kv = Hochspannung (kV)", NULL},
      {"# pattern = Muster", NULL},
      {"# temp_c = Raumtemperatur °C", NULL},
      {"# remark = Bemerkung", NULL}}},
    {"3-utf-16.txt",
     {{"# date = Datum", NULL},
      {"# target_mj = Soll mJ", NULL},
      {"# energy_mj = Ist mJ", NULL},
      {"# offset_x_um = X µm", NULL},
      {"# offset_y_um = Y µm", NULL},
      {"# selftest_passed = Selbsttest ok", NULL},
      {"# selftest_total = Selbsttest gesamt", NULL},
      {"# pattern = Muster", NULL},
      {"# temp_c = Temperatur °C", NULL},
      {"# remark = Notiz", NULL}}},
    {"4-pipe.txt",
     {{"# date = Day", NULL},
      {"# time = Clock", NULL},
      {"# unit = System", NULL},
      {"# target_mj = Target energy [mJ]", NULL},
      {"# energy_mj = Measured energy [mJ]", NULL},
      {"# offset_x_um = Tracker X [um]", NULL},
      {"# offset_y_um = Tracker Y [um]", NULL},
      {"# selftest_passed = Self-test", NULL},
      {"# hv_kv = High voltage [V]", NULL},
      {"# hv_kv = V", NULL},
      {"# pattern = Test pattern", NULL},
      {"# temp_c = Room temp [F]", NULL},
      {"# temp_c = F", NULL},
      {"# remark = Comments", NULL}}},
    {"5-preamble.csv",
     {{"# unit = the laser that all rows are of", "unit = Suite East"},
      {"# date = When", NULL},
      {"# target_mj = Energy set (mJ)", NULL},
      {"# energy_mj = Energy read (mJ)", NULL},
      {"# selftest_passed = Passed", NULL},
      {"# selftest_total = Of", NULL},
      {"# hv_kv = Voltage (kV)", NULL},
      {"# temp_c = Room (C)", NULL},
      {"# remark = Notes", NULL}}},
    {"6-long.csv",
     {{"# target_mj = Parameter, Target energy (mJ)", NULL},
      {"# offset_x_um = Parameter, Tracker X (um)", NULL},
      {"# offset_y_um = Parameter, Tracker Y (um)", NULL},
      {"# hv_kv = Parameter, Discharge voltage (V)", NULL},
      {"# hv_kv = V", NULL},
      {"# not_stored = Parameter, Water level (mm)", NULL}}},
    {"7-words.csv",
     {{"# target_mj = Target (J)", NULL},
      {"# target_mj = J", NULL},
      {"# energy_mj = Energy (J)", NULL},
      {"# energy_mj = J", NULL},
      {"# selftest_passed.1 = Self-test, PASSED", "selftest_passed.18 = Self-test, all passed"},
      {"# selftest_passed.0 = Self-test, FAILED", "selftest_passed.17 = Self-test, shutter failed"},
      {"# selftest_total.1 = Self-test, PASSED | FAILED",
       "selftest_total.18 = Self-test, all passed | shutter failed"},
      {"# event.gas_refill = Gas changed, yes, before", NULL}}},
    {"8-no-header.txt",
     {{"# unit = the laser that all rows are of", "unit = Suite East"},
      {"# dates = dmy", NULL},
      {"# date = @1", NULL},
      {"# time = @2", NULL},
      {"# Column 3, \"@3\" (numbers): one of the keys below, or none", "target_mj = @3"},
      {"# Column 4, \"@4\" (numbers): one of the keys below, or none", "energy_mj = @4"},
      {"# Column 5, \"@5\" (numbers): one of the keys below, or none", "offset_x_um = @5"},
      {"# Column 6, \"@6\" (numbers): one of the keys below, or none", "offset_y_um = @6"},
      {"# Column 7, \"@7\" (numbers): one of the keys below, or none", "selftest_passed = @7"},
      {"# Column 8, \"@8\" (numbers): one of the keys below, or none", "selftest_total = @8"},
      {"# Column 9, \"@9\" (numbers): one of the keys below, or none", "hv_kv = @9"},
      {"# Column 11, \"@11\" (numbers): one of the keys below, or none", "temp_c = @11"},
      {"# remark = @10", "pattern = @10"},
      {"# pattern = @12", "remark = @12"}}}};

static void read_one(const log_file *log, const char *meant) {
  char *folder = folder_begin(), *path = fixture(log->name), *map_path = path_in(folder, "map.ini");
  char *shown = RUN_DONE(folder, "columns", "--quiet", "--write", "map.ini", path);
  char *map = file_read(map_path, NULL);
  bool mapped = log->edits[0].offered != NULL;
  /* What is open is said, with the map as the way on. */
  cr_expect(!mapped || strstr(shown, " MAP") != NULL || strstr(shown, "column map") != NULL,
            "%s:\n%s", log->name, shown);
  for (size_t i = 0; i < MOST_EDITS && log->edits[i].offered != NULL; i++)
    map = change(map, &log->edits[i], log->name);
  file_write(map_path, map, strlen(map));
  char *settled = RUN_DONE(folder, "columns", "--map", "map.ini", path);
  cr_expect_not_null(strstr(settled, "Nothing is left to settle"), "%s:\n%s", log->name, settled);
  char *summary = RUN_DONE(folder, "import", "--map", "map.ini", path);
  cr_expect_not_null(strstr(summary, "12 new, 0 already known, 0 conflicts, 0 refused"), "%s: %s",
                     log->name, summary);
  char *readings = readings_of(folder);
  cr_expect_str_eq(readings, meant, "%s", log->name);
  free(readings);
  free(summary);
  free(settled);
  free(map);
  free(shown);
  free(map_path);
  free(path);
  folder_end(folder);
}

Test(eight_logs, all_give_what_was_meant) {
  char *path = fixture("meant.csv"), *meant = file_read(path, NULL);
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++)
    read_one(&logs[i], strchr(meant, '\n') + 1);
  free(meant);
  free(path);
}
