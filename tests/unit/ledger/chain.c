/* The chain of entries, computed anew from the tables by code of the test's own. */
#include "digest_private.h"
#include "helpers.h"
#include "row_private.h"
#include "sql_private.h"

#include <sodium.h>

TestSuite(ledger_chain, .fini = test_cleanup);

/* ---- Forms, as the heads of src/ledger/digest.c and entry.c say ------------------------------ */

typedef struct bytes {
  unsigned char at[4096];
  size_t n;
} bytes;

static void add(bytes *b, const void *from, size_t n) {
  cr_assert_leq(b->n + n, sizeof b->at);
  if (n > 0) /* an empty text is a NULL pointer */
    memcpy(b->at + b->n, from, n);
  b->n += n;
}

static void add_letter(bytes *b, char letter) {
  add(b, &letter, 1);
}

static void add_integer(bytes *b, int64_t value) {
  for (int shift = 0; shift < 64; shift += 8) {
    unsigned char byte = (unsigned char)((uint64_t)value >> shift);
    add(b, &byte, 1);
  }
}

static void add_double(bytes *b, double value) {
  int64_t bits;
  memcpy(&bits, &value, sizeof bits);
  add_integer(b, bits);
}

static void add_column(bytes *b, sqlite3_stmt *row, int c) {
  switch (sqlite3_column_type(row, c)) {
  case SQLITE_NULL:
    add_letter(b, 'n');
    break;
  case SQLITE_INTEGER:
    add_letter(b, 'i');
    add_integer(b, sqlite3_column_int64(row, c));
    break;
  case SQLITE_FLOAT:
    add_letter(b, 'r');
    add_double(b, sqlite3_column_double(row, c));
    break;
  default:
    add_letter(b, sqlite3_column_type(row, c) == SQLITE_TEXT ? 't' : 'b');
    add_integer(b, sqlite3_column_bytes(row, c));
    add(b, sqlite3_column_blob(row, c), (size_t)sqlite3_column_bytes(row, c));
  }
}

static sqlite3_stmt *query(bt_ledger *ledger, const char *sql, int64_t parameter) {
  sqlite3_stmt *statement = NULL;
  bt_error error = {0};
  cr_ok(ledger_prepare(ledger, sql, &statement, &error), error);
  if (sqlite3_bind_parameter_count(statement) > 0)
    cr_assert_eq(sqlite3_bind_int64(statement, 1, parameter), SQLITE_OK);
  return statement;
}

/* The rows of a table that belong to an entry, after the list's letter. */
static void add_list(bytes *b, bt_ledger *ledger, char letter, const char *sql, int64_t entry) {
  sqlite3_stmt *rows = query(ledger, sql, entry);
  add_letter(b, letter);
  while (sqlite3_step(rows) == SQLITE_ROW)
    for (int c = 0; c < sqlite3_column_count(rows); c++)
      add_column(b, rows, c);
  (void)sqlite3_finalize(rows);
}

#define OF_SOURCE(columns, table, order)                                                           \
  "SELECT " columns " FROM " table                                                                 \
  " WHERE source IN (SELECT number FROM source WHERE entry = ?1) ORDER BY " order
#define OF_VERSION(columns, table)                                                                 \
  "SELECT " columns " FROM " table                                                                 \
  " WHERE version IN (SELECT number FROM setting_version WHERE entry = ?1) ORDER BY number"

