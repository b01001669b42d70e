/* What an import says: refused lines by their reason, readings far from the rest, unknown lasers,
 * conflicts and texts of a file that is read again; and the lists that go with it. */
#include "program.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Each of `said` stands in what the command says. */
static void must_say(const char *folder, int status, const char *const *said,
                     const char *const *words) {
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, status, "%s: status %d, %s", words[1], result.status, result.err);
  for (; *said != NULL; said++)
    cr_expect(strstr(result.err, *said) != NULL || strstr(result.out, *said) != NULL,
              "\"%s\" is not in: %s%s", *said, result.out, result.err);
  run_free(&result);
}
#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})
#define MUST_SAY(folder, status, said, ...)                                                        \
  must_say((folder), (status), said, (const char *const[]){__VA_ARGS__, NULL})

/* n rows of energy, every `bad`th of them words. */
static void put_log(const char *folder, const char *name, int n, int bad) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,energy_mj\n", file);
  for (int i = 0; i < n; i++)
    (void)fprintf(file, "2026-01-%02d,%02d:00,Room 1,%s\n", 1 + i / 20, i % 20,
                  bad > 0 && i % bad == 0 ? "lots" : "1.6");
  cr_assert_eq(fclose(file), 0);
  free(path);
}

Test(import_said, refused_lines_by_their_reason) {
  char *folder = folder_begin();
  put_log(folder, "log.csv", 100, 10);
  MUST_SAY(folder, DONE,
           WORDS("10 lines refused:", "line 2, column \"energy_mj\": \"lots\": expected a number",
                 "line 22, column", "and 7 more lines with the same reason"),
           "import", "log.csv");
  put_log(folder, "worse.csv", 100, 2);
  MUST_SAY(folder, FAILED,
           WORDS("50 of 100 lines were refused", "Most often (50 lines): column \"energy_mj\": "
                                                 "expected a number"),
           "import", "worse.csv");

  MUST_SAY(folder, DONE, WORDS("10 lines were refused", "log.csv, line 2, column \"energy_mj\""),
           "conflicts", "--refused");
  MUST_SAY(folder, DONE, WORDS("10 refused lines"), "status");
  put_log(folder, "log.csv", 100, 0);
  MUST_SAY(folder, DONE, WORDS("100 rows, 10 new, 90 already known"), "import", "log.csv");
  MUST_SAY(folder, DONE, WORDS("No refused line is missing."), "conflicts", "--refused");
  MUST_SAY(folder, DONE, WORDS("10 lines were refused"), "conflicts", "--refused", "--all");
  folder_end(folder);
}

/* A typing error in one cell must not throw a failed self-test away without a word. */
Test(import_said, a_refused_line_that_holds_a_failed_self_test) {
  static const char head[] =
      "date,time,unit,energy_mj,temp_c,selftest_passed,selftest_total,remark\n";
  static const char *const said[] = {
      "2 lines refused:", "2 of them hold a failed self-test, a remark or a refill",
      "  line 3, column \"temp_c\": \"21.4x\": expected a number",
      "; the line holds a failed self-test, a remark or a refill\n", NULL};
  static const char still[] = "2 refused lines hold a failed self-test, a remark or a refill";
  char *folder = folder_begin(), log[1024], mended[1024];
  (void)snprintf(log, sizeof log, "%s%s", head,
                 "2026-09-01,07:30,A,1.6,21.4,18,18,\n2026-09-02,07:30,A,1.6,21.4x,15,18,\n"
                 "2026-09-03,07:30,A,1.6,21.4,18,18,\n2026-09-04,07:30,A,1.6,hot,18,18,smells\n"
                 "2026-09-05,07:30,A,1.6,21.4,18,18,\n");
  file_put(folder, "log.csv", log);
  run_result result = RUN(folder, "import", "--max-refused", "50", "log.csv");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  const char *at = result.err;
  for (size_t i = 0; said[i] != NULL; i++) {
    const char *found = strstr(at, said[i]);
    cr_expect_not_null(found, "\"%s\" is not, or not in its place, in: %s", said[i], result.err);
    at = found == NULL ? at : found;
  }
  run_free(&result);
  MUST_SAY(folder, DONE, WORDS("2 refused lines, 2 of them with a failed self-test, a"), "status");
  MUST_SAY(folder, DONE,
           WORDS("2 of them hold a failed self-test, a remark or a refill, and stand first"),
           "conflicts", "--refused");
  char *status = RUN_DONE(folder, "status");
  cr_expect_not_null(strstr(status, still), "%s", status);
  cr_expect_not_null(strstr(status, "conflicts --refused"), "%s", status);
  free(status);

  /* Mended, the self-test counts and nothing is said any more. */
  (void)snprintf(mended, sizeof mended, "%s%s", head,
                 "2026-09-01,07:30,A,1.6,21.4,18,18,\n2026-09-02,07:30,A,1.6,21.4,15,18,\n"
                 "2026-09-03,07:30,A,1.6,21.4,18,18,\n2026-09-04,07:30,A,1.6,21.5,18,18,smells\n"
                 "2026-09-05,07:30,A,1.6,21.4,18,18,\n");
  file_put(folder, "log.csv", mended);
  free(RUN_DONE(folder, "import", "log.csv"));
  status = RUN_DONE(folder, "status");
  cr_expect_null(strstr(status, "failed self-test, a"), "%s", status);
  cr_expect_not_null(strstr(status, "0 refused lines."), "%s", status);
  free(status);
  folder_end(folder);
}

