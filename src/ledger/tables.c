/* All that the ledger holds, table by table, for an export. One statement a table; its columns'
 * names are what the file says. Rows are handed on as they come, so that memory does not grow with
 * the table.
 *
 * Tables of checks and events have the columns of a log, so that an import takes them as they are;
 * what is not of a log begins with beamtally_. `superseded_...` and `held_back` have after that
 * what became of each row.
 *
 * In each statement ?1 is the last entry that is seen (bt_ledger_as_of), where it asks for one: all
 * that goes into an evidence folder does. */
#include "ledger_private.h"
#include "refused_private.h"
#include "sql_private.h"

#include <stdlib.h>
#include <string.h>

#define ENTRY_OF(alias)                                                                            \
  "iif(" alias ".number > 1, " alias ".at, NULL) AS entered_at, " alias ".by AS by, " alias        \
  ".why AS why"

/* ---- Checks ---------------------------------------------------------------------------------- */

#define TABLE_READING(ID, key, ...) ", c." #key " AS " #key
#define TABLE_TEXT(ID, key)                                                                        \
  ", (SELECT t.body FROM main.text AS t WHERE t.number = c." #key " AND t.salt <> x'') AS " #key

/* The clinic's own characteristics stand between these two. */
#define CHECK_HEAD                                                                                 \
  "SELECT 1 AS beamtally_export, c.time AS date, iif(c.has_clock, c.time, NULL) AS time, "         \
  "u.name AS unit" BT_READINGS(TABLE_READING) ", CASE c.state WHEN 1 THEN 'as_found' "             \
                                              "WHEN 2 THEN 'as_left' END AS state, "               \
                                              "CASE c.refill WHEN 1 THEN 'before' "                \
                                              "WHEN 2 THEN 'after' END AS refill" BT_TEXTS(        \
                                                  TABLE_TEXT)
#define CHECK_TAIL                                                                                 \
  ", c.source AS beamtally_source, nullif(c.line, 0) AS beamtally_line, "                          \
  "nullif(c.last_line, 0) AS beamtally_last_line, lower(hex(c.digest)) AS beamtally_digest, c.sequence AS beamtally_sequence"

/* The row came with a source of an entry that is seen. */
#define SEEN(alias) alias ".source IN (SELECT number FROM main.source WHERE entry <= ?1)"

#define OF_CHECK(alias)                                                                            \
  alias ".unit = c.unit AND " alias ".time = c.time AND " alias ".sequence = c.sequence"
#define BY_CHECK " ORDER BY c.unit, c.time, c.sequence"

/* ---- Events ---------------------------------------------------------------------------------- */

#define EVENT_COLUMNS                                                                              \
  "SELECT 1 AS beamtally_export, v.time AS date, iif(v.has_clock, v.time, NULL) AS time, "         \
  "u.name AS unit, v.kind AS event, (SELECT t.body FROM main.text AS t WHERE t.number = v.note "   \
  "AND t.salt <> x'') AS note, v.source AS beamtally_source, "                                     \
  "nullif(v.line, 0) AS beamtally_line, nullif(v.last_line, 0) AS beamtally_last_line, "           \
  "lower(hex(v.digest)) AS beamtally_digest, v.number AS beamtally_number, "                       \
  "v.entry AS beamtally_entry, "                                                                   \
  "(SELECT n.by FROM main.entry AS n WHERE n.number = v.entry) AS beamtally_by"

/* ---- All tables ------------------------------------------------------------------------------ */

