/* Dispositions and issued reports: kept as they were said, each in an entry of its own. */
#include "helpers.h"
#include "sql_private.h"

#include <sodium.h>
#include <stdlib.h>

TestSuite(ledger_decided, .fini = test_cleanup);

static char energy[] = "energy_ratio", cause[] = "optics", action[] = "cleaned", person[] = "lead";

static bt_disposition disposition(void) {
  return (bt_disposition){.episode = "0123abcd",
                          .characteristic = energy,
                          .high = true,
                          .from = TEST_NOW,
                          .to = TEST_NOW + BT_DAY,
                          .baseline_version = 2,
                          .cause = cause,
                          .action = action,
                          .restart = true,
                          .by = person};
}

static bt_ledger *ledger_of_one_unit(void) {
  bt_ledger *ledger = test_ledger();
  bt_check check = test_check("Suite North", "2026-01-03T08:05", 1, 2);
  (void)test_import(ledger, "log.csv", &check, 1);
  return ledger;
}

/* The form written out by hand, and hashed by another function of the library than ours. */
Test(ledger_decided, an_episode_is_named_by_where_it_began) {
  const unsigned char form[] = "suite north\0energy_ratio\0\0\xB9\x55\x69\0\0\0\0\x02\0\0\0\0\0\0";
  unsigned char sha256[BT_SHA256_BYTES];
  bt_error error = {0};
  char id[BT_ID_DIGITS + 1], other[BT_ID_DIGITS + 1], expected[BT_ID_DIGITS + 1];
  cr_assert_eq(TEST_NOW, 0x6955B900);
  cr_assert_eq(sizeof form, 12 + 13 + 16); /* the last zero is the literal's own */
  (void)crypto_hash_sha256(sha256, form, sizeof form);
  (void)sodium_bin2hex(expected, sizeof expected, sha256, BT_ID_DIGITS / 2);
  cr_ok(bt_episode_id(" SUITE North", "energy_ratio", TEST_NOW, 2, id, &error), error);
  cr_expect_str_eq(id, expected);
  cr_ok(bt_episode_id("Suite North", "energy_ratio", TEST_NOW, 3, other, &error), error);
  cr_expect_str_neq(id, other);
  cr_ok(bt_episode_id("Suite North", "energy_ratio", TEST_NOW + 1, 2, other, &error), error);
  cr_expect_str_neq(id, other);
  cr_ok(bt_episode_id("Suite North", "demand", TEST_NOW, 2, other, &error), error);
  cr_expect_str_neq(id, other);
}

Test(ledger_decided, dispositions_come_back_in_order_up_to_a_day) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_disposition d = disposition();
  bt_disposition *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_add_disposition(ledger, "suite north", &d, TEST_NOW + BT_DAY, &error), error);
  cr_expect_eq(d.restart_at, 0);
  d.high = false;
  d.restart_at = d.from - 1;
  cr_expect_eq(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE);
  d.restart_at = d.from;
  d.restart = false;
  cr_expect_eq(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE);
  d.restart = true;
  cr_ok(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW + 2 * BT_DAY, &error), error);
  cr_ok(bt_ledger_dispositions(ledger, "Suite North", TEST_NOW + 2 * BT_DAY, &list, &n, &error),
        error);
  cr_assert_eq(n, 1);
  cr_expect_str_eq(list->episode, "0123abcd");
  cr_expect_str_eq(list->characteristic, "energy_ratio");
  cr_expect(list->high && list->restart && list->baseline_version == 2 && list->from == TEST_NOW &&
            list->to == TEST_NOW + BT_DAY && list->at == TEST_NOW + BT_DAY);
  cr_expect_str_eq(list->cause, "optics");
  cr_expect_str_eq(list->action, "cleaned");
  cr_expect_str_eq(list->by, "lead");
  bt_dispositions_free(list, n);
  cr_ok(bt_ledger_dispositions(ledger, "Suite North", INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect(list[0].restart_at == 0);
  cr_expect(!list[1].high && list[1].restart && list[1].restart_at == TEST_NOW);
  bt_dispositions_free(list, n);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_eq(found.entries, 4);
  bt_ledger_close(ledger);
}

Test(ledger_decided, a_disposition_needs_its_words) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_disposition d = disposition();
  bt_disposition *list = NULL;
  size_t n = 0;
  char blank[] = " ", unknown[] = "lid_gap";
  d.by = blank;
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "--by");
  d = disposition();
  d.cause = blank;
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "--cause");
  d = disposition();
  d.action = NULL;
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "--action");
  d = disposition();
  d.episode[7] = 'g';
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "is no episode");
  d = disposition();
  d.to = d.from - 1;
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "ends before it begins");
  d = disposition();
  d.characteristic = unknown;
  expect_refused(bt_ledger_add_disposition(ledger, "Suite North", &d, TEST_NOW, &error), BT_USAGE,
                 "\"lid_gap\" is no characteristic");
  d = disposition();
  expect_refused(bt_ledger_add_disposition(ledger, "B", &d, TEST_NOW, &error), BT_NOTFOUND,
                 "no unit named");
  expect_refused(bt_ledger_dispositions(ledger, "B", 0, &list, &n, &error), BT_NOTFOUND,
                 "no unit named");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 2);
  bt_ledger_close(ledger);
}

static bt_issued report(bt_ledger *ledger, const char *unit) {
  bt_error error = {0};
  cr_ok(bt_ledger_hold_whole(ledger, &error), error);
  bt_issued issued = {.month = test_time("2026-01-01"), .by = person};
  issued.unit = (char *)(uintptr_t)unit;
  for (int i = 0; i < BT_SHA256_BYTES; i++)
    issued.sha256[i] = (unsigned char)i;
  test_state(ledger, issued.state);
  return issued;
}

