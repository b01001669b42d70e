/* Faults and kills while a ledger of an older version is brought up to date: it is of the one
 * version or of the other, whole, and never of today's without the copy of what it was.
 *
 * A short run tries one or two places of each kind of call, seeded, and 2 kills for each version,
 * and for the newest one the statements about the commit; where BEAMTALLY_LONG_TESTS is set, 60 of
 * each, for a fault that passes and for one that stays, and 33 kills. */
#include "../cli/program.h"
#include "../counted.h"
#include "../older_ledgers.h"
#include "../share.h"

#include <criterion/criterion.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum {
  KINDS = 5,
  STEP = 3, /* of the kinds */
  LONG_PLACES = 60,
  OLDER = OLDER_LEDGERS,
  KILLS = 2,
  LONG_KILLS = 33,
  APPLICATION = 0x42544C47
};

static const char *const kinds[KINDS] = {"memory", "sqlite_memory", "disk", "step", "file"};

typedef struct scene {
  int version;
  char *folder, *ledger, *journal, *copy, *part, *report;
  char *bytes, *rows; /* of the ledger as that version had it */
  size_t n;
} scene;

static bool is_long(void) {
  return getenv("BEAMTALLY_LONG_TESTS") != NULL;
}

static sqlite3 *opened(const char *path) {
  sqlite3 *db = NULL;
  cr_assert_eq(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, NULL),
               SQLITE_OK);
  return db;
}

