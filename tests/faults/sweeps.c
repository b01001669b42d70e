/* Fail the Nth: allocation, SQLite allocation, SQL statement, write or sync, until no fault comes.
 *
 * After each fault the command has either done all it was asked and said so by exit status 0, or
 * done nothing and said so by exit status 1 and a sentence; the ledger verifies and holds the same
 * rows; no file is left half-written; no sanitizer complains. A command makes up to some ten
 * thousand such calls: in a short run (BEAMTALLY_LONG_TESTS unset) one or two of each kind are
 * tried, seeded, for a fault that passes or for one that stays. In a long run LONG_PLACES of each
 * kind (or as many as BEAMTALLY_FAULT_PLACES says), spread evenly, are each tried with both; where
 * there are no more calls than that, every one is tried until no fault comes. The environment
 * variable BEAMTALLY_FAULT_SCENARIO, the name of one, leaves out all others, and
 * BEAMTALLY_FAULT_KINDS, the names of some kinds between commas, all other kinds. */
#include "../cli/program.h"
#include "../counted.h"
#include "../share.h"
#include "scenarios.h"
#include "stage.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { LONG_PLACES = 20, KINDS = 5 };

/* places: of a short run; more where a ledger could be torn. */
static const struct {
  const char *name;
  int places;
} kinds[KINDS] = {{"memory", 1}, {"sqlite_memory", 1}, {"disk", 2}, {"step", 2}, {"file", 1}};

/* One scenario on a stage, and what it does when nothing fails. */
typedef struct trial {
  const stage *stage;
  const scenario *of;
  char *before, *after; /* what can be seen from outside */
  char *out;            /* what it prints */
  unsigned seed;
} trial;

static run_result run_scenario(const stage *s, const scenario *of, const char *fault) {
  char place[64], where[4200];
  (void)snprintf(place, sizeof place, "BEAMTALLY_FAULT=%s", fault == NULL ? "" : fault);
  (void)snprintf(where, sizeof where, "BEAMTALLY_FAULT_REPORT=%s", s->report);
  const char *const environment[] = {place, where, NULL};
  run_setting setting = {.executable = fault == NULL ? NULL : BEAMTALLY_FAULTY,
                         .environment = fault == NULL ? NULL : environment};
  return scenario_run(of, s, &setting);
}

static trial trial_begin(const stage *s, const scenario *of) {
  trial t = {.stage = s, .of = of, .seed = 193 + (unsigned)(of - scenarios)};
  stage_reset(s, of->starts_ledger);
  t.before = stage_visible(s);
  run_result done = run_scenario(s, of, NULL);
  cr_assert_eq(done.status, 0, "%s: %s", of->name, done.err);
  t.after = stage_visible(s);
  if (of->writes_ledger)
    cr_expect_str_neq(t.before, t.after, "%s does nothing", of->name);
  t.out = done.out;
  free(done.err);
  return t;
}

static void trial_end(trial *t) {
  free(t->before);
  free(t->after);
  free(t->out);
}

/* ---- The sweep ------------------------------------------------------------------------------- */

/* Reads what the injector wrote: calls of each kind; false when the fault did not come. */
static bool fault_came(const stage *s, long *calls) {
  size_t n;
  int came = 0;
  char *text = file_read(s->report, &n);
  cr_assert_eq(sscanf(text, "%ld %ld %ld %ld %ld %d", &calls[0], &calls[1], &calls[2], &calls[3],
                      &calls[4], &came),
               KINDS + 1, "%s", text);
  free(text);
  return came != 0;
}

/* Exit status 1: a sentence, and nothing was done. What was stored is stored, though, and a file
 * that was made is whole, when the words that say so could not be written, or the folder of a file
 * that was written not be synced; and a baseline is frozen when the sentence says so, what follows
 * from it having failed. */
static void must_have_failed(const trial *t, const char *fault, const run_result *result,
                             const char *seen, bool came) {
  const char *name = t->of->name;
  cr_expect_eq(result->status, 1, "%s, %s: status %d: %s", name, fault, result->status,
               result->err);
  cr_expect_eq(strncmp(result->err, "beamtally: ", 11), 0, "%s, %s: no sentence: %s", name, fault,
               result->err);
  cr_expect_null(strstr(result->err, ".part"), "%s, %s: names a passing file: %s", name, fault,
                 result->err);
  bool unsaid = strstr(result->err, "output could not be written") != NULL;
  bool unsynced = strstr(result->err, " was written, but its folder cannot be synced") != NULL;
  unsynced = unsynced && strstr(result->err, " was not made: ") == NULL &&
             strstr(result->err, "nothing was issued: ") == NULL; /* the PDF was taken away */
  bool untold = strstr(result->err, "the baseline was frozen, but what it does to ") != NULL;
  bool all = unsynced || untold || (unsaid && strcmp(seen, t->before) != 0);
  cr_expect(came, "%s, %s: failed without a fault: %s", name, fault, result->err);
  cr_expect_str_eq(seen, all ? t->after : t->before,
                   "%s, %s: exit status 1, but something was done: %s", name, fault, result->err);
  if (t->of->starts_ledger && !all && strchr(fault, '+') == NULL) /* a fault that passed */
    cr_expect(!file_exists(t->stage->ledger), "%s, %s: leaves an empty ledger: %s", name, fault,
              result->err);
}

