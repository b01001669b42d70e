/* The chain of entries.
 *
 * state = SHA-256(form of the entry's head, then form of each list below, in this order). The
 * form of a row is its columns in order, each with a letter before it: n (NULL), i (integer, 8
 * bytes little-endian), r (REAL, its IEEE 754 bits likewise), t and b (text and blob: length as 8
 * bytes little-endian, then the bytes). Before each list's rows stands its letter, so that rows
 * of one list can't be taken for those of another:
 *
 *   E  previous state, number, kind, at, by, why
 *   U  units that it named first          S  its source
 *   C  digests of its checks, in order of (line, unit, time, sequence)
 *   H  digests of its rows held back, likewise
 *   V  digests of its events, in order of (line, number)
 *   R  refused lines                      T  what the source brought for each unit
 *   W  settings: the version              N  their units        L  their tolerances
 *   B  baselines
 *
 * That was form 1, of the entries that version 1 of the ledger sealed. Form 2 adds the number of
 * the form to E, and after B:
 *
 *   A  numbers of its baselines that version 1 had not, where they aren't what it took for granted
 *   G  points left out of its baselines
 *   O  settings: the clinic's own characteristics
 *   K  keys of such that its readings named first
 *   X  checks superseded                  Y  events superseded, with the digests of both
 *   Z  conflicts settled                  D  texts removed
 *   P  dispositions                       I  reports issued
 *
 * These lists are empty in an entry of form 1, else it is damaged: nothing would guard their rows.
 * Readings of the clinic's own are within the digests of their checks. The first entry's previous
 * state is 32 zero bytes. How checked: a test walks the tables of a ledger and computes the chain
 * anew, with its own code (tests/unit/ledger). */
#include "ledger_private.h"

#include <sodium.h>
#include <string.h>

/* ?1 is the entry's number. */
typedef struct entry_list {
  char letter;
  const char *sql;
} entry_list;

static const entry_list lists[] = {
    {'U', "SELECT number, name, folded FROM main.unit WHERE entry = ?1 ORDER BY number"},
    {'S', "SELECT number, name, kind, sha256, bytes, reading FROM main.source WHERE entry = ?1"},
    {'C', NULL}, /* read by hash_checks */
    {'H', "SELECT h.digest FROM main.held AS h JOIN main.source AS s ON s.number = h.source "
          "WHERE s.entry = ?1 ORDER BY h.line, h.unit, h.time, h.sequence"},
    {'V', "SELECT digest FROM main.event WHERE entry = ?1 ORDER BY line, number"},
    {'R', "SELECT r.number, r.line, r.header, r.field, r.reason, r.serious FROM main.source AS s "
          "JOIN main.refusal AS r ON r.source = s.number WHERE s.entry = ?1 ORDER BY r.number"},
    {'T', "SELECT t.unit, t.source, t.rows, t.fresh, t.known, t.conflicts FROM main.source AS s "
          "JOIN main.source_unit AS t ON t.source = s.number WHERE s.entry = ?1 ORDER BY t.unit"},
    {'W', "SELECT number, weekdays, alarms_per_unit_year, tell, clinic FROM main.setting_version "
          "WHERE entry = ?1"},
    {'N', "SELECT u.number, u.name, u.beam, u.fluence, u.plate_alpha_per_um, u.plate_threshold, "
          "u.spread, u.refill_interval_days, u.expected_days FROM main.setting_version AS v "
          "JOIN main.unit_setting AS u ON u.version = v.number WHERE v.entry = ?1 "
          "ORDER BY u.number"},
    {'L', "SELECT t.number, t.unit, t.characteristic, t.low, t.high, t.source, t.from_day "
          "FROM main.setting_version AS v JOIN main.tolerance AS t ON t.version = v.number "
          "WHERE v.entry = ?1 ORDER BY t.number"},
    {'B',
     "SELECT unit, characteristic, version, from_day, to_day, screen, centre, sigma, adjusted, "
     "slope_per_day, slope_se, slope_low, slope_high, fills, mean_age_days, oldest_age_days, "
     "radial_limit, derivation, n FROM main.baseline "
     "WHERE entry = ?1 ORDER BY unit, characteristic, version"},
};

