/* The lists of rows that entries brought, as entry.c hashes them.
 *
 * Most tables have no index by entry. To read each entry's rows by a search of its own, through all
 * rows of the table, would take time by the square of the entries. So the lists of all entries are
 * read side by side, each statement sorted by entry; and the statements for a new entry look at the
 * end of a table alone, where rows are numbered: each is numbered after all that stand there. */
#include "entry_private.h"
#include "sql_private.h"

#include <limits.h>
#include <string.h>

/* Rows of the numbered table n from entry ?1 on. Those of no older entry are left out, be their
 * numbers as wrong as they may: a row that is not seen would not be guarded. */
#define NEW(table)                                                                                 \
  "n.number >= coalesce((SELECT l.number + 1 FROM main." table " AS l WHERE l.entry < ?1 "         \
  "ORDER BY l.number DESC LIMIT 1), -9223372036854775808) AND n.entry >= ?1 "
#define NEW_UNITS        NEW("unit")
#define NEW_SOURCES      NEW("source")
#define NEW_VERSIONS     NEW("setting_version")
#define NEW_KEYS         NEW("own_key")
#define NEW_DISPOSITIONS NEW("disposition")
#define NEW_REPORTS      NEW("issued")

/* What each gives first is the entry. CROSS JOIN: the table named first is read once, and the other
 * by its key. */
static const struct {
  char letter;
  const char *sql;
} lists_of_entry[LEDGER_LISTS] = {
    {'U', "SELECT n.entry, n.number, n.name, n.folded FROM main.unit AS n WHERE " NEW_UNITS
          "ORDER BY n.entry, n.number"},
    {'S',
     "SELECT n.entry, n.number, n.name, n.kind, n.sha256, n.bytes, n.reading FROM main.source AS n "
     "WHERE " NEW_SOURCES "ORDER BY n.entry, n.number"},
    {'C', NULL}, /* checks: given by the caller */
    {'H', "SELECT s.entry, h.digest FROM main.held AS h CROSS JOIN main.source AS s ON s.number = "
          "h.source WHERE s.entry >= ?1 ORDER BY s.entry, h.line, h.unit, h.time, h.sequence"},
    {'V', "SELECT entry, digest FROM main.event WHERE entry >= ?1 ORDER BY entry, line, number"},
    {'R',
     "SELECT n.entry, r.number, r.line, r.header, r.field, r.reason, r.serious "
     "FROM main.source AS n CROSS JOIN main.refusal AS r ON r.source = n.number WHERE " NEW_SOURCES
     "ORDER BY n.entry, r.number"},
    {'T',
     "SELECT s.entry, t.unit, t.source, t.rows, t.fresh, t.known, t.conflicts FROM main.source_unit "
     "AS t CROSS JOIN main.source AS s ON s.number = t.source WHERE s.entry >= ?1 "
     "ORDER BY s.entry, t.unit"},
    {'W', "SELECT n.entry, n.number, n.weekdays, n.alarms_per_unit_year, n.tell, n.clinic "
          "FROM main.setting_version AS n WHERE " NEW_VERSIONS "ORDER BY n.entry, n.number"},
    {'N',
     "SELECT n.entry, u.number, u.name, u.beam, u.fluence, u.plate_alpha_per_um, u.plate_threshold, "
     "u.spread, u.refill_interval_days, u.expected_days FROM main.setting_version AS n "
     "CROSS JOIN main.unit_setting AS u ON u.version = n.number WHERE " NEW_VERSIONS
     "ORDER BY n.entry, u.number"},
    {'L', "SELECT n.entry, t.number, t.unit, t.characteristic, t.low, t.high, t.source, t.from_day "
          "FROM main.setting_version AS n CROSS JOIN main.tolerance AS t ON t.version = n.number "
          "WHERE " NEW_VERSIONS "ORDER BY n.entry, t.number"},
    {'B', "SELECT entry, unit, characteristic, version, from_day, to_day, screen, centre, sigma, "
          "adjusted, slope_per_day, slope_se, slope_low, slope_high, fills, mean_age_days, "
          "oldest_age_days, radial_limit, derivation, n FROM main.baseline WHERE entry >= ?1 "
          "ORDER BY entry, unit, characteristic, version"},

    {'A',
     "SELECT entry, unit, characteristic, version, mean_x, mean_y, var_x, var_y, cov_xy, "
     "from_differences, drift_accepted, trend_p, step_p FROM main.baseline WHERE entry >= ?1 "
     "AND (mean_x, mean_y, var_x, var_y, cov_xy, from_differences, drift_accepted, trend_p, "
     "step_p) IS NOT (0, 0, 0, 0, 0, 0, 0, 1, 1) ORDER BY entry, unit, characteristic, version"},
    {'G',
     "SELECT b.entry, x.unit, x.characteristic, x.version, x.number, x.at, x.sequence, x.pass, x.z "
     "FROM main.baseline AS b CROSS JOIN main.baseline_exclusion AS x ON x.unit = b.unit "
     "AND x.characteristic = b.characteristic AND x.version = b.version WHERE b.entry >= ?1 "
     "ORDER BY b.entry, x.unit, x.characteristic, x.version, x.number"},
    {'O',
     "SELECT n.entry, o.number, o.key, o.title, o.unit, o.decimals FROM main.setting_version AS n "
     "CROSS JOIN main.own_characteristic AS o ON o.version = n.number "
     "WHERE " NEW_VERSIONS "ORDER BY n.entry, o.number"},
    {'K', "SELECT n.entry, n.number, n.key FROM main.own_key AS n WHERE " NEW_KEYS
          "ORDER BY n.entry, n.number"},
    {'X', "SELECT entry, unit, time, sequence, kind, new_unit, new_time, new_sequence "
          "FROM main.superseded WHERE entry >= ?1 ORDER BY entry, unit, time, sequence"},
    {'Y', "SELECT s.entry, s.event, s.kind, s.replacement, v.digest, r.digest "
          "FROM main.superseded_event AS s JOIN main.event AS v ON v.number = s.event "
          "LEFT JOIN main.event AS r ON r.number = s.replacement WHERE s.entry >= ?1 "
          "ORDER BY s.entry, s.event"},
    {'Z', "SELECT entry, unit, time, source, kept FROM main.settled WHERE entry >= ?1 "
          "ORDER BY entry, unit, time, source"},
    {'D', "SELECT entry, text, sha256, field, unit, time, sequence, event FROM main.redaction "
          "WHERE entry >= ?1 ORDER BY entry, text"},
    {'P', "SELECT n.entry, n.number, n.unit, n.characteristic, n.high, n.from_time, n.to_time, "
          "n.baseline_version, n.episode, n.cause, n.action, n.restart FROM main.disposition AS n "
          "WHERE " NEW_DISPOSITIONS "ORDER BY n.entry, n.number"},
    {'I', "SELECT n.entry, n.number, n.unit, n.month, n.revision, n.sha256, n.state "
          "FROM main.issued AS n WHERE " NEW_REPORTS "ORDER BY n.entry, n.number"},

    {'F', "SELECT n.entry, n.number, n.font FROM main.setting_version AS n WHERE " NEW_VERSIONS
          "AND n.font IS NOT NULL ORDER BY n.entry, n.number"},

    {'Q', "SELECT n.entry, u.number, u.pulses_per_day FROM main.setting_version AS n "
          "CROSS JOIN main.unit_setting AS u ON u.version = n.number WHERE " NEW_VERSIONS
          "AND u.pulses_per_day IS NOT NULL ORDER BY n.entry, u.number"},

    {'J', "SELECT entry, source, number FROM main.left_out WHERE entry >= ?1 "
          "ORDER BY entry, source, number"},
};

