/* A file that is read again in another way, and what later logs are compared with after people
 * decided (rules M7 to M9 of src/ledger/merge.c). */
#include "helpers.h"

#include <stdlib.h>

TestSuite(ledger_again, .fini = test_cleanup);

static const char *const at = "2026-01-05T08:00";
static const bt_again reason = {"lead", "the map named the wrong column", NULL};

static bt_import *begin(bt_ledger *ledger, const char *name, const char *reading,
                        const bt_again *again) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bool repeated = false;
  bt_error error = {0};
  source.reading = reading;
  cr_ok(bt_import_begin(ledger, &source, again, true, TEST_NOW, &import, &repeated, &error), error);
  cr_assert_not(repeated);
  return import;
}

static bt_import_counts end(bt_import *import, const bt_check *checks, size_t n,
                            const bt_event *events, size_t events_n) {
  bt_error error = {0};
  bt_import_counts counts;
  for (size_t i = 0; i < n; i++)
    cr_ok(bt_import_check(import, &checks[i], &error), error);
  for (size_t i = 0; i < events_n; i++)
    cr_ok(bt_import_event(import, &events[i], &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  return counts;
}

static void whole(bt_ledger *ledger) {
  bt_verification found;
  bt_error error = {0};
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
}

static void expect(bt_import_counts counts, int64_t fresh, int64_t known, int64_t conflicts,
                   int line) {
  cr_expect(counts.fresh == fresh && counts.known == known && counts.conflicts == conflicts,
            "line %d: fresh %lld known %lld conflicts %lld", line, (long long)counts.fresh,
            (long long)counts.known, (long long)counts.conflicts);
}
#define IMPORT(name, fresh, known, conflicts, ...)                                                 \
  do {                                                                                             \
    const double values[] = {__VA_ARGS__};                                                         \
    bt_check rows[sizeof values / sizeof values[0]];                                               \
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)                                  \
      rows[i] = test_check("A", at, values[i], (int64_t)i + 2);                                    \
    expect(test_import(ledger, name, rows, sizeof values / sizeof values[0]), fresh, known,        \
           conflicts, __LINE__);                                                                   \
  } while (0)

static void correct(bt_ledger *ledger, int32_t sequence, const double *energy) {
  bt_error error = {0};
  bt_check replacement = energy == NULL ? (bt_check){0} : test_check("A", at, *energy, 0);
  cr_ok(bt_ledger_correct_check(ledger, "A", test_time(at), sequence,
                                energy == NULL ? NULL : &replacement, "lead", "typing error",
                                TEST_NOW, &error),
        error);
}

static void settle(bt_ledger *ledger, bt_keep keep) {
  bt_conflict *conflicts = NULL;
  size_t n = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_conflicts(ledger, "A", &conflicts, &n, &error), error);
  for (size_t i = 0; i < n; i++)
    if (!conflicts[i].settled)
      cr_ok(bt_ledger_settle(ledger, &(const char *){conflicts[i].id}, 1, keep, "lead", "seen",
                             TEST_NOW, &error),
            error);
  bt_conflicts_free(conflicts, n);
}

/* ---- Read again ------------------------------------------------------------------------------ */