static const entry_list later_lists[] = {
    {'A', "SELECT unit, characteristic, version, mean_x, mean_y, var_x, var_y, cov_xy, "
          "from_differences, drift_accepted, trend_p, step_p FROM main.baseline WHERE entry = ?1 "
          "AND (mean_x, mean_y, var_x, var_y, cov_xy, from_differences, drift_accepted, trend_p, "
          "step_p) IS NOT (0, 0, 0, 0, 0, 0, 0, 1, 1) ORDER BY unit, characteristic, version"},
    {'G', "SELECT x.unit, x.characteristic, x.version, x.number, x.at, x.sequence, x.pass, x.z "
          "FROM main.baseline AS b JOIN main.baseline_exclusion AS x ON x.unit = b.unit "
          "AND x.characteristic = b.characteristic AND x.version = b.version WHERE b.entry = ?1 "
          "ORDER BY x.unit, x.characteristic, x.version, x.number"},
    {'O', "SELECT o.number, o.key, o.title, o.unit, o.decimals FROM main.setting_version AS v "
          "JOIN main.own_characteristic AS o ON o.version = v.number WHERE v.entry = ?1 "
          "ORDER BY o.number"},
    {'K', "SELECT number, key FROM main.own_key WHERE entry = ?1 ORDER BY number"},
    {'X', "SELECT unit, time, sequence, kind, new_unit, new_time, new_sequence "
          "FROM main.superseded WHERE entry = ?1 ORDER BY unit, time, sequence"},
    {'Y', "SELECT s.event, s.kind, s.replacement, v.digest, r.digest "
          "FROM main.superseded_event AS s JOIN main.event AS v ON v.number = s.event "
          "LEFT JOIN main.event AS r ON r.number = s.replacement WHERE s.entry = ?1 "
          "ORDER BY s.event"},
    {'Z', "SELECT unit, time, source, kept FROM main.settled WHERE entry = ?1 "
          "ORDER BY unit, time, source"},
    {'D', "SELECT text, sha256, field, unit, time, sequence, event FROM main.redaction "
          "WHERE entry = ?1 ORDER BY text"},
    {'P', "SELECT number, unit, characteristic, high, from_time, to_time, baseline_version, "
          "episode, cause, action, restart FROM main.disposition WHERE entry = ?1 ORDER BY number"},
    {'I', "SELECT number, unit, month, revision, sha256, state FROM main.issued WHERE entry = ?1 "
          "ORDER BY number"},
};

static void hash_bytes(crypto_hash_sha256_state *state, const void *bytes, size_t length) {
  (void)crypto_hash_sha256_update(state, bytes, length);
}

static void hash_number(crypto_hash_sha256_state *state, char letter, uint64_t bits) {
  unsigned char form[9] = {(unsigned char)letter};
  for (int i = 1; i <= 8; i++, bits >>= 8)
    form[i] = (unsigned char)(bits & 0xFF);
  hash_bytes(state, form, sizeof form);
}

static void hash_block(crypto_hash_sha256_state *state, char letter, const void *bytes,
                       size_t length) {
  if (bytes == NULL) {
    hash_bytes(state, "n", 1);
    return;
  }
  hash_number(state, letter, length);
  hash_bytes(state, bytes, length);
}

static void hash_text(crypto_hash_sha256_state *state, const char *text) {
  hash_block(state, 't', text, text == NULL ? 0 : strlen(text));
}

