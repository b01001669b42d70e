/* verify and backup, from outside. */
#include "program.h"

#include <criterion/criterion.h>
#include <criterion/logging.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char first_log[] = "date,time,unit,target_mj,energy_mj\n"
                                "2026-04-13,07:30,Room 1,1.61,1.605\n"
                                "2026-04-14,07:30,Room 1,1.61,1.25\n";
static const char second_log[] = "date,time,unit,target_mj,energy_mj\n"
                                 "2026-04-15,07:30,Room 1,1.61,1.601\n";
static const char third_log[] = "date,time,unit,target_mj,energy_mj\n"
                                "2026-04-16,07:30,Room 1,1.61,1.602\n";

static char *folder_with_ledger(void) {
  char *folder = folder_begin();
  file_put(folder, "first.csv", first_log);
  free(RUN_DONE(folder, "import", "first.csv"));
  return folder;
}

static void must_fail(const char *folder, const char *const *words, int status, const char *said) {
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, status, "%s: status %d, %s", words[0], result.status, result.err);
  cr_expect_not_null(strstr(result.err, said), "%s", result.err);
  run_free(&result);
}
#define MUST_FAIL(folder, status, said, ...)                                                       \
  must_fail((folder), (const char *const[]){__VA_ARGS__, NULL}, (status), (said))

/* Nothing of a backup, whole or begun, is in the folder. */
static void no_backup_in(const char *folder) {
  char *names = TOOL(folder, "ls", "-a");
  cr_expect_null(strstr(names, "kept"), "%s", names);
  free(names);
}

Test(verify, a_log_that_changed_is_a_note) {
  char *folder = folder_with_ledger();
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "whole: 2 entries, 2 checks, 0 events; state "), "%s", said);
  cr_expect_not_null(strstr(said, "1 log file, looked for in this folder: 1 as imported\n"), "%s",
                     said);
  free(said);
  file_put(folder, "second.csv", second_log);
  file_put(folder, "third.csv", third_log);
  free(RUN_DONE(folder, "import", "second.csv", "third.csv"));
  file_put(folder, "first.csv", second_log);
  char *gone = path_in(folder, "third.csv");
  cr_assert_eq(unlink(gone), 0);
  free(gone);
  said = RUN_DONE(folder, "verify", "--verbose");
  cr_expect_not_null(strstr(said,
                            "3 log files, looked for in this folder: 1 as imported, 1 another "
                            "file of that name, 1 not here\n"
                            "  not here is no fault: the ledger holds what they said; to hold it "
                            "against them, run this\n  in the folder where they lie, with --ledger "
                            "FILE\n"
                            "  first.csv: another file of that name\n"
                            "  second.csv: as imported\n"
                            "  third.csv: not here\n"),
                     "%s", said);
  free(said);
  run_result result = run_plain(folder, (const char *const[]){"verify", NULL});
  cr_expect_eq(result.status, 0);
  cr_expect_not_null(strstr(result.err, "note: first.csv in this folder is not the file"), "%s",
                     result.err);
  cr_expect_null(strstr(result.out, ".csv: "), "each is named only with --verbose: %s", result.out);
  run_free(&result);
  folder_end(folder);
}

Test(verify, a_printed_state_is_found_or_not) {
  char *folder = folder_with_ledger(), *state = state_of(folder);
  file_put(folder, "second.csv", second_log);
  free(RUN_DONE(folder, "backup", "older.sqlite"));
  free(RUN_DONE(folder, "import", "second.csv"));
  char *said = RUN_DONE(folder, "verify", "--state", state);
  cr_expect_not_null(strstr(said, "stands at entry 2, of 2026-10-01T08:00; 1 entry came after it"),
                     "%s", said);
  free(said);
  char *newer = state_of(folder);
  said = RUN_DONE(folder, "verify", "--state", newer);
  cr_expect_not_null(strstr(said, "nothing was entered since"), "%s", said);
  free(said);

  /* The older backup, restored and written on. */
  MUST_FAIL(folder, 1, "does not stand in this ledger's chain", "verify", "--ledger",
            "older.sqlite", "--state", newer);
  free(RUN_DONE(folder, "event", "--ledger", "older.sqlite", "--unit", "Room 1", "--at",
                "2026-04-16", "--by", "KL", "service"));
  MUST_FAIL(folder, 1, "an older backup", "verify", "--ledger", "older.sqlite", "--state", newer);
  free(RUN_DONE(folder, "verify", "--ledger", "older.sqlite", "--state", state));

  MUST_FAIL(folder, 2, "20 hex digits", "verify", "--state", "12ab");
  MUST_FAIL(folder, 2, "no further words", "verify", "--state", "12ab", "34cd");
  free(state);
  free(newer);
  folder_end(folder);
}

