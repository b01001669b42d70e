/* Further notes of an event that is there: none is lost, none comes twice. */
#include "helpers.h"

#include <stdio.h>

TestSuite(ledger_notes, .fini = test_cleanup);

/* An event of unit A at one moment. */
static bt_event event_of(const char *note) {
  return (bt_event){.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .note = note};
}

/* A log of events, each with one of these notes or NULL. */
static bt_import_counts log_of(bt_ledger *ledger, const char *name, const char *const *notes,
                               size_t n) {
  bt_error error = {0};
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  source.kind = BT_SOURCE_EVENTS;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  cr_assert_not(repeated);
  for (size_t i = 0; i < n; i++) {
    bt_event event = event_of(notes[i]);
    event.line = event.last_line = (int64_t)i + 2;
    cr_ok(bt_import_event(import, &event, &error), error);
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
  return counts;
}
#define LOG_OF(ledger, name, ...)                                                                  \
  log_of((ledger), (name), (const char *const[]){__VA_ARGS__},                                     \
         sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *))

static bool typed_is_known(bt_ledger *ledger, const char *note) {
  bt_error error = {0};
  bt_event event = event_of(note);
  bool known = false;
  cr_ok(bt_ledger_add_event(ledger, &event, true, "lead", TEST_NOW, &known, &error), error);
  return known;
}

static int64_t events(bt_ledger *ledger) {
  return test_number(ledger, "SELECT count(*) FROM event");
}

Test(ledger_notes, a_further_note_is_stored_and_the_same_is_known) {
  bt_ledger *ledger = test_ledger();
  cr_expect_not(typed_is_known(ledger, "mirror"));
  cr_expect(typed_is_known(ledger, "mirror"));
  cr_expect(typed_is_known(ledger, NULL), "a note says more than none");
  cr_expect_not(typed_is_known(ledger, "window"));
  cr_expect(typed_is_known(ledger, "mirror"));
  cr_expect_eq(events(ledger), 2);
  bt_import_counts counts = LOG_OF(ledger, "log", "window", "pump", NULL);
  cr_expect(counts.known == 2 && counts.fresh == 1, "the pump is new");
  counts = LOG_OF(ledger, "longer log", "window", "pump", NULL);
  cr_expect(counts.known == 3 && counts.fresh == 0);
  cr_expect(typed_is_known(ledger, "pump"));
  cr_expect_eq(events(ledger), 3);
  bt_ledger_close(ledger);
}

/* One that had no note gets it from a log, as a further row. */
Test(ledger_notes, a_note_of_an_event_that_had_none_is_stored) {
  bt_ledger *ledger = test_ledger();
  cr_expect_not(typed_is_known(ledger, NULL));
  cr_expect_eq(LOG_OF(ledger, "log", "mirror").fresh, 1);
  cr_expect_eq(LOG_OF(ledger, "other log", "mirror").known, 1);
  cr_expect_eq(events(ledger), 2);
  bt_ledger_close(ledger);
}

/* What a person corrected: a later export brings the note of before, or the mended one. */
Test(ledger_notes, a_corrected_event_is_known_by_either_note) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_event right = event_of("mirror 2");
  cr_expect_eq(LOG_OF(ledger, "log", "miror 2").fresh, 1);
  cr_ok(bt_ledger_correct_event(ledger, 1, &right, "lead", "w", TEST_NOW, &error), error);
  cr_expect_eq(LOG_OF(ledger, "later", "miror 2").known, 1);
  cr_expect_eq(LOG_OF(ledger, "mended", "mirror 2").known, 1);
  cr_expect_eq(LOG_OF(ledger, "two visits", "mirror 2", NULL).fresh, 1,
               "the corrected and the correction are one");
  bt_ledger_close(ledger);
}

Test(ledger_notes, one_of_two_rows_of_a_moment_is_corrected_but_not_into_the_other) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  (void)LOG_OF(ledger, "log", "mirror", "window");
  bt_event right = event_of("mirror");
  cr_expect_eq(bt_ledger_correct_event(ledger, 2, &right, "lead", "w", TEST_NOW, &error),
               BT_REFUSED);
  cr_expect_not_null(strstr(error.text, "withdraw event 2"), "%s", error.text);
  right.note = "large window";
  cr_ok(bt_ledger_correct_event(ledger, 2, &right, "lead", "w", TEST_NOW, &error), error);
  bt_ledger_close(ledger);
}

/* Any logs in any order: after each, all its notes are there, there are no fewer events than it
 * has, and a copy of it adds nothing. */
Test(ledger_notes, nothing_is_lost_and_nothing_comes_twice_in_any_order) {
  static const char *const words[] = {NULL, "a", "b", "c"};
  enum { WORDS = 4, LOGS = 60, MOST = 5 };
  bt_ledger *ledger = test_ledger();
  uint64_t random = 20260101;
  cr_assert_not(typed_is_known(ledger, "a"));
  for (int l = 0; l < LOGS; l++) {
    const char *notes[MOST];
    char name[32], sql[120];
    random = random * 6364136223846793005U + 1442695040888963407U;
    size_t n = 1 + (random >> 33) % MOST;
    for (size_t i = 0; i < n; i++)
      notes[i] = words[(random >> (35 + 3 * i)) % WORDS];
    (void)snprintf(name, sizeof name, "log %d", l);
    bt_import_counts counts = log_of(ledger, name, notes, n);
    cr_assert_eq(counts.known + counts.fresh, (int64_t)n);
    cr_assert_geq(events(ledger), (int64_t)n);
    for (size_t i = 0; i < n; i++) {
      int64_t wanted = 0;
      for (size_t k = 0; k < n; k++)
        wanted += notes[i] != NULL && notes[k] == notes[i];
      (void)snprintf(sql, sizeof sql,
                     "SELECT count(*) FROM event JOIN text ON text.number = note WHERE body = '%s'",
                     notes[i] == NULL ? "" : notes[i]);
      cr_assert_geq(test_number(ledger, sql), wanted, "%s: %s", name, sql);
    }
    (void)snprintf(name, sizeof name, "copy of log %d", l);
    cr_assert_eq(log_of(ledger, name, notes, n).fresh, 0, "%s", name);
  }
  cr_expect_leq(events(ledger), MOST * WORDS, "no more than each word as often as one log has it");
  test_close_whole(ledger);
}
