/* verify FOLDER, from outside: what is altered shows, and what is not altered doesn't.
 *
 * A short run (BEAMTALLY_LONG_TESTS unset) leaves out most alterations. */
#include "evidence_case.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct alteration {
  const char *file, *from, *to, *says;
} alteration;

/* Each alteration shows although the manifest was made anew; taken back, the folder is whole. */
static void must_show(const char *folder, const alteration *cases, size_t n, size_t step) {
  char *inside = path_in(folder, "case");
  for (size_t i = 0; i < n; i += step) {
    char *before = read_in(inside, cases[i].file);
    replace_in(inside, cases[i].file, cases[i].from, cases[i].to);
    make_manifest_anew(folder);
    verify_must_say(folder, cases[i].says);
    file_put(inside, cases[i].file, before);
    free(before);
  }
  make_manifest_anew(folder);
  free(RUN_DONE(folder, "verify", "case"));
  free(inside);
}

Test(evidence_altered, what_was_altered_shows_with_a_new_manifest_too) {
  static const alteration cases[] = {
      {"signals.csv", "low,notice,WE4,", "low,notice,WE3,", "signals.csv, line 2: rules"},
      {"signals.csv", "low,notice,WE4,", "low,alarm!,WE4,", "strength"},
      {"signals.csv", "energy_ratio,2026-03-05", "energy_ratio,2026-03-06", "signals.csv lacks"},
      {"limits.json", "\"sigma\":0.0038", "\"sigma\":0.0039", "sigma of energy_ratio"},
      {"limits.json", "\"ucl\":1.01", "\"ucl\":1.02", "ucl of energy_ratio"},
      {"limits.json", "\"slope_per_day\":-0.0045", "\"slope_per_day\":-0.0046", "slope_per_day"},
      {"limits.json", "\"h\":5.0", "\"h\":9.0", "signals.csv"},
      {"limits.json", "\"limit\":3.9", "\"limit\":9.9", "signals.csv"},
      {"checks.csv", ",used,", ",usex,", "baseline"},
      {"checks.csv", "charted,1,1,0.0222", "as_left,1,1,0.0222", "not the first of a point"},
  };
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  free(RUN_DONE(folder, EVIDENCE));
  char *whole = read_in(inside, "checks.csv");
  replace_in(inside, "checks.csv", "energy_ratio,2026-03-04,07:51,0,0.",
             "energy_ratio,2026-03-04,07:51,0,1.");
  char *said = tool_with(inside, "/usr/bin/sha256sum", FAILED,
                         (const char *const[]){"-c", "MANIFEST.sha256", NULL});
  cr_expect_not_null(strstr(said, "checks.csv: FAILED"), "%s", said);
  verify_must_say(folder, "checks.csv is not as it was");
  make_manifest_anew(folder);
  verify_must_say(folder, "point_reading is");
  file_put(inside, "checks.csv", whole);
  free(whole);
  free(said);
  must_show(folder, cases, sizeof cases / sizeof *cases, is_long() ? 1 : 3);
  free(inside);
  folder_end(folder);
}

/* The line with the manifest's SHA-256, owned. */
static char *manifest_line(const char *said) {
  const char *at = strstr(said, "SHA-256 of MANIFEST.sha256: ");
  cr_assert_not_null(at, "%s", said);
  return strndup(at, strcspn(at, "\n"));
}

/* What follows from nothing else in the folder: with the ledger at hand all is made again. */
Test(evidence_altered, what_follows_from_no_rows_shows_against_the_ledger) {
  static const alteration cases[] = {
      {"readings.csv", "2026-03-04", "2026-03-08", "readings.csv, line "},
      {"events.csv", "2026-08-24,07:13", "2026-08-25,07:13", "events.csv, line "},
      {"limits.json", "clinic policy QA-7", "clinic policy QA-9", "limits.json, line "},
      {"checks.csv", "energy_ratio,2025-11-11,08:09,0,0.9952",
       "energy_ratio,2025-11-11,08:09,0,0.9962", "checks.csv, line "} /* a retest */,
      {"README.txt", "Handbook", "handbook", "README.txt, line "},
      {"limits.json", "\"remarks\":false", "\"remarks\":true ", "readings.csv, line 1"},
  };
  char *folder = demo_folder();
  free(RUN_DONE(folder, EVIDENCE));
  must_show(folder, cases, sizeof cases / sizeof *cases, 1);
  folder_end(folder);
}

