/* evidence and verify FOLDER, from outside: the folder is whole and its own witness; what is
 * altered shows; limits follow from its rows by another program; nothing goes in that wasn't asked
 * for.
 *
 * A short run (BEAMTALLY_LONG_TESTS unset) leaves out the demo's other laser, most alterations, and
 * the demo from two places of the world. */
#include "program.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define EVIDENCE "evidence", "--unit", "Suite North", "--from", "2026-02-01", "-o", "case"

static const char *const files[] = {"README.txt",
                                    "checks.csv",
                                    "dispositions.csv",
                                    "events.csv",
                                    "evidence.pdf",
                                    "held_back.csv",
                                    "limits.json",
                                    "missing.csv",
                                    "readings.csv",
                                    "refused_lines.csv",
                                    "signals.csv",
                                    "sources.csv",
                                    "superseded_checks.csv",
                                    "superseded_events.csv"};
enum { FILES = sizeof files / sizeof *files };

static bool is_long(void) {
  return getenv("BEAMTALLY_LONG_TESTS") != NULL;
}

static char *read_in(const char *folder, const char *name) {
  char *path = path_in(folder, name), *text = file_read(path, NULL);
  free(path);
  return text;
}

/* A new text in which the first `from` became `to`; both must be of one length. */
static void replace_in(const char *folder, const char *name, const char *from, const char *to) {
  char *text = read_in(folder, name), *at = strstr(text, from);
  cr_assert_not_null(at, "%s has no \"%s\"", name, from);
  cr_assert_eq(strlen(from), strlen(to));
  memcpy(at, to, strlen(to));
  file_put(folder, name, text);
  free(text);
}

static void verify_must_say(const char *folder, const char *words) {
  run_result result = RUN(folder, "verify", "case");
  cr_expect_eq(result.status, FAILED, "status %d: %s", result.status, result.out);
  cr_expect_not_null(strstr(result.err, words), "\"%s\" is not in: %s", words, result.err);
  run_free(&result);
}

/* A manifest of what the folder holds now, whatever that is. */
static void make_manifest_of_all(const char *folder) {
  char *inside = path_in(folder, "case");
  free(TOOL(inside, "sh", "-c",
            "rm MANIFEST.sha256 && sha256sum * >../all && mv ../all MANIFEST.sha256"));
  free(inside);
}

/* The manifest of somebody who knows how to make one. */
static void make_manifest_anew(const char *folder) {
  char *inside = path_in(folder, "case");
  const char *words[FILES + 1];
  for (size_t i = 0; i < FILES; i++)
    words[i] = files[i];
  words[FILES] = NULL;
  char *sums = tool_with(inside, "/usr/bin/sha256sum", DONE, words);
  file_put(inside, "MANIFEST.sha256", sums);
  free(TOOL(inside, "sha256sum", "--quiet", "-c", "MANIFEST.sha256"));
  free(sums);
  free(inside);
}

static size_t names_in(const char *folder) {
  size_t n = 0;
  DIR *names = opendir(folder);
  cr_assert_not_null(names);
  while (readdir(names) != NULL)
    n++;
  (void)closedir(names);
  return n;
}

/* ---- A small ledger -------------------------------------------------------------------------- */

#define SMALL "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "case"

static const char private_log[] = "date,time,unit,target_mj,energy_mj,operator,remark,lot\n"
                                  "2026-04-13,07:30,Room 1,1.61,1.605,OP7,=looked odd,A\n"
                                  "2026-04-14,07:31,Room 1,1.61,1.612,OP7,,B\n"
                                  "2026-04-15,07:29,Room 1,1.61,1.598,OP8,,C\n";
static const char identity_log[] = "date,time,unit,target_mj,energy_mj,Patient name\n"
                                   "2026-04-16,07:29,Room 1,1.61,1.598,nobody\n";

static char *private_folder(const char *log) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "event", "--unit", "Room 1", "--at", "2026-04-14T12:00", "--by", "PERSON",
                "service", "--note", "NOTE of a visit"));
  return folder;
}

/* ---- As it is made --------------------------------------------------------------------------- */

