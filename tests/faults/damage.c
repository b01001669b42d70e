/* Kills, full disks, two importers at once and damaged ledgers: the ledger is either before or
 * after, never between. A long run (BEAMTALLY_LONG_TESTS set) has 200 kills and 50 pairs. */
#include "../cli/program.h"
#include "../counted.h"
#include "../share.h"

#include <criterion/criterion.h>
#include <sqlite3.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { ROWS = 10000, KILLS = 6, LONG_KILLS = 200, PAIRS = 4, LONG_PAIRS = 50, NAME = 32 };

static bool is_long(void) {
  return getenv("BEAMTALLY_LONG_TESTS") != NULL;
}

/* ROWS checks of one laser, four a day from 2010-01-01 on. */
static void write_long_log(const char *path) {
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj,fluence_mj_cm2\n", file);
  struct tm day = {.tm_year = 110, .tm_mday = 1, .tm_hour = 12};
  time_t noon = timegm(&day);
  uint32_t seed = 193;
  for (int row = 0; row < ROWS; row++) {
    time_t at = noon + (time_t)(row / 4) * 86400;
    struct tm civil;
    cr_assert_not_null(gmtime_r(&at, &civil));
    seed = seed * 1664525U + 1013904223U;
    cr_assert_gt(fprintf(file, "%04d-%02d-%02d,%02d:30,Room 1,1.61,%.4f,%.1f\n",
                         civil.tm_year + 1900, civil.tm_mon + 1, civil.tm_mday, 7 + row % 4,
                         1.6 + (seed >> 16) / 6553600.0, 175 + (seed >> 16) / 6553.6),
                 0);
  }
  cr_assert_eq(fclose(file), 0);
}

/* A ledger with one check, and the long log, in a fresh folder. */
static char *folder_with_long_log(void) {
  char *folder = folder_begin(), *first = path_in(folder, "first.csv");
  char *path = path_in(folder, "long.csv");
  static const char line[] = "date,time,unit,target_mj,energy_mj\n"
                             "2026-04-13,07:30,Room 1,1.61,1.605\n";
  file_write(first, line, strlen(line));
  write_long_log(path);
  free(RUN_DONE(folder, "import", "first.csv"));
  free(first);
  free(path);
  return folder;
}

/* Checks in the ledger, by status. */
static long checks_in(const char *folder) {
  char *said = RUN_DONE(folder, "status");
  const char *word = strstr(said, " checks,");
  if (word == NULL)
    word = strstr(said, " check,");
  cr_assert_not_null(word, "%s", said);
  while (word > said && word[-1] != ' ' && word[-1] != '\n')
    word--;
  long n = 0;
  for (; *word != ' '; word++)
    if (*word >= '0' && *word <= '9') /* "20,001" */
      n = 10 * n + (*word - '0');
  free(said);
  return n;
}

static double seconds_since(const struct timespec *begun) {
  struct timespec now;
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)(now.tv_sec - begun->tv_sec) + 1e-9 * (double)(now.tv_nsec - begun->tv_nsec);
}

/* Imports the long log once more after a kill; true when the kill had come after its commit. */
static bool repeat_finds_all(const char *folder) {
  char *said = RUN_DONE(folder, "import", "long.csv");
  bool all = strstr(said, "in the ledger already; nothing added") != NULL;
  cr_expect(all || strstr(said, "10000 rows, 10000 new, 0 already known") != NULL,
            "neither all nor nothing was there: %s", said);
  free(said);
  return all;
}

/* Where in its run the import is killed: moments spread over the time that a whole one takes, each
 * moved by a seeded random part of the distance to the next. */