/* The copy's own SHA-256 where sources.csv has that of the log, and a new manifest. */
static void make_log_its_source(const char *folder) {
  free(TOOL(folder, "sh", "-c",
            "old=$(sha256sum <log.csv | cut -c1-64) && "
            "new=$(sha256sum <case/log-1-log.csv | cut -c1-64) && "
            "sed -i s/$old/$new/ case/sources.csv && "
            "cd case && rm MANIFEST.sha256 && sha256sum * > ../m && mv ../m MANIFEST.sha256"));
}

/* Bytes of the PDF that are drawn, not only its date: it is drawn again. */
Test(evidence_altered, a_pdf_that_the_ledger_does_not_give_shows) {
  char *folder = private_folder(private_log), *path = path_in(folder, "case/evidence.pdf");
  free(RUN_DONE(folder, SMALL));
  size_t n;
  char *bytes = file_read(path, &n), *at = memmem(bytes, n, "/Count ", 7);
  cr_assert_not_null(at);
  at[7] = at[7] == '9' ? '8' : '9';
  file_write(path, bytes, n);
  make_manifest_anew(folder);
  verify_must_say(folder, "evidence.pdf is not, byte for byte, what this program draws");
  free(RUN_DONE(folder, "verify", "case", "--ledger", "none"));
  /* Its foot counts the checks of the ledger of that day, so later it is not drawn again. */
  free(RUN_DONE(folder, "event", "--unit", "Room 1", "--at", "2026-04-15T12:00", "--by", "PERSON",
                "moved"));
  char *said = RUN_DONE(folder, "verify", "case");
  cr_expect_not_null(strstr(said, "(evidence.pdf was not compared: it counts"), "%s", said);
  free(said);
  free(bytes);
  free(path);
  folder_end(folder);
}

/* As of the folder's state: what the ledger took since is no difference. */
Test(evidence_altered, what_came_into_the_ledger_since_is_no_alteration) {
  static const char later_log[] = "date,time,unit,target_mj,energy_mj,operator,remark,own thing\n"
                                  "2026-04-14,07:31,Room 1,1.61,1.613,OP7,,B\n"
                                  "2026-04-14,09:31,Room 1,1.61,bad,OP7,,B\n"
                                  "2026-04-20,07:29,Room 1,1.61,1.598,OP8,,C\n";
  char *folder = private_folder(private_log);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "--to",
                "2026-04-30", "--event", "1", "--with-remarks", "--with-sources", "--yes", "-o",
                "case"));
  file_put(folder, "later.csv", later_log);
  free(RUN_DONE(folder, "import", "--max-refused", "90", "later.csv"));
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-04-13T07:30", "energy_mj=1.7",
                "--by", "PERSON", "--why", "typed wrongly", "--yes"));
  free(RUN_DONE(folder, "correct", "--event", "1", "kind=recalibration", "--by", "PERSON", "--why",
                "typed wrongly", "--yes"));
  char *said = RUN_DONE(folder, "verify", "case");
  cr_expect_not_null(strstr(said, "byte by byte, and the logs are those imported"), "%s", said);
  cr_expect_null(strstr(said, " 0 entries came after it"), "%s", said);
  free(said);
  replace_in(folder, "case/readings.csv", "1.605", "1.606");
  free(TOOL(folder, "sh", "-c",
            "cd case && rm MANIFEST.sha256 && sha256sum * > ../m && mv ../m MANIFEST.sha256"));
  verify_must_say(folder, "readings.csv, line 2, and checks.csv, line 2, are of one check, and its "
                          "reading is not the same in both");
  replace_in(folder, "case/readings.csv", "1.606", "1.605");
  replace_in(folder, "case/log-1-log.csv", "1.605", "1.606");
  free(TOOL(folder, "sh", "-c",
            "cd case && rm MANIFEST.sha256 && sha256sum * > ../m && mv ../m MANIFEST.sha256"));
  verify_must_say(folder, "log-1-log.csv is not the log that sources.csv tells of");
  make_log_its_source(folder);
  verify_must_say(folder, "sources.csv, line 2, is not what the ledger gives");
  folder_end(folder);
}

