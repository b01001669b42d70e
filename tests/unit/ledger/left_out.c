/* Refused lines that a person leaves out: rules O1 to O3 of src/ledger/leave_out.c. */
#include "helpers.h"

#include <stdio.h>
#include <string.h>

TestSuite(ledger_left_out, .fini = test_cleanup);

static const char *const days[] = {"2026-01-05T08:00", "2026-01-06T08:00", "2026-01-07T08:00",
                                   "2026-01-08T08:00"};

/* A log of that name and version with n checks of unit A, and refused lines 9, 10 ..., the second
 * of them serious. */
static bt_import_counts log_of(bt_ledger *ledger, const char *name, unsigned char version, size_t n,
                               size_t lines_refused) {
  bt_source source = test_source(name);
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  bt_error error = {0};
  source.sha256[0] = version;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  for (size_t i = 0; i < n; i++) {
    bt_check check = test_check("A", days[i], 1.5 + 0.1 * (double)i, 2 + (int64_t)i);
    cr_ok(bt_import_check(import, &check, &error), error);
  }
  for (size_t i = 0; i < lines_refused; i++) {
    bt_refusal line = {.line = (int64_t)i + 9,
                       .column = "E",
                       .reason = "expected a number",
                       .lost = i == 1 ? BT_LOST_SELFTEST : 0};
    cr_ok(bt_import_refusal(import, &line, &error), error);
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
  return counts;
}

/* Of the unit and of all units: refused lines, serious ones that wait, and those left out. */
static void must_count(bt_ledger *ledger, int64_t refused, int64_t serious, int64_t left_out,
                       int line) {
  for (int all = 0; all < 2; all++) {
    bt_provenance found;
    bt_error error = {0};
    cr_ok(bt_ledger_provenance(ledger, all ? NULL : "A", &found, &error), error);
    cr_expect(found.refused == refused && found.with_loss == serious && found.left_out == left_out,
              "line %d: %d, %d, %d", line, (int)found.refused, (int)found.with_loss,
              (int)found.left_out);
  }
}

static void leave_out(bt_ledger *ledger, int64_t source, int64_t number) {
  const bt_refused_place place = {source, number};
  bt_error error = {0};
  cr_ok(bt_ledger_leave_out(ledger, &place, 1, "KL", "never written", TEST_NOW, &error), error);
}

/* ---- The table ------------------------------------------------------------------------------- */

/* "1/9 KL never written|1/10 -|": source, line, by whom and why, of each refused line. */
typedef struct rows {
  size_t at[5];
  char text[1024];
} rows;

static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  static const char *const wanted[] = {"source", "line", "left_out", "by", "why"};
  rows *all = context;
  (void)error;
  for (size_t w = 0; w < 5; w++)
    for (size_t i = 0; i < n; i++)
      if (strcmp(names[i], wanted[w]) == 0)
        all->at[w] = i;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  rows *all = context;
  size_t used = strlen(all->text);
  (void)n, (void)error;
  bool out = cells[all->at[2]].type == BT_CELL_INTEGER;
  (void)snprintf(all->text + used, sizeof all->text - used, "%d/%d %s%s%s|",
                 (int)cells[all->at[0]].integer, (int)cells[all->at[1]].integer,
                 out ? cells[all->at[3]].text : "-", out ? " " : "",
                 out ? cells[all->at[4]].text : "");
  return BT_OK;
}

static void must_list(bt_ledger *ledger, const char *expected, int line) {
  rows all = {.text = ""};
  const bt_table_sink sink = {.context = &all, .columns = take_names, .row = take_row};
  bt_error error = {0};
  cr_ok(bt_ledger_table(ledger, BT_TABLE_REFUSALS, &sink, &error), error);
  cr_expect_str_eq(all.text, expected, "line %d: %s", line, all.text);
}

/* ---- O1 -------------------------------------------------------------------------------------- */

