/* Removing texts: nothing of them is left in the file, the digests stay true, and what is removed
 * reads as if it had never been. */
#include "helpers.h"
#include "ledger_private.h"
#include "redact_private.h"
#include "sql_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

TestSuite(ledger_redact, .fini = test_cleanup);

#define AT     "2026-01-03T08:05"
#define SECRET "Mr Example 1951"

#define EVERYWHERE                                                                                 \
  (bt_removal) {                                                                                   \
    .everywhere = true                                                                             \
  }

static char *read_file(size_t *n) {
  FILE *file = fopen(test_path("ledger"), "rb");
  cr_assert(file != NULL && fseek(file, 0, SEEK_END) == 0);
  *n = (size_t)ftell(file);
  rewind(file);
  char *bytes = malloc(*n);
  cr_assert(bytes != NULL && fread(bytes, 1, *n, file) == *n && fclose(file) == 0);
  return bytes;
}

static size_t times_in(const char *bytes, size_t n, const char *words) {
  const char *end = bytes + n, *at = bytes;
  size_t length = strlen(words), found = 0;
  for (; (at = memchr(at, words[0], (size_t)(end - at))) != NULL; at++)
    found += (size_t)(end - at) >= length && memcmp(at, words, length) == 0;
  return found;
}

/* How often the words stand in the file. */
static size_t in_file(const char *words) {
  size_t n = 0;
  char *bytes = read_file(&n);
  size_t found = times_in(bytes, n, words);
  free(bytes);
  return found;
}

/* How many records beyond the named one and its history lost it too. */
static int64_t redact(bt_ledger *ledger, int32_t sequence, bt_text_field field, bt_removal how) {
  bt_error error = {0};
  bt_text_holders further;
  cr_ok(bt_ledger_redact_check(ledger, "A", test_time(AT), sequence, field, "lead", "a name",
                               TEST_NOW, how, &further, &error),
        error);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_gt(found.removed_texts, 0);
  cr_expect_neq(access(test_path("ledger-journal"), F_OK), 0, "the journal is gone");
  return further.checks + further.events + further.past;
}

Test(ledger_redact, a_remark_leaves_nothing_in_the_file_and_reads_as_none) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[] = {test_check("A", AT, 1.25, 2), test_check("A", "2026-01-04", 1.5, 3)};
  log[0].text[BT_FIELD_REMARK] = "seen with " SECRET ", lamp warm";
  log[1].text[BT_FIELD_REMARK] = "other";
  (void)test_import(ledger, "log.csv", log, 2);
  cr_assert_eq(in_file(SECRET), 1);
  cr_expect_eq(redact(ledger, 0, BT_FIELD_REMARK, (bt_removal){0}), 0);
  cr_expect_eq(in_file(SECRET), 0);
  cr_expect_eq(in_file("lamp warm"), 0);
  cr_expect_eq(in_file("other"), 1);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert(h.n == 2 && h.text[BT_FIELD_REMARK] != NULL);
  cr_expect_null(h.text[BT_FIELD_REMARK][0]);
  cr_expect_str_eq(h.text[BT_FIELD_REMARK][1], "other");
  bt_history_free(&h);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_REDACTED && !list[0].of_event && list[0].time == test_time(AT) &&
            list[0].has_clock && list[0].sequence == 0);
  cr_expect_str_eq(list[0].changes, "remark");
  bt_corrections_free(list, n);
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect_eq(provenance.corrections, 1);
  bt_text_holders further;
  expect_refused(bt_ledger_redact_check(ledger, "A", test_time(AT), 0, BT_FIELD_REMARK, "lead", "w",
                                        TEST_NOW, (bt_removal){0}, &further, &error),
                 BT_NOTFOUND, "has no remark, or it was removed before");
  bt_ledger_close(ledger);
}

