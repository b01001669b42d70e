/* Corrections of checks: the old record stays, and another stands in its place, or none. */
#include "differences_private.h"
#include "entry_private.h"
#include "placing_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"
#include "valid_private.h"

/* Nothing is said to differ that comparing wouldn't find: the same words serve for both. */
static bt_status something_changes(const bt_check *old, const bt_check *replacement,
                                   bt_error *error) {
  bt_text changes = {0};
  ledger_say_changes(old, replacement, &changes);
  bt_status status = BT_OK;
  if (!bt_text_ok(&changes))
    status = bt_fail_memory(error);
  else if (changes.length == 0)
    status = bt_fail(error, BT_USAGE,
                     "nothing would change: the ledger has these very values for the check; name "
                     "what is to be another");
  bt_text_free(&changes);
  return status;
}

static bt_status place_replacement(bt_ledger *ledger, const ledger_stored *old,
                                   const bt_check *replacement, int64_t entry, ledger_place *place,
                                   bt_error *error) {
  bt_check check = *replacement;
  int64_t source = 0;
  check.line = check.last_line = 0; /* it comes from a person, not from a line of a log */
  bt_status status = ledger_unit_known(ledger, check.unit, &place->unit, error);
  if (status == BT_OK)
    status = something_changes(&old->check, &check, error);
  if (status == BT_OK)
    status = ledger_place_source(ledger, entry, &source, error);
  if (status == BT_OK)
    status = ledger_place_check(ledger, &check, entry, old, source, place, error);
  return status;
}

/* All within the transaction. */
static bt_status correct(bt_ledger *ledger, const char *unit, ledger_place *old,
                         const bt_check *replacement, ledger_entry *entry, bt_error *error) {
  ledger_stored found = {0};
  ledger_place place = {0};
  bt_status status = ledger_unit_known(ledger, unit, &old->unit, error);
  if (status == BT_OK)
    status = ledger_find_standing(ledger, unit, old, true, &found, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK && replacement != NULL)
    status = place_replacement(ledger, &found, replacement, entry->number, &place, error);
  if (status == BT_OK)
    status = ledger_supersede(ledger, old, entry->number,
                              replacement == NULL ? "withdrawn" : "corrected",
                              replacement == NULL ? NULL : &place, error);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, LEDGER_REPLACED_DIGESTS, error);
  bt_check_free(&found.check);
  return status;
}

bt_status bt_ledger_correct_check(bt_ledger *ledger, const char *unit, bt_time time,
                                  int32_t sequence, const bt_check *replacement, const char *by,
                                  const char *why, bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "correction", .at = now, .by = by, .why = why};
  ledger_place old = {.time = time, .sequence = sequence};
  bt_status status = ledger_asked(by, "who corrects this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is corrected (--why)", error);
  if (status == BT_OK && replacement != NULL)
    status = ledger_check_valid(replacement, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = correct(ledger, unit, &old, replacement, &entry, error);
  return ledger_end(ledger, status, error);
}
