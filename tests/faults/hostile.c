/* Hostile logs, ledgers and names: whatever a file holds and whatever a unit is called, a command
 * ends by itself within SECONDS of processor time, with a status of ours and a sentence, and writes
 * nowhere but where it was asked to. In a long run (BEAMTALLY_LONG_TESTS set) LONG_LOGS mutated
 * logs and LONG_LEDGERS ledgers (or as many as BEAMTALLY_HOSTILE_LOGS and BEAMTALLY_HOSTILE_LEDGERS
 * say), else LOGS and LEDGERS. */
#include "../cli/program.h"
#include "../counted.h"
#include "../share.h"
#include "scenarios.h"
#include "stage.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LOGS = 4, LEDGERS = 2, LONG_LOGS = 1000, LONG_LEDGERS = 1000, SECONDS = 10, MOST = 6000 };

static bool is_long(void) {
  return getenv("BEAMTALLY_LONG_TESTS") != NULL;
}

static int how_many(int some, int many, const char *variable) {
  const char *asked = getenv(variable);
  cr_assert(asked == NULL || atoi(asked) > 0, "%s is no number above 0", variable);
  return !is_long() ? some : asked != NULL ? atoi(asked) : many;
}

/* Every file under a folder but those that `known` names, one a line. */
static void list_files(const char *folder, const char *const *known, FILE *all) {
  struct dirent **names = NULL;
  int n = scandir(folder, &names, NULL, alphasort);
  for (int i = 0; i < n; i++) {
    bool is_known = strcmp(names[i]->d_name, ".") == 0 || strcmp(names[i]->d_name, "..") == 0;
    for (size_t k = 0; known[k] != NULL; k++)
      is_known = is_known || strcmp(names[i]->d_name, known[k]) == 0;
    if (!is_known)
      (void)fprintf(all, "%s\n", names[i]->d_name);
    free(names[i]);
  }
  free(names);
}

static char *files_in(const char *folder, const char *const *known) {
  char *text = NULL;
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  cr_assert_not_null(all);
  list_files(folder, known, all);
  cr_assert_eq(fclose(all), 0);
  return text;
}

static run_result run_bounded(const char *folder, const char *const *words) {
  run_setting setting = {.folder = folder, .seconds = SECONDS};
  return run_with(&setting, words);
}

static void must_end_in_order(const run_result *result, const char *what) {
  cr_expect(result->status >= 0 && result->status <= 3, "%s: status %d: %s", what, result->status,
            result->err);
  if (result->status == 1 || result->status == 2)
    cr_expect_eq(strncmp(result->err, "beamtally: ", 11), 0, "%s: no sentence: %s", what,
                 result->err);
}

/* ---- Logs ------------------------------------------------------------------------------------ */

typedef struct log_bytes {
  char at[2 * MOST];
  size_t n;
} log_bytes;

static void put(log_bytes *log, size_t place, const char *piece, size_t n) {
  if (log->n + n > sizeof log->at)
    return;
  memmove(log->at + place + n, log->at + place, log->n - place);
  memcpy(log->at + place, piece, n);
  log->n += n;
}

static void take(log_bytes *log, size_t place, size_t n) {
  n = place + n > log->n ? log->n - place : n;
  memmove(log->at + place, log->at + place + n, log->n - place - n);
  log->n -= n;
}

static void mutate(log_bytes *log) {
  static const char *const pieces[] = {
      "\"",    "\r",   "\n\n",       ";;;;",       ",,,",          "=1+1",  "@SUM(A1)",
      "1e999", "-0",   "1,610",      "\xFF\xFE",   "\xC3",         "\t",    "NaN",
      "inf",   "0x10", "2026-02-30", "31.12.1984", "../../x",      "25:61", "12 PM",
      "--",    "n/a",  "1.6.1",      "+1.6",       "\xEF\xBB\xBF", "|"};
  for (long edits = 1 + lrand48() % 6; edits > 0 && log->n > 1; edits--) {
    size_t place = (size_t)lrand48() % log->n, n = 1 + (size_t)lrand48() % 60;
    const char *piece = pieces[(size_t)lrand48() % (sizeof pieces / sizeof *pieces)];
    char copy[64];
    switch (lrand48() % 5) {
    case 0:
      log->at[place] = (char)lrand48();
      break;
    case 1:
      take(log, place, n);
      break;
    case 2:
      put(log, place, piece, strlen(piece));
      break;
    case 3:
      n = place + n > log->n ? log->n - place : n;
      memcpy(copy, log->at + place, n);
      put(log, (size_t)lrand48() % log->n, copy, n);
      break;
    default:
      put(log, place, "\0", 1);
      break;
    }
  }
}