Test(ledger_redact, it_goes_from_every_record_that_had_it) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check check = test_check("A", AT, 1.25, 2), other;
  check.text[BT_FIELD_REMARK] = SECRET;
  (void)test_import(ledger, "log.csv", &check, 1);
  other = check;
  other.reading[BT_READING_ENERGY_MJ] = 2;
  cr_assert_eq(test_import(ledger, "changed.csv", &other, 1).conflicts, 1); /* a text of its own */
  other.reading[BT_READING_ENERGY_MJ] = 3;
  cr_ok(bt_ledger_correct_check(ledger, "A", test_time(AT), 0, &other, "t", "w", TEST_NOW, &error),
        error);
  other.time += BT_DAY; /* still the same remark, on another day */
  cr_ok(bt_ledger_correct_check(ledger, "A", test_time(AT), 1, &other, "t", "w", TEST_NOW, &error),
        error);
  cr_assert_eq(in_file(SECRET), 2);
  cr_expect_eq(redact(ledger, 0, BT_FIELD_REMARK, (bt_removal){0}), 0,
               "two corrections and the row held back are its own history");
  cr_expect_eq(in_file(SECRET), 0);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 3); /* one removal, though two texts went */
  cr_expect(list[2].kind == BT_REDACTED);
  bt_corrections_free(list, n);
  bt_ledger_close(ledger);
}

/* A name was written over first: what stands has another text, or none, and the old one goes too.
 */
Test(ledger_redact, it_goes_from_records_that_were_superseded) {
  static const char *const instead[] = {"clean", NULL};
  for (size_t i = 0; i < 2; i++) {
    bt_ledger *ledger = test_ledger();
    bt_error error = {0};
    bt_check check = test_check("A", AT, 1.25, 2), held;
    check.text[BT_FIELD_REMARK] = SECRET;
    (void)test_import(ledger, "log.csv", &check, 1);
    held = check;
    held.reading[BT_READING_ENERGY_MJ] = 2;
    held.text[BT_FIELD_REMARK] = "held " SECRET;
    cr_assert_eq(test_import(ledger, "changed.csv", &held, 1).conflicts, 1);
    check.text[BT_FIELD_REMARK] = instead[i];
    check.reading[BT_READING_ENERGY_MJ] = 3;
    cr_ok(
        bt_ledger_correct_check(ledger, "A", test_time(AT), 0, &check, "t", "w", TEST_NOW, &error),
        error);
    cr_assert_eq(in_file(SECRET), 2);
    (void)redact(ledger, 1, BT_FIELD_REMARK, (bt_removal){0});
    cr_expect_eq(in_file(SECRET), 0, "%zu", i);
    bt_ledger_close(ledger);
    cr_assert_eq(unlink(test_path("ledger")), 0);
  }
}

Test(ledger_redact, a_note_that_was_written_over_goes_too) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bool known = false;
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = SECRET};
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  event.note = NULL;
  cr_ok(bt_ledger_correct_event(ledger, 1, &event, "t", "w", TEST_NOW, &error), error);
  cr_ok(bt_ledger_redact_event(ledger, 2, "lead", "a name", TEST_NOW, (bt_removal){0}, &further,
                               &error),
        error);
  cr_expect_eq(in_file(SECRET), 0);
  bt_ledger_close(ledger);
}

/* A copy that the correction left behind: held back, or of a file that was read again. */
Test(ledger_redact, copies_at_the_time_that_it_was_moved_from_go_too) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bt_check check = test_check("A", AT, 1.25, 2), held, beside;
  check.text[BT_FIELD_REMARK] = SECRET;
  beside = check;
  beside.line = beside.last_line = 3;
  bt_check log[] = {check, beside};
  (void)test_import(ledger, "log.csv", log, 2);
  held = check;
  held.reading[BT_READING_ENERGY_MJ] = 2;
  bt_check changed[] = {held, held};
  changed[1].text[BT_FIELD_REMARK] = "other";
  cr_assert_eq(test_import(ledger, "changed.csv", changed, 2).conflicts, 2);
  check.time += BT_DAY;
  cr_ok(bt_ledger_correct_check(ledger, "A", test_time(AT), 0, &check, "t", "w", TEST_NOW, &error),
        error);
  cr_assert_eq(in_file(SECRET), 3);
  expect_refused(bt_ledger_redact_check(ledger, "A", check.time, 0, BT_FIELD_REMARK, "lead", "w",
                                        TEST_NOW, (bt_removal){0}, &further, &error),
                 BT_REFUSED, "1 further check (of 1 log); ");
  cr_ok(bt_ledger_redact_check(ledger, "A", check.time, 0, BT_FIELD_REMARK, "lead", "a name",
                               TEST_NOW, EVERYWHERE, &further, &error),
        error);
  cr_expect_eq(in_file(SECRET), 0);
  cr_expect_eq(in_file("other"), 1, "what says something else there stays");
  test_close_whole(ledger);
}

