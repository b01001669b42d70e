/* A ledger of version 2 (version2.sql), opened by the program of today: rules G1 to G5 of
 * src/ledger/migrate.c, as far as its step differs from that of version 1. */
#include "helpers.h"

#include <stdlib.h>
#include <unistd.h>

TestSuite(ledger_migrate_2, .fini = test_cleanup);

/* What version 2 printed after each of its entries. */
static const char *const states[] = {
    "e3bd4c208d1a09256986", "7e55763ce5ffa47d00d8", "e51075239527fdc07478", "84cc7769de06a6aa1044",
    "4d2f55180bd4d992a0d9", "b6886ea57eaab2719de5", "8f61e9f4273c3ad8ed78", "efde6e9600c56b5aab0c",
    "7a35ef05873b6dbee18b", "1471818d19d709732a0f", "689063542a4c1133b1e8", "ae0ca999115a688cdd35"};
enum { STATES = sizeof states / sizeof states[0] };

static const char *made(void) {
  (void)test_path("clinic.version2.sqlite");
  return test_older_ledger(test_path("clinic.sqlite"), 2);
}

Test(ledger_migrate_2, G3_all_that_was_printed_is_still_found_and_the_ledger_is_whole) {
  bt_error error = {0};
  bt_verification found;
  bt_state_place place;
  bt_ledger *ledger = test_open(made(), BT_LEDGER_READ);
  cr_assert_str_eq(bt_ledger_migrated(ledger).copy, test_path("clinic.version2.sqlite"));
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect(found.entries == STATES + 1 && found.checks == 18 && found.held == 1 &&
            found.events == 2);
  for (int s = 0; s < STATES; s++) {
    cr_ok(bt_ledger_find_state(ledger, states[s], &place, &error), error);
    cr_expect(place.entry == s + 1 && place.after == STATES - s);
  }
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE form = 2"), STATES);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry WHERE number = 13 AND form = 4 AND "
                                   "kind = 'migrated' AND why = 'from version 2 to 4'"),
               1);
  bt_ledger_close(ledger);
}

/* Every row of every table but the new entry: findings follow from these alone. */
Test(ledger_migrate_2, G3_all_rows_are_as_they_were) {
  bt_ledger_close(test_open(made(), BT_LEDGER_READ));
  sqlite3 *db = NULL;
  sqlite3_stmt *tables = NULL, *differ = NULL;
  int n = 0;
  cr_assert_eq(sqlite3_open(test_path("clinic.sqlite"), &db), SQLITE_OK);
  char *attach = sqlite3_mprintf("ATTACH %Q AS old", test_path("clinic.version2.sqlite"));
  test_run(db, attach);
  sqlite3_free(attach);
  cr_assert_eq(sqlite3_prepare_v2(db,
                                  "SELECT name, (SELECT group_concat(c.name) FROM "
                                  "pragma_table_info(s.name, 'old') AS c) FROM old.sqlite_schema "
                                  "AS s WHERE type = 'table'",
                                  -1, &tables, NULL),
               SQLITE_OK, "%s", sqlite3_errmsg(db));
  for (; sqlite3_step(tables) == SQLITE_ROW; n++) {
    const unsigned char *table = sqlite3_column_text(tables, 0);
    const unsigned char *columns = sqlite3_column_text(tables, 1);
    char *sql = sqlite3_mprintf(
        "SELECT (SELECT count(*) FROM (SELECT %s FROM old.%s EXCEPT SELECT %s FROM main.%s)), "
        "(SELECT count(*) FROM (SELECT %s FROM main.%s EXCEPT SELECT %s FROM old.%s)), "
        "(SELECT count(*) FROM main.%s) - (SELECT count(*) FROM old.%s)",
        columns, table, columns, table, columns, table, columns, table, table, table);
    cr_assert_eq(sqlite3_prepare_v2(db, sql, -1, &differ, NULL), SQLITE_OK, "%s",
                 sqlite3_errmsg(db));
    sqlite3_free(sql);
    cr_assert_eq(sqlite3_step(differ), SQLITE_ROW);
    int added = strcmp((const char *)table, "entry") == 0;
    cr_expect_eq(sqlite3_column_int(differ, 0), 0, "%s", table);
    cr_expect_eq(sqlite3_column_int(differ, 1), added, "%s", table);
    cr_expect_eq(sqlite3_column_int(differ, 2), added, "%s", table);
    (void)sqlite3_finalize(differ);
  }
  cr_expect_eq(n, 24);
  (void)sqlite3_finalize(tables);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
}