Test(evidence, is_whole_and_follows_from_its_own_rows) {
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  char *said = RUN_DONE(folder, EVIDENCE);
  cr_expect_not_null(
      strstr(said, "case: 15 files (MANIFEST.sha256 and the 14 that it lists); ledger state "),
      "%s", said);
  for (size_t i = 0; i < FILES; i++) {
    char *path = path_in(inside, files[i]);
    cr_expect(file_exists(path), "%s", files[i]);
    free(path);
  }
  cr_expect_eq(names_in(inside), FILES + 1 + 2);
  free(TOOL(inside, "sha256sum", "--strict", "--quiet", "-c", "MANIFEST.sha256"));
  free(TOOL(inside, "qpdf", "--check", "evidence.pdf"));
  char *verified = RUN_DONE(folder, "verify", "case");
  cr_expect_not_null(strstr(verified, "signals follow from"), "%s", verified);
  cr_expect_not_null(strstr(verified, "whole: 15 files (MANIFEST.sha256 and the 14 that it lists)"),
                     "%s", verified);
  cr_expect_not_null(strstr(verified, "README.txt and evidence.pdf are the same, byte by byte"),
                     "%s", verified);
  free(verified);

  /* From inside the folder it is the ledger beside it. */
  run_result within = RUN(inside, "verify", ".");
  cr_expect_eq(within.status, DONE, "%s", within.err);
  cr_expect_not_null(strstr(within.out, "README.txt and evidence.pdf are the same, byte by byte"),
                     "%s", within.out);
  cr_expect_not_null(strstr(within.err, "the ledger beside the folder"), "%s", within.err);
  run_free(&within);

  /* The engineer has no ledger. */
  verified = RUN_DONE(folder, "verify", "case", "--ledger", "none");
  cr_expect_not_null(strstr(verified, "no ledger is at hand"), "%s", verified);
  cr_expect_not_null(strstr(verified, "--ledger FILE names one"), "%s", verified);
  free(verified);

  /* The state is printed in the README as on pages. */
  char *readme = read_in(inside, "README.txt"),
       *text = TOOL(inside, "pdftotext", "evidence.pdf", "-");
  char state[32] = "";
  memcpy(state, strstr(said, "state ") + 6, 24);
  cr_expect_not_null(strstr(readme, "Go into the folder first (cd FOLDER). Then: sha256sum -c"),
                     "%s", readme);
  cr_expect_not_null(strstr(readme, state), "%s", state);
  cr_expect_not_null(strstr(text, state), "%s", state);
  /* What all later readings rest on, and what failed among the rows, though both came before. */
  cr_expect_not_null(strstr(text, "Meter changed, 15 Nov 2025, before the days of this case"));
  cr_expect_not_null(strstr(text, "Recalibration, 25 Oct 2025, before the days of this case"));
  cr_expect_not_null(strstr(text, "Checks outside tolerance, and failed self-tests"));
  cr_expect_null(strstr(text, "Optics cleaned, 13 Sep 2025"));
  free(readme);
  free(text);
  free(said);
  free(inside);
  folder_end(folder);
}

Test(evidence, of_the_other_laser_with_all_that_can_be_asked_for) {
  if (!is_long())
    return;
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  free(RUN_DONE(folder, "evidence", "--unit", "Suite South", "--from", "2025-08-01", "--to",
                "2026-05-15", "--with-remarks", "--with-operator", "--with-look-back", "--paper",
                "letter", "-o", "case"));
  free(RUN_DONE(folder, "verify", "case"));
  free(TOOL(inside, "qpdf", "--check", "evidence.pdf"));
  char *text = TOOL(inside, "pdftotext", "evidence.pdf", "-");
  cr_expect_not_null(strstr(text, "Beamtally does not know the surgery days"));
  cr_expect_not_null(strstr(text, "Energy demand: climbing since"), "%.3000s", text);
  char *events = read_in(inside, "events.csv");
  cr_expect_not_null(strstr(events, "discharge chamber serviced"));
  free(events);
  free(text);
  free(inside);
  folder_end(folder);
}

/* ---- What is altered shows ------------------------------------------------------------------- */