static const struct {
  const char *head, *tail;
  const char *own; /* table of own readings, whose columns stand between head and tail; NULL */
} tables[] = {
    [BT_TABLE_CHECKS] = {.head = CHECK_HEAD,
                         .own = "own_reading",
                         .tail = CHECK_TAIL
                         " FROM main.checks AS c JOIN main.unit AS u "
                         "ON u.number = c.unit WHERE " SEEN(
                             "c") " AND NOT EXISTS (SELECT 1 "
                                  "FROM main.superseded AS s WHERE s.entry <= ?1 AND " OF_CHECK(
                                      "s") ")" BY_CHECK},
    [BT_TABLE_SUPERSEDED_CHECKS] =
        {.head = CHECK_HEAD,
         .own = "own_reading",
         .tail = CHECK_TAIL
         ", s.kind AS became, (SELECT n.name FROM main.unit AS n WHERE n.number = s.new_unit) "
         "AS became_unit, s.new_time AS became_date, iif((SELECT n.has_clock FROM main.checks AS n "
         "WHERE n.unit = s.new_unit AND n.time = s.new_time AND n.sequence = s.new_sequence), "
         "s.new_time, NULL) AS became_time, s.new_sequence AS became_sequence, s.entry AS entry, " ENTRY_OF(
             "e") " FROM main.superseded AS s JOIN main.checks AS c ON " OF_CHECK("s") " JOIN main.unit AS u ON u.number = c.unit JOIN main.entry AS e ON e.number = s.entry "
                                                                                       "WHERE s.entry <= ?1 ORDER BY s.unit, s.time, s.sequence"},
    [BT_TABLE_HELD] =
        {.head = CHECK_HEAD,
         .own = "held_own",
         .tail = CHECK_TAIL
         ", (SELECT lower(hex(substr(f.digest, 1, 4))) FROM main.held AS f WHERE f.unit = c.unit "
         "AND f.time = c.time AND f.source = c.source ORDER BY f.sequence LIMIT 1) AS conflict, "
         "iif(e.kind IS NOT 'settlement' AND s.kept IS NOT NULL, 'replaced', s.kept) AS kept, "
         "s.entry AS entry, " ENTRY_OF(
             "e") " FROM main.held AS c JOIN main.unit AS u ON u.number = c.unit "
                  "LEFT JOIN main.settled AS s ON s.unit = c.unit AND s.time = c.time "
                  "AND s.source = c.source AND s.entry <= ?1 LEFT JOIN main.entry AS e "
                  "ON e.number = s.entry WHERE " SEEN("c") BY_CHECK},
    [BT_TABLE_EVENTS] = {.head = EVENT_COLUMNS
                         " FROM main.event AS v JOIN main.unit AS u ON u.number = v.unit WHERE "
                         "v.entry <= ?1 AND NOT EXISTS (SELECT 1 FROM main.superseded_event AS s "
                         "WHERE s.entry <= ?1 AND s.event = v.number) ORDER BY v.number"},
    [BT_TABLE_SUPERSEDED_EVENTS] =
        {.head = EVENT_COLUMNS
         ", s.kind AS became, s.replacement AS became_number, s.entry AS entry, " ENTRY_OF(
             "e") " FROM main.superseded_event AS s JOIN main.event AS v ON v.number = s.event "
                  "JOIN main.unit AS u ON u.number = v.unit JOIN main.entry AS e "
                  "ON e.number = s.entry WHERE s.entry <= ?1 ORDER BY s.event"},
    /* `stands` is what is known of whole logs, as evidence folders up to format 4 tell it: those
     * that were handed over have to come out as they were made. */
    [BT_TABLE_REFUSALS] =
        {.head =
             "SELECT r.source AS source, n.name AS file, r.number AS number, r.line AS line, "
             "r.header AS column, r.field AS field, r.reason AS reason, "
             "r.serious <> 0 AS serious, " LEDGER_LOG_STANDS(" AND l.entry <= ?1") " AS stands, e.number AS left_out, " ENTRY_OF(
                 "e") " FROM main.refusal AS r JOIN main.source AS n ON n.number = r.source "
                      "LEFT JOIN main.entry AS e ON e.number = " LEDGER_LEFT_OUT(
                          " AND d.entry <= ?1") " WHERE n.entry <= ?1 "
                                                "ORDER BY r.source, r.number"},
    [BT_TABLE_SOURCES] =
        {.head = "SELECT n.number AS number, n.name AS name, n.kind AS kind, "
                 "iif(n.kind = 'typed', NULL, lower(hex(n.sha256))) AS sha256, "
                 "iif(n.kind = 'typed', NULL, n.bytes) AS bytes, n.reading AS reading, "
                 "(SELECT sum(t.rows) FROM main.source_unit AS t WHERE t.source = n.number) "
                 "AS rows, (SELECT sum(t.fresh) FROM main.source_unit AS t "
                 "WHERE t.source = n.number) AS fresh, (SELECT sum(t.known) "
                 "FROM main.source_unit AS t WHERE t.source = n.number) AS known, "
                 "(SELECT sum(t.conflicts) FROM main.source_unit AS t WHERE t.source = n.number) "
                 "AS conflicts, n.entry AS entry, " ENTRY_OF(
                     "e") " FROM main.source AS n JOIN main.entry AS e ON e.number = n.entry "
                          "WHERE n.entry <= ?1 "
                          "ORDER BY n.number"},
    [BT_TABLE_SETTINGS] =
        {.head =
             "SELECT v.number AS version, nullif(trim("
             "iif(v.weekdays & 2, 'mon ', '') || iif(v.weekdays & 4, 'tue ', '') || "
             "iif(v.weekdays & 8, 'wed ', '') || iif(v.weekdays & 16, 'thu ', '') || "
             "iif(v.weekdays & 32, 'fri ', '') || iif(v.weekdays & 64, 'sat ', '') || "
             "iif(v.weekdays & 128, 'sun ', '')), '') AS weekdays, "
             "v.alarms_per_unit_year AS alarms_per_unit_year, v.tell AS tell, "
             "v.clinic AS clinic, v.font AS font, v.entry AS entry, " ENTRY_OF(
                 "e") " FROM main.setting_version AS v JOIN main.entry AS e ON e.number = v.entry "
                      "ORDER BY v.number"},
    [BT_TABLE_TOLERANCES] = {.head = "SELECT t.version AS version, t.number AS number, "
                                     "t.unit AS unit, t.characteristic AS characteristic, "
                                     "t.low AS low, t.high AS high, t.source AS source, "
                                     "t.from_day AS \"from\" FROM main.tolerance AS t "
                                     "ORDER BY t.version, t.number"},
    /* Units as the ledger numbers them, without a version; then those of each settings version. */
    [BT_TABLE_UNITS] =
        {.head =
             "SELECT NULL AS version, number AS number, name AS name, NULL AS beam, "
             "NULL AS fluence, NULL AS plate_alpha_per_um, NULL AS plate_threshold, "
             "NULL AS spread, NULL AS refill_interval_days, NULL AS expected_days, "
             "NULL AS pulses_per_day, "
             "entry AS entry FROM main.unit UNION ALL "
             "SELECT s.version, s.number, s.name, s.beam, s.fluence, s.plate_alpha_per_um, "
             "s.plate_threshold, s.spread, s.refill_interval_days, s.expected_days, s.pulses_per_day, v.entry "
             "FROM main.unit_setting AS s JOIN main.setting_version AS v "
             "ON v.number = s.version ORDER BY 1, 2"},
    [BT_TABLE_OWN_CHARACTERISTICS] =
        {.head = "SELECT version AS version, number AS number, key AS key, title AS title, "
                 "unit AS unit, decimals AS decimals FROM main.own_characteristic "
                 "ORDER BY version, number"},
    [BT_TABLE_BASELINES] =
        {.head =
             "SELECT u.name AS unit, b.characteristic AS characteristic, b.version AS version, "
             "b.from_day AS \"from\", b.to_day AS \"to\", b.n AS n, b.centre AS centre, "
             "b.sigma AS sigma, b.screen AS screen, b.adjusted AS adjusted, "
             "b.slope_per_day AS slope_per_day, b.slope_se AS slope_se, b.slope_low AS slope_low, "
             "b.slope_high AS slope_high, b.fills AS fills, b.mean_age_days AS mean_age_days, "
             "b.oldest_age_days AS oldest_age_days, b.radial_limit AS radial_limit, "
             "b.derivation AS derivation, b.mean_x AS mean_x, b.mean_y AS mean_y, "
             "b.var_x AS var_x, b.var_y AS var_y, b.cov_xy AS cov_xy, "
             "b.from_differences AS from_differences, b.drift_accepted AS drift_accepted, "
             "b.trend_p AS trend_p, b.step_p AS step_p, "
             "(SELECT group_concat(x.words, '; ') FROM (SELECT strftime('%Y-%m-%dT%H:%M:%S', at, "
             "'unixepoch') || '#' || sequence || ' pass ' || pass || ' z ' || "
             "printf('%.15g', z) AS words FROM main.baseline_exclusion WHERE unit = b.unit "
             "AND characteristic = b.characteristic AND version = b.version ORDER BY number) "
             "AS x) AS left_out, b.entry AS entry, " ENTRY_OF(
                 "e") " FROM main.baseline AS b JOIN main.unit AS u ON u.number = b.unit "
                      "JOIN main.entry AS e ON e.number = b.entry "
                      "ORDER BY b.unit, b.characteristic, b.version"},
    [BT_TABLE_DISPOSITIONS] =
        {.head =
             "SELECT d.number AS number, u.name AS unit, d.characteristic AS characteristic, "
             "iif(d.high, 'high', 'low') AS side, d.episode AS episode, "
             "d.from_time AS first_at, d.to_time AS last_at, "
             "d.baseline_version AS baseline_version, d.cause AS cause, d.action AS action, "
             "iif(d.restart, 1, 0) AS restart, "
             "iif(d.restart > 1, d.restart, NULL) AS restart_at, d.entry AS entry, e.at AS entered_at, e.by AS by "
             "FROM main.disposition AS d JOIN main.unit AS u ON u.number = d.unit "
             "JOIN main.entry AS e ON e.number = d.entry WHERE d.entry <= ?1 ORDER BY d.number"},
    [BT_TABLE_ISSUED] =
        {.head = "SELECT i.number AS number, u.name AS unit, "
                 "strftime('%Y-%m', i.month, 'unixepoch') AS month, i.revision AS revision, "
                 "lower(hex(i.sha256)) AS sha256, lower(hex(i.state)) AS state, "
                 "i.entry AS entry, e.at AS entered_at, e.by AS by FROM main.issued AS i "
                 "LEFT JOIN main.unit AS u ON u.number = i.unit "
                 "JOIN main.entry AS e ON e.number = i.entry ORDER BY i.number"},
    [BT_TABLE_REMOVED_TEXTS] =
        {.head = "SELECT r.text AS number, r.field AS field, u.name AS unit, r.time AS \"at\", "
                 "r.sequence AS sequence, r.event AS event, lower(hex(r.sha256)) AS sha256, "
                 "r.entry AS entry, " ENTRY_OF(
                     "e") " FROM main.redaction AS r JOIN main.unit AS u ON u.number = r.unit "
                          "JOIN main.entry AS e ON e.number = r.entry ORDER BY r.text"},
    [BT_TABLE_UNIT_SOURCES] =
        {.head = "SELECT u.name AS unit, t.source AS source, t.rows AS rows, t.fresh AS fresh, "
                 "t.known AS known, t.conflicts AS conflicts FROM main.source_unit AS t "
                 "JOIN main.unit AS u ON u.number = t.unit ORDER BY t.unit, t.source"},
    [BT_TABLE_ENTRIES] =
        {.head = "SELECT e.number AS number, e.kind AS kind, " ENTRY_OF(
             "e") ", lower(hex(e.previous)) AS previous, lower(hex(e.state)) AS state, e.form AS form FROM main.entry AS e "
                  "ORDER BY e.number"},
};

