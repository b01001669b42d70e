/* correct, from outside: what is shown before, what stands after, and that nothing happens without
 * a person's word. */
#include "program.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char log_text[] = "date,time,unit,target_mj,energy_mj,remark\n"
                               "2026-04-13,07:30,Room 1,1.61,1.605,\n"
                               "2026-04-14,07:31,Room 1,1.61,16.12,Mrs Invented waits\n"
                               "2026-04-15,07:29,Room 1,1.61,1.598,\n"
                               "2026-04-15,07:29,Room 1,1.61,1.601,\n"
                               "2026-04-15,07:29,Room 2,1.61,1.607,\n";
static const char events_text[] = "date,time,unit,event,note\n"
                                  "2026-04-14,12:00,Room 1,gas_refill,by Mr Invented\n";

static char *folder_with_ledger(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log_text);
  file_put(folder, "events.csv", events_text);
  free(RUN_DONE(folder, "import", "log.csv", "events.csv"));
  return folder;
}

/* The number that event --list prints first. */
static char *event_number(const char *folder) {
  char *said = RUN_DONE(folder, "event", "--list", "--unit", "Room 1");
  char *digits = strchr(said, '\n'); /* the first line says how many */
  cr_assert_not_null(digits, "%s", said);
  digits += 1 + strspn(digits + 1, " ");
  char *number = strndup(digits, strspn(digits, "0123456789"));
  free(said);
  return number;
}

/* The raw value of point i of a unit's energy ratio. */
static double ratio_of(const char *folder, const char *unit, size_t i) {
  json_t *analysis = analysis_of(folder, unit, "energy_ratio", NULL);
  double raw = number_of(json_array_get(json_object_get(analysis, "points"), i), "raw");
  json_decref(analysis);
  return raw;
}

/* The moment the day begins is a time as any other: nothing says that the day had more than one. */
Test(correct, midnight_of_a_day_of_one_check_names_the_nearest) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,time,unit,energy_mj\n2026-04-14,07:31,Room 1,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_BE(folder, FAILED, "has no check at 2026-04-14; the nearest is at 2026-04-14T07:31: give",
          "correct", "--unit", "Room 1", "--at", "2026-04-14T00:00", "energy_mj=1.5", "--by", "KL",
          "--why", "slip", "--yes");
  folder_end(folder);
}

/* By a day alone a check is meant only where it is the day's only one, also of those withdrawn. */
Test(correct, a_day_that_had_two_checks_names_none) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,time,unit,energy_mj,remark\n2026-04-14,07:31,Room 1,1.6,Mrs Invented waits\n"
           "2026-04-14,09:00,Room 1,1.6,new lamp\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_BE(folder, FAILED,
          "has had several checks on 2026-04-14, of which the first that stands is at "
          "2026-04-14T07:31: give the time",
          "correct", "--unit", "Room 1", "--at", "2026-04-14", "remark=", "--by", "KL", "--why",
          "name", "--yes");
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-04-14T07:31", "--withdraw",
                "--by", "KL", "--why", "twice", "--yes"));
  MUST_BE(folder, FAILED, "the first that stands is at 2026-04-14T09:00", "correct", "--unit",
          "Room 1", "--at", "2026-04-14", "--redact", "--by", "KL", "--why", "name", "--yes");
  folder_end(folder);
}

#define BY    "--by", "KL", "--why", "typing error"
#define CHECK "--unit", "Room 1", "--at", "2026-04-14T07:31"

Test(correct, shows_the_effect_and_does_nothing_without_a_word) {
  char *folder = folder_with_ledger();
  char *ledger = path_in(folder, "beamtally.sqlite"), *before = path_in(folder, "before");
  size_t n;
  char *bytes = file_read(ledger, &n);
  file_write(before, bytes, n);
  MUST_BE(folder, USAGE, "energy_mj        16.12 -> 1.612", "correct", CHECK, "energy_mj=1.612",
          BY);
  MUST_BE(folder, USAGE, "give --yes", "correct", CHECK, "energy_mj=1.612", BY);
  MUST_BE(folder, USAGE, "Room 1, 2026-04-14T07:31\n", "correct", "--unit", "Room 1", "--at",
          "2026-04-14", "energy_mj=1.612", BY);
  MUST_BE(folder, USAGE, "give --yes", "correct", CHECK, "--withdraw", BY);
  MUST_BE(folder, USAGE, "Mrs Invented waits", "correct", CHECK, "--redact", BY);
  files_must_be_same(ledger, before);
  free(bytes);
  free(ledger);
  free(before);
  folder_end(folder);
}

