/* Commands from outside: wrong usage, what is missing, exit statuses, and what goes where. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One run: its words, the exit status, and what standard error must say. */
typedef struct usage_case {
  const char *words[16];
  int status;
  const char *says;
} usage_case;

static void check_cases(const char *folder, const usage_case *cases, size_t n) {
  for (size_t i = 0; i < n; i++) {
    run_result result = run_plain(folder, cases[i].words);
    cr_expect_eq(result.status, cases[i].status, "case %zu (%s): status %d\n%s", i,
                 cases[i].words[0], result.status, result.err);
    cr_expect_not_null(strstr(result.err, cases[i].says), "case %zu: \"%s\" is not in: %s", i,
                       cases[i].says, result.err);
    cr_expect_eq(strncmp(result.err, "beamtally: ", 11), 0, "case %zu: %s", i, result.err);
    cr_expect_str_eq(result.out, "", "case %zu prints data though it failed", i);
    run_free(&result);
  }
}

/* Lines of a small log of one laser. */
static const char small_log[] = "date,time,unit,target_mj,energy_mj\n"
                                "2026-04-13,07:30,Room 1,1.61,1.605\n"
                                "2026-04-14,07:31,Room 1,1.61,1.612\n"
                                "2026-04-15,07:29,Room 1,1.61,1.598\n";
/* One row of three is refused: a third is more than a fifth. */
static const char poor_log[] = "date,time,unit,target_mj,energy_mj\n"
                               "2026-04-20,07:30,Room 1,1.61,1.605\n"
                               "2026-04-21,07:31,Room 1,1.61,one\n"
                               "2026-04-22,07:29,Room 1,1.61,1.598\n";
static const char unclear_log[] = "date,time,unit,target_mj,energy_mj\n"
                                  "03/04/2026,07:30,Room 1,1.61,1.605\n"
                                  "05/04/2026,07:31,Room 1,1.61,1.612\n";

static char *folder_with_small_ledger(void) {
  char *folder = folder_begin();
  file_put(folder, "small.csv", small_log);
  file_put(folder, "poor.csv", poor_log);
  file_put(folder, "unclear.csv", unclear_log);
  free(RUN_DONE(folder, "import", "small.csv"));
  return folder;
}

