/* Ledgers of each older version (versionN.sql), opened by the program of today: what rules G3 to G5
 * of src/ledger/migrate.c promise of all of them. What the copy and the transaction promise, which
 * is alike for all, is tested on version 1 (migrate.c). */
#include "../../older_ledgers.h"
#include "entry_private.h"
#include "helpers.h"
#include "ledger_private.h"
#include "schema_private.h"
#include "verify_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

TestSuite(ledger_versions, .fini = test_cleanup);

typedef struct older_version {
  int version, form, tables; /* form: of its entries' digests */
  int64_t checks, held, events;
  const char *changes[6];    /* of its structure, by another program */
  const char *uncovered[18]; /* edits of what the form of its entries doesn't cover */
} older_version;

static const older_version versions[] = {
    {.version = 1,
     .form = 1,
     .tables = 13,
     .checks = 5,
     .held = 1,
     .events = 3,
     .changes = {"DROP TRIGGER checks_keeps_rows", "CREATE VIEW v AS SELECT * FROM checks",
                 "CREATE TRIGGER t AFTER INSERT ON checks BEGIN SELECT 1; END",
                 "ALTER TABLE entry ADD COLUMN extra REAL", "DROP INDEX source_by_sha256"},
     .uncovered =
         {"INSERT INTO superseded (unit, time, sequence, entry, kind) SELECT unit, time, sequence, "
          "2, 'withdrawn' FROM checks LIMIT 1",
          "INSERT INTO superseded_event (event, entry, kind) VALUES (1, 3, 'withdrawn')",
          "INSERT INTO own_key (number, key, entry) VALUES (1, 'door_force', 2)",
          "INSERT INTO own_characteristic VALUES (1, 1, 'door_force', 'Door force', 'N', 1)",
          "INSERT INTO settled VALUES (1, 0, 1, 4, 'new')",
          "INSERT INTO baseline_exclusion VALUES (1, 'fluence', 1, 1, 0, 0, 1, 3.5)",
          "UPDATE baseline SET drift_accepted = 1 WHERE version = 1",
          "UPDATE entry SET form = 2 WHERE number = 4",
          "UPDATE entry SET form = 1 WHERE number = 9",
          "UPDATE entry SET form = 2 WHERE number = 9",
          "UPDATE entry SET form = 3 WHERE number = 9",
          "UPDATE entry SET form = 4 WHERE number = 9",
          "UPDATE entry SET form = 6 WHERE number = 9"}},
    {.version = 2,
     .form = 2,
     .tables = 24,
     .checks = 18,
     .held = 1,
     .events = 2,
     .changes = {"DROP TRIGGER issued_keeps_rows",
                 "ALTER TABLE setting_version ADD COLUMN font TEXT",
                 "DROP INDEX superseded_by_entry"},
     .uncovered = {"UPDATE setting_version SET font = 'a.otf' WHERE number = 1",
                   "UPDATE setting_version SET font = '' WHERE number = 2",
                   "UPDATE entry SET form = 3 WHERE number = 12",
                   "UPDATE entry SET form = 1 WHERE number = 12"}},
    {.version = 3,
     .form = 3,
     .tables = 24,
     .checks = 3,
     .held = 0,
     .events = 1,
     .changes = {"ALTER TABLE unit_setting ADD COLUMN pulses_per_day REAL"},
     .uncovered = {"UPDATE unit_setting SET pulses_per_day = 1000 WHERE number = 1",
                   "UPDATE setting_version SET font = 'other.ttf'",
                   "UPDATE entry SET form = 4 WHERE number = 3",
                   "UPDATE entry SET form = 2 WHERE number = 3"}},
    {.version = 4,
     .form = 4,
     .tables = 24,
     .checks = 8,
     .held = 1,
     .events = 1,
     .changes = {"ALTER TABLE checks ADD COLUMN energy_pct REAL",
                 "ALTER TABLE held ADD COLUMN energy_pct REAL", "DROP INDEX superseded_by_entry"},
     .uncovered = {"UPDATE entry SET form = 3 WHERE number = 3",
                   "UPDATE entry SET form = 5 WHERE number = 7"}},
    {.version = 5,
     .form = 4, /* it brought no list */
     .tables = 24,
     .checks = 8,
     .held = 1,
     .events = 1,
     .changes = {"DROP TRIGGER refusal_keeps_rows", "ALTER TABLE refusal ADD COLUMN left_out REAL",
                 "CREATE TABLE left_out (source INTEGER)"},
     .uncovered = {"INSERT INTO left_out (source, number, entry) VALUES (2, 1, 4)",
                   "INSERT INTO left_out (source, number, entry) VALUES (1, 2, 7)",
                   "UPDATE entry SET form = 5 WHERE number = 4",
                   "UPDATE entry SET form = 4 WHERE number = 8"}},
};
enum { VERSIONS = sizeof versions / sizeof *versions };

