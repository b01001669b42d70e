/* An import that ends before anything is stored: by a signal, or because the file can't be taken.
 */
#define _DEFAULT_SOURCE
#include "program.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

enum { DONE, FAILED };

static void put(const char *folder, const char *name, const char *text) {
  char *path = path_in(folder, name);
  file_write(path, text, strlen(text));
  free(path);
}

static bool has_ledger(const char *folder) {
  char *path = path_in(folder, "beamtally.sqlite");
  bool there = file_exists(path);
  free(path);
  return there;
}

/* The import waits for the rest of a pipe; it is sent the signal when it has opened it. */
static void stop_one(int which) {
  char *folder = folder_begin(), *pipe_path = path_in(folder, "log.csv");
  char *said_path = path_in(folder, "said");
  cr_assert_eq(mkfifo(pipe_path, 0600), 0);
  pid_t child = fork();
  cr_assert(child >= 0);
  if (child == 0) {
    int said = open(said_path, O_WRONLY | O_CREAT, 0600);
    (void)signal(which, SIG_DFL);
    if (said >= 0 && dup2(said, STDERR_FILENO) >= 0 && chdir(folder) == 0)
      (void)execl(BEAMTALLY_PROGRAM, "beamtally", "import", "log.csv", (char *)NULL);
    _exit(127);
  }
  int writes = open(pipe_path, O_WRONLY); /* waits for the reader */
  cr_assert(writes >= 0);
  cr_assert_eq(kill(child, which), 0);
  int status = 0;
  cr_assert_eq(waitpid(child, &status, 0), child);
  (void)close(writes);
  cr_expect(WIFSIGNALED(status) && WTERMSIG(status) == which, "status %x", (unsigned)status);
  char *said = file_read(said_path, NULL);
  cr_expect_str_eq(said, "beamtally: log.csv: stopped; nothing of this file was stored\n");
  cr_expect_not(has_ledger(folder));
  free(said);
  free(said_path);
  free(pipe_path);
  folder_end(folder);
}

Test(stopped, a_signal_says_that_nothing_was_stored) {
  stop_one(SIGINT);
  stop_one(SIGTERM);
}

/* No ledger is made for what can't be stored. */
Test(stopped, a_failed_first_import_leaves_no_ledger) {
  static const char *const words[][4] = {{"import", "none.csv"},
                                         {"import", "words.txt"},
                                         {"import", "--dry-run", "good.csv"},
                                         {"import", "refused.csv"},
                                         {"import", "none.csv", "refused.csv"}};
  char *folder = folder_begin();
  put(folder, "words.txt", "no log at all\n");
  put(folder, "good.csv", "date,unit,energy_mj\n2026-04-20,A,1.6\n");
  put(folder, "refused.csv", "date,unit,energy_mj\n2026-04-20,A,one\n2026-04-21,A,1.6\n");
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    run_result result = run_plain(folder, words[i]);
    cr_expect_eq(result.status, i == 2 ? DONE : FAILED, "case %zu: %s", i, result.err);
    cr_expect_not(has_ledger(folder), "case %zu leaves a ledger", i);
    run_free(&result);
  }
  run_result result = RUN(folder, "import", "refused.csv", "--rejects", "rejects.csv", "good.csv");
  cr_expect_eq(result.status, FAILED);
  char *rejects_path = path_in(folder, "rejects.csv"), *rejects = file_read(rejects_path, NULL);
  char *line = strstr(rejects, "refused.csv,2,");
  cr_expect_not_null(line, "%s", rejects);
  cr_expect_null(line == NULL ? NULL : strstr(line + 1, "refused.csv,2,"), "twice: %s", rejects);
  cr_expect(has_ledger(folder));
  run_free(&result);
  free(rejects);
  free(rejects_path);
  folder_end(folder);
}
