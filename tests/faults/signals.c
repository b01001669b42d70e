/* Ctrl-C, a closed terminal or a service manager's word at any moment of a command that makes
 * files: what it makes is there whole or not at all, nothing else is left, and the program ends by
 * that signal. The signal comes right after each call in turn that makes, opens, brings to the
 * disk, names or removes a file, before the program knows that the call was done (injector.c); in a
 * short run after a few, seeded. */
#include "../cli/program.h"
#include "../counted.h"
#include "scenarios.h"
#include "stage.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SHORT_PLACES = 3 };

static const scenario makers[] = {
    {"report", false, false, NULL, {"report", "--month", "2026-04", "-o", "out"}},
    {"report in a file", false, false, NULL, {"report", "--month", "2026-04", "-o", "r.pdf"}},
    {"issue",
     false,
     true,
     NULL,
     {"report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out"}},
    {"chart",
     false,
     false,
     NULL,
     {"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "chart.png"}},
    {"evidence",
     false,
     false,
     NULL,
     {"evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "out"}},
    {"export", false, false, NULL, {"export", "-o", "out"}},
    {"backup", false, false, NULL, {"backup", "copy.sqlite"}},
    {"columns", false, false, NULL, {"columns", "second.csv", "--write", "made.ini"}},
    {"rejects",
     false,
     false,
     NULL,
     {"import", "--dry-run", "other.csv", "--max-refused", "50", "--rejects", "rejects.csv"}},
    {"import from a pipe", false, true, "second.csv", {"import", "-"}},
    {.name = NULL}};

static run_result run_signalled(const stage *s, const scenario *of, int which, long place) {
  char asked[64];
  (void)snprintf(asked, sizeof asked, "BEAMTALLY_SIGNAL=%d:%ld", which, place);
  const char *const environment[] = {asked, NULL};
  run_setting setting = {
      .executable = BEAMTALLY_FAULTY, .environment = environment, .may_give_up = true};
  return scenario_run(of, s, &setting);
}

static void reset(const stage *s) {
  static const char *const made[] = {"r.pdf", "made.ini", "rejects.csv"};
  stage_reset(s, false);
  for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
    char *path = path_in(s->folder, made[i]);
    (void)unlink(path);
    free(path);
  }
}

/* A command, and what can be seen before it and after it. */
typedef struct trial {
  const stage *stage;
  const scenario *of;
  char *before, *after;
} trial;

static trial trial_begin(const stage *s, const scenario *of) {
  trial t = {.stage = s, .of = of};
  reset(s);
  t.before = stage_visible(s);
  run_result done = scenario_run(of, s, &(run_setting){.executable = BEAMTALLY_FAULTY});
  cr_assert_eq(done.status, DONE, "%s: %s", of->name, done.err);
  run_free(&done);
  t.after = stage_visible(s);
  cr_expect_str_neq(t.before, t.after, "%s makes nothing", of->name);
  return t;
}

static void trial_end(trial *t) {
  free(t->before);
  free(t->after);
}

static void must_be_whole_or_none(const trial *t, long place, bool came) {
  char *seen = stage_visible(t->stage), *out = path_in(t->stage->folder, "out");
  bool none = strcmp(seen, t->before) == 0, all = strcmp(seen, t->after) == 0;
  cr_expect(all || (came && none), "%s, place %ld: neither before nor after:\n%s", t->of->name,
            place, seen);
  DIR *empty = none ? opendir(out) : NULL;
  cr_expect_null(empty, "%s, place %ld: an empty folder is left", t->of->name, place);
  if (empty != NULL)
    (void)closedir(empty);
  free(out);
  free(seen);
}

/* True when the signal came. */
static bool try_place(const trial *t, long place) {
  static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
  int which = signals[place % 3];
  reset(t->stage);
  run_result result = run_signalled(t->stage, t->of, which, place);
  bool came = result.status != DONE;
  if (came)
    cr_expect_eq(result.status, -which, "%s, place %ld: status %d, %s", t->of->name, place,
                 result.status, result.err);
  must_be_whole_or_none(t, place, came);
  run_free(&result);
  return came;
}

/* The calls that a signal can come after, when none comes. */
static long places_of(const trial *t) {
  char where[4200];
  long places = 0;
  (void)snprintf(where, sizeof where, "BEAMTALLY_FAULT_REPORT=%s", t->stage->report);
  run_setting setting = {.executable = BEAMTALLY_FAULTY,
                         .environment = (const char *const[]){where, NULL}};
  reset(t->stage);
  run_result counts = scenario_run(t->of, t->stage, &setting);
  char *told = file_read(t->stage->report, NULL), *last = strrchr(told, ' ');
  cr_assert(counts.status == DONE && last != NULL && sscanf(last, "%ld", &places) == 1, "%s",
            counts.err);
  (void)unlink(t->stage->report);
  run_free(&counts);
  free(told);
  return places;
}

static void interrupt_everywhere(const trial *t) {
  bool all = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  unsigned seed = 193 + (unsigned)(t->of - makers);
  long places = places_of(t), tried = 0, most = all ? places : SHORT_PLACES;
  cr_expect_gt(places, 0, "%s: no place for a signal", t->of->name);
  for (; tried < most && places > 0; tried++) {
    long place = 1 + (all ? tried : rand_r(&seed) % places);
    cr_expect(try_place(t, place), "%s: no signal came at %ld", t->of->name, place);
  }
  counted(tried, "faults injected");
  (void)fprintf(stderr, "signals, %s: %ld of %ld places\n", t->of->name, tried, places);
}

/* False where there is no such place. */
static bool give_up_at(const trial *t, long place) {
  static const int faults[] = {SIGABRT, SIGTRAP};
  static const char words[] = "beamtally: it had to end: a library that it uses gave up";
  reset(t->stage);
  run_result result = run_signalled(t->stage, t->of, faults[place % 2], place);
  bool came = result.status != DONE;
  if (came) {
    cr_expect_eq(result.status, FAILED, "%s, place %ld: status %d", t->of->name, place,
                 result.status);
    cr_expect_not_null(strstr(result.err, words), "%s, place %ld: %s", t->of->name, place,
                       result.err);
  }
  must_be_whole_or_none(t, place, came);
  run_free(&result);
  counted(came, "faults injected");
  return came;
}

static void of_each(void (*try)(const trial *t)) {
  stage s = stage_begin();
  const char *only = getenv("BEAMTALLY_FAULT_SCENARIO");
  for (size_t i = 0; makers[i].name != NULL; i++) {
    if (only != NULL && strcmp(only, makers[i].name) != 0)
      continue;
    trial t = trial_begin(&s, &makers[i]);
    try(&t);
    trial_end(&t);
  }
  stage_end(&s);
}

Test(signals, a_command_that_is_ended_leaves_all_or_nothing) {
  of_each(interrupt_everywhere);
}

static void give_up_early(const trial *t) {
  long most = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 12 : 2, place = 1;
  while (place <= most && give_up_at(t, place))
    place++;
  cr_expect_gt(place, 1, "%s: no signal came", t->of->name);
}

/* Without memory GLib ends the program by SIGTRAP, and what asserts by SIGABRT: then a sentence
 * says so, and what was being made goes likewise. */
Test(signals, a_library_that_gives_up_leaves_nothing_and_is_told_of) {
  of_each(give_up_early);
}