Test(evidence, what_was_altered_shows_with_a_new_manifest_too) {
  static const struct {
    const char *file, *from, *to, *says;
  } cases[] = {
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
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i += is_long() ? 1 : 3) {
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
  folder_end(folder);
}

/* A case about one event tells the others of the span as well, and what came before it. */
Test(evidence, about_one_event_nothing_of_the_span_is_dropped) {
  static const char *const all[] = {"eter changed on 15 Nov 2025",
                                    "oved on 4 Oct 2025",
                                    "ecalibration on 25 Oct 2025",
                                    "gas bottle changed on 12 Jan 2026",
                                    "optics cleaned on 13 Sep 2025",
                                    "At the end of the span",
                                    "verdict as of 30 Sep 2026",
                                    "NOT JUDGED",
                                    "What these days show.",
                                    "Tolerance, in the span",
                                    "11 Nov 2025, 07:49",
                                    "suite-north.csv, line 149",
                                    "retest inside: 0.9953",
                                    "8 of 9 passed",
                                    "discharge voltage (hv_kv)",
                                    "meter as the energy is not known"};
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  free(RUN_DONE(folder, "evidence", "--unit", "Suite North", "--from", "2025-10-01", "--event",
                "65", "--with-look-back", "-o", "case"));
  char *text = TOOL(inside, "pdftotext", "-layout", "evidence.pdf", "-");
  for (size_t i = 0; i < sizeof all / sizeof *all; i++)
    cr_expect_not_null(strstr(text, all[i]), "%s\n%.5000s", all[i], text);
  cr_expect_null(strstr(text, "changed of "));
  cr_expect_null(strstr(text, "checks in the log")); /* but of the days shown */
  cr_expect_null(strstr(text, "not judged\n"));
  char *readme = read_in(inside, "README.txt");
  cr_expect_not_null(strstr(readme, "the page \"Look-back list\" of evidence.pdf"));
  cr_expect_not_null(strstr(text, "Look-back list"));
  free(readme);
  free(text);
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
Test(evidence, what_follows_from_no_rows_shows_against_the_ledger) {
  static const struct {
    const char *file, *from, *to, *says;
  } cases[] = {
      {"readings.csv", "2026-03-04", "2026-03-08", "readings.csv, line "},
      {"events.csv", "2026-08-24,07:13", "2026-08-25,07:13", "events.csv, line "},
      {"limits.json", "clinic policy QA-7", "clinic policy QA-9", "limits.json, line "},
      {"checks.csv", "energy_ratio,2025-11-11,08:09,0,0.9952",
       "energy_ratio,2025-11-11,08:09,0,0.9962", "checks.csv, line "} /* a retest */,
      {"README.txt", "Handbook", "handbook", "README.txt, line "},
      {"limits.json", "\"remarks\":false", "\"remarks\":true ", "readings.csv, line 1"},
  };
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  free(RUN_DONE(folder, EVIDENCE));
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
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
Test(evidence, a_pdf_that_the_ledger_does_not_give_shows) {
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

/* Folders of older formats differ in these words, as those of that time show. */
static const char to_third[] =
    "cd case && sed -i 's/\"format\":4/\"format\":3/' limits.json && sed -i "
    "'/^refused_lines.csv/{s/; left_out$//;n;N;d}' README.txt && sed -i "
    "'1s/,left_out,entered_at//;2,$s/,,\\(\r*\\)$/\\1/' refused_lines.csv";
static const char to_second[] =
    "cd case && sed -i 's/\"format\":3/\"format\":2/' limits.json && sed -i "
    "-e '/^The number of a log/,/^$/d' -e '/^WHAT THE LOG DOES NOT/,/^$/d' "
    "-e '/^COLUMNS OF signals/,/^$/d' -e '/^WHAT CAN.T BE FOUND/,/^$/d' "
    "-e '/^   sigma = MRbar/{s/ d2, .*/ 1.128379   (d2 of two values is 2 \\/ sqrt(pi))/;n;"
    "s/$/;  mr_ucl = 3.266532 MRbar/;n;N;d}' "
    "-e '/energy_mj . target_mj, or$/{s/, or$//;n;d}' README.txt && sed -i "
    "-e '1s/,energy_pct,/,/' -e '2,$s/,,/,/' readings.csv superseded_checks.csv held_back.csv";
static const char to_first[] =
    "cd case && sed -i 's/\"format\":2/\"format\":1/; s/\"from\":null/\"from\":\"1970-01-01\"/' "
    "limits.json && sed -i 's/^delimiter semicolon/delimiter 59/' sources.csv && "
    "sed -i '/t test at 95 %/{s/ This is asked.*//;n;N;d}' README.txt";

static void an_older_folder_holds(const char *folder) {
  make_manifest_anew(folder);
  char *said = RUN_DONE(folder, "verify", "case");
  cr_expect_not_null(strstr(said, "limits.json and README.txt are the same, byte by byte "
                                  "(evidence.pdf was not compared: an earlier version"),
                     "%s", said);
  free(said);
}

Test(evidence, a_folder_of_an_older_format_still_holds) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date;time;unit;target_mj;energy_mj\n2026-04-13;07:30;Room 1;1.61;1.605\n"
           "2026-04-14;07:30;Room 1;1.61;1.601\n2026-04-15;07:30;Room 1;1.61;lots\n");
  file_put(folder, "tolerance.ini",
           "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\nlow = 0.9\nhigh = 1.1\n"
           "source = instructions for use\n");
  free(RUN_DONE(folder, "import", "--max-refused", "50", "log.csv"));
  free(RUN_DONE(folder, "settings", "tolerance.ini", "--by", "KL", "--why", "the first"));
  free(RUN_DONE(folder, SMALL));
  free(TOOL(folder, "grep", "-q", "\"from\":null", "case/limits.json"));
  free(TOOL(folder, "grep", "-q", "^delimiter semicolon", "case/sources.csv"));
  free(TOOL(folder, "sh", "-c", to_third));
  an_older_folder_holds(folder);
  free(TOOL(folder, "sh", "-c", to_second));
  an_older_folder_holds(folder);
  free(TOOL(folder, "sh", "-c", to_first));
  an_older_folder_holds(folder);
  free(TOOL(folder, "sed", "-i", "s/^delimiter 59/delimiter semicolon/", "case/sources.csv"));
  make_manifest_anew(folder);
  verify_must_say(folder, "sources.csv, line 3, is not what the ledger gives");
  free(TOOL(folder, "sed", "-i", "s/\"format\":1/\"format\":999/", "case/limits.json"));
  make_manifest_anew(folder);
  verify_must_say(folder, "limits.json is not of format 1 to ");
  folder_end(folder);
}

/* A decision stands in the folders that are made after it, and is no difference of those before. */
Test(evidence, a_refused_line_that_was_left_out_by_decision) {
  char *folder = folder_begin(), *path = path_in(folder, "case/refused_lines.csv");
  file_put(folder, "log.csv",
           "date,time,unit,target_mj,energy_mj\n2026-04-13,07:30,Room 1,1.61,1.605\n"
           "2026-04-14,07:30,Room 1,1.61,lots\n2026-04-15,07:30,Room 1,1.61,1.601\n");
  free(RUN_DONE(folder, "import", "--max-refused", "50", "log.csv"));
  free(RUN_DONE(folder, SMALL));
  free(RUN_DONE(folder, "conflicts", "--yes", "--refused", "log.csv:3", "--leave-out", "--by", "KL",
                "--why", "slip lost"));
  char *said = RUN_DONE(folder, "verify", "case");
  cr_expect_not_null(strstr(said, "README.txt are the same, byte by byte"), "%s", said);
  free(said);
  free(TOOL(folder, "rm", "-r", "case"));
  free(RUN_DONE(folder, SMALL));
  char *text = file_read(path, NULL);
  cr_expect_not_null(strstr(text, ",stands,left_out,entered_at"), "%s", text);
  cr_expect_not_null(strstr(text, ",1,3,20"), "%s", text);
  cr_expect_null(strstr(text, "KL"), "names go in only when asked for: %s", text);
  cr_expect_null(strstr(text, "slip"), "and so do texts: %s", text);
  free(text);
  free(RUN_DONE(folder, "verify", "case"));
  free(path);
  folder_end(folder);
}

/* As of the folder's state: what the ledger took since is no difference. */
Test(evidence, what_came_into_the_ledger_since_is_no_alteration) {
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
Test(evidence, the_digits_on_paper_show_what_a_new_manifest_hides) {
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

Test(evidence, files_too_many_and_too_few_show) {
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
Test(evidence, a_state_of_another_ledger_shows) {
  char *folder = private_folder(private_log);
  free(RUN_DONE(folder, SMALL));
  free(RUN_DONE(folder, "import", "--ledger", "other.sqlite", "log.csv"));
  run_result result = RUN(folder, "verify", "case", "--ledger", "other.sqlite");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "does not stand in the ledger"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* ---- Another program finds the same limits --------------------------------------------------- */

/* The newest baseline of that characteristic in limits.json. */
static const json_t *segment_of(const json_t *limits, const char *key) {
  const json_t *list = json_object_get(limits, "characteristics");
  for (size_t i = 0; i < json_array_size(list); i++)
    if (strcmp(text_of(json_array_get(list, i), "characteristic"), key) == 0)
      return json_array_get(json_object_get(json_array_get(list, i), "segments"), 0);
  cr_assert_fail("limits.json has no %s", key);
  return NULL;
}

static void must_agree(const json_t *segment, const char *key, const char *what, double found) {
  double told = number_of(segment, what);
  cr_expect(fabs(told - found) <= 1e-9 * fabs(told), "%s, %s: %.17g, R finds %.17g", key, what,
            told, found);
}

Test(evidence, base_r_finds_the_same_limits_from_checks_csv_alone) {
  static const char *const units[] = {"Suite North", "Suite South"};
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  for (size_t u = 0; u < (is_long() ? 2 : 1); u++) {
    free(RUN_DONE(folder, "evidence", "--unit", units[u], "--from", "2026-02-01", "-o", "case"));
    char *text = read_in(inside, "limits.json");
    json_t *limits = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    cr_assert_not_null(limits);
    char *said = TOOL(inside, "Rscript", "--vanilla", BEAMTALLY_TREE "/tests/cli/evidence_limits.R",
                      "checks.csv");
    size_t compared = 0;
    for (char *line = strtok(said, "\n"); line != NULL; line = strtok(NULL, "\n")) {
      char key[64];
      double number, n, centre, sigma, lcl, ucl, slope;
      cr_assert_eq(sscanf(line, "%63s %lf %lf %lf %lf %lf %lf %lf", key, &number, &n, &centre,
                          &sigma, &lcl, &ucl, &slope),
                   8, "%s", line);
      const json_t *segment = segment_of(limits, key);
      must_agree(segment, key, "n", n);
      must_agree(segment, key, "centre", centre);
      must_agree(segment, key, "sigma", sigma);
      must_agree(segment, key, "lcl", lcl);
      must_agree(segment, key, "ucl", ucl);
      if (json_is_true(json_object_get(segment, "adjusted")))
        must_agree(segment, key, "slope_per_day", slope);
      else
        cr_expect_eq(slope, 0, "%s", key);
      compared++;
    }
    cr_expect_geq(compared, 5, "%s", units[u]);
    free(said);
    json_decref(limits);
    free(text);
    free(TOOL(folder, "mv", "case", u == 0 ? "north" : "south"));
  }
  free(inside);
  folder_end(folder);
}

/* ---- The same bytes, and never over a folder ------------------------------------------------- */

/* The clock of the room, and how it writes numbers and sorts: nothing of it in the folder. A locale
 * that the system lacks counts as "C". */
Test(evidence, is_the_same_from_anywhere_and_at_any_time) {
  static const char *const zones[] = {"TZ=UTC", "TZ=Pacific/Auckland", "TZ=America/St_Johns"};
  static const char *const locales[] = {"LC_ALL=C", "LC_ALL=C.UTF-8", "LC_ALL=de_DE.UTF-8"};
  char *folder = is_long() ? demo_folder() : private_folder(private_log);
  const char *unit = is_long() ? "Suite North" : "Room 1",
             *other = is_long() ? "suite north" : "ROOM 1";
  char *sums = NULL;
  for (size_t i = 0; i < 9; i++) {
    char name[] = "case-0";
    name[5] = (char)('0' + i);
    const char *const environment[] = {zones[i / 3], locales[i % 3], "SOURCE_DATE_EPOCH=", NULL};
    run_setting setting = {.folder = folder, .environment = environment};
    run_result result =
        run_with(&setting, (const char *const[]){"evidence", "--unit", i % 2 == 0 ? unit : other,
                                                 "--from", "2026-02-01", "-o", name, NULL});
    cr_assert_eq(result.status, DONE, "%s", result.err);
    run_free(&result);
    char *inside = path_in(folder, name), *here = read_in(inside, "MANIFEST.sha256");
    free(TOOL(inside, "sha256sum", "--strict", "--quiet", "-c", "MANIFEST.sha256"));
    if (sums == NULL)
      sums = here;
    else {
      cr_expect_str_eq(here, sums, "%s, %s", environment[0], environment[1]);
      free(here);
    }
    free(inside);
  }
  free(sums);
  folder_end(folder);
}

/* Ctrl-C, or a service manager's word, at any moment: a whole folder or none. */
Test(evidence, what_is_interrupted_leaves_nothing) {
  char *folder = private_folder(private_log);
  size_t before = names_in(folder);
  static const char *const signals[] = {"INT", "TERM", "HUP"};
  for (int i = 0; i < 24; i++) {
    char after[16];
    (void)snprintf(after, sizeof after, "0.%03d", 5 + 12 * i);
    run_setting setting = {.folder = folder, .executable = "/usr/bin/timeout"};
    run_result result =
        run_with(&setting, (const char *const[]){"-s", signals[i % 3], after, BEAMTALLY_PROGRAM,
                                                 "evidence", "--unit", "Room 1", "--from",
                                                 "2026-04-01", "-o", "case", NULL});
    char *inside = path_in(folder, "case");
    if (file_exists(inside)) {
      free(RUN_DONE(folder, "verify", "case"));
      free(TOOL(folder, "rm", "-r", "case"));
    }
    cr_assert_eq(names_in(folder), before, "something was left after %s s: %s", after, result.err);
    run_free(&result);
    free(inside);
  }
  folder_end(folder);
}

/* Two at once under one name: one folder, whole, and nothing else. */
Test(evidence, of_two_at_once_one_gets_the_name) {
  char *folder = private_folder(private_log);
  size_t before = names_in(folder);
  free(
      TOOL(folder, "sh", "-c",
           "one() { '" BEAMTALLY_PROGRAM
           "' evidence --unit 'Room 1' --from 2026-04-01 -o case 2>said-$1; echo $? >status-$1; }; "
           "one 1 & one 2 & wait; test $(cat status-1 status-2 | sort | tr -d '\\n') = 01 && "
           "grep -q 'is there already' said-1 said-2; found=$?; "
           "rm said-1 said-2 status-1 status-2; exit $found"));
  cr_expect_eq(names_in(folder), before + 1);
  free(RUN_DONE(folder, "verify", "case"));
  folder_end(folder);
}

Test(evidence, what_fails_leaves_nothing) {
  char *folder = private_folder(private_log);
  file_put(folder, "there", "a file");
  size_t before = names_in(folder);
  static const struct {
    const char *words[12];
    int status;
    const char *says;
  } cases[] = {
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "there"},
       FAILED,
       "is there already"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01"}, USAGE, "needs --output"},
      {{"evidence", "--unit", "Room 1", "-o", "x"}, USAGE, "needs --from"},
      {{"evidence", "--from", "2026-02-01", "-o", "x"}, USAGE, "needs --unit"},
      {{"evidence", "--unit", "Room 9", "--from", "2026-02-01", "-o", "x"}, FAILED, "Room 9"},
      {{"evidence", "--unit", "Room 1", "--from", "2027-02-01", "-o", "x"},
       FAILED,
       "ends before --from"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "--to", "2026-01-01", "-o", "x"},
       USAGE,
       "--to is before"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "--event", "99", "-o", "x"},
       FAILED,
       "no event 99"},
      {{"evidence", "--unit", "Room 1", "--from", "2026-02-01", "-o", "x", "logs"},
       USAGE,
       "--with-sources"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_result result = run_plain(folder, cases[i].words);
    cr_expect_eq(result.status, cases[i].status, "case %zu: %d, %s", i, result.status, result.err);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: %s", i, result.err);
    run_free(&result);
  }
  static const rlim_t limits[] = {3000, 24000}; /* for a table, and for the PDF */
  static const char *const named[] = {"beamtally: ", ": evidence.pdf cannot be written: "};
  for (size_t i = 0; i < 2; i++) {
    run_setting small = {.folder = folder, .file_limit = limits[i]};
    run_result result = run_with(&small, (const char *const[]){SMALL, NULL});
    cr_expect_eq(result.status, FAILED, "status %d", result.status);
    cr_expect_not_null(strstr(result.err, named[i]), "%s", result.err);
    cr_expect_null(strstr(result.err, ".part"), "names a passing file: %s", result.err);
    run_free(&result);
  }
  cr_expect_eq(names_in(folder), before, "something was left");
  folder_end(folder);
}

/* ---- What goes in only when asked for -------------------------------------------------------- */

/* Whether any file of the folder, or the PDF's text, holds the words. */
static bool tells(const char *folder, const char *words) {
  char *inside = path_in(folder, "case"), *text = TOOL(inside, "pdftotext", "evidence.pdf", "-");
  bool found = strstr(text, words) != NULL;
  free(text);
  for (size_t i = 0; i < FILES; i++) {
    size_t n;
    char *path = path_in(inside, files[i]), *bytes = file_read(path, &n);
    found = found || memmem(bytes, n, words, strlen(words)) != NULL;
    free(path);
    free(bytes);
  }
  free(inside);
  return found;
}

Test(evidence, names_and_free_texts_go_in_only_when_asked_for) {
  static const char *const all[] = {"OP7", "looked odd", "PERSON", "NOTE of a visit"};
  char *folder = private_folder(private_log);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "case"));
  for (size_t i = 0; i < 4; i++)
    cr_expect_not(tells(folder, all[i]), "%s", all[i]);
  free(RUN_DONE(folder, "verify", "case"));
  free(TOOL(folder, "mv", "case", "first"));

  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "--with-remarks",
                "--with-operator", "-o", "case"));
  for (size_t i = 0; i < 4; i++)
    cr_expect(tells(folder, all[i]), "%s", all[i]);
  cr_expect(tells(folder, "'=looked odd"), "a spreadsheet would take it for a formula");
  free(RUN_DONE(folder, "verify", "case"));
  folder_end(folder);
}