Test(correct, a_reading_stands_corrected) {
  char *folder = folder_with_ledger();
  cr_expect_float_eq(ratio_of(folder, "Room 1", 1), 16.12 / 1.61, 1e-12);
  MUST_BE(folder, DONE, "corrected", "correct", "--yes", "--unit", "room 1", "--at",
          "2026-04-14 07:31", "energy_mj=1.612", BY);
  cr_expect_float_eq(ratio_of(folder, "Room 1", 1), 1.612 / 1.61, 1e-12);
  MUST_BE(folder, USAGE, "nothing would change", "correct", "--yes", CHECK, "energy_mj=1.612", BY);
  /* Five rows of the log, and the right one in the place of the wrong one. */
  MUST_BE(folder, DONE,
          ", 6 checks (5 stand, as pages count them; 1 was corrected, withdrawn or read again), 1 "
          "event;",
          "verify");
  /* The old reading comes back in an export of the laser: it is known, not news and no conflict. */
  char *again = RUN_DONE(folder, "import", "log.csv");
  cr_expect_not_null(strstr(again, "nothing added"), "%s", again);
  free(again);
  cr_expect_float_eq(ratio_of(folder, "Room 1", 1), 1.612 / 1.61, 1e-12);
  folder_end(folder);
}

Test(correct, one_of_two_checks_of_a_time_is_named_by_its_number) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, USAGE, "#1", "correct", "--yes", "--unit", "Room 1", "--at", "2026-04-15T07:29",
          "--withdraw", BY);
  MUST_BE(folder, DONE, "withdrawn", "correct", "--yes", "--unit", "Room 1", "--at",
          "2026-04-15T07:29#1", "--withdraw", BY);
  cr_expect_float_eq(ratio_of(folder, "Room 1", 2), 1.598 / 1.61, 1e-12);
  folder_end(folder);
}

Test(correct, time_and_unit_move_a_check) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, DONE, "2026-04-14T07:31 -> 2026-04-16T08:00", "correct", "--yes", CHECK,
          "time=2026-04-16T08:00", "energy_mj=1.59", BY);
  cr_expect_float_eq(ratio_of(folder, "Room 1", 2), 1.59 / 1.61, 1e-12);
  MUST_BE(folder, DONE, "Room 1 -> Room 2", "correct", "--yes", "--unit", "Room 1", "--at",
          "2026-04-16T08:00", "unit=room 2", BY);
  cr_expect_float_eq(ratio_of(folder, "Room 2", 1), 1.59 / 1.61, 1e-12);
  MUST_BE(folder, FAILED, "\"Room 2\"", "correct", "--yes", "--unit", "Room 2", "--at",
          "2026-04-16T08:00", "unit=Rom 2", BY);
  MUST_BE(folder, USAGE, "later than tomorrow", "correct", "--yes", "--unit", "Room 2", "--at",
          "2026-04-16T08:00", "time=2027-04-16", BY);
  folder_end(folder);
}

/* True when the bytes stand anywhere in the ledger's file. */
static bool in_ledger(const char *folder, const char *text) {
  char *path = path_in(folder, "beamtally.sqlite");
  size_t n, length = strlen(text);
  char *bytes = file_read(path, &n);
  bool found = false;
  for (size_t i = 0; i + length <= n && !found; i++)
    found = memcmp(bytes + i, text, length) == 0;
  free(bytes);
  free(path);
  return found;
}

/* A meter that others have too: one check's removal is refused and changes nothing; everywhere, it
 * is asked about with its number, and nothing of it is left in the file or an export. */
