/* report --issue, from outside: a draft says so; an issued report is a revision that the ledger
 * knows, with the state before it. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static json_t *issues_of(const char *folder, const char *export) {
  free(RUN_DONE(folder, "export", "--format", "json", "-o", export));
  char *where = path_in(folder, export), *path = path_in(where, "export.json");
  char *text = file_read(path, NULL);
  json_t *document = json_loads(text, 0, NULL);
  cr_assert_not_null(document);
  json_t *issues = json_incref(json_object_get(document, "issued_reports"));
  json_decref(document);
  free(text);
  free(path);
  free(where);
  return issues;
}

#define NORTH "report", "--unit", "Suite North", "--month", "2026-09", "-o", "."

Test(issue, a_draft_says_so_and_enters_nothing) {
  char *folder = demo_folder(), *before = state_of(folder);
  free(RUN_DONE(folder, NORTH));
  char *text = pdf_words(folder, "suite-north-2026-09.pdf", NULL), *after = state_of(folder);
  cr_expect_not_null(strstr(text, "DRAFT"));
  cr_expect_null(strstr(text, "Revision"));
  cr_expect_str_eq(before, after);
  free(text);
  free(before);
  free(after);
  folder_end(folder);
}

Test(issue, each_issue_is_a_revision_with_the_state_before_it) {
  char *folder = demo_folder();
  for (int revision = 1; revision <= 2; revision++) {
    char name[64], words[32];
    (void)snprintf(name, sizeof name, "suite-north-2026-09-rev%d.pdf", revision);
    (void)snprintf(words, sizeof words, "Revision %d", revision);
    char *before = state_of(folder);
    char *said = RUN_DONE(folder, NORTH, "--issue", "--by", "KL");
    cr_expect_not_null(strstr(said, name), "%s", said);
    free(said);
    char *text = pdf_words(folder, name, NULL), *after = state_of(folder);
    cr_expect_not_null(strstr(text, words), "%s", words);
    cr_expect_null(strstr(text, "DRAFT"));
    cr_expect_not_null(strstr(text, before), "the state before the issue is not on the pages");
    cr_expect_str_neq(before, after);
    said = RUN_DONE(folder, "verify", "--state", before);
    cr_expect_not_null(strstr(said, "1 entry came after it"), "%s", said);
    free(said);
    free(before);
    free(after);
    free(text);
  }
  json_t *issues = issues_of(folder, "out");
  cr_assert_eq(json_array_size(issues), 2);
  char *sum = TOOL(folder, "sha256sum", "suite-north-2026-09-rev2.pdf");
  char *whole = json_dumps(json_array_get(issues, 1), 0);
  sum[64] = '\0';
  cr_expect_not_null(strstr(whole, sum), "%s is not in %s", sum, whole);
  free(whole);
  free(sum);
  json_decref(issues);
  folder_end(folder);
}

/* Two lasers are two issues; the second prints the state after the first. */
Test(issue, all_units_are_issued_one_after_the_other) {
  char *folder = demo_folder();
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".", "--issue", "--by", "KL");
  cr_expect_str_eq(said, "./suite-north-2026-09-rev1.pdf\n./suite-south-2026-09-rev1.pdf\n"
                         "./all-units-2026-09.pdf\n");
  free(said);
  json_t *issues = issues_of(folder, "out");
  cr_expect_eq(json_array_size(issues), 2);
  json_decref(issues);
  folder_end(folder);
}