/* "N rows, A new, B already known, C conflicts, D refused": no row is lost between them. True where
 * these words stand there. */
static bool counts_every_row(const char *said) {
  long rows, added, known, held, refused;
  const char *counts = strstr(said, " row");
  while (counts != NULL && counts > said && counts[-1] >= '0' && counts[-1] <= '9')
    counts--;
  if (counts == NULL ||
      sscanf(counts, "%ld row%*[s,] %ld new, %ld already known, %ld conflict%*[s,] %ld", &rows,
             &added, &known, &held, &refused) != 5 ||
      strstr(said, "one row a reading") != NULL)
    return false;
  cr_expect_eq(rows, added + known + held + refused, "%s", said);
  return true;
}

/* How many imports told of their rows. */
static int try_log(const char *folder, const char *path, const log_bytes *log) {
  static const char *const known[] = {"log.csv", "beamtally.sqlite", NULL};
  static const char *const commands[][9] = {
      {"columns", "log.csv"},
      {"import", "--dry-run", "log.csv"},
      {"import", "--unit", "Room 1", "--dates", "dmy", "--max-refused", "100", "log.csv"},
      {"import", "log.csv"},
      {"status"},
      {"verify"}};
  char *ledger = path_in(folder, "beamtally.sqlite");
  int told = 0;
  (void)unlink(ledger);
  file_write(path, log->at, log->n);
  for (size_t c = 0; c < sizeof commands / sizeof *commands; c++) {
    run_result result = run_bounded(folder, commands[c]);
    must_end_in_order(&result, commands[c][0]);
    if (strcmp(commands[c][0], "import") == 0 && result.status == 0)
      told += counts_every_row(result.out);
    if (strcmp(commands[c][0], "verify") == 0 && file_exists(ledger))
      cr_expect_eq(result.status, 0, "%s", result.err);
    run_free(&result);
  }
  char *more = files_in(folder, known);
  cr_expect_str_eq(more, "");
  free(more);
  free(ledger);
  return told;
}

/* Few mutated logs go in, so that their rows could be counted by words that no import says. */
Test(hostile, rows_of_a_log_are_counted) {
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  log_bytes log = {.n = 0};
  static const char lines[] = "date,time,unit,energy_mj\n2026-04-01,07:30,Room 1,1.6\n"
                              "2026-04-01,07:30,Room 1,1.7\n2026-04-02,07:30,Room 1,x\n";
  put(&log, 0, lines, strlen(lines));
  cr_expect_eq(try_log(folder, path, &log), 1);
  free(path);
  folder_end(folder);
}

Test(hostile, mutated_logs_end_in_order) {
  static const char *const samples[] = {"suite-south.txt", "suite-north.csv", "events.csv",
                                        "refused.csv"};
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  int logs = how_many(LOGS, LONG_LOGS, "BEAMTALLY_HOSTILE_LOGS");
  int tried = 0;
  srand48(20261129);
  for (int i = 0; i < logs; i++) {
    char *from = sample(samples[i % 4]);
    size_t n;
    char *whole = file_read(from, &n);
    log_bytes log = {.n = n < MOST ? n : MOST};
    memcpy(log.at, whole, log.n);
    mutate(&log);
    if (share_has(i)) {
      (void)try_log(folder, path, &log);
      tried++;
    }
    free(whole);
    free(from);
  }
  counted(tried, "mutated logs");
  (void)fprintf(stderr, "mutated logs: %d, each through 6 commands\n", tried);
  free(path);
  folder_end(folder);
}

/* ---- Ledgers --------------------------------------------------------------------------------- */

/* Bytes set anew, a page over another one, a page of nothing, or the end taken off. */
static size_t damage(char *ledger, size_t n) {
  enum { PAGE = 4096 };
  size_t pages = n / PAGE, one = (size_t)lrand48() % pages, other = (size_t)lrand48() % pages;
  switch (lrand48() % 6) {
  case 0:
    memcpy(ledger + one * PAGE, ledger + other * PAGE, PAGE);
    return n;
  case 1:
    memset(ledger + one * PAGE, 0, PAGE);
    return n;
  case 2:
    return 1 + (size_t)lrand48() % (n - 1);
  default:
    for (long bytes = 1 + lrand48() % 20; bytes > 0; bytes--)
      ledger[(size_t)lrand48() % n] = (char)lrand48();
    return n;
  }
}

/* What a command says and leaves on the ledger as it was before any damage, and what stands in the
 * files that it made. */
