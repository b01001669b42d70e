/* A ledger of version 3 (version3.sql), opened by the program of today: rules G1 to G5 of
 * src/ledger/migrate.c, as far as its step differs from those before. */
#include "helpers.h"

#include <stdlib.h>
#include <unistd.h>

TestSuite(ledger_migrate_3, .fini = test_cleanup);

/* What version 3 printed after each of its entries. */
static const char *const states[] = {"9338b1012866c26506ac", "1169b315b6b9d383a48d",
                                     "64b14861f2b804a7296f", "3c6c15fcbd6591e4f0dd"};
enum { STATES = sizeof states / sizeof states[0] };

static const char *made(void) {
  (void)test_path("clinic.version3.sqlite");
  return test_older_ledger(test_path("clinic.sqlite"), 3);
}

Test(ledger_migrate_3, G3_all_that_was_printed_is_still_found_and_the_ledger_is_whole) {
  bt_error error = {0};
  bt_verification found;
  bt_state_place place;
  bt_ledger *ledger = test_open(made(), BT_LEDGER_READ);
  cr_assert_str_eq(bt_ledger_migrated(ledger).copy, test_path("clinic.version3.sqlite"));
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect(found.entries == STATES + 1 && found.checks == 3 && found.events == 1);
  for (int s = 0; s < STATES; s++) {
    cr_ok(bt_ledger_find_state(ledger, states[s], &place, &error), error);
    cr_expect(place.entry == s + 1 && place.after == STATES - s);
  }
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE form = 3"), STATES);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE number = 5 AND form = 4 AND "
                                   "kind = 'migrated' AND why = 'from version 3 to 4'"),
               1);
  cr_ok(ledger_schema_compare(ledger, &error), error);
  bt_ledger_close(ledger);
}

Test(ledger_migrate_3, its_settings_are_read_as_before_and_may_count_by_pulses_from_then_on) {
  bt_error error = {0};
  bt_settings settings = {0};
  bt_ledger *ledger = test_open(made(), BT_LEDGER_WRITE);
  cr_ok(bt_ledger_settings(ledger, &settings, &error), error);
  cr_expect_str_eq(settings.font, "face.ttf");
  cr_assert_eq(settings.units_n, 2);
  cr_expect_str_eq(settings.units[0].name, "Suite North");
  cr_expect(settings.units[0].beam == BT_BEAM_GAUSSIAN &&
            settings.units[0].refill_interval_days == 4 && settings.units[0].pulses_per_day == 0 &&
            settings.units[1].pulses_per_day == 0);
  settings.units[1].pulses_per_day = 12000;
  cr_ok(bt_ledger_add_settings(ledger, &settings, "KL", "by pulses", TEST_NOW, &error), error);
  bt_settings_free(&settings);
  cr_ok(bt_ledger_settings(ledger, &settings, &error), error);
  cr_expect(settings.units[0].pulses_per_day == 0 && settings.units[1].pulses_per_day == 12000);
  bt_settings_free(&settings);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);
}

/* An entry of form 3 doesn't cover pulses a day: none may stand under its name. */
Test(ledger_migrate_3, G3_what_an_old_entry_does_not_cover_is_found) {
  static const char *const edits[] = {
      "UPDATE unit_setting SET pulses_per_day = 1000 WHERE number = 1",
      "UPDATE setting_version SET font = 'other.ttf'",
      "UPDATE entry SET form = 4 WHERE number = 3",
      "UPDATE entry SET form = 2 WHERE number = 3",
  };
  bt_ledger *ledger = test_open(made(), BT_LEDGER_WRITE);
  bt_error error = {0};
  char *triggers = test_drop_triggers(ledger);
  for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
    bt_verification found = {0};
    test_run(ledger->db, "BEGIN");
    test_run(ledger->db, edits[i]);
    cr_expect_eq(ledger_verify_chain(ledger, &found, &error), BT_DAMAGED, "%s", edits[i]);
    cr_expect_not_null(strstr(error.text, "is not as it was written"), "%s", error.text);
    test_run(ledger->db, "ROLLBACK");
  }
  cr_ok(ledger_verify_chain(ledger, &(bt_verification){0}, &error), error);
  free(triggers);
  bt_ledger_close(ledger);
}

Test(ledger_migrate_3, G5_a_changed_structure_is_refused_and_left_alone) {
  const char *path = made();
  sqlite3 *db = NULL;
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  size_t n = 0, m = 0;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  test_run(db, "ALTER TABLE unit_setting ADD COLUMN pulses_per_day REAL");
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  char *before = test_read_file(path, &n);
  cr_expect_eq(bt_ledger_open(path, BT_LEDGER_READ, &ledger, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, "of version 3, was changed"), "%s", error.text);
  char *after = test_read_file(path, &m);
  cr_expect(n == m && memcmp(before, after, n) == 0);
  cr_expect_neq(access(test_path("clinic.version3.sqlite"), F_OK), 0);
  free(before);
  free(after);
}