Test(verify, a_reading_changed_in_the_file_is_named) {
  char *folder = folder_with_ledger(), *ledger = path_in(folder, "beamtally.sqlite");
  static const char reading[] = {0x3F, (char)0xF4, 0, 0, 0, 0, 0, 0}; /* 1.25 */
  size_t n, seen = 0;
  char *bytes = file_read(ledger, &n);
  for (size_t at = 0; at + sizeof reading <= n; at++)
    if (memcmp(bytes + at, reading, sizeof reading) == 0) {
      bytes[at + 2] = 1;
      seen++;
    }
  cr_assert_eq(seen, 1);
  file_write(ledger, bytes, n);
  MUST_FAIL(folder, 1, "the check of \"Room 1\" at 2026-04-14T07:30 (first.csv, line 3)", "verify");
  MUST_FAIL(folder, 1, "was not looked for", "verify", "--state", "0000 0000 0000 0000 0000");
  MUST_FAIL(folder, 1, "the check of \"Room 1\" at 2026-04-14T07:30", "backup", "kept.sqlite");
  no_backup_in(folder);
  free(bytes);
  free(ledger);
  folder_end(folder);
}

static char *text_of_query(sqlite3 *ledger, const char *query) {
  sqlite3_stmt *row = NULL;
  cr_assert_eq(sqlite3_prepare_v2(ledger, query, -1, &row, NULL), SQLITE_OK, "%s",
               sqlite3_errmsg(ledger));
  cr_assert_eq(sqlite3_step(row), SQLITE_ROW);
  char *text = strdup((const char *)sqlite3_column_text(row, 0));
  (void)sqlite3_finalize(row);
  cr_assert_not_null(text);
  return text;
}

/* What a person does with a database shell: takes the triggers away that forbid it, edits, and puts
 * them back. How many rows it changed. */
static int edit(const char *folder, const char *name, const char *statement) {
  char *path = path_in(folder, name);
  sqlite3 *ledger = NULL;
  cr_assert_eq(sqlite3_open(path, &ledger), SQLITE_OK);
  char *drops = text_of_query(
      ledger, "SELECT group_concat('DROP TRIGGER ' || name, ';') FROM sqlite_schema WHERE type = "
              "'trigger' AND tbl_name = 'checks'");
  char *triggers =
      text_of_query(ledger, "SELECT group_concat(sql, ';') FROM sqlite_schema WHERE type = "
                            "'trigger' AND tbl_name = 'checks'");
  cr_assert_eq(sqlite3_exec(ledger, drops, NULL, NULL, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(ledger, statement, NULL, NULL, NULL), SQLITE_OK, "%s",
               sqlite3_errmsg(ledger));
  int changed = sqlite3_changes(ledger);
  cr_assert_eq(sqlite3_exec(ledger, triggers, NULL, NULL, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_close(ledger), SQLITE_OK);
  free(drops);
  free(triggers);
  free(path);
  return changed;
}

Test(verify, a_digit_edited_with_a_database_shell_is_named) {
  char *folder = folder_with_ledger();
  cr_assert_eq(edit(folder, "beamtally.sqlite", "UPDATE checks SET line = line"), 2);
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "whole: "), "the edit that changes nothing: %s", said);
  free(said);
  cr_assert_eq(
      edit(folder, "beamtally.sqlite", "UPDATE checks SET energy_mj = 1.52 WHERE energy_mj = 1.25"),
      1);
  MUST_FAIL(folder, 1, "the check of \"Room 1\" at 2026-04-14T07:30 (first.csv, line 3)", "verify");
  folder_end(folder);
}

/* Who doesn't put the triggers back: both are named, what is missing and what was edited. */
Test(verify, an_edit_without_its_trigger_is_named_with_it) {
  char *folder = folder_with_ledger(), *path = path_in(folder, "beamtally.sqlite");
  sqlite3 *ledger = NULL;
  cr_assert_eq(sqlite3_open(path, &ledger), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(ledger, "DROP TRIGGER checks_keeps_values", NULL, NULL, NULL),
               SQLITE_OK);
  run_result result = RUN(folder, "verify");
  cr_expect(result.status == 1 && strstr(result.err, "\"checks_keeps_values\" is missing") != NULL,
            "%s", result.err);
  cr_expect_null(strstr(result.err, "the check of"), "%s", result.err);
  run_free(&result);
  cr_assert_eq(sqlite3_exec(ledger, "UPDATE checks SET energy_mj = 1.52 WHERE energy_mj = 1.25",
                            NULL, NULL, NULL),
               SQLITE_OK);
  cr_assert_eq(sqlite3_close(ledger), SQLITE_OK);
  MUST_FAIL(folder, 1, "\"checks_keeps_values\" is missing", "verify");
  MUST_FAIL(folder, 1, "the check of \"Room 1\" at 2026-04-14T07:30 (first.csv, line 3)", "verify");
  free(path);
  folder_end(folder);
}

