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

/* Enough rows that the signal comes while they are loaded, after the ledger was begun. */
Test(stopped, a_signal_while_a_first_import_loads_leaves_no_ledger) {
  enum { DAYS = 28, MINUTES = 700 };
  char *folder = folder_begin(), *log_path = path_in(folder, "log.csv");
  char *said_path = path_in(folder, "said");
  FILE *log = fopen(log_path, "w");
  cr_assert_not_null(log);
  (void)fputs("date,time,unit,energy_mj\n", log);
  for (int row = 0; row < DAYS * MINUTES; row++)
    (void)fprintf(log, "2026-02-%02d,%02d:%02d,A,1.6\n", 1 + row / MINUTES, row % MINUTES / 60,
                  row % MINUTES % 60);
  cr_assert_eq(fclose(log), 0);
  pid_t child = fork();
  cr_assert(child >= 0);
  if (child == 0) {
    int said = open(said_path, O_WRONLY | O_CREAT, 0600);
    (void)signal(SIGINT, SIG_DFL);
    if (said >= 0 && dup2(said, STDERR_FILENO) >= 0 && chdir(folder) == 0)
      (void)execl(BEAMTALLY_PROGRAM, "beamtally", "import", "log.csv", (char *)NULL);
    _exit(127);
  }
  int status = 0;
  while (!has_ledger(folder) && waitpid(child, &status, WNOHANG) == 0)
    (void)usleep(200);
  cr_assert_eq(kill(child, SIGINT), 0);
  cr_assert_eq(waitpid(child, &status, 0), child);
  cr_expect(WIFSIGNALED(status) && WTERMSIG(status) == SIGINT, "status %x", (unsigned)status);
  char *said = file_read(said_path, NULL);
  cr_expect_str_eq(said, "beamtally: log.csv: stopped; nothing of this file was stored\n");
  cr_expect_not(has_ledger(folder));
  free(said);
  free(said_path);
  free(log_path);
  folder_end(folder);
}

/* The disk is full before the first page of the ledger is written, or in the midst of them. */
Test(stopped, a_full_disk_leaves_no_ledger_of_a_first_import) {
  static const rlim_t limits[] = {500, 20000, 150000};
  char *folder = folder_begin();
  file_put(folder, "good.csv", "date,unit,energy_mj\n2026-04-20,A,1.6\n");
  for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
    run_setting full = {.folder = folder, .file_limit = limits[i]};
    run_result result = run_with(&full, (const char *const[]){"import", "good.csv", NULL});
    cr_expect_eq(result.status, FAILED, "%zu: status %d: %s", i, result.status, result.err);
    cr_expect_not(has_ledger(folder), "%zu", i);
    run_free(&result);
  }
  folder_end(folder);
}

/* No ledger is left for what can't be stored. */
Test(stopped, a_failed_first_import_leaves_no_ledger) {
  static const char *const words[][8] = {{"settings", "empty.ini", "--by", "KL", "--why", "first"},
                                         {"import", "none.csv"},
                                         {"import", "spelled.csv"},
                                         {"import", "words.txt"},
                                         {"import", "--dry-run", "good.csv"},
                                         {"import", "refused.csv"},
                                         {"import", "none.csv", "refused.csv"}};
  char *folder = folder_begin();
  file_put(folder, "words.txt", "no log at all\n");
  file_put(folder, "good.csv", "date,unit,energy_mj\n2026-04-20,A,1.6\n");
  file_put(folder, "empty.ini", "; nothing yet\n");
  file_put(folder, "spelled.csv",
           "date,unit,energy_mj\n2026-04-20,Laser 1,1.6\n2026-04-21,laser1,1.6\n");
  file_put(folder, "refused.csv", "date,unit,energy_mj\n2026-04-20,A,one\n2026-04-21,A,1.6\n");
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    run_result result = run_plain(folder, words[i]);
    cr_expect_eq(result.status, i == 0 || i == 4 ? DONE : FAILED, "case %zu: %s", i, result.err);
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
