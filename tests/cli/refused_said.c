/* What is said of refused lines: by their reason, left out by decision, and refused again. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

Test(refused_said, refused_lines_by_their_reason) {
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
  char *list = RUN_DONE(folder, "conflicts", "--refused");
  unwrap(list);
  cr_expect_not_null(strstr(list, "correct the line in a copy that has the same name, in another "
                                  "folder, and import the copy"),
                     "%s", list);
  free(list);
  put_log(folder, "log.csv", 100, 0);
  MUST_SAY(folder, DONE, WORDS("100 rows, 10 new, 90 already known"), "import", "log.csv");
  MUST_SAY(folder, DONE, WORDS("No refused line is missing."), "conflicts", "--refused");
  MUST_SAY(folder, DONE, WORDS("10 lines were refused"), "conflicts", "--refused", "--all");
  folder_end(folder);
}

/* A typing error in one cell must not throw a failed self-test away without a word. */
Test(refused_said, a_refused_line_that_holds_a_failed_self_test) {
  static const char head[] =
      "date,time,unit,energy_mj,temp_c,selftest_passed,selftest_total,remark\n";
  static const char *const said[] = {
      "2 lines refused:",
      "2 of them hold a failed self-test or a remark, which no chart",
      "  line 3, column \"temp_c\": \"21.4x\": expected a number",
      "; the line holds a failed self-test\n",
      "; the line holds a remark\n",
      NULL};
  static const char still[] = "2 refused lines hold a failed self-test or a remark";
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
  MUST_SAY(folder, DONE, WORDS("2 refused lines, 2 of them with a failed self-test or a"),
           "status");
  MUST_SAY(folder, DONE, WORDS("2 of them hold a failed self-test or a remark, and stand first"),
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
Test(refused_said, a_refused_line_that_is_left_out_by_decision) {
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
           WORDS("log.csv, line 3, column \"temp_c\"", "It holds a remark:",
                 "This can't be taken back", "nothing was changed: nobody is at a terminal"),
           "conflicts", "--refused", "log.csv:3", "--leave-out", "--by", "KL", "--why", "lost");
  MUST_SAY(folder, DONE, WORDS("2 refused lines, 1 of them with a remark"), "status");
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
           WORDS("0 conflicts, 2 refused\n", "2 lines refused, all 2 as before (first on ",
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

Test(refused_said, what_can_not_be_left_out) {
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

/* A log that grows brings its refused lines each month: those of before are told apart, by line,
 * column and reason, and the new ones are listed. */
Test(refused_said, lines_that_were_refused_before) {
  char *folder = folder_begin();
  put_log(folder, "log.csv", 100, 40);
  MUST_SAY(
      folder, DONE,
      WORDS("log.csv: 3 lines refused:\n", "0 conflicts, 3 refused\n",
            "  To mend a line, correct it in a copy that keeps the log's name, in another folder"),
      "import", "log.csv");
  put_log(folder, "log.csv", 110, 40);
  run_result result = RUN(folder, "import", "log.csv");
  cr_expect_null(strstr(result.err, "To mend a line"), "%s", result.err);
  cr_expect_not_null(strstr(result.err, "log.csv: 3 lines refused, all 3 as before (first on "),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "); `beamtally conflicts --refused` lists them\n"), "%s",
                     result.err);
  cr_expect_null(strstr(result.err, "lots"), "%s", result.err);
  cr_expect_not_null(strstr(result.out, "10 new, 97 already known, 0 conflicts, 3 refused\n"), "%s",
                     result.out);
  run_free(&result);
  put_log(folder, "log.csv", 130, 40);
  result = RUN(folder, "import", "log.csv");
  cr_expect_not_null(strstr(result.err, "log.csv: 4 lines refused, of them 3 as before (first on "),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "lists them. New are:\n  line 122, column \"energy_mj\""),
                     "%s", result.err);
  cr_expect_null(strstr(result.err, "line 42"), "%s", result.err);
  cr_expect_not_null(strstr(result.out, "4 refused\n"), "%s", result.out);
  run_free(&result);
  put_log(folder, "log.csv", 131, 40);
  MUST_SAY(folder, DONE,
           WORDS("log.csv: 4 lines refused:\n", "  line 42, column", "4 refused (all as before)\n"),
           "import", "--verbose", "log.csv");
  put_log(folder, "other.csv", 99, 40);
  MUST_SAY(folder, DONE, WORDS("other.csv: 3 lines refused:\n", "line 42, column"), "import",
           "other.csv");
  MUST_SAY(folder, DONE, WORDS("7 lines were refused"), "conflicts", "--refused");
  folder_end(folder);
}

/* A line with another fault, or more to its reason, is no new one, and is told again. A clock that
 * was wrong is explained once. */
Test(refused_said, a_refused_line_that_has_another_fault) {
  static const char head[] = "date,unit,energy_mj,temp_c,refill\n2026-09-01,A,1.6,21.4,\n"
                             "2026-09-03,A,1.6,21.4,\n2026-09-04,A,1.6,21.4,\n";
  char *folder = folder_begin(), log[512];
  (void)snprintf(log, sizeof log, "%s1984-01-01,A,1.6,21,\n2026-09-05,A,1.6,hot,\n", head);
  file_put(folder, "log.csv", log);
  MUST_SAY(folder, DONE, WORDS("1 row is before 1985 (line 5): refused", "  line 6, column"),
           "import", "--max-refused", "50", "log.csv");
  (void)snprintf(log, sizeof log,
                 "%s1984-01-01,A,1.6,21,\n2026-09-05,A,1.6,hot,before\n2026-09-06,A,1.6,21,\n",
                 head);
  file_put(folder, "log.csv", log);
  run_result result = RUN(folder, "import", "--max-refused", "50", "log.csv");
  cr_expect_not_null(strstr(result.err,
                            "log.csv: 2 lines refused, all 2 as before (first on 2026-10-01), 1 of "
                            "these for another reason; `beamtally conflicts --refused` lists them. "
                            "For another reason:\n"),
                     "%s", result.err);
  cr_expect_not_null(strstr(result.err, "\n  line 6, column \"temp_c\": \"hot\": expected a"), "%s",
                     result.err);
  cr_expect(strstr(result.err, "line 5") == NULL && strstr(result.err, "1985") == NULL, "%s",
            result.err);
  cr_expect_not_null(strstr(result.out, "2 refused\n"), "%s", result.out);
  run_free(&result);
  (void)snprintf(log, sizeof log,
                 "%s2026-09-05,A,1.6,21,\n2026-09-05,A,loud,hot,before\n2026-09-06,A,1.6,21,\n",
                 head);
  file_put(folder, "log.csv", log);
  MUST_SAY(folder, DONE,
           WORDS("log.csv: 1 line refused, as before (first on 2026-10-01), for another reason "
                 "now:\n",
                 "\n  line 6, column \"energy_mj\": \"loud\""),
           "import", "log.csv");
  folder_end(folder);
}

/* A wrong clock of another laser is explained as well. */
Test(refused_said, the_clock_of_another_log_is_explained) {
  char *folder = folder_begin();
  for (int room = 1; room <= 2; room++) {
    char log[300];
    (void)snprintf(log, sizeof log,
                   "date,unit,energy_mj\n2026-01-01,Room %d,1.6\n2026-01-02,Room %d,1.6\n"
                   "2026-01-03,Room %d,1.6\n2026-01-04,Room %d,1.6\n1970-01-01,Room %d,1.6\n",
                   room, room, room, room, room);
    file_put(folder, "log.csv", log);
    MUST_SAY(folder, DONE, WORDS("1 row is before 1985 (line 6): refused"), "import", "--new-unit",
             "log.csv");
  }
  folder_end(folder);
}

/* Where no line can be read, to go on all the same would store nothing. */
Test(refused_said, a_file_whose_lines_are_all_refused) {
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

static int times(const char *text, const char *word) {
  int n = 0;
  for (const char *at = text; (at = strstr(at, word)) != NULL; at++)
    n++;
  return n;
}

/* A line that was mended stays findable, once however often its log came with it, and what became
 * of it is said. */
Test(refused_said, what_a_mended_line_was_before) {
  static const char mended[] = "past     first refused on 2026-10-01, no more since the log was";
  char *folder = folder_begin();
  put_log(folder, "log.csv", 100, 40);
  free(RUN_DONE(folder, "import", "log.csv"));
  put_log(folder, "log.csv", 110, 40);
  free(RUN_DONE(folder, "import", "log.csv"));
  char *list = RUN_DONE(folder, "conflicts", "--refused", "--all");
  cr_expect_eq(times(list, "log.csv, line "), 3, "%s", list);
  cr_expect_null(strstr(list, "no more since"), "%s", list);
  free(list);

  put_log(folder, "log.csv", 110, 80); /* line 42 is mended */
  free(RUN_DONE(folder, "import", "log.csv"));
  list = RUN_DONE(folder, "conflicts", "--refused");
  cr_expect_eq(times(list, "log.csv, line "), 2, "%s", list);
  cr_expect_not_null(strstr(list, "1 more is refused no more; --all lists"), "%s", list);
  free(list);
  list = RUN_DONE(folder, "conflicts", "--refused", "--all");
  cr_expect_eq(times(list, "log.csv, line "), 3, "%s", list);
  cr_expect_eq(times(list, mended), 1, "%s", list);
  const char *at = strstr(list, "log.csv, line 42, column \"energy_mj\"");
  cr_expect(at != NULL && strstr(at, "expected a number") < strstr(at, mended), "%s", list);
  cr_expect_not_null(strstr(list, "1 of them is refused no more.\n"), "%s", list);
  cr_expect_not_null(strstr(list, "What the cell held is not kept"), "%s", list);
  free(list);

  put_log(folder, "log.csv", 110, 0);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, DONE,
           WORDS("No refused line is missing.\n3 are refused no more; --all lists them.\n"),
           "conflicts", "--refused");
  folder_end(folder);
}

/* Of another laser, and of another folder: not that line, though its number is the same. */
Test(refused_said, lines_of_two_logs_of_one_name) {
  char *folder = folder_begin(), log[512];
  for (int mended = 0; mended < 2; mended++)
    for (int room = 1; room <= 2; room++) {
      (void)snprintf(log, sizeof log,
                     "date,unit,energy_mj\n2026-01-01,Room %d,1.6\n2026-01-02,Room %d,1.6\n"
                     "2026-01-03,Room %d,1.6\n2026-01-05,Room %d,1.6\n2026-01-06,Room %d,1.6\n"
                     "2026-01-04,Room %d,1.6%s\n",
                     room, room, room, room, room, room, mended ? "" : "o");
      file_put(folder, "log.csv", log);
      run_result result = RUN(folder, "import", "--new-unit", "log.csv");
      cr_expect_eq(result.status, DONE, "%s", result.err);
      cr_expect_eq(strstr(result.err, "line 7, column \"energy_mj\"") != NULL, !mended, "%s",
                   result.err);
      cr_expect_null(strstr(result.err, "as before"), "%s", result.err);
      run_free(&result);
    }
  MUST_SAY(folder, DONE, WORDS("2 are refused no more; --all lists them."), "conflicts",
           "--refused");
  char *list = RUN_DONE(folder, "conflicts", "--refused", "--all");
  cr_expect_eq(times(list, "log.csv, line 7"), 2, "%s", list);
  cr_expect_not_null(strstr(list, "2 of them are refused no more.\n"), "%s", list);
  free(list);
  folder_end(folder);
}

/* A log of which nothing went in is an earlier state of no other: whatever comes later holds that.
 */
Test(refused_said, another_log_says_nothing_of_one_that_was_refused_whole) {
  static const char whole[] = "date,unit,energy_mj,selftest_passed,selftest_total\n"
                              "2026-01-01,Room 1,1.6o,8,9\n2026-01-02,Room 1,1.6o,8,9\n";
  static const char good[] = "date,unit,energy_mj,selftest_passed,selftest_total\n"
                             "2026-01-01,Room 2,1.6,9,9\n2026-01-02,Room 2,1.6,9,9\n";
  char *folder = folder_begin();
  file_put(folder, "log.csv", whole);
  MUST_SAY(folder, DONE, WORDS("2 lines refused"), "import", "--max-refused", "100", "--new-unit",
           "log.csv");
  file_put(folder, "log.csv", good);
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  MUST_SAY(folder, DONE, WORDS("2 lines were refused", "2 of them hold a failed self-test"),
           "conflicts", "--refused");
  folder_end(folder);
}

/* Rows of one laser, the last one refused. */
static void put_refused_last(const char *folder, int room, int rows, const char *last) {
  char *path = path_in(folder, "log.csv");
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,unit,energy_mj,selftest_passed,selftest_total\n", file);
  for (int i = 1; i <= rows; i++)
    (void)fprintf(file, "2026-01-%02d,Room %d,1.6,9,9\n", i, room);
  (void)fprintf(file, "2026-01-%02d,Room %d,%s\n", rows + 1, room, last);
  cr_assert_eq(fclose(file), 0);
  free(path);
}

/* A line is as before only where its log was, and with what it holds. */
Test(refused_said, a_failed_self_test_is_never_as_before_by_its_number_alone) {
  char *folder = folder_begin();
  put_refused_last(folder, 1, 10, "1.6o,9,9");
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  put_refused_last(folder, 1, 10, "1.6o,8,9");
  MUST_SAY(folder, DONE, WORDS("line 12, column \"energy_mj\": \"1.6o\""), "import", "log.csv");
  put_refused_last(folder, 2, 6, "1.6o,9,9");
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  put_refused_last(folder, 2, 10, "1.6o,8,9");
  MUST_SAY(folder, DONE, WORDS("1 line refused:\n", "line 12, column \"energy_mj\": \"1.6o\""),
           "import", "log.csv");
  folder_end(folder);
}

/* What is alike is told in one place, however some of it was told before. */
Test(refused_said, one_reason_is_one_group_of_lines) {
  static const char five[] = "1.6o,9,9\n2026-02-01,Room 2,1.6o,9,9\n2026-02-02,Room 2,1.6o,9,9\n"
                             "2026-02-03,Room 2,1.6o,9,9\n2026-02-04,Room 2,1.6o,9,9";
  char *folder = folder_begin();
  put_refused_last(folder, 1, 28, "1.6o,9,9");
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  put_refused_last(folder, 2, 28, five);
  MUST_SAY(folder, DONE, WORDS("5 lines refused:\n", "  and 2 more lines with the same reason\n"),
           "import", "--new-unit", "log.csv");
  put_refused_last(folder, 2, 10, five);
  MUST_SAY(folder, DONE, WORDS("15 rows, 0 new, 10 already known"), "import", "--max-refused", "50",
           "log.csv");
  put_refused_last(folder, 2, 10,
                   "1.6o,8,9\n2026-02-01,Room 2,1.6o,9,9\n2026-02-02,Room 2,1.6o,9,9\n"
                   "2026-02-03,Room 2,1.6o,9,9\n2026-02-04,Room 2,1.6o,9,9");
  MUST_SAY(folder, FAILED, WORDS("Most often (5 lines): column \"energy_mj\""), "import",
           "log.csv");
  folder_end(folder);
}

/* A fault in one column, then in another: one line. */
Test(refused_said, a_second_fault_is_of_the_same_line) {
  static const char head[] = "date,unit,energy_mj,temp_c\n2026-01-01,Room 1,1.6,21\n"
                             "2026-01-02,Room 1,1.6,21\n2026-01-03,Room 1,1.6,21\n"
                             "2026-01-05,Room 1,1.6,21\n2026-01-06,Room 1,1.6,21\n";
  char *folder = folder_begin(), log[512];
  (void)snprintf(log, sizeof log, "%s2026-01-04,Room 1,1.6o,21\n", head);
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  (void)snprintf(log, sizeof log, "%s2026-01-04,Room 1,1.6,2l\n", head);
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  for (int all = 0; all < 2; all++) {
    char *list = RUN_DONE(folder, "conflicts", "--refused", all ? "--all" : "--quiet");
    cr_expect_eq(times(list, "log.csv, line 7"), 1, "%s", list);
    cr_expect_not_null(strstr(list, "1 line was refused.\n"), "%s", list);
    cr_expect_not_null(strstr(list, "column \"temp_c\""), "%s", list);
    cr_expect_null(strstr(list, "refused no more"), "%s", list);
    free(list);
  }
  folder_end(folder);
}

/* What a person left out is shown with the decision, though the line holds more now and waits anew.
 */
Test(refused_said, a_decision_to_leave_out_stays_in_sight) {
  char *folder = folder_begin(), log[512];
  for (int more = 0; more < 2; more++) {
    (void)snprintf(log, sizeof log,
                   "date,unit,energy_mj,remark\n2026-01-01,Room 1,1.6,\n2026-01-02,Room 1,1.6,\n"
                   "2026-01-03,Room 1,1.6,\n2026-01-04,Room 1,1.6,\n2026-01-05,Room 1,1.6,\n"
                   "2026-01-06,Room 1,1.6o,%s\n",
                   more ? "smoke" : "");
    file_put(folder, "log.csv", log);
    free(RUN_DONE(folder, "import", "log.csv"));
    if (!more)
      free(RUN_DONE(folder, "conflicts", "--refused", "log.csv:7", "--leave-out", "--by", "KL",
                    "--why", "a trial", "--yes"));
  }
  char *list = RUN_DONE(folder, "conflicts", "--refused", "--all");
  cr_expect_not_null(strstr(list, "1 line was refused.\n"), "%s", list);
  cr_expect_not_null(strstr(list, "KL"), "%s", list);
  cr_expect_not_null(strstr(list, "a trial"), "%s", list);
  free(list);
  folder_end(folder);
}

/* Writes the first `rows` days of a log; energies by day where there are some other ones. */
static void put_days(const char *folder, const char *name, int rows, int bad, int other, int gone) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,unit,energy_mj\n", file);
  for (int i = 1; i <= rows; i++)
    if (i != gone)
      (void)fprintf(file, "2026-01-%02d,Room 1,%s\n", i,
                    i == bad     ? "1.6o2"
                    : i == other ? "1.586"
                                 : "1.6");
  cr_assert_eq(fclose(file), 0);
  free(path);
}

/* A person mends all that he sees in one copy. */
Test(refused_said, a_line_that_is_mended_with_other_things) {
  char *folder = folder_begin();
  put_days(folder, "log.csv", 20, 8, 0, 0);
  MUST_SAY(folder, DONE, WORDS("1 line refused"), "import", "log.csv");
  put_days(folder, "log.csv", 20, 0, 15, 18);
  char *said = RUN_DONE(folder, "import", "log.csv");
  cr_expect(strstr(said, "19 rows, 1 new, 17 already known, 1 conflict, 0 refused") != NULL &&
                strstr(said, "still count") == NULL,
            "%s", said);
  free(said);
  MUST_SAY(folder, DONE, WORDS("No refused line is missing."), "conflicts", "--refused");
  folder_end(folder);
}

/* Where the line has moved nothing says that it is the same: a person has to. */
Test(refused_said, a_mended_line_that_has_moved_still_counts) {
  char *folder = folder_begin();
  put_days(folder, "log.csv", 20, 8, 0, 0);
  MUST_SAY(folder, DONE, WORDS("1 line refused"), "import", "log.csv");
  put_days(folder, "log.csv", 20, 0, 0, 3);
  MUST_SAY(folder, DONE,
           WORDS("1 line that was refused of earlier logs of this name still counts",
                 "`beamtally conflicts --refused log.csv:LINE --leave-out --by NAME --why REASON`"),
           "import", "log.csv");
  MUST_SAY(folder, DONE, WORDS("1 line was refused", "log.csv, line 9"), "conflicts", "--refused");
  free(RUN_DONE(folder, "conflicts", "--refused", "log.csv:9", "--leave-out", "--by", "T", "--why",
                "mended", "--yes"));
  put_days(folder, "log.csv", 21, 0, 0, 3);
  char *said = RUN_DONE(folder, "import", "log.csv");
  cr_expect_null(strstr(said, "still count"), "%s", said);
  free(said);
  folder_end(folder);
}

/* The line that was refused may be of any laser of its log: each laser's count says so. */
Test(refused_said, a_log_of_two_lasers) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,time,unit,energy_mj,target_mj,remark\n2026-09-01,07:30,A,1.6,1.6,\n"
           "2026-09-01,07:40,B,1.6,1.6,\n2026-09-02,07:30,A,1.6x,1.6,smells\n"
           "2026-09-02,07:40,B,1.6,1.6,\n");
  MUST_SAY(folder, DONE, WORDS("1 line refused"), "import", "--max-refused", "50", "log.csv");
  MUST_SAY(folder, DONE,
           WORDS("1 refused line, of this laser or of another of its log, holds a",
                 "1 refused line (of this laser or of another of its log),\nwith a remark."),
           "status", "--unit", "B");
  folder_end(folder);
}