Test(ledger_left_out, O1_the_refusal_stays_and_the_entry_says_who_and_why) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_book book;
  (void)log_of(ledger, "log.csv", 1, 2, 3);
  must_count(ledger, 3, 1, 0, __LINE__);
  int64_t entries = test_number(ledger, "SELECT max(number) FROM entry");
  const bt_refused_place two[] = {{1, 2}, {1, 3}};
  cr_ok(bt_ledger_leave_out(ledger, two, 2, "KL", "never written", TEST_NOW + BT_DAY, &error),
        error);
  must_count(ledger, 3, 0, 2, __LINE__);
  must_list(ledger, "1/9 -|1/10 KL never written|1/11 KL never written|", __LINE__);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM refusal"), 3);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE kind = 'omission'"), 1);

  /* As of the entry before nobody had. */
  bt_ledger_as_of(ledger, entries);
  must_list(ledger, "1/9 -|1/10 -|1/11 -|", __LINE__);
  bt_ledger_as_of(ledger, 0);

  cr_ok(bt_ledger_book(ledger, "A", entries, &book, &error), error);
  cr_assert(book.refusals_n == 1 && book.left_out_n == 1 && book.later_n == 1);
  cr_expect_eq(book.refusals[0].line, 9);
  const bt_book_left_out *decision = &book.left_out[0];
  cr_expect(decision->first == 10 && decision->last == 11 && decision->lines == 2 &&
            decision->lost && decision->at == TEST_NOW + BT_DAY);
  cr_expect_str_eq(decision->source, "log.csv");
  cr_expect_str_eq(decision->by, "KL");
  cr_expect_str_eq(decision->why, "never written");
  cr_expect_str_eq(book.later[0].kind, "omission");
  cr_expect_str_eq(book.later[0].about, "log.csv");
  bt_book_free(&book);

  /* It is no matter of a laser that the log has no row of. */
  bt_check other = test_check("B", days[0], 1.5, 2);
  (void)test_import(ledger, "other.csv", &other, 1);
  cr_ok(bt_ledger_book(ledger, "B", entries, &book, &error), error);
  cr_expect(book.left_out_n == 0 && book.later_n == 1, "%d", (int)book.later_n);
  bt_book_free(&book);
  test_close_whole(ledger);
}

