/* Ledgers of version 1 (version1.sql), opened by the program of today: rules G1 and G2 of
 * src/ledger/migrate.c, which are alike for all versions, and what that one had not. The other
 * rules, of each version: versions.c. */
#include "helpers.h"
#include "ledger_private.h"
#include "migrate_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(ledger_migrate, .fini = test_cleanup);

/* Makes the ledger as version 1 had it. */
static const char *version_1(const char *path) {
  return test_older_ledger(path, 1);
}

static bool same_file(const char *path, const char *bytes, size_t n) {
  size_t m = 0;
  char *now = test_read_file(path, &m);
  bool same = m == n && memcmp(now, bytes, n) == 0;
  free(now);
  return same;
}

static bt_status open_error(const char *path, bt_ledger_mode mode, bt_error *error) {
  bt_ledger *ledger = NULL;
  bt_status status = bt_ledger_open(path, mode, &ledger, error);
  bt_ledger_close(ledger);
  return status;
}

Test(ledger_migrate, G3_what_is_new_says_what_version_1_took_for_granted_however_it_is_opened) {
  static const bt_ledger_mode modes[] = {BT_LEDGER_READ, BT_LEDGER_WRITE, BT_LEDGER_CREATE};
  const char *path = test_path("clinic.sqlite"), *kept = test_path("clinic.version1.sqlite");
  for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
    bt_ledger *ledger = test_open(version_1(path), modes[i]);
    cr_expect_eq(test_number(ledger, "SELECT count(*) FROM baseline WHERE mean_x = 0 AND "
                                     "drift_accepted = 0 AND trend_p = 1 AND step_p = 1"),
                 2);
    bt_ledger_close(ledger);
    cr_assert(unlink(path) == 0 && unlink(kept) == 0);
  }
}

Test(ledger_migrate, the_record_reads_as_before_and_is_written_on) {
  const char *path = version_1(test_path("clinic.sqlite"));
  (void)test_path("clinic.version1.sqlite");
  bt_error error = {0};
  bt_ledger *ledger = test_open(path, BT_LEDGER_WRITE);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "Suite North", INT64_MAX, &h, &error), error);
  cr_assert(h.n == 4 && h.events_n == 2);
  cr_expect_eq(h.reading[BT_READING_ENERGY_MJ][1], 1.59);
  cr_expect_str_eq(h.text[BT_FIELD_REMARK][0], "lamp warm, µ");
  bt_history_free(&h);
  bt_baseline *baselines = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_baselines(ledger, "Suite North", BT_FLUENCE, INT64_MAX, &baselines, &n, &error),
        error);
  cr_assert(n == 1 && baselines[0].version == 2 && baselines[0].sigma == 0.5);
  cr_expect(baselines[0].trend_p == 1 && baselines[0].step_p == 1 && !baselines[0].drift_accepted);
  bt_baseline_free(&baselines[0]);
  free(baselines);
  bt_time at = 0;
  cr_ok(bt_ledger_last_entry(ledger, &at, &error), error);
  cr_expect_eq(at, test_time("2026-01-11T09:00"), "what is printed bears the date that it had");

  bt_check check = test_check("Suite North", "2026-02-01T08:00", 1.6, 2);
  cr_expect_eq(test_import(ledger, "february.csv", &check, 1).fresh, 1);
  test_close_whole(ledger);
}

Test(ledger_migrate, the_structure_of_today_is_known_by_its_version) {
  char digits[2 * BT_SHA256_BYTES + 1];
  bt_error error = {0};
  bt_ledger *ledger = test_ledger();
  cr_ok(ledger_schema_digest(ledger, digits, &error), error);
  cr_assert_str_eq(digits, ledger_schema_known(LEDGER_VERSION),
                   "the structure of a ledger is another now: raise LEDGER_VERSION, and give "
                   "`schemas` of migrate.c the line \"%s\"",
                   digits);
  bt_ledger_close(ledger);
}

Test(ledger_migrate, a_second_opening_does_nothing) {
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = test_path("clinic.version1.sqlite");
  size_t n = 0;
  bt_ledger_close(test_open(path, BT_LEDGER_READ));
  char *bytes = test_read_file(path, &n);
  cr_assert_eq(unlink(kept), 0);
  bt_ledger *ledger = test_open(path, BT_LEDGER_WRITE);
  cr_expect_null(bt_ledger_migrated(ledger).copy);
  bt_ledger_close(ledger);
  cr_expect(same_file(path, bytes, n));
  cr_expect_neq(access(kept, F_OK), 0);
  free(bytes);
}

