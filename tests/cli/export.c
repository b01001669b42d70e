/* export, from outside: what comes out goes back in as it was, and a folder is written whole or not
 * at all. */
#include "program.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *const tables[] = {"checks",
                                     "events",
                                     "superseded_checks",
                                     "superseded_events",
                                     "held_back",
                                     "refused_lines",
                                     "sources",
                                     "settings",
                                     "tolerances",
                                     "units",
                                     "own_characteristics",
                                     "baselines",
                                     "dispositions",
                                     "issued_reports",
                                     "removed_texts",
                                     "unit_sources",
                                     "entries"};
enum { TABLES = sizeof tables / sizeof *tables };

/* Everything that an export must bring through: own readings, texts that look like formulas, quoted
 * line ends, two checks of one minute, days without a clock, seconds, units of one name's kind,
 * states and refills. */
static const char own_settings[] =
    "[clinic]\nname = A clinic, \"the\" one\ntell = us\n"
    "[unit 1]\nname = Suite, North\nbeam = gaussian\nspread = 2s\nexpected_days = 2.5\n"
    "[unit 2]\nname = Süd 2\nfluence = plate\nplate_alpha_per_um = 3.9\n"
    "plate_threshold_mj_cm2 = 45.5\n"
    "[characteristic 1]\nkey = door_force\ntitle = Door force\nunit = N\ndecimals = 1\n"
    "[tolerance 1]\nunit = Suite, North\ncharacteristic = energy_ratio\nlow = 0.97\nhigh = 1.03\n"
    "source = instructions, section 7.2\nfrom = 2026-01-01\n"
    "[tolerance 2]\nunit = Süd 2\ncharacteristic = door_force\nhigh = 40\nsource = policy\n"
    "from = 2026-01-01\n"
    "[schedule]\nweekdays = mon wed\n";
static const char log_text[] =
    "date,time,unit,target_mj,energy_mj,offset_x_um,selftest_passed,selftest_total,hv_kv,pulses,"
    "door_force,state,pattern,remark\r\n"
    "2026-04-13,07:30,\"Suite, North\",1.61,1.605,-4.25,5,6,25.1,1234567,31.25,as_found,pass,=1+1\r\n"
    "2026-04-13,07:30,\"Suite, North\",1.61,1.6049999,0,6,6,25.1,1234568,,as_left,pass,"
    "\"two\nlines, \"\"quoted\"\"\"\r\n"
    "2026-04-14,07:30:15,\"Suite, North\",1.61,0.000012,,,,,,,,,-5 looks odd\r\n"
    "2026-04-15,,Süd 2,1.61,123.456789012345,,,,,,-3,,fail,'@quoted\r\n";
static const char events_text[] = "date,time,unit,event,note\r\n"
                                  "2026-04-13,12:00,\"Suite, North\",gas_refill,+\r\n"
                                  "2026-04-14,,Süd 2,service,\"mirror, second\"\r\n";

static char *folder_with_ledger(void) {
  char *folder = folder_begin();
  file_put(folder, "clinic.ini", own_settings);
  file_put(folder, "log.csv", log_text);
  file_put(folder, "events.csv", events_text);
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  free(RUN_DONE(folder, "import", "log.csv", "events.csv"));
  return folder;
}

/* The columns of a CSV that tell of the record itself, not of where it came from: all but those
 * named. Quoted cells are cut at their commas too, the same way on both sides. */
static char *file_in(const char *folder, const char *inside, const char *name) {
  char *where = path_in(folder, inside), *path = path_in(where, name);
  char *text = file_read(path, NULL);
  free(where);
  free(path);
  return text;
}

/* Cells of one line into `cell`, each as written; how many. The line is cut into them. */
static size_t cells_of(char **rest, char **cell, size_t most) {
  size_t n = 0;
  char *at = *rest;
  bool quoted = false;
  cell[n++] = at;
  for (; *at != '\0' && (quoted || *at != '\n'); at++) {
    if (*at == '"')
      quoted = !quoted;
    if (*at == ',' && !quoted) {
      *at = '\0';
      cr_assert_lt(n, most);
      cell[n++] = at + 1;
    }
  }
  if (*at == '\n')
    *at++ = '\0';
  *rest = at;
  return n;
}

static bool is_provenance(const char *name) {
  static const char *const names[] = {"beamtally_", "source",  "line",   "last_line",
                                      "entry",      "number",  "digest", "sequence",
                                      "file",       "entered", "by"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++)
    if (strncmp(name, names[i], strlen(names[i])) == 0)
      return true;
  return false;
}

/* Both tables hold the same cells, byte for byte, but for the columns of provenance. */
static void tables_must_be_same(const char *folder, const char *one, const char *other,
                                const char *name) {
  char *text_a = file_in(folder, one, name), *text_b = file_in(folder, other, name);
  char *a = text_a, *b = text_b, *head[64], *cell_a[64], *cell_b[64];
  size_t columns = cells_of(&a, head, 64), rows = 0, compared = 0;
  cr_assert_eq(cells_of(&b, cell_b, 64), columns);
  for (size_t i = 0; i < columns; i++)
    cr_expect_str_eq(head[i], cell_b[i]);
  while (*a != '\0' && *b != '\0') {
    cr_assert_eq(cells_of(&a, cell_a, 64), columns);
    cr_assert_eq(cells_of(&b, cell_b, 64), columns);
    for (size_t i = 0; i < columns; i++)
      if (!is_provenance(head[i])) {
        cr_expect_str_eq(cell_a[i], cell_b[i], "%s, row %zu, %s", name, rows, head[i]);
        compared++;
      }
    rows++;
  }
  cr_expect(*a == '\0' && *b == '\0', "%s: one has more rows", name);
  cr_expect(rows > 0 && compared >= 4 * rows, "%s: %zu cells of %zu rows compared", name, compared,
            rows);
  free(text_a);
  free(text_b);
}

