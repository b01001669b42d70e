/* The chain of entries computed anew. */
#include "entry_private.h"
#include "ledger_private.h"
#include "sql_private.h"
#include "verify_private.h"

#include <sodium.h>
#include <string.h>

enum { STATE_DIGITS = 20 };

/* A check's row belongs to the entry of its source. Entry and line are sorted by as one number:
 * that takes two thirds of the time that both columns would. Numbers too large for it (8 million
 * entries, 10^12 lines) are no ledger's; altered ones give some other order, which no entry has. */
static const char digests_sql[] =
    "SELECT s.entry, c.digest FROM main.checks AS c CROSS JOIN main.source AS s "
    "ON s.number = c.source ORDER BY s.entry << 40 | c.line, c.unit, c.time, c.sequence";

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

/* Entry 1 has no date. A clock that was set back is remarked, no difference. */
static void look_at_date(const ledger_entry *entry, bt_verification *found) {
  if (entry->number > 2 && entry->at < found->last && found->backward++ == 0) {
    found->backward_at = entry->number;
    found->backward_date = entry->at;
    found->backward_before = found->last;
  }
  found->last = entry->at;
}

/* The entry on which `row` stands must follow from `state`, which then becomes its state. */
static bt_status verify_entry(bt_ledger *ledger, sqlite3_stmt *row, bt_verification *found,
                              ledger_lists *lists, unsigned char *state, bt_error *error) {
  int64_t expected = ++found->entries;
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
  bt_status status = ledger_entry_state(ledger, &entry, state, lists, sealed, error);
  if (status != BT_OK)
    return status;
  if (!plain || entry.form < 1 || entry.form > LEDGER_FORM || !same_state(row, N_PREVIOUS, state) ||
      !same_state(row, N_STATE, sealed))
    return ledger_entry_differs(ledger, &entry, error);
  memcpy(state, sealed, sizeof sealed);
  look_at_date(&entry, found);
  return BT_OK;
}

bt_status ledger_verify_chain(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  ledger_lists lists = {0};
  sqlite3_stmt *entries = NULL;
  unsigned char state[LEDGER_STATE_BYTES] = {0};
  bt_status status = ledger_lists_open(ledger, NULL, digests_sql, &lists, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, entries_sql, &entries, error);
  while (ledger_next(ledger, entries, &status, error))
    status = verify_entry(ledger, entries, found, &lists, state, error);
  bool left = found->entries == 0;
  for (int i = 0; i < LEDGER_LISTS; i++)
    left = left || lists.there[i];
  if (status == BT_OK && left)
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost entries; use a backup of it",
                     ledger->path);
  (void)sqlite3_finalize(entries);
  ledger_lists_close(&lists);
  if (status == BT_OK)
    (void)sodium_bin2hex(found->state, sizeof found->state, state, STATE_DIGITS / 2);
  return status;
}