Test(commands, wrong_usage_is_2_and_says_what_is_right) {
  static const usage_case cases[] = {
      {{"statsu"}, USAGE, "did you mean \"status\"?"},
      {{"anlyse"}, USAGE, "did you mean \"analyse\"?"},
      {{"help", "words", "nonesuch"}, USAGE, "`beamtally help words` has those that are"},
      {{"xyzzy"}, USAGE, "`beamtally --help` lists them"},
      {{"-x"}, USAGE, "\"-x\" before a command is not known"},
      {{"--unit", "Room 1", "status"}, USAGE, "as in `beamtally status --unit NAME`"},
      {{"--ledger"}, USAGE, "needs a value"},
      {{"--ledger", "none.sqlite", "status"}, FAILED, "no ledger \"none.sqlite\""},
      {{"drift"}, USAGE, "needs --unit (in this ledger: \"Room 1\")"},
      {{"evidence", "--unit", "Room 1"},
       USAGE,
       "evidence needs --from, the first day that the case shows, and --output (or -o), the folder "
       "to make. "},
      {{"evidence", "--unit", "Room 1"},
       USAGE,
       "beamtally evidence --unit 'Room 1' --from 2026-04-13 -o case"},
      {{"evidence"},
       USAGE,
       "evidence needs --unit (in this ledger: \"Room 1\"), --from, the first day that the case "
       "shows, and --output (or -o), the folder to make. "},
      {{"evidence", "--with-remarks", "-o", "my case"},
       USAGE,
       "\n  beamtally evidence --unit 'Room 1' --from 2026-04-13 --with-remarks -o 'my case'\n"},
      {{"evidence", "--from", "2026-04-20", "--to", "2026-05-01"},
       USAGE,
       "evidence needs --unit (in this ledger: \"Room 1\"), and --output (or -o), the folder to "
       "make. To type:\n  beamtally evidence --unit 'Room 1' --from 2026-04-20 --to 2026-05-01 -o "
       "case\n"},
      {{"status", "--ledgr", "a"}, USAGE, "did you mean \"--ledger\"?"},
      {{"status", "--ledger"}, USAGE, "needs a value"},
      {{"status", "more"}, USAGE, "no further words"},
      {{"status", "--until", "2026-02-30"}, USAGE, "a day is written like"},
      {{"import"}, USAGE, "needs a log file"},
      {{"import", "--dates", "ydm", "small.csv"}, USAGE, "it is dmy, mdy or ymd"},
      {{"import", "--decimal", "dot", "small.csv"}, USAGE, "it is point or comma"},
      {{"import", "--delimiter", "ab", "small.csv"}, USAGE, "it is one character"},
      {{"import", "--max-refused", "101", "small.csv"}, USAGE, "a share from 0 to 100"},
      {{"import", "--max-refused", "nan", "small.csv"}, USAGE, "--max-refused"},
      {{"event", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL"}, USAGE, "one kind"},
      {{"event", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL", "servce"},
       USAGE,
       "service"},
      {{"event", "--unit", "Room 1", "--at", "15.4.2026", "--by", "KL", "service"},
       USAGE,
       "a time is written like"},
      {{"event", "--unit", "Room 1", "--at", "2027-04-15", "--by", "KL", "service"},
       USAGE,
       "later than tomorrow"},
      {{"event", "--unit", "Room 1", "--by", "KL", "service"}, USAGE, "needs --at"},
      {{"event", "--list", "--by", "KL"}, USAGE, "takes --unit and a kind alone"},
      {{"event", "--list", "servise"}, USAGE, "did you mean \"service\"?"},
      {{"corect"}, USAGE, "did you mean \"correct\"?"},
      {{"signal"}, USAGE, "did you mean \"signals\"?"},
      {{"settings", "--by", "KL", "--why", "first"}, USAGE, "settings"},
      {{"settings", "clinic.ini", "--why", "first"}, USAGE, "needs --by"},
      {{"baseline", "--unit", "Room 1"}, USAGE, "needs --characteristic"},
      {{"baseline", "--unit", "Room 1", "--characteristic", "energy_ratio", "--from", "2026-04-15",
        "--to", "2026-04-13", "--by", "KL", "--why", "good"},
       USAGE,
       "--to is before --from"},
      {{"analyse", "--characteristic", "energy_ratio"}, USAGE, "needs --unit"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_rato"},
       USAGE,
       "did you mean \"energy_ratio\"?"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "colour"}, USAGE, "tracker_radial"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "xml"},
       USAGE,
       "text, json or csv"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--series", "smooth"},
       USAGE,
       "raw or adjusted"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--sigma", "0"},
       USAGE,
       "above zero"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--sigma", "1e-320"},
       USAGE,
       "no readings scatter so: it is from 1e-100 to 1e+100"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--centre", "-1e308"},
       USAGE,
       "no reading lies there: it is from -1e+100 to 1e+100"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--centre", "one"},
       USAGE,
       "--centre: \"one\" is no number such as 1.61"},
      {{"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--baseline",
        "2026-04-15..2026-04-13"},
       USAGE,
       "a first and last day"},
      {{"chart", "--unit", "Room 1", "--characteristic", "energy_ratio"}, USAGE, "needs -o FILE"},
      {{"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "a.gif"},
       USAGE,
       ".png, .pdf or .svg"},
      {{"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "a.pdf", "--paper",
        "a5"},
       USAGE,
       "a4 or letter"},
      {{"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "a.pdf", "--from",
        "2026-09-02", "--to", "2026-09-01"},
       USAGE,
       "--from is after --to"},
      {{"report"}, USAGE, "needs --month"},
      {{"report", "--month", "2026-13"}, USAGE, "a month is written like"},
      {{"report", "--month", "2026-11"}, USAGE, "has not begun"},
  };
  char *folder = folder_with_small_ledger();
  check_cases(folder, cases, sizeof cases / sizeof *cases);
  folder_end(folder);
}

Test(commands, without_words_the_overview_is_printed_as_wrong_usage) {
  char *folder = folder_begin();
  run_result result = RUN(folder, NULL);
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "Commands:"));
  cr_expect_str_eq(result.out, "");
  run_free(&result);
  folder_end(folder);
}