static void hash_row(crypto_hash_sha256_state *state, sqlite3_stmt *row) {
  for (int c = 0; c < sqlite3_column_count(row); c++) {
    int type = sqlite3_column_type(row, c);
    if (type == SQLITE_INTEGER) {
      hash_number(state, 'i', (uint64_t)sqlite3_column_int64(row, c));
    } else if (type == SQLITE_FLOAT) {
      double value = sqlite3_column_double(row, c);
      uint64_t bits;
      memcpy(&bits, &value, sizeof bits);
      hash_number(state, 'r', bits);
    } else if (type == SQLITE_NULL) {
      hash_bytes(state, "n", 1);
    } else {
      /* An empty blob is a NULL pointer, but it isn't absent. */
      const void *bytes = sqlite3_column_blob(row, c);
      hash_block(state, type == SQLITE_TEXT ? 't' : 'b', bytes == NULL ? "" : bytes,
                 (size_t)sqlite3_column_bytes(row, c));
    }
  }
}

/* *rows is how many there were. */
static bt_status hash_list(bt_ledger *ledger, const entry_list *list, int64_t entry,
                           crypto_hash_sha256_state *state, int64_t *rows, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = true;
  *rows = 0;
  hash_bytes(state, &list->letter, 1);
  bt_status status = ledger_prepare(ledger, list->sql, &statement, error);
  if (status == BT_OK && sqlite3_bind_parameter_count(statement) > 0)
    status = ledger_bind(ledger, error, statement, "i", entry);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status == BT_OK && row) {
      hash_row(state, statement);
      (*rows)++;
    }
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_entry_next(bt_ledger *ledger, int64_t *number, bt_error *error) {
  return ledger_number(ledger, "SELECT coalesce(max(number), 0) + 1 FROM main.entry", number,
                       error);
}

