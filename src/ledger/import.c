/* The import of one source: one transaction, one entry.
 *
 * Checks gather in batches; those that meet nothing in the ledger go in at once (batch.c), the
 * others wait in a temporary table for the merge. Events and refused lines are few and go straight
 * in: an abandoned import rolls all of it back. */
#include "batch_private.h"
#include "entry_private.h"
#include "event_private.h"
#include "fresh_private.h"
#include "import_counts_private.h"
#include "log_units_private.h"
#include "merge_private.h"
#include "own_private.h"
#include "refused_private.h"
#include "same_file_private.h"
#include "sql_private.h"
#include "staging_private.h"
#include "store_private.h"
#include "tally_private.h"
#include "valid_private.h"

#include <stdlib.h>
#include <string.h>

struct bt_import {
  bt_ledger *ledger;
  ledger_entry entry;
  char *by, *why; /* of an import that reads a file again */
  unsigned char
      replaced[BT_SHA256_BYTES]; /* of the file whose rows its rows supersede, with `by` */
  int64_t source;
  bool seen;
  ledger_log_units units;
  ledger_fresh *fresh;
  ledger_batch *batch;
  ledger_own_keys keys;
  int64_t refused, superseded, closed, removed;
  ledger_refused_before before;
  bool failed; /* a row could not be taken: nothing may be stored */
};

static void release(bt_import *import) {
  ledger_batch_close(import->batch);
  ledger_fresh_close(import->fresh);
  ledger_own_keys_free(&import->keys);
  ledger_refused_close(&import->before);
  ledger_log_units_free(&import->units);
  free(import->by);
  free(import->why);
  free(import);
}

void bt_import_abandon(bt_import *import) {
  if (import == NULL)
    return;
  bt_ledger *ledger = import->ledger;
  release(import);
  ledger_rollback(ledger);
  ledger_staging_shrink(ledger);
}