static void round_trip(const char *folder) {
  free(RUN_DONE(folder, "export", "-o", "one"));
  char *settings = path_in("one", "settings.ini"), *checks = path_in("one", "checks.csv");
  char *events = path_in("one", "events.csv");
  free(RUN_DONE(folder, "settings", settings, "--by", "KL", "--why", "from an export", "--ledger",
                "new.sqlite"));
  char *said = RUN_DONE(folder, "import", "--new-unit", checks, events, "--ledger", "new.sqlite");
  cr_expect_null(strstr(said, " 1 refused"), "%s", said);
  free(said);
  free(RUN_DONE(folder, "export", "-o", "two", "--ledger", "new.sqlite"));
  tables_must_be_same(folder, "one", "two", "checks.csv");
  tables_must_be_same(folder, "one", "two", "events.csv");
  char *one = file_in(folder, "one", "settings.ini"), *two = file_in(folder, "two", "settings.ini");
  cr_expect_str_eq(one, two);
  free(one);
  free(two);
  free(settings);
  free(checks);
  free(events);
}

Test(export, everything_comes_back_as_it_was) {
  char *folder = folder_with_ledger();
  round_trip(folder);
  folder_end(folder);
}

Test(export, the_demo_comes_back_as_it_was) {
  char *folder = folder_begin();
  demo_into(folder);
  round_trip(folder);
  folder_end(folder);
}

Test(export, each_table_is_a_file_and_a_member) {
  char *folder = folder_with_ledger();
  free(RUN_DONE(folder, "correct", "--yes", "--unit", "Süd 2", "--at", "2026-04-15",
                "energy_mj=1.6", "--by", "KL", "--why", "typing error"));
  free(RUN_DONE(folder, "export", "-o", "csv"));
  free(RUN_DONE(folder, "export", "--format", "json", "-o", "json"));
  char *text = file_in(folder, "json", "export.json"),
       *about = file_in(folder, "csv", "README.txt");
  json_t *document = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
  cr_assert_not_null(document, "%.200s", text);
  cr_expect_not_null(strstr(about, "was verified before, and was whole"), "%s", about);
  cr_expect_not_null(strstr(about, "`beamtally verify`"), "%s", about);
  for (size_t t = 0; t < TABLES; t++) {
    char name[64];
    (void)snprintf(name, sizeof name, "%s.csv", tables[t]);
    char *csv = file_in(folder, "csv", name);
    cr_expect_not_null(strchr(csv, ','), "%s: %s", name, csv);
    cr_expect_not_null(strstr(about, name), "README.txt doesn't tell of %s", name);
    cr_expect(json_is_array(json_object_get(document, tables[t])), "%s", tables[t]);
    free(csv);
  }
  const json_t *superseded = json_object_get(document, "superseded_checks");
  cr_assert_eq(json_array_size(superseded), 1);
  cr_expect_float_eq(number_of(json_array_get(superseded, 0), "energy_mj"), 123.456789012345,
                     1e-12);
  cr_expect_eq(json_array_size(json_object_get(document, "checks")), 4);
  json_decref(document);
  free(text);
  free(about);
  folder_end(folder);
}

static size_t files_in(const char *folder) {
  size_t n = 0;
  DIR *files = opendir(folder);
  cr_assert_not_null(files);
  while (readdir(files) != NULL)
    n++;
  (void)closedir(files);
  return n;
}

Test(export, what_fails_leaves_nothing) {
  char *folder = folder_with_ledger();
  file_put(folder, "there", "a file");
  size_t before = files_in(folder);
  static const struct {
    const char *words[8];
    int status;
    const char *says;
  } cases[] = {
      {{"export", "-o", "there"}, FAILED, "is there already"},
      {{"export", "-o", "no/where"}, FAILED, "no/where"},
      {{"export", "-o", ""}, USAGE, "-o needs"},
      {{"export", "--format", "xml"}, USAGE, "csv or json"},
      {{"export", "more"}, USAGE, "no further words"},
      {{"export", "-o", "out", "--ledger", "none"}, FAILED, "there is no ledger"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_result result = run_plain(folder, cases[i].words);
    cr_expect_eq(result.status, cases[i].status, "case %zu: %d", i, result.status);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: %s", i, result.err);
    run_free(&result);
  }
  run_setting small = {.folder = folder, .file_limit = 200};
  run_result result = run_with(&small, (const char *const[]){"export", "-o", "out", NULL});
  cr_expect_eq(result.status, FAILED, "status %d", result.status);
  cr_expect_not_null(strstr(result.err, "beamtally: out: "), "%s", result.err);
  run_free(&result);
  cr_expect_eq(files_in(folder), before, "something was left");
  folder_end(folder);
}