_Static_assert(VERSIONS + 1 == LEDGER_VERSION && VERSIONS == (int)OLDER_LEDGERS,
               "each older version has its rows");

/* The path at which the copy of that version is kept. */
static const char *kept(const older_version *of) {
  char name[40];
  (void)snprintf(name, sizeof name, "clinic.version%d.sqlite", of->version);
  return test_path(name);
}

static const char *made(const older_version *of) {
  return test_older_ledger(test_path("clinic.sqlite"), of->version);
}

static void away(const older_version *of) {
  cr_assert_eq(unlink(test_path("clinic.sqlite")), 0);
  cr_assert_eq(unlink(kept(of)), 0);
}

Test(ledger_versions, G3_all_that_was_printed_is_still_found_and_the_ledger_is_whole) {
  for (const older_version *of = versions; of < versions + VERSIONS; of++) {
    bt_error error = {0};
    bt_verification found;
    bt_ledger *ledger = test_open(made(of), BT_LEDGER_READ);
    cr_assert_str_eq(bt_ledger_migrated(ledger).copy, kept(of));
    cr_ok(bt_ledger_verify(ledger, &found, &error), error);
    int64_t states = older_entries(of->version);
    cr_expect(found.entries == states + 1 && found.checks == of->checks && found.held == of->held &&
                  found.events == of->events,
              "version %d", of->version);
    for (int64_t s = 0; s < states; s++) {
      bt_state_place place;
      cr_ok(bt_ledger_find_state(ledger, older_states[of->version][s], &place, &error), error);
      cr_expect(place.entry == s + 1 && place.after == states - s);
    }
    char sql[200];
    (void)snprintf(sql, sizeof sql,
                   "SELECT count(*) FROM entry WHERE form = %d AND kind <> 'migrated'", of->form);
    cr_expect_eq(test_number(ledger, sql), states);
    (void)snprintf(sql, sizeof sql,
                   "SELECT number FROM entry AS e WHERE kind = 'migrated' AND form = %d AND why = "
                   "'from version %d to %d' AND by IS NULL AND at = (SELECT at FROM entry AS b "
                   "WHERE b.number = e.number - 1)",
                   (int)LEDGER_FORM, of->version, (int)LEDGER_VERSION);
    cr_expect_eq(test_number(ledger, sql), states + 1, "G4, version %d", of->version);
    bt_ledger_close(ledger);
    away(of);
  }
}

/* How many rows of a table, by the columns that it had, are not in both ledgers; only the new entry
 * is. */
