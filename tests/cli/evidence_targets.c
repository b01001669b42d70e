/* A folder of voltages that held several target energies: what is set aside for it follows from the
 * rows, and nothing of it can be altered unseen. Status and page say since when, and what to do. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 84 };

/* A number in [-0.5, 0.5): of no source, only not alike from day to day. */
static double noise(unsigned *state) {
  *state = *state * 1664525U + 1013904223U;
  return (double)(*state >> 8) / 16777216.0 - 0.5;
}

/* 2.00 mJ; mistyped on the sixth day, which is in the baseline, missing on the 41st; 2.10 from the
 * 61st on. */
static double target_on(int day) {
  return day == 5 ? 20 : day == 40 ? 0 : day < 60 ? 2 : 2.1;
}

/* Days from 5 Jan 2026 on; the voltage follows. Frozen: the first 40 days. */
static char *room_folder(void) {
  static const int in_month[] = {31, 28, 31, 30};
  static const char settings[] = "[unit 1]\nname = Room 1\n"
                                 "[tolerance 1]\nunit = Room 1\ncharacteristic = high_voltage\n"
                                 "low = 20\nhigh = 30\nsource = invented\nfrom = 2026-01-01\n";
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  char *own = path_in(folder, "settings.ini");
  FILE *log = fopen(path, "w");
  cr_assert_not_null(log);
  (void)fputs("date,time,unit,hv_kv,target_mj\n", log);
  unsigned state = 7;
  int month = 1, date = 5;
  for (int day = 0; day < DAYS; day++, date++) {
    if (date > in_month[month - 1]) {
      date = 1;
      month++;
    }
    double target = target_on(day), kv = (day < 60 ? 25 : 26.25) + 0.2 * noise(&state);
    (void)fprintf(log, "2026-%02d-%02d,07:30,Room 1,%.3f,", month, date, kv);
    if (target > 0)
      (void)fprintf(log, "%.2f", target);
    (void)fputc('\n', log);
  }
  cr_assert_eq(fclose(log), 0);
  file_write(own, settings, strlen(settings));
  free(path);
  free(own);
  free(RUN_DONE(folder, "settings", "settings.ini", "--by", "PERSON", "--why", "first"));
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                "--from", "2026-01-05", "--to", "2026-02-13", "--screen", "--accept-drift", "--by",
                "PERSON", "--why", "a test"));
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "case"));
  return folder;
}

static size_t count(const char *text, const char *words) {
  size_t n = 0;
  for (const char *at = text; (at = strstr(at, words)) != NULL; at++)
    n++;
  return n;
}

static char *read_in(const char *folder, const char *name) {
  char *path = path_in(folder, name), *text = file_read(path, NULL);
  free(path);
  return text;
}

Test(evidence_targets, what_is_set_aside_follows_from_the_rows) {
  char *folder = room_folder(), *checks = read_in(folder, "case/checks.csv");
  free(RUN_DONE(folder, "verify", "case"));
  free(RUN_DONE(folder, "verify", "case", "--ledger", "none"));
  cr_expect_eq(count(checks, ",no,other_target,"), 1 + DAYS - 60);
  cr_expect_eq(count(checks, "high_voltage") - count(checks, "other_target,1,25"), DAYS - 1);
  cr_expect_eq(count(checks, ",2.1,1,,1,"), DAYS - 60, "target, baseline's number, not of it");
  char *limits = read_in(folder, "case/limits.json");
  cr_expect_eq(count(limits, "\"target_mj\":2.0"), 1, "of the voltage alone");
  free(limits);
  free(checks);
  folder_end(folder);
}

/* A new text in which the first `from` became `to`, with a new manifest. */
static void alter(const char *folder, const char *name, const char *from, const char *to) {
  static const char again[] =
      "cd case && sha256sum $(sed 's/^[0-9a-f]*  //' MANIFEST.sha256) >../all && "
      "mv ../all MANIFEST.sha256";
  char *path = path_in(folder, name), *text = file_read(path, NULL), *at = strstr(text, from);
  cr_assert_not_null(at, "%s has no \"%s\"", name, from);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fprintf(file, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
  cr_assert_eq(fclose(file), 0);
  free(text);
  free(path);
  free(TOOL(folder, "sh", "-c", again));
}

Test(evidence_targets, what_was_altered_shows) {
  static const struct {
    const char *file, *from, *to, *says;
  } cases[] = {
      {"case/checks.csv", ",2.1,1,,1,", ",2.0,1,,1,", "judged"},
      {"case/checks.csv", ",no,other_target,", ",no,fill_too_old,", "not_judged"},
      {"case/checks.csv", ",no,other_target,", ",limit,,", "judged"},
      {"case/limits.json", "\"target_mj\":2.0", "\"target_mj\":2.1", "target_mj"},
      {"case/checks.csv", ",2.1,1,,1,", ",2.2,1,,1,", "its target is not the same in both"}};
  char *folder = room_folder();
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *path = path_in(folder, cases[i].file), *before = file_read(path, NULL);
    alter(folder, cases[i].file, cases[i].from, cases[i].to);
    run_result result = RUN(folder, "verify", "case", "--ledger", "none");
    cr_expect_eq(result.status, FAILED, "case %zu: %s", i, result.out);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: %s", i, result.err);
    run_free(&result);
    file_write(path, before, strlen(before));
    free(before);
    free(path);
  }
  folder_end(folder);
}

/* A text on one line, as its lines break anywhere, a long command's behind a backslash. */
static char *joined(char *text) {
  char *to = text;
  for (const char *at = text; *at != '\0'; at++)
    if (at[0] == '\\' && at[1] == '\n')
      continue;
    else if (*at != '\n' && !(*at == ' ' && to > text && to[-1] == ' '))
      *to++ = *at;
    else if (*at == '\n' && to > text && to[-1] != ' ')
      *to++ = ' ';
  *to = '\0';
  return text;
}

Test(evidence_targets, status_says_since_when_and_what_to_do) {
  char *folder = room_folder();
  char *said = joined(RUN_DONE(folder, "status", "--unit", "Room 1"));
  cr_expect_not_null(strstr(said, "NO BASELINE"), "%s", said);
  cr_expect_not_null(strstr(said, "another target since 6 Mar 2026"), "%s", said);
  cr_expect_not_null(strstr(said, "2.100 mJ for 2.000 mJ"), "%s", said);
  cr_expect_not_null(strstr(said, "--characteristic high_voltage --from 2026-03-06"), "%s", said);
  free(said);
  said = joined(RUN_DONE(folder, "drift", "--unit", "Room 1", "--characteristic", "high_voltage"));
  cr_expect_not_null(strstr(said, "was not looked at: since 6 Mar 2026 the target is"), "%s", said);
  free(said);
  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                "--from", "2026-03-06", "--to", "2026-03-25", "--accept-drift", "--by", "PERSON",
                "--why", "a new target"));
  said = joined(RUN_DONE(folder, "status", "--unit", "Room 1"));
  cr_expect_null(strstr(said, "another target"), "%s", said);
  free(said);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "later"));
  free(RUN_DONE(folder, "verify", "later"));
  folder_end(folder);
}
