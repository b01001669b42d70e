/* Readings, tolerances and baselines of the clinic's own characteristics. */
#include "helpers.h"
#include "sql_private.h"
#include "valid_private.h"
#include "verify_private.h"

#include <math.h>
#include <stdlib.h>

TestSuite(ledger_own, .fini = test_cleanup);

static const bt_own_reading door[] = {{"door_force", 12.5}};
static const bt_own_reading two[] = {{"homogeneity", 0.97}, {"door_force", -3.0}};
static const bt_own_reading three[] = {{"a1", 1}, {"homogeneity", 0.96}, {"B_2", 2}};

static bt_check with(bt_check check, const bt_own_reading *own, size_t n) {
  check.own = own;
  check.own_n = n;
  return check;
}

Test(ledger_own, they_come_back_by_key_and_are_absent_where_they_were) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_check log[] = {with(test_check("A", "2026-01-04", 1, 5), two, 2),
                    test_check("A", "2026-01-02", 1, 2),
                    with(test_check("A", "2026-01-03", 1, 3), door, 1),
                    with(test_check("B", "2026-01-03", 1, 4), three, 3)};
  cr_assert_eq(test_import(ledger, "log", log, 4).fresh, 4);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);

  ledger = test_open(test_path("ledger"), BT_LEDGER_READ);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert(h.n == 3 && h.own_n == 2);
  cr_expect_str_eq(h.own_key[0], "door_force");
  cr_expect_str_eq(h.own_key[1], "homogeneity");
  const double force[] = {0, 12.5, -3}, even[] = {0, 0, 0.97};
  for (size_t i = 0; i < 3; i++) {
    cr_expect_eq(h.own_value[0][i], force[i]);
    cr_expect_eq(h.own_value[1][i], even[i]);
    cr_expect_eq(h.own_present[0][i], i > 0);
    cr_expect_eq(h.own_present[1][i], i == 2);
  }
  bt_history_free(&h);
  cr_ok(bt_ledger_history(ledger, "A", test_time("2026-01-03"), &h, &error), error);
  cr_expect(h.n == 1 && h.own_n == 0, "none of those before has any");
  bt_history_free(&h);
  cr_ok(bt_ledger_history(ledger, "B", INT64_MAX, &h, &error), error);
  cr_assert_eq(h.own_n, 3);
  cr_expect_str_eq(h.own_key[0], "B_2");
  cr_expect_str_eq(h.own_key[1], "a1");
  cr_expect(h.own_value[0][0] == 2 && h.own_value[1][0] == 1 && h.own_value[2][0] == 0.96);
  bt_history_free(&h);
  bt_ledger_close(ledger);
}

/* Over several growths of the arrays, a key that comes late among them. */
Test(ledger_own, a_long_history_keeps_each_at_its_check) {
  enum { N = 1500, LATE = 700 };
  static bt_check log[N];
  static bt_own_reading own[N][2];
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  for (int i = 0; i < N; i++) {
    own[i][0] = (bt_own_reading){"m", i};
    own[i][1] = (bt_own_reading){"a", -i};
    log[i] = with(test_check("A", "2026-01-01", 1, i + 2), own[i], i >= LATE ? 2 : (size_t)(i % 2));
    log[i].time += (N - i) * BT_MINUTE; /* the last comes first */
  }
  cr_assert_eq(test_import(ledger, "log", log, N).fresh, N);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "A", INT64_MAX, &h, &error), error);
  cr_assert(h.n == N && h.own_n == 2);
  for (size_t at = 0; at < N; at++) {
    int i = (int)(N - 1 - at);
    cr_assert_eq(h.own_present[0][at], i >= LATE);
    cr_assert_eq(h.own_value[0][at], i >= LATE ? -i : 0);
    cr_assert_eq(h.own_present[1][at], i >= LATE || i % 2 == 1);
    cr_assert_eq(h.own_value[1][at], i >= LATE || i % 2 == 1 ? i : 0);
  }
  bt_history_free(&h);
  bt_ledger_close(ledger);
}

Test(ledger_own, they_count_in_the_comparison) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_own_reading turned[] = {two[1], two[0]}, other[] = {{"door_force", -3.5}, two[0]};
  bt_check check = with(test_check("A", "2026-01-02", 1, 2), two, 2);
  cr_assert_eq(test_import(ledger, "log", &check, 1).fresh, 1);
  check = with(check, turned, 2);
  cr_expect_eq(test_import(ledger, "turned", &check, 1).known, 1);
  check = with(check, other, 2);
  cr_expect_eq(test_import(ledger, "another value", &check, 1).conflicts, 1);
  check = with(check, two, 1);
  cr_expect_eq(test_import(ledger, "one fewer", &check, 1).conflicts, 1);
  check = with(check, NULL, 0);
  cr_expect_eq(test_import(ledger, "none", &check, 1).conflicts, 1);
  check = with(check, other, 2);
  cr_expect_eq(test_import(ledger, "held before", &check, 1).conflicts, 1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM held"), 3);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM held_own"), 3);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM own_key"), 2);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect_eq(found.held, 3);
  bt_ledger_close(ledger);
}