Test(ledger_again, the_new_rows_take_the_place_of_the_old_in_one_entry) {
  bt_ledger *ledger = test_ledger();
  bt_check other = test_check("A", "2026-01-04T08:00", 4, 2);
  bt_check rows[] = {test_check("A", at, 1, 2), test_check("A", "2026-01-06T08:00", 2, 3)};
  bt_event event = {
      .unit = "A", .time = TEST_NOW, .kind = BT_EVENT_MOVED, .line = 4, .last_line = 4};
  (void)test_import(ledger, "other", &other, 1);
  bt_import_counts counts = end(begin(ledger, "log", "map one", NULL), rows, 2, &event, 1);
  expect(counts, 3, 0, 0, __LINE__);
  cr_expect_eq(counts.superseded, 0);

  rows[0].reading[BT_READING_ENERGY_MJ] = 10;
  rows[1].reading[BT_READING_ENERGY_MJ] = 20;
  counts = end(begin(ledger, "log", "map two", &reason), rows, 2, &event, 1);
  expect(counts, 3, 0, 0, __LINE__);
  cr_expect_eq(counts.superseded, 3);
  test_stands(ledger, 4, 10, 20);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM event"), 2);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE kind = 'import' AND by = "
                                   "'lead' AND why = 'the map named the wrong column' AND number "
                                   "IN (SELECT entry FROM superseded WHERE kind = 'read again') "
                                   "AND number IN (SELECT entry FROM superseded_event)"),
               1);
  bt_history h;
  bt_error error = {0};
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert_eq(h.events_n, 1);
  cr_expect_eq(h.events[0].number, 2);
  cr_expect_eq(h.superseded, 0, "nobody corrected or withdrew one");
  bt_history_free(&h);
  whole(ledger);

  /* And back: what counts is how it was read last. */
  bt_source source = test_source("log");
  bt_import *import = NULL;
  bool repeated = false;
  source.reading = "map two";
  cr_ok(bt_import_begin(ledger, &source, &reason, true, TEST_NOW, &import, &repeated, &error),
        error);
  cr_expect(repeated && import == NULL);
  source.reading = "map one";
  cr_expect_eq(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error),
               BT_REFUSED);
  cr_expect_not_null(strstr(error.text, "--again"), "%s", error.text);
  rows[0].reading[BT_READING_ENERGY_MJ] = 1;
  counts = end(begin(ledger, "log", "map one", &reason), rows, 1, NULL, 0);
  cr_expect_eq(counts.superseded, 3);
  test_stands(ledger, 4, 1);
  whole(ledger);
  bt_ledger_close(ledger);
}

Test(ledger_again, who_and_why_are_asked_for_and_an_abandoned_one_leaves_all) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_source source = test_source("log");
  bt_import *import = NULL;
  bool repeated = false;
  const bt_again nobody = {"", "why", NULL}, nothing = {"lead", NULL, NULL};
  bt_check row = test_check("A", at, 1, 2);
  (void)test_import(ledger, "log", &row, 1);
  cr_expect_eq(
      bt_import_begin(ledger, &source, &nobody, true, TEST_NOW, &import, &repeated, &error),
      BT_USAGE);
  cr_expect_eq(
      bt_import_begin(ledger, &source, &nothing, true, TEST_NOW, &import, &repeated, &error),
      BT_USAGE);
  bt_import_abandon(begin(ledger, "log", "another map", &reason));
  test_stands(ledger, 1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM superseded"), 0);
  bt_ledger_close(ledger);
}

Test(ledger_again, what_a_person_corrected_withdrew_or_settled_since_is_left) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check rows[3] = {test_check("A", at, 1, 2), test_check("A", "2026-01-06", 2, 3),
                      test_check("A", "2026-01-07", 3, 4)};
  bt_check twice = test_check("A", "2026-01-07", 30, 2);
  (void)end(begin(ledger, "log", "map one", NULL), rows, 3, NULL, 0);
  (void)test_import(ledger, "contradicts", &twice, 1);
  correct(ledger, 0, &(double){1.5});
  cr_ok(bt_ledger_correct_check(ledger, "A", rows[1].time, 0, NULL, "lead", "not a check", TEST_NOW,
                                &error),
        error);
  settle(ledger, BT_KEEP_NEW);
  test_stands(ledger, 1.5, 30);
  bt_import_counts counts = end(begin(ledger, "log", "map two", &reason), rows, 3, NULL, 0);
  cr_expect_eq(counts.superseded, 0);
  expect(counts, 0, 3, 0, __LINE__);
  test_stands(ledger, 1.5, 30);
  whole(ledger);
  bt_ledger_close(ledger);
}

/* ---- Comparing ------------------------------------------------------------------------------- */

Test(ledger_again, M7_a_later_export_with_the_old_reading_brings_no_conflict) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 2, 0, 0, 1, 2);
  correct(ledger, 0, &(double){1.5});
  correct(ledger, 1, NULL);
  test_stands(ledger, 1.5);
  IMPORT("the same readings", 0, 2, 0, 1, 2);
  IMPORT("one of them", 0, 1, 0, 2);
  IMPORT("one more", 1, 2, 0, 2, 1, 7);
  test_stands(ledger, 1.5, 7);
  bt_history h;
  bt_error error = {0};
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_expect_eq(h.superseded, 2);
  bt_history_free(&h);
  whole(ledger);
  bt_ledger_close(ledger);
}

Test(ledger_again, M7_an_export_that_contradicts_the_old_reading_is_held_back) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  correct(ledger, 0, &(double){1.5});
  IMPORT("another reading", 0, 0, 1, 9);
  test_stands(ledger, 1.5);
  bt_ledger_close(ledger);
}