char ledger_list_letter(int list) {
  return lists_of_entry[list].letter;
}

static bt_status open_list(bt_ledger *ledger, int64_t from, const char *words, sqlite3_stmt **rows,
                           bool *there, bt_error *error) {
  bt_status status = ledger_prepare(ledger, words, rows, error);
  if (status == BT_OK && sqlite3_bind_parameter_count(*rows) > 0)
    status = ledger_bind(ledger, error, *rows, "i", from);
  if (status == BT_OK)
    status = ledger_step(ledger, *rows, there, error);
  return status;
}

bt_status ledger_lists_open(bt_ledger *ledger, const ledger_entry *of, const char *checks_sql,
                            ledger_lists *lists, bt_error *error) {
  int64_t from = of == NULL ? INT64_MIN : of->number;
  /* A settlement holds nothing back: thousands of them need not each read all that was. */
  bool holds = of == NULL || strcmp(of->kind, "settlement") != 0;
  bt_status status = BT_OK;
  *lists = (ledger_lists){0};
  for (int i = 0; i < LEDGER_LISTS && status == BT_OK; i++) {
    const char *words = i == LEDGER_LIST_OF_CHECKS ? checks_sql : lists_of_entry[i].sql;
    if (words != NULL && (holds || lists_of_entry[i].letter != 'H'))
      status = open_list(ledger, from, words, &lists->rows[i], &lists->there[i], error);
  }
  return status;
}

void ledger_lists_close(ledger_lists *lists) {
  for (int i = 0; i < LEDGER_LISTS; i++)
    (void)sqlite3_finalize(lists->rows[i]);
  *lists = (ledger_lists){0};
}
