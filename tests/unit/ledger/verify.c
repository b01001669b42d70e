/* Verifying: what is edited behind the triggers' back is named; what is not, passes. */
#include "helpers.h"

#include <stdio.h>
#include <stdlib.h>

TestSuite(ledger_verify, .fini = test_cleanup);

/* ---- Editing as another program would -------------------------------------------------------- */

static void run(sqlite3 *db, const char *sql) {
  char *words = NULL;
  cr_assert_eq(sqlite3_exec(db, sql, NULL, NULL, &words), SQLITE_OK, "%s: %s", sql, words);
}

static sqlite3 *raw(const char *path) {
  sqlite3 *db = NULL;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  run(db, "PRAGMA synchronous = OFF");
  return db;
}

/* Takes the table's triggers away, edits, and puts them back word for word. */
static void edit(sqlite3 *db, const char *table, const char *sql) {
  sqlite3_stmt *triggers = NULL;
  char *sought = sqlite3_mprintf(
      "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = %Q", table);
  char *saved[2] = {NULL, NULL}, *names[2] = {NULL, NULL};
  int n = 0;
  cr_assert_eq(sqlite3_prepare_v2(db, sought, -1, &triggers, NULL), SQLITE_OK);
  for (; sqlite3_step(triggers) == SQLITE_ROW && n < 2; n++) {
    names[n] = sqlite3_mprintf("DROP TRIGGER %s", sqlite3_column_text(triggers, 0));
    saved[n] = sqlite3_mprintf("%s", sqlite3_column_text(triggers, 1));
  }
  (void)sqlite3_finalize(triggers);
  cr_assert_eq(n, 2);
  for (int i = 0; i < 2; i++)
    run(db, names[i]);
  run(db, sql);
  for (int i = 0; i < 2; i++) {
    run(db, saved[i]);
    sqlite3_free(names[i]);
    sqlite3_free(saved[i]);
  }
  sqlite3_free(sought);
}

static char *read_bytes(const char *path, size_t *n) {
  FILE *file = fopen(path, "rb");
  cr_assert(file != NULL && fseek(file, 0, SEEK_END) == 0);
  *n = (size_t)ftell(file);
  rewind(file);
  char *bytes = malloc(*n);
  cr_assert(bytes != NULL && fread(bytes, 1, *n, file) == *n && fclose(file) == 0);
  return bytes;
}

static void write_bytes(const char *path, const char *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  cr_assert(file != NULL && fwrite(bytes, 1, n, file) == n && fclose(file) == 0);
}

/* Opens and verifies. */
static bt_status look(const char *path, bt_verification *found, bt_error *error) {
  bt_ledger *ledger = NULL;
  bt_status status = bt_ledger_open(path, BT_LEDGER_READ, &ledger, error);
  if (status == BT_OK)
    status = bt_ledger_verify(ledger, found, error);
  bt_ledger_close(ledger);
  return status;
}

/* Opens as a command that shows something does, and reads the history of every unit. */
static bt_status look_and_read(const char *path, bt_error *error) {
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_open(path, BT_LEDGER_READ, &ledger, error);
  if (status == BT_OK)
    status = bt_ledger_hold_entries(ledger, error);
  if (status == BT_OK)
    status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bt_history history;
    status = bt_ledger_history(ledger, names[i], 0, &history, error);
    if (status == BT_OK)
      bt_history_free(&history);
  }
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return status;
}

/* ---- Tests ----------------------------------------------------------------------------------- */

Test(ledger_verify, a_ledger_with_every_kind_of_row_is_whole) {
  bt_ledger *ledger = test_ledger();
  bt_verification found;
  bt_error error = {0};
  char state[21];
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_assert(found.entries == 1 && found.checks == 0 && found.events == 0);
  test_fill(ledger);
  test_state(ledger, state);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_assert(found.entries == 6 && found.checks == 3 && found.held == 1 && found.events == 2);
  cr_assert_str_eq(found.state, state);
  bt_check more = test_check("A", "2026-02-01", 1, 2); /* it is left open for writing */
  (void)test_import(ledger, "later.csv", &more, 1);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_assert(found.entries == 7 && found.checks == 4);
  cr_assert_str_neq(found.state, state);
  bt_ledger_close(ledger);
}