/* What form 2 adds. */
static void add_later_lists(bytes *b, bt_ledger *ledger, int64_t entry) {
  add_list(b, ledger, 'A',
           "SELECT unit, characteristic, version, mean_x, mean_y, var_x, var_y, cov_xy, "
           "from_differences, drift_accepted, trend_p, step_p FROM baseline WHERE entry = ?1 AND "
           "NOT (mean_x = 0 AND mean_y = 0 AND var_x = 0 AND var_y = 0 AND cov_xy = 0 AND "
           "from_differences = 0 AND drift_accepted = 0 AND trend_p = 1 AND step_p = 1)",
           entry);
  add_list(b, ledger, 'G',
           "SELECT * FROM baseline_exclusion WHERE (unit, characteristic, version) IN (SELECT "
           "unit, characteristic, version FROM baseline WHERE entry = ?1) ORDER BY 1, 2, 3, 4",
           entry);
  add_list(b, ledger, 'O', OF_VERSION("number, key, title, unit, decimals", "own_characteristic"),
           entry);
  add_list(b, ledger, 'K', "SELECT number, key FROM own_key WHERE entry = ?1 ORDER BY 1", entry);
  add_list(b, ledger, 'X',
           "SELECT unit, time, sequence, kind, new_unit, new_time, new_sequence FROM superseded "
           "WHERE entry = ?1 ORDER BY 1, 2, 3",
           entry);
  add_list(b, ledger, 'Y',
           "SELECT event, kind, replacement, (SELECT digest FROM event WHERE number = s.event), "
           "(SELECT digest FROM event WHERE number = s.replacement) FROM superseded_event AS s "
           "WHERE entry = ?1 ORDER BY 1",
           entry);
  add_list(b, ledger, 'Z',
           "SELECT unit, time, source, kept FROM settled WHERE entry = ?1 ORDER BY 1, 2, 3", entry);
  add_list(b, ledger, 'D',
           "SELECT text, sha256, field, unit, time, sequence, event FROM redaction "
           "WHERE entry = ?1 ORDER BY 1",
           entry);
  add_list(b, ledger, 'P',
           "SELECT number, unit, characteristic, high, from_time, to_time, baseline_version, "
           "episode, cause, action, restart FROM disposition WHERE entry = ?1 ORDER BY 1",
           entry);
  add_list(b, ledger, 'I',
           "SELECT number, unit, month, revision, sha256, state FROM issued WHERE entry = ?1 "
           "ORDER BY 1",
           entry);
}

static void state_anew(bt_ledger *ledger, int64_t entry, const unsigned char *previous,
                       unsigned char *state) {
  bytes b = {.n = 0};
  add_letter(&b, 'E');
  add_letter(&b, 'b');
  add_integer(&b, 32);
  add(&b, previous, 32);
  sqlite3_stmt *head =
      query(ledger, "SELECT number, kind, at, by, why, form FROM entry WHERE number = ?1", entry);
  cr_assert_eq(sqlite3_step(head), SQLITE_ROW);
  int64_t form = sqlite3_column_int64(head, 5);
  for (int c = 0; c < (form == 1 ? 5 : 6); c++)
    add_column(&b, head, c);
  (void)sqlite3_finalize(head);
  add_list(&b, ledger, 'U', "SELECT number, name, folded FROM unit WHERE entry = ?1 ORDER BY 1",
           entry);
  add_list(&b, ledger, 'S',
           "SELECT number, name, kind, sha256, bytes, reading FROM source WHERE entry = ?1", entry);
  add_list(&b, ledger, 'C', OF_SOURCE("digest", "checks", "line, unit, time, sequence"), entry);
  add_list(&b, ledger, 'H', OF_SOURCE("digest", "held", "line, unit, time, sequence"), entry);
  add_list(&b, ledger, 'V', "SELECT digest FROM event WHERE entry = ?1 ORDER BY line, number",
           entry);
  add_list(&b, ledger, 'R',
           OF_SOURCE("number, line, header, field, reason, serious", "refusal", "number"), entry);
  add_list(&b, ledger, 'T',
           OF_SOURCE("unit, source, rows, fresh, known, conflicts", "source_unit", "unit"), entry);
  add_list(&b, ledger, 'W',
           "SELECT number, weekdays, alarms_per_unit_year, tell, clinic FROM setting_version "
           "WHERE entry = ?1",
           entry);
  add_list(&b, ledger, 'N',
           OF_VERSION("number, name, beam, fluence, plate_alpha_per_um, plate_threshold, spread, "
                      "refill_interval_days, expected_days",
                      "unit_setting"),
           entry);
  add_list(&b, ledger, 'L',
           OF_VERSION("number, unit, characteristic, low, high, source, from_day", "tolerance"),
           entry);
  add_list(&b, ledger, 'B',
           "SELECT unit, characteristic, version, from_day, to_day, screen, centre, sigma, "
           "adjusted, slope_per_day, slope_se, slope_low, slope_high, fills, mean_age_days, "
           "oldest_age_days, radial_limit, derivation, n FROM baseline "
           "WHERE entry = ?1",
           entry);
  if (form >= 2)
    add_later_lists(&b, ledger, entry);
  if (form >= 3)
    add_list(&b, ledger, 'F',
             "SELECT number, font FROM setting_version WHERE entry = ?1 AND font IS NOT NULL",
             entry);
  if (form >= 4)
    add_list(&b, ledger, 'Q',
             "SELECT number, pulses_per_day FROM unit_setting WHERE pulses_per_day IS NOT NULL AND "
             "version IN (SELECT number FROM setting_version WHERE entry = ?1) ORDER BY number",
             entry);
  if (form >= 5)
    add_list(&b, ledger, 'J', "SELECT source, number FROM left_out WHERE entry = ?1 ORDER BY 1, 2",
             entry);
  (void)crypto_hash_sha256(state, b.at, b.n);
}

