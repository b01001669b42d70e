/* The schema: STRICT tables that only grow.
 *
 * Rows of `checks` and `held` lie in order of (unit, time, sequence), so that one unit's history is
 * one run of pages. Texts stand apart, each with its own salt: a digest covers SHA-256(salt and
 * body), so that a body can be blanked one day without breaking the chain. What is counted by
 * enumeration in C is stored as a word wherever rows are few. Days and times are seconds of civil
 * time (bt_time). */
#include "ledger_private.h"

#include <string.h>

#define READING_COLUMN(ID, key, unit, sign) "  " #key " REAL,\n"
#define TEXT_COLUMN(ID, key)                "  " #key " INTEGER REFERENCES text,\n"

#define READINGS_AND_TEXTS BT_READINGS(READING_COLUMN) BT_TEXTS(TEXT_COLUMN)

/* state: 0 not stated, 1 as found, 2 as left; refill: 0 none, 1 before, 2 after the reading. The
 * columns follow from record.h: when those change, LEDGER_VERSION goes up. */
#define CHECK_TABLE(name)                                                                          \
  "CREATE TABLE " name " (\n"                                                                      \
  "  unit INTEGER NOT NULL REFERENCES unit,\n"                                                     \
  "  time INTEGER NOT NULL,\n"                                                                     \
  "  sequence INTEGER NOT NULL,\n"                                                                 \
  "  has_clock INTEGER NOT NULL,\n"                                                                \
  "  source INTEGER NOT NULL REFERENCES source,\n"                                                 \
  "  line INTEGER NOT NULL,\n"                                                                     \
  "  last_line INTEGER NOT NULL,\n"                                                                \
  "  state INTEGER NOT NULL,\n"                                                                    \
  "  refill INTEGER NOT NULL,\n" READINGS_AND_TEXTS "  digest BLOB NOT NULL,\n"                    \
  "  PRIMARY KEY (unit, time, sequence)\n"                                                         \
  ") STRICT, WITHOUT ROWID;\n"

/* An entry is stored last, when its state is known: references to it wait for the commit. */
#define ENTRY_REFERENCE "entry INTEGER NOT NULL REFERENCES entry DEFERRABLE INITIALLY DEFERRED"

static const char *const tables[] = {
    "CREATE TABLE entry (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  kind TEXT NOT NULL,\n"
    "  at INTEGER NOT NULL,\n"
    "  by TEXT,\n"
    "  why TEXT,\n"
    "  previous BLOB NOT NULL CHECK (length(previous) = 32),\n"
    "  state BLOB NOT NULL UNIQUE CHECK (length(state) = 32)\n"
    ") STRICT;\n",

    "CREATE TABLE unit (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  name TEXT NOT NULL,\n"
    "  folded TEXT NOT NULL UNIQUE,\n"
    "  " ENTRY_REFERENCE "\n"
    ") STRICT;\n",

    "CREATE TABLE source (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  name TEXT NOT NULL,\n"
    "  kind TEXT NOT NULL CHECK (kind IN ('checks', 'events')),\n"
    "  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),\n"
    "  bytes INTEGER NOT NULL,\n"
    "  reading TEXT NOT NULL\n"
    ") STRICT;\n"
    "CREATE INDEX source_by_sha256 ON source (sha256);\n",

    /* What a source brought for a unit; sources and checks are counted here without a scan. */
    "CREATE TABLE source_unit (\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  source INTEGER NOT NULL REFERENCES source,\n"
    "  rows INTEGER NOT NULL,\n"
    "  fresh INTEGER NOT NULL,\n"
    "  known INTEGER NOT NULL,\n"
    "  conflicts INTEGER NOT NULL,\n"
    "  PRIMARY KEY (unit, source)\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE text (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  salt BLOB NOT NULL,\n"
    "  body TEXT NOT NULL\n"
    ") STRICT;\n",

    CHECK_TABLE("checks"),

    CHECK_TABLE("held"),

    "CREATE TABLE event (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  time INTEGER NOT NULL,\n"
    "  has_clock INTEGER NOT NULL,\n"
    "  kind TEXT NOT NULL,\n"
    "  note INTEGER REFERENCES text,\n"
    "  source INTEGER REFERENCES source,\n"
    "  line INTEGER NOT NULL,\n"
    "  last_line INTEGER NOT NULL,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  digest BLOB NOT NULL CHECK (length(digest) = 16)\n"
    ") STRICT;\n"
    "CREATE INDEX event_by_time ON event (unit, time);\n"
    "CREATE INDEX event_by_entry ON event (entry);\n",

    "CREATE TABLE refusal (\n"
    "  source INTEGER NOT NULL REFERENCES source,\n"
    "  number INTEGER NOT NULL,\n"
    "  line INTEGER NOT NULL,\n"
    "  header TEXT,\n"
    "  field TEXT,\n"
    "  reason TEXT NOT NULL,\n"
    "  serious INTEGER NOT NULL,\n"
    "  PRIMARY KEY (source, number)\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE setting_version (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  weekdays INTEGER NOT NULL,\n"
    "  alarms_per_unit_year REAL NOT NULL,\n"
    "  tell TEXT,\n"
    "  clinic TEXT\n"
    ") STRICT;\n",

    "CREATE TABLE unit_setting (\n"
    "  version INTEGER NOT NULL REFERENCES setting_version,\n"
    "  number INTEGER NOT NULL,\n"
    "  name TEXT NOT NULL,\n"
    "  beam TEXT NOT NULL,\n"
    "  fluence TEXT NOT NULL,\n"
    "  plate_alpha_per_um REAL,\n"
    "  plate_threshold REAL,\n"
    "  spread TEXT NOT NULL,\n"
    "  refill_interval_days REAL NOT NULL,\n"
    "  expected_days REAL NOT NULL,\n"
    "  PRIMARY KEY (version, number)\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE tolerance (\n"
    "  version INTEGER NOT NULL REFERENCES setting_version,\n"
    "  number INTEGER NOT NULL,\n"
    "  unit TEXT NOT NULL,\n"
    "  characteristic TEXT NOT NULL,\n"
    "  low REAL,\n"
    "  high REAL,\n"
    "  source TEXT,\n"
    "  from_day INTEGER NOT NULL,\n"
    "  PRIMARY KEY (version, number)\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE baseline (\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  characteristic TEXT NOT NULL,\n"
    "  version INTEGER NOT NULL,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  from_day INTEGER NOT NULL,\n"
    "  to_day INTEGER NOT NULL,\n"
    "  screen INTEGER NOT NULL,\n"
    "  centre REAL,\n"
    "  sigma REAL,\n"
    "  adjusted INTEGER NOT NULL,\n"
    "  slope_per_day REAL NOT NULL,\n"
    "  slope_se REAL NOT NULL,\n"
    "  slope_low REAL NOT NULL,\n"
    "  slope_high REAL NOT NULL,\n"
    "  fills INTEGER NOT NULL,\n"
    "  mean_age_days REAL NOT NULL,\n"
    "  oldest_age_days REAL NOT NULL,\n"
    "  radial_limit REAL NOT NULL,\n"
    "  derivation INTEGER NOT NULL,\n"
    "  n INTEGER NOT NULL,\n"
    "  PRIMARY KEY (unit, characteristic, version)\n"
    ") STRICT, WITHOUT ROWID;\n",
};

