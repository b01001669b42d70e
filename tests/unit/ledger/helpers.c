#include "helpers.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[] = "/tmp/ledger-test-XXXXXX";
static char paths[16][128];
static size_t paths_n;

const char *test_path(const char *name) {
  if (paths_n == 0) {
    cr_assert_not_null(mkdtemp(folder));
    cr_assert_eq(chmod(folder, 0777), 0);
  }
  char path[sizeof paths[0]];
  (void)snprintf(path, sizeof path, "%s/%s", folder, name);
  for (size_t i = 0; i < paths_n; i++)
    if (strcmp(paths[i], path) == 0)
      return paths[i];
  cr_assert_lt(paths_n, sizeof paths / sizeof paths[0]);
  memcpy(paths[paths_n], path, sizeof path);
  return paths[paths_n++];
}

void test_cleanup(void) {
  if (paths_n == 0)
    return;
  for (size_t i = 0; i < paths_n; i++) {
    (void)unlink(paths[i]);
    (void)rmdir(paths[i]);
  }
  cr_assert_eq(rmdir(folder), 0, "a test left a file in %s", folder);
}

char *test_read_file(const char *path, size_t *n) {
  FILE *file = fopen(path, "rb");
  cr_assert(file != NULL && fseek(file, 0, SEEK_END) == 0);
  *n = (size_t)ftell(file);
  rewind(file);
  char *bytes = calloc(*n + 1, 1);
  cr_assert(bytes != NULL && fread(bytes, 1, *n, file) == *n && fclose(file) == 0);
  return bytes;
}

void test_run(sqlite3 *db, const char *sql) {
  cr_assert_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
}

const char *test_older_ledger(const char *path, int version) {
  sqlite3 *db = NULL;
  size_t n = 0;
  char dump_path[256], marks[80];
  (void)snprintf(dump_path, sizeof dump_path, LEDGER_VERSIONS "%d.sql", version);
  char *dump = test_read_file(dump_path, &n);
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  test_run(db, "PRAGMA page_size = 8192");
  test_run(db, dump);
  (void)snprintf(marks, sizeof marks, "PRAGMA application_id = %d; PRAGMA user_version = %d",
                 (int)LEDGER_APPLICATION_ID, version);
  test_run(db, marks);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  free(dump);
  return path;
}

bt_ledger *test_open(const char *path, bt_ledger_mode mode) {
  bt_ledger *ledger = NULL;
  bt_error error = {0};
  cr_ok(bt_ledger_open(path, mode, &ledger, &error), error);
  return ledger;
}

bt_ledger *test_ledger(void) {
  bt_ledger *ledger = test_open(test_path("ledger"), BT_LEDGER_CREATE);
  bt_error error = {0};
  cr_ok(ledger_run(ledger, "PRAGMA synchronous = OFF", &error), error);
  return ledger;
}

bt_ledger *test_kept(const char *path) {
  FILE *empty = fopen(path, "w");
  cr_assert(empty != NULL && fclose(empty) == 0);
  return test_open(path, BT_LEDGER_CREATE);
}

bt_ledger *test_synced_ledger(void) {
  return test_open(test_path("ledger"), BT_LEDGER_CREATE);
}

bt_time test_time(const char *iso) {
  bt_time time = 0;
  cr_assert(bt_time_parse(iso, &time, NULL), "%s", iso);
  return time;
}

bt_source test_source(const char *name) {
  bt_source source = {.name = name, .bytes = 1000, .reading = "delimiter comma"};
  (void)crypto_hash_sha256(source.sha256, (const unsigned char *)name, strlen(name));
  return source;
}

bt_check test_check(const char *unit, const char *iso, double energy, int64_t line) {
  bt_check check = {.unit = unit, .has_clock = true, .line = line, .last_line = line};
  check.time = test_time(iso);
  check.present = 1U << BT_READING_ENERGY_MJ;
  check.reading[BT_READING_ENERGY_MJ] = energy;
  return check;
}

