/* A file that is read again beside other logs that hold the same rows, with conflicts that are open
 * and with texts that were removed (rules M9, M11, M12 of src/ledger/merge.c). */
#include "helpers.h"
#include "sql_private.h"

#include <stdlib.h>

TestSuite(ledger_again_others, .fini = test_cleanup);

#define AT "2026-01-05T08:00"
static const bt_again reason = {"lead", "another map", NULL};

/* Imports rows as `reading` has them; again only where said. */
static bt_import_counts read_as(bt_ledger *ledger, const char *name, const char *reading,
                                const bt_again *again, const bt_check *checks, size_t n) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bt_import_counts counts = {0};
  bool repeated = false;
  bt_error error = {0};
  source.reading = reading;
  cr_ok(bt_import_begin(ledger, &source, again, true, TEST_NOW, &import, &repeated, &error), error);
  counts.repeated = repeated;
  if (repeated)
    return counts;
  for (size_t i = 0; i < n; i++)
    cr_ok(bt_import_check(import, &checks[i], &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  return counts;
}

static size_t open_conflicts(bt_ledger *ledger, size_t *replaced) {
  bt_conflict *conflicts = NULL;
  size_t n = 0, open = 0;
  bt_error error = {0};
  *replaced = 0;
  cr_ok(bt_ledger_conflicts(ledger, NULL, &conflicts, &n, &error), error);
  for (size_t i = 0; i < n; i++) {
    open += !conflicts[i].settled;
    *replaced += conflicts[i].replaced;
    if (conflicts[i].replaced) {
      cr_expect_str_eq(conflicts[i].by, "lead");
      cr_expect_eq(bt_ledger_settle(ledger, &(const char *){conflicts[i].id}, 1, BT_KEEP_NEW,
                                    "lead", "why", TEST_NOW, &error),
                   BT_REFUSED);
      cr_expect_not_null(strstr(error.text, "read again in another way"), "%s", error.text);
    }
  }
  bt_conflicts_free(conflicts, n);
  return open;
}

Test(ledger_again_others, conflicts_of_the_earlier_reading_are_closed) {
  bt_ledger *ledger = test_ledger();
  bt_check first = test_check("A", AT, 1.6, 2), wrong = test_check("A", AT, 1600, 2);
  size_t replaced = 0;
  (void)read_as(ledger, "one", "map", NULL, &first, 1);
  cr_expect_eq(read_as(ledger, "two", "map", NULL, &wrong, 1).conflicts, 1);
  cr_expect_eq(open_conflicts(ledger, &replaced), 1);

  /* The right map: its row agrees, and nothing is left to be settled. */
  bt_import_counts counts = read_as(ledger, "two", "right map", &reason, &first, 1);
  cr_expect_eq(counts.closed, 1);
  cr_expect_eq(counts.known, 1);
  cr_expect_eq(open_conflicts(ledger, &replaced), 0);
  cr_expect_eq(replaced, 1);

  /* The wrong reading of another log is not known by what was replaced. */
  counts = read_as(ledger, "three", "map", NULL, &wrong, 1);
  cr_expect_eq(counts.conflicts, 1);
  test_stands(ledger, 1.6);
  bt_provenance provenance;
  bt_error error = {0};
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect_eq(provenance.conflicts, 1);
  bt_ledger_close(ledger);
}

Test(ledger_again_others, what_another_log_attests_comes_back_with_it) {
  bt_ledger *ledger = test_ledger();
  bt_check both[] = {test_check("A", AT, 1.6, 2), test_check("A", "2026-01-06T08:00", 1.7, 3)};
  bt_error error = {0};
  (void)read_as(ledger, "one", "map", NULL, both, 2);
  cr_expect_eq(read_as(ledger, "two", "map", NULL, both, 2).known, 2);
  cr_expect(read_as(ledger, "two", "map", NULL, both, 2).repeated);

  /* The new map of the first file refuses the second row, say. */
  cr_expect_eq(read_as(ledger, "one", "other map", &reason, both, 1).superseded, 2);
  test_stands(ledger, 1.6);
  char **names = NULL;
  size_t n = 0;
  bt_source source = test_source("one");
  cr_ok(bt_ledger_attesting(ledger, &source, &names, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect_str_eq(names[0], "two");
  bt_names_free(names, n);

  bt_import_counts counts = read_as(ledger, "two", "map", NULL, both, 2);
  cr_expect_not(counts.repeated);
  cr_expect_eq(counts.known, 1);
  cr_expect_eq(counts.fresh, 1);
  test_stands(ledger, 1.6, 1.7);
  cr_expect(read_as(ledger, "two", "map", NULL, both, 2).repeated, "once is enough");
  bt_ledger_close(ledger);
}

static bt_check with_voltage(const char *at, double energy, int64_t line) {
  bt_check check = test_check("A", at, energy, line);
  check.present |= 1U << BT_READING_HV_KV;
  check.reading[BT_READING_HV_KV] = 28.5;
  return check;
}

Test(ledger_again_others, columns_that_a_new_map_adds_are_no_conflict) {
  bt_ledger *ledger = test_ledger();
  const char *const later = "2026-01-06T08:00";
  bt_check narrow[] = {test_check("A", AT, 1.6, 2), test_check("A", later, 1.7, 3)};
  bt_check wide[] = {with_voltage(AT, 1.6, 2), with_voltage(later, 1.7, 3)};
  (void)read_as(ledger, "one", "map", NULL, narrow, 2);
  (void)read_as(ledger, "two", "map", NULL, narrow, 2);
  /* The second file first: rows of the first file stand. */
  bt_import_counts counts = read_as(ledger, "two", "wide map", &reason, wide, 2);
  cr_expect_eq(counts.conflicts, 0);
  cr_expect_eq(counts.fresh, 2);
  cr_expect_eq(counts.superseded, 2);
  test_stands(ledger, 1.6, 1.7);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM superseded WHERE kind = 'read again' AND "
                                   "new_sequence IS NOT NULL"),
               2);
  counts = read_as(ledger, "one", "wide map", &reason, wide, 2);
  cr_expect_eq(counts.known, 2);
  cr_expect_eq(counts.conflicts, 0);

  /* And back to the narrow one: it contradicts nothing. */
  counts = read_as(ledger, "two", "map", &reason, narrow, 2);
  cr_expect_eq(counts.conflicts, 0);
  test_stands(ledger, 1.6, 1.7);

  /* Another number is a conflict, however many columns there are; a new file that holds more is
   * one as well. */
  wide[0].reading[BT_READING_ENERGY_MJ] = 1.65;
  cr_expect_eq(read_as(ledger, "one", "third map", &reason, wide, 2).conflicts, 1);
  bt_ledger_close(ledger);
}

/* What a person decided gives way to no wider row. */
Test(ledger_again_others, a_corrected_check_is_not_widened_over) {
  bt_ledger *ledger = test_ledger();
  bt_check narrow = test_check("A", AT, 1.6, 2), right = test_check("A", AT, 1.61, 0);
  bt_check wide = with_voltage(AT, 1.6, 2);
  bt_error error = {0};
  (void)read_as(ledger, "one", "map", NULL, &narrow, 1);
  (void)read_as(ledger, "two", "map", NULL, &narrow, 1);
  cr_ok(bt_ledger_correct_check(ledger, "A", test_time(AT), 0, &right, "lead", "typing error",
                                TEST_NOW, &error),
        error);
  cr_expect_eq(read_as(ledger, "two", "wide map", &reason, &wide, 1).conflicts, 1);
  test_stands(ledger, 1.61);
  bt_ledger_close(ledger);
}

static int64_t texts(bt_ledger *ledger) {
  return test_number(ledger, "SELECT count(*) FROM text WHERE body LIKE '%Example%'");
}

Test(ledger_again_others, a_removed_text_comes_back_by_no_log) {
  bt_ledger *ledger = test_ledger();
  bt_check check = test_check("A", AT, 1.6, 2), conflict = test_check("A", AT, 1.7, 2);
  bt_check other = test_check("A", "2026-01-06T08:00", 1.6, 3);
  bt_error error = {0};
  bt_text_holders further;
  check.text[BT_FIELD_REMARK] = conflict.text[BT_FIELD_REMARK] = "Mr Example";
  check.text[BT_FIELD_PATTERN] = conflict.text[BT_FIELD_PATTERN] = "Example's";
  other.text[BT_FIELD_REMARK] = "an Example of another day";
  (void)read_as(ledger, "one", "map", NULL, &check, 1);
  for (int f = BT_FIELD_PATTERN; f <= BT_FIELD_REMARK; f += BT_FIELD_REMARK - BT_FIELD_PATTERN)
    cr_ok(bt_ledger_redact_check(ledger, "A", test_time(AT), 0, (bt_text_field)f, "lead", "a name",
                                 TEST_NOW, (bt_removal){0}, &further, &error),
          error);
  cr_expect_eq(texts(ledger), 0);

  /* An overlapping export: known, though its pattern can't be compared any more. */
  bt_check overlap[] = {check, other};
  bt_import_counts counts = read_as(ledger, "two", "map", NULL, overlap, 2);
  cr_expect_eq(counts.known, 1);
  cr_expect_eq(counts.fresh, 1);
  cr_expect_eq(counts.removed, 2, "nobody can tell whether the known row says the same again");
  cr_expect_eq(texts(ledger), 1, "that of the other day stays");

  counts = read_as(ledger, "one", "other map", &reason, &check, 1);
  cr_expect_eq(counts.fresh, 1);
  cr_expect_eq(counts.removed, 2);
  cr_expect_eq(texts(ledger), 1);

  counts = read_as(ledger, "three", "map", NULL, &conflict, 1);
  cr_expect_eq(counts.conflicts, 1);
  cr_expect_eq(counts.removed, 2);
  cr_expect_eq(texts(ledger), 1);
  bt_ledger_close(ledger);
}

Test(ledger_again_others, a_removed_note_comes_back_by_no_log) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_text_holders further;
  bt_event event = {.unit = "A",
                    .time = TEST_NOW,
                    .kind = BT_EVENT_SERVICE,
                    .note = "Mr Example was here",
                    .line = 2,
                    .last_line = 2};
  for (int again = 0; again < 2; again++) {
    bt_source source = test_source("events");
    bt_import *import = NULL;
    bt_import_counts counts;
    bool repeated = false;
    source.kind = BT_SOURCE_EVENTS;
    source.reading = again == 0 ? "map" : "other map";
    cr_ok(bt_import_begin(ledger, &source, again == 0 ? NULL : &reason, true, TEST_NOW, &import,
                          &repeated, &error),
          error);
    cr_ok(bt_import_event(import, &event, &error), error);
    cr_ok(bt_import_commit(import, &counts, &error), error);
    cr_expect_eq(counts.fresh, 1);
    cr_expect_eq(counts.removed, again);
    if (again == 0)
      cr_ok(bt_ledger_redact_event(ledger, 1, "lead", "a name", TEST_NOW, (bt_removal){0}, &further,
                                   &error),
            error);
    cr_expect_eq(texts(ledger), 0);
  }
  bt_ledger_close(ledger);
}

