/* Tables of an export, cell by cell against SQL of the test's own. */
#include "everything.h"
#include "sql_private.h"

#include <stdio.h>

TestSuite(ledger_tables, .fini = test_cleanup);

/* The sink steps the expected rows along with those that it is handed. */
typedef struct comparison {
  const char *table;
  sqlite3_stmt *expected;
  size_t columns, rows;
  bool own; /* a column door_force was there */
  bt_status answer;
} comparison;

static bt_status take_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  comparison *c = context;
  (void)error;
  c->columns = n;
  cr_expect_eq((int)n, sqlite3_column_count(c->expected), "%s: %zu columns", c->table, n);
  for (size_t i = 0; i < n; i++) {
    const char *name = sqlite3_column_name(c->expected, (int)i);
    cr_expect(strcmp(names[i], name) == 0, "%s: %s, not %s", c->table, names[i], name);
    c->own = c->own || strcmp(names[i], "door_force") == 0;
  }
  return BT_OK;
}

/* As text, as a file would have it. */
static const char *words_of(const bt_cell *cell, char *buffer, size_t size) {
  bt_civil civil = bt_civil_of(cell->integer);
  if (cell->type == BT_CELL_TEXT)
    return cell->text;
  if (cell->type == BT_CELL_DAY)
    return bt_time_day_iso(cell->integer, buffer);
  if (cell->type == BT_CELL_MOMENT)
    return bt_time_iso(cell->integer, true, buffer);
  if (cell->type == BT_CELL_CLOCK)
    (void)snprintf(buffer, size, "%02d:%02d:%02d", civil.hour, civil.minute, civil.second);
  else
    (void)snprintf(buffer, size, "%lld", (long long)cell->integer);
  return buffer;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  comparison *c = context;
  char buffer[BT_TIME_TEXT];
  (void)error;
  cr_assert_eq(n, c->columns);
  cr_assert_eq(sqlite3_step(c->expected), SQLITE_ROW, "%s has a row more", c->table);
  for (size_t i = 0; i < n; i++) {
    const char *name = sqlite3_column_name(c->expected, (int)i);
    const char *text = (const char *)sqlite3_column_text(c->expected, (int)i);
    if (cells[i].type == BT_CELL_EMPTY)
      cr_expect_null(text, "%s.%s: %s", c->table, name, text);
    else if (cells[i].type == BT_CELL_REAL)
      cr_expect(text != NULL && cells[i].real == sqlite3_column_double(c->expected, (int)i),
                "%s.%s", c->table, name);
    else
      cr_expect(text != NULL && strcmp(text, words_of(&cells[i], buffer, sizeof buffer)) == 0,
                "%s.%s: %s, not %s", c->table, name, words_of(&cells[i], buffer, sizeof buffer),
                text);
  }
  c->rows++;
  return c->answer;
}

#define DAY(column)           "date(" column ", 'unixepoch')"
#define CLOCK(column)         "CASE has_clock WHEN 1 THEN time(" column ", 'unixepoch') END"
#define MOMENT(column)        "strftime('%Y-%m-%dT%H:%M', " column ", 'unixepoch')"
#define UNIT(number)          "(SELECT name FROM unit WHERE number = " number ")"
#define ENTRY(column)         "(SELECT " column " FROM entry WHERE entry.number = entry)"
#define READING(ID, key, ...) ", " #key
#define BODY(ID, key)         ", (SELECT nullif(body, '') FROM text WHERE number = " #key ") AS " #key

#define CHECK(own)                                                                                                          \
  "SELECT 1 AS beamtally_export, " DAY("time") " AS date, " CLOCK("time") " AS time, " UNIT("unit") " AS unit" BT_READINGS( \
      READING) ", CASE state WHEN 1 THEN 'as_found' WHEN 2 THEN "                                                           \
               "'as_left' END AS state, CASE refill WHEN 1 THEN 'before' WHEN 2 THEN 'after' END "                          \
               "AS refill" BT_TEXTS(                                                                                        \
                   BODY) ", (SELECT value FROM " own " AS o WHERE (o.unit, o.time, "                                        \
                         "o.sequence) = (c.unit, c.time, c.sequence)) AS door_force, source AS "                            \
                         "beamtally_source, CASE line WHEN 0 THEN NULL ELSE line END AS beamtally_line, "                   \
                         "CASE last_line WHEN 0 THEN NULL ELSE last_line END AS beamtally_last_line, "                      \
                         "lower(hex(digest)) AS beamtally_digest, sequence AS beamtally_sequence"