#define FIRST_CHECK  "the check of \"A\" at 2026-01-03T08:05 (log.csv, line 4)"
#define WHERE_FIRST  " WHERE unit = 1 AND line = 4"
#define THE_HELD     "the row held back of \"A\" at 2026-01-03T08:05 (changed.csv, line 4)"
#define EVENT_IN_LOG "the event of \"A\" at 2026-01-01 (changed.csv, line 8)"
#define EVENT_TYPED  "the event of \"B\" at 2026-01-01 (typed in, line 0)"

static const struct {
  const char *table, *sql, *named;
} edits[] = {
    {"checks", "UPDATE checks SET energy_mj = 1.2500000000000002" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET energy_mj = NULL, target_mj = energy_mj" WHERE_FIRST,
     FIRST_CHECK},
    {"checks", "UPDATE checks SET has_clock = 2" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET sequence = sequence + 4294967296" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET state = 1" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET refill = 4294967296" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET line = 5" WHERE_FIRST, "(log.csv, line 5)"},
    {"checks", "UPDATE checks SET source = 2" WHERE_FIRST, "(changed.csv, line 4)"},
    {"checks", "UPDATE checks SET remark = NULL" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET digest = zeroblob(16)" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET digest = CAST(digest || x'00' AS BLOB)" WHERE_FIRST, FIRST_CHECK},
    {"checks", "UPDATE checks SET time = 9000000000000000000" WHERE_FIRST, "an impossible time"},
    {"checks", "DELETE FROM checks" WHERE_FIRST, "entry 2 (import, 2026-01-01T00:00)"},
    {"text", "UPDATE text SET body = 'lamp cold' WHERE body = 'lamp warm'", FIRST_CHECK},
    {"text", "UPDATE text SET body = body || char(0) || 'x' WHERE body = 'lamp warm'", FIRST_CHECK},
    {"text", "UPDATE text SET salt = zeroblob(16) WHERE body = 'lamp warm'", FIRST_CHECK},
    {"text", "UPDATE text SET salt = CAST(salt || x'00' AS BLOB) WHERE body = 'lamp warm'",
     FIRST_CHECK},
    {"text", "INSERT INTO text (salt, body) VALUES (randomblob(16), 'never written')",
     "belongs to no check and no event"},
    {"text", "INSERT INTO text (number, salt, body) VALUES (900, randomblob(16), 'far away')",
     "text 900 belongs to no check and no event"},
    {"text", "INSERT INTO text (number, salt, body) VALUES (-1, x'', '')", "text -1 belongs to no"},
    {"held", "UPDATE held SET energy_mj = 1.25", THE_HELD},
    {"held", "DELETE FROM held", "entry 3 (import"},
    {"event", "UPDATE event SET kind = 'Moved' WHERE line = 8", EVENT_IN_LOG},
    {"event", "UPDATE event SET kind = 'explosion' WHERE line = 8", EVENT_IN_LOG},
    {"event", "UPDATE event SET has_clock = 4 WHERE line = 8",
     "the event of \"A\" at 2026-01-01T00:00 (changed.csv, line 8)"},
    {"event", "UPDATE event SET note = NULL WHERE line = 0", EVENT_TYPED},
    {"event", "DELETE FROM event WHERE line = 0", "entry 4 (event"},
    {"event", "UPDATE event SET entry = 2 WHERE line = 8", "entry 2 (import"},
    {"unit", "UPDATE unit SET name = 'a' WHERE name = 'A'", "entry 2 (import"},
    {"source", "UPDATE source SET sha256 = zeroblob(32) WHERE number = 2", "entry 3 (import"},
    {"source", "UPDATE source SET name = 'other.csv' WHERE number = 2", "entry 3 (import"},
    {"source_unit", "UPDATE source_unit SET rows = rows + 1 WHERE source = 2", "entry 3 (import"},
    {"refusal", "DELETE FROM refusal", "entry 3 (import"},
    {"setting_version", "UPDATE setting_version SET weekdays = 2", "entry 5 (settings"},
    {"setting_version", "UPDATE setting_version SET font = 'a.otf'", "entry 5 (settings"},
    {"unit_setting", "UPDATE unit_setting SET expected_days = 9", "entry 5 (settings"},
    {"unit_setting", "UPDATE unit_setting SET pulses_per_day = 9", "entry 5 (settings"},
    {"tolerance", "UPDATE tolerance SET low = 0.96", "entry 5 (settings"},
    {"baseline", "UPDATE baseline SET centre = 1.001", "entry 6 (baseline"},
    {"entry", "UPDATE entry SET at = at + 60 WHERE number = 4", "entry 4 (event"},
    {"entry", "UPDATE entry SET by = by || char(0) || 'x' WHERE number = 4", "entry 4 (event"},
    {"entry", "UPDATE entry SET why = '' WHERE number = 2", "entry 2 (import"},
    {"entry", "UPDATE entry SET previous = zeroblob(32) WHERE number = 4", "entry 4 (event"},
    {"entry", "UPDATE entry SET state = zeroblob(32) WHERE number = 6", "entry 6 (baseline"},
    {"checks", "UPDATE checks SET unit = 7" WHERE_FIRST,
     "the row unit 7, time 1767427500, sequence 0 of the table \"checks\" names a row of \"unit\""},
    {"event", "UPDATE event SET unit = 7 WHERE line = 8",
     "the row number 1 of the table \"event\" names a row of \"unit\" that is gone"},
    {"tolerance", "UPDATE tolerance SET version = 5",
     "the row version 5, number 1 of the table \"tolerance\" names a row of \"setting_version\""},
    {"entry", "UPDATE entry SET number = 8 WHERE number = 6", "names a row of \"entry\""},
    {"entry", "DELETE FROM entry", "names a row of \"entry\""},
};