/* The absent flag and SHA-256(salt and body) of a stored text, as it was where that was removed. */
static void add_text(bytes *b, bt_ledger *ledger, sqlite3_stmt *row, int c) {
  if (sqlite3_column_type(row, c) == SQLITE_NULL) {
    add(b, "\0", 1);
    return;
  }
  sqlite3_stmt *text = query(ledger,
                             "SELECT salt, body, sha256 FROM text LEFT JOIN redaction ON "
                             "redaction.text = number WHERE number = ?1",
                             sqlite3_column_int64(row, c));
  cr_assert_eq(sqlite3_step(text), SQLITE_ROW);
  unsigned char sha256[32];
  if (sqlite3_column_type(text, 2) == SQLITE_BLOB) {
    cr_assert(sqlite3_column_bytes(text, 0) == 0 && sqlite3_column_bytes(text, 1) == 0);
    memcpy(sha256, sqlite3_column_blob(text, 2), sizeof sha256);
  } else {
    cr_assert_eq(sqlite3_column_bytes(text, 0), 16);
    bytes salted = {.n = 0};
    add(&salted, sqlite3_column_blob(text, 0), 16);
    add(&salted, sqlite3_column_blob(text, 1), (size_t)sqlite3_column_bytes(text, 1));
    (void)crypto_hash_sha256(sha256, salted.at, salted.n);
  }
  add(b, "\1", 1);
  add(b, sha256, sizeof sha256);
  (void)sqlite3_finalize(text);
}

static void expect_digest(const bytes *b, sqlite3_stmt *row, int c) {
  unsigned char digest[16];
  (void)crypto_generichash(digest, sizeof digest, b->at, b->n, NULL, 0);
  cr_assert_eq(sqlite3_column_bytes(row, c), 16);
  cr_assert_eq(memcmp(digest, sqlite3_column_blob(row, c), 16), 0);
}

/* Columns are found by name, so that the test knows no order of ours. */
static int column(sqlite3_stmt *row, const char *name) {
  for (int c = 0; c < sqlite3_column_count(row); c++)
    if (strcmp(sqlite3_column_name(row, c), name) == 0)
      return c;
  cr_assert_fail("no column %s", name);
  return 0;
}

static void add_named(bytes *b, sqlite3_stmt *row, const char *name) {
  add_integer(b, sqlite3_column_int64(row, column(row, name)));
}

/* Readings of the clinic's own, where there are any. */
static void add_own(bytes *b, bt_ledger *ledger, sqlite3_stmt *row, const char *table) {
  char *sql = sqlite3_mprintf(
      "SELECT k.key, o.value, count(*) OVER () FROM %s AS o JOIN own_key AS k ON k.number = o.own "
      "WHERE o.unit = %lld AND o.time = %lld AND o.sequence = %lld ORDER BY k.key",
      table, sqlite3_column_int64(row, column(row, "unit")),
      sqlite3_column_int64(row, column(row, "time")),
      sqlite3_column_int64(row, column(row, "sequence")));
  sqlite3_stmt *own = query(ledger, sql, 0);
  sqlite3_free(sql);
  for (int n = 0; sqlite3_step(own) == SQLITE_ROW; n++) {
    if (n == 0) {
      add_letter(b, 'o');
      add_integer(b, sqlite3_column_int64(own, 2));
    }
    add_integer(b, sqlite3_column_bytes(own, 0));
    add(b, sqlite3_column_text(own, 0), (size_t)sqlite3_column_bytes(own, 0));
    add_double(b, sqlite3_column_double(own, 1));
  }
  (void)sqlite3_finalize(own);
}

/* Readings that version 4 had not, where there are any. */
enum { FIRST_READINGS = 18 };

static void add_later(bytes *b, sqlite3_stmt *row) {
  bool any = false;
  for (int r = FIRST_READINGS; r < BT_READING_COUNT; r++) {
    const char *key = bt_reading_key((bt_reading)r);
    if (sqlite3_column_type(row, column(row, key)) == SQLITE_NULL)
      continue;
    if (!any)
      add_letter(b, 'r');
    any = true;
    add_integer(b, (int64_t)strlen(key));
    add(b, key, strlen(key));
    add_double(b, sqlite3_column_double(row, column(row, key)));
  }
}