Test(faults, an_import_killed_at_any_moment_leaves_all_or_nothing) {
  char *folder = folder_with_long_log(), *ledger = path_in(folder, "beamtally.sqlite");
  char *journal = path_in(folder, "beamtally.sqlite-journal");
  size_t n;
  char *bytes = file_read(ledger, &n);
  struct timespec begun;
  (void)clock_gettime(CLOCK_MONOTONIC, &begun);
  free(RUN_DONE(folder, "import", "long.csv"));
  double whole = seconds_since(&begun);
  cr_assert_eq(checks_in(folder), ROWS + 1);

  int kills = is_long() ? LONG_KILLS : KILLS, tried = 0, killed = 0, nothing = 0, torn = 0;
  srand48(193);
  for (int i = 0; i < kills; i++) {
    double moment = whole * (i + drand48()) / kills;
    if (!share_has(i))
      continue;
    tried++;
    (void)unlink(journal);
    file_write(ledger, bytes, n);
    run_setting setting = {.folder = folder, .kill_after_us = 1 + (long)(1e6 * moment)};
    run_result result = run_with(&setting, (const char *const[]){"import", "long.csv", NULL});
    cr_expect(result.status == -9 || result.status == 0, "status %d: %s", result.status,
              result.err);
    killed += result.status == -9;
    if (result.status == 0) /* the machine had been busier before: aim earlier */
      whole *= 0.75;
    run_free(&result);
    torn += file_exists(journal);
    if (i % 3 == 0) /* a reader comes first */
      (void)checks_in(folder);
    free(RUN_DONE(folder, "verify"));
    nothing += !repeat_finds_all(folder);
  }
  long lost = ROWS + 1 - checks_in(folder);
  counted(killed, "kills survived");
  counted(labs(lost), "lost records");
  cr_expect_eq(lost, 0, "the repeat completes it");
  (void)fprintf(stderr,
                "kills, import: %d of %d, %d with a journal left; nothing was there %d times\n",
                killed, tried, torn, nothing);
  cr_expect(killed >= tried / 4 && nothing >= 1, "the kills came too late");
  free(bytes);
  free(ledger);
  free(journal);
  folder_end(folder);
}

/* The limit lies above the ledger's size and below what the log needs. */
Test(faults, a_full_disk_during_an_import_is_1_and_the_ledger_unchanged) {
  char *folder = folder_with_long_log(), *ledger = path_in(folder, "beamtally.sqlite");
  char *before = RUN_DONE(folder, "status"), *kept = path_in(folder, "kept.sqlite");
  size_t n;
  char *bytes = file_read(ledger, &n);
  file_write(kept, bytes, n);
  static const rlim_t more[] = {4096, 65536, 400000};
  for (size_t i = 0; i < sizeof more / sizeof *more; i++) {
    run_setting setting = {.folder = folder, .file_limit = n + more[i]};
    run_result result = run_with(&setting, (const char *const[]){"import", "long.csv", NULL});
    cr_expect_eq(result.status, 1, "status %d: %s", result.status, result.err);
    cr_expect_eq(strncmp(result.err, "beamtally: long.csv", 19), 0, "%s", result.err);
    run_free(&result);
    files_must_be_same(ledger, kept);
    char *after = RUN_DONE(folder, "status");
    cr_expect_str_eq(before, after);
    free(after);
  }
  free(RUN_DONE(folder, "import", "long.csv"));
  cr_expect_eq(checks_in(folder), ROWS + 1);
  free(before);
  free(bytes);
  free(kept);
  free(ledger);
  folder_end(folder);
}

/* Each command on a ledger that isn't whole or is none; what it is asked is otherwise right. */
static const char *const commands[][NAME] = {
    {"status"},
    {"analyse", "--unit", "Suite North", "--characteristic", "fluence", "--format", "json"},
    {"chart", "--unit", "Suite North", "--characteristic", "fluence", "-o", "a.svg"},
    {"report", "--month", "2026-09", "-o", "."},
    {"settings", "--show"},
    {"settings", "clinic.ini", "--by", "KL", "--why", "first"},
    {"event", "--unit", "Suite North", "--at", "2026-09-30", "--by", "KL", "service"},
    {"baseline", "--unit", "Suite North", "--characteristic", "fluence", "--from", "2025-04-01",
     "--to", "2025-07-01", "--by", "KL", "--why", "good"},
    {"import", "small.csv"},
    {"verify"},
    {"verify", "--state", "0123456789abcdef0123"},
    {"verify", "small.csv"},
    {"backup", "copy.sqlite"},
    {"export", "-o", "out"},
    {"export", "--format", "json", "-o", "out"},
    {"evidence", "--unit", "Suite North", "--from", "2026-09-01", "-o", "out"},
    {"report", "--month", "2026-09", "--issue", "--by", "KL", "-o", "."},
    {"drift", "--unit", "Suite North"},
    {"signals"},
    {"resolve", "0123abcd", "--cause", "mirror", "--action", "cleaned", "--by", "KL"},
    {"conflicts"},
    {"conflicts", "0123abcd", "--keep", "new", "--by", "KL", "--why", "meter"},
    {"record", "--unit", "Suite North", "--at", "2026-09-30T09:00", "--by", "KL", "energy_mj=1.6"},
    {"correct", "--yes", "--unit", "Suite North", "--at", "2026-09-30T08:05", "--withdraw", "--by",
     "KL", "--why", "x"},
    {"event", "--list"},
};