/* SQLite counts its writes in the first page; all else is the ledger as it was. */
Test(ledger_migrate, G1_the_copy_is_the_ledger_as_it_was_and_no_file_is_overwritten) {
  const char *path = test_path("clinic.sqlite"), *taken = test_path("clinic.version1.sqlite");
  const char *kept = test_path("clinic.version1-2.sqlite");
  FILE *file = fopen(taken, "w");
  cr_assert(file != NULL && fputs("mine", file) >= 0 && fclose(file) == 0);
  size_t n = 0, m = 0;
  char *before = test_read_file(version_1(path), &n);
  bt_ledger *ledger = test_open(path, BT_LEDGER_READ);
  cr_expect_str_eq(bt_ledger_migrated(ledger).copy, kept);
  bt_ledger_close(ledger);
  char *copy = test_read_file(kept, &m);
  cr_assert_eq(m, n);
  static const struct {
    size_t at, n;
  } counters[] = {{24, 4}, {40, 4}, {92, 8}}; /* of changes, of the schema, and who wrote last */
  for (size_t i = 0; i < sizeof counters / sizeof counters[0]; i++)
    memcpy(copy + counters[i].at, before + counters[i].at, counters[i].n);
  cr_expect_eq(memcmp(before, copy, n), 0);
  cr_expect(same_file(taken, "mine", 4));
  free(before);
  free(copy);
  sqlite3 *db = NULL;
  sqlite3_stmt *version = NULL;
  cr_assert_eq(sqlite3_open(kept, &db), SQLITE_OK);
  cr_assert_eq(sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &version, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_step(version), SQLITE_ROW);
  cr_expect_eq(sqlite3_column_int(version, 0), 1);
  (void)sqlite3_finalize(version);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);

  /* A ledger of another name. */
  const char *other = test_path("ledger.db");
  ledger = test_open(version_1(other), BT_LEDGER_READ);
  cr_expect_str_eq(bt_ledger_migrated(ledger).copy, test_path("ledger.db.version1.sqlite"));
  bt_ledger_close(ledger);
}

Test(ledger_migrate, a_newer_version_is_refused_and_left_alone) {
  const char *path = version_1(test_path("clinic.sqlite"));
  sqlite3 *db = NULL;
  bt_error error = {0};
  size_t n = 0;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  char mark[40];
  (void)snprintf(mark, sizeof mark, "PRAGMA user_version = %d", (int)LEDGER_VERSION + 1);
  test_run(db, mark);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  char *before = test_read_file(path, &n);
  cr_expect_eq(open_error(path, BT_LEDGER_READ, &error), BT_REFUSED, "%s", error.text);
  cr_expect_not_null(strstr(error.text, "newer"), "%s", error.text);
  cr_expect(same_file(path, before, n));
  cr_expect_neq(access(test_path("clinic.version1.sqlite"), F_OK), 0);
  free(before);
}

/* The limit on pages fails like a full disk, at ever later moments of the migration. */
Test(ledger_migrate, G2_a_full_disk_leaves_version_1) {
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = test_path("clinic.version1.sqlite");
  size_t n = 0;
  char *before = test_read_file(path, &n);
  int failed = 0;
  for (int more = 0; more < 200; more++) {
    bt_error error = {0};
    bt_ledger *ledger = bt_new(1, sizeof *ledger);
    cr_assert_not_null(ledger);
    ledger->path = bt_copy(path);
    cr_assert_eq(sqlite3_open(path, &ledger->db), SQLITE_OK);
    char pragma[64];
    (void)snprintf(pragma, sizeof pragma, "PRAGMA max_page_count = %d", (int)(n / 8192) + more);
    cr_ok(ledger_run(ledger, pragma, &error), error);
    bt_status status = ledger_migrate(ledger, 1, &error);
    bt_ledger_close(ledger);
    if (status == BT_OK)
      break;
    failed++;
    cr_assert_eq(status, BT_SYSTEM, "%s", error.text);
    cr_assert_not_null(strstr(error.text, "full"), "%s", error.text);
    cr_assert(same_file(path, before, n));
    cr_assert_neq(access(kept, F_OK), 0);
  }
  free(before);
  cr_assert_gt(failed, 2);
  bt_ledger_close(test_open(path, BT_LEDGER_READ));
}

/* The limit on the size of files kills the process at the write that would pass it: in the midst of
 * the copy, since nothing else is written before. */
static void migrate_until_killed(const char *path, rlim_t bytes) {
  struct rlimit limit = {bytes, bytes};
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  if (signal(SIGXFSZ, SIG_DFL) == SIG_ERR || setrlimit(RLIMIT_FSIZE, &limit) != 0)
    _exit(1);
  _exit(bt_ledger_open(path, BT_LEDGER_WRITE, &ledger, &error) == BT_OK ? 2 : 3);
}