Test(verify, a_check_taken_out_is_noticed) {
  char *folder = folder_with_ledger();
  cr_assert_eq(edit(folder, "beamtally.sqlite", "DELETE FROM checks WHERE energy_mj = 1.25"), 1);
  MUST_FAIL(folder, 1, "entry 2", "verify");
  folder_end(folder);
}

/* Whoever computes the whole chain anew, as a new ledger of an edited log does, has a whole ledger;
 * an older report's state tells that it is another one. */
Test(verify, a_rewritten_chain_is_whole_but_has_not_the_printed_state) {
  char *folder = folder_with_ledger(), *state = state_of(folder);
  char *ledger = path_in(folder, "beamtally.sqlite"), *edited = strdup(first_log);
  *strstr(edited, "1.25") = '2';
  file_put(folder, "first.csv", edited);
  cr_assert_eq(unlink(ledger), 0);
  free(RUN_DONE(folder, "import", "first.csv"));
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "whole: 2 entries"), "%s", said);
  free(said);
  MUST_FAIL(folder, 1, "its chain computed anew", "verify", "--state", state);
  free(edited);
  free(ledger);
  free(state);
  folder_end(folder);
}

/* A text that a person removed does not make a ledger damaged; one that vanished otherwise does. */
Test(verify, removed_texts_are_counted) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,unit,hv_kv,remark\n2026-04-13,Room 1,25,one\n2026-04-14,Room 1,25,two\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "correct", "--yes", "--unit", "Room 1", "--at", "2026-04-13", "--redact",
                "--by", "KL", "--why", "a name"));
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "1 text removed by a person's word"), "%s", said);
  free(said);
  folder_end(folder);
}

/* A row is falsified, a report or a folder made for signing, the row put back: there is none. Nor
 * is it shown by a command that only looks. */
Test(verify, nothing_is_made_of_a_ledger_that_is_not_whole) {
  char *folder = folder_with_ledger();
  static const char falsify[] = "UPDATE checks SET energy_mj = 1.601 WHERE energy_mj = 1.25";
  static const char restore[] = "UPDATE checks SET energy_mj = 1.25 WHERE energy_mj = 1.601";
  static const char named[] =
      "not whole: beamtally.sqlite: the check of \"Room 1\" at 2026-04-14T07:30 (first.csv, line 3)";
  char *before = state_of(folder), *out = path_in(folder, "out");
  cr_assert_eq(edit(folder, "beamtally.sqlite", falsify), 1);
  MUST_FAIL(folder, 1, named, "report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out");
  cr_expect(!file_exists(out), "nothing is written, not even a folder");
  MUST_FAIL(folder, 1, named, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "out");
  cr_expect(!file_exists(out));
  static const char met[] = "line 3) is not as it was written; use a backup";
  MUST_FAIL(folder, 1, met, "report", "--month", "2026-04", "-o", "out");
  MUST_FAIL(folder, 1, met, "status");
  MUST_FAIL(folder, 1, met, "status", "--until", "2026-04-13"); /* before its day */
  MUST_FAIL(folder, 1, met, "signals");
  MUST_FAIL(folder, 1, met, "analyse", "--unit", "Room 1", "--characteristic", "energy_ratio");
  MUST_FAIL(folder, 1, named, "conflicts");
  MUST_FAIL(folder, 1, named, "export", "-o", "out");
  cr_assert_eq(edit(folder, "beamtally.sqlite", restore), 1);
  char *after = state_of(folder);
  cr_expect_str_eq(before, after, "no entry of an issue");
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "out"));
  cr_assert_eq(edit(folder, "beamtally.sqlite", falsify), 1);
  MUST_FAIL(folder, 1, "line 3) is not as it was written", "verify", "out");
  free(before);
  free(after);
  free(out);
  folder_end(folder);
}