_Static_assert(sizeof tables / sizeof tables[0] == BT_TABLE_COUNT, "every table has a statement");

const char *bt_table_name(bt_table table) {
  static const char *const names[] = {
#define X(ID, name) [BT_TABLE_##ID] = #name,
      BT_TABLES(X)
#undef X
  };
  return names[table];
}

/* ---- Rows ------------------------------------------------------------------------------------ */

/* Columns of whole numbers that are times. */
static bt_cell_type time_type(const char *name) {
  static const struct {
    const char *name;
    bt_cell_type type;
  } times[] = {
      {"date", BT_CELL_DAY},          {"time", BT_CELL_CLOCK},        {"became_date", BT_CELL_DAY},
      {"became_time", BT_CELL_CLOCK}, {"from", BT_CELL_DAY},          {"to", BT_CELL_DAY},
      {"at", BT_CELL_MOMENT},         {"entered_at", BT_CELL_MOMENT}, {"first_at", BT_CELL_MOMENT},
      {"restart_at", BT_CELL_MOMENT}, {"last_at", BT_CELL_MOMENT}};
  for (size_t i = 0; i < sizeof times / sizeof times[0]; i++)
    if (strcmp(name, times[i].name) == 0)
      return times[i].type;
  return BT_CELL_INTEGER;
}