static void must_be_refused(const char *folder, const char *ledger, const char *kept) {
  for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
    run_result result = run_plain(folder, commands[i]);
    cr_expect_eq(result.status, 1, "%s: status %d\n%s", commands[i][0], result.status, result.err);
    cr_expect_eq(strncmp(result.err, "beamtally: ", 11), 0, "%s: %s", commands[i][0], result.err);
    cr_expect_str_eq(result.out, "", "%s", commands[i][0]);
    run_free(&result);
    files_must_be_same(ledger, kept);
  }
  static const char *const made[] = {"a.svg", "suite-north-2026-09.pdf", "copy.sqlite", "out"};
  for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
    char *path = path_in(folder, made[i]);
    cr_expect(!file_exists(path), "%s was made", made[i]);
    free(path);
  }
}

static void put_inputs(const char *folder) {
  static const char settings[] = "[unit 1]\nname = Suite North\n";
  static const char log[] = "date,time,unit,target_mj,energy_mj\n"
                            "2026-10-01,07:30,Suite North,1.61,1.605\n";
  char *ini = path_in(folder, "clinic.ini"), *csv = path_in(folder, "small.csv");
  file_write(ini, settings, strlen(settings));
  file_write(csv, log, strlen(log));
  free(ini);
  free(csv);
}

Test(faults, a_text_file_as_ledger_is_refused_by_each_command) {
  static const char text[] = "These are notes, and no ledger.\n";
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  char *kept = path_in(folder, "kept");
  put_inputs(folder);
  file_write(ledger, text, strlen(text));
  file_write(kept, text, strlen(text));
  must_be_refused(folder, ledger, kept);
  free(ledger);
  free(kept);
  folder_end(folder);
}

Test(faults, a_ledger_cut_short_is_refused_by_each_command) {
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  char *kept = path_in(folder, "kept");
  put_inputs(folder);
  demo_into(folder);
  size_t n;
  char *bytes = file_read(ledger, &n);
  const size_t lengths[] = {100, n / 2, n - 8192, n - 4096, n - 1};
  for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
    file_write(ledger, bytes, lengths[i]);
    file_write(kept, bytes, lengths[i]);
    must_be_refused(folder, ledger, kept);
  }
  free(bytes);
  free(ledger);
  free(kept);
  folder_end(folder);
}

/* ---- Without the right to write -------------------------------------------------------------- */

