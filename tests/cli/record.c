/* record, from outside: a check typed in stands beside those of the logs. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char log_text[] = "date,time,unit,target_mj,energy_mj\n"
                               "2026-04-13,07:30,Room 1,1.61,1.605\n";
static const char own_settings[] = "[unit 1]\nname = Room 1\n"
                                   "[characteristic 1]\nkey = door_force\ntitle = Door force\n"
                                   "unit = N\ndecimals = 1\n";

static char *folder_with_ledger(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log_text);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

#define TYPED "record", "--unit", "Room 1", "--at", "2026-04-14T07:31", "--by", "KL"

Test(record, what_is_typed_is_stored_once) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, DONE, "Room 1, 2026-04-14T07:31: target_mj 1.61, energy_mj 1.612 stored", TYPED,
          "energy_mj=1.612", "target_mj=1.61");
  MUST_BE(folder, DONE, "is in the ledger already; nothing added", TYPED, "energy_mj=1.612",
          "target_mj=1.61");
  MUST_BE(folder, FAILED, "correct", TYPED, "energy_mj=1.7", "target_mj=1.61");
  json_t *analysis = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  const json_t *points = json_object_get(analysis, "points");
  cr_assert_eq(json_array_size(points), 2);
  cr_expect_float_eq(number_of(json_array_get(points, 1), "raw"), 1.612 / 1.61, 1e-12);
  json_decref(analysis);
  MUST_BE(folder, DONE, "whole: ", "verify");
  folder_end(folder);
}

/* The log that comes later with the same check brings nothing new. */
Test(record, a_log_with_the_same_check_knows_it) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, DONE, "stored", TYPED, "energy_mj=1.612", "target_mj=1.61", "remark=by hand");
  file_put(folder, "later.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-04-14,07:31,Room 1,1.61,1.612\n");
  MUST_BE(folder, DONE, " 0 new, 1 already known", "import", "later.csv");
  folder_end(folder);
}

/* Readings that are known make no words known. */
Test(record, other_words_of_a_known_check_are_no_old_ones) {
  char *folder = folder_with_ledger();
  MUST_BE(folder, DONE, "stored", TYPED, "energy_mj=1.612", "remark=by hand");
  MUST_BE(folder, DONE, "nothing added", TYPED, "energy_mj=1.612", "remark=by hand");
  MUST_BE(folder, DONE, "nothing added", TYPED, "energy_mj=1.612");
  MUST_BE(folder, FAILED, "and another remark; nothing was stored", TYPED, "energy_mj=1.612",
          "remark=mirror dull");
  MUST_BE(folder, FAILED, "and no operator", TYPED, "energy_mj=1.612", "operator=K2");
  MUST_BE(folder, FAILED, "the unit's name can't be read", "record", "--new-unit", "--unit", "\xFF",
          "--at", "2026-04-14", "--by", "KL", "hv_kv=25");
  folder_end(folder);
}

/* What two people note of one visit is kept, listed, exported and read back; the same again is
 * known. */
Test(record, a_further_note_of_an_event_is_kept) {
  char *folder = folder_with_ledger();
#define VISIT "event", "--unit", "Room 1", "--at", "2026-04-14T12:00", "--by", "KL", "service"
  MUST_BE(folder, DONE, "service visit noted", VISIT, "--note", "mirror 2 replaced");
  MUST_BE(folder, DONE, "nothing added", VISIT, "--note", "mirror 2 replaced");
  MUST_BE(folder, DONE, "nothing added", VISIT);
  MUST_BE(folder, DONE, "noted as a further note", VISIT, "--note", "window cleaned");
  file_put(folder, "events.csv",
           "date,time,unit,event,note\n2026-04-14,12:00,Room 1,service,pump checked\n"
           "2026-04-14,12:00,Room 1,service,window cleaned\n");
  MUST_BE(folder, DONE, "1 new, 1 already known", "import", "events.csv");
  static const char *const notes[] = {"mirror 2 replaced", "window cleaned", "pump checked"};
  free(RUN_DONE(folder, "export", "-o", "all"));
  free(RUN_DONE(folder, "import", "--ledger", "other.sqlite", "all/checks.csv", "all/events.csv"));
  MUST_BE(folder, DONE, "0 new, 3 already known", "import", "all/events.csv");
  char *one = RUN_DONE(folder, "event", "--list"),
       *other = RUN_DONE(folder, "event", "--list", "--ledger", "other.sqlite");
  cr_expect_str_eq(one, other);
  for (size_t i = 0; i < 3; i++)
    cr_expect_not_null(strstr(one, notes[i]), "%s: %s", notes[i], one);
  free(one);
  free(other);
  MUST_BE(folder, DONE, "whole: ", "verify");
  folder_end(folder);
}