static void check_digests(bt_ledger *ledger, const char *table, char tag, int *seen) {
  static const char *const numbers[] = {"source",   "line",      "last_line", "unit",  "time",
                                        "sequence", "has_clock", "state",     "refill"};
  char *sql = sqlite3_mprintf("SELECT * FROM %s", table);
  sqlite3_stmt *row = query(ledger, sql, 0);
  sqlite3_free(sql);
  for (; sqlite3_step(row) == SQLITE_ROW; (*seen)++) {
    bytes b = {.n = 0};
    add_letter(&b, tag);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
      add_named(&b, row, numbers[i]);
    for (int r = 0; r < FIRST_READINGS; r++) {
      int c = column(row, bt_reading_key((bt_reading)r));
      bool there = sqlite3_column_type(row, c) != SQLITE_NULL;
      add(&b, there ? "\1" : "\0", 1);
      if (there)
        add_double(&b, sqlite3_column_double(row, c));
    }
    for (int f = 0; f < BT_FIELD_COUNT; f++)
      add_text(&b, ledger, row, column(row, bt_text_field_key((bt_text_field)f)));
    add_own(&b, ledger, row, tag == 'c' ? "own_reading" : "held_own");
    add_later(&b, row);
    expect_digest(&b, row, column(row, "digest"));
  }
  (void)sqlite3_finalize(row);
}

static void event_digests(bt_ledger *ledger, int *seen) {
  static const char *const numbers[] = {"source", "line", "last_line", "unit", "time", "has_clock"};
  sqlite3_stmt *row = query(ledger, "SELECT * FROM event", 0);
  for (; sqlite3_step(row) == SQLITE_ROW; (*seen)++) {
    bytes b = {.n = 0};
    add_letter(&b, 'e');
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
      add_named(&b, row, numbers[i]); /* no source reads as 0 */
    const char *kind = (const char *)sqlite3_column_text(row, column(row, "kind"));
    add_integer(&b, (int64_t)strlen(kind));
    add(&b, kind, strlen(kind));
    add_text(&b, ledger, row, column(row, "note"));
    expect_digest(&b, row, column(row, "digest"));
  }
  (void)sqlite3_finalize(row);
}

/* ---- A ledger with every kind of entry ------------------------------------------------------- */