Test(ledger_migrate, G1_killed_while_it_is_copied_no_half_file_bears_the_copys_name) {
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = test_path("clinic.version1.sqlite");
  const char *part = test_path("clinic.version1.sqlite.part");
  const char *second = test_path("clinic.version1-2.sqlite.part");
  size_t n = 0;
  char *before = test_read_file(path, &n);
  int killed = 0;
  for (size_t bytes = 0; bytes < n; bytes += 8192) {
    pid_t child = fork();
    cr_assert_geq(child, 0);
    if (child == 0)
      migrate_until_killed(path, (rlim_t)bytes);
    int result = 0;
    cr_assert_eq(waitpid(child, &result, 0), child);
    cr_assert(WIFSIGNALED(result) && WTERMSIG(result) == SIGXFSZ, "%zu bytes: %d", bytes, result);
    cr_expect_neq(access(kept, F_OK), 0, "killed at %zu bytes of %zu", bytes, n);
    cr_expect(same_file(path, before, n));
    cr_expect_eq(access(part, F_OK), 0, "what was written so far");
    cr_expect_neq(access(second, F_OK), 0, "the part that was killed before is gone");
    killed++;
  }
  cr_expect_gt(killed, 10);
  bt_ledger *ledger = test_open(path, BT_LEDGER_WRITE);
  bt_migration made = bt_ledger_migrated(ledger);
  cr_expect_str_eq(made.copy, kept);
  cr_expect(made.parts_removed == 1 && !made.copy_was_there);
  cr_expect_neq(access(part, F_OK), 0);
  bt_ledger_close(ledger);
  ledger = test_open(kept, BT_LEDGER_WRITE); /* it can be brought up to date like the other */
  test_close_whole(ledger);
  cr_assert_eq(unlink(test_path("clinic.version1.version1.sqlite")), 0);
  free(before);
}

/* Dies when the first page is to be changed for good. */
static int die(void *context) {
  (void)context;
  (void)raise(SIGKILL);
  return 0;
}

static void migrate_and_die(const char *path) {
  bt_ledger *ledger = bt_new(1, sizeof *ledger);
  bt_error error = {0};
  if (ledger == NULL || sqlite3_open(path, &ledger->db) != SQLITE_OK)
    _exit(1);
  ledger->path = bt_copy(path);
  if (ledger_run(ledger, "PRAGMA cache_size = 1", &error) != BT_OK) /* pages go out early */
    _exit(2);
  (void)sqlite3_commit_hook(ledger->db, die, NULL);
  _exit(ledger_migrate(ledger, 1, &error) == BT_OK ? 3 : 4);
}

Test(ledger_migrate, G2_killed_in_the_midst_it_is_of_version_1_and_migrates_then) {
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = test_path("clinic.version1.sqlite");
  const char *again = test_path("clinic.version1-2.sqlite");
  const char *journal = test_path("clinic.sqlite-journal");
  pid_t child = fork();
  cr_assert_geq(child, 0);
  if (child == 0)
    migrate_and_die(path);
  int result = 0;
  cr_assert_eq(waitpid(child, &result, 0), child);
  cr_assert(WIFSIGNALED(result) && WTERMSIG(result) == SIGKILL);
  cr_assert_eq(access(journal, F_OK), 0, "the kill came in the midst of it");
  cr_assert_eq(access(kept, F_OK), 0);

  sqlite3 *db = NULL;
  sqlite3_stmt *row = NULL;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  cr_assert_eq(sqlite3_prepare_v2(db,
                                  "SELECT (SELECT user_version FROM pragma_user_version), count(*) "
                                  "FROM sqlite_schema WHERE name IN ('superseded', 'entry_1')",
                                  -1, &row, NULL),
               SQLITE_OK);
  cr_assert_eq(sqlite3_step(row), SQLITE_ROW);
  cr_expect(sqlite3_column_int(row, 0) == 1 && sqlite3_column_int(row, 1) == 0);
  (void)sqlite3_finalize(row);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);

  bt_error error = {0};
  bt_verification found;
  size_t n = 0;
  char *copy = test_read_file(kept, &n);
  bt_ledger *ledger = test_open(path, BT_LEDGER_READ);
  bt_migration made = bt_ledger_migrated(ledger);
  cr_expect_str_eq(made.copy, kept, "the copy that was made is taken");
  cr_expect(made.copy_was_there && made.parts_removed == 0);
  cr_expect(same_file(kept, copy, n));
  cr_expect_neq(access(again, F_OK), 0);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);
  free(copy);
}