static bt_status prepare_import(bt_import *import, const bt_source *source, bt_error *error) {
  bt_ledger *ledger = import->ledger;
  bt_status status = ledger_staging_make(ledger, error);
  if (status == BT_OK)
    status = ledger_own_keys_read(ledger, &import->keys, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &import->entry.number, error);
  if (status == BT_OK)
    status = ledger_log_units_begin(ledger, import->entry.number, &import->units, error);
  if (status == BT_OK && import->by != NULL)
    status = ledger_supersede_file(ledger, import->replaced, import->entry.number,
                                   &import->superseded, &import->closed, error);
  if (status == BT_OK)
    status = ledger_number(ledger, LEDGER_NEXT_NUMBER("source"), &import->source, error);
  if (status == BT_OK)
    status = ledger_refused_open(ledger, source->name, &import->before, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.source (number, entry, name, kind, sha256, bytes, "
                        "reading) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                        "iittbit", import->source, import->entry.number, source->name,
                        source->kind == BT_SOURCE_CHECKS ? "checks" : "events", source->sha256,
                        sizeof source->sha256, source->bytes, source->reading);
  if (status == BT_OK)
    status = ledger_fresh_open(ledger, &import->fresh, error);
  if (status == BT_OK)
    status = ledger_batch_open(ledger,
                               &(ledger_merging){.source = import->source,
                                                 .entry = import->entry.number,
                                                 .last_unit = import->units.last,
                                                 .keys = &import->keys,
                                                 .seen = import->seen,
                                                 .again = import->by != NULL,
                                                 .fresh = import->fresh},
                               &import->batch, error);
  return status;
}

bt_status bt_import_begin(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                          bool new_units, bt_time now, bt_import **import, bool *repeated,
                          bt_error *error) {
  bt_status status = BT_OK;
  bool seen = false;
  *import = NULL;
  *repeated = false;
  if (again != NULL)
    status = ledger_asked(again->by, "who has it read again (--by)", error);
  if (status == BT_OK && again != NULL)
    status = ledger_asked(again->why, "why it is read again (--why)", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_find_repeated(ledger, source, again, &seen, repeated, error);
  if (status != BT_OK || *repeated) {
    ledger_rollback(ledger);
    return status;
  }
  bt_import *made = bt_new(1, sizeof *made);
  if (made == NULL) {
    ledger_rollback(ledger);
    return bt_fail_memory(error);
  }
  made->ledger = ledger;
  made->units.new_units = new_units;
  made->seen = seen;
  made->entry = (ledger_entry){.kind = "import", .at = now};
  memcpy(made->replaced, source->sha256, sizeof made->replaced);
  if (again != NULL && again->instead_of != NULL)
    status = ledger_find_replaced(ledger, again->instead_of, made->replaced, error);
  if (status == BT_OK && again != NULL && again->instead_of != NULL &&
      memcmp(made->replaced, source->sha256, sizeof made->replaced) == 0)
    status = bt_fail(error, BT_REFUSED,
                     "this is the very file that was imported under that name, with nothing mended "
                     "in it; nothing was stored: give the mended copy, or, to read it in another "
                     "way, --again without --instead-of");
  if (status == BT_OK && again != NULL &&
      ((made->by = bt_copy(again->by)) == NULL || (made->why = bt_copy(again->why)) == NULL))
    status = bt_fail_memory(error);
  made->entry.by = made->by;
  made->entry.why = made->why;
  if (status == BT_OK)
    status = prepare_import(made, source, error);
  if (status != BT_OK) {
    bt_import_abandon(made);
    return status;
  }
  *import = made;
  return BT_OK;
}

bt_status bt_import_check(bt_import *import, const bt_check *check, bt_error *error) {
  size_t tally = 0;
  bt_status status = ledger_check_valid(check, error);
  if (status == BT_OK)
    status = ledger_log_unit(&import->units, check->unit, check->line, &tally, error);
  if (status == BT_OK && tally != LEDGER_NO_TALLY)
    status = ledger_batch_add(import->batch, check, import->units.tally, tally, error);
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_event(bt_import *import, const bt_event *event, bt_error *error) {
  size_t at = 0;
  bool known = false, silent = false;
  bt_status status = ledger_event_valid(event, error);
  if (status == BT_OK)
    status = ledger_log_unit(&import->units, event->unit, event->line, &at, error);
  if (status == BT_OK && at != LEDGER_NO_TALLY)
    status = ledger_event_put(import->ledger, event, import->units.tally[at].unit, import->source,
                              import->entry.number, &known, &silent, error);
  if (status == BT_OK && at != LEDGER_NO_TALLY) {
    ledger_tally *tally = &import->units.tally[at];
    tally->rows++;
    tally->known += known;
    tally->fresh += !known;
    import->removed += silent;
  }
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_refused_before(bt_import *import, const bt_refusal *refusal,
                                   bt_refused_before *before, bt_time *first, bt_error *error) {
  bt_status status =
      ledger_refused_find(import->ledger, &import->before, refusal, before, first, error);
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_refusal(bt_import *import, const bt_refusal *refusal, bt_error *error) {
  bt_status status =
      ledger_put(import->ledger, error,
                 "INSERT INTO main.refusal (source, number, line, header, field, reason, serious) "
                 "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                 "iiittti", import->source, ++import->refused, refusal->line, refusal->column,
                 refusal->field, refusal->reason, (int64_t)refusal->lost);
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_commit(bt_import *import, bt_import_counts *counts, bt_error *error) {
  bt_ledger *ledger = import->ledger;
  ledger_merged merged = {0, 0};
  bt_status status = BT_OK;
  ledger_refused_close(&import->before); /* tables are not dropped beside an open query */
  if (import->failed)
    status = bt_fail(error, BT_USAGE, "a row of this import failed before; nothing was stored");
  if (status == BT_OK && import->units.unknown)
    status = ledger_log_units_unknown(&import->units, error);
  if (status == BT_OK)
    status = ledger_batch_flush(import->batch, import->units.tally, error);
  if (status == BT_OK && ledger_batch_staged(import->batch))
    status = ledger_merge(ledger_batch_store(import->batch), import->units.tally,
                          import->units.tallies, &merged, error);
  import->superseded += merged.superseded;
  import->removed += merged.removed;
  *counts = (bt_import_counts){.rows = import->refused,
                               .refused = import->refused,
                               .superseded = import->superseded,
                               .closed = import->closed,
                               .removed = import->removed};
  if (status == BT_OK)
    status = ledger_count_import(ledger, import->source, import->entry.number, &import->units,
                                 counts, error);
  if (status == BT_OK)
    status = ledger_entry_seal_import(ledger, &import->entry, import->fresh, error);
  bool unknown = import->units.unknown;
  ledger_batch_close(import->batch);
  ledger_fresh_close(import->fresh);
  import->batch = NULL;
  import->fresh = NULL;
  if (status == BT_OK)
    status = ledger_staging_drop(ledger, error);
  if (status == BT_OK)
    status = ledger_commit(ledger, error);
  if (status != BT_OK)
    *counts = (bt_import_counts){.unknown_units = unknown};
  bt_import_abandon(import); /* after a commit there is nothing to roll back */
  return status;
}