Test(ledger_migrate_2, its_settings_are_read_as_before_and_may_name_a_typeface_from_then_on) {
  bt_error error = {0};
  bt_settings settings = {0};
  bt_ledger *ledger = test_open(made(), BT_LEDGER_WRITE);
  cr_ok(bt_ledger_settings(ledger, &settings, &error), error);
  cr_expect_str_eq(settings.clinic, "Quellmoor Eye Clinic");
  cr_expect(settings.units_n == 2 && settings.tolerances_n == 1 && settings.own_n == 1 &&
            settings.weekdays == (1U << 1 | 1U << 2 | 1U << 4));
  cr_expect_null(settings.font);
  char font[] = "faces/more.otf";
  settings.font = font;
  cr_ok(bt_ledger_add_settings(ledger, &settings, "KL", "a typeface", TEST_NOW, &error), error);
  settings.font = NULL;
  bt_settings_free(&settings);
  cr_ok(bt_ledger_settings(ledger, &settings, &error), error);
  cr_expect_str_eq(settings.font, "faces/more.otf");
  bt_settings_free(&settings);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  bt_ledger_close(ledger);
}

/* An entry of form 2 doesn't cover a typeface: none may stand under its name. */
Test(ledger_migrate_2, G3_what_an_old_entry_does_not_cover_is_found) {
  static const char *const edits[] = {
      "UPDATE setting_version SET font = 'a.otf' WHERE number = 1",
      "UPDATE setting_version SET font = '' WHERE number = 2",
      "UPDATE entry SET form = 3 WHERE number = 12",
      "UPDATE entry SET form = 1 WHERE number = 12",
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

Test(ledger_migrate_2, G5_a_changed_structure_is_refused_and_left_alone) {
  static const char *const changes[] = {
      "DROP TRIGGER issued_keeps_rows",
      "ALTER TABLE setting_version ADD COLUMN font TEXT",
      "DROP INDEX superseded_by_entry",
  };
  const char *path = test_path("clinic.sqlite");
  for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
    sqlite3 *db = NULL;
    bt_error error = {0};
    bt_ledger *ledger = NULL;
    size_t n = 0, m = 0;
    cr_assert_eq(sqlite3_open(made(), &db), SQLITE_OK);
    test_run(db, changes[i]);
    cr_assert_eq(sqlite3_close(db), SQLITE_OK);
    char *before = test_read_file(path, &n);
    cr_expect_eq(bt_ledger_open(path, BT_LEDGER_READ, &ledger, &error), BT_DAMAGED, "%s",
                 changes[i]);
    cr_expect_not_null(strstr(error.text, "of version 2, was changed"), "%s", error.text);
    char *after = test_read_file(path, &m);
    cr_expect(n == m && memcmp(before, after, n) == 0, "%s", changes[i]);
    cr_expect_neq(access(test_path("clinic.version2.sqlite"), F_OK), 0);
    free(before);
    free(after);
    cr_assert_eq(unlink(path), 0);
  }
}

Test(ledger_migrate_2, G5_the_schema_is_that_of_a_fresh_ledger) {
  bt_error error = {0};
  bt_ledger *ledger = test_open(made(), BT_LEDGER_READ);
  cr_ok(ledger_schema_compare(ledger, &error), error);
  cr_expect_eq(test_number(ledger, "PRAGMA user_version"), LEDGER_VERSION);
  cr_expect_eq(test_number(ledger, "PRAGMA foreign_keys"), 1);
  bt_ledger_close(ledger);
}
