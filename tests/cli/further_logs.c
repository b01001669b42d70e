/* Further shapes of logs, read by doing what the program itself says, as in eight_logs.c: units in
 * the cells, months by name, one row a reading with commas in its names, a list of dates alone. The
 * data are invented. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_EDITS = 12 };

typedef struct edit {
  const char *offered, *done; /* done NULL: the # and blank before it are taken off */
} edit;

typedef struct shape {
  const char *text, *said; /* by import */
  const char *found;       /* in a file of the export */
  const char *file;
  edit edits[MOST_EDITS];
} shape;

static const shape shapes[] = {
    {"Room 3 laser - morning checks\n\n"
     "Day;Time of check;Pulse energy;Wanted;Humidity;Room;Gas;Initials;Anything odd\n"
     "01-Jul-2026;8:02 am;1.61 mJ;1.60 mJ;46 %;22.1 °C;;KL;\n"
     "02-Jul-2026;7:58 am;1.60 mJ;1.60 mJ;45 %;22.4 °C;new gas, bottle 7;MB;shutter slow\n"
     "03-Jul-2026;8:05 am;1.59 mJ;1.60 mJ;44 %;22.0 °C;;KL;\n",
     "3 rows, 3 new, 0 already known, 0 conflicts, 0 refused",
     "1,2026-07-02,07:58,Room 3,1.6,1.6,,,,,,,,,,,,,,22.4,45,,,,before,,,,MB,\"shutter slow; "
     "new gas, bottle 7\",",
     "checks.csv",
     {{"# unit = the laser that all rows are of", "unit = Room 3"},
      {"# date = Day", NULL},
      {"# time = Time of check", NULL},
      {"# energy_mj = Pulse energy", NULL},
      {"# target_mj = Wanted", NULL},
      {"# rh_pct = Humidity", NULL},
      {"# temp_c = Room", NULL},
      {"# operator = Initials", NULL},
      {"# remark = Anything odd", NULL},
      {"# event.gas_refill = Gas, \"new gas, bottle 7\", before", NULL}}},
    {"Datum;Was;Ergebnis;Wer\n01.07.2026;Energie, Ist;1,61 mJ;KL\n"
     "01.07.2026;Energie, Soll;1,60 mJ;KL\n01.07.2026;Versatz x;4 µm;KL\n"
     "02.07.2026;Energie, Ist;1,60 mJ;KL\n02.07.2026;Energie, Soll;1,60 mJ;KL\n"
     "02.07.2026;Versatz x;-3 µm;KL\n",
     "6 rows (2 checks), 2 new, 0 already known, 0 conflicts, 0 refused",
     "1,2026-07-01,,Room 3,1.6,1.61,,,,,,,4,,,,,,,,,,,,,,,,KL,",
     "checks.csv",
     {{"# unit = the laser that all rows are of", "unit = Room 3"},
      {"# date = Datum", NULL},
      {"# operator = Wer", NULL},
      {"# energy_mj = Was, \"Energie, Ist\"", NULL},
      {"# target_mj = Was, \"Energie, Soll\"", NULL},
      {"# offset_x_um = Was, Versatz x", NULL}}},
    {"\"Check date\",\"Laser\",\"Energy (mJ)\",\"HV (V)\",\"Self-test\"\n"
     "\"Jul 1, 2026\",\"Room 3\",\"1.61\",\"27500\",\"OK\"\n"
     "\"Jul 2, 2026\",\"Room 3\",\"1.60\",\"27510\",\"shutter, failed\"\n",
     "2 rows, 2 new, 0 already known, 0 conflicts, 0 refused",
     "1,2026-07-02,,Room 3,,1.6,,,,,,,,,0,1,27.51,",
     "checks.csv",
     {{"# date = Check date", NULL},
      {"# hv_kv = HV (V)", NULL},
      {"# hv_kv = V", NULL},
      {"# selftest_passed.1 = Self-test, OK", NULL},
      {"# selftest_passed.0 = Self-test, FAILED",
       "selftest_passed.0 = Self-test, \"shutter, failed\""},
      {"# selftest_total.1 = Self-test, OK | FAILED",
       "selftest_total.1 = Self-test, OK | \"shutter, failed\""}}},
    {"date;kind;remark\n20/07/2026;optics cleaned;window\n12/01/2026;service;yearly\n",
     "2 rows, 2 new, 0 already known, 0 conflicts, 0 refused",
     "2026-07-20,,Room 3,optics_cleaned,window",
     "events.csv",
     {{"# unit = the laser that all rows are of", "unit = Room 3"},
      {"# event = kind", NULL},
      {"# event.optics_cleaned = kind, optics cleaned", NULL},
      {"# event.service = kind, service", NULL}}},
    {"Date,Energy (mJ),Days since gas fill\n2026-07-01,1.61,0\n2026-07-02,1.60,1\n",
     "2 rows, 2 new, 0 already known, 0 conflicts, 0 refused",
     "1,2026-07-02,,Room 3,,1.6,,,,,,,,,,,,,1,",
     "checks.csv",
     {{"# unit = the laser that all rows are of", "unit = Room 3"},
      {"# fill_age_days = Days since gas fill", NULL}}},
    {"Gas changed\n2026-07-01\n2026-07-04\n",
     "2 rows, 2 new, 0 already known, 0 conflicts, 0 refused",
     "2026-07-04,,Room 3,gas_refill,",
     "events.csv",
     {{"# unit = the laser that all rows are of", "unit = Room 3"},
      {"# event = gas_refill", NULL},
      {"# date = Gas changed", NULL}}},
};