/* A line that nobody can mend: left out by decision it is on record, and no longer wants a look. */
Test(import_said, a_refused_line_that_is_left_out_by_decision) {
  static const char log[] = "date,time,unit,energy_mj,temp_c,remark\n"
                            "2026-09-01,07:30,A,1.6,21.4,\n2026-09-02,07:30,A,1.6,21.4x,smells\n"
                            "2026-09-03,07:30,A,1.6,21.4,\n2026-09-04,07:30,A,1.6,hot,\n";
  char *folder = folder_begin(), grown[512];
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "--max-refused", "50", "log.csv"));
  MUST_SAY(folder, DONE, WORDS("2 lines were refused", "A line that nobody can mend:"), "conflicts",
           "--refused");
  /* The effect is shown, and a script says yes to it. */
  MUST_SAY(folder, USAGE,
           WORDS("log.csv, line 3, column \"temp_c\"", "It holds a failed self-test, a remark or",
                 "This can't be taken back", "nothing was changed: nobody is at a terminal"),
           "conflicts", "--refused", "log.csv:3", "--leave-out", "--by", "KL", "--why", "lost");
  MUST_SAY(folder, DONE, WORDS("2 refused lines, 1 of them with a failed self-test"), "status");
  MUST_SAY(folder, DONE, WORDS("line 3", "1 refused line left out by decision"), "conflicts",
           "--yes", "--refused", "folder/log.csv:3", "--leave-out", "--by", "KL", "--why",
           "slip lost");
  MUST_SAY(folder, DONE, WORDS("1 line was refused", "1 more is left out by decision; --all"),
           "conflicts", "--refused");
  MUST_SAY(folder, DONE, WORDS("2 lines were refused", "left out by KL, ", ": slip lost"),
           "conflicts", "--refused", "--all");
  MUST_SAY(folder, DONE, WORDS("2 refused lines, 1 of them left out by decision."), "status");
  char *status = RUN_DONE(folder, "status");
  cr_expect_null(strstr(status, "hold a failed self-test"), "%s", status);
  free(status);

  /* It comes again with the grown log: what was left out is counted apart, and the rest is told. */
  (void)snprintf(grown, sizeof grown, "%s2026-09-05,07:30,A,1.6,21.4,\n", log);
  file_put(folder, "log.csv", grown);
  MUST_SAY(folder, ATTENTION,
           WORDS("2 refused (all as before, 1 of them left out by decision)",
                 "2 lines refused, all 2 as before (first on ",
                 ", 1 left out by decision; `beamtally", "lists the others"),
           "import", "--strict", "--max-refused", "50", "log.csv");
  MUST_SAY(folder, DONE, WORDS("1 refused line left out by decision"), "conflicts", "--yes",
           "--refused", "log.csv:4-9", "--leave-out", "--by", "KL", "--why", "lost, too");
  MUST_SAY(folder, DONE, WORDS("No refused line is missing.", "2 more are left out by decision"),
           "conflicts", "--strict", "--refused");
  (void)snprintf(grown, sizeof grown,
                 "%s2026-09-05,07:30,A,1.6,21.4,\n2026-09-06,07:30,A,1.6,21.4,\n", log);
  file_put(folder, "log.csv", grown);
  run_result result = RUN(folder, "import", "--strict", "--max-refused", "50", "log.csv");
  cr_expect_eq(result.status, DONE, "all that was refused was left out");
  cr_expect_not_null(strstr(result.out, "2 refused (all as before and left out by decision)"), "%s",
                     result.out);
  cr_expect_null(strstr(result.err, "refused"), "%s", result.err);
  run_free(&result);
  free(RUN_DONE(folder, "verify"));

  /* Mended all the same, it goes in as any other. */
  (void)snprintf(grown, sizeof grown,
                 "date,time,unit,energy_mj,temp_c,remark\n2026-09-01,07:30,A,1.6,21.4,\n"
                 "2026-09-02,07:30,A,1.6,21.4,smells\n2026-09-03,07:30,A,1.6,21.4,\n"
                 "2026-09-05,07:30,A,1.6,21.4,\n2026-09-06,07:30,A,1.6,21.4,\n");
  file_put(folder, "log.csv", grown);
  MUST_SAY(folder, DONE, WORDS("5 rows, 1 new, 4 already known, 0 conflicts, 0 refused"), "import",
           "log.csv");
  MUST_SAY(folder, DONE, WORDS("5 checks, 0 refused lines."), "status");
  folder_end(folder);
}

Test(import_said, what_can_not_be_left_out) {
#define OUT "--leave-out", "--by", "KL", "--why", "lost"
  char *folder = folder_begin();
  put_log(folder, "log.csv", 20, 10);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, USAGE, WORDS("\"log.csv\" is no refused line"), "conflicts", "--yes",
           "--refused", "log.csv", OUT);
  MUST_SAY(folder, USAGE, WORDS("is no refused line"), "conflicts", "--yes", "--refused",
           "log.csv:4-2", OUT);
  MUST_SAY(folder, USAGE, WORDS("say --leave-out as well"), "conflicts", "--refused", "log.csv:2");
  MUST_SAY(folder, USAGE, WORDS("--leave-out needs FILE:LINE"), "conflicts", "--refused", OUT);
  MUST_SAY(folder, USAGE, WORDS("--leave-out is for refused lines"), "conflicts", OUT);
  MUST_SAY(folder, USAGE, WORDS("--why"), "conflicts", "--refused", "log.csv:2", "--leave-out",
           "--by", "KL");
  MUST_SAY(folder, USAGE, WORDS("goes without --keep"), "conflicts", "--refused", "log.csv:2",
           "--keep", "old", OUT);
  MUST_SAY(folder, FAILED, WORDS("log.csv:3: the ledger has no refused line of that log there"),
           "conflicts", "--yes", "--refused", "log.csv:3", OUT);
  MUST_SAY(folder, FAILED, WORDS("has no refused line"), "conflicts", "--yes", "--refused",
           "log.csv:2", "og.csv:12", OUT);
  MUST_SAY(folder, DONE, WORDS("2 lines were refused"), "conflicts", "--refused");
  free(RUN_DONE(folder, "conflicts", "--yes", "--refused", "log.csv:2", "log.csv:1-2", OUT));
  MUST_SAY(folder, FAILED, WORDS("log.csv:2: left out before, by KL, ", ": lost"), "conflicts",
           "--yes", "--refused", "log.csv:2", OUT);
  put_log(folder, "log.csv", 20, 0);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, FAILED, WORDS("log.csv:12: refused once, but no more"), "conflicts", "--yes",
           "--refused", "log.csv:12", OUT);
  folder_end(folder);
#undef OUT
}

