/* The merge rules M1 to M6 (src/ledger/merge.c): an import adds what is new, once. */
#include "helpers.h"

TestSuite(ledger_merge, .fini = test_cleanup);

static void expect(bt_import_counts counts, int64_t fresh, int64_t known, int64_t conflicts) {
  cr_expect_eq(counts.fresh, fresh, "fresh %lld", (long long)counts.fresh);
  cr_expect_eq(counts.known, known, "known %lld", (long long)counts.known);
  cr_expect_eq(counts.conflicts, conflicts, "conflicts %lld", (long long)counts.conflicts);
  cr_expect_eq(counts.rows, fresh + known + conflicts);
}

/* A month of a log: rows [from, to), one a day. */
static size_t rows(bt_check *checks, int from, int to) {
  for (int i = from; i < to; i++) {
    checks[i - from] = test_check("A", "2026-01-01T08:00", 1.0 + 0.01 * i, i + 2);
    checks[i - from].time += i * BT_DAY;
  }
  return (size_t)(to - from);
}

Test(ledger_merge, the_same_file_again_is_repeated_and_a_copy_of_it_known) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[10];
  bt_import *import = NULL;
  bool repeated = false;
  expect(test_import(ledger, "log", log, rows(log, 0, 10)), 10, 0, 0);

  bt_source source = test_source("log");
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error), error);
  cr_assert(repeated);
  cr_assert_null(import);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);

  source.reading = "delimiter semicolon";
  cr_assert_eq(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error),
               BT_REFUSED);
  cr_assert_null(import);

  /* A copy with CRLF is another file; it brings nothing new but is known from now on. */
  expect(test_import(ledger, "log with CRLF", log, 10), 0, 10, 0);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM source"), 2);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 3);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM checks"), 10);
  bt_ledger_close(ledger);
}

Test(ledger_merge, overlap_longer_export_and_reordered_rows) {
  bt_ledger *ledger = test_ledger();
  bt_check log[40];
  bt_check turned[20];
  expect(test_import(ledger, "first", log, rows(log, 0, 20)), 20, 0, 0);
  expect(test_import(ledger, "overlap", log, rows(log, 10, 30)), 10, 10, 0);
  expect(test_import(ledger, "longer", log, rows(log, 0, 40)), 10, 30, 0);
  for (int i = 0; i < 20; i++)
    turned[i] = log[39 - i];
  expect(test_import(ledger, "reordered", turned, 20), 0, 20, 0);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM checks"), 40);
  cr_assert_eq(test_number(ledger, "SELECT max(sequence) FROM checks"), 0);
  bt_ledger_close(ledger);
}

Test(ledger_merge, several_checks_at_one_time_are_compared_as_multisets) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  const char *at = "2026-02-02T08:00";
  bt_check three[] = {test_check("A", at, 1.0, 2), test_check("A", at, 2.0, 3),
                      test_check("A", at, 1.0, 4)};
  bt_check turned[] = {three[1], three[0], three[2], test_check("A", at, 1.0, 5),
                       test_check("A", at, 3.0, 6)};
  expect(test_import(ledger, "three", three, 3), 3, 0, 0); /* M2: equal rows of one file stay */
  expect(test_import(ledger, "two of them", three, 2), 0, 2, 0); /* M4 */
  expect(test_import(ledger, "two more", turned, 5), 2, 3, 0);   /* M3 */
  expect(test_import(ledger, "all of them again", turned, 5), 0, 5, 0);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  const double expected[] = {1.0, 2.0, 1.0, 1.0, 3.0};
  cr_assert_eq(h.n, 5);
  for (int i = 0; i < 5; i++) {
    cr_expect_eq(h.reading[BT_READING_ENERGY_MJ][i], expected[i]);
    cr_expect_eq(h.sequence[i], i);
  }
  cr_expect(h.source[2] == 1 && h.source[3] == 3 && h.line[3] == 5);
  bt_history_free(&h);
  bt_ledger_close(ledger);
}

Test(ledger_merge, remark_and_operator_do_not_count_but_all_else_does) {
  bt_ledger *ledger = test_ledger();
  bt_check check = test_check("A", "2026-02-02T08:00", 1.0, 2);
  check.text[BT_FIELD_REMARK] = "first";
  check.text[BT_FIELD_METER] = "M1";
  expect(test_import(ledger, "one", &check, 1), 1, 0, 0);
  check.text[BT_FIELD_REMARK] = "edited later";
  check.text[BT_FIELD_OPERATOR] = "7";
  expect(test_import(ledger, "remark", &check, 1), 0, 1, 0);

  bt_check other = check;
  other.text[BT_FIELD_METER] = "M2";
  expect(test_import(ledger, "meter", &other, 1), 0, 0, 1);
  other = check;
  other.text[BT_FIELD_METER] = NULL;
  other.text[BT_FIELD_SELFTEST_FAILED] = "M1"; /* the same words in another field */
  expect(test_import(ledger, "field", &other, 1), 0, 0, 1);
  other = check;
  other.state = BT_AS_LEFT;
  expect(test_import(ledger, "state", &other, 1), 0, 0, 1);
  other = check;
  other.refill = BT_REFILL_BEFORE;
  expect(test_import(ledger, "refill", &other, 1), 0, 0, 1);
  other = check;
  other.present |= 1U << BT_READING_TEMP_C; /* zero is a reading, not an absent one */
  expect(test_import(ledger, "zero", &other, 1), 0, 0, 1);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM checks"), 1);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM held"), 5);
  bt_ledger_close(ledger);
}