Test(issue, what_fails_issues_nothing) {
  char *folder = demo_folder(), *before = state_of(folder);
  char *there = path_in(folder, "suite-north-2026-09-rev1.pdf");
  file_write(there, "mine", 4);
  run_result result = RUN(folder, NORTH, "--issue", "--by", "KL");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "move it away first"), "%s", result.err);
  run_free(&result);
  char *kept = file_read(there, NULL);
  cr_expect_str_eq(kept, "mine");
  free(kept);
  cr_assert_eq(unlink(there), 0);

  /* The PDF fits, the entry does not: then there is no PDF either. */
  char *ledger = path_in(folder, "beamtally.sqlite");
  cr_assert_eq(chmod(folder, 0777), 0);
  cr_assert_eq(chmod(ledger, 0444), 0);
  run_setting setting = {.folder = folder, .as_nobody = true};
  result = run_with(&setting, (const char *const[]){NORTH, "--issue", "--by", "KL", NULL});
  cr_expect_eq(result.status, FAILED, "%d %s", result.status, result.err);
  run_free(&result);
  cr_expect(!file_exists(there));
  cr_assert_eq(chmod(ledger, 0644), 0);

  result = RUN(folder, NORTH, "--issue");
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "needs --by"), "%s", result.err);
  run_free(&result);
  result = RUN(folder, NORTH, "--by", "KL");
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "belongs to --issue"), "%s", result.err);
  run_free(&result);
  char *after = state_of(folder);
  cr_expect_str_eq(before, after);
  free(before);
  free(after);
  free(there);
  free(ledger);
  folder_end(folder);
}

/* A month is talked over in the next one: what was concluded then stands in its report. */
Test(issue, what_is_concluded_after_the_month_stands_in_its_report) {
  char *folder = demo_folder();
  char *listed = RUN_DONE(folder, "signals", "--open", "--format", "json");
  json_t *document = json_loads(listed, 0, NULL);
  cr_assert_not_null(document, "%s", listed);
  const char *id = text_of(json_array_get(json_object_get(document, "episodes"), 0), "id");
  free(RUN_DONE(folder, "resolve", id, "--cause", "mirror dull", "--action", "mirror cleaned",
                "--by", "KL")); /* on 1 Oct */
  free(RUN_DONE(folder, NORTH));
  char *text = pdf_words(folder, "suite-north-2026-09.pdf", NULL);
  cr_expect_not_null(strstr(text, "mirror dull"), "%s", text);
  free(text);
  json_decref(document);
  free(listed);
  folder_end(folder);
}

/* The second revision names what came since the first: a correction, its reason, and what it made
 * of the findings, against the record as it stood then. */
Test(issue, a_second_revision_says_what_changed_since_the_first) {
  char *folder = demo_folder();
  free(RUN_DONE(folder, NORTH, "--issue", "--by", "KL"));
  char *text = pdf_words(folder, "suite-north-2026-09-rev1.pdf", NULL);
  cr_expect_null(strstr(text, "Changed since"));
  free(text);
  free(RUN_DONE(folder, NORTH));
  text = pdf_words(folder, "suite-north-2026-09.pdf", NULL);
  cr_expect_not_null(strstr(text, "Changed since revision 1"));
  cr_expect_not_null(strstr(text, "Nothing changed: no entry since revision 1"), "%s", text);
  free(text);
  free(RUN_DONE(folder, "correct", "--unit", "Suite North", "--at", "2026-09-30T07:34",
                "--withdraw", "--by", "KL", "--why", "beam block was in", "--yes"));
  static const char late[] = "date,time,unit,target_mj,energy_mj\n"
                             "2026-09-26,08:00,Suite North,1.61,1.60\n"
                             "2026-09-26,09:30,Suite North,1.61,1.61\n";
  static const char tighter[] = "[unit 1]\nname = Suite North\nbeam = gaussian\n"
                                "fluence = logged\nspread = 1s\n"
                                "[tolerance 1]\nunit = Suite North\n"
                                "characteristic = energy_ratio\nlow = 0.965\nhigh = 1.04\n"
                                "source = clinic policy QA-8\nfrom = 2025-04-01\n";
  char *log = path_in(folder, "late.csv"), *settings = path_in(folder, "tighter.ini");
  file_write(log, late, sizeof late - 1);
  file_write(settings, tighter, sizeof tighter - 1);
  free(RUN_DONE(folder, "import", "late.csv"));
  free(RUN_DONE(folder, "settings", "tighter.ini", "--by", "KL", "--why", "policy of the year"));
  free(RUN_DONE(folder, "baseline", "--unit", "Suite North", "--characteristic", "energy_ratio",
                "--from", "2025-04-01", "--to", "2025-07-02", "--by", "KL", "--why",
                "known to be good"));
  free(RUN_DONE(folder, NORTH, "--issue", "--by", "KL"));
  text = pdf_words(folder, "suite-north-2026-09-rev2.pdf", NULL);
  static const char *const named[] = {
      "Changed since revision 1", "beam block was in", "1 reading fewer", "late.csv: 2 checks",
      "policy of the year",       "settings entered",  "baseline frozen", "known to be good",
      "tolerance 0.965",          "was provisional",
  };
  for (size_t i = 0; i < sizeof named / sizeof *named; i++)
    cr_expect_not_null(strstr(text, named[i]), "\"%s\" in: %s", named[i], text);
  free(log);
  free(settings);
  free(text);
  folder_end(folder);
}