Test(ledger_redact, copies_of_a_note_at_the_time_that_it_was_moved_from_go_too) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bool known = false;
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = SECRET};
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  event.kind = BT_EVENT_OTHER; /* typed in twice, with a copy of the note */
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  event.time -= BT_DAY;
  cr_ok(bt_ledger_correct_event(ledger, 2, &event, "t", "w", TEST_NOW, &error), error);
  cr_assert_eq(in_file(SECRET), 2);
  expect_refused(bt_ledger_redact_event(ledger, 3, "lead", "a name", TEST_NOW, (bt_removal){0},
                                        &further, &error),
                 BT_REFUSED, "1 further event (typed in); ");
  cr_ok(bt_ledger_redact_event(ledger, 3, "lead", "a name", TEST_NOW, EVERYWHERE, &further, &error),
        error);
  cr_expect_eq(in_file(SECRET), 0);
  bt_ledger_close(ledger);
}

Test(ledger_redact, a_text_that_only_a_row_held_back_has_can_go_too) {
  bt_ledger *ledger = test_ledger();
  bt_check check = test_check("A", AT, 1.25, 2);
  (void)test_import(ledger, "log.csv", &check, 1);
  check.text[BT_FIELD_REMARK] = SECRET;
  check.reading[BT_READING_ENERGY_MJ] = 2;
  (void)test_import(ledger, "changed.csv", &check, 1);
  cr_assert_eq(in_file(SECRET), 1);
  cr_expect_eq(redact(ledger, 0, BT_FIELD_REMARK, (bt_removal){0}), 0);
  cr_expect_eq(in_file(SECRET), 0);
  bt_ledger_close(ledger);
}

/* A word that others say as well, in whatever field, stays whole unless it is to go from all. */
Test(ledger_redact, a_text_that_others_have_is_refused_or_goes_from_all) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bool known = false;
  bt_check log[5];
  for (int i = 0; i < 5; i++) {
    log[i] = test_check(i == 4 ? "B" : "A", AT, 1, i + 2);
    log[i].time += i * BT_HOUR;
    log[i].text[i == 3 ? BT_FIELD_REMARK : BT_FIELD_METER] = SECRET;
  }
  (void)test_import(ledger, "log.csv", log, 5);
  log[0].text[BT_FIELD_METER] = NULL;
  log[0].text[BT_FIELD_PATTERN] = SECRET;
  log[0].time += 10 * BT_HOUR;
  (void)test_import(ledger, "other.csv", log, 1);
  cr_ok(bt_ledger_correct_check(ledger, "A", log[2].time, 0, NULL, "t", "w", TEST_NOW, &error),
        error);
  bt_event event = {.unit = "B", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = SECRET};
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  int64_t entries = test_number(ledger, "SELECT count(*) FROM entry");
  expect_refused(
      bt_ledger_redact_check(ledger, "A", test_time(AT), 0, BT_FIELD_METER, "lead", "w", TEST_NOW,
                             (bt_removal){0}, &further, &error),
      BT_REFUSED,
      "the same text stands in 4 further checks and 1 further event and 1 record that no "
      "longer stands or is held back (of 2 logs, and typed in); ");
  cr_expect_not_null(strstr(error.text, "meter=WHAT IT WAS"), "%s", error.text);
  cr_expect_not_null(strstr(error.text, "add --everywhere"), "%s", error.text);
  cr_expect_gt(in_file(SECRET), 0);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries);
  bt_removal ask = {.only_count = true, .everywhere = true};
  cr_ok(bt_ledger_redact_check(ledger, "A", test_time(AT), 0, BT_FIELD_METER, "lead", "w", TEST_NOW,
                               ask, &further, &error),
        error);
  cr_expect(further.checks == 4 && further.events == 1 && further.past == 1 && further.logs == 2 &&
            further.typed);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries);
  cr_expect_eq(redact(ledger, 0, BT_FIELD_METER, EVERYWHERE), 6);
  cr_expect_eq(in_file(SECRET), 0);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries + 1, "one entry");
  static const char *const units[] = {"A", "B", NULL};
  for (size_t i = 0; i < 3; i++) {
    bt_correction *list = NULL;
    bt_provenance provenance;
    size_t n = 0, removals = 0;
    cr_ok(bt_ledger_corrections(ledger, units[i], &list, &n, &error), error);
    cr_ok(bt_ledger_provenance(ledger, units[i], &provenance, &error), error);
    for (size_t k = 0; k < n; k++)
      if (list[k].kind == BT_REDACTED) {
        removals++;
        cr_expect_str_eq(list[k].unit, units[i] == NULL ? "A" : units[i]);
      }
    cr_expect_eq(removals, 1, "%s: it is told of each unit that lost a text",
                 units[i] == NULL ? "all" : units[i]);
    cr_expect_eq(provenance.corrections, (int64_t)n);
    bt_corrections_free(list, n);
  }
  bt_ledger_close(ledger);
}