static bt_cell cell_of(sqlite3_stmt *row, int column, const char *name) {
  switch (sqlite3_column_type(row, column)) {
  case SQLITE_INTEGER:
    return (bt_cell){.type = time_type(name), .integer = sqlite3_column_int64(row, column)};
  case SQLITE_FLOAT:
    return (bt_cell){.type = BT_CELL_REAL, .real = sqlite3_column_double(row, column)};
  case SQLITE_TEXT:
    return (bt_cell){.type = BT_CELL_TEXT, .text = (const char *)sqlite3_column_text(row, column)};
  default:
    return (bt_cell){.type = BT_CELL_EMPTY};
  }
}

static bt_status hand_out(bt_ledger *ledger, sqlite3_stmt *statement, const bt_table_sink *sink,
                          bt_error *error) {
  size_t n = (size_t)sqlite3_column_count(statement);
  const char **names = bt_new(n, sizeof *names);
  bt_cell *cells = bt_new(n, sizeof *cells);
  bt_status status = names == NULL || cells == NULL ? bt_fail_memory(error) : BT_OK;
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if ((names[i] = sqlite3_column_name(statement, (int)i)) == NULL)
      status = bt_fail_memory(error);
  if (status == BT_OK)
    status = sink->columns(sink->context, names, n, error);
  while (ledger_next(ledger, statement, &status, error)) {
    for (size_t i = 0; i < n; i++)
      cells[i] = cell_of(statement, (int)i, names[i]);
    status = sink->row(sink->context, cells, n, error);
  }
  free(names);
  free(cells);
  return status;
}