/* n rows, the first of them of that line and sequence. */
static void told(const bt_told_rows *rows, int64_t n, int64_t line, int32_t sequence) {
  cr_expect_eq(rows->n, n, "%lld rows", (long long)rows->n);
  cr_expect(n == 0 || (rows->line == line && rows->sequence == sequence), "line %lld, sequence %d",
            (long long)rows->line, (int)rows->sequence);
}

Test(ledger_merge, rows_that_say_the_same_as_another_of_their_file_are_told) {
  bt_ledger *ledger = test_ledger();
  const char *at = "2026-02-02T08:00", *later = "2026-02-03T08:00";
  /* Of another laser, time, reading or own reading: no twins. A remark doesn't make another. */
  bt_own_reading force = {.key = "force", .value = 1};
  bt_check rows[] = {test_check("A", at, 1.0, 2),    test_check("B", at, 1.0, 3),
                     test_check("A", later, 1.0, 4), test_check("A", at, 2.0, 5),
                     test_check("A", at, 1.0, 6),    test_check("A", at, 1.0, 7),
                     test_check("B", at, 1.0, 8)};
  rows[4].own = &force;
  rows[4].own_n = 1;
  rows[5].text[BT_FIELD_REMARK] = "again";
  bt_import_counts counts = test_import(ledger, "no twins", rows, 5);
  told(&counts.twins, 0, 0, 0);
  /* What the ledger has met is no twin, the surplus is: line 7, the fourth of that time. */
  counts = test_import(ledger, "twins", rows, 7);
  expect(counts, 2, 5, 0);
  told(&counts.twins, 2, 7, 3);
  counts = test_import(ledger, "known by now", rows, 7);
  expect(counts, 0, 7, 0);
  told(&counts.twins, 0, 0, 0);

  bt_ledger *fresh = test_open(test_path("fresh"), BT_LEDGER_CREATE);
  counts = test_import(fresh, "at once", rows, 7);
  expect(counts, 7, 0, 0);
  told(&counts.twins, 2, 7, 3);
  bt_ledger_close(fresh);
  bt_ledger_close(ledger);
}

/* Rows leave in batches of 20,000: a twin may come in a later one. */
Test(ledger_merge, twins_are_told_across_batches) {
  enum { ROWS = 20001 };
  bt_ledger *ledger = test_ledger();
  bt_check *log = bt_new(ROWS, sizeof *log);
  cr_assert_not_null(log);
  for (int i = 0; i < ROWS; i++) {
    log[i] = test_check("A", "2026-01-01T08:00", 1.0, i + 2);
    log[i].time += i % (ROWS - 1) * 60;
  }
  bt_import_counts counts = test_import(ledger, "log", log, ROWS);
  expect(counts, ROWS, 0, 0);
  told(&counts.twins, 1, ROWS + 1, 1);
  free(log);
  bt_ledger_close(ledger);
}

Test(ledger_merge, remarks_and_operators_of_known_rows_are_told_where_the_ledger_lacks_them) {
  bt_ledger *ledger = test_ledger();
  bt_check rows[] = {
      test_check("A", "2026-02-02T08:00", 1.0, 2), test_check("A", "2026-02-02T08:00", 1.0, 3),
      test_check("A", "2026-02-03T08:00", 1.0, 4), test_check("A", "2026-02-04T08:00", 1.0, 5)};
  rows[0].text[BT_FIELD_REMARK] = "one";
  rows[1].text[BT_FIELD_REMARK] = "two";
  rows[2].text[BT_FIELD_OPERATOR] = "7";
  bt_import_counts counts = test_import(ledger, "log", rows, 4);
  told(&counts.reworded, 0, 0, 0);
  /* The same words at the same time in another order, and a row that says less, are nothing new. */
  rows[0].text[BT_FIELD_REMARK] = "two";
  rows[1].text[BT_FIELD_REMARK] = "one";
  rows[2].text[BT_FIELD_OPERATOR] = NULL;
  counts = test_import(ledger, "turned", rows, 4);
  expect(counts, 0, 4, 0);
  told(&counts.reworded, 0, 0, 0);
  /* Another remark, the operator's code as a remark, and one where there was none. */
  rows[1].text[BT_FIELD_REMARK] = "three";
  rows[2].text[BT_FIELD_REMARK] = "7";
  rows[3].text[BT_FIELD_OPERATOR] = "8";
  counts = test_import(ledger, "other words", rows, 4);
  expect(counts, 0, 4, 0);
  told(&counts.reworded, 3, 3, 0);
  /* Where it is a conflict, nothing is known and nothing told. */
  rows[3].reading[BT_READING_ENERGY_MJ] = 2;
  counts = test_import(ledger, "conflict", &rows[3], 1);
  expect(counts, 0, 0, 1);
  told(&counts.reworded, 0, 0, 0);
  bt_ledger_close(ledger);
}

