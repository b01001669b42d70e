/* The schema: STRICT tables that only grow.
 *
 * Rows of `checks` and `held` lie in order of (unit, time, sequence), so that one unit's history is
 * one run of pages. Texts stand apart, each with its own salt: a digest covers SHA-256(salt and
 * body), so that a body can be blanked one day without breaking the chain. What is counted by
 * enumeration in C is stored as a word wherever rows are few. Days and times are seconds of civil
 * time (bt_time). */
#include "ledger_private.h"
#include "schema_private.h"
#include "sql_private.h"

#include <string.h>

#define READING_COLUMN(ID, key, ...) "  " #key " REAL,\n"
#define TEXT_COLUMN(ID, key)         "  " #key " INTEGER REFERENCES text,\n"

#define READINGS_AND_TEXTS BT_READINGS(READING_COLUMN) BT_TEXTS(TEXT_COLUMN)

/* state: 0 not stated, 1 as found, 2 as left; refill: 0 none, 1 before, 2 after the reading. The
 * columns follow from record/check.h: when those change, LEDGER_VERSION goes up. */
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

/* Readings of the clinic's own characteristics, of `checks` or of `held`. */
#define OWN_TABLE(name, parent)                                                                    \
  "CREATE TABLE " name " (\n"                                                                      \
  "  unit INTEGER NOT NULL,\n"                                                                     \
  "  time INTEGER NOT NULL,\n"                                                                     \
  "  sequence INTEGER NOT NULL,\n"                                                                 \
  "  own INTEGER NOT NULL REFERENCES own_key,\n"                                                   \
  "  value REAL NOT NULL,\n"                                                                       \
  "  PRIMARY KEY (unit, time, sequence, own),\n"                                                   \
  "  FOREIGN KEY (unit, time, sequence) REFERENCES " parent "\n"                                   \
  ") STRICT, WITHOUT ROWID;\n"

#define SUPERSEDED_KINDS "'corrected', 'withdrawn', 'read again', 'settled'"