Test(correct, a_text_that_other_records_have_goes_from_none_or_from_all) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,time,unit,energy_mj,meter,remark\n2026-04-13,07:30,Room 1,1.6,M 17,\n"
           "2026-04-14,07:31,Room 1,1.6,M 17,of one\n2026-04-15,07:29,Room 1,1.6,M 17,\n");
  file_put(folder, "events.csv",
           "date,time,unit,event,note\n2026-04-14,12:00,Room 1,meter_changed,M 17\n"
           "2026-04-15,12:00,Room 1,service,of one\n");
  free(RUN_DONE(folder, "import", "log.csv", "events.csv"));
  char *before = RUN_DONE(folder, "verify");
  MUST_BE(folder, FAILED, "2 further checks and 1 further event (of 2 logs)", "correct", "--yes",
          CHECK, "--redact", "meter", BY);
  MUST_BE(folder, FAILED, "meter=WHAT IT WAS", "correct", "--yes", CHECK, "--redact", "meter", BY);
  MUST_BE(folder, FAILED, "add --everywhere", "correct", "--yes", "--event", "1", "--redact", BY);
  MUST_BE(folder, USAGE, "IT GOES FROM 2 further checks and 1 further event (of 2 logs) AS WELL",
          "correct", CHECK, "--redact", "meter", "--everywhere", BY);
  MUST_BE(folder, USAGE, "IT GOES FROM 1 further check (of 1 log) AS WELL", "correct", "--event",
          "2", "--redact", "--everywhere", BY);
  MUST_BE(folder, USAGE, "--everywhere is about", "correct", CHECK, "--everywhere", "meter=M 18",
          BY);
  char *after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after, "a question and a refusal change nothing");
  cr_expect(in_ledger(folder, "M 17"));
  MUST_BE(folder, DONE, "removed, from 2 further checks and 1 further event (of 2 logs) too",
          "correct", "--yes", CHECK, "--redact", "meter", "--everywhere", BY);
  MUST_BE(folder, DONE, "removed, from 1 further check (of 1 log) too", "correct", "--yes",
          "--event", "2", "--redact", "note", "--everywhere", BY);
  cr_expect(!in_ledger(folder, "M 17"));
  cr_expect(!in_ledger(folder, "of one"));
  MUST_BE(folder, DONE, "4 texts removed", "verify"); /* the meter of all checks is one */
  free(RUN_DONE(folder, "export", "-o", "all"));
  static const char *const files[] = {"all/checks.csv", "all/events.csv"};
  for (size_t i = 0; i < 2; i++) {
    char *path = path_in(folder, files[i]);
    size_t n;
    char *said = file_read(path, &n);
    cr_expect(strstr(said, "M 17") == NULL && strstr(said, "of one") == NULL, "%s", said);
    free(said);
    free(path);
  }
  free(before);
  free(after);
  folder_end(folder);
}

Test(correct, a_removed_text_is_nowhere_in_the_file) {
  char *folder = folder_with_ledger(), *number = event_number(folder);
  cr_assert(in_ledger(folder, "Mrs Invented") && in_ledger(folder, "Mr Invented"));
  MUST_BE(folder, DONE, "removed", "correct", "--yes", CHECK, "--redact", "--by", "KL", "--why",
          "a name");
  cr_expect(!in_ledger(folder, "Mrs Invented"));
  MUST_BE(folder, FAILED, "no remark", "correct", "--yes", CHECK, "--redact", "remark", BY);
  MUST_BE(folder, FAILED, "no meter", "correct", "--yes", CHECK, "--redact", "meter", BY);
  MUST_BE(folder, USAGE, "did you mean remark", "correct", "--yes", CHECK, "--redact", "remrk", BY);
  MUST_BE(folder, DONE, "removed", "correct", "--yes", "--event", number, "--redact", BY);
  cr_expect(!in_ledger(folder, "Mr Invented"));
  MUST_BE(folder, DONE, "2 texts removed", "verify");
  free(number);
  folder_end(folder);
}

Test(correct, an_event_is_corrected_and_withdrawn) {
  char *folder = folder_with_ledger(), *number = event_number(folder);
  MUST_BE(folder, DONE, "gas_refill -> service", "correct", "--yes", "--event", number,
          "kind=service", "time=2026-04-14T13:00", "note= n/a ", BY);
  cr_expect(!in_ledger(folder, "n/a"), "a note that says nothing is none, as in a log");
  char *said = RUN_DONE(folder, "event", "--list");
  cr_expect_not_null(strstr(said, "2026-04-14T13:00"), "%s", said);
  cr_expect_not_null(strstr(said, "service visit"), "%s", said);
  cr_expect_null(strstr(said, "gas refill"), "%s", said);
  free(said);
  char *newer = event_number(folder);
  MUST_BE(folder, USAGE, "note= and unit=", "correct", "--yes", "--event", newer, "colour=red", BY);
  MUST_BE(folder, USAGE, "no kind of event", "correct", "--yes", "--event", newer, "kind=x", BY);
  MUST_BE(folder, DONE, "withdrawn", "correct", "--yes", "--event", newer, "--withdraw", BY);
  said = RUN_DONE(folder, "event", "--list");
  cr_expect_null(strstr(said, "service visit"), "%s", said);
  free(said);
  free(newer);
  free(number);
  folder_end(folder);
}

