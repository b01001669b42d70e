/* A ledger that was begun and into which nothing was entered goes again, and nobody's entry with
 * it.
 */
#include "helpers.h"

#include <dirent.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

TestSuite(ledger_unbegun, .fini = test_cleanup);

static bool is_there(const char *path) {
  return access(path, F_OK) == 0;
}

static bt_status enter(bt_ledger *ledger, bt_error *error) {
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  bool known = false;
  return bt_ledger_add_event(ledger, &event, true, "KL", TEST_NOW, &known, error);
}

Test(ledger_unbegun, nothing_entered_leaves_no_file) {
  const char *path = test_path("ledger");
  bt_error error = {0};
  bt_source source = test_source("log.csv");
  bt_check check = test_check("A", "2026-01-01", 1.5, 2);
  bt_import *import = NULL;
  bool repeated = false;
  bt_ledger *ledger = test_ledger();
  cr_assert(is_there(path));
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(bt_import_check(import, &check, &error), error);
  bt_import_abandon(import);
  bt_ledger_close(ledger);
  cr_expect_not(is_there(path));

  ledger = test_ledger();
  cr_ok(enter(ledger, &error), error);
  bt_ledger_close(ledger);
  cr_expect(is_there(path), "one with an entry stays");
  ledger = test_open(path, BT_LEDGER_CREATE);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);
  bt_ledger_close(ledger);
  cr_expect(is_there(path));

  ledger = test_kept(test_path("kept"));
  bt_ledger_close(ledger);
  cr_expect(is_there(test_path("kept")), "a file that was there stays");
}

Test(ledger_unbegun, what_another_program_enters_stays) {
  const char *path = test_path("ledger");
  bt_error error = {0};
  bt_ledger *first = test_ledger(), *second = test_open(path, BT_LEDGER_WRITE);
  cr_ok(enter(second, &error), error);
  bt_ledger_close(first);
  cr_assert(is_there(path));
  cr_expect_eq(test_number(second, "SELECT count(*) FROM entry"), 2);
  bt_ledger_close(second);
  cr_assert_eq(unlink(path), 0);

  first = test_ledger();
  second = test_open(path, BT_LEDGER_WRITE);
  bt_ledger_close(first);
  cr_assert(is_there(path), "while another has it open");
  cr_ok(enter(second, &error), error);
  bt_ledger_close(second);
  second = test_open(path, BT_LEDGER_READ);
  cr_expect_eq(test_number(second, "SELECT count(*) FROM entry"), 2);
  bt_ledger_close(second);
}

/* A person moves the ledger away under a program that is about to write. */
Test(ledger_unbegun, no_entry_goes_into_a_file_without_a_name) {
  const char *path = test_path("ledger");
  bt_error error = {0};
  bt_ledger *ledger = test_kept(path);
  cr_assert_eq(rename(path, test_path("moved")), 0);
  bt_status status = enter(ledger, &error);
  cr_expect_eq(status, BT_SYSTEM, "%d: %s", (int)status, error.text);
  cr_expect_not_null(strstr(error.text, "another program took the ledger away"), "%s", error.text);
  bt_ledger_close(ledger);
  cr_expect_not(is_there(path));
}

static void wait_ms(long milliseconds) {
  struct timespec pause = {.tv_nsec = milliseconds * 1000000};
  (void)nanosleep(&pause, NULL);
}

/* Whether that process has the file open. */
static bool has_open(pid_t process, const char *path) {
  char folder[64], where[PATH_MAX];
  (void)snprintf(folder, sizeof folder, "/proc/%ld/fd", (long)process);
  DIR *files = opendir(folder);
  bool found = false;
  for (struct dirent *entry; files != NULL && !found && (entry = readdir(files)) != NULL;) {
    ssize_t n = readlinkat(dirfd(files), entry->d_name, where, sizeof where - 1);
    where[n < 0 ? 0 : n] = '\0';
    found = strcmp(where, path) == 0;
  }
  if (files != NULL)
    (void)closedir(files);
  return found;
}

/* The same for a file of no page, of which SQLite does not ask where it is: another program, which
 * holds the lock, takes it away while this one waits to begin a ledger in it. It begins one under
 * the name. */
Test(ledger_unbegun, a_ledger_is_begun_under_its_name) {
  const char *path = test_path("ledger");
  FILE *empty = fopen(path, "w");
  int start[2];
  char go = 0;
  cr_assert(empty != NULL && fclose(empty) == 0 && pipe(start) == 0);
  pid_t child = fork();
  cr_assert_geq(child, 0);
  if (child == 0) {
    bt_ledger *ledger = NULL;
    bt_error error = {0};
    _exit(read(start[0], &go, 1) == 1 ? (int)bt_ledger_open(path, BT_LEDGER_CREATE, &ledger, &error)
                                      : 255);
  }
  sqlite3 *other = NULL;
  cr_assert_eq(sqlite3_open(path, &other), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
  cr_assert_eq(write(start[1], &go, 1), 1);
  for (int i = 0; i < 2000 && !has_open(child, path); i++)
    wait_ms(5);
  wait_ms(200); /* by now it waits for the lock */
  cr_assert_eq(unlink(path), 0);
  cr_assert_eq(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
  int result = -1;
  cr_assert_eq(waitpid(child, &result, 0), child);
  cr_expect(WIFEXITED(result) && WEXITSTATUS(result) == BT_OK, "%x", (unsigned)result);
  bt_ledger *ledger = test_open(path, BT_LEDGER_READ);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 1);
  bt_ledger_close(ledger);
  (void)sqlite3_close(other);
  (void)close(start[0]);
  (void)close(start[1]);
}
