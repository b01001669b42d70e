/* Refused lines that are mended in a copy of the log in which more was changed (LEDGER_LINE_ENDS).
 */
#include "helpers.h"

#include <stdio.h>

TestSuite(ledger_mended, .fini = test_cleanup);

/* A copy of "log.csv": one row of unit A a line, lines 2 to 9; a letter a line says what it holds:
 * '.' that day's check, 'e' other readings of it, 'x' a line that is refused, '-' no such line. */
typedef struct copy {
  const char *name, *lines;
  int from; /* the day of line 2, in January */
} copy;

static void take_in(bt_ledger *ledger, const copy *of, unsigned char version) {
  bt_source source = test_source(of->name);
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  bt_error error = {0};
  source.sha256[0] = version;
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  for (size_t i = 0, line = 2; of->lines[i] != '\0'; i++) {
    char day[24];
    if (of->lines[i] == '-')
      continue;
    (void)snprintf(day, sizeof day, "2026-01-%02dT08:00", of->from + (int)i);
    bt_check check = test_check("A", day, of->lines[i] == 'e' ? 9.0 : 1.5, (int64_t)line);
    bt_refusal refusal = {.line = (int64_t)line,
                          .column = "E",
                          .reason = "expected a number",
                          .lost = i == 4 ? BT_LOST_SELFTEST : 0};
    if (of->lines[i] == 'x')
      cr_ok(bt_import_refusal(import, &refusal, &error), error);
    else
      cr_ok(bt_import_check(import, &check, &error), error);
    line++;
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
}

/* Everything that counts refused lines counts as many. */
static void must_stand(bt_ledger *ledger, int64_t n, const char *what) {
  bt_error error = {0};
  bt_provenance of_unit, of_all;
  bt_book book;
  bt_refused_line *lines = NULL;
  size_t lines_n = 0, standing = 0, present = 0;
  cr_ok(bt_ledger_provenance(ledger, "A", &of_unit, &error), error);
  cr_ok(bt_ledger_provenance(ledger, NULL, &of_all, &error), error);
  cr_ok(bt_ledger_refused_lines(ledger, &lines, &lines_n, &error), error);
  cr_ok(bt_ledger_book(ledger, "A", 0, &book, &error), error);
  for (size_t i = 0; i < lines_n; i++)
    standing += lines[i].stands;
  for (size_t i = 0; i < book.refusals_n; i++)
    present += !book.refusals[i].past;
  cr_expect(of_unit.refused == n && of_all.refused == n && (int64_t)standing == n &&
                (int64_t)present == n,
            "%s: %d of the unit, %d in all, %zu listed, %zu in the book, not %d", what,
            (int)of_unit.refused, (int)of_all.refused, standing, present, (int)n);
  bt_book_free(&book);
  bt_refused_lines_free(lines, lines_n);
}

Test(ledger_mended, a_line_that_a_changed_copy_brought_is_refused_no_more) {
  static const struct {
    const char *what;
    copy before, then;
    int64_t refused;
  } cases[] = {
      {"the lines alone", {"log.csv", "..x.x...", 5}, {"log.csv", "........", 5}, 0},
      {"and another value", {"log.csv", "..x.x...", 5}, {"log.csv", "......e.", 5}, 0},
      {"and a line behind taken out", {"log.csv", "..x.x...", 5}, {"log.csv", "......-.", 5}, 0},
      {"one of two", {"log.csv", "..x.x...", 5}, {"log.csv", "....x.e.", 5}, 1},
      {"none of two", {"log.csv", "..x.x...", 5}, {"log.csv", "..x.x.e.", 5}, 2},
      {"a mended line that is held back is readable",
       {"log.csv", "....x...", 5},
       {"log.csv", "...ee...", 5},
       0},
      /* Neither its unit nor its time is kept: it goes on counting. */
      {"a line above taken out", {"log.csv", "....x...", 5}, {"log.csv", "-.......", 5}, 1},
      {"the line taken out, another changed",
       {"log.csv", "....x...", 5},
       {"log.csv", "....-.e.", 5},
       1},
      {"another log of the name", {"log.csv", "..x.x...", 5}, {"log.csv", "........", 15}, 2},
      {"a log of the name that holds a few of its rows",
       {"log.csv", "..x.x...", 5},
       {"log.csv", "........", 10},
       2},
      {"a copy of another name", {"log.csv", "..x.x...", 5}, {"b.csv", "......e.", 5}, 2},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    bt_ledger *ledger = test_ledger();
    take_in(ledger, &cases[i].before, 1);
    take_in(ledger, &cases[i].then, 2);
    must_stand(ledger, cases[i].refused, cases[i].what);
    test_close_whole(ledger);
    (void)remove(test_path("ledger"));
  }
}

/* Evidence folders were handed over with what was known of whole logs: the table goes on so. */
static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  size_t *at = context;
  (void)error;
  for (size_t i = 0; i < n; i++)
    if (strcmp(names[i], "stands") == 0)
      at[0] = i;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  size_t *at = context;
  (void)n, (void)error;
  at[1] += cells[at[0]].integer != 0;
  return BT_OK;
}

Test(ledger_mended, the_table_of_evidence_folders_stays_as_it_was) {
  static const copy before = {"log.csv", "..x.x...", 5}, changed = {"log.csv", "......e.", 5},
                    whole = {"log.csv", "........", 5};
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  size_t at[2] = {0, 0};
  const bt_table_sink sink = {.context = at, .columns = take_names, .row = take_row};
  take_in(ledger, &before, 1);
  take_in(ledger, &changed, 2);
  must_stand(ledger, 0, "mended");
  cr_ok(bt_ledger_table(ledger, BT_TABLE_REFUSALS, &sink, &error), error);
  cr_expect_eq(at[1], 2);
  at[1] = 0;
  take_in(ledger, &whole, 3);
  cr_ok(bt_ledger_table(ledger, BT_TABLE_REFUSALS, &sink, &error), error);
  cr_expect_eq(at[1], 0);
  test_close_whole(ledger);
}