#define SUPERSEDED "(c.unit, c.time, c.sequence) IN (SELECT unit, time, sequence FROM superseded)"
#define EVENT                                                                                                         \
  "SELECT 1 AS beamtally_export, " DAY("time") " AS date, " CLOCK("time") " AS time, " UNIT(                          \
      "unit") " AS unit, kind AS event, (SELECT nullif(body, '') FROM text WHERE number = note) "                     \
              "AS note, source AS beamtally_source, CASE line WHEN 0 THEN NULL ELSE line END AS "                     \
              "beamtally_line, CASE last_line WHEN 0 THEN NULL ELSE last_line END AS beamtally_last_line, "           \
              "lower(hex(digest)) AS beamtally_digest, number AS beamtally_number, entry AS beamtally_entry, " ENTRY( \
                  "by") " AS beamtally_by"

static const struct {
  bt_table table;
  const char *sql;
  size_t rows;
} expected[] = {
    {BT_TABLE_CHECKS,
     CHECK("own_reading") " FROM checks AS c WHERE NOT " SUPERSEDED " ORDER BY c.unit, c.time, "
                          "c.sequence",
     5},
    {BT_TABLE_EVENTS,
     EVENT " FROM event AS v WHERE number NOT IN (SELECT event FROM superseded_event) "
           "ORDER BY number",
     3},
    {BT_TABLE_TOLERANCES,
     "SELECT version, number, unit, characteristic, low, high, source, " DAY(
         "from_day") " AS \"from\" FROM tolerance ORDER BY 1, 2",
     2},
    {BT_TABLE_OWN_CHARACTERISTICS,
     "SELECT version, number, key, title, unit, decimals FROM own_characteristic", 1},
    {BT_TABLE_REFUSALS,
     "SELECT source, (SELECT name FROM source WHERE number = source) AS file, number, line, header AS "
     "column, field, reason, serious <> 0 AS serious, 1 AS stands, entry AS left_out, " MOMENT(
         ENTRY("at")) " AS entered_at, " ENTRY("by") " AS by, " ENTRY("why") " AS why FROM refusal "
                                                                             "JOIN left_out USING "
                                                                             "(source, number) "
                                                                             "ORDER BY source, "
                                                                             "number",
     1},
    {BT_TABLE_ENTRIES,
     "SELECT number, kind, CASE WHEN number > 1 THEN " MOMENT(
         "at") " END AS entered_at, by, why, "
               "lower(hex(previous)) AS previous, lower(hex(state)) AS state, form FROM entry ORDER BY number",
     21},
    {BT_TABLE_DISPOSITIONS,
     "SELECT number, " UNIT(
         "unit") " AS unit, characteristic, CASE high WHEN 1 THEN 'high' ELSE "
                 "'low' END AS side, episode, " MOMENT("from_time") " AS first_at, " MOMENT("to_time") " AS last_at, baseline_version, cause, action, restart, NULL AS restart_at, entry, " MOMENT(
                     ENTRY("at")) " AS entered_at, " ENTRY("by") " AS by FROM disposition",
     1},
    {BT_TABLE_ISSUED,
     "SELECT number, " UNIT("unit") " AS unit, '2026-01' AS month, revision, lower(hex(sha256)) AS "
                                    "sha256, lower(hex(state)) AS state, entry, " MOMENT(ENTRY(
                                        "at")) " AS entered_at, " ENTRY("by") " AS by FROM issued",
     2},
};