Test(commands, a_missing_ledger_is_1_and_says_the_next_step) {
  static const usage_case cases[] = {
      {{"status"}, FAILED, "`beamtally import FILE` makes one"},
      {{"analyse", "--unit", "A", "--characteristic", "fluence"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"chart", "--unit", "A", "--characteristic", "fluence", "-o", "a.png"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"report", "--month", "2026-09"}, FAILED, "`beamtally import FILE` makes one"},
      {{"baseline", "--unit", "A", "--characteristic", "fluence", "--from", "2026-01-01", "--to",
        "2026-02-01", "--by", "KL", "--why", "good"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"event", "--unit", "A", "--at", "2026-04-15", "--by", "KL", "service"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"settings", "--show"}, FAILED, "`beamtally import FILE` makes one"},
      {{"record", "--unit", "A", "--at", "2026-04-15", "--by", "KL", "hv_kv=25"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"correct", "--unit", "A", "--at", "2026-04-15", "--by", "KL", "--why", "x", "hv_kv=25"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"conflicts"}, FAILED, "`beamtally import FILE` makes one"},
      {{"event", "--list"}, FAILED, "`beamtally import FILE` makes one"},
      {{"signals"}, FAILED, "`beamtally import FILE` makes one"},
      {{"resolve", "12345678", "--cause", "x", "--action", "y", "--by", "KL"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"report", "--month", "2026-09", "--issue", "--by", "KL"},
       FAILED,
       "`beamtally import FILE` makes one"},
      {{"verify"}, FAILED, "`beamtally import FILE` makes one"},
      {{"export"}, FAILED, "`beamtally import FILE` makes one"},
      {{"evidence", "--unit", "A", "--from", "2026-04-13", "-o", "x"},
       FAILED,
       "`beamtally import FILE` makes one"},
  };
  char *folder = folder_begin();
  check_cases(folder, cases, sizeof cases / sizeof *cases);
  char *ledger = path_in(folder, "beamtally.sqlite");
  cr_expect(!file_exists(ledger), "a command that only reads made a ledger");
  free(ledger);
  folder_end(folder);
}

Test(commands, what_is_not_in_the_ledger_is_1_with_the_nearest_name) {
  static const usage_case cases[] = {
      {{"status", "--unit", "Rom 1"}, FAILED, "\"Room 1\""},
      {{"signals", "--unit", "Rom 1"}, FAILED, "\"Room 1\""},
      {{"conflicts", "--unit", "Rom 1"}, FAILED, "\"Room 1\""},
      {{"event", "--list", "--unit", "Rom 1"}, FAILED, "\"Room 1\""},
      {{"analyse", "--unit", "Room 11", "--characteristic", "energy_ratio"}, FAILED, "\"Room 1\""},
      {{"report", "--unit", "Rom 1", "--month", "2026-09"}, FAILED, "\"Room 1\""},
      {{"evidence", "--unit", "Rom 1", "--from", "2026-04-13", "-o", "x"}, FAILED, "\"Room 1\""},
      {{"event", "--unit", "Rom 1", "--at", "2026-04-15", "--by", "KL", "service"},
       FAILED,
       "\"Room 1\""},
      {{"analyse", "--unit", "Room 1", "--characteristic", "fluence"}, FAILED, "has no fluence"},
      {{"import", "nowhere.csv"}, FAILED, "nowhere.csv"},
      {{"import", "--map", "nowhere.ini", "small.csv"}, FAILED, "nowhere.ini"},
      {{"settings", "nowhere.ini", "--by", "KL", "--why", "first"}, FAILED, "nowhere.ini"},
      {{"baseline", "--unit", "Room 1", "--characteristic", "energy_ratio", "--from", "2026-04-13",
        "--to", "2026-04-15", "--by", "KL", "--why", "good"},
       FAILED,
       "at least 8"},
  };
  char *folder = folder_with_small_ledger();
  check_cases(folder, cases, sizeof cases / sizeof *cases);
  folder_end(folder);
}