static void rows_must_be_as_they_were(sqlite3 *db, const char *table, const char *columns,
                                      int version) {
  sqlite3_stmt *differ = NULL;
  char *sql = sqlite3_mprintf(
      "SELECT (SELECT count(*) FROM (SELECT %s FROM old.%s EXCEPT SELECT %s FROM main.%s)), "
      "(SELECT count(*) FROM (SELECT %s FROM main.%s EXCEPT SELECT %s FROM old.%s)), "
      "(SELECT count(*) FROM main.%s) - (SELECT count(*) FROM old.%s)",
      columns, table, columns, table, columns, table, columns, table, table, table);
  cr_assert_eq(sqlite3_prepare_v2(db, sql, -1, &differ, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
  sqlite3_free(sql);
  cr_assert_eq(sqlite3_step(differ), SQLITE_ROW);
  int added = strcmp(table, "entry") == 0;
  cr_expect_eq(sqlite3_column_int(differ, 0), 0, "version %d, %s", version, table);
  cr_expect_eq(sqlite3_column_int(differ, 1), added, "version %d, %s", version, table);
  cr_expect_eq(sqlite3_column_int(differ, 2), added, "version %d, %s", version, table);
  (void)sqlite3_finalize(differ);
}

/* Every row of every table but the new entry: findings follow from these alone. */
Test(ledger_versions, G3_all_rows_are_as_they_were) {
  for (const older_version *of = versions; of < versions + VERSIONS; of++) {
    bt_ledger_close(test_open(made(of), BT_LEDGER_READ));
    sqlite3 *db = NULL;
    sqlite3_stmt *tables = NULL;
    int n = 0;
    cr_assert_eq(sqlite3_open(test_path("clinic.sqlite"), &db), SQLITE_OK);
    char *attach = sqlite3_mprintf("ATTACH %Q AS old", kept(of));
    test_run(db, attach);
    sqlite3_free(attach);
    cr_assert_eq(sqlite3_prepare_v2(db,
                                    "SELECT name, (SELECT group_concat(c.name) FROM "
                                    "pragma_table_info(s.name, 'old') AS c) FROM old.sqlite_schema "
                                    "AS s WHERE type = 'table'",
                                    -1, &tables, NULL),
                 SQLITE_OK, "%s", sqlite3_errmsg(db));
    for (; sqlite3_step(tables) == SQLITE_ROW; n++)
      rows_must_be_as_they_were(db, (const char *)sqlite3_column_text(tables, 0),
                                (const char *)sqlite3_column_text(tables, 1), of->version);
    cr_expect_eq(n, of->tables, "version %d has %d tables", of->version, n);
    (void)sqlite3_finalize(tables);
    cr_assert_eq(sqlite3_close(db), SQLITE_OK);
    away(of);
  }
}

/* An entry of an older form doesn't cover what its version had not: nothing of it may stand under
 * its name. */
Test(ledger_versions, G3_what_an_old_entry_does_not_cover_is_found) {
  for (const older_version *of = versions; of < versions + VERSIONS; of++) {
    bt_ledger *ledger = test_open(made(of), BT_LEDGER_WRITE);
    bt_error error = {0};
    char *triggers = test_drop_triggers(ledger);
    for (size_t i = 0; of->uncovered[i] != NULL; i++) {
      bt_verification found = {0};
      test_run(ledger->db, "BEGIN");
      test_run(ledger->db, of->uncovered[i]);
      cr_expect_eq(ledger_verify_chain(ledger, &found, &error), BT_DAMAGED, "version %d: %s",
                   of->version, of->uncovered[i]);
      cr_expect_not_null(strstr(error.text, "is not as it was written"), "%s", error.text);
      test_run(ledger->db, "ROLLBACK");
    }
    cr_ok(ledger_verify_chain(ledger, &(bt_verification){0}, &error), error);
    free(triggers);
    bt_ledger_close(ledger);
    away(of);
  }
}

Test(ledger_versions, G5_a_changed_structure_is_refused_and_left_alone) {
  const char *path = test_path("clinic.sqlite");
  for (const older_version *of = versions; of < versions + VERSIONS; of++)
    for (size_t i = 0; of->changes[i] != NULL; i++) {
      sqlite3 *db = NULL;
      bt_error error = {0};
      bt_ledger *ledger = NULL;
      char words[40];
      size_t n = 0, m = 0;
      cr_assert_eq(sqlite3_open(made(of), &db), SQLITE_OK);
      test_run(db, of->changes[i]);
      cr_assert_eq(sqlite3_close(db), SQLITE_OK);
      char *before = test_read_file(path, &n);
      cr_expect_eq(bt_ledger_open(path, BT_LEDGER_READ, &ledger, &error), BT_DAMAGED, "%s",
                   of->changes[i]);
      (void)snprintf(words, sizeof words, "of version %d, was changed", of->version);
      cr_expect_not_null(strstr(error.text, words), "%s", error.text);
      char *after = test_read_file(path, &m);
      cr_expect(n == m && memcmp(before, after, n) == 0, "%s", of->changes[i]);
      cr_expect_neq(access(kept(of), F_OK), 0, "a copy that is of no use is dropped");
      free(before);
      free(after);
      cr_assert_eq(unlink(path), 0);
    }
}

Test(ledger_versions, G5_the_schema_is_that_of_a_fresh_ledger) {
  for (const older_version *of = versions; of < versions + VERSIONS; of++) {
    bt_error error = {0};
    bt_ledger *ledger = test_open(made(of), BT_LEDGER_READ);
    cr_ok(ledger_schema_compare(ledger, &error), error);
    cr_expect_eq(test_number(ledger, "PRAGMA user_version"), LEDGER_VERSION);
    cr_expect_eq(test_number(ledger, "PRAGMA foreign_keys"), 1);
    cr_expect_eq(test_number(ledger, "PRAGMA legacy_alter_table"), 0);
    bt_ledger_close(ledger);
    away(of);
  }
}

/* ---- What a version had not ------------------------------------------------------------------ */

Test(ledger_versions, settings_of_version_2_may_name_a_typeface_from_then_on) {
  bt_error error = {0};
  bt_settings settings = {0};
  (void)kept(&versions[1]);
  bt_ledger *ledger = test_open(made(&versions[1]), BT_LEDGER_WRITE);
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
  test_close_whole(ledger);
}

Test(ledger_versions, settings_of_version_3_may_count_by_pulses_from_then_on) {
  bt_error error = {0};
  bt_settings settings = {0};
  (void)kept(&versions[2]);
  bt_ledger *ledger = test_open(made(&versions[2]), BT_LEDGER_WRITE);
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
  test_close_whole(ledger);
}

/* Rows of version 4 keep their digests, and a percent that is put into one of them is found. */
Test(ledger_versions, checks_of_version_4_may_have_a_percent_from_then_on) {
  bt_error error = {0};
  bt_verification found = {0};
  (void)kept(&versions[3]);
  bt_ledger *ledger = test_open(made(&versions[3]), BT_LEDGER_WRITE);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM checks WHERE energy_pct IS NOT NULL"), 0);
  bt_check check = test_check("Suite North", "2026-01-09T08:00", 1.6, 2);
  check.present = 1U << BT_READING_ENERGY_PCT;
  check.reading[BT_READING_ENERGY_PCT] = 100.25;
  test_import(ledger, "percent.csv", &check, 1);
  bt_history history = {0};
  cr_ok(bt_ledger_history(ledger, "Suite North", INT64_MAX, &history, &error), error);
  cr_expect_eq(history.present[history.n - 1], 1U << BT_READING_ENERGY_PCT);
  cr_expect_eq(history.reading[BT_READING_ENERGY_PCT][history.n - 1], 100.25);
  bt_history_free(&history);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  char *triggers = test_drop_triggers(ledger);
  test_run(ledger->db, "UPDATE checks SET energy_pct = 99 WHERE line = 2 AND source = 1");
  test_run(ledger->db, triggers);
  free(triggers);
  cr_expect_eq(bt_ledger_verify(ledger, &found, &error), BT_DAMAGED);
  bt_ledger_close(ledger);
}

/* The log of version 5 had grown: what is left out of its last state is left out of those to come,
 * and only there. */
Test(ledger_versions, refused_lines_of_version_5_may_be_left_out_from_then_on) {
  bt_error error = {0};
  bt_provenance found = {0};
  (void)kept(&versions[4]);
  bt_ledger *ledger = test_open(made(&versions[4]), BT_LEDGER_WRITE);
  cr_ok(bt_ledger_provenance(ledger, NULL, &found, &error), error);
  cr_expect(found.refused == 2 && found.with_loss == 1 && found.left_out == 0);
  const bt_refused_place serious = {2, 2};
  cr_ok(bt_ledger_leave_out(ledger, &serious, 1, "KL", "the value was never written", TEST_NOW,
                            &error),
        error);
  cr_ok(bt_ledger_provenance(ledger, "Suite South", &found, &error), error);
  cr_expect(found.refused == 2 && found.with_loss == 0 && found.left_out == 1);
  test_close_whole(ledger);
}
