/* An import is all or nothing: unseen units, bad rows, abandoning, and a second writer. */
#include "helpers.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(ledger_import, .fini = test_cleanup);

static bt_import *begin(bt_ledger *ledger, const char *name, bool new_units) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bool repeated = false;
  bt_error error = {0};
  cr_ok(bt_import_begin(ledger, &source, NULL, new_units, TEST_NOW, &import, &repeated, &error),
        error);
  return import;
}

/* What the ledger holds, as one number that any stored row changes. */
static int64_t holdings(bt_ledger *ledger) {
  return test_number(ledger, "SELECT (SELECT count(*) FROM entry) + (SELECT count(*) FROM unit) + "
                             "(SELECT count(*) FROM source) + (SELECT count(*) FROM checks) + "
                             "(SELECT count(*) FROM event) + (SELECT count(*) FROM text) + "
                             "(SELECT count(*) FROM refusal)");
}

Test(ledger_import, an_unseen_unit_is_refused_with_the_nearest_name) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_import_counts counts;
  bt_check known[] = {test_check("Suite North", "2026-01-01", 1, 2),
                      test_check("Suite South", "2026-01-01", 1, 3)};
  (void)test_import(ledger, "log", known, 2);
  int64_t before = holdings(ledger);

  bt_check typo = test_check("Suite Nroth", "2026-01-02", 1, 2);
  bt_import *import = begin(ledger, "typo", false);
  bt_check other = test_check("East", "2026-01-02", 1, 3);
  cr_ok(bt_import_check(import, &typo, &error), error);
  cr_ok(bt_import_check(import, &other, &error), error);
  cr_assert_eq(bt_import_commit(import, &counts, &error), BT_REFUSED);
  cr_assert_not_null(strstr(error.text, "line 2: the ledger has no unit named \"Suite Nroth\"; the "
                                        "nearest is \"Suite North\""),
                     "%s", error.text);
  cr_assert_not_null(strstr(error.text, "line 3: \"East\" is new to this ledger (it holds \"Suite "
                                        "North\", \"Suite South\")"),
                     "%s", error.text);
  cr_assert_eq(holdings(ledger), before);

  import = begin(ledger, "typo", true);
  cr_ok(bt_import_check(import, &typo, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  char **names = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_units(ledger, &names, &n, &error), error);
  cr_assert_eq(n, 3);
  cr_assert_str_eq(names[0], "Suite North");
  cr_assert_str_eq(names[2], "Suite Nroth");
  bt_names_free(names, n);
  bt_ledger_close(ledger);
}

