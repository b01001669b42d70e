/* Conflicts: what is listed, what each way of settling leaves standing, and what later exports of
 * the same log bring after that. */
#include "helpers.h"
#include "sql_private.h"

TestSuite(ledger_conflicts, .fini = test_cleanup);

#define AT "2026-01-03T08:05"

/* log.csv says 1.61 and 2, changed.csv 1.59 (with a remark) and 2, for one time of unit A. */
static bt_check first[2], second[2];

static bt_ledger *ledger_with_conflict(void) {
  bt_ledger *ledger = test_ledger();
  first[0] = test_check("A", AT, 1.61, 2);
  first[1] = second[1] = test_check("A", AT, 2, 3);
  first[0].text[BT_FIELD_PATTERN] = "pass";
  second[0] = first[0];
  second[0].reading[BT_READING_ENERGY_MJ] = 1.59;
  second[0].text[BT_FIELD_REMARK] = "lamp warm";
  second[0].line = second[0].last_line = 7;
  (void)test_import(ledger, "log.csv", first, 2);
  cr_assert_eq(test_import(ledger, "changed.csv", second, 2).conflicts, 2);
  return ledger;
}

/* The only one. */
static bt_conflict *listed(bt_ledger *ledger, const char *unit) {
  bt_conflict *list = NULL;
  size_t n = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_conflicts(ledger, unit, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  return list;
}

static void settle(bt_ledger *ledger, bt_keep keep) {
  bt_error error = {0};
  bt_conflict *conflict = listed(ledger, NULL);
  cr_ok(bt_ledger_settle(ledger, &(const char *){conflict->id}, 1, keep, "lead",
                         "asked the meter's maker", TEST_NOW + BT_DAY, &error),
        error);
  bt_conflicts_free(conflict, 1);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
}

/* Energies that stand at AT, in order of sequence. */
static void expect_standing(bt_ledger *ledger, const double *energies, size_t n) {
  sqlite3_stmt *statement = NULL;
  bt_error error = {0};
  cr_ok(ledger_prepare(ledger,
                       "SELECT energy_mj FROM checks EXCEPT SELECT energy_mj FROM checks JOIN "
                       "superseded USING (unit, time, sequence) ORDER BY 1",
                       &statement, &error),
        error);
  for (size_t i = 0; i < n; i++) {
    cr_assert_eq(sqlite3_step(statement), SQLITE_ROW);
    cr_expect_eq(sqlite3_column_double(statement, 0), energies[i]);
  }
  cr_expect_eq(sqlite3_step(statement), SQLITE_DONE);
  (void)sqlite3_finalize(statement);
}

Test(ledger_conflicts, a_conflict_says_what_differs) {
  bt_ledger *ledger = ledger_with_conflict();
  bt_conflict *conflict = listed(ledger, "a");
  cr_expect(conflict->held_n == 2 && !conflict->settled && conflict->has_clock);
  cr_expect_eq(conflict->time, test_time(AT));
  cr_expect_str_eq(conflict->unit, "A");
  cr_expect_str_eq(conflict->source, "changed.csv");
  cr_expect_str_eq(conflict->stored, "energy_mj 1.61"); /* the pattern is the same, 2 met 2 */
  cr_expect_str_eq(conflict->held, "energy_mj 1.59");
  char id[BT_ID_DIGITS + 1];
  sqlite3_stmt *statement = NULL;
  bt_error error = {0};
  cr_ok(ledger_prepare(ledger, "SELECT lower(hex(substr(digest, 1, 4))) FROM held LIMIT 1",
                       &statement, &error),
        error);
  cr_assert_eq(sqlite3_step(statement), SQLITE_ROW);
  memcpy(id, sqlite3_column_text(statement, 0), sizeof id);
  (void)sqlite3_finalize(statement);
  cr_expect_str_eq(conflict->id, id);
  bt_conflicts_free(conflict, 1);
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect_eq(provenance.conflicts, 2);
  bt_ledger_close(ledger);
}

/* Reports show every decision by this list, one that left rows out above all. */
static void expect_told(bt_ledger *ledger, const char *changes) {
  bt_correction *list = NULL;
  size_t n = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_SETTLED && !list[0].of_event && list[0].has_clock);
  cr_expect_str_eq(list[0].changes, changes);
  cr_expect_str_eq(list[0].by, "lead");
  cr_expect_str_eq(list[0].why, "asked the meter's maker");
  bt_corrections_free(list, n);
}

