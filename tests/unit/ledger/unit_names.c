/* A laser's name in two forms of the same letters is one laser, under the form that came first; a
 * ledger of before, in which they are two, goes on as it is. */
#include "helpers.h"
#include "ledger_private.h"
#include "unit_private.h"

#include <stdlib.h>

TestSuite(ledger_unit_names, .fini = test_cleanup);

static const char composed[] = "Salle d'\u00E9t\u00E9", apart[] = "Salle d'e\u0301te\u0301";

static void expect_units(bt_ledger *ledger, size_t expected, const char *first) {
  char **names = NULL;
  size_t n = 0;
  bt_error error = {0};
  cr_ok(bt_ledger_units(ledger, &names, &n, &error), error);
  cr_expect_eq(n, expected);
  cr_expect_str_eq(names[0], first, "the first spelling stands");
  bt_names_free(names, n);
}

Test(ledger_unit_names, one_laser_in_two_forms) {
  for (int turned = 0; turned < 2; turned++) {
    const char *first = turned ? apart : composed, *second = turned ? composed : apart;
    bt_ledger *ledger = turned ? test_open(test_path("other"), BT_LEDGER_CREATE) : test_ledger();
    bt_check one = test_check(first, "2026-01-01", 1, 2);
    bt_check again[] = {test_check(second, "2026-01-01", 1, 2),
                        test_check(second, "2026-01-02", 1, 3)};
    (void)test_import(ledger, "log", &one, 1);
    bt_import_counts counts = test_import(ledger, "grown", again, 2);
    cr_expect(counts.fresh == 1 && counts.known == 1, "%lld new, %lld known",
              (long long)counts.fresh, (long long)counts.known);
    expect_units(ledger, 1, first);
    test_close_whole(ledger);
  }
}

/* Two units of one name, as an older program made them: each form finds its own. */
Test(ledger_unit_names, a_ledger_that_holds_both) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_source source = test_source("log");
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  int64_t number[2] = {0, 0}, found = 0;
  int64_t entry = test_number(ledger, "SELECT max(number) + 1 FROM entry"); /* the import's */
  cr_ok(bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(ledger_unit_add(ledger, composed, entry, &number[0], &error), error);
  cr_ok(ledger_unit_add(ledger, apart, entry, &number[1], &error), error);
  bt_check rows[] = {test_check(composed, "2026-01-01", 1, 2),
                     test_check(apart, "2026-01-02", 2, 3), test_check(apart, "2026-01-03", 2, 4)};
  for (size_t i = 0; i < 3; i++)
    cr_ok(bt_import_check(import, &rows[i], &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  expect_units(ledger, 2, composed);
  cr_ok(ledger_unit_number(ledger, composed, &found, &error), error);
  cr_expect_eq(found, number[0]);
  cr_ok(ledger_unit_number(ledger, apart, &found, &error), error);
  cr_expect_eq(found, number[1]);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks WHERE unit = 2"), 2);
  test_close_whole(ledger);
}
