/* The chain of entries: their states. The lists are read by entry_lists.c.
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
 * Form 3 adds after I:
 *
 *   F  settings: the file of a further typeface, where they name one
 *
 * Form 4 adds after F:
 *
 *   Q  settings: pulses a day of their units, where fill age is counted by pulses
 *
 * Form 5 adds after Q:
 *
 *   J  refused lines left out
 *
 * Lists that its form has not are empty in an entry, else it is damaged: nothing would guard their
 * rows.
 * Version 5 brought a reading, and no list: its entries are of form 4 as those of version 4.
 * Readings, the clinic's own too, are within the digests of their checks. The first entry's
 * previous state is 32 zero bytes. How checked: a test walks the tables of a ledger and computes
 * the chain anew, with its own code (tests/unit/ledger). */
#include "digest_private.h"
#include "entry_private.h"
#include "fresh_private.h"
#include "ledger_private.h"
#include "sql_private.h"
#include "valid_private.h"

#include <sodium.h>
#include <string.h>

/* How many of the lists an entry of each form covers. */
static const int lists_of_form[LEDGER_FORM + 1] = {
    [1] = 11, [2] = 21, [3] = 22, [4] = 23, [5] = LEDGER_LISTS};

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

/* All columns but the first, which is the entry's number. */
static void hash_row(crypto_hash_sha256_state *state, sqlite3_stmt *row) {
  for (int c = 1; c < sqlite3_column_count(row); c++) {
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

/* Takes one entry's rows of a list from where it stands; *rows is how many there were. */
static bt_status hash_list(bt_ledger *ledger, ledger_lists *lists, int list, int64_t entry,
                           crypto_hash_sha256_state *state, int64_t *rows, bt_error *error) {
  sqlite3_stmt *row = lists->rows[list];
  bt_status status = BT_OK;
  const char letter = ledger_list_letter(list);
  *rows = 0;
  hash_bytes(state, &letter, 1);
  while (status == BT_OK && lists->there[list] && sqlite3_column_int64(row, 0) == entry) {
    hash_row(state, row);
    (*rows)++;
    status = ledger_step(ledger, row, &lists->there[list], error);
  }
  return status;
}

bt_status ledger_entry_next(bt_ledger *ledger, int64_t *number, bt_error *error) {
  return ledger_number(ledger, LEDGER_NEXT_NUMBER("entry"), number, error);
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

/* Digests of the checks that an import added, where they aren't read from a table. */
static bt_status hash_fresh(ledger_fresh *fresh, crypto_hash_sha256_state *state, bt_error *error) {
  bt_status status = BT_OK;
  unsigned char digest[LEDGER_DIGEST_BYTES];
  bool there = true;
  hash_bytes(state, "C", 1);
  while (status == BT_OK && there) {
    status = ledger_fresh_next(fresh, digest, &there, error);
    if (status == BT_OK && there)
      hash_block(state, 'b', digest, sizeof digest);
  }
  return status;
}

bt_status ledger_entry_differs(const bt_ledger *ledger, const ledger_entry *entry,
                               bt_error *error) {
  char at[BT_TIME_TEXT] = "an impossible time";
  if (ledger_time_valid(entry->at))
    (void)bt_time_iso(entry->at, true, at);
  return bt_fail(error, BT_DAMAGED,
                 "%s: entry %lld (%s, %s) is not as it was written: its own words or numbers were "
                 "changed, or a record of it was changed, taken out, added or moved; use a backup "
                 "of the ledger from before",
                 ledger->path, (long long)entry->number, entry->kind == NULL ? "" : entry->kind,
                 at);
}

bt_status ledger_entry_state(bt_ledger *ledger, const ledger_entry *entry,
                             const unsigned char *previous, ledger_lists *lists,
                             unsigned char *sealed, bt_error *error) {
  crypto_hash_sha256_state state, covered;
  bt_status status = BT_OK;
  int lists_n = entry->form >= 1 && entry->form <= LEDGER_FORM ? lists_of_form[entry->form] : 0;
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
  covered = state;
  for (int i = 0; i < LEDGER_LISTS && status == BT_OK; i++) {
    status = i == LEDGER_LIST_OF_CHECKS && lists->fresh != NULL
                 ? hash_fresh(lists->fresh, &state, error)
                 : hash_list(ledger, lists, i, entry->number, &state, &rows, error);
    if (i < lists_n)
      covered = state;
    else
      unguarded += rows;
  }
  if (status == BT_OK && unguarded > 0)
    status = ledger_entry_differs(ledger, entry, error);
  (void)crypto_hash_sha256_final(&covered, sealed);
  return status;
}

/* Stores the entry; digests of its checks come from `fresh` or else by that statement. */
static bt_status seal(bt_ledger *ledger, const ledger_entry *given, const char *checks_sql,
                      ledger_fresh *fresh, bt_error *error) {
  ledger_entry entry = *given;
  ledger_lists lists = {0};
  unsigned char previous[LEDGER_STATE_BYTES];
  unsigned char sealed[LEDGER_STATE_BYTES];
  entry.form = LEDGER_FORM;
  bt_status status = previous_state(ledger, previous, error);
  if (status == BT_OK)
    status = ledger_lists_open(ledger, &entry, checks_sql, &lists, error);
  lists.fresh = fresh;
  if (status == BT_OK)
    status = ledger_entry_state(ledger, &entry, previous, &lists, sealed, error);
  ledger_lists_close(&lists);
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
  return seal(ledger, entry, checks_sql, NULL, error);
}

bt_status ledger_entry_seal_import(bt_ledger *ledger, const ledger_entry *entry,
                                   ledger_fresh *fresh, bt_error *error) {
  bool in_table = false;
  bt_status status = ledger_fresh_settle(fresh, &in_table, error);
  if (status != BT_OK)
    return status;
  return in_table ? seal(ledger, entry, LEDGER_FRESH_DIGESTS, NULL, error)
                  : seal(ledger, entry, NULL, fresh, error);
}