typedef struct whole_run {
  char *out, *visible, *files;
} whole_run;

/* Runs of commands, by whether they ended with exit status 0. */
typedef struct damage_counts {
  int ledgers, unnoticed; /* ledgers that `verify` finds whole: what was damaged holds nothing */
  long refused, done, written;
} damage_counts;

/* FNV-1a of a file's bytes, for a comparison by eye of two lists. */
static uint64_t bytes_of(const char *path) {
  size_t n = 0;
  char *bytes = file_read(path, &n);
  uint64_t hash = 14695981039346656037U;
  for (size_t i = 0; i < n; i++)
    hash = (hash ^ (unsigned char)bytes[i]) * 1099511628211U;
  free(bytes);
  return hash;
}

/* Names and bytes of the files that a command made. A copy of the ledger has the bytes of free
 * places too, and is verified by the command. */
static char *made_files(const stage *s) {
  char *text = NULL, *out = path_in(s->folder, "out"), *chart = path_in(s->folder, "chart.png");
  size_t n = 0;
  struct dirent **names = NULL;
  int names_n = scandir(out, &names, NULL, alphasort);
  FILE *all = open_memstream(&text, &n);
  cr_assert_not_null(all);
  if (file_exists(chart))
    (void)fprintf(all, "chart.png %016" PRIx64 "\n", bytes_of(chart));
  for (int i = 0; i < names_n; i++) {
    char *path = path_in(out, names[i]->d_name);
    struct stat info;
    if (stat(path, &info) == 0 && S_ISREG(info.st_mode))
      (void)fprintf(all, "%s %016" PRIx64 "\n", names[i]->d_name, bytes_of(path));
    free(path);
    free(names[i]);
  }
  free(names);
  cr_assert_eq(fclose(all), 0);
  free(out);
  free(chart);
  return text;
}

/* Those that verify all of the ledger: what they refuse is what `verify` does. */
static bool verifies(const scenario *of) {
  static const char *const names_of[] = {"issue",  "verify",      "conflicts", "evidence",
                                         "export", "export json", "backup"};
  for (size_t i = 0; i < sizeof names_of / sizeof *names_of; i++)
    if (strcmp(of->name, names_of[i]) == 0)
      return true;
  return false;
}

/* Exit status 0: what is shown is what the whole ledger shows. What is written is as on the whole
 * ledger where that is whole. */
static void must_be_right(const stage *s, const scenario *of, const whole_run *whole,
                          const run_result *result, bool intact) {
  if (!intact)
    cr_expect_not(verifies(of), "%s is done with a ledger that verify refuses", of->name);
  if (!of->writes_ledger) {
    char *files = made_files(s);
    cr_expect_str_eq(result->out, whole->out, "%s: exit status 0 with another output", of->name);
    cr_expect_str_eq(files, whole->files, "%s: exit status 0 with other files", of->name);
    free(files);
  }
  if (intact) {
    char *seen = stage_visible(s);
    cr_expect_str_eq(seen, whole->visible, "%s: exit status 0, but not all was done", of->name);
    free(seen);
  }
}

/* Each command on a ledger of its own damaged in the same way, since it may go on writing to it. */
static void try_ledger(const stage *s, const whole_run *whole, const char *bytes, size_t n,
                       damage_counts *counts) {
  stage_reset(s, false);
  file_write(s->ledger, bytes, n);
  run_result verified = RUN(s->folder, "verify");
  bool intact = verified.status == 0;
  run_free(&verified);
  counts->ledgers++;
  counts->unnoticed += intact;
  for (size_t i = 0; scenarios[i].name != NULL; i++) {
    if (scenarios[i].starts_ledger)
      continue;
    stage_reset(s, false);
    file_write(s->ledger, bytes, n);
    run_result result = scenario_run(&scenarios[i], s, &(run_setting){.seconds = SECONDS});
    must_end_in_order(&result, scenarios[i].name);
    *(result.status != 0                      ? &counts->refused
      : scenarios[i].writes_ledger && !intact ? &counts->written
                                              : &counts->done) += 1;
    if (result.status == 0)
      must_be_right(s, &scenarios[i], &whole[i], &result, intact);
    run_free(&result);
  }
}

static void run_whole(const stage *s, const scenario *of, whole_run *whole) {
  stage_reset(s, of->starts_ledger);
  run_result result = scenario_run(of, s, &(run_setting){.seconds = SECONDS});
  cr_assert_eq(result.status, 0, "%s: %s", of->name, result.err);
  whole->out = result.out;
  whole->files = made_files(s);
  whole->visible = stage_visible(s);
  free(result.err);
}

