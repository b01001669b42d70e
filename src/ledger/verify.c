/* Verifying: is the ledger as it was written?
 *
 * V1  SQLite's integrity_check and foreign_key_check find nothing (the schema's text was compared
 *     when the ledger was opened).
 * V2  Every check, row held back and event has the digest that its columns, texts and readings of
 *     the clinic's own characteristics give, and holds only what a log can hold; and every text
 *     belongs to one of them (verify_rows.c).
 * V3  Every entry has the state that its head, its lists and the state before it give; entries are
 *     numbered from 1 without a gap; no check stands outside the chain, and nothing that an entry
 *     of an older form doesn't cover stands under its name (verify_chain.c).
 *
 * All of it is computed by the code that stored it (digest.c, entry.c). This shows damage and
 * careless edits. Whoever edits a row can also compute all digests and states after it anew; what
 * shows that is a state printed before (bt_ledger_find_state). */
#include "ledger_private.h"

static bt_status check_structure(bt_ledger *ledger, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, "PRAGMA main.integrity_check(1)", &statement, error);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK) {
    const char *words = row ? (const char *)sqlite3_column_text(statement, 0) : NULL;
    if (words == NULL || sqlite3_stricmp(words, "ok") != 0)
      status = bt_fail(error, BT_DAMAGED, "%s: the file is damaged (%s); use a backup of it",
                       ledger->path, words == NULL ? "SQLite can't check it" : words);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status check_references(bt_ledger *ledger, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, "PRAGMA main.foreign_key_check", &statement, error);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    status = bt_fail(error, BT_DAMAGED,
                     "%s: a row of the table \"%s\" names a row of \"%s\" that is gone; use a "
                     "backup of it",
                     ledger->path, (const char *)sqlite3_column_text(statement, 0),
                     (const char *)sqlite3_column_text(statement, 2));
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_verify(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  int64_t stray_text = 0;
  *found = (bt_verification){0};
  bt_status status = ledger_run(ledger, "BEGIN", error); /* all is read as of one moment */
  if (status != BT_OK)
    return status;
  status = check_structure(ledger, error);
  if (status == BT_OK)
    status = check_references(ledger, error);
  if (status == BT_OK)
    status = ledger_verify_rows(ledger, found, &stray_text, error);
  if (status == BT_OK)
    status = ledger_verify_chain(ledger, found, error);
  if (status == BT_OK && stray_text != 0) /* last: a check that is gone is named as such */
    status = ledger_text_is_stray(ledger, stray_text, error);
  ledger_rollback(ledger);
  return status;
}