Test(ledger_merge, a_conflict_is_held_back_once) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_provenance provenance;
  bt_check log[3];
  (void)rows(log, 0, 3);
  expect(test_import(ledger, "log", log, 3), 3, 0, 0);
  log[1].reading[BT_READING_ENERGY_MJ] = 9.0;
  bt_import_counts counts = test_import(ledger, "changed", log, 3);
  expect(counts, 0, 2, 1);
  cr_expect_eq(counts.conflicts_before, 0);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM held WHERE energy_mj = 9.0 AND "
                                   "source = 2 AND line = 3 AND sequence = 0"),
               1);
  /* A longer export that still disagrees is counted, but the row held back is held once. */
  counts = test_import(ledger, "changed again", log, 3);
  expect(counts, 0, 2, 1);
  cr_expect_eq(counts.conflicts_before, 1, "and is known to the list");
  log[1].reading[BT_READING_ENERGY_MJ] = 8.0;
  expect(test_import(ledger, "changed otherwise", log, 3), 0, 2, 1);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM held"), 2);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM checks"), 3);
  cr_ok(bt_ledger_provenance(ledger, "a", &provenance, &error), error);
  cr_assert(provenance.conflicts == 2 && provenance.checks == 3 && provenance.sources == 4);
  bt_ledger_close(ledger);
}

Test(ledger_merge, units_interleaved_and_unsorted_come_out_in_order) {
  enum { N = 3000 };
  static bt_check log[N];
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  for (int i = 0; i < N; i++) {
    log[i] = test_check(i % 3 == 0 ? "A" : i % 3 == 1 ? "B" : "a ", "2026-01-01", 1.0, i + 2);
    log[i].time += (i * 7919LL % N) / 2 * BT_MINUTE;
    log[i].reading[BT_READING_ENERGY_MJ] = i;
  }
  expect(test_import(ledger, "log", log, N), N, 0, 0);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert_eq(h.n, N / 3 * 2);
  for (size_t i = 0; i < h.n; i++) {
    const bt_check *check = &log[h.line[i] - 2];
    cr_assert(h.at[i] == check->time && check->unit[0] != 'B' &&
              h.reading[BT_READING_ENERGY_MJ][i] == check->reading[BT_READING_ENERGY_MJ]);
    if (i > 0)
      cr_assert(h.at[i - 1] < h.at[i] ||
                (h.at[i - 1] == h.at[i] && h.sequence[i - 1] + 1 == h.sequence[i] &&
                 h.line[i - 1] < h.line[i]));
  }
  bt_history_free(&h);
  bt_ledger_close(ledger);
}

Test(ledger_merge, a_typed_event_is_known_to_a_log_and_to_whom_types_it_again) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_GAS_REFILL, .note = "n"};
  bool known = true;
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  cr_assert_not(known);
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  cr_assert(known);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);

  bt_source source = test_source("events");
  source.kind = BT_SOURCE_EVENTS;
  bt_import *import = NULL;
  bt_import_counts counts;
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &known, &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  event.kind = BT_EVENT_SERVICE;
  cr_ok(bt_import_event(import, &event, &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  expect(counts, 2, 1, 0); /* within one log all are kept */

  event.unit = "B";
  cr_assert_eq(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error),
               BT_REFUSED);
  cr_assert_eq(bt_ledger_add_event(ledger, &event, true, " ", TEST_NOW, &known, &error), BT_USAGE);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM event"), 3);
  bt_ledger_close(ledger);
}

/* Imports one log of events, all of one moment, without notes (notes.c has those); a kind is a
 * letter. */
static bt_import_counts import_events(bt_ledger *ledger, const char *name, const char *kinds) {
  bt_source source = test_source(name);
  bt_error error = {0};
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  source.kind = BT_SOURCE_EVENTS;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  for (size_t i = 0; kinds[i] != '\0'; i++) {
    bt_event event = {.unit = "A",
                      .time = test_time("2026-01-05"),
                      .kind = kinds[i] == 's' ? BT_EVENT_SERVICE : BT_EVENT_OTHER,
                      .line = (int64_t)i + 2,
                      .last_line = (int64_t)i + 2};
    cr_ok(bt_import_event(import, &event, &error), error);
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
  return counts;
}

/* Events without a time of day: several of one kind a day are all kept; a longer log adds its
 * surplus, a shorter one nothing. */
Test(ledger_merge, events_are_compared_as_multisets) {
  bt_ledger *ledger = test_ledger();
  bt_import_counts first = import_events(ledger, "one", "oso");
  cr_expect(first.fresh == 3 && first.known == 0);
  bt_import_counts longer = import_events(ledger, "two", "ooosso");
  cr_expect(longer.fresh == 3 && longer.known == 3, "%d new", (int)longer.fresh);
  bt_import_counts shorter = import_events(ledger, "three", "so");
  cr_expect(shorter.fresh == 0 && shorter.known == 2);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM event"), 6);
  bt_ledger_close(ledger);
}