Test(ledger_again, M7_what_a_person_typed_in_must_be_met) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bool known = false;
  bt_check typed = test_check("A", at, 1, 0);
  cr_ok(bt_ledger_add_check(ledger, &typed, true, "lead", TEST_NOW, &known, &error), error);
  IMPORT("the same", 0, 1, 0, 1);
  IMPORT("another", 0, 0, 1, 2);
  IMPORT("both", 1, 1, 0, 1, 2);
  bt_ledger_close(ledger);
}

Test(ledger_again, M7_rows_kept_by_a_settlement_must_be_met) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  IMPORT("new", 0, 0, 1, 2);
  settle(ledger, BT_KEEP_NEW);
  test_stands(ledger, 2);
  IMPORT("neither", 0, 0, 1, 3);
  IMPORT("the new and more", 1, 1, 0, 2, 3);
  test_stands(ledger, 2, 3);
  whole(ledger);
  bt_ledger_close(ledger);
}

Test(ledger_again, M8_after_a_settlement_a_later_export_may_hold_either) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  IMPORT("new", 0, 0, 1, 2);
  settle(ledger, BT_KEEP_NEW);
  IMPORT("old again", 0, 1, 0, 1);
  IMPORT("new again", 0, 1, 0, 2);
  IMPORT("both", 0, 2, 0, 1, 2);
  test_stands(ledger, 2);
  bt_ledger_close(ledger);
}

Test(ledger_again, M8_rows_settled_against_are_known_and_need_not_be_there) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  IMPORT("new", 0, 0, 1, 2);
  settle(ledger, BT_KEEP_OLD);
  test_stands(ledger, 1);
  IMPORT("new again", 0, 1, 0, 2);
  IMPORT("old again", 0, 1, 0, 1);
  IMPORT("a third", 0, 0, 1, 3);
  IMPORT("what was settled twice over", 0, 0, 2, 2, 2); /* it was held back once */
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM settled"), 1);
  whole(ledger);
  bt_ledger_close(ledger);
}

/* A log that was mended as well agrees with the correction; the one before it does, too. */
Test(ledger_again, M10_a_log_that_was_mended_agrees_with_the_correction) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  correct(ledger, 0, &(double){1.5});
  IMPORT("mended", 0, 1, 0, 1.5);
  IMPORT("mended, and a second check", 1, 1, 0, 1.5, 7);
  IMPORT("neither", 0, 0, 1, 3);
  test_stands(ledger, 1.5, 7);
  whole(ledger);
  bt_ledger_close(ledger);
}

/* A check that was moved here must be met: the same is known, another one is a conflict. */
Test(ledger_again, M7_a_check_that_was_moved_must_be_met_at_its_new_time) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check row = test_check("A", "2026-01-05T07:00", 1, 2), moved = row;
  (void)test_import(ledger, "log", &row, 1);
  moved.time = test_time(at);
  cr_ok(bt_ledger_correct_check(ledger, "A", row.time, 0, &moved, "lead", "was later", TEST_NOW,
                                &error),
        error);
  IMPORT("the mended log", 0, 1, 0, 1);
  IMPORT("another", 0, 0, 1, 2);
  expect(test_import(ledger, "the old log", &row, 1), 0, 1, 0, __LINE__);
  test_stands(ledger, 1);
  whole(ledger);
  bt_ledger_close(ledger);
}

Test(ledger_again, M10_beside_what_it_took_the_place_of_it_is_a_second_check) {
  bt_ledger *ledger = test_ledger();
  IMPORT("log", 1, 0, 0, 1);
  correct(ledger, 0, &(double){1.5});
  correct(ledger, 1, &(double){1.6}); /* the correction itself is corrected */
  test_stands(ledger, 1.6);
  IMPORT("without the corrections", 0, 1, 0, 1);
  IMPORT("with what the correction says", 1, 1, 0, 1, 1.6); /* a second check of that time */
  test_stands(ledger, 1.6, 1.6);
  whole(ledger);
  bt_ledger_close(ledger);
}

Test(ledger_again, M9_rows_that_were_read_again_are_left_out) {
  bt_ledger *ledger = test_ledger();
  bt_check row = test_check("A", at, 1, 2);
  (void)end(begin(ledger, "log", "map one", NULL), &row, 1, NULL, 0);
  row.reading[BT_READING_ENERGY_MJ] = 10;
  (void)end(begin(ledger, "log", "map two", &reason), &row, 1, NULL, 0);
  IMPORT("the new reading", 0, 1, 0, 10);
  IMPORT("the old reading", 0, 0, 1, 1);
  test_stands(ledger, 10);
  bt_ledger_close(ledger);
}