Test(ledger_verify, each_edit_is_found_and_named) {
  const char *path = test_path("ledger"), *edited = test_path("edited");
  bt_ledger *ledger = test_ledger();
  test_fill(ledger);
  bt_ledger_close(ledger);
  size_t n;
  char *bytes = read_bytes(path, &n);
  for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
    write_bytes(edited, bytes, n);
    sqlite3 *db = raw(edited);
    edit(db, edits[i].table, edits[i].sql);
    cr_assert_gt(sqlite3_total_changes(db), 0, "%s", edits[i].sql);
    (void)sqlite3_close(db);
    bt_verification found;
    bt_error error = {0};
    cr_expect_eq(look(edited, &found, &error), BT_DAMAGED, "%s: %s", edits[i].sql, error.text);
    cr_expect_not_null(strstr(error.text, edits[i].named), "%s: %s", edits[i].sql, error.text);
    cr_expect_eq(strncmp(error.text, edited, strlen(edited)), 0, "%s", error.text);
    /* Whoever reads, even if no check is to be handed out, meets it too; but a text that nobody
     * wrote is never read. */
    if (strstr(edits[i].named, "belongs to no") == NULL) {
      error = (bt_error){0};
      cr_expect_eq(look_and_read(edited, &error), BT_DAMAGED, "%s: %s", edits[i].sql, error.text);
      cr_expect_not_null(strstr(error.text, "the ledger is not whole"), "%s", error.text);
    }
  }
  write_bytes(edited, bytes, n);
  bt_error none = {0};
  cr_ok(look_and_read(edited, &none), none);
  free(bytes);
}

/* A check whose unit was changed so that it keeps its place among the others: the unit that lost it
 * is not read without it. */