static const char *const tables[] = {
    "CREATE TABLE entry (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  kind TEXT NOT NULL,\n"
    "  at INTEGER NOT NULL,\n"
    "  by TEXT,\n"
    "  why TEXT,\n"
    "  previous BLOB NOT NULL CHECK (length(previous) = 32),\n"
    "  state BLOB NOT NULL UNIQUE CHECK (length(state) = 32),\n"
    "  form INTEGER NOT NULL\n"
    ") STRICT;\n",

    "CREATE TABLE unit (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  name TEXT NOT NULL,\n"
    "  folded TEXT NOT NULL UNIQUE,\n"
    "  " ENTRY_REFERENCE "\n"
    ") STRICT;\n",

    /* checks and events: a log. typed: a check that a person typed in, without a file. kept: rows
     * of a conflict that was settled for them; name, SHA-256 and lines are those of their log. */
    "CREATE TABLE source (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  name TEXT NOT NULL,\n"
    "  kind TEXT NOT NULL CHECK (kind IN ('checks', 'events', 'typed', 'kept')),\n"
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

    /* Refused lines that a person left out: nobody will mend them. */
    "CREATE TABLE left_out (\n"
    "  source INTEGER NOT NULL,\n"
    "  number INTEGER NOT NULL,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  PRIMARY KEY (source, number),\n"
    "  FOREIGN KEY (source, number) REFERENCES refusal\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE setting_version (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  weekdays INTEGER NOT NULL,\n"
    "  alarms_per_unit_year REAL NOT NULL,\n"
    "  tell TEXT,\n"
    "  clinic TEXT,\n"
    "  font TEXT\n"
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
    "  pulses_per_day REAL,\n"
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
    "  mean_x REAL NOT NULL,\n"
    "  mean_y REAL NOT NULL,\n"
    "  var_x REAL NOT NULL,\n"
    "  var_y REAL NOT NULL,\n"
    "  cov_xy REAL NOT NULL,\n"
    "  from_differences INTEGER NOT NULL,\n"
    "  drift_accepted INTEGER NOT NULL,\n"
    "  trend_p REAL NOT NULL,\n"
    "  step_p REAL NOT NULL,\n"
    "  PRIMARY KEY (unit, characteristic, version)\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE baseline_exclusion (\n"
    "  unit INTEGER NOT NULL,\n"
    "  characteristic TEXT NOT NULL,\n"
    "  version INTEGER NOT NULL,\n"
    "  number INTEGER NOT NULL,\n"
    "  at INTEGER NOT NULL,\n"
    "  sequence INTEGER NOT NULL,\n"
    "  pass INTEGER NOT NULL,\n"
    "  z REAL NOT NULL,\n"
    "  PRIMARY KEY (unit, characteristic, version, number),\n"
    "  FOREIGN KEY (unit, characteristic, version) REFERENCES baseline\n"
    ") STRICT, WITHOUT ROWID;\n",

    "CREATE TABLE own_characteristic (\n"
    "  version INTEGER NOT NULL REFERENCES setting_version,\n"
    "  number INTEGER NOT NULL,\n"
    "  key TEXT NOT NULL,\n"
    "  title TEXT NOT NULL,\n"
    "  unit TEXT NOT NULL,\n"
    "  decimals INTEGER NOT NULL,\n"
    "  PRIMARY KEY (version, number)\n"
    ") STRICT, WITHOUT ROWID;\n",

    /* Keys of the clinic's own characteristics that some reading has. */
    "CREATE TABLE own_key (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  key TEXT NOT NULL UNIQUE,\n"
    "  " ENTRY_REFERENCE "\n"
    ") STRICT;\n",

    OWN_TABLE("own_reading", "checks"),

    OWN_TABLE("held_own", "held"),

    /* Checks that no longer stand. new_*: what stands in its place, where something does. */
    "CREATE TABLE superseded (\n"
    "  unit INTEGER NOT NULL,\n"
    "  time INTEGER NOT NULL,\n"
    "  sequence INTEGER NOT NULL,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  kind TEXT NOT NULL CHECK (kind IN (" SUPERSEDED_KINDS ")),\n"
    "  new_unit INTEGER,\n"
    "  new_time INTEGER,\n"
    "  new_sequence INTEGER,\n"
    "  PRIMARY KEY (unit, time, sequence),\n"
    "  FOREIGN KEY (unit, time, sequence) REFERENCES checks,\n"
    "  FOREIGN KEY (new_unit, new_time, new_sequence) REFERENCES checks\n"
    ") STRICT, WITHOUT ROWID;\n"
    "CREATE INDEX superseded_by_entry ON superseded (entry);\n"
    "CREATE INDEX superseded_by_new ON superseded (new_unit, new_time) WHERE new_unit IS NOT "
    "NULL;\n",

    "CREATE TABLE superseded_event (\n"
    "  event INTEGER PRIMARY KEY REFERENCES event,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  kind TEXT NOT NULL CHECK (kind IN (" SUPERSEDED_KINDS ")),\n"
    "  replacement INTEGER REFERENCES event\n"
    ") STRICT;\n"
    "CREATE INDEX superseded_event_by_entry ON superseded_event (entry);\n",

    /* Conflicts that people settled: all rows that a source had held back of a unit and time. */
    "CREATE TABLE settled (\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  time INTEGER NOT NULL,\n"
    "  source INTEGER NOT NULL REFERENCES source,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  kept TEXT NOT NULL CHECK (kept IN ('old', 'new', 'both')),\n"
    "  PRIMARY KEY (unit, time, source)\n"
    ") STRICT, WITHOUT ROWID;\n",

    /* Texts that were removed. sha256 is what the digests go on covering; unit, time and sequence,
     * or event, say where the text was to be removed. */
    "CREATE TABLE redaction (\n"
    "  text INTEGER PRIMARY KEY REFERENCES text,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),\n"
    "  field TEXT NOT NULL,\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  time INTEGER NOT NULL,\n"
    "  sequence INTEGER,\n"
    "  event INTEGER REFERENCES event\n"
    ") STRICT;\n",

    /* restart: 0 none, 1 after to_time, else the moment of the action. */
    "CREATE TABLE disposition (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  unit INTEGER NOT NULL REFERENCES unit,\n"
    "  characteristic TEXT NOT NULL,\n"
    "  high INTEGER NOT NULL,\n"
    "  from_time INTEGER NOT NULL,\n"
    "  to_time INTEGER NOT NULL,\n"
    "  baseline_version INTEGER NOT NULL,\n"
    "  episode TEXT NOT NULL,\n"
    "  cause TEXT NOT NULL,\n"
    "  action TEXT NOT NULL,\n"
    "  restart INTEGER NOT NULL\n"
    ") STRICT;\n",

    /* state: the first 20 hex digits of the ledger state before. */
    "CREATE TABLE issued (\n"
    "  number INTEGER PRIMARY KEY,\n"
    "  " ENTRY_REFERENCE ",\n"
    "  unit INTEGER REFERENCES unit,\n"
    "  month INTEGER NOT NULL,\n"
    "  revision INTEGER NOT NULL,\n"
    "  sha256 BLOB NOT NULL CHECK (length(sha256) = 32),\n"
    "  state BLOB NOT NULL CHECK (length(state) = 10)\n"
    ") STRICT;\n",
};