/* A person at a terminal is asked, and believed. */
Test(correct, at_a_terminal_it_asks) {
  static const struct {
    const char *typed;
    int status;
    double ratio;
  } answers[] = {{"no\n", FAILED, 16.12 / 1.61}, {"yes\n", DONE, 1.612 / 1.61}};
  char *folder = folder_with_ledger();
  for (size_t i = 0; i < 2; i++) {
    int terminal = posix_openpt(O_RDWR | O_NOCTTY);
    cr_assert(terminal >= 0 && grantpt(terminal) == 0 && unlockpt(terminal) == 0);
    char *other_end = strdup(ptsname(terminal));
    int kept = open(other_end, O_RDWR | O_NOCTTY); /* what is typed stays until it is read */
    size_t length = strlen(answers[i].typed);
    cr_assert_eq(write(terminal, answers[i].typed, length), (ssize_t)length);
    run_setting setting = {.folder = folder, .input = other_end};
    run_result result =
        run_with(&setting, (const char *const[]){"correct", CHECK, "energy_mj=1.612", BY, NULL});
    cr_expect_eq(result.status, answers[i].status, "status %d: %s", result.status, result.err);
    cr_expect_not_null(strstr(result.err, "Go on?"), "%s", result.err);
    cr_expect_float_eq(ratio_of(folder, "Room 1", 1), answers[i].ratio, 1e-12);
    run_free(&result);
    (void)close(kept);
    (void)close(terminal);
    free(other_end);
  }
  folder_end(folder);
}

Test(correct, wrong_usage_is_2) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, USAGE, "needs the record", "correct", "energy_mj=1", BY);
  MUST_BE(folder, USAGE, "needs the record", "correct", CHECK, "--event", "1", "energy_mj=1", BY);
  MUST_BE(folder, USAGE, "needs what is right", "correct", CHECK, BY);
  MUST_BE(folder, USAGE, "needs --at", "correct", "--unit", "Room 1", "energy_mj=1", BY);
  MUST_BE(folder, USAGE, "needs --by", "correct", CHECK, "energy_mj=1", "--why", "x");
  MUST_BE(folder, USAGE, "needs --why", "correct", CHECK, "energy_mj=1", "--by", "x");
  MUST_BE(folder, USAGE, "two things", "correct", CHECK, "--withdraw", "--redact", BY);
  MUST_BE(folder, USAGE, "leave out", "correct", CHECK, "--withdraw", "energy_mj=1", BY);
  MUST_BE(folder, USAGE, "it is a number", "correct", "--event", "first", "--withdraw", BY);
  MUST_BE(folder, USAGE, "with #1 behind it", "correct", "--unit", "Room 1", "--at",
          "2026-04-14T07:31#x", "--withdraw", BY);
  MUST_BE(folder, USAGE, "given twice", "correct", "--yes", CHECK, "energy_mj=1", "energy_mj=2",
          BY);
  MUST_BE(folder, USAGE, "energy_mj", "correct", "--yes", CHECK, "enrgy_mj=1", BY);
  MUST_BE(folder, USAGE, "can be 1.610 or, with thousands, 1610", "correct", "--yes", CHECK,
          "energy_mj=1,610", BY);
  MUST_BE(folder, FAILED, "2026-04-14", "correct", "--yes", "--unit", "Room 1", "--at",
          "2026-04-14T07:30", "energy_mj=1", BY);
  MUST_BE(folder, FAILED, "\"Room 1\"", "correct", "--yes", "--unit", "Rom 1", "--at",
          "2026-04-14T07:31", "energy_mj=1", BY);
  MUST_BE(folder, FAILED, "event", "correct", "--yes", "--event", "99", "--withdraw", BY);
  folder_end(folder);
}