/* An operator who signs all checks, typed wrong once, and put right before the name was removed. */
Test(ledger_redact, a_word_of_the_history_that_others_say_stays) {
  /* Long enough that no salt or digest has it by chance. */
  static char others[] = "the other operator";
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bt_check log[3];
  for (int i = 0; i < 3; i++) {
    log[i] = test_check("A", AT, 1, i + 2);
    log[i].time += i * BT_DAY;
    log[i].text[BT_FIELD_OPERATOR] = i == 0 ? SECRET : others;
  }
  (void)test_import(ledger, "log.csv", log, 3);
  log[0].text[BT_FIELD_OPERATOR] = others;
  cr_ok(bt_ledger_correct_check(ledger, "A", log[0].time, 0, &log[0], "t", "w", TEST_NOW, &error),
        error);
  expect_refused(bt_ledger_redact_check(ledger, "A", log[0].time, 1, BT_FIELD_OPERATOR, "lead", "w",
                                        TEST_NOW, (bt_removal){0}, &further, &error),
                 BT_REFUSED, "naming that one: --at " AT "#0");
  cr_expect_eq(redact(ledger, 0, BT_FIELD_OPERATOR, (bt_removal){0}), 0);
  cr_expect_eq(in_file(SECRET), 0);
  cr_expect_eq(in_file(others), 2, "of the log, and of the correction");
  bt_ledger_close(ledger);
}

/* Remarks of all lengths, within a page and over many, so that pages split and are joined. */
Test(ledger_redact, texts_of_any_length_leave_nothing) {
  enum { N = 300 };
  static bt_check log[N];
  static char bodies[N][17200];
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  for (int i = 0; i < N; i++) {
    size_t length = (size_t)(i % 7 == 0 ? 40 + i * 57 : 40 + i % 300);
    memset(bodies[i], '.', length);
    (void)snprintf(bodies[i], 16, "secret-%04d-", i % 10000);
    bodies[i][strlen(bodies[i])] = '.';
    (void)snprintf(bodies[i] + length - 12, 16, "-%04d-end", i % 10000);
    log[i] = test_check("A", AT, i, i + 2);
    log[i].time += (i * 7919 % N) * BT_MINUTE;
    log[i].text[BT_FIELD_REMARK] = bodies[i];
  }
  for (int part = 0; part < 4; part++) {
    char name[16];
    (void)snprintf(name, sizeof name, "log %d", part);
    (void)test_import(ledger, name, log + part * N / 4, N / 4);
  }
  for (int i = 0; i < N; i += 3) {
    bt_text_holders further;
    cr_ok(bt_ledger_redact_check(ledger, "A", log[i].time, 0, BT_FIELD_REMARK, "lead", "a name",
                                 TEST_NOW, (bt_removal){0}, &further, &error),
          error);
  }
  size_t size = 0;
  char *bytes = read_file(&size);
  for (int i = 0; i < N; i++) {
    char start[24], end[24];
    (void)snprintf(start, sizeof start, "secret-%04d-", i);
    (void)snprintf(end, sizeof end, "-%04d-end", i);
    size_t wanted = i % 3 == 0 ? 0 : 1;
    cr_expect_eq(times_in(bytes, size, start), wanted, "%s %zu", start,
                 times_in(bytes, size, start));
    cr_expect_eq(times_in(bytes, size, end), wanted, "%s", end);
  }
  free(bytes);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_eq(found.removed_texts, (N + 2) / 3);
  bt_ledger_close(ledger);
}