/* A laser whose events came before its first check: they are told, and no case is made of them. */
Test(record, events_without_a_check_are_told) {
  static const char events[] = "date,time,unit,event,note\n"
                               "2026-09-02,08:00,Room 7,gas_refill,\n"
                               "2026-09-09,08:00,Room 7,gas_refill,\n"
                               "2026-09-12,08:00,Room 7,service,window changed\n";
  char *folder = folder_begin(), *path = path_in(folder, "events.csv");
  file_write(path, events, strlen(events));
  free(RUN_DONE(folder, "import", "events.csv"));
  char *said = RUN_DONE(folder, "status");
  cr_expect_not_null(
      strstr(said, "Events       3 are noted, the last: service visit on 12 Sep 2026"), "%s", said);
  free(said);
  free(RUN_DONE(folder, "report", "--month", "2026-09"));
  char *pdf = TOOL(folder, "pdftotext", "-layout", "reports/room-7-2026-09.pdf", "-");
  cr_expect_not_null(strstr(pdf, "2 gas refills: 2, 9 Sep"), "%s", pdf);
  cr_expect_not_null(strstr(pdf, "2 gas refills in this record"), "%s", pdf);
  free(pdf);
  run_result refused =
      RUN(folder, "evidence", "--unit", "Room 7", "--from", "2026-09-01", "-o", "case");
  cr_expect_eq(refused.status, 1, "status %d", refused.status);
  cr_expect_not_null(strstr(refused.err, "holds no check up to 2026-09-12"), "%s", refused.err);
  run_free(&refused);
  free(path);
  folder_end(folder);
}

Test(record, a_new_unit_needs_the_word) {
  char *folder = folder_begin();
  MUST_BE(folder, FAILED, "`beamtally import FILE` makes one", "record", "--unit", "Room 9", "--at",
          "2026-04-14", "--by", "KL", "hv_kv=25");
  MUST_BE(folder, DONE, "stored", "record", "--new-unit", "--unit", "Room 9", "--at", "2026-04-14",
          "--by", "KL", "hv_kv=25");
  MUST_BE(folder, FAILED, "\"Room 9\"", "record", "--unit", "Rom 9", "--at", "2026-04-15", "--by",
          "KL", "hv_kv=25");
  folder_end(folder);
}

Test(record, a_characteristic_of_the_clinics_own_is_taken) {
  char *folder = folder_with_ledger();
  file_put(folder, "clinic.ini", own_settings);
  MUST_BE(folder, USAGE, "door_force", TYPED, "door_force=31.5");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  MUST_BE(folder, DONE, "door_force 31.5 stored", TYPED, "door_force=31.5");
  json_t *analysis = analysis_of(folder, "Room 1", "door_force", NULL);
  const json_t *points = json_object_get(analysis, "points");
  cr_assert_eq(json_array_size(points), 1);
  cr_expect_float_eq(number_of(json_array_get(points, 0), "raw"), 31.5, 0);
  json_decref(analysis);
  folder_end(folder);
}

Test(record, wrong_usage_is_2_and_stores_nothing) {
  char *folder = folder_with_ledger();
  char *before = RUN_DONE(folder, "verify");
  MUST_BE(folder, USAGE, "needs what was read", TYPED);
  MUST_BE(folder, USAGE, "needs --unit", "record", "--at", "2026-04-14", "--by", "KL", "hv_kv=25");
  MUST_BE(folder, USAGE, "needs --at", "record", "--unit", "Room 1", "--by", "KL", "hv_kv=25");
  MUST_BE(folder, USAGE, "needs --by", "record", "--unit", "Room 1", "--at", "2026-04-14",
          "hv_kv=25");
  MUST_BE(folder, USAGE, "later than tomorrow", "record", "--unit", "Room 1", "--at", "2026-10-05",
          "--by", "KL", "hv_kv=25");
  MUST_BE(folder, USAGE, "before 1985", "record", "--unit", "Room 1", "--at", "1926-10-05", "--by",
          "KL", "hv_kv=25");
  MUST_BE(folder, USAGE, "hv_kv", TYPED, "hv_kw=25");
  MUST_BE(folder, USAGE, "25,100 can be 25.100 or, with thousands, 25100", TYPED, "hv_kv=25,100");
  MUST_BE(folder, USAGE, "below zero", TYPED, "energy_mj=-1");
  MUST_BE(folder, USAGE, "given twice", TYPED, "hv_kv=25", "hv_kv=26");
  MUST_BE(folder, USAGE, "hv_kv", TYPED, "hv_kv");
  MUST_BE(folder, USAGE, "needs what was read", TYPED, "hv_kv=");
  MUST_BE(folder, USAGE, "needs what was read", TYPED, "operator=KL", "meter=M1", "state=as_found");
  char *after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after);
  free(before);
  free(after);
  folder_end(folder);
}