static bool try_place(const trial *t, const char *kind, long nth, bool stays, long *calls) {
  const stage *s = t->stage;
  const char *name = t->of->name;
  char fault[48];
  (void)snprintf(fault, sizeof fault, "%s:%ld%s", kind, nth, stays ? "+" : "");
  stage_reset(s, t->of->starts_ledger);
  (void)unlink(s->report);
  run_result result = run_scenario(s, t->of, fault);
  cr_assert(file_exists(s->report), "%s, %s: ended by %d without a report: %s", name, fault,
            result.status, result.err);
  bool came = fault_came(s, calls);
  char *seen = stage_visible(s);
  if (result.status == 0) {
    cr_expect_str_eq(seen, t->after, "%s, %s: exit status 0, but not all was done", name, fault);
    if (!t->of->writes_ledger)
      cr_expect_str_eq(result.out, t->out, "%s, %s: exit status 0 with another output", name,
                       fault);
  } else {
    must_have_failed(t, fault, &result, seen, came);
  }
  free(seen);
  run_free(&result);
  return came;
}

/* Few calls of a kind, seeded. */
static long sweep_some(trial *t, size_t kind, long calls) {
  long made[KINDS], came = 0;
  bool stays = rand_r(&t->seed) % 2 != 0;
  for (int i = 0; i < kinds[kind].places && calls > 0; i++) {
    came += try_place(t, kinds[kind].name, 1 + rand_r(&t->seed) % calls, stays, made);
    stays = !stays;
  }
  return came;
}

static long sweep_many(const trial *t, const char *kind, long calls) {
  const char *asked = getenv("BEAMTALLY_FAULT_PLACES");
  long most = asked != NULL ? strtol(asked, NULL, 10) : LONG_PLACES, came = 0;
  long step = calls <= most ? 1 : calls / most;
  for (int stays = 0; stays <= 1; stays++)
    for (long nth = 1; nth <= calls; nth += step) {
      long made[KINDS];
      if (try_place(t, kind, nth, stays != 0, made))
        came++;
      else if (step == 1)
        break;
    }
  return came;
}

static bool is_asked(const char *kind) {
  const char *asked = getenv("BEAMTALLY_FAULT_KINDS");
  size_t n = strlen(kind);
  for (const char *at = asked; at != NULL; at = strchr(at, ','), at = at == NULL ? NULL : at + 1)
    if (strncmp(at, kind, n) == 0 && (at[n] == ',' || at[n] == '\0'))
      return true;
  return asked == NULL;
}

static void sweep_all_kinds(const stage *s, const scenario *of) {
  bool all = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  long calls[KINDS] = {0};
  char line[400] = "";
  trial t = trial_begin(s, of);
  (void)try_place(&t, kinds[0].name, 1000000000, false, calls); /* no fault: it only counts */
  for (size_t k = 0; k < KINDS; k++) {
    if (!is_asked(kinds[k].name))
      continue;
    long came = all ? sweep_many(&t, kinds[k].name, calls[k]) : sweep_some(&t, k, calls[k]);
    counted(came, "faults injected");
    size_t length = strlen(line);
    (void)snprintf(line + length, sizeof line - length, "%s %s %ld of %ld", length == 0 ? "" : ",",
                   kinds[k].name, came, calls[k]);
  }
  (void)fprintf(stderr, "faults, %s:%s calls\n", of->name, line);
  trial_end(&t);
}

static void sweep_scenarios(bool writes) {
  stage s = stage_begin();
  const char *only = getenv("BEAMTALLY_FAULT_SCENARIO");
  for (size_t i = 0; scenarios[i].name != NULL; i++)
    if (scenarios[i].writes_ledger == writes && share_has((long)i) &&
        (only == NULL || strcmp(only, scenarios[i].name) == 0))
      sweep_all_kinds(&s, &scenarios[i]);
  stage_end(&s);
}

Test(sweeps, a_command_that_writes_the_ledger_does_all_or_nothing) {
  sweep_scenarios(true);
}

Test(sweeps, a_command_that_looks_says_all_or_fails) {
  sweep_scenarios(false);
}

/* Few places of a sweep fall where the folder is read again for its manifest. */
Test(sweeps, files_that_an_evidence_folder_reads_again) {
  enum { FILE_CALLS = KINDS - 1, LAST = 40, STEP = 4 };
  long calls[KINDS] = {0}, came = 0, made[KINDS];
  const scenario *of = scenarios;
  while (of->name != NULL && strcmp(of->name, "evidence") != 0)
    of++;
  if (!share_has(of - scenarios))
    return;
  stage s = stage_begin();
  trial t = trial_begin(&s, of);
  (void)try_place(&t, kinds[0].name, 1000000000, false, calls);
  for (long nth = calls[FILE_CALLS] - LAST; nth <= calls[FILE_CALLS]; nth += STEP)
    came += try_place(&t, kinds[FILE_CALLS].name, nth, false, made);
  cr_expect_gt(came, LAST / STEP);
  counted(came, "faults injected");
  trial_end(&t);
  stage_end(&s);
}