/* One column for each of the clinic's own characteristics that a reading has ever had. */
static bt_status add_own(bt_ledger *ledger, const char *table, bt_text *sql, bt_error *error) {
  sqlite3_stmt *keys = NULL;
  bt_status status = ledger_prepare(
      ledger, "SELECT number, key FROM main.own_key WHERE entry <= ?1 ORDER BY key", &keys, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, keys, "i", ledger_last_seen(ledger));
  while (ledger_next(ledger, keys, &status, error)) {
    char *column = sqlite3_mprintf(
        ", (SELECT o.value FROM main.%s AS o WHERE " OF_CHECK("o") " AND o.own = %lld) AS \"%w\"",
        table, sqlite3_column_int64(keys, 0), (const char *)sqlite3_column_text(keys, 1));
    if (column == NULL)
      status = bt_fail_memory(error);
    else
      bt_text_add(sql, column);
    sqlite3_free(column);
  }
  (void)sqlite3_finalize(keys);
  return status;
}

bt_status bt_ledger_table(bt_ledger *ledger, bt_table table, const bt_table_sink *sink,
                          bt_error *error) {
  bt_text sql = {0};
  sqlite3_stmt *statement = NULL;
  bool alone = ledger->unended || sqlite3_get_autocommit(ledger->db) != 0;
  /* One moment for columns and rows: a key that came between them would be lost. */
  bt_status status = alone ? ledger_begin_reading(ledger, error) : BT_OK;
  bt_text_add(&sql, tables[table].head);
  if (status == BT_OK && tables[table].own != NULL)
    status = add_own(ledger, tables[table].own, &sql, error);
  if (tables[table].tail != NULL)
    bt_text_add(&sql, tables[table].tail);
  if (status == BT_OK && !bt_text_ok(&sql))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, bt_text_get(&sql), &statement, error);
  if (status == BT_OK && sqlite3_bind_parameter_count(statement) > 0)
    status = ledger_bind(ledger, error, statement, "i", ledger_last_seen(ledger));
  if (status == BT_OK)
    status = hand_out(ledger, statement, sink, error);
  (void)sqlite3_finalize(statement);
  bt_text_free(&sql);
  if (alone)
    ledger_rollback(ledger);
  return status;
}