Test(ledger_redact, a_note_of_an_event) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bool known = false;
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = SECRET};
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  event.kind = BT_EVENT_OTHER; /* the correction keeps the note */
  cr_ok(bt_ledger_correct_event(ledger, 1, &event, "t", "w", TEST_NOW, &error), error);
  expect_refused(
      bt_ledger_redact_event(ledger, 2, " ", "w", TEST_NOW, (bt_removal){0}, &further, &error),
      BT_USAGE, "--by");
  expect_refused(
      bt_ledger_redact_event(ledger, 2, "t", "", TEST_NOW, (bt_removal){0}, &further, &error),
      BT_USAGE, "--why");
  expect_refused(
      bt_ledger_redact_event(ledger, 3, "t", "w", TEST_NOW, (bt_removal){0}, &further, &error),
      BT_NOTFOUND, "numbered 1 to 2");
  cr_ok(bt_ledger_redact_event(ledger, 2, "lead", "a name", TEST_NOW, (bt_removal){0}, &further,
                               &error),
        error);
  expect_refused(
      bt_ledger_redact_event(ledger, 1, "t", "w", TEST_NOW, (bt_removal){0}, &further, &error),
      BT_NOTFOUND, "no note, or it was removed before");
  cr_expect_eq(in_file(SECRET), 0);
  cr_ok(bt_ledger_find_event(ledger, 2, &event, &error), error);
  cr_expect_null(event.note);
  bt_event_free(&event);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert_eq(h.events_n, 1);
  cr_expect_null(h.events[0].note);
  bt_history_free(&h);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_eq(found.removed_texts, 1);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect(list[1].kind == BT_REDACTED && list[1].of_event && list[1].event == 2);
  cr_expect_str_eq(list[1].changes, "note");
  bt_corrections_free(list, n);
  bt_ledger_close(ledger);
}

Test(ledger_redact, what_is_missing_is_refused) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bt_check check = test_check("A", AT, 1, 2);
  (void)test_import(ledger, "log.csv", &check, 1);
  const struct {
    const char *unit, *at, *by, *why, *words;
    int32_t sequence;
    bt_status status;
  } asked[] = {
      {"A", AT, "", "w", "--by", 0, BT_USAGE},
      {"A", AT, "t", " ", "--why", 0, BT_USAGE},
      {"B", AT, "t", "w", "no unit named", 0, BT_NOTFOUND},
      {"A", AT, "t", "w", "there is #0", 4, BT_NOTFOUND},
      {"A", "2026-02-01", "t", "w", "the nearest is at " AT, 0, BT_NOTFOUND},
      {"A", AT, "t", "w", "has no remark", 0, BT_NOTFOUND},
  };
  for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++)
    expect_refused(bt_ledger_redact_check(ledger, asked[i].unit, test_time(asked[i].at),
                                          asked[i].sequence, BT_FIELD_REMARK, asked[i].by,
                                          asked[i].why, TEST_NOW, (bt_removal){0}, &further,
                                          &error),
                   asked[i].status, asked[i].words);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);
  bt_ledger_close(ledger);
}

