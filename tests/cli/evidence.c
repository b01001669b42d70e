/* evidence and verify FOLDER, from outside: the folder is whole and its own witness; limits follow
 * from its rows by another program; older formats hold; nothing goes in that wasn't asked for.
 *
 * A short run (BEAMTALLY_LONG_TESTS unset) leaves out the demo's other laser. */
#include "evidence_case.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- As it is made --------------------------------------------------------------------------- */

Test(evidence, is_whole_and_follows_from_its_own_rows) {
  char *folder = demo_folder(), *inside = path_in(folder, "case");
  char *said = RUN_DONE(folder, EVIDENCE);
  cr_expect_not_null(
      strstr(said, "case: 15 files (MANIFEST.sha256 and the 14 that it lists); ledger state "),
      "%s", said);
  for (size_t i = 0; i < EVIDENCE_FILES; i++) {
    char *path = path_in(inside, evidence_files[i]);
    cr_expect(file_exists(path), "%s", evidence_files[i]);
    free(path);
  }
  cr_expect_eq(names_in(inside), EVIDENCE_FILES + 1 + 2);
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
  cr_expect_not_null(strstr(text, "Beamtally does not know on which of them the laser was used"));
  cr_expect_not_null(strstr(text, "Energy demand: climbing since"), "%.3000s", text);
  char *events = read_in(inside, "events.csv");
  cr_expect_not_null(strstr(events, "discharge chamber serviced"));
  free(events);
  free(text);
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

/* ---- Of an older format ---------------------------------------------------------------------- */

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

/* ---- What goes in only when asked for -------------------------------------------------------- */

/* Whether any file of the folder, or the PDF's text, holds the words. */
static bool tells(const char *folder, const char *words) {
  char *inside = path_in(folder, "case"), *text = TOOL(inside, "pdftotext", "evidence.pdf", "-");
  bool found = strstr(text, words) != NULL;
  free(text);
  for (size_t i = 0; i < EVIDENCE_FILES; i++) {
    size_t n;
    char *path = path_in(inside, evidence_files[i]), *bytes = file_read(path, &n);
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

/* A log that has grown is one log file in two versions: of the earlier it is said so. */
Test(evidence, an_earlier_version_of_a_log_is_told_apart) {
  static const char log[] = "date,unit,energy_mj\n2026-04-01,Room 1,1.6\n2026-04-02,Room 1,1.61\n";
  char *folder = private_folder(log), grown[256];
  (void)snprintf(grown, sizeof grown, "%s2026-04-03,Room 1,1.6\n", log);
  file_put(folder, "log.csv", grown);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_SAY(folder, DONE,
           WORDS("1 earlier version of log files is not at hand as imported, and so not in"),
           "evidence", "--unit", "Room 1", "--from", "2026-04-01", "--with-sources", "--yes", "-o",
           "case");
  file_put(folder, "log.csv", log);
  MUST_SAY(folder, DONE, WORDS("beamtally: 1 log file is not at hand as imported"), "evidence",
           "--unit", "Room 1", "--from", "2026-04-01", "--with-sources", "--yes", "-o", "case2");
  MUST_SAY(folder, DONE, WORDS("1 log file (imported again, grown or mended)"), "status");
  MUST_SAY(folder, DONE, WORDS("1 log file in 2 versions, looked for in this folder"), "verify");
  folder_end(folder);
}

/* A column that the map reads events out of is taken, by its header or its place. */
Test(evidence, a_column_that_was_read_for_what_its_texts_mean) {
  char *folder = private_folder("date,unit,energy_mj,Gaz,Filtr,Uwaga\n"
                                "2026-04-01,Room 1,1.6,nowa butla,nowy,brak\n"
                                "2026-04-02,Room 1,1.61,,,\n");
  file_put(folder, "all.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n[values]\n"
           "event.gas_bottle = gaz, nowa butla\nevent.service = @5, nowy\n");
  free(RUN_DONE(folder, "import", "--map", "all.ini", "--again", "--by", "KL", "--why", "gas",
                "log.csv"));
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                          "--with-sources", "-o", "case");
  cr_expect_eq(result.status, USAGE, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "in it: \"Uwaga\"\n"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* What else stands in such a column is what nobody has looked at, however much of it is known. */
Test(evidence, a_column_that_was_read_for_some_of_its_texts) {
  static const char *const cells[] = {"Mr Smith waited", "none", "NONE", ""};
  for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
    char log[160];
    (void)snprintf(log, sizeof log,
                   "date,unit,energy_mj,Notes\n2026-04-01,Room 1,1.6,none\n"
                   "2026-04-02,Room 1,1.61,%s\n",
                   cells[i]);
    char *folder = private_folder(log);
    file_put(folder, "all.ini",
             "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n[values]\n"
             "event.other = Notes, none\n");
    free(RUN_DONE(folder, "import", "--map", "all.ini", "--again", "--by", "KL", "--why", "notes",
                  "log.csv"));
    run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                            "--with-sources", "-o", "case");
    cr_expect_eq(result.status, i == 0 ? USAGE : DONE, "%s: %d: %s", cells[i], result.status,
                 result.err);
    cr_expect((strstr(result.err, "in it: \"Notes\"\n") != NULL) == (i == 0), "%s", result.err);
    run_free(&result);
    folder_end(folder);
  }
}

/* Nobody has looked at a title, and what a refused cell held is kept nowhere else. */
Test(evidence, titles_and_refused_lines_are_asked_about) {
  char *folder = private_folder("Book of Room 1, kept by PERSON\n\ndate,unit,energy_mj\n"
                                "2026-04-01,Room 1,1.6\n2026-04-02,Room 1,PERSON\n"
                                "2026-04-03,Room 1,1.6\n2026-04-04,Room 1,1.6\n"
                                "2026-04-05,Room 1,1.6\n");
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                          "--with-sources", "-o", "case");
  cr_expect_eq(result.status, USAGE, "%d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "in it: what stands above its columns, 1 refused line\n"),
                     "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* Nor at words in a line of units: the columns are read, that line of them is not. */
Test(evidence, words_in_a_line_of_units_are_asked_about) {
  static const char *const lines[] = {",,mJ,PERSON", ",,mJ,", "yyyy-mm-dd,,mJ,-"};
  for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
    char log[160];
    (void)snprintf(log, sizeof log,
                   "date,unit,energy_mj,operator\n%s\n2026-04-01,Room 1,1.6,KL\n"
                   "2026-04-02,Room 1,1.61,KL\n",
                   lines[i]);
    char *folder = private_folder(log);
    run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                            "--with-sources", "-o", "case");
    cr_expect_eq(result.status, i == 0 ? USAGE : DONE, "%s: %d: %s", lines[i], result.status,
                 result.err);
    cr_expect((strstr(result.err, "in it: words in its line of units\n") != NULL) == (i == 0), "%s",
              result.err);
    run_free(&result);
    folder_end(folder);
  }
}

Test(evidence, a_text_that_was_removed_is_asked_about) {
  char *folder = private_folder("date,unit,energy_mj,remark\n2026-04-01,Room 1,1.6,PERSON waits\n"
                                "2026-04-02,Room 1,1.6,\n");
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-04-01", "--redact", "remark",
                "--by", "KL", "--why", "a name", "--yes"));
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                          "--with-sources", "-o", "case");
  cr_expect_eq(result.status, USAGE, "%d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "that were removed from the record\n"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

Test(evidence, a_title_above_a_log_without_names_is_asked_about) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "Book of Room 1, kept by PERSON\n2026-04-01,Room 1,1.6\n2026-04-02,Room 1,1.6\n"
           "2026-04-03,Room 1,1.6\n");
  file_put(folder, "map.ini", "[columns]\ndate = @1\nunit = @2\nenergy_mj = @3\n");
  free(RUN_DONE(folder, "import", "--map", "map.ini", "log.csv"));
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01",
                          "--with-sources", "-o", "case");
  cr_expect_eq(result.status, USAGE, "%d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "in it: what stands above its columns\n"), "%s",
                     result.err);
  run_free(&result);
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
