/* A check that a person typed in: one record, one entry, a source without a file. */
#include "digest_private.h"
#include "entry_private.h"
#include "own_private.h"
#include "placing_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Contents are compared with own readings in order of key. */
static bt_status content_of(const bt_check *check, unsigned char *digest, bt_error *error) {
  bt_check sorted = *check;
  bt_own_reading *own = ledger_own_sorted(check);
  if (own == NULL)
    return bt_fail_memory(error);
  sorted.own = own;
  ledger_check_content(&sorted, digest);
  free(own);
  return BT_OK;
}

/* *known: a check that stands has the same readings; BT_REFUSED: one has others. */
static bt_status look(bt_ledger *ledger, const bt_check *check, int64_t unit, bool *known,
                      bt_error *error) {
  ledger_stored_list standing = {0};
  unsigned char typed[LEDGER_DIGEST_BYTES], stored[LEDGER_DIGEST_BYTES];
  char at[BT_TIME_TEXT];
  *known = false;
  bt_status status = content_of(check, typed, error);
  if (status == BT_OK)
    status = ledger_stored_standing(ledger, unit, check->time, LEDGER_NOW, &standing, error);
  for (size_t i = 0; i < standing.n && status == BT_OK && !*known; i++) {
    ledger_check_content(&standing.row[i].check, stored);
    *known = memcmp(typed, stored, sizeof typed) == 0;
  }
  if (status == BT_OK && standing.n > 0 && !*known)
    status = bt_fail(error, BT_REFUSED,
                     "the ledger has a check of \"%s\" at %s with other readings; correct that one "
                     "(`beamtally correct`), or give the time at which this one was made",
                     check->unit, bt_time_iso(check->time, check->has_clock, at));
  ledger_stored_free(&standing);
  return status;
}

/* Seals the entry with the digest of that one check. */
static bt_status seal(bt_ledger *ledger, const ledger_entry *entry, const ledger_place *place,
                      bt_error *error) {
  char sql[160];
  (void)snprintf(sql, sizeof sql,
                 "SELECT ?1, digest FROM main.checks WHERE unit = %lld AND time = %lld "
                 "AND sequence = %d",
                 (long long)place->unit, (long long)place->time, (int)place->sequence);
  return ledger_entry_seal(ledger, entry, sql, error);
}

/* All within the transaction. */
static bt_status add_check(bt_ledger *ledger, const bt_check *check, bool new_unit,
                           ledger_entry *entry, bool *known, bt_error *error) {
  ledger_place place = {0};
  bt_check typed = *check;
  int64_t source = 0;
  typed.line = typed.last_line = 0; /* no log's */
  bt_status status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK)
    status = ledger_unit_take(ledger, check->unit, new_unit, entry->number, &place.unit, error);
  if (status == BT_OK)
    status = look(ledger, check, place.unit, known, error);
  if (status != BT_OK || *known)
    return status;
  status = ledger_place_source(ledger, entry->number, &source, error);
  if (status == BT_OK)
    status = ledger_place_check(ledger, &typed, entry->number, NULL, source, &place, error);
  if (status == BT_OK)
    status = seal(ledger, entry, &place, error);
  return status;
}

bt_status bt_ledger_add_check(bt_ledger *ledger, const bt_check *check, bool new_unit,
                              const char *by, bt_time now, bool *known, bt_error *error) {
  ledger_entry entry = {.kind = "check", .at = now, .by = by};
  *known = false;
  bt_status status = ledger_asked(by, "who enters this (--by)", error);
  if (status == BT_OK)
    status = ledger_check_valid(check, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = add_check(ledger, check, new_unit, &entry, known, error);
  if (status != BT_OK || !*known)
    return ledger_end(ledger, status, error);
  ledger_rollback(ledger);
  return BT_OK;
}