Test(hostile, damaged_ledgers_end_every_command_in_order) {
  enum { MOST_SCENARIOS = 64 };
  stage s = stage_begin();
  whole_run whole[MOST_SCENARIOS] = {0};
  for (size_t i = 0; scenarios[i].name != NULL; i++) {
    cr_assert_lt(i, MOST_SCENARIOS);
    run_whole(&s, &scenarios[i], &whole[i]);
  }
  stage_reset(&s, false);
  char *bytes = malloc(s.n);
  char *before = files_in(s.folder, (const char *const[]){"out", "beamtally.sqlite", NULL});
  damage_counts counts = {0};
  int ledgers = how_many(LEDGERS, LONG_LEDGERS, "BEAMTALLY_HOSTILE_LEDGERS");
  cr_assert_not_null(bytes);
  srand48(358); /* the first ledger is damaged in a free place, the second one loses a page */
  for (int i = 0; i < ledgers; i++) {
    memcpy(bytes, s.bytes, s.n);
    size_t n = damage(bytes, s.n);
    if (share_has(i))
      try_ledger(&s, whole, bytes, n, &counts);
  }
  stage_reset(&s, false);
  char *after = files_in(s.folder, (const char *const[]){"out", "beamtally.sqlite", NULL});
  cr_expect_str_eq(before, after);
  cr_expect(counts.refused > 0 && counts.done > 0, "the damage is nothing, or everything");
  counted(counts.ledgers, "damaged ledgers");
  (void)fprintf(
      stderr,
      "damaged ledgers: %d, %d of them still whole; %ld runs of commands refused, %ld done "
      "as on the whole ledger, %ld wrote into one that verify refuses\n",
      counts.ledgers, counts.unnoticed, counts.refused, counts.done, counts.written);
  for (size_t i = 0; i < MOST_SCENARIOS; i++) {
    free(whole[i].out);
    free(whole[i].visible);
    free(whole[i].files);
  }
  free(before);
  free(after);
  free(bytes);
  stage_end(&s);
}

/* ---- Names ----------------------------------------------------------------------------------- */

static const char *const names[] = {"../../outside",
                                    "/outside",
                                    "..",
                                    ".",
                                    "-rf",
                                    "a\nb",
                                    "a\tb",
                                    "%s%n",
                                    "a/b\\c",
                                    "\"; .quit",
                                    "Ω\xCC\x81\xE2\x80\xAE",
                                    "\x1B[31m"};

/* What a unit of that name writes lies in the folder that was asked for, as plain files. */
static void try_name(const char *folder, const char *name) {
  static const char log[] = "date,time,target_mj,energy_mj\n2026-04-13,07:30,1.61,1.605\n"
                            "2026-04-14,07:30,1.61,1.607\n";
  static const char *const known[] = {"in", NULL};
  static const char *const inside[] = {
      "log.csv", "beamtally.sqlite", "out", "c.svg", "ev", "ex", "m.ini", NULL};
  const char *const commands[][16] = {
      {"import", "--unit", name, "log.csv"},
      {"status", "--unit", name},
      {"report", "--unit", name, "--month", "2026-04", "-o", "out"},
      {"report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out"},
      {"chart", "--unit", name, "--characteristic", "energy_ratio", "-o", "c.svg"},
      {"columns", "--unit", name, "--write", "m.ini", "log.csv"},
      {"evidence", "--unit", name, "--from", "2026-04-01", "--with-sources", "--yes", "-o", "ev"},
      {"export", "-o", "ex"},
      {"verify"}};
  char *in = path_in(folder, "in");
  cr_assert_eq(mkdir(in, 0700), 0);
  char *path = path_in(in, "log.csv"), *out = path_in(in, "out");
  file_write(path, log, sizeof log - 1);
  for (size_t c = 0; c < sizeof commands / sizeof *commands; c++) {
    run_result result = run_bounded(in, commands[c]);
    must_end_in_order(&result, name);
    run_free(&result);
  }
  char *beside = files_in(folder, known), *more = files_in(in, inside);
  cr_expect_str_eq(beside, "", "\"%s\" left its folder", name);
  cr_expect_str_eq(more, "", "\"%s\"", name);
  free(more);
  free(beside);
  free(out);
  free(path);
  free(in);
}

Test(hostile, names_do_not_leave_the_folder) {
  for (size_t i = 0; i < sizeof names / sizeof *names; i++)
    if (is_long() || i % 4 == 0) {
      char *folder = folder_begin();
      try_name(folder, names[i]);
      folder_end(folder);
    }
}