/* One makes the copy and migrates, the others wait and find it done. */
Test(ledger_migrate, G2_several_at_once_make_one_copy) {
  enum { PROCESSES = 4 };
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = test_path("clinic.version1.sqlite");
  pid_t children[PROCESSES];
  for (size_t i = 0; i < PROCESSES; i++) {
    children[i] = fork();
    cr_assert_geq(children[i], 0);
    if (children[i] == 0) {
      bt_ledger *ledger = NULL;
      bt_error error = {0};
      bt_status status = bt_ledger_open(path, BT_LEDGER_WRITE, &ledger, &error);
      _exit(status != BT_OK ? 2 : bt_ledger_migrated(ledger).copy != NULL ? 1 : 0);
    }
  }
  int migrated = 0;
  for (size_t i = 0; i < PROCESSES; i++) {
    int result = 0;
    cr_assert_eq(waitpid(children[i], &result, 0), children[i]);
    cr_expect(WIFEXITED(result) && WEXITSTATUS(result) <= 1, "process %zu: %d", i, result);
    migrated += WIFEXITED(result) && WEXITSTATUS(result) == 1;
  }
  cr_expect_eq(migrated, 1);
  cr_expect_eq(access(kept, F_OK), 0);
  bt_ledger *ledger = test_open(path, BT_LEDGER_READ);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE kind = 'migrated'"), 1);
  bt_ledger_close(ledger); /* and no second copy or part is left: test_cleanup would find it */
}

/* A copy that another ledger of that name left is kept, also when it differs by one reading. */
Test(ledger_migrate, G1_a_copy_of_another_ledger_is_neither_taken_nor_overwritten) {
  const char *path = test_path("clinic.sqlite"), *kept = test_path("clinic.version1.sqlite");
  const char *second = test_path("clinic.version1-2.sqlite");
  sqlite3 *db = NULL;
  cr_assert_eq(sqlite3_open(version_1(kept), &db), SQLITE_OK);
  test_run(db, "DROP TRIGGER refusal_keeps_rows; DELETE FROM refusal");
  cr_assert_gt(sqlite3_total_changes(db), 0);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  size_t n = 0;
  char *before = test_read_file(kept, &n);
  bt_ledger *ledger = test_open(version_1(path), BT_LEDGER_READ);
  cr_expect_str_eq(bt_ledger_migrated(ledger).copy, second);
  cr_expect_not(bt_ledger_migrated(ledger).copy_was_there);
  bt_ledger_close(ledger);
  cr_expect(same_file(kept, before, n));
  free(before);
}

/* A migration that fails leaves a copy that it only found. */
Test(ledger_migrate, G1_a_copy_that_was_there_outlives_a_failure) {
  const char *path = version_1(test_path("clinic.sqlite"));
  const char *kept = version_1(test_path("clinic.version1.sqlite"));
  size_t n = 0;
  char *before = test_read_file(kept, &n);
  bt_error error = {0};
  bt_ledger *ledger = bt_new(1, sizeof *ledger);
  cr_assert_not_null(ledger);
  ledger->path = bt_copy(path);
  cr_assert_eq(sqlite3_open(path, &ledger->db), SQLITE_OK);
  cr_ok(ledger_run(ledger, "PRAGMA max_page_count = 1", &error), error);
  cr_expect_eq(ledger_migrate(ledger, 1, &error), BT_SYSTEM);
  bt_ledger_close(ledger);
  cr_expect(same_file(kept, before, n));
  ledger = test_open(path, BT_LEDGER_READ);
  cr_expect(bt_ledger_migrated(ledger).copy_was_there);
  bt_ledger_close(ledger);
  free(before);
}

/* ---- Without the right to -------------------------------------------------------------------- */

static const char *shut;

static void refused_here(void) {
  bt_error error = {0};
  bt_status status = open_error(shut, BT_LEDGER_READ, &error);
  if (status != BT_SYSTEM || strstr(error.text, "older Beamtally") == NULL ||
      strstr(error.text, "copy it to a folder of yours") == NULL) {
    (void)fprintf(stderr, "status %d: %s\n", (int)status, error.text);
    _exit(2);
  }
}

Test(ledger_migrate, a_read_only_folder_or_file_is_answered_with_what_to_do) {
  const char *folder = test_path("folder");
  cr_assert_eq(mkdir(folder, 0755), 0);
  shut = version_1(test_path("folder/clinic.sqlite"));
  cr_assert_eq(chmod(shut, 0444), 0);
  cr_expect_eq(test_as_nobody(refused_here), 0, "the file is read only");
  cr_assert_eq(chmod(shut, 0666), 0);
  cr_assert_eq(chmod(folder, 0555), 0);
  cr_expect_eq(test_as_nobody(refused_here), 0, "the folder is read only");
  cr_assert_eq(chmod(folder, 0755), 0);
  cr_assert_eq(unlink(shut), 0);
}