Test(evidence, logs_go_along_when_asked_for_and_looked_at) {
  char *folder = private_folder(private_log);
  const char *const words[] = {"evidence",       "--unit", "Room 1", "--from", "2026-04-01",
                               "--with-sources", "-o",     "case",   NULL};
  run_result result = run_plain(folder, words); /* nobody is there to say yes to "lot" */
  cr_expect_eq(result.status, USAGE, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "\"lot\""), "%s", result.err);
  run_free(&result);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "--with-sources",
                "--yes", "-o", "case"));
  char *log = path_in(folder, "log.csv"), *copy = path_in(folder, "case/log-1-log.csv");
  files_must_be_same(log, copy);
  free(RUN_DONE(folder, "verify", "case"));
  char *readme = read_in(folder, "case/README.txt");
  cr_expect_not_null(strstr(readme, "Left out of all but the log files: remarks"), "%s", readme);
  cr_expect_not_null(strstr(readme, "service visit with\n                       enough checks"));
  cr_expect_not_null(strstr(readme, "rows of other lasers:\n  log-1-log.csv\n"), "%s", readme);
  free(readme);

  /* One that was edited since is no source any more. */
  free(TOOL(folder, "mv", "case", "first"));
  file_put(folder, "log.csv", identity_log);
  result = run_plain(folder, words);
  cr_expect_eq(result.status, DONE, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "not at hand"), "%s", result.err);
  run_free(&result);
  cr_expect_not(file_exists(copy));
  free(log);
  free(copy);
  folder_end(folder);
}

