/* Eight at once on one ledger: four import logs of their own, one types in events, three read, draw
 * and verify. Nobody loses anything: in the end every row of every log is there once, and the
 * ledger verifies. A writer that had to wait too long says so and may be started again.
 *
 * In a long run (BEAMTALLY_LONG_TESTS set) they go on for LONG_SECONDS, else for one round. */
#include "../cli/program.h"
#include "../counted.h"

#include <criterion/criterion.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { WRITERS = 4, TYPISTS = 1, READERS = 3, ROWS = 120, LONG_SECONDS = 120, NAME = 32 };

static time_t ends_at; /* no round begins after it */

static bool one_more_round(int rounds) {
  return rounds == 0 || time(NULL) < ends_at;
}

/* ROWS checks of that writer's laser, a day each; the logs of its rounds follow each other. */
static void write_log(const char *path, int writer, int round) {
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj,remark\n", file);
  struct tm start = {.tm_year = 86, .tm_mday = 1, .tm_hour = 12};
  for (int row = 0; row < ROWS; row++) {
    int check = round * ROWS + row; /* five a day, so that even long runs stay before today */
    time_t at = timegm(&start) + (time_t)(check / 5) * 86400;
    struct tm civil;
    cr_assert_not_null(gmtime_r(&at, &civil));
    cr_assert_gt(fprintf(file, "%04d-%02d-%02d,%02d:30,Room %d,1.61,%.3f,%s\n",
                         civil.tm_year + 1900, civil.tm_mon + 1, civil.tm_mday, 8 + check % 5,
                         writer, 1.6 + 0.001 * (row % 20), row % 30 == 0 ? "seen" : ""),
                 0);
  }
  cr_assert_eq(fclose(file), 0);
}

/* Runs it until it is done; how often it had to be started again. A failure for another reason than
 * the ledger being in use ends this process. */
static int insist(const char *folder, const char *const *words) {
  for (int again = 0;; again++) {
    run_result result = run_plain(folder, words);
    bool busy = result.status == 1 && strstr(result.err, "uses the ledger") != NULL;
    if (result.status != 0 && !busy) {
      (void)fprintf(stderr, "%s: %d: %s", words[0], result.status, result.err);
      _exit(100);
    }
    run_free(&result);
    if (!busy)
      return again;
  }
}

/* What a process did goes to its parent through a pipe. */
typedef struct done {
  int rounds, again;
} done;

static done import_logs(const char *folder, int writer) {
  done did = {0};
  char name[NAME];
  for (; one_more_round(did.rounds); did.rounds++) {
    (void)snprintf(name, sizeof name, "log-%d-%d.csv", writer, did.rounds);
    char *path = path_in(folder, name);
    write_log(path, writer, did.rounds);
    did.again += insist(folder, (const char *const[]){"import", "--new-unit", name, NULL});
    (void)unlink(path);
    free(path);
  }
  return did;
}

static done type_events(const char *folder, int writer) {
  done did = {0};
  char at[NAME];
  (void)writer;
  for (; one_more_round(did.rounds); did.rounds++) {
    (void)snprintf(at, sizeof at, "20%02d-%02d-%02dT06:30", 10 + did.rounds / 336 % 16,
                   1 + did.rounds / 28 % 12, 1 + did.rounds % 28);
    did.again += insist(folder, (const char *const[]){"event", "--unit", "Room 0", "--at", at,
                                                      "--by", "KL", "service", NULL});
  }
  return did;
}

static done look(const char *folder, int reader) {
  done did = {0};
  char out[NAME];
  for (; one_more_round(did.rounds); did.rounds++) {
    (void)snprintf(out, sizeof out, "out-%d-%d", reader, did.rounds);
    const char *const looks[][NAME] = {
        {"report", "--unit", "Room 0", "--month", "1986-01", "-o", out}, {"status"}, {"verify"}};
    for (int i = 0; i < 3; i++)
      did.again += insist(folder, looks[(reader + i) % 3]);
  }
  return did;
}

static int start(const char *folder, int number, done (*work)(const char *, int)) {
  int ends[2];
  cr_assert_eq(pipe(ends), 0);
  pid_t child = fork();
  cr_assert(child >= 0);
  if (child == 0) {
    done did = work(folder, number);
    ssize_t written = write(ends[1], &did, sizeof did);
    _exit(written == sizeof did ? 0 : 101);
  }
  (void)close(ends[1]);
  return ends[0];
}

static done finish(int end) {
  done did = {0};
  cr_assert_eq(read(end, &did, sizeof did), sizeof did, "a process failed");
  (void)close(end);
  return did;
}

static long rows_of(const char *folder, const char *table) {
  char *path = path_in(folder, table);
  size_t n;
  char *text = file_read(path, &n);
  long lines = -1; /* the header */
  for (size_t i = 0; i < n; i++)
    lines += text[i] == '\n';
  free(text);
  free(path);
  return lines;
}

Test(load, eight_at_once_lose_nothing) {
  char *folder = folder_begin(), *first = path_in(folder, "first.csv");
  long rows = 0, events = 0, again = 0;
  int ends[WRITERS + TYPISTS + READERS], n = 0, looks = 0;
  write_log(first, 0, 0);
  free(RUN_DONE(folder, "import", "first.csv"));
  ends_at = time(NULL) + (getenv("BEAMTALLY_LONG_TESTS") != NULL ? LONG_SECONDS : 0);
  for (int i = 0; i < WRITERS; i++)
    ends[n++] = start(folder, i + 1, import_logs);
  for (int i = 0; i < TYPISTS; i++)
    ends[n++] = start(folder, i, type_events);
  for (int i = 0; i < READERS; i++)
    ends[n++] = start(folder, i, look);
  for (int i = 0; i < n; i++) {
    done did = finish(ends[i]);
    rows += i < WRITERS ? (long)did.rounds * ROWS : 0;
    events += i >= WRITERS && i < WRITERS + TYPISTS ? did.rounds : 0;
    looks += i >= WRITERS + TYPISTS ? did.rounds : 0;
    again += did.again;
  }
  while (wait(NULL) > 0)
    continue;
  free(RUN_DONE(folder, "verify"));
  free(RUN_DONE(folder, "export", "-o", "all"));
  long lost = rows + ROWS - rows_of(folder, "all/checks.csv");
  long unsaid = events - rows_of(folder, "all/events.csv");
  counted(rows, "rows imported under load");
  counted(labs(lost) + labs(unsaid), "lost records");
  cr_expect_eq(lost, 0);
  cr_expect_eq(unsaid, 0);
  (void)fprintf(stderr,
                "load: %d processes, %ld rows and %ld events in, %d rounds of looks, %ld started "
                "again, %ld rows and %ld events lost\n",
                n, rows, events, looks, again, lost, unsaid);
  free(first);
  folder_end(folder);
}