/* As many stand as are counted, and those that are refused no more are told once. */
static void lines_are(bt_ledger *ledger, int64_t standing) {
  bt_refused_line *lines = NULL;
  size_t n = 0;
  int64_t stand = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_refused_lines(ledger, &lines, &n, &error), error);
  for (size_t i = 0; i < n; i++) {
    stand += lines[i].stands;
    cr_expect(lines[i].stands || lines[i].gone >= lines[i].first);
    for (size_t k = 0; k < i && !lines[i].stands; k++)
      cr_expect(lines[k].line != lines[i].line || strcmp(lines[k].file, lines[i].file) != 0);
  }
  cr_expect_eq(stand, standing);
  bt_refused_lines_free(lines, n);
}

/* `serious`: how many of them hold a failed self-test, a remark or a refill. A book lists as many,
 * first, and behind them those that are counted no more. */
static int64_t refused(bt_ledger *ledger, int64_t serious) {
  bt_provenance of_unit, of_all;
  bt_book book = {0};
  int64_t listed = 0, listed_serious = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_book(ledger, "A", 0, &book, &error), error);
  for (size_t i = 0; i < book.refusals_n; i++) {
    listed += !book.refusals[i].past;
    listed_serious += !book.refusals[i].past && book.refusals[i].lost;
    cr_expect(i == 0 || book.refusals[i].past >= book.refusals[i - 1].past);
    for (size_t k = 0; k < i && book.refusals[i].past; k++)
      cr_expect(book.refusals[k].line != book.refusals[i].line, "line %lld is told twice",
                (long long)book.refusals[i].line);
  }
  bt_book_free(&book);
  cr_ok(bt_ledger_provenance(ledger, "A", &of_unit, &error), error);
  cr_ok(bt_ledger_provenance(ledger, NULL, &of_all, &error), error);
  cr_expect_eq(of_unit.refused, of_all.refused);
  cr_expect_eq(of_unit.with_loss, serious);
  cr_expect_eq(of_all.with_loss, serious);
  cr_expect_eq(listed, of_unit.refused);
  lines_are(ledger, of_all.refused);
  cr_expect_eq(listed_serious, serious);
  return of_all.refused;
}