/* A person declared it: its first log, or an event typed in for it, is no typing error. */
Test(ledger_import, a_unit_named_in_the_settings_is_taken) {
  bt_ledger *ledger = test_ledger();
  bt_error error;
  char name[] = "Suite South";
  bt_unit_setting unit = {.name = name};
  bt_settings settings = {.units_n = 1, .units = &unit, .alarms_per_unit_year = 1};
  bt_check north = test_check("Suite North", "2026-01-01T08:00", 1.6, 2);
  bt_check south = test_check("suite south", "2026-01-01T08:00", 2.0, 2);
  (void)test_import(ledger, "north.csv", &north, 1);

  bt_event event = {.unit = "Suite South", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  bool known = false;
  cr_assert_eq(bt_ledger_add_event(ledger, &event, false, "KL", TEST_NOW, &known, &error),
               BT_REFUSED);
  cr_ok(bt_ledger_add_settings(ledger, &settings, "KL", "a second laser", TEST_NOW, &error), error);

  bt_source source = test_source("south.csv");
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(bt_import_check(import, &south, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_assert_eq(counts.fresh, 1);
  cr_ok(bt_ledger_add_event(ledger, &event, false, "KL", TEST_NOW, &known, &error), error);
  cr_assert_not(known);
  bt_ledger_close(ledger);
}

Test(ledger_import, abandoning_and_closing_store_nothing) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  bt_event event = {.unit = "B", .time = TEST_NOW, .kind = BT_EVENT_OTHER, .note = "x"};
  int64_t before = holdings(ledger);
  char state[2][21];
  test_state(ledger, state[0]);
  bt_import *import = begin(ledger, "log", true);
  cr_ok(bt_import_check(import, &check, &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  bt_import *second = NULL;
  bool repeated = false;
  bt_source source = test_source("other");
  cr_assert_eq(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &second, &repeated, &error),
               BT_USAGE);
  bt_import_abandon(import);
  bt_import_abandon(NULL);
  cr_assert_eq(holdings(ledger), before);
  test_state(ledger, state[1]);
  cr_assert_str_eq(state[0], state[1]);
  /* The ledger goes on as before. */
  cr_assert_eq(test_import(ledger, "log", &check, 1).fresh, 1);
  bt_ledger_close(ledger);
}

Test(ledger_import, rows_that_no_log_can_hold_are_refused) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check bad[6];
  for (int i = 0; i < 6; i++)
    bad[i] = test_check("A", "2026-01-01", 1, 2);
  bad[0].reading[BT_READING_ENERGY_MJ] = NAN;
  bad[1].reading[BT_READING_ENERGY_MJ] = -INFINITY;
  bad[2].reading[BT_READING_ENERGY_MJ] = -1;
  bad[3].text[BT_FIELD_REMARK] = "\xFF";
  bad[4].time = INT64_MAX;
  bad[5].unit = " ";
  for (int i = 0; i < 6; i++) {
    bt_import *import = begin(ledger, "log", true);
    cr_expect_eq(bt_import_check(import, &bad[i], &error), BT_INPUT, "row %d", i);
    bt_import_abandon(import);
  }
  bt_check zero = test_check("A", "2026-01-01", -0.0, 2); /* comes out as plain zero */
  cr_assert_eq(test_import(ledger, "zero", &zero, 1).fresh, 1);
  bt_ledger_close(ledger);
}

Test(ledger_import, an_error_inside_the_merge_stores_nothing) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_import_counts counts;
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  int64_t before = holdings(ledger);
  /* Stepping is interrupted from inside, at ever later moments, until the import gets through. */
  int failed = 0;
  for (int pages = 1; pages < 40; pages++) {
    bt_import *import = begin(ledger, "log", true);
    for (int i = 0; i < 500; i++) {
      check.time += BT_HOUR;
      check.line = ++check.last_line;
      cr_ok(bt_import_check(import, &check, &error), error);
    }
    /* A limit on the file's size fails like a full disk. */
    sqlite3_int64 now = test_number(ledger, "PRAGMA page_count");
    char pragma[64];
    (void)sqlite3_snprintf(sizeof pragma, pragma, "PRAGMA max_page_count = %lld", now + pages);
    cr_ok(ledger_run(ledger, pragma, &error), error);
    bt_status status = bt_import_commit(import, &counts, &error);
    cr_ok(ledger_run(ledger, "PRAGMA max_page_count = 1000000", &error), error);
    if (status == BT_OK)
      break;
    failed++;
    cr_assert_eq(status, BT_SYSTEM, "%s", error.text);
    cr_assert_not_null(strstr(error.text, "full"), "%s", error.text);
    cr_assert_eq(holdings(ledger), before);
  }
  cr_assert_gt(failed, 2);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM checks"), 500);
  bt_ledger_close(ledger);
}

Test(ledger_import, a_second_writer_waits_then_fails_with_a_sentence) {
  bt_ledger *first = test_ledger();
  bt_ledger *second = test_open(test_path("ledger"), BT_LEDGER_WRITE);
  bt_ledger *reader = test_open(test_path("ledger"), BT_LEDGER_READ);
  bt_error error = {0};
  bt_import_counts counts;
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  cr_assert_eq(test_number(second, "PRAGMA busy_timeout"), 10000);
  ledger_set_wait(second, 20);
  bt_import *import = begin(first, "log", true);
  cr_ok(bt_import_check(import, &check, &error), error);
  bt_source source = test_source("other");
  bt_import *other = NULL;
  bool repeated = false;
  cr_assert_eq(bt_import_begin(second, &source, NULL, true, TEST_NOW, &other, &repeated, &error),
               BT_SYSTEM);
  cr_assert_not_null(strstr(error.text, "another program"), "%s", error.text);
  cr_assert_eq(test_number(reader, "SELECT count(*) FROM checks"), 0);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  check.line = check.last_line = 3;
  check.time += BT_DAY;
  cr_assert_eq(test_import(second, "other", &check, 1).fresh, 1);
  cr_assert_eq(test_number(reader, "SELECT count(*) FROM checks"), 2);
  cr_assert_eq(test_number(reader, "PRAGMA query_only"), 1);
  cr_assert_eq(bt_import_begin(reader, &source, NULL, true, TEST_NOW, &other, &repeated, &error),
               BT_USAGE);
  bt_ledger_close(first);
  bt_ledger_close(second);
  bt_ledger_close(reader);
}

/* Verifying a long ledger is reading, not writing. */
Test(ledger_import, a_reader_that_goes_on_is_waited_for_then_said_to_use_the_ledger) {
  bt_ledger *ledger = test_ledger();
  bt_ledger *reader = test_open(test_path("ledger"), BT_LEDGER_READ);
  bt_error error = {0};
  bool known = false;
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_OTHER};
  ledger_set_wait(ledger, 20);
  cr_ok(ledger_run(reader, "BEGIN; SELECT count(*) FROM checks", &error), error);
  cr_assert_eq(bt_ledger_add_event(ledger, &event, true, "KL", TEST_NOW, &known, &error),
               BT_SYSTEM);
  cr_expect_not_null(strstr(error.text, "another program is using this ledger"), "%s", error.text);
  ledger_rollback(reader);
  cr_ok(bt_ledger_add_event(ledger, &event, true, "KL", TEST_NOW, &known, &error), error);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM event"), 1, "nothing of the first stays");
  bt_ledger_close(reader);
  bt_ledger_close(ledger);
}