bt_import_counts test_import(bt_ledger *ledger, const char *name, const bt_check *checks,
                             size_t n) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bool repeated = false;
  bt_import_counts counts = {0};
  bt_error error = {0};
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  cr_assert_not(repeated);
  for (size_t i = 0; i < n; i++)
    cr_ok(bt_import_check(import, &checks[i], &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  return counts;
}

int64_t test_number(bt_ledger *ledger, const char *sql) {
  int64_t number = -1;
  bt_error error = {0};
  cr_ok(ledger_number(ledger, sql, &number, &error), error);
  return number;
}

void test_state(bt_ledger *ledger, char *digits) {
  bt_provenance provenance;
  bt_error error = {0};
  cr_ok(bt_ledger_provenance(ledger, NULL, &provenance, &error), error);
  memcpy(digits, provenance.state, sizeof provenance.state);
}

void test_fill(bt_ledger *ledger) {
  bt_error error = {0};
  bt_check log[3] = {test_check("A", "2026-01-03T08:05", 1.25, 4),
                     test_check("B", "2026-01-01", 1.5, 3), test_check("A", "2026-01-01", 1.5, 2)};
  log[0].text[BT_FIELD_REMARK] = "lamp warm";
  log[1].text[BT_FIELD_METER] = log[2].text[BT_FIELD_METER] = "M 7";
  (void)test_import(ledger, "log.csv", log, 3);
  log[0].reading[BT_READING_ENERGY_MJ] = 2; /* contradicts the ledger: held back */
  bt_source source = test_source("changed.csv");
  bt_import *import = NULL;
  bool flag = false;
  bt_import_counts counts;
  bt_refusal refusal = {.line = 9, .reason = "no date"};
  bt_event event = {
      .unit = "A", .time = TEST_NOW, .kind = BT_EVENT_MOVED, .line = 8, .last_line = 8};
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &flag, &error), error);
  cr_ok(bt_import_check(import, &log[0], &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  cr_ok(bt_import_refusal(import, &refusal, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_assert_eq(counts.conflicts, 1);
  event = (bt_event){.unit = "B", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = "mirror 2"};
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &flag, &error), error);
  char name[] = "A", why[] = "yearly", policy[] = "policy 3";
  bt_unit_setting unit = {.name = name};
  bt_tolerance tolerance = {.unit = name, .has_low = true, .low = 0.97, .source = policy};
  bt_settings settings = {.units_n = 1,
                          .units = &unit,
                          .tolerances_n = 1,
                          .tolerances = &tolerance,
                          .alarms_per_unit_year = 1};
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", why, TEST_NOW, &error), error);
  bt_baseline baseline = {.has_centre = true, .centre = 1, .by = name, .why = why};
  int64_t version = 0;
  cr_ok(test_add_baseline(ledger, "A", &baseline, NULL, 0, TEST_NOW, &version, &error), error);
}

bt_status test_add_baseline(bt_ledger *ledger, const char *unit, const bt_baseline *baseline,
                            const bt_baseline_exclusion *exclusions, size_t exclusions_n,
                            bt_time now, int64_t *version, bt_error *error) {
  bt_new_baseline one = {
      .baseline = baseline, .exclusions = exclusions, .exclusions_n = exclusions_n};
  bt_status status = bt_ledger_add_baselines(ledger, unit, &one, 1, now, error);
  *version = one.version;
  return status;
}

char *test_drop_triggers(bt_ledger *ledger) {
  sqlite3_stmt *triggers = NULL;
  bt_text drops = {0}, makes = {0};
  bt_error error = {0};
  cr_ok(ledger_prepare(ledger, "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'",
                       &triggers, &error),
        error);
  while (sqlite3_step(triggers) == SQLITE_ROW) {
    bt_text_format(&drops, "DROP TRIGGER %s;", (const char *)sqlite3_column_text(triggers, 0));
    bt_text_format(&makes, "%s;", (const char *)sqlite3_column_text(triggers, 1));
  }
  (void)sqlite3_finalize(triggers);
  cr_ok(ledger_run(ledger, bt_text_get(&drops), &error), error);
  bt_text_free(&drops);
  return bt_text_take(&makes);
}

void test_close_whole(bt_ledger *ledger) {
  bt_verification found;
  bt_error error = {0};
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);
}

void test_energies_stand(bt_ledger *ledger, const double *energies, size_t n, int line) {
  bt_history h;
  bt_error error = {0};
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_expect_eq(h.n, n, "line %d: %zu stand", line, h.n);
  for (size_t i = 0; i < n && i < h.n; i++)
    cr_expect_eq(h.reading[BT_READING_ENERGY_MJ][i], energies[i], "line %d: %g", line,
                 h.reading[BT_READING_ENERGY_MJ][i]);
  bt_history_free(&h);
}

int test_as_nobody(void (*body)(void)) {
  pid_t child = fork();
  cr_assert_geq(child, 0);
  if (child == 0) {
    if (getuid() == 0 && setuid(65534) != 0)
      _exit(1);
    body();
    _exit(0);
  }
  int result = -1;
  cr_assert_eq(waitpid(child, &result, 0), child);
  return result;
}