/* INSERT OR REPLACE deletes as well: the delete trigger sees it under recursive_triggers. */
#define ONLY_GROWS(table)                                                                          \
  "CREATE TRIGGER " table "_keeps_rows BEFORE DELETE ON " table " BEGIN\n"                         \
  "  SELECT raise(ABORT, 'the ledger only grows: rows of " table " are never deleted');\n"         \
  "END;\n"                                                                                         \
  "CREATE TRIGGER " table "_keeps_values BEFORE UPDATE ON " table " BEGIN\n"                       \
  "  SELECT raise(ABORT, 'the ledger only grows: rows of " table " are never changed');\n"         \
  "END;\n"

static const char triggers[] = ONLY_GROWS("entry") ONLY_GROWS("unit") ONLY_GROWS("source")
    ONLY_GROWS("source_unit") ONLY_GROWS("text") ONLY_GROWS("checks") ONLY_GROWS("held")
        ONLY_GROWS("event") ONLY_GROWS("refusal") ONLY_GROWS("setting_version")
            ONLY_GROWS("unit_setting") ONLY_GROWS("tolerance") ONLY_GROWS("baseline");

static int create_in(sqlite3 *db) {
  int code = SQLITE_OK;
  for (size_t i = 0; i < sizeof tables / sizeof tables[0] && code == SQLITE_OK; i++)
    code = sqlite3_exec(db, tables[i], NULL, NULL, NULL);
  if (code == SQLITE_OK)
    code = sqlite3_exec(db, triggers, NULL, NULL, NULL);
  return code;
}

bt_status ledger_schema_create(bt_ledger *ledger, bt_error *error) {
  if (create_in(ledger->db) != SQLITE_OK)
    return ledger_fault(ledger, "creating", error);
  return BT_OK;
}

static const char schema_query[] =
    "SELECT type, name, tbl_name, coalesce(sql, '') FROM main.sqlite_schema ORDER BY type, name";

/* True when both statements stand on the same row. */
static bool same_row(sqlite3_stmt *ours, sqlite3_stmt *theirs) {
  for (int c = 0; c < 4; c++) {
    const char *a = (const char *)sqlite3_column_text(ours, c);
    const char *b = (const char *)sqlite3_column_text(theirs, c);
    if (a == NULL || b == NULL || strcmp(a, b) != 0)
      return false;
  }
  return true;
}

bt_status ledger_schema_compare(bt_ledger *ledger, bt_error *error) {
  bt_status status = BT_OK;
  sqlite3 *fresh = NULL;
  sqlite3_stmt *ours = NULL;
  sqlite3_stmt *theirs = NULL;
  if (sqlite3_open(":memory:", &fresh) != SQLITE_OK || create_in(fresh) != SQLITE_OK ||
      sqlite3_prepare_v2(fresh, schema_query, -1, &ours, NULL) != SQLITE_OK) {
    status = bt_fail_memory(error);
    goto done;
  }
  status = ledger_prepare(ledger, schema_query, &theirs, error);
  while (status == BT_OK) {
    bool one = sqlite3_step(ours) == SQLITE_ROW;
    bool other = false;
    status = ledger_step(ledger, theirs, &other, error);
    if (status != BT_OK || (!one && !other))
      break;
    if (one != other || !same_row(ours, theirs)) {
      sqlite3_stmt *named = other ? theirs : ours;
      status = bt_fail(error, BT_DAMAGED,
                       "%s: the ledger's structure was changed by another program, at the %s "
                       "\"%s\"; use a backup that was not changed",
                       ledger->path, (const char *)sqlite3_column_text(named, 0),
                       (const char *)sqlite3_column_text(named, 1));
    }
  }
done:
  (void)sqlite3_finalize(ours);
  (void)sqlite3_finalize(theirs);
  (void)sqlite3_close(fresh);
  return status;
}