Test(ledger_verify, a_check_that_went_to_a_neighbour_is_missed) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_ledger();
  const bt_check checks[] = {test_check("A", "2026-02-01", 1, 2),
                             test_check("A", "2026-02-02", 1, 3),
                             test_check("B", "2026-02-03", 1, 4)};
  (void)test_import(ledger, "log.csv", checks, 3);
  bt_ledger_close(ledger);
  sqlite3 *db = raw(path);
  edit(db, "checks", "UPDATE checks SET unit = 2 WHERE line = 3");
  (void)sqlite3_close(db);
  bt_error error = {0};
  bt_history history;
  ledger = test_open(path, BT_LEDGER_READ);
  cr_ok(bt_ledger_hold_entries(ledger, &error), error); /* no digest is gone */
  for (int i = 0; i < 2; i++) {
    cr_expect_eq(bt_ledger_history(ledger, i == 0 ? "A" : "B", INT64_MAX, &history, &error),
                 BT_DAMAGED);
    cr_expect_not_null(strstr(error.text, "the check of \"B\" at 2026-02-02"), "%s", error.text);
  }
  bt_ledger_close(ledger);
}

/* The same with a place of its own among the other unit's checks, where a reader of the first unit
 * doesn't come: of a log's checks one is missing; one that was typed in is held without a reader.
 */
Test(ledger_verify, a_check_that_went_among_those_of_another_unit_is_missed) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_ledger();
  const bt_check checks[] = {
      test_check("A", "2026-02-01", 1, 2), test_check("A", "2026-02-02", 1, 3),
      test_check("B", "2026-01-03", 1, 4), test_check("B", "2026-02-03", 1, 5)};
  const bt_check typed = test_check("A", "2026-02-01T08:00", 1, 0);
  bt_error error = {0};
  bt_history history;
  bool known = false;
  (void)test_import(ledger, "log.csv", checks, 4);
  cr_ok(bt_ledger_add_check(ledger, &typed, false, "tech 1", TEST_NOW, &known, &error), error);
  bt_ledger_close(ledger);
  cr_ok(look_and_read(path, &error), error);
  sqlite3 *db = raw(path);
  edit(db, "checks", "UPDATE checks SET unit = 2 WHERE line = 2");
  ledger = test_open(path, BT_LEDGER_READ);
  cr_ok(bt_ledger_hold_entries(ledger, &error), error); /* no digest is gone */
  cr_expect_eq(bt_ledger_history(ledger, "A", INT64_MAX, &history, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, "logs brought 2 checks of \"A\", and 1 stand there"), "%s",
                     error.text);
  bt_ledger_close(ledger);
  edit(db, "checks", "UPDATE checks SET unit = 1 WHERE line = 2");
  cr_ok(look_and_read(path, &error), error);
  edit(db, "checks", "UPDATE checks SET unit = 2 WHERE line = 0");
  (void)sqlite3_close(db);
  ledger = test_open(path, BT_LEDGER_READ);
  cr_expect_eq(bt_ledger_hold_entries(ledger, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, "the check of \"B\" at 2026-02-01T08:00 (typed in"), "%s",
                     error.text);
  bt_ledger_close(ledger);
}

/* Numbers are what corrections and people name events by, and no digest has them. */
Test(ledger_verify, events_of_a_log_that_changed_numbers_are_found) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_ledger();
  bt_source source = test_source("diary.csv");
  bt_import *import = NULL;
  bt_import_counts counts;
  bt_error error = {0};
  bool repeated = false;
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error), error);
  for (int line = 2; line <= 4; line++) {
    bt_event event = {.unit = "A",
                      .time = TEST_NOW + line,
                      .has_clock = true,
                      .kind = BT_EVENT_SERVICE,
                      .line = line,
                      .last_line = line};
    cr_ok(bt_import_event(import, &event, &error), error);
  }
  cr_ok(bt_import_commit(import, &counts, &error), error);
  bt_ledger_close(ledger);
  cr_ok(look_and_read(path, &error), error);
  sqlite3 *db = raw(path);
  edit(db, "event",
       "UPDATE event SET number = 9 WHERE number = 2; UPDATE event SET number = 2 WHERE number = 3;"
       "UPDATE event SET number = 3 WHERE number = 9");
  (void)sqlite3_close(db);
  bt_verification found;
  cr_expect_eq(look(path, &found, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, "event 3 is gone, or numbers of events were changed"), "%s",
                     error.text);
  cr_expect_eq(look_and_read(path, &error), BT_DAMAGED);
}