Test(ledger_conflicts, old_leaves_what_stands) {
  bt_ledger *ledger = ledger_with_conflict();
  bt_error error = {0};
  settle(ledger, BT_KEEP_OLD);
  expect_standing(ledger, (const double[]){1.61, 2}, 2);
  bt_conflict *conflict = listed(ledger, "A");
  cr_expect(conflict->settled && conflict->kept == BT_KEEP_OLD);
  cr_expect_eq(conflict->settled_at, TEST_NOW + BT_DAY);
  cr_expect_str_eq(conflict->by, "lead");
  cr_expect_str_eq(conflict->why, "asked the meter's maker");
  bt_conflicts_free(conflict, 1);
  expect_told(ledger, "what stood stays; of 2 rows of changed.csv, what differs was not taken");
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect(provenance.conflicts == 0 && provenance.corrections == 0 && provenance.checks == 2);
  cr_ok(bt_ledger_provenance(ledger, NULL, &provenance, &error), error);
  cr_expect_eq(provenance.conflicts, 0);
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, new_puts_the_rows_held_back_in_the_place_of_those_that_differ) {
  bt_ledger *ledger = ledger_with_conflict();
  bt_error error = {0};
  settle(ledger, BT_KEEP_NEW);
  expect_standing(ledger, (const double[]){1.59, 2}, 2);
  /* The row is of the log's line; its remark is the very text of the row held back. */
  cr_expect_eq(test_number(ledger,
                           "SELECT count(*) FROM checks AS c JOIN source AS s ON s.number = "
                           "c.source JOIN source AS l ON l.number = 2 JOIN held AS h ON h.remark = "
                           "c.remark WHERE s.kind = 'kept' AND s.name = 'changed.csv' AND s.sha256 "
                           "= l.sha256 AND s.reading = l.reading AND s.entry = 4 AND c.line = 7"),
               1);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_SETTLED && list[0].records == 1 && list[0].sequence == 0);
  cr_expect_str_eq(list[0].changes, "energy_mj 1.61 -> 1.59; remark added");
  bt_corrections_free(list, n);
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect(provenance.conflicts == 0 && provenance.corrections == 1 && provenance.checks == 2 &&
            provenance.sources == 2);
  cr_ok(bt_ledger_provenance(ledger, NULL, &provenance, &error), error);
  cr_expect_eq(provenance.sources, 2);
  bt_conflict *conflict = listed(ledger, NULL); /* as it was when it was settled */
  cr_expect(conflict->settled && conflict->kept == BT_KEEP_NEW);
  cr_expect_str_eq(conflict->stored, "energy_mj 1.61");
  cr_expect_str_eq(conflict->held, "energy_mj 1.59");
  bt_conflicts_free(conflict, 1);
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, both_adds_what_is_lacking) {
  bt_ledger *ledger = ledger_with_conflict();
  settle(ledger, BT_KEEP_BOTH);
  expect_standing(ledger, (const double[]){1.59, 1.61, 2}, 3);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks"), 3);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM superseded"), 0);
  bt_conflict *conflict = listed(ledger, NULL);
  cr_expect(conflict->kept == BT_KEEP_BOTH);
  bt_conflicts_free(conflict, 1);
  expect_told(ledger, "what stood stays; of 2 rows of changed.csv, what differs was added");
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, rows_that_are_fewer_or_more_than_those_in_their_place) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[] = {test_check("A", AT, 1, 2), test_check("A", AT, 2, 3),
                    test_check("A", AT, 3, 4)};
  bt_check one = test_check("A", AT, 9, 2);
  (void)test_import(ledger, "log.csv", log, 3);
  cr_assert_eq(test_import(ledger, "one.csv", &one, 1).conflicts, 1);
  bt_conflict *conflict = listed(ledger, NULL);
  cr_expect_str_eq(conflict->stored, "energy_mj 1; energy_mj 2; energy_mj 3");
  cr_expect_str_eq(conflict->held, "energy_mj 9");
  bt_conflicts_free(conflict, 1);
  settle(ledger, BT_KEEP_NEW);
  expect_standing(ledger, (const double[]){9}, 1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM superseded WHERE kind = 'settled' AND "
                                   "new_sequence = 3 AND new_time = time AND new_unit = unit"),
               3);
  bt_check again;
  expect_refused(bt_ledger_find_check(ledger, "A", test_time(AT), true, 1, &again, &error),
                 BT_REFUSED, AT "#3 stands in its place");
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, a_reading_that_one_side_lacks_is_said) {
  bt_ledger *ledger = test_ledger();
  bt_check check = test_check("A", AT, 1, 2), other = check;
  other.present |= 1U << BT_READING_TEMP_C;
  other.reading[BT_READING_TEMP_C] = 21.5;
  other.state = BT_AS_LEFT;
  (void)test_import(ledger, "log.csv", &check, 1);
  (void)test_import(ledger, "other.csv", &other, 1);
  bt_conflict *conflict = listed(ledger, NULL);
  cr_expect_str_eq(conflict->stored, "no temp_c, no state");
  cr_expect_str_eq(conflict->held, "temp_c 21.5, state as_left");
  bt_conflicts_free(conflict, 1);
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, an_id_is_found_by_its_first_digits_and_settled_once) {
  bt_ledger *ledger = ledger_with_conflict();
  bt_error error = {0};
  bt_conflict *conflict = listed(ledger, NULL);
  char part[3] = {conflict->id[0], conflict->id[1], '\0'};
  expect_refused(
      bt_ledger_settle(ledger, &(const char *){""}, 1, BT_KEEP_OLD, "t", "w", TEST_NOW, &error),
      BT_NOTFOUND, "8 digits");
  expect_refused(
      bt_ledger_settle(ledger, &(const char *){"12g4"}, 1, BT_KEEP_OLD, "t", "w", TEST_NOW, &error),
      BT_NOTFOUND, "is no conflict");
  char wrong[] = {conflict->id[0], conflict->id[1] == 'f' ? '0' : 'f', '\0'};
  expect_refused(
      bt_ledger_settle(ledger, &(const char *){wrong}, 1, BT_KEEP_OLD, "t", "w", TEST_NOW, &error),
      BT_NOTFOUND, "no conflict begins with");
  expect_refused(
      bt_ledger_settle(ledger, &(const char *){part}, 1, BT_KEEP_OLD, "", "w", TEST_NOW, &error),
      BT_USAGE, "--by");
  expect_refused(
      bt_ledger_settle(ledger, &(const char *){part}, 1, BT_KEEP_OLD, "t", " ", TEST_NOW, &error),
      BT_USAGE, "--why");
  cr_ok(bt_ledger_settle(ledger, &(const char *){part}, 1, BT_KEEP_OLD, "t", "w", TEST_NOW, &error),
        error);
  expect_refused(bt_ledger_settle(ledger, &(const char *){conflict->id}, 1, BT_KEEP_NEW, "t", "w",
                                  TEST_NOW, &error),
                 BT_REFUSED, "was settled before (old kept, on 2026-01-01 by t)");
  bt_conflict *none = NULL;
  size_t n = 0;
  expect_refused(bt_ledger_conflicts(ledger, "B", &none, &n, &error), BT_NOTFOUND, "no unit named");
  bt_conflicts_free(conflict, 1);
  bt_ledger_close(ledger);
}