/* Rows pasted twice are kept; a new remark of a row that is known is not. Both are said. */
Test(import_said, rows_pasted_twice_and_remarks_that_came_later) {
  static const char first[] = "date,time,unit,energy_mj,operator,remark\n"
                              "2026-09-01,07:30,A,1.6,KL,\n2026-09-02,07:30,A,1.6,KL,\n"
                              "2026-09-03,07:30,A,1.7,KL,smells\n";
  char *folder = folder_begin(), text[1024];
  file_put(folder, "plain.csv", first);
  run_result result = RUN(folder, "import", "plain.csv");
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);

  (void)snprintf(text, sizeof text, "%s%s", first,
                 "2026-09-01,07:30,A,1.6,KL,\n2026-09-04,07:30,A,1.6,KL,\n"
                 "2026-09-04,07:30,A,1.6,KL,again\n2026-09-04,07:30,A,1.6,KL,\n");
  file_put(folder, "pasted.csv", text);
  MUST_SAY(
      folder, DONE,
      WORDS("pasted.csv: 3 rows say the same as another row of the file (same laser, time and "
            "readings): kept as checks of their own, the first is line 5; if they were pasted "
            "twice, take the first out: `beamtally correct --unit UNIT --at 2026-09-01T07:30#1 "
            "--withdraw",
            "7 rows, 4 new, 3 already known"),
      "import", "pasted.csv");
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-09-01T07:30#1", "--withdraw",
                "--by", "KL", "--why", "pasted twice", "--yes"));

  file_put(folder, "later.csv",
           "date,time,unit,energy_mj,operator,remark\n2026-09-01,07:30,A,1.6,KL,\n"
           "2026-09-02,07:30,A,1.6,KL,window cleaned\n2026-09-03,07:30,A,1.7,MN,smells\n");
  MUST_SAY(folder, DONE,
           WORDS("later.csv: 2 rows that are known bring a remark or operator that the ledger "
                 "doesn't have; what the ledger has stands, the first is line 3: `beamtally "
                 "correct --unit UNIT --at 2026-09-02T07:30 remark=...",
                 "3 rows, 0 new, 3 already known"),
           "import", "later.csv");
  /* Once a person has put them in, a longer export says nothing. */
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-09-02T07:30",
                "remark=window cleaned", "--by", "KL", "--why", "came later", "--yes"));
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-09-03T07:30", "operator=MN", "--by",
                "KL", "--why", "came later", "--yes"));
  file_put(folder, "longer.csv",
           "date,time,unit,energy_mj,operator,remark\n2026-09-01,07:30,A,1.6,KL,\n"
           "2026-09-02,07:30,A,1.6,KL,window cleaned\n2026-09-03,07:30,A,1.7,MN,smells\n"
           "2026-09-09,07:30,A,1.7,MN,\n");
  result = RUN(folder, "import", "longer.csv");
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

Test(import_said, unknown_lasers_all_at_once) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-01,Room 1,1.6\n");
  file_put(
      folder, "names.csv",
      "date,unit,energy_mj\n2026-01-02,Rom 1,1.6\n2026-01-02,Room 1,1.6\n2026-01-02,East,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, FAILED,
           WORDS("line 2: the ledger has no unit named \"Rom 1\"", "line 4: ", "\"East\"",
                 "correct the names, or say --new-unit",
                 "nothing of this file was stored; where it is another laser: `beamtally import "
                 "--new-unit names.csv`\n"),
           "import", "names.csv");
  file_put(folder, "it's.csv", "date,energy_mj\n2026-01-02,1.6\n");
  MUST_SAY(folder, FAILED, WORDS("`beamtally import --new-unit --unit 'Room 4' 'it'\\''s.csv'`\n"),
           "import", "--unit", "Room 4", "it's.csv");
  folder_end(folder);
}

Test(import_said, readings_far_from_the_rest) {
  char *folder = folder_begin();
  file_put(
      folder, "log.csv",
      "date,unit,energy_mj,spot_mm\n2026-01-01,A,1.6,0.9\n2026-01-02,A,1.61,0.9\n"
      "2026-01-03,A,1600,0.9\n2026-01-04,A,1.59,0.9\n2026-01-05,A,0,0.9\n2026-01-06,A,1.6,0.9\n"
      "2026-01-07,A,1.6,0\n");
  MUST_SAY(
      folder, DONE,
      WORDS("1 reading of energy_mj about ten times the median (1.6 mJ) or more",
            "1 reading of energy_mj about a tenth of the median (1.6 mJ) or less",
            "1 reading of spot_mm about a tenth", "7 rows, 7 new",
            "kept: 2026-01-03 (line 4): 1600 mJ, 1000 times the median. If",
            "kept: 2026-01-05 (line 6): 0 mJ. If",
            "`beamtally correct --unit A --at 2026-01-03 energy_mj=VALUE --by NAME --why TEXT`"),
      "import", "log.csv");
  /* The command that is printed corrects it, and the three furthest are named. */
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-01-03", "energy_mj=1.6", "--by",
                "KL", "--why", "a decimal mark was lost", "--yes"));
  file_put(
      folder, "many.csv",
      "date,time,unit,energy_mj\n2025-01-01,07:40,Room 1,1.6\n2025-01-02,07:40,Room 1,1600\n"
      "2025-01-03,07:40,Room 1,32\n2025-01-04,07:40,Room 1,1.6\n2025-01-05,07:40,Room 1,160\n"
      "2025-01-06,07:40,Room 1,1.6\n2025-01-07,07:40,Room 1,1600\n2025-01-08,07:40,Room 1,0.1\n"
      "2025-01-09,07:40,Room 1,1.6\n2025-01-10,07:40,Room 1,1.6\n2025-01-11,07:40,Room 1,1.6\n"
      "2025-01-12,07:40,Room 1,1.6\n");
  MUST_SAY(
      folder, DONE,
      WORDS("4 readings of energy_mj about ten times the median",
            "2025-01-02T07:40 (line 3): 1600 mJ, 1000 times the median; 2025-01-07T07:40 (line "
            "8): 1600 mJ, 1000 times the median; 2025-01-05T07:40 (line 6): 160 mJ, 100 times "
            "the median; and 1 more. If",
            "2025-01-08T07:40 (line 9): 0.1 mJ, 1/16 of the median. If",
            "correct --unit 'Room 1' --at 2025-01-02T07:40 energy_mj=VALUE",
            "correct --unit 'Room 1' --at 2025-01-08T07:40 energy_mj=VALUE"),
      "import", "--new-unit", "many.csv");
  file_put(folder, "percent.csv",
           "date,unit,energy_pct\n2026-03-01,A,100.1\n2026-03-02,A,99.6\n2026-03-03,A,1004\n"
           "2026-03-04,A,998\n2026-03-05,A,100.3\n2026-03-06,A,100.2\n2026-03-07,A,99.9\n");
  MUST_SAY(folder, DONE,
           WORDS("2 readings of energy_pct about ten times the median (1e+02 %) or more",
                 "2026-03-03 (line 4): 1004 %, 10 times the median",
                 "2026-03-04 (line 5): 998 %, 10 times the median. If"),
           "import", "percent.csv");
  file_put(folder, "plain.csv",
           "date,unit,energy_mj\n2026-02-01,A,1.6\n2026-02-02,A,9.9\n2026-02-03,A,0.3\n"
           "2026-02-04,A,1.59\n2026-02-05,A,1.6\n2026-02-06,A,1.6\n");
  run_result result = RUN(folder, "import", "plain.csv");
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* How many readings of energy the import called far out, on the side that the words name, and the
 * median that it named. */