Test(ledger_again, events_that_are_there_are_known_to_logs_as_long_as_they_were_not_read_again) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_event events[] = {
      {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_MOVED, .line = 2, .last_line = 2},
      {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE, .line = 3, .last_line = 3}};
  bt_event replacement = {.unit = "A", .time = TEST_NOW + BT_DAY, .kind = BT_EVENT_MOVED};
  (void)end(begin(ledger, "events", "one", NULL), NULL, 0, events, 2);
  cr_ok(bt_ledger_correct_event(ledger, 1, &replacement, "lead", "the day", TEST_NOW, &error),
        error);
  cr_ok(bt_ledger_correct_event(ledger, 2, NULL, "lead", "never was", TEST_NOW, &error), error);
  expect(end(begin(ledger, "export", "one", NULL), NULL, 0, events, 2), 0, 2, 0, __LINE__);
  bt_event third = replacement;
  third.line = third.last_line = 4;
  expect(end(begin(ledger, "longer export", "one", NULL), NULL, 0, &third, 1), 0, 1, 0, __LINE__);

  /* A person who types a withdrawn one in again wants it to stand; one that stands is known. */
  bool known = true;
  bt_event typed = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  cr_ok(bt_ledger_add_event(ledger, &typed, false, "lead", TEST_NOW, &known, &error), error);
  cr_expect_not(known);
  cr_ok(bt_ledger_add_event(ledger, &replacement, false, "lead", TEST_NOW, &known, &error), error);
  cr_expect(known);
  whole(ledger);
  bt_ledger_close(ledger);
}

/* ---- Typed in -------------------------------------------------------------------------------- */

Test(ledger_again, a_typed_check_is_one_entry_without_a_file) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bool known = true;
  bt_own_reading own[] = {{"b", 2}, {"a", 1}}, turned[] = {{"a", 1}, {"b", 2}};
  bt_check typed = test_check("A", at, 1, 5);
  typed.text[BT_FIELD_REMARK] = "by hand";
  typed.own = own;
  typed.own_n = 2;
  cr_expect_eq(bt_ledger_add_check(ledger, &typed, false, "lead", TEST_NOW, &known, &error),
               BT_REFUSED);
  cr_expect_eq(bt_ledger_add_check(ledger, &typed, true, " ", TEST_NOW, &known, &error), BT_USAGE);
  cr_ok(bt_ledger_add_check(ledger, &typed, true, "lead", TEST_NOW, &known, &error), error);
  cr_expect_not(known);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert(h.n == 1 && h.own_n == 2);
  cr_expect(h.source[0] == 0 && h.line[0] == 0 && h.reading[BT_READING_ENERGY_MJ][0] == 1 &&
            h.own_value[1][0] == 2);
  cr_expect_str_eq(h.text[BT_FIELD_REMARK][0], "by hand");
  bt_history_free(&h);
  cr_expect_eq(
      test_number(ledger, "SELECT count(*) FROM entry WHERE kind = 'check' AND by = 'lead'"), 1);
  bt_provenance p;
  cr_ok(bt_ledger_provenance(ledger, NULL, &p, &error), error);
  cr_expect(p.sources == 0 && p.checks == 1);
  whole(ledger);

  typed.own = turned; /* the same again, whatever the remark and the order of keys */
  typed.text[BT_FIELD_REMARK] = NULL;
  cr_ok(bt_ledger_add_check(ledger, &typed, false, "tech 1", TEST_NOW, &known, &error), error);
  cr_expect(known);
  typed.own_n = 1;
  cr_expect_eq(bt_ledger_add_check(ledger, &typed, false, "lead", TEST_NOW, &known, &error),
               BT_REFUSED);
  cr_expect_not_null(strstr(error.text, "correct"), "%s", error.text);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);

  /* Once it is withdrawn, the time is free. */
  correct(ledger, 0, NULL);
  cr_ok(bt_ledger_add_check(ledger, &typed, false, "lead", TEST_NOW, &known, &error), error);
  cr_expect_not(known);
  test_stands(ledger, 1);
  whole(ledger);
  bt_ledger_close(ledger);
}
