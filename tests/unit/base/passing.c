/* What is made under a passing name: it goes when it is asked to, unless it was forgotten before.
 */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "/tmp/beamtally passing XXXXXX";

static const char *in(const char *name) {
  static char paths[8][200];
  static size_t turn;
  char *path = paths[turn++ % 8];
  (void)snprintf(path, sizeof paths[0], "%s/%s", folder, name);
  return path;
}

static bool is_there(const char *name) {
  struct stat info;
  return lstat(in(name), &info) == 0;
}

static void begin(void) {
  cr_assert_not_null(mkdtemp(folder));
}

static void end(void) {
  bt_passing_remove();
  cr_expect_eq(rmdir(folder), 0, "something is left: %s", strerror(errno));
}

TestSuite(passing, .init = begin, .fini = end);

static void make(const char *name) {
  int file = bt_passing_file(in(name));
  cr_assert_geq(file, 0);
  cr_expect_eq(write(file, "x", 1), 1);
  cr_expect_eq(close(file), 0);
}

static void put(const char *name) {
  int file = open(in(name), O_WRONLY | O_CREAT, 0600);
  cr_assert_geq(file, 0);
  (void)close(file);
}

Test(passing, what_is_on_its_way_goes) {
  make("one.part");
  make("two.part");
  make("three.part");
  bt_passing_forget(in("two.part"));
  bt_passing_remove();
  cr_expect(!is_there("one.part") && is_there("two.part") && !is_there("three.part"));
  cr_expect_eq(unlink(in("two.part")), 0);
}

Test(passing, a_folder_goes_with_what_was_made_in_it) {
  cr_assert(bt_passing_folder(in("case.part")));
  make("case.part/a.part");
  cr_assert(bt_passing_note(in("case.part/a")));
  cr_assert_eq(rename(in("case.part/a.part"), in("case.part/a")), 0);
  bt_passing_forget(in("case.part/a.part"));
  cr_assert(bt_passing_note(in("case.part/never made")));
  bt_passing_remove();
  cr_expect_not(is_there("case.part"));
}

/* Neither the files in it nor one whose name begins likewise are mistaken. */
Test(passing, a_folder_that_was_forgotten_stays_with_all_in_it) {
  cr_assert(bt_passing_folder(in("case")));
  make("case/a");
  make("cases");
  bt_passing_forget(in("case"));
  bt_passing_remove();
  cr_expect(is_there("case/a") && !is_there("cases"));
  cr_expect(unlink(in("case/a")) == 0 && rmdir(in("case")) == 0);
}

/* What was there is another's: it is not opened, and does not go. */
Test(passing, what_was_there_stays) {
  put("there");
  errno = 0;
  cr_expect_eq(bt_passing_file(in("there")), -1);
  cr_expect_eq(errno, EEXIST);
  cr_expect_not(bt_passing_folder(in("there")));
  cr_expect_eq(errno, EEXIST);
  cr_expect_eq(bt_passing_file(in("none/there")), -1);
  cr_expect_eq(errno, ENOENT);
  bt_passing_remove();
  cr_expect(is_there("there"));
  cr_expect_eq(unlink(in("there")), 0);
}

Test(passing, a_new_folder_has_a_name_of_its_own) {
  char one[200], other[200];
  (void)snprintf(one, sizeof one, "%s", in("new-XXXXXX"));
  (void)snprintf(other, sizeof other, "%s", one);
  cr_assert(bt_passing_new_folder(one) && bt_passing_new_folder(other));
  cr_expect_str_neq(one, other);
  bt_passing_remove();
  cr_expect(access(one, F_OK) != 0 && access(other, F_OK) != 0);
}

Test(passing, a_file_without_a_name_can_be_read_back) {
  char pattern[200], byte = 0;
  (void)snprintf(pattern, sizeof pattern, "%s", in("x-XXXXXX"));
  int file = bt_passing_nameless(pattern);
  cr_assert_geq(file, 0);
  cr_expect_neq(access(pattern, F_OK), 0);
  cr_expect(write(file, "b", 1) == 1 && pread(file, &byte, 1, 0) == 1 && byte == 'b');
  (void)close(file);
  (void)snprintf(pattern, sizeof pattern, "%s", in("none/x-XXXXXX"));
  cr_expect_eq(bt_passing_nameless(pattern), -1);
}

static void hear(int which) {
  (void)which;
}

/* A signal that was held back before stays so, and one that was let through comes through. */
Test(passing, what_signals_were_held_stays_as_it_was) {
  sigset_t ends, now;
  struct sigaction handle = {.sa_handler = hear};
  (void)sigemptyset(&ends);
  (void)sigaddset(&ends, SIGTERM);
  cr_assert_eq(sigaction(SIGTERM, &handle, NULL), 0);
  cr_assert_eq(sigprocmask(SIG_BLOCK, &ends, NULL), 0);
  make("one");
  bt_passing_forget(in("one"));
  cr_assert_eq(sigprocmask(SIG_SETMASK, NULL, &now), 0);
  cr_expect(sigismember(&now, SIGTERM) == 1 && sigismember(&now, SIGINT) == 0);
  cr_expect_eq(unlink(in("one")), 0);
}