static int die(void *unused) {
  (void)unused;
  (void)kill(getpid(), SIGKILL);
  return 0;
}

/* Imports with next to no cache, so that pages are written early, and is killed while committing.
 */
static void import_and_die(const char *path) {
  bt_ledger *ledger = test_open(path, BT_LEDGER_WRITE);
  bt_error error = {0};
  bt_import_counts counts;
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  bt_import *import = begin(ledger, "killed", true);
  cr_ok(ledger_run(ledger, "PRAGMA main.cache_size = 5", &error), error);
  for (int i = 0; i < 5000; i++) {
    check.time += BT_HOUR;
    check.line = ++check.last_line;
    cr_ok(bt_import_check(import, &check, &error), error);
  }
  (void)sqlite3_commit_hook(ledger->db, die, NULL);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  _exit(1); /* it should not have got here */
}

Test(ledger_import, killed_while_committing_the_ledger_is_as_before) {
  bt_ledger *ledger = test_ledger();
  const char *path = test_path("ledger");
  const char *journal = test_path("ledger-journal");
  bt_check check = test_check("A", "2025-01-01", 1, 2);
  (void)test_import(ledger, "log", &check, 1);
  char state[2][21];
  test_state(ledger, state[0]);
  int64_t before = holdings(ledger);
  int64_t pages = test_number(ledger, "PRAGMA page_count");
  bt_ledger_close(ledger);

  pid_t child = fork();
  cr_assert_geq(child, 0);
  if (child == 0)
    import_and_die(path);
  int result = 0;
  cr_assert_eq(waitpid(child, &result, 0), child);
  cr_assert(WIFSIGNALED(result) && WTERMSIG(result) == SIGKILL);
  cr_assert_eq(access(journal, F_OK), 0, "the kill came in the midst of it");

  ledger = test_open(path, BT_LEDGER_READ);
  cr_assert_eq(holdings(ledger), before);
  test_state(ledger, state[1]);
  cr_assert_str_eq(state[0], state[1]);
  cr_assert_eq(test_number(ledger, "PRAGMA page_count"), pages);
  cr_assert_neq(access(journal, F_OK), 0);
  bt_ledger_close(ledger);
}