static size_t far_out(const char *said, const char *side, double *median) {
  const char *at = strstr(said, side);
  cr_assert_not_null(at, "%s: %s", side, said);
  *median = strtod(strchr(at, '(') + 1, NULL);
  while (at > said && at[-1] != '\n')
    at--;
  return (size_t)strtoul(strstr(at, "log.csv: ") + strlen("log.csv: "), NULL, 10);
}

/* Against the sorted readings: the median is taken as the middle of a class at most 1.6 % wide and
 * each reading as the middle of its own, so that what is counted lies between what is surely nine
 * times off and what may be. Two figures of the median are printed. */
Test(import_said, far_out_as_sorted_readings_have_it) {
  enum { READINGS = 301 };
  static const double slack = 1.035;
  double reading[READINGS], low_median = 0, high_median = 0;
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  FILE *file = fopen(path, "w");
  uint32_t chance = 1;
  cr_assert_not_null(file);
  (void)fputs("date,unit,energy_mj\n", file);
  for (int i = 0; i < READINGS; i++) {
    chance = chance * 1664525U + 1013904223U;
    /* from 0.02 to 200 or so, as many in each doubling */
    reading[i] = (1 + (chance >> 8) % 1000 / 1000.0) * (double)(1U << (chance >> 20) % 13) / 64;
    reading[i] = round(reading[i] * 1e6) / 1e6;
    (void)fprintf(file, "2025-%02d-%02d,Room %d,%.6f\n", 1 + i / 28 % 12, 1 + i % 28, i / 336,
                  reading[i]);
  }
  cr_assert_eq(fclose(file), 0);
  run_result result = RUN(folder, "import", "log.csv");
  cr_assert_eq(result.status, DONE, "%s", result.err);
  size_t above = far_out(result.err, "about ten times the median", &high_median);
  size_t below = far_out(result.err, "about a tenth of the median", &low_median);
  run_free(&result);

  qsort(reading, READINGS, sizeof reading[0], by_size);
  double median = reading[READINGS / 2];
  size_t surely_above = 0, maybe_above = 0, surely_below = 0, maybe_below = 0;
  for (size_t i = 0; i < READINGS; i++) {
    surely_above += reading[i] >= 9 * median * slack;
    maybe_above += reading[i] >= 9 * median / slack;
    surely_below += reading[i] <= median / 9 / slack;
    maybe_below += reading[i] <= median / 9 * slack;
  }
  cr_expect(surely_above > 10 && surely_below > 10, "the readings spread");
  cr_expect(surely_above <= above && above <= maybe_above, "%zu: %zu to %zu", above, surely_above,
            maybe_above);
  cr_expect(surely_below <= below && below <= maybe_below, "%zu: %zu to %zu", below, surely_below,
            maybe_below);
  cr_expect(fabs(high_median / median - 1) < 0.06 && high_median == low_median, "%g, %g",
            high_median, median);
  free(path);
  folder_end(folder);
}

/* A log without times, and the same with them: the days stand twice, which is said, and the command
 * that is printed mends it. */
Test(import_said, days_that_stand_twice) {
  char *folder = folder_begin();
  file_put(folder, "days.csv",
           "date,unit,energy_mj\n2026-01-01,A,1.6\n2026-01-02,A,1.61\n2026-01-03,A,1.59\n");
  file_put(folder, "times.csv",
           "date,time,unit,energy_mj\n2026-01-01,07:40,A,1.6\n2026-01-02,23:59:59,A,1.61\n"
           "2026-01-03,07:40,A,1.58\n2026-01-04,08:15,A,1.59\n");
  free(RUN_DONE(folder, "import", "days.csv"));
  MUST_SAY(
      folder, DONE,
      WORDS("times.csv: 2 rows have the same readings as rows of that laser and day that "
            "another log has without a time of day",
            "`beamtally import --again --instead-of days.csv --by NAME --why REASON times.csv`",
            "4 rows, 4 new"),
      "import", "times.csv");
  MUST_SAY(folder, DONE, WORDS("3 records of days.csv superseded"), "import", "--again",
           "--instead-of", "days.csv", "--by", "KL", "--why", "with its times", "--yes",
           "times.csv");
  file_put(folder, "one.csv", "date,unit,energy_mj\n2026-01-04,A,1.59\n2026-01-05,A,1.6\n");
  MUST_SAY(folder, DONE,
           WORDS("one.csv: 1 row has the same readings as a row of that laser and day that another "
                 "log has with a time of day",
                 "--instead-of times.csv --by"),
           "import", "one.csv");
  file_put(folder, "more.csv", "date,time,unit,energy_mj\n2026-01-05,07:40,A,1.5\n");
  run_result result = RUN(folder, "import", "more.csv");
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

Test(import_said, a_file_with_a_header_alone) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n");
  char *ledger = path_in(folder, "beamtally.sqlite");
  MUST_SAY(folder, DONE, WORDS("a header and no row; nothing is stored of it"), "import",
           "log.csv");
  cr_expect_neq(access(ledger, F_OK), 0, "a ledger was made");
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-02,A,1.6\n");
  MUST_SAY(folder, DONE, WORDS("1 row, 1 new"), "import", "log.csv");
  file_put(folder, "log.csv", "date,unit,energy_mj\n");
  MUST_SAY(folder, DONE, WORDS("a header and no row; nothing is stored of it"), "import",
           "log.csv");
  MUST_SAY(folder, DONE, WORDS("1 log file, 1 check"), "status");
  free(ledger);
  folder_end(folder);
}

/* A log that grows brings its refused lines each month: those of before are told apart, by line,
 * column and reason, and the new ones are listed. */
Test(import_said, lines_that_were_refused_before) {
  char *folder = folder_begin();
  put_log(folder, "log.csv", 100, 40);
  MUST_SAY(folder, DONE, WORDS("log.csv: 3 lines refused:\n", "0 conflicts, 3 refused\n"), "import",
           "log.csv");
  put_log(folder, "log.csv", 110, 40);
  run_result result = RUN(folder, "import", "log.csv");
  cr_expect_not_null(strstr(result.err, "log.csv: 3 lines refused, all 3 as before (first on "),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "); `beamtally conflicts --refused` lists them\n"), "%s",
                     result.err);
  cr_expect_null(strstr(result.err, "lots"), "%s", result.err);
  cr_expect_not_null(strstr(result.out, "10 new, 97 already known, 0 conflicts, 3 refused (all as "
                                        "before)\n"),
                     "%s", result.out);
  run_free(&result);
  put_log(folder, "log.csv", 130, 40);
  result = RUN(folder, "import", "log.csv");
  cr_expect_not_null(strstr(result.err, "log.csv: 4 lines refused, of them 3 as before (first on "),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "lists them. New are:\n  line 122, column \"energy_mj\""),
                     "%s", result.err);
  cr_expect_null(strstr(result.err, "line 42"), "%s", result.err);
  cr_expect_not_null(strstr(result.out, "4 refused (3 as before)\n"), "%s", result.out);
  run_free(&result);
  put_log(folder, "log.csv", 131, 40);
  MUST_SAY(folder, DONE, WORDS("log.csv: 4 lines refused:\n", "  line 42, column"), "import",
           "--verbose", "log.csv");
  put_log(folder, "other.csv", 99, 40);
  MUST_SAY(folder, DONE, WORDS("other.csv: 3 lines refused:\n", "line 42, column"), "import",
           "other.csv");
  MUST_SAY(folder, DONE, WORDS("7 lines were refused"), "conflicts", "--refused");
  folder_end(folder);
}