/* What its first map left out is no longer left out: there is nothing to ask. */
Test(evidence, a_log_that_was_read_again_goes_along_as_it_was_read_last) {
  char *folder = private_folder("date,unit,energy_mj,flu\n2026-04-01,Room 1,1.6,160\n"
                                "2026-04-02,Room 1,1.61,161\n");
  file_put(folder, "all.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\nfluence_mj_cm2 = flu\n");
  const char *const words[] = {"evidence",       "--unit", "Room 1", "--from", "2026-04-01",
                               "--with-sources", "-o",     "case",   NULL};
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, USAGE, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "\"flu\""), "%s", result.err);
  run_free(&result);
  free(RUN_DONE(folder, "import", "--map", "all.ini", "--again", "--by", "KL", "--why", "fluence",
                "log.csv"));
  result = run_plain(folder, words);
  cr_expect_eq(result.status, DONE, "status %d: %s", result.status, result.err);
  cr_expect_null(strstr(result.err, "flu"), "%s", result.err);
  run_free(&result);
  free(RUN_DONE(folder, "verify", "case"));
  folder_end(folder);
}

Test(evidence, a_log_with_a_patients_column_is_refused) {
  char *folder = private_folder(identity_log);
  size_t before = names_in(folder);
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                          "--with-sources", "--yes", "-o", "case");
  cr_expect_eq(result.status, FAILED, "status %d", result.status);
  cr_expect_not_null(strstr(result.err, "looks like a patient's identity"), "%s", result.err);
  cr_expect_eq(names_in(folder), before);
  run_free(&result);
  folder_end(folder);
}