Test(commands, help_of_each_command_opens_with_an_example) {
  static const char *const names[] = {"import",    "columns",  "record",   "event",   "correct",
                                      "conflicts", "settings", "baseline", "status",  "analyse",
                                      "signals",   "resolve",  "chart",    "report",  "runlength",
                                      "verify",    "backup",   "export",   "evidence"};
  char *overview = RUN_DONE(NULL, "--help");
  char *folder = folder_begin();
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char opening[64];
    (void)snprintf(opening, sizeof opening, "Example:  beamtally %s", names[i]);
    char *by_option = RUN_DONE(folder, names[i], "--help");
    char *by_word = RUN_DONE(folder, "help", names[i]);
    char listed[64];
    (void)snprintf(listed, sizeof listed, "\n  %-10s ", names[i]);
    cr_expect_not_null(strstr(overview, listed), "%s is not in the overview", names[i]);
    for (const char *line = by_option; *line != '\0'; line += strcspn(line, "\n") + 1)
      cr_expect_leq(strcspn(line, "\n"), 100, "%s", line);
    cr_expect_eq(strncmp(by_option, opening, strlen(opening)), 0, "%s", by_option);
    cr_expect_str_eq(by_option, by_word);
    free(by_option);
    free(by_word);
  }
  free(overview);
  folder_end(folder);
}