Test(import_said, a_file_that_is_read_again_beside_others) {
  char *folder = folder_begin();
  file_put(folder, "one.csv",
           "date,unit,E,remark\n2026-01-01,A,1.6,Mr Example\n2026-01-02,A,1.7,\n");
  file_put(folder, "two.csv", "date,unit,E\n2026-01-01,A,1.6\n2026-01-02,A,1600\n");
  file_put(folder, "map.ini", "[columns]\ndate = date\nunit = unit\nenergy_mj = E\n");
  file_put(folder, "remark.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = E\nremark = remark\n");
  file_put(folder, "other.ini", "[columns]\ndate = date\nunit = unit\ntarget_mj = E\n");
  free(RUN_DONE(folder, "import", "--map", "remark.ini", "one.csv"));
  MUST_SAY(folder, DONE, WORDS("1 already known, 1 conflict"), "import", "--map", "map.ini",
           "two.csv");
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-01-01", "--redact", "remark",
                "--by", "KL", "--why", "a name", "--yes"));
  MUST_SAY(folder, DONE, WORDS("1 conflict of its earlier import closed"), "import", "--map",
           "other.ini", "--again", "--by", "KL", "--why", "it is the target", "two.csv");
  MUST_SAY(folder, DONE, WORDS("2 conflicts are to be settled"), "conflicts");
  MUST_SAY(folder, DONE, WORDS("replaced, its file was read again, by KL", "it is the"),
           "conflicts", "--all");
  MUST_SAY(folder, DONE,
           WORDS("1 text was left out", "2 records of its earlier import superseded",
                 "other logs held some of the same rows", "two.csv"),
           "import", "--map", "remark.ini", "--unit", "unused", "--dates", "ymd", "--decimal",
           "point", "--encoding", "WINDOWS-1252", "--again", "--by", "KL", "--why", "encoding",
           "one.csv");
  MUST_SAY(folder, DONE, WORDS("whole"), "verify");
  folder_end(folder);
}

Test(import_said, refills_noted_in_checks_are_listed_with_the_events) {
  char *folder = folder_begin();
  file_put(
      folder, "log.csv",
      "date,time,unit,energy_mj,refill\n2026-01-01,08:00,A,1.6,\n2026-01-02,08:00,A,1.7,before\n"
      "2026-01-03,08:00,A,1.7,after\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "event", "--unit", "A", "--at", "2026-01-02T12:00", "--by", "KL",
                "service"));
  char *out = RUN_DONE(folder, "event", "--list");
  cr_expect_str_eq(
      out,
      "A: 1 event, 2 refills noted in checks\n"
      " check  2026-01-02T08:00  gas refill, noted in the check of that time (before the reading)\n"
      "     1  2026-01-02T12:00  service visit\n"
      " check  2026-01-03T08:00  gas refill, noted in the check of that time (after the reading)\n",
      "%s", out);
  free(out);
  folder_end(folder);
}

/* A column that nothing names is not stored, and that is said once, when it is new. */
Test(import_said, columns_that_are_not_stored) {
  static const char log[] = "date,unit,energy_mj,Nominal mJ,Humidity,,beamtally_line\n"
                            "2026-04-13,Room 1,1.605,1.61,44,,1\n";
  char *folder = folder_begin();
  char *path = path_in(folder, "log.csv");
  file_write(path, log, strlen(log));
  free(path);
  static const char said[] = "known by no name, and so not stored: \"Nominal mJ\", \"Humidity\"; ";
  for (int known = 0; known < 2; known++) {
    run_result result = RUN(folder, "import", "log.csv");
    cr_expect_eq(result.status, 0, "%s", result.err);
    cr_expect((strstr(result.err, said) != NULL) == (known == 0), "%s", result.err);
    run_free(&result);
  }
  run_result quiet = RUN(folder, "import", "--quiet", "--ledger", "other.sqlite", "log.csv");
  cr_expect_str_eq(quiet.err, "");
  run_free(&quiet);
  folder_end(folder);
}

/* A first log brings its lasers, but not one of them in several spellings. */
Test(import_said, one_laser_in_several_spellings) {
  static const char log[] =
      "date,unit,energy_mj\n2026-04-13,Laser 1,1.6\n2026-04-14,laser1,1.6\n"
      "2026-04-15,LASER-1,1.6\n2026-04-16,Laser 2,1.6\n2026-04-17,laser 1,1.6\n";
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  MUST_SAY(folder, FAILED,
           WORDS("line 3: the ledger has no unit named \"laser1\"; the nearest is \"Laser 1\"",
                 "line 4: the ledger has no unit named \"LASER-1\"", "or say --new-unit"),
           "import", "log.csv");
  MUST_SAY(folder, DONE, WORDS("5 rows, 5 new"), "import", "--new-unit", "log.csv");
  folder_end(folder);
}

/* What speaks against how a log is read is said, though it is read: a text that no row has, and
 * rows of both orders of dates. */