/* INSERT OR REPLACE deletes as well: the delete trigger sees it under recursive_triggers, which our
 * connections set. What another program replaces so, `verify` names. */
#define KEEPS_ROWS(table)                                                                          \
  "CREATE TRIGGER " table "_keeps_rows BEFORE DELETE ON " table " BEGIN\n"                         \
  "  SELECT raise(ABORT, 'the ledger only grows: rows of " table " are never deleted');\n"         \
  "END;\n"

#define KEEPS_VALUES(table, unless)                                                                \
  "CREATE TRIGGER " table "_keeps_values BEFORE UPDATE ON " table " " unless "BEGIN\n"             \
  "  SELECT raise(ABORT, 'the ledger only grows: rows of " table " are never changed');\n"         \
  "END;\n"

#define ONLY_GROWS(table) KEEPS_ROWS(table) KEEPS_VALUES(table, "")

/* The one change that is allowed: a text is blanked, once an entry says so. */
#define TEXT_GROWS_OR_IS_BLANKED                                                                   \
  KEEPS_ROWS("text")                                                                               \
  KEEPS_VALUES("text",                                                                             \
               "WHEN NOT (new.number IS old.number AND new.salt IS x'' AND new.body IS ''\n"       \
               "  AND EXISTS (SELECT 1 FROM redaction AS r WHERE r.text = old.number)) ")

static const char *const triggers[] = {ONLY_GROWS("entry"),
                                       ONLY_GROWS("unit"),
                                       ONLY_GROWS("source"),
                                       ONLY_GROWS("source_unit"),
                                       TEXT_GROWS_OR_IS_BLANKED,
                                       ONLY_GROWS("checks"),
                                       ONLY_GROWS("held"),
                                       ONLY_GROWS("event"),
                                       ONLY_GROWS("refusal"),
                                       ONLY_GROWS("left_out"),
                                       ONLY_GROWS("setting_version"),
                                       ONLY_GROWS("unit_setting"),
                                       ONLY_GROWS("tolerance"),
                                       ONLY_GROWS("baseline"),
                                       ONLY_GROWS("baseline_exclusion"),
                                       ONLY_GROWS("own_characteristic"),
                                       ONLY_GROWS("own_key"),
                                       ONLY_GROWS("own_reading"),
                                       ONLY_GROWS("held_own"),
                                       ONLY_GROWS("superseded"),
                                       ONLY_GROWS("superseded_event"),
                                       ONLY_GROWS("settled"),
                                       ONLY_GROWS("redaction"),
                                       ONLY_GROWS("disposition"),
                                       ONLY_GROWS("issued")};

/* SQLite has no "create what isn't there" that leaves the text of a statement as it is. An error is
 * passed on: SQLite may have rolled back for it, and what is created then would stay. */
static int is_there(sqlite3 *db, const char *sql, bool *there) {
  static const char before[] = "CREATE TABLE ";
  const char *name = sql + strlen(before);
  sqlite3_stmt *found = NULL;
  int code = sqlite3_prepare_v2(
      db, "SELECT 1 FROM main.sqlite_schema WHERE type = 'table' AND name = ?1", -1, &found, NULL);
  if (code == SQLITE_OK)
    code = sqlite3_bind_text(found, 1, name, (int)strcspn(name, " "), SQLITE_STATIC);
  if (code == SQLITE_OK)
    code = sqlite3_step(found);
  (void)sqlite3_finalize(found);
  *there = code == SQLITE_ROW;
  return code == SQLITE_ROW || code == SQLITE_DONE ? SQLITE_OK : code;
}

int ledger_schema_run(sqlite3 *db) {
  int code = SQLITE_OK;
  for (size_t i = 0; i < sizeof tables / sizeof tables[0] && code == SQLITE_OK; i++) {
    bool there = false;
    code = is_there(db, tables[i], &there);
    if (code == SQLITE_OK && !there)
      code = sqlite3_exec(db, tables[i], NULL, NULL, NULL);
  }
  for (size_t i = 0; i < sizeof triggers / sizeof triggers[0] && code == SQLITE_OK; i++)
    code = sqlite3_exec(db, triggers[i], NULL, NULL, NULL);
  return code;
}

bt_status ledger_schema_complete(bt_ledger *ledger, bt_error *error) {
  if (ledger_schema_run(ledger->db) != SQLITE_OK)
    return ledger_fault(ledger, "creating", error);
  return BT_OK;
}