/* A person who may only read looks at everything, and is told why nothing goes in. */
Test(faults, in_a_read_only_folder_looking_works_and_writing_is_refused) {
  static const char *const looks[][NAME] = {
      {"status"},
      {"verify"},
      {"signals"},
      {"conflicts"},
      {"settings", "--show"},
      {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio"},
      {"event", "--list"}};
  static const char *const writes[][NAME] = {
      {"import", "small.csv"},
      {"record", "--unit", "Room 1", "--at", "2026-04-20", "--by", "KL", "energy_mj=1.6"},
      {"event", "--unit", "Room 1", "--at", "2026-04-20", "--by", "KL", "service"},
      {"settings", "clinic.ini", "--by", "KL", "--why", "first"},
      {"correct", "--yes", "--unit", "Room 1", "--at", "2026-04-13T07:30", "--withdraw", "--by",
       "KL", "--why", "x"},
      {"backup", "copy.sqlite"},
      {"export", "-o", "out"},
      {"report", "--month", "2026-04", "-o", "out"}};
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  char *first = path_in(folder, "first.csv");
  static const char log[] = "date,time,unit,target_mj,energy_mj\n"
                            "2026-04-13,07:30,Room 1,1.61,1.605\n";
  put_inputs(folder);
  file_write(first, log, strlen(log));
  free(RUN_DONE(folder, "import", "first.csv"));
  size_t n, m;
  char *bytes = file_read(ledger, &n);
  cr_assert(chmod(ledger, 0444) == 0 && chmod(folder, 0555) == 0);
  run_setting nobody = {.folder = folder, .as_nobody = true};
  for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
    run_result look = run_with(&nobody, looks[i]);
    cr_expect_eq(look.status, 0, "%s: %d: %s", looks[i][0], look.status, look.err);
    run_free(&look);
  }
  for (size_t i = 0; i < sizeof writes / sizeof *writes; i++) {
    run_result refused = run_with(&nobody, writes[i]);
    cr_expect_eq(refused.status, 1, "%s: %d: %s", writes[i][0], refused.status, refused.err);
    cr_expect_not_null(strstr(refused.err, "Permission denied"), "%s: %s", writes[i][0],
                       refused.err);
    run_free(&refused);
  }
  cr_assert_eq(chmod(folder, 0755), 0);
  char *after = file_read(ledger, &m);
  cr_expect(n == m && memcmp(bytes, after, n) == 0);
  free(after);
  free(bytes);
  free(first);
  free(ledger);
  folder_end(folder);
}

/* Who may not even read it is told so by every command, in a whole sentence. */
Test(faults, a_ledger_that_may_not_be_read_is_refused_with_what_to_do) {
  static const char *const asks[][NAME] = {
      {"status"}, {"verify"}, {"import", "small.csv"}, {"backup", "copy.sqlite"}};
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  put_inputs(folder);
  free(RUN_DONE(folder, "import", "small.csv"));
  cr_assert(chmod(ledger, 0) == 0 && chmod(folder, 0777) == 0);
  run_setting nobody = {.folder = folder, .as_nobody = true};
  for (size_t i = 0; i < sizeof asks / sizeof *asks; i++) {
    run_result refused = run_with(&nobody, asks[i]);
    cr_expect_eq(refused.status, 1, "%s: %d: %s", asks[i][0], refused.status, refused.err);
    cr_expect_not_null(strstr(refused.err, "(Permission denied); ask for the right to read it, or "
                                           "name another with --ledger\n"),
                       "%s: %s", asks[i][0], refused.err);
    run_free(&refused);
  }
  free(ledger);
  folder_end(folder);
}

/* ---- Two at once ----------------------------------------------------------------------------- */

/* 300 checks of one laser, one a day from that day of 2012 on. */
static void write_days(const char *folder, const char *name, int first) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj\n", file);
  struct tm start = {.tm_year = 112, .tm_mday = 1, .tm_hour = 12};
  for (int row = first; row < first + 300; row++) {
    time_t at = timegm(&start) + (time_t)row * 86400;
    struct tm civil;
    cr_assert_not_null(gmtime_r(&at, &civil));
    cr_assert_gt(fprintf(file, "%04d-%02d-%02d,07:30,Room 1,1.61,%.3f\n", civil.tm_year + 1900,
                         civil.tm_mon + 1, civil.tm_mday, 1.6 + 0.001 * (row % 20)),
                 0);
  }
  cr_assert_eq(fclose(file), 0);
  free(path);
}

/* Starts an import; its exit status comes by waitpid. */
static pid_t start_import(const char *folder, const char *name) {
  pid_t child = fork();
  cr_assert(child >= 0);
  if (child == 0) {
    run_result result = run_plain(folder, (const char *const[]){"import", name, NULL});
    int status = result.status == 0 ? 0 : 1;
    run_free(&result);
    _exit(status);
  }
  return child;
}