/* The last entry's state; zeros before the first. */
static bt_status previous_state(bt_ledger *ledger, unsigned char *previous, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  memset(previous, 0, LEDGER_STATE_BYTES);
  bt_status status = ledger_prepare(
      ledger, "SELECT state FROM main.entry ORDER BY number DESC LIMIT 1", &statement, error);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    if (sqlite3_column_bytes(statement, 0) == LEDGER_STATE_BYTES)
      memcpy(previous, sqlite3_column_blob(statement, 0), LEDGER_STATE_BYTES);
    else
      status =
          bt_fail(error, BT_DAMAGED, "%s: the last entry has no state; use a backup", ledger->path);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* Digests of one entry's checks, taken from where the reader stands. */
static bt_status hash_checks(bt_ledger *ledger, ledger_digests *digests, int64_t entry,
                             crypto_hash_sha256_state *state, bt_error *error) {
  bt_status status = BT_OK;
  unsigned char digest[LEDGER_DIGEST_BYTES];
  bool there = digests->fresh != NULL;
  hash_bytes(state, "C", 1);
  while (status == BT_OK && there) {
    status = ledger_fresh_next(digests->fresh, digest, &there, error);
    if (status == BT_OK && there)
      hash_block(state, 'b', digest, sizeof digest);
  }
  while (status == BT_OK && digests->there && sqlite3_column_int64(digests->rows, 0) == entry) {
    hash_block(state, 'b', sqlite3_column_blob(digests->rows, 1),
               (size_t)sqlite3_column_bytes(digests->rows, 1));
    status = ledger_step(ledger, digests->rows, &digests->there, error);
  }
  return status;
}

bt_status ledger_entry_differs(const bt_ledger *ledger, const ledger_entry *entry,
                               bt_error *error) {
  char at[BT_TIME_TEXT] = "an impossible time";
  if (ledger_time_valid(entry->at))
    (void)bt_time_iso(entry->at, true, at);
  return bt_fail(error, BT_DAMAGED,
                 "%s: entry %lld (%s, %s) is not as it was written, though each check and event "
                 "is: its own words or numbers were changed, or a row of it was taken out, added "
                 "or moved; use a backup of the ledger from before",
                 ledger->path, (long long)entry->number, entry->kind == NULL ? "" : entry->kind,
                 at);
}

bt_status ledger_entry_state(bt_ledger *ledger, const ledger_entry *entry,
                             const unsigned char *previous, ledger_digests *digests,
                             unsigned char *sealed, bt_error *error) {
  crypto_hash_sha256_state state;
  bt_status status = BT_OK;
  int64_t rows = 0, unguarded = 0;
  (void)crypto_hash_sha256_init(&state);
  hash_bytes(&state, "E", 1);
  hash_block(&state, 'b', previous, LEDGER_STATE_BYTES);
  hash_number(&state, 'i', (uint64_t)entry->number);
  hash_text(&state, entry->kind);
  hash_number(&state, 'i', (uint64_t)entry->at);
  hash_text(&state, entry->by);
  hash_text(&state, entry->why);
  if (entry->form != 1)
    hash_number(&state, 'i', (uint64_t)entry->form);
  for (size_t i = 0; i < sizeof lists / sizeof lists[0] && status == BT_OK; i++)
    status = lists[i].letter == 'C'
                 ? hash_checks(ledger, digests, entry->number, &state, error)
                 : hash_list(ledger, &lists[i], entry->number, &state, &rows, error);
  crypto_hash_sha256_state first = state; /* as form 1 has it */
  for (size_t i = 0; i < sizeof later_lists / sizeof later_lists[0] && status == BT_OK; i++) {
    status = hash_list(ledger, &later_lists[i], entry->number, &state, &rows, error);
    unguarded += rows;
  }
  if (status == BT_OK && entry->form == 1) {
    state = first;
    if (unguarded > 0)
      status = ledger_entry_differs(ledger, entry, error);
  }
  (void)crypto_hash_sha256_final(&state, sealed);
  return status;
}

bt_status ledger_digests_open(bt_ledger *ledger, const char *sql, int64_t entry,
                              ledger_digests *digests, bt_error *error) {
  *digests = (ledger_digests){0};
  bt_status status = ledger_prepare(ledger, sql, &digests->rows, error);
  if (status == BT_OK && sqlite3_bind_parameter_count(digests->rows) > 0)
    status = ledger_bind(ledger, error, digests->rows, "i", entry);
  if (status == BT_OK)
    status = ledger_step(ledger, digests->rows, &digests->there, error);
  return status;
}

/* Stores the entry whose checks' digests the reader gives. */
static bt_status seal(bt_ledger *ledger, const ledger_entry *given, ledger_digests *digests,
                      bt_error *error) {
  ledger_entry entry = *given;
  unsigned char previous[LEDGER_STATE_BYTES];
  unsigned char sealed[LEDGER_STATE_BYTES];
  entry.form = LEDGER_FORM;
  bt_status status = previous_state(ledger, previous, error);
  if (status == BT_OK)
    status = ledger_entry_state(ledger, &entry, previous, digests, sealed, error);
  if (status != BT_OK)
    return status;
  return ledger_put(ledger, error,
                    "INSERT INTO main.entry (number, kind, at, by, why, previous, state, form) "
                    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                    "itittbbi", entry.number, entry.kind, entry.at, entry.by, entry.why, previous,
                    sizeof previous, sealed, sizeof sealed, entry.form);
}

bt_status ledger_entry_seal(bt_ledger *ledger, const ledger_entry *entry, const char *checks_sql,
                            bt_error *error) {
  ledger_digests digests = {0};
  bt_status status = BT_OK;
  if (checks_sql != NULL)
    status = ledger_digests_open(ledger, checks_sql, entry->number, &digests, error);
  if (status == BT_OK)
    status = seal(ledger, entry, &digests, error);
  (void)sqlite3_finalize(digests.rows);
  return status;
}

bt_status ledger_entry_seal_import(bt_ledger *ledger, const ledger_entry *entry,
                                   ledger_fresh *fresh, bt_error *error) {
  bool in_table = false;
  bt_status status = ledger_fresh_settle(fresh, &in_table, error);
  if (status != BT_OK)
    return status;
  if (in_table)
    return ledger_entry_seal(ledger, entry, LEDGER_FRESH_DIGESTS, error);
  ledger_digests digests = {.fresh = fresh};
  return seal(ledger, entry, &digests, error);
}