/* Of one damaged laser no report is made; that the others' stand there is said with the damage. */
Test(verify, a_report_beside_a_damaged_laser_is_told_of) {
  char *folder = folder_with_ledger(), *made = path_in(folder, "out/room-1-2026-04.pdf");
  file_put(folder, "second.csv",
           "date,time,unit,target_mj,energy_mj\n2026-04-13,07:30,Room 2,1.61,1.605\n"
           "2026-04-14,07:30,Room 2,1.61,1.6234\n");
  free(RUN_DONE(folder, "import", "--new-unit", "second.csv"));
  cr_assert_eq(edit(folder, "beamtally.sqlite",
                    "UPDATE checks SET energy_mj = 1.601 WHERE energy_mj = 1.6234"),
               1);
  MUST_FAIL(folder, 1,
            "1 other report was made all the same: what it shows of that laser is as it was "
            "entered. Keep it back until `beamtally verify`",
            "report", "--month", "2026-04", "-o", "out");
  cr_expect(file_exists(made));
  run_result alone = RUN(folder, "report", "--month", "2026-04", "--unit", "Room 2", "-o", "out");
  cr_expect_eq(alone.status, 1);
  cr_expect_null(strstr(alone.err, "all the same"), "%s", alone.err);
  run_free(&alone);
  free(made);
  folder_end(folder);
}

Test(verify, an_issued_report_is_known_by_its_bytes) {
  char *folder = folder_with_ledger();
  char *before = state_of(folder), *path = path_in(folder, "out/room-1-2026-04-rev1.pdf");
  size_t n;
  free(RUN_DONE(folder, "report", "--month", "2026-04", "-o", "out"));
  free(RUN_DONE(folder, "report", "--month", "2026-04", "--issue", "--by", "K. L.", "-o", "out"));
  char *said = RUN_DONE(folder, "verify", "out/room-1-2026-04-rev1.pdf");
  cr_expect_not_null(strstr(said, "byte for byte, a report issued from this ledger: Room 1, "
                                  "2026-04, revision 1, issued 2026-10-01T08:00 by K. L.\n"),
                     "%s", said);
  cr_expect_not_null(strstr(said, before), "the state before it: %s", said);
  cr_expect_not_null(strstr(said, "stands in the chain at entry 2, the issue at entry 3 of 3"),
                     "%s", said);
  cr_expect_null(strstr(said, "later revision"), "%s", said);
  free(said);
  free(RUN_DONE(folder, "report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out"));
  said = RUN_DONE(folder, "verify", "out/room-1-2026-04-rev1.pdf");
  cr_expect_not_null(strstr(said, "1 later revision of it was issued since"), "%s", said);
  free(said);

  static const char none[] = "is not, byte for byte, a report that was issued";
  MUST_FAIL(folder, 1, "is by its own words a draft", "verify", "out/room-1-2026-04.pdf");
  MUST_FAIL(folder, 1, "is none of the 2 reports that the ledger", "verify", "first.csv");
  MUST_FAIL(folder, 1, "if it is a log, run `beamtally verify --verbose`", "verify", "first.csv");
  MUST_FAIL(folder, 1, "none.pdf: there is no such file or folder", "verify", "none.pdf");
  MUST_FAIL(folder, 2, "name it with --ledger", "verify", "beamtally.sqlite");
  char *bytes = file_read(path, &n);
  bytes[n / 2] ^= 1;
  file_write(path, bytes, n);
  MUST_FAIL(folder, 1, none, "verify", "out/room-1-2026-04-rev1.pdf");
  bytes[n / 2] ^= 1;
  file_write(path, bytes, n);
  cr_assert_eq(edit(folder, "beamtally.sqlite", "UPDATE checks SET energy_mj = 1.3 WHERE line = 3"),
               1);
  MUST_FAIL(folder, 1, "was not looked for, because the ledger is not whole", "verify",
            "out/room-1-2026-04-rev1.pdf");
  free(bytes);
  free(path);
  free(before);
  folder_end(folder);
}

/* Another program's clock, or one that was set back: a remark, no difference. */
Test(verify, what_the_chain_cannot_show_is_said) {
  char *folder = folder_with_ledger();
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "this is up to entry 2, of 2026-10-01T08:00: that no later entry "
                                  "was taken off the end shows only against a state printed since"),
                     "%s", said);
  cr_expect_null(strstr(said, "remark"), "%s", said);
  free(said);
  static const char *const earlier[] = {"SOURCE_DATE_EPOCH=1789977600", NULL};
  run_setting setting = {.folder = folder, .environment = earlier};
  run_result result =
      run_with(&setting, (const char *const[]){"event", "--unit", "Room 1", "--at", "2026-04-16",
                                               "--by", "KL", "service", NULL});
  cr_assert_eq(result.status, 0, "%s", result.err);
  run_free(&result);
  said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "remark: entry 3 is dated 2026-09-21T08:00, before entry 2, of "
                                  "2026-10-01T08:00"),
                     "%s", said);
  free(said);
  folder_end(folder);
}

