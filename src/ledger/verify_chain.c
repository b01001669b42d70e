/* The chain of entries computed anew, and the place of a printed state in it. */
#include "ledger_private.h"

#include <ctype.h>
#include <sodium.h>
#include <string.h>

enum { STATE_DIGITS = 20 };

/* A check's row belongs to the entry of its source. */
static const char digests_sql[] =
    "SELECT s.entry, c.digest FROM main.checks AS c JOIN main.source AS s ON s.number = c.source "
    "ORDER BY s.entry, c.line, c.unit, c.time, c.sequence";

enum { N_NUMBER, N_KIND, N_AT, N_BY, N_WHY, N_PREVIOUS, N_STATE, N_FORM };

static const char entries_sql[] =
    "SELECT number, kind, at, by, why, previous, state, form FROM main.entry ORDER BY number";

/* A text column; *plain is false when it holds more than the C string shows. */
static const char *text_of(sqlite3_stmt *row, int column, bool *plain) {
  const char *text = (const char *)sqlite3_column_text(row, column);
  *plain = *plain && (text == NULL || strlen(text) == (size_t)sqlite3_column_bytes(row, column));
  return text;
}

static bool same_state(sqlite3_stmt *row, int column, const unsigned char *state) {
  return sqlite3_column_bytes(row, column) == LEDGER_STATE_BYTES &&
         memcmp(sqlite3_column_blob(row, column), state, LEDGER_STATE_BYTES) == 0;
}

/* The entry on which `row` stands must follow from `state`, which then becomes its state. */
static bt_status verify_entry(bt_ledger *ledger, sqlite3_stmt *row, int64_t expected,
                              ledger_digests *digests, unsigned char *state, bt_error *error) {
  unsigned char sealed[LEDGER_STATE_BYTES];
  bool plain = true;
  ledger_entry entry = {.number = sqlite3_column_int64(row, N_NUMBER),
                        .kind = text_of(row, N_KIND, &plain),
                        .at = sqlite3_column_int64(row, N_AT),
                        .by = text_of(row, N_BY, &plain),
                        .why = text_of(row, N_WHY, &plain),
                        .form = sqlite3_column_int64(row, N_FORM)};
  if (entry.number != expected)
    return bt_fail(error, BT_DAMAGED,
                   "%s: entry %lld is gone; use a backup of the ledger from before", ledger->path,
                   (long long)expected);
  bt_status status = ledger_entry_state(ledger, &entry, state, digests, sealed, error);
  if (status != BT_OK)
    return status;
  if (!plain || entry.form < 1 || entry.form > LEDGER_FORM || !same_state(row, N_PREVIOUS, state) ||
      !same_state(row, N_STATE, sealed))
    return ledger_entry_differs(ledger, &entry, error);
  memcpy(state, sealed, sizeof sealed);
  return BT_OK;
}

bt_status ledger_verify_chain(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  ledger_digests digests = {0};
  sqlite3_stmt *entries = NULL;
  unsigned char state[LEDGER_STATE_BYTES] = {0};
  bool row = true;
  bt_status status = ledger_digests_open(ledger, digests_sql, 0, &digests, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, entries_sql, &entries, error);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, entries, &row, error);
    if (status == BT_OK && row)
      status = verify_entry(ledger, entries, ++found->entries, &digests, state, error);
  }
  if (status == BT_OK && (found->entries == 0 || digests.there))
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost entries; use a backup of it",
                     ledger->path);
  (void)sqlite3_finalize(entries);
  (void)sqlite3_finalize(digests.rows);
  if (status == BT_OK)
    (void)sodium_bin2hex(found->state, sizeof found->state, state, STATE_DIGITS / 2);
  return status;
}

/* Takes the blanks out. False when there are not 20 hex digits. */
static bool read_digits(const char *digits, unsigned char *bytes) {
  char plain[STATE_DIGITS + 1] = "";
  size_t n = 0;
  for (; *digits != '\0'; digits++) {
    if (*digits == ' ')
      continue;
    if (n == STATE_DIGITS || !isxdigit((unsigned char)*digits))
      return false;
    plain[n++] = *digits;
  }
  return n == STATE_DIGITS &&
         sodium_hex2bin(bytes, STATE_DIGITS / 2, plain, n, NULL, NULL, NULL) == 0;
}

bt_status bt_ledger_find_state(bt_ledger *ledger, const char *digits, bt_state_place *place,
                               bt_error *error) {
  unsigned char bytes[STATE_DIGITS / 2];
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *place = (bt_state_place){0};
  if (!read_digits(digits, bytes))
    return bt_fail(error, BT_USAGE,
                   "\"%s\" is no ledger state; a report prints it as 20 hex digits in groups of 4",
                   digits);
  bt_status status = ledger_prepare(ledger,
                                    "SELECT number, at, (SELECT count(*) FROM main.entry AS l "
                                    "WHERE l.number > e.number) FROM main.entry AS e "
                                    "WHERE substr(state, 1, 10) = ?1 ORDER BY number LIMIT 1",
                                    &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "b", bytes, sizeof bytes);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    *place = (bt_state_place){.entry = sqlite3_column_int64(statement, 0),
                              .at = sqlite3_column_int64(statement, 1),
                              .after = sqlite3_column_int64(statement, 2)};
  (void)sqlite3_finalize(statement);
  if (status == BT_OK && !row)
    status = bt_fail(error, BT_NOTFOUND,
                     "%s: the state %s does not stand in this ledger's chain: the ledger was "
                     "altered since that report and its chain computed anew, or an older backup "
                     "was restored (and written on: a fork), or this is another ledger; compare "
                     "it with a backup made after that report",
                     ledger->path, digits);
  return status;
}
