/* Fail the Nth: allocation, SQLite allocation, SQL statement, write or sync, until no fault comes.
 *
 * After each fault the command has either done all it was asked and said so by exit status 0, or
 * done nothing and said so by exit status 1 and a sentence; the ledger verifies; no file is left
 * half-written; no sanitizer complains. A command makes up to some ten thousand such calls: in a
 * short run (BEAMTALLY_LONG_TESTS unset) PLACES of each kind are tried, spread evenly, in a long
 * one LONG_PLACES (or as many as BEAMTALLY_FAULT_PLACES says), each once for a fault that passes
 * and once for one that stays. Where there are no more calls than that, every one is tried until no
 * fault comes. */
#include "../cli/program.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { PLACES = 2, LONG_PLACES = 60, WORDS = 20, KINDS = 5 };

static const char *const kinds[KINDS] = {"memory", "sqlite_memory", "disk", "step", "file"};

/* One command, and what it is tried on. */
typedef struct scenario {
  const char *name;
  bool starts_ledger; /* tried where there is no ledger yet */
  bool writes_ledger;
  const char *input; /* file on standard input, or NULL */
  const char *words[WORDS];
} scenario;

static const scenario scenarios[] = {
    {"first import", true, true, NULL, {"import", "first.csv"}},
    {"import", false, true, NULL, {"import", "second.csv"}},
    {"import of events", false, true, NULL, {"import", "events.csv"}},
    {"import from a pipe", false, true, "second.csv", {"import", "-"}},
    {"event",
     false,
     true,
     NULL,
     {"event", "--unit", "Room 1", "--at", "2026-05-20T09:00", "--by", "KL", "service", "--note",
      "window"}},
    {"settings", false, true, NULL, {"settings", "clinic.ini", "--by", "KL", "--why", "later"}},
    {"baseline",
     false,
     true,
     NULL,
     {"baseline", "--unit", "Room 1", "--characteristic", "energy_ratio", "--from", "2026-04-01",
      "--to", "2026-04-20", "--by", "KL", "--why", "trial"}},
    {"report", false, false, NULL, {"report", "--month", "2026-04", "-o", "out"}},
    {"chart",
     false,
     false,
     NULL,
     {"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "chart.png"}},
    {"analyse",
     false,
     false,
     NULL,
     {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "json"}},
    {"status", false, false, NULL, {"status"}},
    {"verify", false, false, NULL, {"verify"}},
    {"evidence",
     false,
     false,
     NULL,
     {"evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "out"}},
    {"backup", false, false, NULL, {"backup", "copy.sqlite"}},
};

/* ---- The folder that a command is tried in --------------------------------------------------- */

static void write_text(const char *folder, const char *name, const char *text) {
  char *path = path_in(folder, name);
  file_write(path, text, strlen(text));
  free(path);
}

static void write_log(const char *folder, const char *name, int first_day, int days) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj,pattern,remark\n", file);
  for (int d = first_day; d < first_day + days; d++)
    (void)fprintf(file, "2026-04-%02d,07:30,Room 1,1.61,%.3f,pass,%s\n", d, 1.6 + 0.004 * (d % 5),
                  d % 7 == 0 ? "\"a remark, with a comma\"" : "");
  cr_assert_eq(fclose(file), 0);
  free(path);
}

/* A folder with what every scenario needs, and the bytes of its ledger. */
typedef struct stage {
  char *folder, *ledger, *report;
  char *bytes; /* NULL: there is no ledger at first */
  size_t n;
  char *said;           /* of that ledger */
  char *before, *after; /* what can be seen from outside; after: when the command was done */
} stage;

/* Salts are random, and the states that follow from them: "1f2e 3d4c ..." becomes "#". */
static void mask_states(char *text) {
  enum { GROUP = 4, GROUPS = 5, LENGTH = GROUPS * (GROUP + 1) - 1 };
  for (char *at = text; *at != '\0'; at++) {
    size_t n = 0;
    while (n < LENGTH && (n % (GROUP + 1) == GROUP ? at[n] == ' ' : isxdigit((unsigned char)at[n])))
      n++;
    if (n == LENGTH) {
      at[0] = '#';
      memmove(at + 1, at + LENGTH, strlen(at + LENGTH) + 1);
    }
  }
}

/* True when the ledger is byte for byte what it was before the command, with nothing beside it. */
static bool untouched(const stage *s) {
  char *journal = path_in(s->folder, "beamtally.sqlite-journal");
  bool same = s->bytes != NULL && !file_exists(journal) && file_exists(s->ledger);
  if (same) {
    size_t n;
    char *bytes = file_read(s->ledger, &n);
    same = n == s->n && memcmp(bytes, s->bytes, n) == 0;
    free(bytes);
  }
  free(journal);
  return same;
}

/* What the ledger holds, as `verify` counts it and `status` says it, owned; nothing for a ledger
 * with nothing in it, as a failed first import may leave it. A journal that was left is rolled back
 * by the reading. */
static char *said_of_ledger(const stage *s) {
  char *text = NULL;
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  cr_assert_not_null(all);
  run_result status = run_plain(s->folder, (const char *const[]){"status", NULL});
  bool nothing = strstr(status.err, "holds no unit yet") != NULL ||
                 strstr(status.err, "there is no ledger") != NULL;
  cr_assert(status.status == 0 || nothing, "status after a fault: %s", status.err);
  if (!nothing) {
    char *verified = RUN_DONE(s->folder, "verify");
    (void)fprintf(all, "%s%s", status.out, verified);
    free(verified);
  }
  run_free(&status);
  cr_assert_eq(fclose(all), 0);
  return text;
}

/* All that can be seen from outside: the ledger's content, and every other file by name. */
static char *visible(const stage *s) {
  char *text = NULL;
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  cr_assert_not_null(all);
  if (file_exists(s->ledger)) {
    bool known = s->said != NULL && untouched(s);
    char *said = known ? NULL : said_of_ledger(s);
    (void)fputs(known ? s->said : said, all);
    free(said);
  }
  struct dirent **names;
  int files = scandir(s->folder, &names, NULL, alphasort);
  cr_assert(files >= 0);
  for (int i = 0; i < files; i++) {
    char *path = path_in(s->folder, names[i]->d_name);
    /* An empty folder for the reports says nothing: rmdir takes it away. */
    if (names[i]->d_name[0] != '.' && strcmp(path, s->ledger) != 0 && rmdir(path) != 0)
      (void)fprintf(all, "%s\n", names[i]->d_name);
    free(path);
    free(names[i]);
  }
  free(names);
  cr_assert_eq(fclose(all), 0);
  mask_states(text);
  return text;
}

/* Takes away an evidence folder; files only are in it. */
static void drop_folder(const stage *s) {
  char *folder = path_in(s->folder, "out");
  DIR *names = opendir(folder);
  struct dirent *entry;
  while (names != NULL && (entry = readdir(names)) != NULL) {
    char *path = path_in(folder, entry->d_name);
    if (entry->d_name[0] != '.')
      (void)unlink(path);
    free(path);
  }
  if (names != NULL)
    (void)closedir(names);
  (void)rmdir(folder);
  free(folder);
}

/* Everything as it was before the command. */
static void reset(const stage *s) {
  drop_folder(s);
  static const char *const made[] = {"chart.png", "copy.sqlite", "out/room-1-2026-04.pdf",
                                     "beamtally.sqlite-journal"};
  for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
    char *path = path_in(s->folder, made[i]);
    (void)unlink(path);
    free(path);
  }
  if (s->bytes != NULL)
    file_write(s->ledger, s->bytes, s->n);
  else
    (void)unlink(s->ledger);
}

static run_result run_scenario(const stage *s, const scenario *of, const char *fault) {
  char *input = of->input == NULL ? NULL : path_in(s->folder, of->input);
  char place[64], where[4200];
  (void)snprintf(place, sizeof place, "BEAMTALLY_FAULT=%s", fault == NULL ? "" : fault);
  (void)snprintf(where, sizeof where, "BEAMTALLY_FAULT_REPORT=%s", s->report);
  const char *const environment[] = {place, where, NULL};
  run_setting setting = {.folder = s->folder,
                         .executable = fault == NULL ? NULL : BEAMTALLY_FAULTY,
                         .input = input,
                         .environment = fault == NULL ? NULL : environment};
  run_result result = run_with(&setting, of->words);
  free(input);
  return result;
}

static stage stage_begin(const scenario *of) {
  stage s = {.folder = folder_begin()};
  s.ledger = path_in(s.folder, "beamtally.sqlite");
  s.report = path_in(s.folder, ".fault");
  write_log(s.folder, "first.csv", 1, 20);
  write_log(s.folder, "second.csv", 15, 15);
  write_text(s.folder, "events.csv",
             "date,time,unit,event,note\n2026-04-03,06:30,Room 1,gas_refill,\n"
             "2026-04-06,06:30,Room 1,gas_refill,new bottle\n");
  write_text(s.folder, "clinic.ini",
             "[unit 1]\nname = Room 1\n[tolerance 1]\nunit = Room 1\n"
             "characteristic = energy_ratio\nlow = 0.97\nhigh = 1.03\nsource = IFU 7\n"
             "from = 2026-01-01\n");
  if (!of->starts_ledger) {
    free(RUN_DONE(s.folder, "import", "first.csv"));
    s.said = said_of_ledger(&s);
    s.bytes = file_read(s.ledger, &s.n);
  }
  s.before = visible(&s);
  run_result done = run_scenario(&s, of, NULL);
  cr_assert_eq(done.status, 0, "%s: %s", of->name, done.err);
  run_free(&done);
  s.after = visible(&s);
  return s;
}

static void stage_end(stage *s) {
  free(s->bytes);
  free(s->said);
  free(s->before);
  free(s->after);
  free(s->ledger);
  free(s->report);
  folder_end(s->folder);
}

/* ---- The sweep ------------------------------------------------------------------------------- */

/* Reads what the injector wrote; false when the fault did not come. */
static bool fault_came(const stage *s, long *calls) {
  size_t n;
  int came = 0;
  char *text = file_read(s->report, &n);
  cr_assert_eq(sscanf(text, "%ld %d", calls, &came), 2, "%s", text);
  free(text);
  return came != 0;
}

static bool try_place(const stage *s, const scenario *of, const char *reference, const char *kind,
                      long nth, bool stays, long *calls) {
  char fault[48];
  (void)snprintf(fault, sizeof fault, "%s:%ld%s", kind, nth, stays ? "+" : "");
  reset(s);
  (void)unlink(s->report);
  run_result result = run_scenario(s, of, fault);
  cr_assert(file_exists(s->report), "%s, %s: ended by %d without a report: %s", of->name, fault,
            result.status, result.err);
  bool came = fault_came(s, calls);
  char *seen = visible(s);
  if (result.status == 0) {
    cr_expect_str_eq(seen, s->after, "%s, %s: exit status 0, but not all was done", of->name,
                     fault);
    if (!of->writes_ledger)
      cr_expect_str_eq(result.out, reference, "%s, %s: exit status 0 with another output", of->name,
                       fault);
  } else {
    cr_expect_eq(result.status, 1, "%s, %s: status %d: %s", of->name, fault, result.status,
                 result.err);
    cr_expect_eq(strncmp(result.err, "beamtally: ", 11), 0, "%s, %s: no sentence: %s", of->name,
                 fault, result.err);
    /* What was stored is stored, though the words that say so could not be written; and a file that
     * was written is said to be, though perhaps not beyond a loss of power. */
    bool unsaid = of->writes_ledger && strstr(result.err, "output could not be written") != NULL;
    bool unsynced = strstr(result.err, " was written, but its folder cannot be synced") != NULL;
    cr_expect(came, "%s, %s: failed without a fault: %s", of->name, fault, result.err);
    cr_expect_str_eq(seen, unsaid || unsynced ? s->after : s->before,
                     "%s, %s: exit status 1, but something was done: %s", of->name, fault,
                     result.err);
  }
  free(seen);
  run_free(&result);
  return came;
}

static long places(bool all) {
  const char *asked = getenv("BEAMTALLY_FAULT_PLACES");
  return asked != NULL ? strtol(asked, NULL, 10) : all ? LONG_PLACES : PLACES;
}

/* Faults that came, of how many calls. */
typedef struct sweep_count {
  long faults, calls;
} sweep_count;

static sweep_count sweep(const stage *s, const scenario *of, const char *reference,
                         const char *kind) {
  bool all = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  long calls = 0, came = 0, most = places(all);
  (void)try_place(s, of, reference, kind, 1000000000, false, &calls);
  long step = calls <= most ? 1 : calls / most;
  for (int stays = 0; stays <= all; stays++)
    for (long nth = 1; nth <= calls; nth += step) {
      long made = 0;
      if (try_place(s, of, reference, kind, nth, stays != 0, &made))
        came++;
      else if (step == 1)
        break;
    }
  return (sweep_count){came, calls};
}

static void sweep_all_kinds(const scenario *of) {
  stage s = stage_begin(of);
  char line[400] = "";
  size_t length = 0;
  reset(&s);
  run_result plain = run_scenario(&s, of, NULL);
  for (size_t k = 0; k < KINDS; k++) {
    sweep_count count = sweep(&s, of, plain.out, kinds[k]);
    (void)snprintf(line + length, sizeof line - length, "%s %s %ld of %ld", k == 0 ? "" : ",",
                   kinds[k], count.faults, count.calls);
    length = strlen(line);
  }
  (void)fprintf(stderr, "faults, %s:%s calls\n", of->name, line);
  run_free(&plain);
  stage_end(&s);
}

Test(sweeps, a_command_that_writes_the_ledger_does_all_or_nothing) {
  for (size_t i = 0; i < sizeof scenarios / sizeof *scenarios; i++)
    if (scenarios[i].writes_ledger)
      sweep_all_kinds(&scenarios[i]);
}

Test(sweeps, a_command_that_looks_says_all_or_fails) {
  for (size_t i = 0; i < sizeof scenarios / sizeof *scenarios; i++)
    if (!scenarios[i].writes_ledger)
      sweep_all_kinds(&scenarios[i]);
}