Test(ledger_own, each_edit_is_found) {
  static const struct {
    const char *sql, *named;
  } edits[] = {
      {"UPDATE own_reading SET value = 12.5000001", "the check of \"A\""},
      {"UPDATE own_reading SET own = 2 WHERE own = 1", "the check of \"A\""},
      {"DELETE FROM own_reading", "the check of \"A\""},
      {"INSERT INTO own_reading SELECT unit, time, sequence, 2, 1 FROM own_reading WHERE unit = 1",
       "the check of \"A\""},
      {"UPDATE held_own SET value = 12.5", "the row held back of \"A\""},
      {"UPDATE own_key SET key = 'door' WHERE number = 1", "the check of \"A\""},
      {"UPDATE own_key SET key = 'other' WHERE number = 2", "the check of \"B\""},
      {"INSERT INTO own_key VALUES (3, 'more', 2)", "entry 2 (import"},
  };
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_own_reading more[] = {{"door_force", 13}}, unused[] = {{"unused", 1}};
  bt_check check = with(test_check("A", "2026-01-02", 1, 2), door, 1);
  (void)test_import(ledger, "log", &check, 1);
  check = with(check, more, 1);
  (void)test_import(ledger, "held", &check, 1);
  check = with(test_check("B", "2026-01-02", 1, 2), unused, 1);
  (void)test_import(ledger, "other", &check, 1);
  char *triggers = test_drop_triggers(ledger);
  for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
    bt_verification found = {0};
    cr_ok(ledger_run(ledger, "BEGIN; PRAGMA defer_foreign_keys = ON", &error), error);
    cr_ok(ledger_run(ledger, edits[i].sql, &error), error);
    int64_t stray = 0;
    bt_status status = ledger_verify_rows(ledger, &found, &stray, &error);
    if (status == BT_OK)
      status = ledger_verify_chain(ledger, &found, &error);
    cr_expect_eq(status, BT_DAMAGED, "%s", edits[i].sql);
    cr_expect_not_null(strstr(error.text, edits[i].named), "%s: %s", edits[i].sql, error.text);
    ledger_rollback(ledger);
  }
  free(triggers);
  bt_ledger_close(ledger);
}

Test(ledger_own, what_has_no_meaning_is_refused) {
  static const bt_own_reading bad[][2] = {{{"", 1}},         {{"door force", 1}},
                                          {{NULL, 1}},       {{"door_force", NAN}},
                                          {{"a", INFINITY}}, {{"a", 1}, {"a", 2}}};
  bt_check check = test_check("A", "2026-01-02", 1, 2);
  bt_error error = {0};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    bt_check wrong = with(check, bad[i], i == 5 ? 2 : 1);
    cr_expect_eq(ledger_check_valid(&wrong, &error), BT_INPUT, "case %zu", i);
    cr_expect_not_null(strstr(error.text, "line 2"), "%s", error.text);
  }
  bt_own_reading many[BT_OWN_MOST + 1] = {{NULL, 0}};
  bt_check wrong = with(check, many, BT_OWN_MOST + 1);
  cr_expect_eq(ledger_check_valid(&wrong, &error), BT_INPUT);
}

/* ---- Settings and baselines ------------------------------------------------------------------ */

static char force_key[] = "door_force", force_title[] = "Door closing force", newton[] = "N";
static char even_key[] = "homogeneity", even_title[] = "Homogeneity", none[] = "";
static char unit_name[] = "A", by[] = "lead", why[] = "policy";

Test(ledger_own, settings_and_their_tolerances_come_back) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_own_characteristic own[] = {{even_key, even_title, none, 3},
                                 {force_key, force_title, newton, 1}};
  bt_tolerance tolerances[] = {{.unit = unit_name,
                                .characteristic = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + 1),
                                .has_high = true,
                                .high = 20},
                               {.unit = unit_name, .characteristic = BT_HUMIDITY}};
  bt_settings given = {.tolerances_n = 2,
                       .tolerances = tolerances,
                       .own_n = 2,
                       .own = own,
                       .alarms_per_unit_year = 1};
  bt_settings got;
  cr_ok(bt_ledger_add_settings(ledger, &given, "lead", "start", TEST_NOW, &error), error);
  cr_ok(bt_ledger_settings(ledger, &got, &error), error);
  cr_assert(got.own_n == 2 && got.tolerances_n == 2);
  cr_expect_str_eq(got.own[0].key, even_key);
  cr_expect_str_eq(got.own[0].title, even_title);
  cr_expect_str_eq(got.own[0].unit, "");
  cr_expect(got.own[0].decimals == 3 && got.own[1].decimals == 1);
  cr_expect_str_eq(got.own[1].unit, newton);
  cr_expect_eq((int)got.tolerances[0].characteristic, BT_CHARACTERISTIC_COUNT + 1);
  cr_expect_eq(got.tolerances[1].characteristic, BT_HUMIDITY);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM tolerance WHERE characteristic = "
                                   "'door_force'"),
               1);
  bt_settings_free(&got);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);

  own[0].key = force_key; /* twice */
  cr_expect_eq(bt_ledger_add_settings(ledger, &given, "l", "w", TEST_NOW, &error), BT_INPUT);
  own[0].key = even_key;
  given.own_n = 1; /* the tolerance's is gone */
  cr_expect_eq(bt_ledger_add_settings(ledger, &given, "l", "w", TEST_NOW, &error), BT_INPUT);
  bt_ledger_close(ledger);
}