static comparison compare(bt_ledger *ledger, bt_table table, const char *sql, bt_status answer) {
  comparison c = {.table = bt_table_name(table), .answer = answer};
  const bt_table_sink sink = {.context = &c, .columns = take_columns, .row = take_row};
  bt_error error = {0};
  cr_ok(ledger_prepare(ledger, sql, &c.expected, &error), error);
  cr_expect_eq(bt_ledger_table(ledger, table, &sink, &error), answer, "%s: %s", c.table,
               error.text);
  if (answer == BT_OK)
    cr_expect_eq(sqlite3_step(c.expected), SQLITE_DONE, "%s lacks a row", c.table);
  (void)sqlite3_finalize(c.expected);
  return c;
}

Test(ledger_tables, cells_are_those_of_the_ledger) {
  bt_ledger *ledger = test_ledger();
  test_fill_everything(ledger);
  for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
    comparison c = compare(ledger, expected[i].table, expected[i].sql, BT_OK);
    cr_expect_eq(c.rows, expected[i].rows, "%s: %zu rows", c.table, c.rows);
    cr_expect_eq(c.own, expected[i].table == BT_TABLE_CHECKS, "%s", c.table);
  }
  bt_ledger_close(ledger);
}

/* Only counts; no two columns may have one name. */
static bt_status count_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  (void)error;
  for (size_t i = 0; i < n; i++)
    for (size_t k = 0; k < i; k++)
      cr_expect(strcmp(names[i], names[k]) != 0, "two columns %s", names[i]);
  *(size_t *)context = 0;
  return BT_OK;
}

static bt_status count_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  (void)error;
  cr_assert(n > 0 && cells != NULL);
  (*(size_t *)context)++;
  return BT_OK;
}

Test(ledger_tables, every_table_hands_out_all_its_rows) {
  static const struct {
    const char *name, *rows;
  } all[BT_TABLE_COUNT] = {
      {"checks", "SELECT (SELECT count(*) FROM checks) - (SELECT count(*) FROM superseded)"},
      {"events", "SELECT (SELECT count(*) FROM event) - (SELECT count(*) FROM superseded_event)"},
      {"superseded_checks", "SELECT count(*) FROM superseded"},
      {"superseded_events", "SELECT count(*) FROM superseded_event"},
      {"held_back", "SELECT count(*) FROM held"},
      {"refused_lines", "SELECT count(*) FROM refusal"},
      {"sources", "SELECT count(*) FROM source"},
      {"settings", "SELECT count(*) FROM setting_version"},
      {"tolerances", "SELECT count(*) FROM tolerance"},
      {"units", "SELECT (SELECT count(*) FROM unit) + (SELECT count(*) FROM unit_setting)"},
      {"own_characteristics", "SELECT count(*) FROM own_characteristic"},
      {"baselines", "SELECT count(*) FROM baseline"},
      {"dispositions", "SELECT count(*) FROM disposition"},
      {"issued_reports", "SELECT count(*) FROM issued"},
      {"removed_texts", "SELECT count(*) FROM redaction"},
      {"unit_sources", "SELECT count(*) FROM source_unit"},
      {"entries", "SELECT count(*) FROM entry"},
  };
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  test_fill_everything(ledger);
  for (bt_table t = 0; t < BT_TABLE_COUNT; t++) {
    size_t rows = 0;
    const bt_table_sink sink = {.context = &rows, .columns = count_columns, .row = count_row};
    cr_expect_str_eq(bt_table_name(t), all[t].name);
    cr_ok(bt_ledger_table(ledger, t, &sink, &error), error);
    cr_expect_eq((int64_t)rows, test_number(ledger, all[t].rows), "%s: %zu", all[t].name, rows);
    cr_expect_gt(rows, 0, "%s", all[t].name);
  }
  bt_ledger_close(ledger);
}

Test(ledger_tables, a_sink_that_refuses_ends_the_table) {
  bt_ledger *ledger = test_ledger();
  test_fill_everything(ledger);
  cr_expect_eq(compare(ledger, BT_TABLE_ENTRIES, expected[5].sql, BT_SYSTEM).rows, 1);
  /* The ledger can be written to again. */
  bt_check check = test_check("A", "2026-04-01", 1, 2);
  (void)test_import(ledger, "april.csv", &check, 1);
  bt_ledger_close(ledger);
}