Test(verify, an_empty_file_is_no_ledger_and_is_begun_in_with_a_note) {
  char *folder = folder_begin();
  file_put(folder, "first.csv", first_log);
  file_put(folder, "beamtally.sqlite", "");
  MUST_FAIL(folder, 1, "beamtally.sqlite is empty (0 bytes): not a ledger", "verify");
  MUST_FAIL(folder, 1, "is empty (0 bytes): not a ledger", "status");
  run_result result = RUN(folder, "import", "first.csv");
  cr_expect_eq(result.status, 0);
  cr_expect_not_null(strstr(result.err, "was empty (0 bytes); a new ledger was begun in it"), "%s",
                     result.err);
  run_free(&result);
  file_put(folder, "beamtally.sqlite", "x");
  MUST_FAIL(folder, 1, "not a ledger, but 1 byte of something else", "status");
  MUST_FAIL(folder, 1, "not a ledger, but 1 byte of something else", "import", "first.csv");
  folder_end(folder);
}

Test(verify, a_backup_of_the_demo_is_the_same_whole_ledger) {
  char *folder = folder_begin();
  demo_into(folder);
  char *said = RUN_DONE(folder, "backup", "kept.sqlite");
  cr_expect_not_null(strstr(said, "kept.sqlite: "), "%s", said);
  cr_expect_not_null(strstr(said, ", 705 checks, "), "%s", said);
  free(said);
  char *one = RUN_DONE(folder, "verify");
  char *other = RUN_DONE(folder, "verify", "--ledger", "kept.sqlite");
  cr_expect_eq(strncmp(one, "whole: ", 7), 0, "%s", one);
  cr_expect_not_null(strstr(one, ", 705 checks, "), "%s", one);
  cr_expect_str_eq(one, other);
  free(one);
  free(other);
  one = RUN_DONE(folder, "status");
  other = RUN_DONE(folder, "status", "--ledger", "kept.sqlite");
  cr_expect_str_eq(one, other);
  free(one);
  free(other);
  folder_end(folder);
}

Test(verify, a_backup_that_fails_leaves_nothing) {
  char *folder = folder_with_ledger(), *ledger = path_in(folder, "beamtally.sqlite");
  file_put(folder, "notes.txt", "notes");
  MUST_FAIL(folder, 1, "is there already", "backup", "notes.txt");
  MUST_FAIL(folder, 1, "is there already", "backup", "beamtally.sqlite");
  MUST_FAIL(folder, 1, "kept.sqlite", "backup", "nowhere/kept.sqlite");
  MUST_FAIL(folder, 2, "\"file:x\" can't be the name of a ledger", "backup", "file:x");
  MUST_FAIL(folder, 2, "give another name", "backup", "beamtally.sqlite-journal");
  MUST_FAIL(folder, 2, "give another name", "export", "-o", "beamtally.sqlite-wal");
  MUST_FAIL(folder, 2, "one FILE", "backup");
  MUST_FAIL(folder, 2, "one FILE", "backup", "kept1", "kept2");
  MUST_FAIL(folder, 1, "there is no ledger", "backup", "--ledger", "none.sqlite", "kept.sqlite");

  static const rlim_t limits[] = {2048, 40000, 100000, 300000};
  for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
    run_setting setting = {.folder = folder, .file_limit = limits[i]};
    run_result result = run_with(&setting, (const char *const[]){"backup", "kept.sqlite", NULL});
    cr_expect_eq(result.status, 1, "status %d: %s", result.status, result.err);
    cr_expect_not_null(strstr(result.err, "make room"), "%s", result.err);
    run_free(&result);
    no_backup_in(folder);
  }

  char *locked = path_in(folder, "locked");
  cr_assert_eq(mkdir(locked, 0555), 0);
  run_setting setting = {.folder = folder, .as_nobody = true};
  run_result result =
      run_with(&setting, (const char *const[]){"backup", "locked/kept.sqlite", NULL});
  cr_expect_eq(result.status, 1, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(result.err, "locked/kept.sqlite cannot be written"), "%s", result.err);
  run_free(&result);
  no_backup_in(locked);
  char *said = RUN_DONE(folder, "verify");
  cr_expect_not_null(strstr(said, "whole: 2 entries"), "%s", said);
  free(said);
  free(locked);
  free(ledger);
  folder_end(folder);
}