/* A log of that name with other bytes: `version` makes its SHA-256 another. */
static void version_of(bt_ledger *ledger, const char *name, unsigned char version,
                       const bt_check *checks, size_t n, size_t lines_refused) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  bt_error error = {0};
  source.sha256[0] = version;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  for (size_t i = 0; i < n; i++)
    cr_ok(bt_import_check(import, &checks[i], &error), error);
  for (size_t i = 0; i < lines_refused; i++) {
    bt_refusal line = {.line = (int64_t)i + 9,
                       .reason = "expected a number",
                       .lost = i == 1 ? BT_LOST_SELFTEST : 0};
    cr_ok(bt_import_refusal(import, &line, &error), error);
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
}

Test(ledger_again_others, a_mended_line_is_refused_no_more) {
  bt_ledger *ledger = test_ledger();
  bt_check rows[] = {test_check("A", AT, 1.6, 2), test_check("A", "2026-01-06T08:00", 1.7, 3),
                     test_check("A", "2026-01-07T08:00", 1.8, 4)};
  version_of(ledger, "log.csv", 1, rows, 2, 2);
  cr_expect_eq(refused(ledger, 1), 2);
  /* The next month's log may have the same name: it holds none of those rows. */
  bt_check next = test_check("A", "2026-02-07T08:00", 1.8, 2);
  version_of(ledger, "log.csv", 2, &next, 1, 0);
  cr_expect_eq(refused(ledger, 1), 2);
  version_of(ledger, "other.csv", 3, rows, 3, 0);
  cr_expect_eq(refused(ledger, 1), 2, "of another name");
  /* One line was mended, the other is refused again and counted once. */
  version_of(ledger, "log.csv", 4, rows, 3, 1);
  cr_expect_eq(refused(ledger, 0), 1);
  version_of(ledger, "log.csv", 5, rows, 3, 0);
  cr_expect_eq(refused(ledger, 0), 0);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM refusal"), 3, "all are kept");
  bt_ledger_close(ledger);
}