static void fill(bt_ledger *ledger, char states[][21]) {
  bt_error error = {0};
  bt_check log[3] = {test_check("A", "2026-01-03", 1.25, 4), test_check("B", "2026-01-01", -0.0, 3),
                     test_check("A", "2026-01-01", 1.5, 2)};
  test_state(ledger, states[0]);
  (void)test_import(ledger, "log", log, 3);
  test_state(ledger, states[1]);
  log[0].reading[BT_READING_ENERGY_MJ] = 2; /* A at line 4 and B at line 3 contradict the ledger */
  log[1].reading[BT_READING_ENERGY_MJ] = 2;
  bt_source source = test_source("changed");
  bt_import *import = NULL;
  bool flag = false;
  bt_import_counts counts;
  bt_refusal refusal = {.line = 9, .reason = "no date", .lost = BT_LOST_SELFTEST};
  bt_event event = {
      .unit = "A", .time = TEST_NOW, .kind = BT_EVENT_MOVED, .line = 8, .last_line = 8};
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &flag, &error), error);
  cr_ok(bt_import_check(import, &log[0], &error), error);
  cr_ok(bt_import_check(import, &log[1], &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  cr_ok(bt_import_refusal(import, &refusal, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_assert_eq(counts.conflicts, 2);
  test_state(ledger, states[2]);
  event.kind = BT_EVENT_OTHER;
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &flag, &error), error);
  test_state(ledger, states[3]);
  char name[] = "A", why[] = "yearly", characteristic_source[] = "policy 3";
  bt_unit_setting unit = {.name = name, .has_plate = true, .plate_alpha_per_um = 3.2};
  bt_tolerance tolerance = {
      .unit = name, .has_low = true, .low = 0.97, .source = characteristic_source};
  bt_settings settings = {.units_n = 1,
                          .units = &unit,
                          .tolerances_n = 1,
                          .tolerances = &tolerance,
                          .alarms_per_unit_year = 1};
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", why, TEST_NOW, &error), error);
  test_state(ledger, states[4]);
  bt_baseline baseline = {.has_centre = true, .centre = 1, .by = name, .why = why};
  int64_t version = 0;
  cr_ok(test_add_baseline(ledger, "A", &baseline, NULL, 0, TEST_NOW, &version, &error), error);
  test_state(ledger, states[5]);
}

enum { STATES = 6, DECISIONS = 10 };

/* What version 2 added: own readings, a typed check, corrections, a settled conflict, a removed
 * text, a file read again; and of version 6, a refused line left out. */
static void decide(bt_ledger *ledger) {
  bt_error error = {0};
  bool known = false;
  bt_text_holders further;
  bt_own_reading own[] = {{"door_force", 12.5}, {"b", -0.0}}, other[] = {{"b", 3}};
  bt_check check = test_check("A", "2026-03-01", 1, 2);
  check.own = own;
  check.own_n = 2;
  (void)test_import(ledger, "own", &check, 1);
  check.own = other;
  check.own_n = 1;
  (void)test_import(ledger, "own held", &check, 1);
  check.time += BT_DAY;
  check.text[BT_FIELD_REMARK] = "a name";
  cr_ok(bt_ledger_add_check(ledger, &check, false, "lead", TEST_NOW, &known, &error), error);
  cr_ok(bt_ledger_redact_check(ledger, "A", check.time, 0, BT_FIELD_REMARK, "lead",
                               "typed by mistake", TEST_NOW, (bt_removal){0}, &further, &error),
        error);
  check.text[BT_FIELD_REMARK] = NULL;
  check.reading[BT_READING_ENERGY_MJ] = 2;
  cr_ok(bt_ledger_correct_check(ledger, "A", check.time, 0, &check, "lead", "typing", TEST_NOW,
                                &error),
        error);
  cr_ok(bt_ledger_correct_check(ledger, "A", check.time, 1, NULL, "lead", "none", TEST_NOW, &error),
        error);
  cr_ok(bt_ledger_correct_event(ledger, 1, NULL, "lead", "never was", TEST_NOW, &error), error);
  bt_conflict *conflicts = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_conflicts(ledger, "A", &conflicts, &n, &error), error);
  cr_assert_geq(n, 1);
  cr_ok(bt_ledger_settle(ledger, &(const char *){conflicts[n - 1].id}, 1, BT_KEEP_NEW, "lead",
                         "seen", TEST_NOW, &error),
        error);
  bt_conflicts_free(conflicts, n);
  const bt_refused_place refused = {test_number(ledger, "SELECT source FROM refusal LIMIT 1"), 1};
  cr_ok(bt_ledger_leave_out(ledger, &refused, 1, "lead", "never written", TEST_NOW, &error), error);
  const bt_again again = {"lead", "another map", NULL};
  bt_source source = test_source("texts");
  bt_import *import = NULL;
  bt_import_counts counts;
  source.reading = "another map";
  cr_ok(bt_import_begin(ledger, &source, &again, false, TEST_NOW, &import, &known, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_assert_eq(counts.superseded, 1);
}

Test(ledger_chain, every_state_follows_from_the_tables) {
  bt_ledger *ledger = test_ledger();
  char states[STATES][21];
  unsigned char previous[32] = {0};
  unsigned char state[32];
  fill(ledger, states);
  bt_check check = test_check("A", "2026-02-01", 3, 2);
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    check.text[f] = "text µ";
  (void)test_import(ledger, "texts", &check, 1);
  decide(ledger);

  sqlite3_stmt *entry = query(ledger, "SELECT number, previous, state FROM entry ORDER BY 1", 0);
  int64_t number = 0;
  while (sqlite3_step(entry) == SQLITE_ROW) {
    cr_assert_eq(sqlite3_column_int64(entry, 0), ++number);
    cr_assert_eq(memcmp(sqlite3_column_blob(entry, 1), previous, 32), 0, "entry %d", (int)number);
    state_anew(ledger, number, previous, state);
    cr_assert_eq(memcmp(sqlite3_column_blob(entry, 2), state, 32), 0, "entry %d", (int)number);
    memcpy(previous, state, sizeof state);
    char digits[65];
    (void)sodium_bin2hex(digits, sizeof digits, state, sizeof state);
    if (number <= STATES)
      cr_assert_eq(strncmp(states[number - 1], digits, 20), 0, "printed state %d", (int)number);
  }
  (void)sqlite3_finalize(entry);
  cr_assert_eq(number, STATES + 1 + DECISIONS);
  cr_assert_eq(test_number(ledger, "SELECT count(DISTINCT kind) FROM superseded"), 4);
  int checks = 0, held = 0, events = 0;
  check_digests(ledger, "checks", 'c', &checks);
  check_digests(ledger, "held", 'h', &held);
  event_digests(ledger, &events);
  cr_assert(checks == 8 && held == 3 && events == 2);
  bt_ledger_close(ledger);
}

/* Without texts there is no salt: the same content at the same times gives the same states. */
Test(ledger_chain, states_differ_from_entry_to_entry_and_repeat_with_the_content) {
  char first[STATES][21];
  char second[STATES][21];
  bt_ledger *ledger = test_open(test_path("one"), BT_LEDGER_CREATE);
  fill(ledger, first);
  bt_ledger_close(ledger);
  ledger = test_open(test_path("two"), BT_LEDGER_CREATE);
  fill(ledger, second);
  bt_ledger_close(ledger);
  for (int i = 0; i < STATES; i++) {
    cr_expect_eq(strlen(first[i]), 20);
    cr_expect_str_eq(first[i], second[i], "state %d", i);
    for (int j = 0; j < i; j++)
      cr_expect_str_neq(first[i], first[j], "states %d and %d", i, j);
  }
}

/* Two texts with the same body have different salts, so that neither tells of the other. */
Test(ledger_chain, salts_are_random_and_only_short_repeated_texts_share_a_row) {
  bt_ledger *ledger = test_ledger();
  bt_check log[3];
  for (int i = 0; i < 3; i++) {
    log[i] = test_check("A", "2026-01-01", 1, i + 2);
    log[i].text[BT_FIELD_REMARK] = "same";
    log[i].text[BT_FIELD_METER] = "same";
    log[i].text[BT_FIELD_PATTERN] = "same";
  }
  (void)test_import(ledger, "log", log, 3);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM text"), 3 + 1 + 1);
  cr_assert_eq(test_number(ledger, "SELECT count(DISTINCT salt) FROM text"), 5);
  cr_assert_eq(test_number(ledger, "SELECT count(DISTINCT meter) FROM checks"), 1);
  cr_assert_eq(test_number(ledger, "SELECT count(DISTINCT remark) FROM checks"), 3);
  bt_ledger_close(ledger);
}

Test(ledger_chain, negative_zero_has_the_digest_of_zero) {
  unsigned char digest[2][LEDGER_DIGEST_BYTES];
  ledger_row row = {.check = test_check("A", "2026-01-01", 0.0, 2), .unit = 1, .source = 1};
  ledger_check_digest('c', &row, digest[0]);
  row.check.reading[BT_READING_ENERGY_MJ] = -0.0;
  ledger_check_digest('c', &row, digest[1]);
  cr_assert_eq(memcmp(digest[0], digest[1], LEDGER_DIGEST_BYTES), 0);
}

/* Were the air pressure, the last of version 4, a reading that came later. */
Test(ledger_chain, a_later_reading_leaves_rows_that_lack_it_their_digest) {
  unsigned char digest[LEDGER_DIGEST_BYTES], expected[LEDGER_DIGEST_BYTES];
  ledger_row row = {.check = test_check("A", "2026-01-01", 1.5, 2), .unit = 3, .source = 4};
  const int64_t numbers[] = {4, 2, 2, 3, row.check.time, 0, row.check.has_clock, 0, 0};
  bytes b = {.n = 0};
  add_letter(&b, 'c');
  for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
    add_integer(&b, numbers[i]);
  for (int r = 0; r < BT_READING_PRESSURE_MBAR; r++) {
    bool there = r == BT_READING_ENERGY_MJ;
    add(&b, there ? "\1" : "\0", 1);
    if (there)
      add_double(&b, 1.5);
  }
  add(&b, "\0\0\0\0\0", BT_FIELD_COUNT);
  ledger_check_digest_of('c', &row, BT_READING_PRESSURE_MBAR, digest);
  (void)crypto_generichash(expected, sizeof expected, b.at, b.n, NULL, 0);
  cr_assert_eq(memcmp(digest, expected, sizeof digest), 0);
  row.check.present |= 1U << BT_READING_PRESSURE_MBAR;
  row.check.reading[BT_READING_PRESSURE_MBAR] = 1013;
  add_letter(&b, 'r');
  add_integer(&b, 13);
  add(&b, "pressure_mbar", 13);
  add_double(&b, 1013);
  ledger_check_digest_of('c', &row, BT_READING_PRESSURE_MBAR, digest);
  (void)crypto_generichash(expected, sizeof expected, b.at, b.n, NULL, 0);
  cr_assert_eq(memcmp(digest, expected, sizeof digest), 0);
}