/* A failed check is called that at once; a good one, and one that was known, is not. */
Test(record, a_check_outside_tolerance_is_said_at_once) {
  char *folder = folder_with_ledger();
  file_put(folder, "clinic.ini",
           "[clinic]\ntell = the duty physicist\n[unit 1]\nname = Room 1\n[tolerance 1]\n"
           "unit = Room 1\ncharacteristic = energy_ratio\nlow = 0.97\nhigh = 1.03\n"
           "source = a policy\nfrom = 2026-01-01\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  static const char failed[] = "Pulse-energy ratio 0.9317 is outside tolerance";
  for (int known = 0; known < 2; known++) {
    run_result result = RUN(folder, TYPED, "energy_mj=1.5", "target_mj=1.61");
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect((strstr(result.err, failed) != NULL) == (known == 0), "%s", result.err);
    cr_expect((strstr(result.err, "Tell the duty physicist") != NULL) == (known == 0), "%s",
              result.err);
    run_free(&result);
  }
  run_result good = RUN(folder, "record", "--unit", "Room 1", "--at", "2026-04-15T07:31", "--by",
                        "KL", "energy_mj=1.6", "target_mj=1.61");
  cr_expect_str_eq(good.err, "");
  run_free(&good);
  folder_end(folder);
}

/* A failed check that its retest mended stays in sight on that day's screen. */
Test(record, a_retest_hides_no_failed_check) {
  char *folder = folder_with_ledger();
  file_put(folder, "clinic.ini",
           "[unit 1]\nname = Room 1\n[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\n"
           "low = 0.97\nhigh = 1.03\nsource = a policy\nfrom = 2026-01-01\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  static const char *const typed[][2] = {{"2026-04-14T07:31", "energy_mj=1.5"},
                                         {"2026-04-14T07:50", "energy_mj=1.612"}};
  for (size_t i = 0; i < 2; i++)
    free(RUN_DONE(folder, "record", "--unit", "Room 1", "--at", typed[i][0], "--by", "KL",
                  typed[i][1], "target_mj=1.61"));
  char *screen = RUN_DONE(folder, "status", "--until", "2026-04-14");
  cr_expect_not_null(strstr(screen, "last 1.0012 on 14 Apr 2026, a retest; tolerance: 1 of 3"),
                     "%s", screen);
  cr_expect_not_null(strstr(screen, "07:31 on 14 Apr 2026"), "%s", screen);
  cr_expect_not_null(strstr(screen, "(0.9317), retest at 07:50 inside tolerance"), "%s", screen);
  free(screen);
  free(RUN_DONE(folder, "record", "--unit", "Room 1", "--at", "2026-04-15T07:30", "--by", "KL",
                "energy_mj=1.612", "target_mj=1.61"));
  screen = RUN_DONE(folder, "status", "--until", "2026-04-15");
  cr_expect_not_null(strstr(screen, "last 1.0012 on 15 Apr 2026; tolerance: 1 of 4"), "%s", screen);
  free(screen);
  folder_end(folder);
}

/* A person leaves the zero of an hour out; what is no time all the same is refused. */
Test(record, an_hour_of_one_digit_is_taken) {
  char *folder = folder_begin();
  free(RUN_DONE(folder, "record", "--new-unit", "--unit", "Room 1", "--at", "2026-04-14T7:31",
                "--by", "KL", "energy_mj=1.6"));
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-04-14T7:31#0",
                "time=2026-04-14T9:31", "--by", "KL", "--why", "clock", "--yes"));
  MUST_BE(folder, DONE, "stored", "record", "--unit", "Room 1", "--at", "2026-04-14 7:31:09",
          "--by", "KL", "energy_mj=1.6");
  MUST_BE(folder, FAILED, "09:31", "record", "--unit", "Room 1", "--at", "2026-04-14T09:31", "--by",
          "KL", "energy_mj=1.7");
  static const char *const wrong[] = {"2026-04-14T7:3", "2026-04-14T7", "2026-04-14T:31",
                                      "2026-04-14T-:31", "2026-4-14T7:31"};
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
    MUST_BE(folder, USAGE, "a time is written like", "record", "--unit", "Room 1", "--at", wrong[i],
            "--by", "KL", "energy_mj=1.6");
  folder_end(folder);
}