/* A draft or chart takes the place of an older page: never of an issued report, a ledger or a log,
 * whatever it is called. */
Test(issue, pages_go_over_pages_only) {
  char *folder = demo_folder();
  free(RUN_DONE(folder, NORTH, "--issue", "--by", "KL"));
  const char *const draft[] = {
      "report", "--unit", "Suite North", "--month", "2026-09", "-o", "suite-north-2026-09-rev1.pdf",
      NULL};
  run_must_be(folder, FAILED, "is a report that was issued from this ledger", draft);
#define CHART "chart", "--unit", "Suite North", "--characteristic", "energy_ratio", "-o"
  MUST_BE(folder, FAILED, "issued from this ledger", CHART, "suite-north-2026-09-rev1.pdf");
  MUST_BE(folder, DONE, "byte for byte", "verify", "suite-north-2026-09-rev1.pdf");
  free(TOOL(folder, "cp", "beamtally.sqlite", "all.pdf"));
  free(TOOL(folder, "ln", "-s", "all.pdf", "all.png"));
  MUST_BE(folder, FAILED, "all.pdf is there and is no PDF", "--ledger", "all.pdf", CHART,
          "all.pdf");
  MUST_BE(folder, FAILED, "all.png is there and is no PNG", CHART, "all.png");
  MUST_BE(folder, FAILED, "is no PDF", "report", "--unit", "Suite North", "--month", "2026-09",
          "-o", "all.pdf");
  MUST_BE(folder, DONE, "whole", "--ledger", "all.pdf", "verify");
  MUST_BE(folder, DONE, "a.svg", CHART, "a.svg");
  MUST_BE(folder, DONE, "a.svg", CHART, "a.svg");
  folder_end(folder);
}

/* The slower of two takes nothing from the other: each issue that the ledger knows has its PDF. */
Test(issue, two_at_once_keep_each_pdf) {
  char *folder = demo_folder();
  pid_t child = fork();
  cr_assert(child >= 0);
  run_result result = RUN(folder, NORTH, "--issue", "--by", "KL");
  if (child == 0)
    _exit(result.status);
  int ended;
  cr_assert_eq(waitpid(child, &ended, 0), child);
  cr_assert(WIFEXITED(ended));
  json_t *issues = issues_of(folder, "out");
  size_t n = json_array_size(issues);
  cr_expect_eq(n, (size_t)(result.status == DONE) + (size_t)(WEXITSTATUS(ended) == DONE), "%s",
               result.err);
  cr_expect(n > 0);
  for (size_t revision = 1; revision <= n; revision++) {
    char name[64];
    (void)snprintf(name, sizeof name, "suite-north-2026-09-rev%zu.pdf", revision);
    MUST_BE(folder, DONE, "byte for byte", "verify", name);
  }
  json_decref(issues);
  run_free(&result);
  folder_end(folder);
}