Test(import_said, what_speaks_against_the_reading) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,energy_mj,Gas\n2026-04-13,Room 1,1.6,new bottle\n2026-04-14,Room 1,1.6,no\n");
  file_put(folder, "map.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n"
           "[values]\nevent.gas_refill = Gas, new botle | changed, before\n");
  MUST_SAY(folder, DONE,
           WORDS("log.csv: the map gives the text \"new botle\" of the column \"Gas\" a meaning "
                 "(event.gas_refill), but no row has it: compare its spelling with \"new bottle\" "
                 "(line 2)",
                 "2 rows, 2 new"),
           "import", "--map", "map.ini", "log.csv");

  /* A month without a refill is no typing error, whatever the column holds; a word that tells of
   * one and has no meaning may be a refill that is lost. */
  static const char *const quiet[] = {"no", "nein", "ok", "-", "all fine"};
  for (size_t i = 0; i < sizeof quiet / sizeof *quiet; i++) {
    char log[160];
    (void)snprintf(
        log, sizeof log,
        "date,unit,energy_mj,Gas\n2025-05-%02zu,Room 1,1.6,%s\n2025-06-%02zu,Room 1,1.6,\n", i + 1,
        quiet[i], i + 1);
    file_put(folder, "month.csv", log);
    run_result result = RUN(folder, "import", "--map", "map.ini", "month.csv");
    cr_expect_eq(result.status, DONE);
    cr_expect_str_eq(result.err, "", "%s", quiet[i]);
    run_free(&result);
  }
  static const char *const lost[] = {"yes", "oui", "Gaswechsel"};
  for (size_t i = 0; i < sizeof lost / sizeof *lost; i++) {
    char log[160], said[64];
    (void)snprintf(log, sizeof log, "date,unit,energy_mj,Gas\n2025-07-%02zu,Room 1,1.6,%s\n", i + 1,
                   lost[i]);
    (void)snprintf(said, sizeof said, "compare its spelling with \"%s\" (line 2)", lost[i]);
    file_put(folder, "month.csv", log);
    MUST_SAY(folder, DONE, WORDS(said), "import", "--map", "map.ini", "month.csv");
  }
  file_put(
      folder, "both.csv",
      "date,unit,energy_mj\n13/04/2026,Room 1,1.6\n04/14/2026,Room 1,1.6\n05/06/2026,Room 1,1.6\n");
  MUST_SAY(
      folder, DONE,
      WORDS("1 row says another order of dates than the one told, day, month, year: line 3 has "
            "its date as month, day, year (04/14/2026), line 2 as day, month, year "
            "(13/04/2026). Read as told, rows of the other order are refused",
            "3 rows, 1 new, 1 already known"),
      "import", "--dates", "dmy", "--max-refused", "50", "both.csv");
  file_put(folder, "days.csv",
           "date,unit,energy_mj\n01/06/2026,Room 1,1.6\n02/06/2026,Room 1,1.6\n"
           "03/06/2026,Room 1,1.6\n04/06/2026,Room 1,1.6\n05/06/2026,Room 1,1.6\n"
           "06/06/2026,Room 1,1.6\n07/06/2026,Room 1,1.6\n08/06/2026,Room 1,1.6\n"
           "09/06/2026,Room 1,1.6\n15/06/2026,Room 1,1.6\n16/06/2026,Room 1,1.6\n");
  static const char another[] =
      "2 rows say another order of dates than the one told, month, day, year: line 11 can only be "
      "day, month, year (15/06/2026), and no row can only be month, day, year. Read as told, such "
      "rows are refused and all others may be in the wrong month: look at --dates";
  MUST_SAY(folder, DONE, WORDS(another, "2 refused"), "import", "--dates", "mdy", "days.csv",
           "--ledger", "other");
  run_result right = RUN(folder, "import", "--dates", "dmy", "days.csv", "--ledger", "right");
  cr_expect_eq(right.status, DONE);
  cr_expect_str_eq(right.err, "");
  run_free(&right);
  folder_end(folder);
}

/* One that stays and one that scatters: said where the first is read as the measured energy, of one
 * laser or two. */
Test(import_said, set_and_measured_energy_exchanged) {
  char *folder = folder_begin();
  for (int exchanged = 0; exchanged < 2; exchanged++)
    for (int lasers = 1; lasers < 3; lasers++) {
      char *path = path_in(folder, "log.csv");
      FILE *file = fopen(path, "w");
      cr_assert_not_null(file);
      (void)fputs(exchanged ? "date,unit,energy_mj,target_mj\n" : "date,unit,target_mj,energy_mj\n",
                  file);
      for (int u = 0; u < lasers; u++)
        for (int i = 0; i < 24; i++)
          (void)fprintf(file, "2026-01-%02d,%c,1.6%d,1.6%03d\n", 1 + i, 'A' + u, u, i * 7 % 24);
      cr_assert_eq(fclose(file), 0);
      free(path);
      char name[32];
      (void)snprintf(name, sizeof name, "ledger-%d-%d", exchanged, lasers);
      run_result result = RUN(folder, "import", "log.csv", "--ledger", name);
      cr_expect_eq(result.status, DONE, "%s", result.err);
      cr_expect_eq(strstr(result.err, "if the two columns are exchanged") != NULL, exchanged,
                   "%d lasers: %s", lasers, result.err);
      cr_expect_eq(strstr(result.err, lasers == 1 ? "in 23 of 23 rows, target_mj in 0"
                                                  : "in 46 of 46 rows, target_mj in 0") != NULL,
                   exchanged, "%d lasers: %s", lasers, result.err);
      run_free(&result);
    }
  folder_end(folder);
}

