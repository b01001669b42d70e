/* What an import says of what it took: unknown lasers, rows that stand twice, texts of a file that
 * is read again, what speaks against how it was read; and the lists that go with it. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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
  MUST_SAY(folder, DONE,
           WORDS("pasted.csv: 3 rows say the same as another row of the file (same laser, time and "
                 "readings): kept as checks of their own, the first is line 5; if they were pasted "
                 "twice, take the first out: `beamtally correct --unit A --at 2026-09-01T07:30#1 "
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
                 "correct --unit A --at 2026-09-02T07:30 remark=...",
                 "3 rows, 0 new, 3 already known"),
           "import", "later.csv");
  file_put(folder, "two.csv",
           "date,time,unit,energy_mj\n2026-09-01,07:30,A,1.6\n2026-09-04,07:30,Room 2,1.6\n"
           "2026-09-04,07:30,Room 2,1.6\n");
  MUST_SAY(folder, DONE, WORDS("`beamtally correct --unit UNIT --at 2026-09-04T07:30#1"), "import",
           "--new-unit", "two.csv");
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
  MUST_SAY(
      folder, DONE,
      WORDS("1 text was left out", "2 records of its earlier import superseded",
            "rows that were replaced now may stand in two.csv as well, and were not stored twice: "
            "import that log again, as before; what only it has now goes in"),
      "import", "--map", "remark.ini", "--unit", "unused", "--dates", "ymd", "--decimal", "point",
      "--encoding", "WINDOWS-1252", "--again", "--by", "KL", "--why", "encoding", "one.csv");
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
           WORDS("log.csv: the map reads events out of the column \"Gas\", and 1 row has a text "
                 "there that it gives no meaning",
                 "\"new bottle\" (line 2; the map has \"new botle\", and no row)",
                 "event.gas_refill = Gas, new bottle, before", "2 rows, 2 new"),
           "import", "--map", "map.ini", "log.csv");

  /* A month without a refill is no typing error; a word that the map gives no meaning may be a
   * refill that is lost. */
  static const char *const quiet[] = {"no", "nein", "ok", "-"};
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
  static const char *const lost[] = {"yes", "oui", "Gaswechsel", "all fine"};
  for (size_t i = 0; i < sizeof lost / sizeof *lost; i++) {
    char log[160], said[128];
    (void)snprintf(log, sizeof log, "date,unit,energy_mj,Gas\n2025-07-%02zu,Room 1,1.6,%s\n", i + 1,
                   lost[i]);
    (void)snprintf(said, sizeof said,
                   "no meaning: the row is kept, but no event is taken from it: \"%s\" (line 2",
                   lost[i]);
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

/* Nothing that a terminal would obey, nor a sentence of the log's own. */
static void must_be_plain(const char *text) {
  for (const char *at = text; *at != '\0'; at++)
    cr_expect(*at == '\n' || (unsigned char)*at >= ' ', "%d in: %s", *at, text);
  cr_expect_null(strstr(text, "\xc2\x9b"), "%s", text);
  cr_expect_null(strstr(text, "\nbeamtally: all is well"), "%s", text);
}

/* File names, headers, cells and lasers' names may hold escape sequences. */
Test(import_said, what_a_terminal_would_obey_is_never_printed) {
  static const char name[] = "log\033[31m\xc2\x9bs\nbeamtally: all is well.csv";
  static const char *const commands[][4] = {
      {"import", name, NULL},
      {"import", "--dry-run", name, NULL},
      {"import", "--new-unit", name, NULL},
      {"import", name, NULL},
      {"columns", name, NULL},
      {"status", NULL},
      {"conflicts", "--refused", NULL},
      {"verify", "--verbose", NULL},
      {"settings", name, NULL},
      {"import", "none\033[31m.csv", NULL},
      {"drift", NULL},
  };
  char *folder = folder_begin();
  file_put(folder, "known.csv", "date,unit,energy_mj\n2026-09-01,B,1.6\n");
  free(RUN_DONE(folder, "import", "known.csv"));
  file_put(folder, name,
           "date,unit,energy_mj,other\033[32m\n2026-09-01,A\033[33mA,1.6,2\n"
           "2026-09-02,A\033[33mA,1.6\033[34m\xc2\x9b,2\n2026-09-03,A\033[33mA,1.6,2\n"
           "2026-09-04,A\033[33mA,1.6,2\n2026-09-05,A\033[33mA,1.6,2\n");
  for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
    run_result result = run_plain(folder, commands[i]);
    must_be_plain(result.out);
    must_be_plain(result.err);
    run_free(&result);
  }
  MUST_SAY(folder, DONE, WORDS("A?[33mA\n"), "status");
  folder_end(folder);
}

/* A sentence or a colour of the data's own: neither in a line that names it, nor on a screen. */
Test(import_said, names_have_neither_lines_nor_colours_of_their_own) {
  static const char file[] = "no\nbeamtally: all is well", coloured[] = "\033[1;31mALARM\033[0m";
  static const char *const commands[][6] = {
      {"verify", file, NULL},
      {"settings", file, "--by", "KL", "--why", "x"},
      {"backup", file, NULL},
      {"backup", coloured, NULL},
      {"status", NULL},
      {"status", "--unit", "B\nbeamtally: all is well", NULL},
      {"drift", NULL},
      {"analyse", "--unit", coloured, NULL},
      {"signals", NULL},
      {"evidence", NULL},
      {"evidence", "--unit", "B\nbeamtally: all is well", NULL},
      {"conflicts", NULL},
      {"baseline", NULL},
      {"event", NULL},
      {"resolve", NULL},
      {"verify", NULL}};
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,energy_mj\n2026-09-01,\"\033[1;31mALARM\033[0m\",1.6\n"
           "2026-09-01,\"B\nbeamtally: all is well\",1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
    const char *words[7] = {NULL};
    memcpy(words, commands[i], sizeof commands[i]);
    run_result result = run_plain(folder, words);
    must_be_plain(result.out);
    must_be_plain(result.err);
    run_free(&result);
  }
  MUST_SAY(folder, DONE, WORDS("?[1;31mALARM?[0m\n"), "status", "--unit", coloured);
  folder_end(folder);
}