Test(commands, output_that_cannot_be_written_is_1) {
  static const char *const cases[][10] = {
      {"--help"},
      {"--version"},
      {"import", "--help"},
      {"status"},
      {"settings", "--show"},
      {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio"},
      {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "json"},
      {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "csv"},
      {"report", "--month", "2026-09"},
      {"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "a.svg"},
      {"import", "small.csv"},
      {"conflicts"},
      {"signals"},
      {"signals", "--format", "json"},
      {"event", "--list"},
      {"runlength", "--rules", "WE1", "--format", "json"},
      {"runlength", "--rules", "WE1"},
      {"runlength", "--budget", "2", "--format", "json"},
      {"export", "-o", "full"},
      {"record", "--unit", "Room 1", "--at", "2026-04-16", "--by", "KL", "hv_kv=25"},
      {"event", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL", "service"},
  };
  char *folder = folder_with_small_ledger();
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_setting full = {.folder = folder, .output = "/dev/full"};
    run_result result = run_with(&full, cases[i]);
    cr_expect_eq(result.status, FAILED, "case %zu (%s): status %d", i, cases[i][0], result.status);
    cr_expect_not_null(strstr(result.err, "could not be written"), "case %zu: %s", i, result.err);
    run_free(&result);
  }
  folder_end(folder);
}

/* The clock of a machine whose battery is empty, and of one set far ahead. */
Test(commands, any_clock_that_a_calendar_has) {
  static const struct {
    const char *epoch;
    int status;
  } cases[] = {
      {"SOURCE_DATE_EPOCH=0", DONE},
      {"SOURCE_DATE_EPOCH=4102444800", DONE},
      {"SOURCE_DATE_EPOCH=253402300799", DONE},
      {"SOURCE_DATE_EPOCH=253402300800", USAGE},
      {"SOURCE_DATE_EPOCH=99999999999999999999", USAGE},
      {"SOURCE_DATE_EPOCH=-1", USAGE},
      {"SOURCE_DATE_EPOCH=1e9", USAGE},
  };
  char *folder = folder_with_small_ledger();
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_setting other = {.folder = folder,
                         .environment = (const char *const[]){cases[i].epoch, NULL}};
    run_result result = run_with(&other, (const char *const[]){"status", NULL});
    cr_expect_eq(result.status, cases[i].status, "%s: %d, %s", cases[i].epoch, result.status,
                 result.err);
    cr_expect_eq(strstr(result.err, "at most 253402300799") != NULL, cases[i].status == USAGE, "%s",
                 result.err);
    run_free(&result);
  }
  folder_end(folder);
}

/* The same of what is said on standard error beside it: else a refused line, say, goes unheard. */
Test(commands, lost_words_are_not_done) {
  static const char *const cases[][10] = {
      {"import", "--max-refused", "60", "bad.csv"},
      {"evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "case"},
      {"report", "--month", "2026-08"},
  };
  char *folder = folder_with_small_ledger();
  file_put(folder, "bad.csv", "date,unit,energy_mj\n2026-09-01,Room 1,x\n2026-09-02,Room 1,1.6\n");
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_setting full = {.folder = folder, .error = "/dev/full"};
    run_result result = run_with(&full, cases[i]);
    cr_expect_eq(result.status, FAILED, "case %zu (%s): status %d", i, cases[i][0], result.status);
    run_free(&result);
  }
  folder_end(folder);
}

/* A file must not get the number of a stream that is closed, and with it the words. */
Test(commands, closed_streams_put_no_words_into_files) {
  char *folder = folder_begin();
  file_put(folder, "bad.csv", "date,unit,energy_mj\n2026-09-01,Room 1,x\n2026-09-02,Room 1,1.6\n");
  free(tool_with(folder, "/bin/sh", DONE,
                 (const char *const[]){"-c",
                                       "exec \"$0\" import --new-unit --max-refused 60 --rejects "
                                       "r.csv bad.csv 2>&- <&-",
                                       BEAMTALLY_PROGRAM, NULL}));
  char *path = path_in(folder, "r.csv"), *rejects = file_read(path, NULL);
  cr_expect_eq(strncmp(rejects, "line,column,", 12), 0, "%s", rejects);
  cr_expect_null(strstr(rejects, "beamtally:"), "%s", rejects);
  free(tool_with(folder, "/bin/sh", FAILED,
                 (const char *const[]){"-c", "exec \"$0\" status >&-", BEAMTALLY_PROGRAM, NULL}));
  free(rejects);
  free(path);
  folder_end(folder);
}

Test(commands, quiet_says_nothing_where_nothing_is_wrong) {
  static const char *const cases[][14] = {
      {"import", "--quiet", "small.csv"},
      {"event", "--quiet", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL", "service"},
      {"report", "--quiet", "--month", "2026-09"},
      {"chart", "--quiet", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "a.svg"},
      {"settings", "--quiet", "clinic.ini", "--by", "KL", "--why", "first"},
  };
  char *folder = folder_with_small_ledger();
  file_put(folder, "clinic.ini", "[unit 1]\nname = Room 1\n");
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_result result = run_plain(folder, cases[i]);
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect_str_eq(result.out, "");
    cr_expect_str_eq(result.err, "");
    run_free(&result);
  }
  folder_end(folder);
}

Test(commands, strict_is_3_where_something_wants_a_look) {
  char *folder = folder_with_small_ledger();
  run_result result = RUN(folder, "import", "--strict", "small.csv");
  cr_expect_eq(result.status, DONE, "nothing of this file was refused");
  run_free(&result);
  result = RUN(folder, "import", "--strict", "--max-refused", "50", "poor.csv");
  cr_expect_eq(result.status, ATTENTION, "a line of this file was refused");
  run_free(&result);
  result = RUN(folder, "status", "--strict");
  cr_expect_eq(result.status, ATTENTION, "the ledger holds a refused line");
  run_free(&result);
  result = RUN(folder, "status");
  cr_expect_eq(result.status, DONE, "without --strict it is done");
  run_free(&result);
  folder_end(folder);
}

Test(commands, standard_input_is_read_from_a_hyphen) {
  char *folder = folder_begin(), *log = path_in(folder, "small.csv");
  file_put(folder, "small.csv", small_log);
  run_setting setting = {.folder = folder, .input = log};
  run_result result = run_with(&setting, (const char *const[]){"import", "-", NULL});
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_str_eq(result.out,
                   "standard input: 3 rows, 3 new, 0 already known, 0 conflicts, 0 refused\n");
  run_free(&result);
  char *again = RUN_DONE(folder, "import", "small.csv");
  cr_expect(strstr(again, "nothing added") != NULL || strstr(again, " 0 new, 3 already known"),
            "%s", again);
  free(again);
  free(log);
  folder_end(folder);
}

Test(commands, of_several_files_the_bad_one_stays_out) {
  char *folder = folder_begin();
  file_put(folder, "small.csv", small_log);
  file_put(folder, "unclear.csv", unclear_log);
  file_put(folder, "later.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-04-16,07:30,Room 1,1.61,1.607\n");
  run_result result = RUN(folder, "import", "small.csv", "unclear.csv", "later.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.out, "small.csv: 3 rows, 3 new"), "%s", result.out);
  cr_expect_not_null(strstr(result.out, "later.csv: 1 row, 1 new"), "%s", result.out);
  cr_expect_not_null(strstr(result.err, "unclear.csv"), "%s", result.err);
  cr_expect_null(strstr(result.err, "later.csv"), "%s", result.err);
  run_free(&result);
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  cr_expect_eq((int)number_of(analysis, "n"), 4);
  json_decref(analysis);
  folder_end(folder);
}

Test(commands, dates_that_may_be_read_two_ways_need_the_option) {
  char *folder = folder_begin();
  file_put(folder, "unclear.csv", unclear_log);
  run_result result = RUN(folder, "import", "unclear.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "--dates dmy or --dates mdy"), "%s", result.err);
  run_free(&result);
  free(RUN_DONE(folder, "import", "--dates", "dmy", "unclear.csv"));
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  const json_t *first = json_array_get(json_object_get(analysis, "points"), 0);
  cr_expect_str_eq(text_of(first, "at"), "2026-04-03T07:30");
  json_decref(analysis);
  folder_end(folder);
}

Test(commands, more_than_a_fifth_refused_stores_nothing) {
  char *folder = folder_with_small_ledger();
  char *before = RUN_DONE(folder, "status");
  run_result result = RUN(folder, "import", "poor.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "1 of 3 lines were refused"), "%s", result.err);
  cr_expect_not_null(strstr(result.err, "line 3, column \"energy_mj\""), "%s", result.err);
  run_free(&result);
  char *after = RUN_DONE(folder, "status");
  cr_expect_str_eq(before, after, "the ledger state stands in it");
  free(before);
  free(after);
  folder_end(folder);
}

Test(commands, a_dry_run_stores_nothing_and_makes_nothing) {
  char *folder = folder_begin(), *ledger = path_in(folder, "beamtally.sqlite");
  file_put(folder, "small.csv", small_log);
  file_put(folder, "poor.csv", poor_log);
  char *text = RUN_DONE(folder, "import", "--dry-run", "--max-refused", "40", "poor.csv");
  cr_expect_not_null(strstr(text, "3 rows, 1 refused; nothing stored"), "%s", text);
  free(text);
  cr_expect(!file_exists(ledger));
  free(RUN_DONE(folder, "import", "small.csv"));
  char *copy = path_in(folder, "before.sqlite");
  size_t n;
  char *bytes = file_read(ledger, &n);
  file_write(copy, bytes, n);
  free(RUN_DONE(folder, "import", "--dry-run", "--max-refused", "40", "poor.csv"));
  files_must_be_same(ledger, copy);
  free(bytes);
  free(copy);
  free(ledger);
  folder_end(folder);
}

Test(commands, the_ledger_is_named_by_option_or_environment) {
  char *folder = folder_with_small_ledger();
  char *one = path_in(folder, "beamtally.sqlite"), *two = path_in(folder, "my ledger; $(x) 'q'");
  cr_assert_eq(rename(one, two), 0);
  free(RUN_DONE(folder, "status", "--ledger", "my ledger; $(x) 'q'"));
  const char *environment[] = {"BEAMTALLY_LEDGER=my ledger; $(x) 'q'", NULL};
  run_setting setting = {.folder = folder, .environment = environment};
  run_result result = run_with(&setting, (const char *const[]){"status", NULL});
  cr_expect_eq(result.status, DONE, "%s", result.err);
  run_free(&result);
  free(one);
  free(two);
  folder_end(folder);
}

/* ---- On the demo ----------------------------------------------------------------------------- */

Test(commands, settings_that_are_shown_can_be_read_again) {
  char *folder = folder_begin(), *settings = sample("settings.ini");
  free(RUN_DONE(folder, "settings", settings, "--by", "KL", "--why", "first", "--ledger", "one"));
  char *shown = RUN_DONE(folder, "settings", "--show", "--ledger", "one");
  cr_expect_not_null(strstr(shown, "source = clinic policy QA-7, section 2"), "%s", shown);
  file_put(folder, "shown.ini", shown);
  free(
      RUN_DONE(folder, "settings", "shown.ini", "--by", "KL", "--why", "moved", "--ledger", "two"));
  char *again = RUN_DONE(folder, "settings", "--show", "--ledger", "two");
  cr_expect_str_eq(shown, again);
  free(shown);
  free(again);
  free(settings);
  folder_end(folder);
}

/* The suggested baseline, frozen: the same limits, by a person's word, and a check that comes late
 * into its period does not move them. */
Test(commands, a_frozen_baseline_keeps_its_limits) {
  char *folder = folder_begin();
  demo_into(folder);
  json_t *suggested = analysis_of(folder, "Suite South", "energy_ratio", NULL);
  const json_t *before = json_object_get(suggested, "baseline");
  cr_expect(json_is_true(json_object_get(before, "provisional")));
  char *said = RUN_DONE(folder, "baseline", "--unit", "suite south ", "--characteristic",
                        "energy_ratio", "--from", text_of(before, "from"), "--to",
                        text_of(before, "to"), "--screen", "--by", "KL", "--why", "known good");
  cr_expect_not_null(strstr(said, "Suite South, energy_ratio: baseline 1 frozen, 60 points"), "%s",
                     said);
  free(said);
  file_put(folder, "late.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2025-05-03,09:30,Suite South,2.05,2.09\n");
  free(RUN_DONE(folder, "import", "late.csv"));
  json_t *frozen = analysis_of(folder, "Suite South", "energy_ratio", NULL);
  const json_t *after = json_object_get(frozen, "baseline");
  cr_expect(json_is_false(json_object_get(after, "provisional")));
  cr_expect_eq((int)number_of(after, "version"), 1);
  cr_expect_eq(number_of(after, "centre"), number_of(before, "centre"));
  cr_expect_eq(number_of(after, "sigma"), number_of(before, "sigma"));
  cr_expect_eq(number_of(after, "fill_age_slope_per_day"),
               number_of(before, "fill_age_slope_per_day"));
  cr_expect(json_equal(json_object_get(suggested, "individuals"),
                       json_object_get(frozen, "individuals")));
  cr_expect_eq(number_of(frozen, "n"), number_of(suggested, "n") + 1);
  json_decref(suggested);
  json_decref(frozen);
  folder_end(folder);
}

/* A cleaning that is typed in restarts the CUSUM at the first point after it, once. */
Test(commands, an_event_typed_in_restarts_the_cusum) {
  char *folder = folder_begin();
  demo_into(folder);
  for (int twice = 0; twice < 2; twice++) {
    char *said = RUN_DONE(folder, "event", "--unit", "Suite North", "--at", "2026-07-18T12:00",
                          "--by", "KL", "--note", "after the storm", "optics_cleaned");
    cr_expect_not_null(strstr(said, twice == 0 ? "noted" : "nothing added"), "%s", said);
    free(said);
  }
  json_t *analysis = analysis_of(folder, "Suite North", "energy_ratio", NULL);
  const json_t *restarts = json_object_get(json_object_get(analysis, "cusum"), "restarts");
  const json_t *last = json_array_get(restarts, json_array_size(restarts) - 1);
  cr_expect_str_eq(text_of(last, "event"), "optics_cleaned");
  cr_expect_str_eq(text_of(last, "event_at"), "2026-07-18T12:00");
  cr_expect_eq(strncmp(text_of(last, "at"), "2026-07-20T", 11), 0, "%s", text_of(last, "at"));
  json_decref(analysis);
  folder_end(folder);
}

/* What stands before a command does what it does behind it. */
Test(commands, common_options_may_stand_before_the_command) {
  char *folder = folder_with_small_ledger();
  char *plain = RUN_DONE(folder, "status");
  char *before = RUN_DONE(folder, "--ledger=beamtally.sqlite", "--verbose", "status");
  cr_expect_str_eq(plain, before, "%s", before);
  free(before);
  free(plain);
  char *help = RUN_DONE(folder, "status", "--help");
  char *first = RUN_DONE(folder, "--help", "status");
  char *letter = RUN_DONE(folder, "status", "-h");
  cr_expect_str_eq(help, first);
  cr_expect_str_eq(help, letter);
  free(help);
  free(first);
  free(letter);
  char *quiet = RUN_DONE(folder, "--quiet", "verify");
  cr_expect_str_empty(quiet);
  free(quiet);
  run_result strict = RUN(folder, "--strict", "import", "poor.csv", "--max-refused", "50");
  cr_expect_eq(strict.status, ATTENTION, "%d", strict.status);
  run_free(&strict);
  folder_end(folder);
}

/* Of several lasers the one that failed comes first, whatever it is called. */
Test(commands, status_of_several_lasers_begins_with_the_worst) {
  char *folder = folder_begin();
  file_put(folder, "two.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-09-29,07:30,Annex,1.61,1.605\n"
           "2026-09-29,07:30,Room 1,1.61,1.605\n"
           "2026-09-30,07:31,Annex,1.61,1.612\n"
           "2026-09-30,07:31,Room 1,1.61,1.412\n");
  file_put(folder, "clinic.ini",
           "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\nlow = 0.97\n"
           "source = manual\nfrom = 2026-01-01\n");
  free(RUN_DONE(folder, "import", "two.csv"));
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  char *shown = RUN_DONE(folder, "status");
  static const char head[] = "2 lasers, the worst first\n  - Room 1: OUT OF TOLERANCE";
  cr_expect_eq(strncmp(shown, head, sizeof head - 1), 0, "%s", shown);
  char *worst = strstr(shown, "\n\nRoom 1\n"), *other = strstr(shown, "\n\nAnnex\n");
  cr_expect(worst != NULL && other != NULL && worst < other, "%s", shown);
  free(shown);
  shown = RUN_DONE(folder, "status", "--unit", "Annex");
  cr_expect_eq(strncmp(shown, "Annex\n", 6), 0, "one laser has no list before it: %s", shown);
  free(shown);
  folder_end(folder);
}

/* The day that is offered for a case begins before what is open, and the command works as shown. */
Test(commands, evidence_without_from_shows_a_command_that_works) {
  char *folder = folder_begin();
  demo_into(folder);
  run_result asked = RUN(folder, "evidence", "--unit", "Suite North");
  cr_expect_eq(asked.status, USAGE, "%d", asked.status);
  const char *from = strstr(asked.err, "--from 20");
  cr_assert_not_null(from, "%s", asked.err);
  cr_expect_not_null(strstr(asked.err, "beamtally evidence --unit 'Suite North' --from 20"), "%s",
                     asked.err);
  char day[11];
  (void)snprintf(day, sizeof day, "%s", from + 7);
  cr_expect(strcmp(day, "2026-03-04") < 0, "the alarm's first day is 2026-03-04: %s", day);
  free(RUN_DONE(folder, "evidence", "--unit", "Suite North", "--from", day, "-o", "case"));
  run_free(&asked);
  folder_end(folder);
}