Test(ledger_decided, issued_reports_are_revisions_of_one_unit_and_month) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_issued first = report(ledger, "Suite North");
  cr_ok(bt_ledger_add_issued(ledger, &first, TEST_NOW, &error), error);
  cr_expect(first.number == 1 && first.at == TEST_NOW);
  bt_issued all = report(ledger, NULL);
  cr_ok(bt_ledger_add_issued(ledger, &all, TEST_NOW, &error), error);
  cr_expect_eq(all.number, 1);
  bt_issued second = report(ledger, "suite north");
  cr_ok(bt_ledger_add_issued(ledger, &second, TEST_NOW + BT_DAY, &error), error);
  cr_expect_eq(second.number, 2);

  bt_issued *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_issued(ledger, "Suite North", first.month, &list, &n, &error), error);
  cr_assert_eq(n, 2);
  for (size_t i = 0; i < 2; i++) {
    cr_expect(list[i].number == (int64_t)i + 1 && list[i].month == first.month);
    cr_expect_eq(memcmp(list[i].sha256, first.sha256, BT_SHA256_BYTES), 0);
    cr_expect_str_eq(list[i].unit, "Suite North");
    cr_expect_str_eq(list[i].by, "lead");
  }
  cr_expect_str_eq(list[0].state, first.state);
  cr_expect_str_eq(list[1].state, second.state);
  cr_expect_eq(list[1].at, TEST_NOW + BT_DAY);
  bt_issued_free(list, n);
  cr_ok(bt_ledger_issued(ledger, NULL, first.month, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect_null(list->unit);
  bt_issued_free(list, n);
  cr_ok(bt_ledger_issued(ledger, "Suite North", bt_month_start(first.month, 1), &list, &n, &error),
        error);
  cr_expect(n == 0 && list == NULL);
  test_close_whole(ledger);
}

Test(ledger_decided, a_report_of_another_state_is_not_issued) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_issued issued = report(ledger, "Suite North");
  bt_check later = test_check("Suite North", "2026-02-01", 1, 2);
  (void)test_import(ledger, "later.csv", &later, 1);
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_REFUSED,
                 "has changed since the report was made");
  issued = report(ledger, "B");
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_NOTFOUND,
                 "no unit named");
  issued = report(ledger, "Suite North");
  issued.month += BT_DAY;
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_USAGE, "YYYY-MM");
  issued = report(ledger, "Suite North");
  issued.by = NULL;
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_USAGE, "--by");
  bt_issued *list = NULL;
  size_t n = 0;
  expect_refused(bt_ledger_issued(ledger, "B", 0, &list, &n, &error), BT_NOTFOUND, "no unit named");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM issued"), 0);
  bt_ledger_close(ledger);
}

static void meddle(const char *sql) {
  sqlite3 *other = NULL;
  char *words = NULL;
  cr_assert_eq(sqlite3_open(test_path("ledger"), &other), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(other, sql, NULL, NULL, &words), SQLITE_OK, "%s", words);
  cr_assert_eq(sqlite3_close(other), SQLITE_OK);
}

/* A report prints a genuine state although a row was false while it was made, and true again when
 * it is entered: that somebody wrote is enough to refuse. */
Test(ledger_decided, a_report_made_while_somebody_wrote_is_not_issued) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_issued issued = report(ledger, "Suite North");
  char *triggers = test_drop_triggers(ledger);
  cr_ok(ledger_run(ledger, triggers, &error), error); /* our own writing is none of others */
  cr_ok(bt_ledger_still_whole(ledger, &error), error);
  char *drops = sqlite3_mprintf("DROP TRIGGER checks_keeps_values; UPDATE checks SET energy_mj = "
                                "9; UPDATE checks SET energy_mj = 1");
  meddle(drops);
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_REFUSED,
                 "another program wrote into the ledger since it was verified");
  issued = report(ledger, "Suite North"); /* verified anew: all is as it was */
  cr_ok(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), error);
  meddle("UPDATE checks SET energy_mj = 9");
  cr_expect_eq(bt_ledger_hold_whole(ledger, &error), BT_DAMAGED);
  expect_refused(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), BT_REFUSED, "");
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM issued"), 1);
  sqlite3_free(drops);
  free(triggers);
  bt_ledger_close(ledger);
}

Test(ledger_decided, an_issued_report_is_found_by_the_sha256_of_its_pdf) {
  bt_ledger *ledger = ledger_of_one_unit();
  bt_error error = {0};
  bt_issued *found = NULL;
  bt_issued_place place;
  bt_issued first = report(ledger, "Suite North");
  cr_ok(bt_ledger_add_issued(ledger, &first, TEST_NOW, &error), error);
  bt_issued second = report(ledger, "Suite North");
  second.sha256[0] = 99;
  cr_ok(bt_ledger_add_issued(ledger, &second, TEST_NOW, &error), error);
  cr_ok(bt_ledger_find_issued(ledger, first.sha256, &found, &place, &error), error);
  cr_expect(found->number == 1 && strcmp(found->state, first.state) == 0);
  cr_expect_str_eq(found->unit, "Suite North");
  cr_expect(place.entry == 3 && place.before == 2 && place.later == 1 && place.reports == 2);
  bt_issued_free(found, 1);
  cr_ok(bt_ledger_find_issued(ledger, second.sha256, &found, &place, &error), error);
  cr_expect(found->number == 2 && place.entry == 4 && place.before == 3 && place.later == 0);
  bt_issued_free(found, 1);
  second.sha256[31] ^= 1;
  cr_expect_eq(bt_ledger_find_issued(ledger, second.sha256, &found, &place, &error), BT_NOTFOUND);
  cr_expect(found == NULL && place.reports == 2);
  bt_ledger_close(ledger);
}