/* What no shell would take without its checks switched off: SQLite names the table, we the row. */
Test(ledger_verify, what_breaks_a_rule_of_its_table_is_named_by_row) {
  static const struct {
    const char *table, *sql, *named;
  } broken[] = {
      {"entry", "UPDATE entry SET state = CAST(state || x'00' AS BLOB) WHERE number = 4",
       "CHECK constraint failed in entry); entry 4 (event"},
      {"source", "UPDATE source SET sha256 = zeroblob(40) WHERE number = 2",
       "CHECK constraint failed in source); entry 3 (import"},
  };
  for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
    const char *path = test_path(i == 0 ? "ledger" : "other");
    bt_ledger *ledger = i == 0 ? test_ledger() : test_open(path, BT_LEDGER_CREATE);
    test_fill(ledger);
    bt_ledger_close(ledger);
    sqlite3 *db = raw(path);
    run(db, "PRAGMA ignore_check_constraints = ON");
    edit(db, broken[i].table, broken[i].sql);
    (void)sqlite3_close(db);
    bt_verification found;
    bt_error error = {0};
    cr_expect_eq(look(path, &found, &error), BT_DAMAGED);
    cr_expect_not_null(strstr(error.text, broken[i].named), "%s", error.text);
  }
}

/* A sentence has no room for names without end: table and row are named all the same. */
Test(ledger_verify, a_long_name_hides_nothing) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_ledger();
  test_fill(ledger);
  bt_ledger_close(ledger);
  sqlite3 *db = raw(path);
  edit(db, "checks", "UPDATE checks SET energy_mj = 9 WHERE line = 4");
  edit(db, "unit",
       "UPDATE unit SET name = replace(printf('%.3000c', 'x'), 'x', 'ä') WHERE number = 1");
  edit(db, "source", "UPDATE source SET name = printf('%.3000c', 'y') WHERE number = 1");
  (void)sqlite3_close(db);
  bt_verification found;
  bt_error error = {0};
  cr_expect_eq(look(path, &found, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, ", line 4) is not as it was written; use a backup"), "%s",
                     error.text);
  cr_expect(bt_utf8_valid(error.text, strlen(error.text)), "%s", error.text);
}

/* An index that has lost its rows, by a detour over another text: to the schema and to all digests
 * the ledger is whole, but whoever looks by the index finds no event. */
Test(ledger_verify, an_index_that_lost_rows_is_found) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_ledger();
  test_fill(ledger);
  bt_ledger_close(ledger);
  static const char *const texts[] = {
      "CREATE INDEX event_by_time ON event (unit, time) WHERE unit < 0",
      "CREATE INDEX event_by_time ON event (unit, time)"};
  for (size_t i = 0; i < 2; i++) {
    sqlite3 *db = raw(path);
    char *set = sqlite3_mprintf(
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = %Q WHERE name = 'event_by_time'",
        texts[i]);
    run(db, set);
    sqlite3_free(set);
    (void)sqlite3_close(db);
    db = raw(path);
    if (i == 0)
      run(db, "REINDEX event_by_time");
    (void)sqlite3_close(db);
  }
  bt_verification found;
  bt_error error = {0};
  cr_expect_eq(look(path, &found, &error), BT_DAMAGED, "%s", error.text);
  cr_expect_not_null(strstr(error.text, "missing from index event_by_time"), "%s", error.text);
}

static void write_byte(const char *path, size_t at, char byte) {
  FILE *file = fopen(path, "r+b");
  cr_assert(file != NULL && fseek(file, (long)at, SEEK_SET) == 0);
  cr_assert(fputc(byte, file) != EOF && fclose(file) == 0);
}

/* Byte 18 above 2 makes SQLite read the file and never write it, and nothing else tells of it:
 * "Database File Format", section 1.3.3, sqlite.org/fileformat2.html. */