static void make_version(const char *path, int version) {
  char marks[100], dump_path[4200];
  (void)snprintf(dump_path, sizeof dump_path, BEAMTALLY_TREE "/tests/unit/ledger/version%d.sql",
                 version);
  char *dump = file_read(dump_path, NULL);
  sqlite3 *db = opened(path);
  (void)snprintf(marks, sizeof marks, "PRAGMA application_id = %d; PRAGMA user_version = %d",
                 (int)APPLICATION, version);
  cr_assert_eq(sqlite3_exec(db, "PRAGMA page_size = 8192", NULL, NULL, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(db, dump, NULL, NULL, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
  cr_assert_eq(sqlite3_exec(db, marks, NULL, NULL, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  free(dump);
}

static void add_rows(sqlite3 *db, const char *sql, FILE *all) {
  sqlite3_stmt *rows = NULL;
  cr_assert_eq(sqlite3_prepare_v2(db, sql, -1, &rows, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
  while (sqlite3_step(rows) == SQLITE_ROW) {
    for (int c = 0; c < sqlite3_column_count(rows); c++) {
      const unsigned char *bytes = sqlite3_column_blob(rows, c);
      (void)fprintf(all, "|%d:", sqlite3_column_type(rows, c));
      for (int i = 0; i < sqlite3_column_bytes(rows, c); i++)
        (void)fprintf(all, "%02x", bytes[i]);
    }
    (void)fputc('\n', all);
  }
  cr_assert_eq(sqlite3_finalize(rows), SQLITE_OK);
}

/* Version and every row of every table, owned. A journal that was left is rolled back by it. */
static char *all_rows(const char *path) {
  char *text = NULL;
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  sqlite3 *db = opened(path);
  sqlite3_stmt *tables = NULL;
  cr_assert_not_null(all);
  add_rows(db, "PRAGMA user_version", all);
  cr_assert_eq(sqlite3_prepare_v2(db,
                                  "SELECT 'SELECT * FROM \"' || name || '\"' FROM sqlite_schema "
                                  "WHERE type = 'table' ORDER BY name",
                                  -1, &tables, NULL),
               SQLITE_OK, "%s", sqlite3_errmsg(db));
  while (sqlite3_step(tables) == SQLITE_ROW)
    add_rows(db, (const char *)sqlite3_column_text(tables, 0), all);
  cr_assert_eq(sqlite3_finalize(tables), SQLITE_OK);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  cr_assert_eq(fclose(all), 0);
  return text;
}

static scene scene_begin(int version) {
  char copy[40], part[48];
  (void)snprintf(copy, sizeof copy, "beamtally.version%d.sqlite", version);
  (void)snprintf(part, sizeof part, "%s.part", copy);
  scene s = {.version = version, .folder = folder_begin()};
  s.ledger = path_in(s.folder, "beamtally.sqlite");
  s.journal = path_in(s.folder, "beamtally.sqlite-journal");
  s.copy = path_in(s.folder, copy);
  s.part = path_in(s.folder, part);
  s.report = path_in(s.folder, ".fault");
  make_version(s.ledger, version);
  s.rows = all_rows(s.ledger);
  s.bytes = file_read(s.ledger, &s.n);
  return s;
}

static void scene_end(scene *s) {
  char *const all[] = {s->ledger, s->journal, s->copy, s->part, s->report, s->bytes, s->rows};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    free(all[i]);
  folder_end(s->folder);
}

static void scene_reset(const scene *s) {
  char *const made[] = {s->journal, s->copy, s->part, s->report};
  for (size_t i = 0; i < sizeof made / sizeof made[0]; i++)
    (void)unlink(made[i]);
  file_write(s->ledger, s->bytes, s->n);
}

/* True where it is of the older version still, to the last row; else it is of today's, beside its
 * copy. */
static bool is_as_it_was(const scene *s, const char *fault) {
  char *rows = all_rows(s->ledger);
  bool same = strcmp(rows, s->rows) == 0;
  if (!same) {
    cr_assert(file_exists(s->copy), "%s: brought up to date without a copy", fault);
    char *copied = all_rows(s->copy);
    cr_expect_str_eq(copied, s->rows, "%s: the copy is not the ledger as it was", fault);
    free(copied);
  }
  free(rows);
  return same;
}

/* The next run ends what was begun: the ledger is whole, what the older version printed stands in
 * it, and one copy stands beside it. */
static void must_complete(const scene *s, const char *fault) {
  char stands[60];
  int entries = older_entries(s->version);
  (void)snprintf(stands, sizeof stands, "the state given stands at entry %d", entries);
  run_result result = RUN(s->folder, "verify", "--state", older_states[s->version][entries - 1]);
  cr_expect_eq(result.status, 0, "%s: %s", fault, result.err);
  cr_expect_not_null(strstr(result.out, stands), "%s: %s", fault, result.out);
  run_free(&result);
  cr_expect_not(is_as_it_was(s, fault), "%s", fault);
  cr_expect_not(file_exists(s->part), "%s: a part of a copy is left", fault);
}

/* Calls of each kind, and whether the fault came. */
static bool read_report(const scene *s, long *calls) {
  int came = 0;
  char *text = file_read(s->report, NULL);
  cr_assert_eq(sscanf(text, "%ld %ld %ld %ld %ld %d", &calls[0], &calls[1], &calls[2], &calls[3],
                      &calls[4], &came),
               KINDS + 1, "%s", text);
  free(text);
  return came != 0;
}

/* Whether the fault came; *was: the ledger is of the older version after it. */
static bool try_place_told(const scene *s, const char *kind, long nth, bool stays, long *calls,
                           bool *was) {
  char fault[48], place[80], where[4200];
  (void)snprintf(fault, sizeof fault, "%s:%ld%s", kind, nth, stays ? "+" : "");
  (void)snprintf(place, sizeof place, "BEAMTALLY_FAULT=%s", fault);
  (void)snprintf(where, sizeof where, "BEAMTALLY_FAULT_REPORT=%s", s->report);
  const char *const environment[] = {place, where, NULL};
  run_setting setting = {
      .folder = s->folder, .executable = BEAMTALLY_FAULTY, .environment = environment};
  scene_reset(s);
  run_result result = run_with(&setting, (const char *const[]){"status", NULL});
  cr_assert(file_exists(s->report), "%s: ended by %d: %s", fault, result.status, result.err);
  bool came = read_report(s, calls);
  *was = is_as_it_was(s, fault);
  cr_expect(result.status == 0 || result.status == 1, "%s: %d", fault, result.status);
  cr_expect(result.status == 1 || !*was, "%s: done, and of the older version", fault);
  cr_expect(result.status == 0 || came, "%s: failed without a fault: %s", fault, result.err);
  cr_expect(result.status == 0 || strncmp(result.err, "beamtally: ", 11) == 0, "%s: %s", fault,
            result.err);
  cr_expect(!*was || !(file_exists(s->copy) || file_exists(s->part)),
            "%s: left a copy of what is as it was", fault);
  must_complete(s, fault);
  run_free(&result);
  return came;
}

static bool try_place(const scene *s, const char *kind, long nth, bool stays, long *calls) {
  bool was = false;
  return try_place_told(s, kind, nth, stays, calls, &was);
}

/* The statements about the one that makes the ledger one of today's: the first, found by halving,
 * whose fault comes too late to keep it what it was, and some after it. */
static long try_about_commit(const scene *s, long calls) {
  long early = 0, late = calls, made[KINDS], came = 0;
  while (late - early > 1) {
    long middle = early + (late - early) / 2;
    bool was = false;
    came += try_place_told(s, "step", middle, true, made, &was);
    *(was ? &early : &late) = middle;
  }
  for (long nth = late + 1; nth <= late + 3; nth++)
    came += try_place(s, "step", nth, true, made);
  return came;
}

static void try_faults(int version) {
  scene s = scene_begin(version);
  long calls[KINDS] = {0}, made[KINDS], came[KINDS] = {0};
  unsigned seed = 193;
  (void)try_place(&s, kinds[0], 1000000000, false, calls); /* no fault: it only counts */
  for (size_t k = 0; k < KINDS; k++) {
    cr_assert_gt(calls[k], 0, "%s", kinds[k]);
    long most = is_long() ? LONG_PLACES : 1;
    for (long i = 0; i < most && i < calls[k]; i++) {
      long nth = is_long() ? 1 + i * calls[k] / (calls[k] < most ? calls[k] : most)
                           : 1 + rand_r(&seed) % calls[k];
      came[k] += try_place(&s, kinds[k], nth, rand_r(&seed) % 2 != 0, made);
      if (is_long())
        came[k] += try_place(&s, kinds[k], nth, false, made);
    }
  }
  if (is_long() || version == OLDER)
    came[STEP] += try_about_commit(&s, calls[STEP]);
  (void)fprintf(stderr, "faults, migration from version %d:", version);
  for (size_t k = 0; k < KINDS; k++) {
    counted(came[k], "faults injected");
    (void)fprintf(stderr, "%s %s %ld of %ld", k == 0 ? "" : ",", kinds[k], came[k], calls[k]);
  }
  (void)fprintf(stderr, " calls\n");
  scene_end(&s);
}

Test(migration, a_fault_leaves_the_older_ledger_or_todays_with_its_copy) {
  for (int version = 1; version <= OLDER; version++)
    if (share_has(version - 1))
      try_faults(version);
}

static double seconds(void) {
  struct timespec now;
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void try_kills(int version) {
  scene s = scene_begin(version);
  double begun = seconds();
  free(RUN_DONE(s.folder, "status"));
  double whole = seconds() - begun;
  int kills = is_long() ? LONG_KILLS : KILLS, killed = 0, was = 0, parts = 0;
  srand48(193);
  for (int i = 0; i < kills; i++) {
    scene_reset(&s);
    double moment = whole * (i + drand48()) / kills;
    run_setting setting = {.folder = s.folder, .kill_after_us = 1 + (long)(1e6 * moment)};
    run_result result = run_with(&setting, (const char *const[]){"status", NULL});
    cr_expect(result.status == -9 || result.status == 0, "%d: %s", result.status, result.err);
    killed += result.status == -9;
    if (result.status == 0) /* the machine had been busier before: aim earlier */
      whole *= 0.75;
    run_free(&result);
    parts += file_exists(s.part);
    was += is_as_it_was(&s, "killed");
    must_complete(&s, "killed");
  }
  counted(killed, "kills survived");
  (void)fprintf(stderr, "kills, migration: %d of %d, %d left version %d, %d a part of a copy\n",
                killed, kills, was, version, parts);
  cr_expect(killed >= kills / 4 && was >= 1, "the kills came too late");
  scene_end(&s);
}

Test(migration, a_kill_leaves_the_older_ledger_or_todays_with_its_copy) {
  for (int version = 1; version <= OLDER; version++)
    if (share_has(version - 1))
      try_kills(version);
}

/* A signal right after a call that makes, opens, names or removes a file. False where there are
 * fewer of them. */
static bool try_signal(const scene *s, long place) {
  static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
  char asked[64], told[64];
  (void)snprintf(asked, sizeof asked, "BEAMTALLY_SIGNAL=%d:%ld", signals[place % 3], place);
  (void)snprintf(told, sizeof told, "a signal at %ld", place);
  const char *const environment[] = {asked, NULL};
  run_setting setting = {.folder = s->folder,
                         .executable = BEAMTALLY_FAULTY,
                         .environment = environment,
                         .may_give_up = true};
  scene_reset(s);
  run_result result = run_with(&setting, (const char *const[]){"status", NULL});
  bool came = result.status == -signals[place % 3];
  cr_expect(came || result.status == 0, "%s: %d, %s", told, result.status, result.err);
  cr_expect_not(file_exists(s->part), "%s: a part of a copy is left", told);
  (void)is_as_it_was(s, told);
  must_complete(s, told);
  run_free(&result);
  counted(came, "faults injected");
  return came;
}

Test(migration, a_signal_leaves_no_part_of_a_copy) {
  scene s = scene_begin(OLDER);
  long place = 1;
  while (try_signal(&s, place))
    place++;
  cr_expect_gt(place, 3, "no signal came");
  scene_end(&s);
}

/* A further version needs its row in `older_states`, or the newest step would stay untried. */
Test(migration, every_older_version_is_tried) {
  scene s = scene_begin(OLDER);
  sqlite3_stmt *version = NULL;
  free(RUN_DONE(s.folder, "status"));
  sqlite3 *db = opened(s.ledger);
  cr_assert_eq(sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &version, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_step(version), SQLITE_ROW);
  cr_expect_eq(sqlite3_column_int(version, 0), OLDER + 1);
  cr_assert_eq(sqlite3_finalize(version), SQLITE_OK);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  scene_end(&s);
}
