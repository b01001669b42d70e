/* What takes over a second shows on a terminal, and nowhere else, how far it is; and takes the line
 * away at its end. The terminal is one made for the test; the second passes on demand (injector.c).
 */
#include "../cli/program.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *const late[] = {"BEAMTALLY_LATE=1", NULL};

/* Runs the command with that terminal as standard error; what came there, owned. */
static char *run_at_terminal(const char *folder, const char *const *words) {
  enum { MOST = 8192 };
  int master = posix_openpt(O_RDWR | O_NOCTTY);
  cr_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0);
  run_setting setting = {.folder = folder,
                         .executable = BEAMTALLY_FAULTY,
                         .environment = late,
                         .error = ptsname(master)};
  int slave =
      open(setting.error, O_RDWR | O_NOCTTY); /* what was written waits as long as it is open */
  cr_assert_geq(slave, 0);
  run_result result = run_with(&setting, words);
  char *seen = calloc(MOST, 1);
  cr_assert_not_null(seen);
  cr_assert_eq(fcntl(master, F_SETFL, O_NONBLOCK), 0);
  ssize_t n = read(master, seen, MOST - 1);
  cr_assert_eq(result.status, 0, "%s: %d: %s", words[0], result.status, seen);
  seen[n > 0 ? n : 0] = '\0';
  run_free(&result);
  (void)close(slave);
  (void)close(master);
  return seen;
}

typedef struct progress_case {
  const char *words[12];
  const char *shows;
} progress_case;

Test(progress, what_takes_over_a_second_shows_it_at_a_terminal_alone_and_not_with_quiet) {
  static const progress_case cases[] = {
      {{"verify"}, "\rverifying ... 2 s "},
      {{"status"}, "\rlasers [#"},
      {{"export", "-o", "all"}, "\rtables [#"},
      {{"report", "--unit", "Suite South", "--month", "2026-09", "-o", "pages"},
       "\rreport, steps [#"},
      {{"evidence", "--unit", "Suite North", "--from", "2026-08-01", "-o", "case"}, "\rfiles [#"},
  };
  char *folder = folder_begin();
  demo_into(folder);
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *seen = run_at_terminal(folder, cases[i].words);
    const char *shown = strstr(seen, cases[i].shows);
    cr_expect_not_null(shown, "%s shows no progress: %s", cases[i].words[0], seen);
    cr_expect(shown != NULL && strstr(shown, "\r\033[K") != NULL, "%s leaves its line: %s",
              cases[i].words[0], seen);
    free(seen);
  }
  for (size_t i = 0; i < 2; i++) { /* verify and status, which leave nothing behind */
    run_result result = run_with(
        &(run_setting){.folder = folder, .executable = BEAMTALLY_FAULTY, .environment = late},
        cases[i].words);
    cr_expect_eq(result.status, 0, "%s: %s", cases[i].words[0], result.err);
    cr_expect_null(strchr(result.err, '\r'), "%s shows progress in a file: %s", cases[i].words[0],
                   result.err);
    run_free(&result);
  }
  char *quiet = run_at_terminal(folder, (const char *const[]){"verify", "--quiet", NULL});
  cr_expect_str_empty(quiet, "%s", quiet);
  free(quiet);
  folder_end(folder);
}