/* Both make the ledger, and 200 of their 400 days are in both logs. */
Test(faults, two_imports_at_once_both_go_in) {
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  write_days(folder, "one.csv", 0);
  write_days(folder, "two.csv", 100);
  int pairs = is_long() ? LONG_PAIRS : PAIRS;
  for (int i = 0; i < pairs; i++) {
    (void)unlink(ledger);
    pid_t children[] = {start_import(folder, i % 2 == 0 ? "one.csv" : "two.csv"),
                        start_import(folder, i % 2 == 0 ? "two.csv" : "one.csv")};
    for (size_t k = 0; k < 2; k++) {
      int status = 0;
      cr_assert_eq(waitpid(children[k], &status, 0), children[k]);
      cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0, "pair %d, import %zu failed", i, k);
    }
    cr_assert_eq(checks_in(folder), 400, "pair %d", i);
    free(RUN_DONE(folder, "verify"));
  }
  (void)fprintf(stderr, "pairs of imports at once: %d, each with 400 checks in the end\n", pairs);
  free(ledger);
  folder_end(folder);
}

/* ---- Turned bytes ---------------------------------------------------------------------------- */

/* A byte somewhere in the ledger is turned over: verify says so, or the byte held nothing, and then
 * all commands say what they said; no command crashes or takes long. */
Test(faults, turned_bytes_are_named_or_mean_nothing) {
  enum { TURNS = 12, LONG_TURNS = 1000 };
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  write_days(folder, "one.csv", 0);
  free(RUN_DONE(folder, "import", "one.csv"));
  const char *const looks[][NAME] = {
      {"status"},
      {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "json"}};
  char *said[] = {run_done(folder, looks[0]), run_done(folder, looks[1])};
  size_t n;
  char *bytes = file_read(ledger, &n);
  int found = 0, refused = 0, tried = 0, turns = is_long() ? LONG_TURNS : TURNS;
  srand48(1956);
  for (int i = 0; i < turns; i++) {
    size_t at = (size_t)(drand48() * (double)n);
    if (!share_has(i))
      continue;
    tried++;
    bytes[at] = (char)(bytes[at] ^ (1 << i % 8));
    file_write(ledger, bytes, n);
    run_result verified = run_plain(folder, (const char *const[]){"verify", NULL});
    cr_expect(verified.status == 0 || verified.status == 1, "byte %zu: verify %d", at,
              verified.status);
    found += verified.status == 1;
    for (size_t k = 0; k < 2; k++) {
      run_result look = run_plain(folder, looks[k]);
      cr_expect(look.status == 0 || look.status == 1, "byte %zu: %s %d: %s", at, looks[k][0],
                look.status, look.err);
      if (verified.status == 0)
        cr_expect(look.status == 0 && strcmp(look.out, said[k]) == 0,
                  "byte %zu: whole for verify, but %s says: %s%s", at, looks[k][0], look.out,
                  look.err);
      refused += look.status == 1;
      run_free(&look);
    }
    run_free(&verified);
    bytes[at] = (char)(bytes[at] ^ (1 << i % 8));
  }
  counted(tried, "turned bytes");
  (void)fprintf(stderr, "bytes turned: %d, %d found by verify, %d looks refused\n", tried, found,
                refused);
  cr_expect_gt(found, 0);
  free(said[0]);
  free(said[1]);
  free(bytes);
  free(ledger);
  folder_end(folder);
}

/* ---- Another program's file ------------------------------------------------------------------ */

Test(faults, a_database_of_another_program_is_refused_by_each_command) {
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  char *kept = path_in(folder, "kept");
  put_inputs(folder);
  sqlite3 *db = NULL;
  cr_assert_eq(sqlite3_open(ledger, &db), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(db,
                            "CREATE TABLE checks (unit, time); INSERT INTO checks VALUES (1, 2)",
                            NULL, NULL, NULL),
               SQLITE_OK);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  size_t n;
  char *bytes = file_read(ledger, &n);
  file_write(kept, bytes, n);
  must_be_refused(folder, ledger, kept);
  free(bytes);
  free(ledger);
  free(kept);
  folder_end(folder);
}