Test(ledger_verify, a_mark_that_forbids_writing_is_named) {
  static const char turned[] = {(char)254, 3, 0, 2};
  bt_ledger *ledger = test_ledger();
  const char *path = test_path("ledger");
  bt_verification found;
  bt_error error = {0};
  test_fill(ledger);
  bt_ledger_close(ledger);
  for (size_t i = 0; i < sizeof turned; i++) {
    char words[64];
    (void)snprintf(words, sizeof words,
                   "(bytes 18 and 19) are %d and 1, where a ledger has 1 and 1",
                   (unsigned char)turned[i]);
    write_byte(path, 18, turned[i]);
    cr_expect_eq(look(path, &found, &error), BT_DAMAGED, "%d", turned[i]);
    cr_expect_not_null(strstr(error.text, words), "%s", error.text);
    static const bt_ledger_mode writes[] = {BT_LEDGER_WRITE, BT_LEDGER_CREATE};
    for (size_t m = 0; m < sizeof writes / sizeof *writes; m++) {
      error = (bt_error){0};
      cr_expect_eq(bt_ledger_open(path, writes[m], &ledger, &error), BT_DAMAGED);
      cr_expect_not_null(strstr(error.text, words), "%s", error.text);
      cr_expect_not_null(strstr(error.text, "; put a backup of it in its place"));
    }
  }
  write_byte(path, 18, 1);
  cr_ok(look(path, &found, &error), error);
  ledger = test_open(path, BT_LEDGER_WRITE);
  bt_ledger_close(ledger);
}

/* The count of free pages at the file's head, bytes 36 to 39: SQLite's finding is told in one line.
 */
Test(ledger_verify, a_head_that_is_wrong_is_told_in_one_line) {
  bt_ledger *ledger = test_ledger();
  const char *path = test_path("ledger");
  bt_verification found;
  bt_error error = {0};
  test_fill(ledger);
  bt_ledger_close(ledger);
  write_byte(path, 39, 77);
  cr_expect_eq(look(path, &found, &error), BT_DAMAGED);
  cr_expect_not_null(strstr(error.text, "77"), "%s", error.text);
  cr_expect(strchr(error.text, '\n') == NULL && strstr(error.text, "***") == NULL, "%s",
            error.text);
}

/* Where a byte that turned over goes unnoticed, it held nothing: all content is in the state. Where
 * BEAMTALLY_LONG_TESTS is set, bytes less far apart are turned. */
Test(ledger_verify, a_byte_turned_over_is_found_or_holds_nothing) {
  enum { STEP = 7919, SHORT_STEP = 2311 };
  const size_t step = getenv("BEAMTALLY_LONG_TESTS") != NULL ? SHORT_STEP : STEP;
  bt_ledger *ledger = test_ledger();
  const char *path = test_path("ledger");
  test_fill(ledger);
  bt_error error = {0};
  bt_verification whole, found;
  cr_ok(bt_ledger_verify(ledger, &whole, &error), error);
  bt_ledger_close(ledger);
  size_t n;
  char *bytes = read_bytes(path, &n);
  for (size_t at = 1; at < n; at += step) {
    write_byte(path, at, (char)~bytes[at]);
    if (look(path, &found, &error) == BT_OK)
      cr_expect(memcmp(&found, &whole, sizeof found) == 0, "byte %zu", at);
    write_byte(path, at, bytes[at]);
  }
  /* The reading 1.25 stands as these eight bytes, for certain; the one held back is 2. */
  static const char reading[] = {0x3F, (char)0xF4, 0, 0, 0, 0, 0, 0};
  size_t seen = 0;
  for (size_t at = 0; at + sizeof reading <= n; at++) {
    if (memcmp(bytes + at, reading, sizeof reading) != 0)
      continue;
    seen++;
    write_byte(path, at + 7, 1);
    cr_expect_eq(look(path, &found, &error), BT_DAMAGED);
    cr_expect_not_null(strstr(error.text, FIRST_CHECK), "%s", error.text);
    write_byte(path, at + 7, bytes[at + 7]);
  }
  cr_expect_eq(seen, 1);
  cr_ok(look(path, &found, &error), error);
  free(bytes);
}