/* What follows from nothing else in the folder, a date in events.csv, can be altered by who makes a
 * new manifest: only the manifest's own digest, given on paper, shows that. */
Test(evidence_altered, the_digits_on_paper_show_what_a_new_manifest_hides) {
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  char *made = RUN_DONE(folder, EVIDENCE), *paper = manifest_line(made);
  char *verified = RUN_DONE(folder, "verify", "case"), *same = manifest_line(verified);
  cr_expect_str_eq(paper, same);
  char *digest = TOOL(inside, "sha256sum", "MANIFEST.sha256");
  cr_expect_eq(strncmp(paper + strlen("SHA-256 of MANIFEST.sha256: "), digest, 4), 0, "%s %s",
               paper, digest);
  digest[64] = '\0';
  cr_expect_not_null(strstr(verified, digest), "%s is not in: %s", digest, verified);
  free(verified);
  free(same);
  replace_in(inside, "events.csv", "2026-03-0", "2026-03-1");
  make_manifest_anew(folder);
  verified = RUN_DONE(folder, "verify", "case", "--ledger", "none");
  same = manifest_line(verified);
  cr_expect_str_neq(paper, same);
  cr_expect_not_null(strstr(verified, "when these digits are those on the paper"), "%s", verified);
  free(verified);
  free(same);
  free(digest);
  free(paper);
  free(made);
  free(inside);
  folder_end(folder);
}

/* A manifest of what the folder holds now, whatever that is. */
static void make_manifest_of_all(const char *folder) {
  char *inside = path_in(folder, "case");
  free(TOOL(inside, "sh", "-c",
            "rm MANIFEST.sha256 && sha256sum * >../all && mv ../all MANIFEST.sha256"));
  free(inside);
}

Test(evidence_altered, files_too_many_and_too_few_show) {
  char *folder = private_folder(private_log), *inside = path_in(folder, "case");
  free(RUN_DONE(folder, SMALL));
  file_put(inside, "more.txt", "a file");
  verify_must_say(folder, "more.txt is in the folder");

  /* A new manifest hides neither, with no ledger at hand either. */
  make_manifest_of_all(folder);
  verify_must_say(folder, "more.txt is in the manifest, and no file that");
  char *more = path_in(inside, "more.txt"), *missing = path_in(inside, "missing.csv");
  cr_assert_eq(unlink(more), 0);
  cr_assert_eq(unlink(missing), 0);
  make_manifest_of_all(folder);
  verify_must_say(folder, "missing.csv is not in the manifest");
  run_result result = RUN(folder, "verify", "nowhere");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(
      strstr(
          result.err,
          "nowhere: there is no such file or folder; give a report, or a folder that `evidence` made"),
      "%s", result.err);
  run_free(&result);
  free(more);
  free(missing);
  free(inside);
  folder_end(folder);
}

/* A folder of another ledger: its state does not stand in this one. */
Test(evidence_altered, a_state_of_another_ledger_shows) {
  char *folder = private_folder(private_log);
  free(RUN_DONE(folder, SMALL));
  free(RUN_DONE(folder, "import", "--ledger", "other.sqlite", "log.csv"));
  run_result result = RUN(folder, "verify", "case", "--ledger", "other.sqlite");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "does not stand in the ledger"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}