/* Remarks of the checks that stand, in order, with a bar between them. */
static void remarks_stand(bt_ledger *ledger, const char *expected, int line) {
  bt_error error = {0};
  sqlite3_stmt *row = NULL;
  cr_ok(ledger_prepare(ledger,
                       "SELECT group_concat(coalesce(body, '-'), '|') FROM (SELECT t.body AS body "
                       "FROM checks AS c LEFT JOIN text AS t ON t.number = c.remark WHERE NOT "
                       "EXISTS (SELECT 1 FROM superseded AS s WHERE s.unit = c.unit AND s.time = "
                       "c.time AND s.sequence = c.sequence) ORDER BY t.body)",
                       &row, &error),
        error);
  cr_assert_eq(sqlite3_step(row), SQLITE_ROW);
  cr_expect_str_eq((const char *)sqlite3_column_text(row, 0), expected, "line %d: %s", line,
                   (const char *)sqlite3_column_text(row, 0));
  (void)sqlite3_finalize(row);
}
#define REMARKS(expected) remarks_stand(ledger, expected, __LINE__)

/* M3: which of two rows of equal readings is the known one is told by their remarks. */
Test(ledger_again_others, of_equal_rows_the_one_with_a_known_remark_is_known) {
  bt_ledger *ledger = test_ledger();
  bt_check rows[3] = {test_check("A", AT, 2, 2), test_check("A", AT, 2, 3),
                      test_check("A", AT, 2, 4)};
  rows[0].text[BT_FIELD_REMARK] = "beam block in";
  (void)read_as(ledger, "one.csv", "map", NULL, rows, 1);
  rows[0].text[BT_FIELD_REMARK] = "window wiped"; /* the longer export has it first */
  rows[1].text[BT_FIELD_REMARK] = "beam block in";
  bt_import_counts counts = read_as(ledger, "two.csv", "map", NULL, rows, 2);
  cr_expect(counts.fresh == 1 && counts.known == 1 && counts.reworded.n == 0);
  REMARKS("beam block in|window wiped");

  /* Each remark as often as it is said; a row without one takes no other's place. */
  rows[0].text[BT_FIELD_REMARK] = "beam block in";
  rows[1].text[BT_FIELD_REMARK] = NULL;
  rows[2].text[BT_FIELD_REMARK] = "window wiped";
  counts = read_as(ledger, "three.csv", "map", NULL, rows, 3);
  cr_expect(counts.fresh == 1 && counts.known == 2 && counts.reworded.n == 0);
  REMARKS("-|beam block in|window wiped");
  bt_ledger_close(ledger);
}

Test(ledger_again_others, a_remark_that_a_new_map_brings_is_not_lost_to_another_log) {
  bt_ledger *ledger = test_ledger();
  bt_check other = test_check("A", AT, 2, 2);
  bt_check rows[2] = {test_check("A", AT, 2, 2), test_check("A", AT, 2, 3)};
  other.text[BT_FIELD_REMARK] = "beam block in";
  (void)read_as(ledger, "other.csv", "map", NULL, &other, 1);
  (void)read_as(ledger, "log.csv", "map one", NULL, rows, 2);
  REMARKS("-|beam block in");
  rows[0].text[BT_FIELD_REMARK] = "window wiped";
  rows[1].text[BT_FIELD_REMARK] = "beam block in";
  (void)read_as(ledger, "log.csv", "map two", &reason, rows, 2);
  REMARKS("beam block in|window wiped");
  bt_ledger_close(ledger);
}