Test(ledger_left_out, O1_what_cannot_be_left_out_is_refused_and_all_is_as_before) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  const bt_refused_place first = {1, 1}, none = {1, 7};
  (void)log_of(ledger, "log.csv", 1, 2, 2);
  expect_refused(bt_ledger_leave_out(ledger, &first, 1, " ", "w", TEST_NOW, &error), BT_USAGE,
                 "--by");
  expect_refused(bt_ledger_leave_out(ledger, &first, 1, "t", "", TEST_NOW, &error), BT_USAGE,
                 "--why");
  expect_refused(bt_ledger_leave_out(ledger, &first, 0, "t", "w", TEST_NOW, &error), BT_USAGE,
                 "no refused line");
  expect_refused(bt_ledger_leave_out(ledger, &none, 1, "t", "w", TEST_NOW, &error), BT_NOTFOUND,
                 "no such refused line");
  const bt_refused_place good_and_bad[] = {first, none}, twice[] = {first, first};
  expect_refused(bt_ledger_leave_out(ledger, good_and_bad, 2, "t", "w", TEST_NOW, &error),
                 BT_NOTFOUND, "no such refused line");
  expect_refused(bt_ledger_leave_out(ledger, twice, 2, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "before");
  must_count(ledger, 2, 1, 0, __LINE__);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);
  leave_out(ledger, 1, 1);
  expect_refused(bt_ledger_leave_out(ledger, &first, 1, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "log.csv, line 9: left out by decision before");
  (void)log_of(ledger, "log.csv", 2, 3, 2);
  const bt_refused_place old = {1, 2}, same = {2, 1};
  expect_refused(bt_ledger_leave_out(ledger, &old, 1, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "log.csv, line 10: refused no more");
  expect_refused(bt_ledger_leave_out(ledger, &same, 1, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "left out by decision before");
  test_close_whole(ledger);
}

/* The lines as a person looks at them: source and line, whether it stands, was left out and is no
 * more the last of its line. */
static void must_look(bt_ledger *ledger, const char *expected, int from) {
  bt_refused_line *lines = NULL;
  size_t n = 0;
  bt_error error = {0};
  bt_text text = {0};
  cr_ok(bt_ledger_refused_lines(ledger, &lines, &n, &error), error);
  for (size_t i = 0; i < n; i++)
    bt_text_format(&text, "%d/%d %s%s%s|", (int)lines[i].place.source, (int)lines[i].line,
                   lines[i].stands ? "stands" : "past", lines[i].left_out ? ", out" : "",
                   lines[i].is_last ? "" : ", not last");
  cr_expect_str_eq(bt_text_get(&text), expected, "line %d: %s", from, bt_text_get(&text));
  bt_text_free(&text);
  bt_refused_lines_free(lines, n);
}

/* ---- O2, O3 ---------------------------------------------------------------------------------- */

Test(ledger_left_out, O2_it_holds_for_later_states_of_the_log_and_for_no_other) {
  bt_ledger *ledger = test_ledger();
  (void)log_of(ledger, "log.csv", 1, 2, 2);
  leave_out(ledger, 1, 2);
  must_count(ledger, 2, 0, 1, __LINE__);
  bt_import_counts counts = log_of(ledger, "log.csv", 2, 3, 2); /* grown */
  cr_expect(counts.refused == 2 && counts.left_out == 1);
  must_count(ledger, 2, 0, 1, __LINE__);
  counts = log_of(ledger, "log.csv", 3, 4, 3); /* grown again, with one more */
  cr_expect(counts.refused == 3 && counts.left_out == 1);
  must_count(ledger, 3, 0, 1, __LINE__);
  must_list(ledger,
            "1/9 -|1/10 KL never written|2/9 -|2/10 KL never written|3/9 -|3/10 KL never written|"
            "3/11 -|",
            __LINE__);
  must_look(ledger, "3/9 stands|3/10 stands, out|3/11 stands|", __LINE__);
  /* The next month's log has the same name and a bad cell in the same place, but none of the rows.
   */
  bt_check next = test_check("A", "2026-02-07T08:00", 1.8, 2);
  bt_source source = test_source("log.csv");
  bt_import *import = NULL;
  bool repeated = false;
  bt_error error = {0};
  bt_refusal line = {
      .line = 10, .column = "E", .reason = "expected a number", .lost = BT_LOST_SELFTEST};
  source.sha256[0] = 4;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(bt_import_check(import, &next, &error), error);
  cr_ok(bt_import_refusal(import, &line, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_expect_eq(counts.left_out, 0);
  must_count(ledger, 4, 1, 1, __LINE__);
  /* Nor a log of another name. */
  counts = log_of(ledger, "copy.csv", 5, 2, 2);
  cr_expect_eq(counts.left_out, 0);
  must_count(ledger, 6, 2, 1, __LINE__);
  test_close_whole(ledger);
}

/* A log of which nothing went in shows nothing that could be held again: nor does the later one end
 * what was refused of it. */
Test(ledger_left_out, O2_a_log_without_a_row_is_no_earlier_state_of_another) {
  bt_ledger *ledger = test_ledger();
  (void)log_of(ledger, "first.csv", 9, 1, 0);
  (void)log_of(ledger, "log.csv", 1, 0, 1);
  leave_out(ledger, 2, 1);
  bt_import_counts counts = log_of(ledger, "log.csv", 2, 2, 1);
  cr_expect(counts.refused == 1 && counts.left_out == 0);
  bt_provenance found; /* what brought nothing is of no laser: only the whole ledger counts it */
  bt_error error = {0};
  cr_ok(bt_ledger_provenance(ledger, "A", &found, &error), error);
  cr_expect(found.refused == 1 && found.left_out == 0);
  cr_ok(bt_ledger_provenance(ledger, NULL, &found, &error), error);
  cr_expect(found.refused == 2 && found.left_out == 1);
  test_close_whole(ledger);
}

Test(ledger_left_out, O2_another_reason_column_or_weight_in_that_line_is_another_matter) {
  static const bt_refusal others[] = {
      {.line = 9, .column = "E", .reason = "expected a date", .lost = 0},
      {.line = 9, .column = "F", .reason = "expected a number", .lost = 0},
      {.line = 9, .reason = "expected a number", .lost = 0},
      {.line = 9, .column = "E", .reason = "expected a number", .lost = BT_LOST_SELFTEST},
      {.line = 8, .column = "E", .reason = "expected a number", .lost = 0}};
  for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
    bt_ledger *ledger = test_ledger();
    bt_source source = test_source("log.csv");
    bt_import *import = NULL;
    bt_import_counts counts;
    bool repeated = false;
    bt_error error = {0};
    (void)log_of(ledger, "log.csv", 1, 1, 1);
    leave_out(ledger, 1, 1);
    source.sha256[0] = 2;
    cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error),
          error);
    for (int c = 0; c < 2; c++) {
      bt_check check = test_check("A", days[c], 1.5 + 0.1 * c, 2 + c);
      cr_ok(bt_import_check(import, &check, &error), error);
    }
    cr_ok(bt_import_refusal(import, &others[i], &error), error);
    cr_ok(bt_import_commit(import, &counts, &error), error);
    cr_expect(counts.known == 1 && counts.left_out == 0, "%zu", i);
    bt_ledger_close(ledger);
    (void)remove(test_path("ledger"));
  }
}

Test(ledger_left_out, O3_a_line_that_is_mended_all_the_same_is_refused_no_more) {
  bt_ledger *ledger = test_ledger();
  (void)log_of(ledger, "log.csv", 1, 2, 2);
  leave_out(ledger, 1, 1);
  leave_out(ledger, 1, 2);
  must_count(ledger, 2, 0, 2, __LINE__);
  (void)log_of(ledger, "log.csv", 2, 3, 1);
  must_count(ledger, 1, 0, 1, __LINE__);
  (void)log_of(ledger, "log.csv", 3, 4, 0);
  must_count(ledger, 0, 0, 0, __LINE__);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM left_out"), 2, "all is kept");
  must_look(ledger, "1/10 past, out|2/9 past, out|", __LINE__);
  test_close_whole(ledger);
}