/* Where no line can be read, to go on all the same would store nothing. */
Test(import_said, a_file_whose_lines_are_all_refused) {
  char *folder = folder_begin();
  put_log(folder, "all.csv", 4, 1);
  run_result result = RUN(folder, "import", "all.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "4 of 4 lines were refused"), "%s", result.err);
  cr_expect_null(strstr(result.err, "--max-refused"), "%s", result.err);
  run_free(&result);
  put_log(folder, "half.csv", 4, 2);
  MUST_SAY(folder, FAILED, WORDS("or say --max-refused 100"), "import", "half.csv");
  folder_end(folder);
}

/* Every section of the settings is told of. */
Test(import_said, settings_say_what_was_taken) {
  char *folder = folder_begin();
  file_put(folder, "own.ini",
           "[characteristic 1]\nkey = door_force\ntitle = Door\nunit = N\n"
           "[characteristic 2]\nkey = lamp\ntitle = Lamp\nunit = h\n");
  MUST_SAY(folder, DONE,
           WORDS("own.ini: taken: 2 characteristics, a budget of 1 false alarm a unit and year\n"),
           "settings", "own.ini", "--by", "KL", "--why", "first");
  file_put(folder, "all.ini",
           "[clinic]\nname = C\n[unit 1]\nname = A\n[schedule]\nweekdays = mon\n[budget]\n"
           "alarms_per_unit_year = 2\n[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\n"
           "low = 0.97\nsource = policy\nfrom = 2026-01-01\n");
  MUST_SAY(folder, DONE,
           WORDS("all.ini: taken: 1 unit, 1 tolerance, the clinic, the schedule, a budget of 2 "
                 "false alarms a unit and year\n"),
           "settings", "all.ini", "--by", "KL", "--why", "all");
  folder_end(folder);
}

static void put_tolerance(const char *folder, const char *characteristic, const char *limits,
                          const char *from) {
  char ini[300];
  (void)snprintf(ini, sizeof ini,
                 "[tolerance 1]\nunit = A\ncharacteristic = %s\n%ssource = policy\nfrom = %s\n",
                 characteristic, limits, from);
  file_put(folder, "s.ini", ini);
}

static char *folder_of_nine(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,target_mj,energy_mj,offset_x_um\n2026-01-01,A,1,1.000,3\n"
           "2026-01-02,A,1,1.001,4\n2026-01-03,A,1,1.002,5\n2026-01-04,A,1,1.003,6\n"
           "2026-01-05,A,1,1.004,7\n2026-01-06,A,1,1.005,8\n2026-01-07,A,1,1.006,9\n"
           "2026-01-08,A,1,1.007,10\n2026-01-09,A,1,1.008,11\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

/* A tolerance that most checks lie outside of is taken, with a question; a good one without: one in
 * force over the checks, or from a later day on. */
Test(import_said, a_tolerance_in_another_unit_than_the_readings) {
  static const struct {
    const char *characteristic, *limits, *says[3];
  } cases[] = {
      {"energy_ratio", "low = 0.97\nhigh = 1.03\n", {NULL}},
      {"energy_ratio", "high = 0.99\n", {"0 of 9 checks", "of another laser", NULL}},
      {"energy_ratio", "high = 1.004\n", {NULL}}, /* 5 of 9 */
      {"energy_ratio", "high = 1.003\n", {"4 of 9 checks", NULL}},
      {"energy_ratio",
       "low = -3\nhigh = 3\n",
       {"the tolerance of energy_ratio of A (low = -3, high = 3) has a limit so far off",
        "low = 0.97, high = 1.03", NULL}},
      {"energy_ratio", "low = 0.5\nhigh = 1.5\n", {NULL}},
      {"energy_ratio", "low = 0.97\nhigh = 1.51\n", {"has a limit so far off", NULL}},
      {"tracker_x", "low = -300\nhigh = 300\n", {NULL}},
      {"tracker_x",
       "low = -0.04\nhigh = 0.04\n",
       {"0 of 9 checks", "in mm? The readings are in µm", NULL}},
  };
  char *folder = folder_of_nine();
  for (size_t i = 0; i < 2 * sizeof cases / sizeof *cases; i++) {
    const char *const *says = cases[i / 2].says;
    put_tolerance(folder, cases[i / 2].characteristic, cases[i / 2].limits,
                  i % 2 == 0 ? "2026-01-01" : "2026-09-01");
    run_result result = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "a trial");
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect_eq(strstr(result.err, "note: ") != NULL, says[0] != NULL, "%zu: %s", i, result.err);
    for (size_t k = 0; says[k] != NULL; k++)
      cr_expect_not_null(strstr(result.err, says[k]), "%zu: %s", i, result.err);
    run_free(&result);
  }
  folder_end(folder);
}

/* One without a day holds from the beginning: no day is made up for it, and what is shown says the
 * same when it is given again. */
Test(import_said, a_tolerance_without_a_day) {
  char *folder = folder_of_nine();
  file_put(folder, "s.ini",
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 1.6\nsource = policy\n");
  run_result result = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "first");
  cr_expect_not_null(
      strstr(result.err, "0 of 9 checks of A lie inside the tolerance of energy_ratio (low = 1.6)"),
      "%s", result.err);
  run_free(&result);
  char *shown = RUN_DONE(folder, "settings", "--show");
  cr_expect_null(strstr(shown, "from"), "%s", shown);
  file_put(folder, "shown.ini", shown);
  free(shown);
  MUST_SAY(folder, DONE, WORDS("nothing new: these settings are in force already"), "settings",
           "shown.ini", "--by", "KL", "--why", "again");
  folder_end(folder);
}

/* Else a year that was mistyped would show as a tolerance that nobody entered. */
Test(import_said, a_tolerance_that_is_still_to_come) {
  char *folder = folder_of_nine();
  file_put(folder, "s.ini",
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 0.9\nsource = policy\n"
           "from = 2062-01-01\n");
  MUST_SAY(folder, DONE,
           WORDS("tolerance of energy_ratio of A begins on 2062-01-01, which has not come yet"),
           "settings", "s.ini", "--by", "KL", "--why", "first");
  folder_end(folder);
}

/* A file replaces the one before; nobody is at a terminal to see what changes. */
Test(import_said, settings_that_fall_away) {
  char *folder = folder_of_nine();
  file_put(folder, "all.ini",
           "[unit 1]\nname = A\nbeam = flat_top\n[schedule]\nweekdays = mon\n"
           "[characteristic 1]\nkey = lamp\ntitle = Lamp\nunit = h\n"
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 0.97\nsource = policy\n"
           "from = 2026-01-01\n"
           "[tolerance 2]\nunit = A\ncharacteristic = lamp\nhigh = 900\nsource = policy\n"
           "from = 2026-01-01\n");
  char *first = RUN_DONE(folder, "settings", "all.ini", "--by", "KL", "--why", "first");
  cr_expect_null(strstr(first, "no longer in force"), "%s", first);
  free(first);
  put_tolerance(folder, "energy_ratio", "low = 0.96\n", "2026-01-01");
  char *second = RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "second");
  cr_expect_not_null(strstr(second,
                            "no longer in force, as a settings file replaces all of the one "
                            "before: tolerance of lamp of A, what was said of A, "
                            "characteristic lamp, the schedule\n"),
                     "%s", second);
  free(second);
  folder_end(folder);
}

/* Then there is no baseline, and it is said why. */
Test(import_said, a_tolerance_that_leaves_no_baseline) {
  char *folder = folder_of_nine();
  put_tolerance(folder, "energy_ratio", "low = 1.97\nhigh = 2.03\n", "2026-01-01");
  free(RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "of another laser"));
  MUST_SAY(folder, DONE, WORDS("no baseline: 9 of 9"), "status");
  MUST_SAY(folder, DONE, WORDS("since all of", "Compare the tolerance with its source"), "drift",
           "--unit", "A", "--characteristic", "energy_ratio");
  free(RUN_DONE(folder, "report", "--month", "2026-01"));
  char *pdf = TOOL(folder, "pdftotext", "reports/a-2026-01.pdf", "-");
  cr_expect_not_null(strstr(pdf, "If these readings are usual for this laser"), "%s", pdf);
  free(pdf);
  folder_end(folder);
}