Test(ledger_own, a_baseline_is_found_by_its_key_wherever_that_stands_in_the_settings) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check check = test_check("A", "2026-01-02", 1, 2);
  (void)test_import(ledger, "log", &check, 1);
  bt_own_characteristic own[] = {{even_key, even_title, none, 3},
                                 {force_key, force_title, newton, 1}};
  bt_settings settings = {.own_n = 2, .own = own, .alarms_per_unit_year = 1};
  const bt_characteristic first = BT_CHARACTERISTIC_COUNT;
  const bt_characteristic second = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + 1);
  bt_baseline b = {.characteristic = second, .n = 40, .by = by, .why = why};
  bt_baseline *list = NULL;
  size_t n = 0;
  int64_t version = 0;
  cr_expect_eq(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), BT_USAGE);
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", "start", TEST_NOW, &error), error);
  cr_ok(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), error);
  cr_expect_eq(version, 1);

  bt_own_characteristic turned[] = {own[1], own[0]};
  settings.own = turned;
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", "order", TEST_NOW, &error), error);
  cr_ok(bt_ledger_baselines(ledger, "A", first, INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].characteristic == first && list[0].n == 40);
  bt_baseline_free(&list[0]);
  free(list);
  cr_ok(bt_ledger_baselines(ledger, "A", second, INT64_MAX, &list, &n, &error), error);
  cr_expect_eq(n, 0);
  free(list);

  settings.own_n = 0; /* no longer named */
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", "gone", TEST_NOW, &error), error);
  cr_expect_eq(bt_ledger_baselines(ledger, "A", first, INT64_MAX, &list, &n, &error), BT_USAGE);
  cr_expect_not_null(strstr(error.text, "settings in force"), "%s", error.text);
  bt_ledger_close(ledger);
}

static void expect_n(bt_ledger *ledger, bt_characteristic characteristic, int64_t n) {
  bt_error error = {0};
  bt_baseline *list = NULL, first = {0};
  size_t found = 0;
  cr_ok(bt_ledger_baselines(ledger, "A", characteristic, INT64_MAX, &list, &found, &error), error);
  cr_ok(bt_ledger_first_baseline(ledger, "A", characteristic, 0, INT64_MAX, &first, &error), error);
  cr_expect_eq(found, n > 0);
  cr_expect_eq(first.n, n);
  for (size_t i = 0; i < found; i++) {
    cr_expect_eq(list[i].n, n);
    bt_baseline_free(&list[i]);
  }
  bt_baseline_free(&first);
  free(list);
}

/* One key, the clinic's own while its settings have it: a baseline is of what the key meant when it
 * was frozen. */
Test(ledger_own, a_baseline_is_of_what_its_key_meant_when_it_was_frozen) {
  char key[] = "demand";
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_check check = test_check("A", "2026-01-02", 1, 2);
  (void)test_import(ledger, "log", &check, 1);
  const bt_characteristic its_own = BT_CHARACTERISTIC_COUNT;
  bt_own_characteristic own[] = {{key, force_title, newton, 1}};
  bt_settings with_own = {.own_n = 1, .own = own, .alarms_per_unit_year = 1},
              without = {.alarms_per_unit_year = 1};
  bt_baseline b = {.characteristic = its_own, .n = 40, .by = by, .why = why};
  int64_t version = 0;
  cr_ok(bt_ledger_add_settings(ledger, &with_own, "lead", "start", TEST_NOW, &error), error);
  cr_ok(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), error);
  expect_n(ledger, its_own, 40);
  expect_n(ledger, BT_DEMAND, 0);

  cr_ok(bt_ledger_add_settings(ledger, &without, "lead", "out", TEST_NOW, &error), error);
  expect_n(ledger, BT_DEMAND, 0);
  b = (bt_baseline){.characteristic = BT_DEMAND, .n = 60, .by = by, .why = why};
  cr_ok(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), error);
  cr_expect_eq(version, 2, "the same days: it would take the other's place");
  expect_n(ledger, BT_DEMAND, 60);

  cr_ok(bt_ledger_add_settings(ledger, &with_own, "lead", "back", TEST_NOW, &error), error);
  expect_n(ledger, its_own, 40);
  expect_n(ledger, BT_DEMAND, 60);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);
}