Test(ledger_conflicts, digits_that_two_conflicts_begin_with_are_refused) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[17], other[17]; /* of 17 ids, two begin with the same digit */
  for (int i = 0; i < 17; i++) {
    log[i] = other[i] = test_check("A", AT, 1, i + 2);
    log[i].time += i * BT_DAY;
    other[i].time += i * BT_DAY;
    other[i].reading[BT_READING_ENERGY_MJ] = 2;
  }
  (void)test_import(ledger, "log.csv", log, 17);
  (void)test_import(ledger, "other.csv", other, 17);
  bt_conflict *list = NULL;
  size_t n = 0, ambiguous = 0;
  cr_ok(bt_ledger_conflicts(ledger, NULL, &list, &n, &error), error);
  cr_assert_eq(n, 17);
  for (size_t i = 0; i < n; i++) {
    size_t like = 0;
    char digit[] = {list[i].id[0], '\0'};
    if (i > 0)
      cr_expect(list[i - 1].time < list[i].time);
    for (size_t k = 0; k < n; k++)
      like += list[k].id[0] == digit[0];
    if (like < 2 || ambiguous > 0)
      continue;
    ambiguous++;
    expect_refused(bt_ledger_settle(ledger, &(const char *){digit}, 1, BT_KEEP_OLD, "t", "w",
                                    TEST_NOW, &error),
                   BT_USAGE, "give more digits");
  }
  cr_expect_eq(ambiguous, 1);
  bt_conflicts_free(list, n);
  bt_ledger_close(ledger);
}

/* Each has its entry; one that can't be settled leaves all as they were. */
Test(ledger_conflicts, several_are_settled_together_or_not_at_all) {
  enum { N = 3 };
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check log[N], other[N];
  for (int i = 0; i < N; i++) {
    log[i] = other[i] = test_check("A", AT, 1, i + 2);
    log[i].time += i * BT_DAY;
    other[i].time += i * BT_DAY;
    other[i].reading[BT_READING_ENERGY_MJ] = 2;
  }
  (void)test_import(ledger, "log.csv", log, N);
  (void)test_import(ledger, "other.csv", other, N);
  bt_conflict *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_conflicts(ledger, NULL, &list, &n, &error), error);
  cr_assert_eq(n, N);
  const char *ids[] = {list[0].id, list[1].id, list[2].id, list[0].id};
  expect_refused(bt_ledger_settle(ledger, ids, 4, BT_KEEP_NEW, "t", "w", TEST_NOW, &error),
                 BT_REFUSED, "was settled before");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM settled"), 0);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks"), N);
  int64_t entries = test_number(ledger, "SELECT count(*) FROM entry");
  cr_ok(bt_ledger_settle(ledger, ids, N, BT_KEEP_NEW, "t", "w", TEST_NOW, &error), error);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries + N);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM superseded WHERE kind = 'settled'"), N);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_conflicts_free(list, n);
  bt_ledger_close(ledger);
}