/* A tolerance of a laser that is not there judges nothing: it is not taken without a word. */
Test(import_said, settings_of_a_laser_that_the_ledger_has_not) {
  static const char tolerance[] = "[tolerance 1]\nunit = Lazer 1\ncharacteristic = energy_ratio\n"
                                  "low = 0.97\nsource = policy\nfrom = 2026-01-01\n";
  char *folder = folder_begin();
  file_put(folder, "wrong.ini", tolerance);
  MUST_SAY(folder, DONE,
           WORDS("no unit named \"Lazer 1\" is in the ledger yet", "wrong.ini: taken: 1 tolerance"),
           "settings", "wrong.ini", "--by", "KL", "--why", "first", "--ledger", "none.sqlite");
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-02,Laser 1,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, FAILED,
           WORDS("\"Lazer 1\"", "did you mean \"Laser 1\"?", "nothing was taken", "--new-unit"),
           "settings", "wrong.ini", "--by", "KL", "--why", "first");
  file_put(folder, "unit.ini", "[unit 1]\nname = Room 9\nbeam = flat_top\n");
  MUST_SAY(folder, FAILED, WORDS("\"Room 9\"", "nothing was taken"), "settings", "unit.ini", "--by",
           "KL", "--why", "first");
  MUST_SAY(folder, DONE, WORDS("no unit named \"Lazer 1\" is in the ledger yet", "taken"),
           "settings", "--new-unit", "wrong.ini", "--by", "KL", "--why", "comes later");
  /* once it was taken, it is known */
  file_put(folder, "wrong.ini",
           "[tolerance 1]\nunit = Lazer 1\ncharacteristic = energy_ratio\n"
           "low = 0.96\nsource = policy\nfrom = 2026-01-01\n");
  MUST_SAY(folder, DONE, WORDS("taken: 1 tolerance"), "settings", "wrong.ini", "--by", "KL",
           "--why", "again");
  folder_end(folder);
}

/* What a report prints of a characteristic names it as its key does. */
Test(import_said, a_characteristic_by_its_title) {
  char *folder = folder_begin();
  demo_into(folder);
  char *by_key =
      RUN_DONE(folder, "analyse", "--unit", "Suite North", "--characteristic", "energy_ratio");
  char *by_title = RUN_DONE(folder, "analyse", "--unit", "Suite North", "--characteristic",
                            "pulse-energy ratio");
  cr_expect_str_eq(by_key, by_title);
  free(by_key);
  free(by_title);
  MUST_SAY(folder, USAGE, WORDS("did you mean \"energy_ratio\"?"), "analyse", "--unit",
           "Suite North", "--characteristic", "energy_ratios");
  MUST_SAY(folder, USAGE, WORDS("--month 2019-03 is before the log begins: its checks are of 20"),
           "report", "--unit", "Suite North", "--month", "2019-03");
  folder_end(folder);
}

Test(import_said, a_month_without_a_check) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,energy_mj,target_mj\n2026-01-05,A,1.6,1.6\n2026-03-05,A,1.6,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, DONE, WORDS("A: the ledger holds no check of 2026-02"), "report", "--month",
           "2026-02");
  MUST_SAY(folder, USAGE, WORDS("its checks are of 2026-01-05 to 2026-03-05"), "report", "--month",
           "2025-12");
  folder_end(folder);
}

/* A log with its header alone is done, and said; our own JSON is answered with what import takes.
 */
Test(import_said, nothing_to_take_and_nothing_that_import_takes) {
  char *folder = folder_begin();
  file_put(folder, "head.csv", "date,time,unit,hv_kv\n");
  MUST_BE(folder, DONE, "head.csv: the file has a header and no row", "import", "head.csv");
  file_put(folder, "log.csv", "date,unit,hv_kv\n2026-04-01,A,25\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "export", "--format", "json", "-o", "all"));
  MUST_BE(folder, FAILED, "it takes checks.csv and events.csv of `beamtally export --format csv`",
          "import", "all/export.json");
  folder_end(folder);
}

/* In percent it is refused, with the line to write, whether checks are stored or not; but not where
 * the stored ratios really lie there. */
Test(import_said, a_tolerance_in_percent_is_refused) {
  char *folder = folder_of_nine();
  static const struct {
    const char *limits, *says;
  } cases[] = {
      {"low = 97\nhigh = 103\n",
       "s.ini: the tolerance of energy_ratio of A (low = 97, high = 103) "
       "is in percent, as it seems, and 0 of 9 stored checks are of "
       "that size; energy_ratio is measured / target energy, near 1: write "
       "low = 0.97, high = 1.03. Nothing was stored"},
      {"high = 103\n", "near 1: write high = 1.03. Nothing"},
      {"low = 97,5\n", "near 1: write low = 0.975."},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    put_tolerance(folder, "energy_ratio", cases[i].limits, "2026-01-01");
    MUST_BE(folder, FAILED, cases[i].says, "settings", "s.ini", "--by", "KL", "--why", "percent");
  }
  MUST_BE(folder, DONE, "[budget]", "settings", "--show");
  MUST_BE(folder, FAILED, "energy_ratio of A (low = 97.5) is in percent, as it seems; energy_ratio",
          "--ledger", "none.sqlite", "settings", "s.ini", "--by", "KL", "--why", "percent");
  file_put(folder, "hundred.csv",
           "date,unit,target_mj,energy_mj\n2026-01-01,A,1,100\n2026-01-02,A,1,101\n");
  free(RUN_DONE(folder, "--ledger", "other.sqlite", "import", "hundred.csv"));
  free(RUN_DONE(folder, "--ledger", "other.sqlite", "settings", "s.ini", "--by", "KL", "--why",
                "so it is logged"));
  folder_end(folder);
}

/* Without checks such a tolerance would be taken in silence. */
Test(import_said, a_tolerance_that_no_check_can_be_held_against_is_asked_about) {
  char *folder = folder_begin();
  static const char form[] = "[unit 1]\nname = A\n[tolerance 1]\nunit = A\n"
                             "characteristic = energy_ratio\nlow = %s\nhigh = %s\nsource = x\n";
  char text[256];
  (void)snprintf(text, sizeof text, form, "1.6", "1.7");
  file_put(folder, "mj.ini", text);
  MUST_BE(
      folder, DONE,
      "(low = 1.6, high = 1.7) can't be held against checks yet: fewer than 8 are stored. Is it "
      "in percent?",
      "settings", "mj.ini", "--by", "KL", "--why", "first");
  (void)snprintf(text, sizeof text, form, "0.97", "1.03");
  file_put(folder, "ratio.ini", text);
  run_result result = RUN(folder, "settings", "ratio.ini", "--by", "KL", "--why", "mended");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_null(strstr(result.err, "can't be held"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}
