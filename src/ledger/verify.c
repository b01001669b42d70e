/* Verifying: is the ledger as it was written?
 *
 * V1  SQLite's integrity_check and foreign_key_check find nothing (the schema's text was compared
 *     when the ledger was opened); what they find is named by table and row (verify_references.c).
 * V2  Every check, row held back and event has the digest that its columns, texts and readings of
 *     the clinic's own characteristics give, and holds only what a log can hold; and every text
 *     belongs to one of them (verify_rows.c).
 * V3  Every entry has the state that its head, its lists and the state before it give; entries are
 *     numbered from 1 without a gap; no check stands outside the chain, and nothing that an entry
 *     of an older form doesn't cover stands under its name (verify_chain.c).
 * V4  The file's head says that it may be read and written (marks.c).
 *
 * All of it is computed by the code that stored it (digest.c, entry.c). This shows damage and
 * careless edits. Whoever edits a row can also compute all digests and states after it anew; what
 * shows that is a state printed before (bt_ledger_find_state). */
#include "file_private.h"
#include "ledger_private.h"
#include "sql_private.h"
#include "verify_private.h"

#include <string.h>

/* Without the line "*** in database main ***" that SQLite puts before it. */
static const char *finding(const char *words) {
  const char *end = words != NULL && strncmp(words, "*** ", 4) == 0 ? strchr(words, '\n') : NULL;
  return end == NULL ? words : end + 1;
}

bt_status ledger_check_structure(bt_ledger *ledger, const char *table, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  char *sql = table == NULL ? sqlite3_mprintf("PRAGMA main.integrity_check(1)")
                            : sqlite3_mprintf("PRAGMA main.integrity_check(\"%w\")", table);
  if (sql == NULL)
    return bt_fail_memory(error);
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  sqlite3_free(sql);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK) {
    const char *words = row ? finding((const char *)sqlite3_column_text(statement, 0)) : NULL;
    if (words == NULL || sqlite3_stricmp(words, "ok") != 0)
      status = bt_fail(error, BT_DAMAGED, "%s: the file is damaged (%s); use a backup of it",
                       ledger->path, words == NULL ? "SQLite can't check it" : words);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* V2, V3. */
static bt_status check_digests(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  int64_t stray_text = 0;
  bt_status status = ledger_verify_rows(ledger, found, &stray_text, error);
  if (status == BT_OK)
    status = ledger_verify_chain(ledger, found, error);
  if (status == BT_OK && stray_text != 0) /* last: a check that is gone is named as such */
    status = ledger_text_is_stray(ledger, stray_text, error);
  return status;
}

/* What SQLite finds is a table at best: the digests may tell of the row. */
static bt_status name_damage(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  bt_error digests = {0};
  const char *row = digests.text;
  if (check_digests(ledger, found, &digests) != BT_DAMAGED)
    return BT_DAMAGED;
  size_t path = strlen(ledger->path);
  if (strncmp(row, ledger->path, path) == 0 && strncmp(row + path, ": ", 2) == 0)
    row += path + 2;
  bt_error structure = *error;
  char *end = strstr(structure.text, "; use a backup");
  if (end == NULL)
    return BT_DAMAGED;
  return bt_fail(error, BT_DAMAGED, "%.*s; %s", (int)(end - structure.text), structure.text, row);
}

bt_status bt_ledger_verify(bt_ledger *ledger, bt_verification *found, bt_error *error) {
  int64_t version = 0;
  *found = (bt_verification){0};
  bt_status status = ledger_begin_reading(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_check_structure(ledger, NULL, error);
  if (status == BT_DAMAGED && error != NULL)
    status = name_damage(ledger, found, error);
  if (status == BT_OK)
    status = ledger_verify_references(ledger, error);
  if (status == BT_OK)
    status = check_digests(ledger, found, error);
  if (status == BT_OK) /* V4, last: damage to what was entered is told first */
    status = ledger_marks_as_written(ledger, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "PRAGMA data_version", &version, error);
  ledger_rollback(ledger);
  ledger->known_whole = status == BT_OK;
  ledger->whole_version = version;
  return status;
}

bt_status bt_ledger_still_whole(bt_ledger *ledger, bt_error *error) {
  int64_t version = 0;
  bt_status status = ledger_number(ledger, "PRAGMA data_version", &version, error);
  if (status == BT_OK && !(ledger->known_whole && version == ledger->whole_version))
    status = bt_fail(error, BT_REFUSED,
                     "%s: another program wrote into the ledger since it was verified, so it isn't "
                     "known that what was read is what was entered; do it again",
                     ledger->path);
  return status;
}

bt_status bt_ledger_hold_whole(bt_ledger *ledger, bt_error *error) {
  bt_verification found;
  bt_error none = {0};
  if (ledger->known_whole && bt_ledger_still_whole(ledger, &none) == BT_OK)
    return BT_OK;
  return bt_ledger_verify(ledger, &found, error);
}