/* The map with one whole line changed, owned; frees the old one. */
static char *change(char *map, const edit *e) {
  char whole[256];
  (void)snprintf(whole, sizeof whole, "\n%s\n", e->offered);
  char *at = strstr(map, whole);
  cr_assert_not_null(at, "\"%s\" is not offered:\n%s", e->offered, map);
  const char *done = e->done == NULL ? e->offered + 2 : e->done;
  int before = (int)(at - map) + 1;
  size_t room = strlen(map) + strlen(done) + 1;
  char *made = malloc(room);
  cr_assert_not_null(made);
  (void)snprintf(made, room, "%.*s%s%s", before, map, done, at + 1 + strlen(e->offered));
  free(map);
  return made;
}

static void read_one(const shape *s) {
  char *folder = folder_begin(), *map_path = path_in(folder, "map.ini"),
       *path = path_in(folder, "log.csv");
  file_write(path, s->text, strlen(s->text));
  free(RUN_DONE(folder, "columns", "--quiet", "--write", "map.ini", "log.csv"));
  char *map = file_read(map_path, NULL);
  for (size_t i = 0; i < MOST_EDITS && s->edits[i].offered != NULL; i++)
    map = change(map, &s->edits[i]);
  file_write(map_path, map, strlen(map));
  char *settled = RUN_DONE(folder, "columns", "--map", "map.ini", "log.csv");
  cr_expect_not_null(strstr(settled, "Nothing is left to settle"), "%s", settled);
  char *said = RUN_DONE(folder, "import", "--map", "map.ini", "log.csv");
  cr_expect_not_null(strstr(said, s->said), "%s", said);
  free(RUN_DONE(folder, "export", "-o", "all"));
  char *in_all = path_in(folder, "all"), *out_path = path_in(in_all, s->file);
  char *out = file_read(out_path, NULL);
  cr_expect_not_null(strstr(out, s->found), "%s", out);
  free(out);
  free(out_path);
  free(in_all);
  free(said);
  free(settled);
  free(map);
  free(path);
  free(map_path);
  folder_end(folder);
}

Test(further_logs, are_read_as_the_program_says) {
  for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++)
    read_one(&shapes[i]);
}

/* What a spreadsheet saved as a number is said to be, with the way out. */
Test(further_logs, a_spreadsheets_count_of_days_is_refused) {
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  static const char text[] = "date,unit,energy_mj\n46204,A,1.6\n46205.5,A,1.6\n";
  file_write(path, text, strlen(text));
  run_result result = RUN(folder, "import", "log.csv");
  cr_expect_eq(result.status, 1);
  cr_expect_not_null(strstr(result.err, "a spreadsheet's own count of days; give the column a date "
                                        "format there (2026-08-17), and save it as CSV again"),
                     "%s", result.err);
  run_free(&result);
  free(path);
  folder_end(folder);
}