/* Behind the triggers' back: a text that is put back, blanked without an entry, or left in part. */
Test(ledger_redact, a_removal_can_be_neither_undone_nor_done_unseen) {
  static const char *const edits[] = {
      "UPDATE text SET body = 'x' WHERE number = 1",
      "UPDATE text SET salt = zeroblob(16) WHERE number = 1",
      "UPDATE text SET salt = x'', body = '' WHERE number = 2",
      "UPDATE redaction SET sha256 = zeroblob(32)",
      "DELETE FROM redaction",
  };
  for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
    char name[16];
    (void)snprintf(name, sizeof name, "ledger %zu", i);
    bt_ledger *ledger = test_open(test_path(name), BT_LEDGER_CREATE);
    bt_error error = {0};
    cr_ok(ledger_run(ledger, "PRAGMA synchronous = OFF", &error), error);
    bt_text_holders further;
    bt_check log[] = {test_check("A", AT, 1, 2), test_check("A", "2026-01-04", 1, 3)};
    log[0].text[BT_FIELD_REMARK] = SECRET;
    log[1].text[BT_FIELD_REMARK] = "other";
    (void)test_import(ledger, "log.csv", log, 2);
    cr_ok(bt_ledger_redact_check(ledger, "A", log[0].time, 0, BT_FIELD_REMARK, "t", "w", TEST_NOW,
                                 (bt_removal){0}, &further, &error),
          error);
    bt_verification found;
    cr_ok(bt_ledger_verify(ledger, &found, &error), error);
    cr_expect_neq(sqlite3_exec(ledger->db, edits[i], NULL, NULL, NULL), SQLITE_OK, "%s", edits[i]);
    char *triggers = test_drop_triggers(ledger);
    cr_assert_eq(sqlite3_exec(ledger->db, edits[i], NULL, NULL, NULL), SQLITE_OK, "%s", edits[i]);
    cr_assert_eq(sqlite3_exec(ledger->db, triggers, NULL, NULL, NULL), SQLITE_OK);
    free(triggers);
    cr_expect_eq(bt_ledger_verify(ledger, &found, &error), BT_DAMAGED, "%s", edits[i]);
    bt_ledger_close(ledger);
  }
}

Test(ledger_redact, a_reason_that_repeats_the_text_is_refused_and_nothing_is_removed) {
  static const struct {
    const char *why;
    bool refused;
  } reasons[] = {
      {"a patient's name", false},
      {"it named Mr Example 1951", true},
      {"MR EXAMPLE 1951", true},
      {"remark of example removed", true}, /* the word, whatever its letters */
      {"(Example)", true},
      {"an exampled thing, and counterexample", false}, /* only as a part of another word */
      {"1951", false},
      {"mr", false}, /* no name: no capital, under four letters */
  };
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bt_check check = test_check("A", AT, 1, 2);
  check.text[BT_FIELD_REMARK] = SECRET;
  (void)test_import(ledger, "log", &check, 1);
  for (size_t i = 0; i < sizeof reasons / sizeof reasons[0]; i++)
    if (reasons[i].refused)
      expect_refused(bt_ledger_redact_check(ledger, "A", test_time(AT), 0, BT_FIELD_REMARK, "lead",
                                            reasons[i].why, TEST_NOW, (bt_removal){0}, &further,
                                            &error),
                     BT_REFUSED, "say why without it");
    else
      cr_expect_not(ledger_reason_repeats(reasons[i].why, SECRET), "%s", reasons[i].why);
  cr_expect(ledger_reason_repeats("von \xC3\x96stberg", "\xC3\x96stberg war da"));
  cr_expect_not(ledger_reason_repeats("the lamp was cold", "lamp warm"), "no name");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);
  cr_expect_gt(in_file(SECRET), 0);
  cr_ok(bt_ledger_redact_check(ledger, "A", test_time(AT), 0, BT_FIELD_REMARK, "lead",
                               reasons[0].why, TEST_NOW, (bt_removal){0}, &further, &error),
        error);
  cr_expect_eq(in_file(SECRET), 0);

  bt_event event = {.unit = "A", .time = test_time(AT), .kind = BT_EVENT_OTHER, .note = SECRET};
  bool known;
  cr_ok(bt_ledger_add_event(ledger, &event, false, "lead", TEST_NOW, &known, &error), error);
  expect_refused(bt_ledger_redact_event(ledger, 1, "lead", "Example was named", TEST_NOW,
                                        (bt_removal){0}, &further, &error),
                 BT_REFUSED, "say why without it");
  cr_ok(bt_ledger_redact_event(ledger, 1, "lead", "a name", TEST_NOW, (bt_removal){0}, &further,
                               &error),
        error);
  bt_ledger_close(ledger);
}
