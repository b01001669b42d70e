/* The import of one source: one transaction, one entry.
 *
 * Checks gather in batches; those that meet nothing in the ledger go in at once (batch.c), the
 * others wait in a temporary table for the merge. Events and refused lines are few and go straight
 * in: an abandoned import rolls all of it back. */
#include "batch_private.h"
#include "entry_private.h"
#include "event_private.h"
#include "fresh_private.h"
#include "merge_private.h"
#include "own_private.h"
#include "refused_private.h"
#include "same_file_private.h"
#include "sql_private.h"
#include "staging_private.h"
#include "store_private.h"
#include "tally_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <stdlib.h>
#include <string.h>

/* A unit's name as written in the log, and its place among the tallies. */
typedef struct written_name {
  char *name;
  size_t tally;
} written_name;

enum { NAMED_UNKNOWN = 8 };
static const size_t NO_TALLY = SIZE_MAX;

struct bt_import {
  bt_ledger *ledger;
  ledger_entry entry;
  char *by, *why; /* of an import that reads a file again */
  unsigned char
      replaced[BT_SHA256_BYTES]; /* of the file whose rows its rows supersede, with `by` */
  int64_t source;
  bool new_units, seen;
  int64_t last_unit; /* units up to this number were there before */
  ledger_fresh *fresh;
  ledger_batch *batch;
  ledger_own_keys keys;
  written_name *names;
  size_t names_n, names_capacity, last_name;
  ledger_tally *tally;
  size_t tallies, tally_capacity;
  int64_t refused, superseded, closed, removed;
  ledger_refused_before before;
  bool unknown; /* rows of units that the ledger doesn't know came, and are not stored */
  char *unknown_name[NAMED_UNKNOWN];
  int64_t unknown_line[NAMED_UNKNOWN];
  size_t unknown_n, unknown_more;
  bool failed; /* a row could not be taken: nothing may be stored */
};

static void release(bt_import *import) {
  ledger_batch_close(import->batch);
  ledger_fresh_close(import->fresh);
  ledger_own_keys_free(&import->keys);
  ledger_refused_close(&import->before);
  for (size_t i = 0; i < import->names_n; i++)
    free(import->names[i].name);
  free(import->names);
  for (size_t i = 0; i < import->unknown_n; i++)
    free(import->unknown_name[i]);
  free(import->tally);
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
    status = ledger_number(ledger, "SELECT coalesce(max(number), 0) FROM main.unit",
                           &import->last_unit, error);
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
                                                 .last_unit = import->last_unit,
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
  made->new_units = new_units;
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

/* Keeps a name that the ledger doesn't know: all of them are told at once, at the end. */
static bt_status keep_unknown(bt_import *import, const char *name, int64_t line, bt_error *error) {
  import->unknown = true;
  for (size_t i = 0; i < import->unknown_n; i++)
    if (bt_same_name(import->unknown_name[i], name))
      return BT_OK;
  if (import->unknown_n == NAMED_UNKNOWN) {
    import->unknown_more++; /* rows: their names aren't kept */
    return BT_OK;
  }
  if ((import->unknown_name[import->unknown_n] = bt_copy(name)) == NULL)
    return bt_fail_memory(error);
  import->unknown_line[import->unknown_n++] = line;
  return BT_OK;
}

/* The sentence of all unknown names: the first with what to do, the others with theirs nearest. */
static bt_status say_unknown(bt_import *import, bt_error *error) {
  bt_error one = {0};
  bt_text all = {0};
  for (size_t i = 0; i < import->unknown_n; i++) {
    const char *name = import->unknown_name[i];
    if (ledger_unit_unknown(import->ledger, name, BT_REFUSED,
                            import->unknown_n > 1 ? "first used in this line"
                                                  : LEDGER_NEW_UNIT_ADVICE,
                            &one) != BT_REFUSED) {
      bt_text_free(&all);
      return bt_fail(error, one.status, "%s", one.text);
    }
    bt_text_format(&all, "%sline %lld: %s", i == 0 ? "" : "; ", (long long)import->unknown_line[i],
                   one.text);
  }
  if (import->unknown_n > 1)
    bt_text_format(&all,
                   "%s; correct the names, or say --new-unit where each is a laser of its own",
                   import->unknown_more > 0 ? "; and others" : "");
  bt_status status = bt_text_ok(&all) ? bt_fail(error, BT_REFUSED, "%s", bt_text_get(&all))
                                      : bt_fail_memory(error);
  bt_text_free(&all);
  return status;
}

/* The number of the unit of that name: found, or taken as new where that is allowed; else 0, and it
 * is kept as unknown. */
static bt_status unit_of(bt_import *import, const char *name, int64_t line, int64_t *unit,
                         bt_error *error) {
  bt_status status = ledger_unit_number(import->ledger, name, unit, error);
  if (status != BT_OK || *unit != 0)
    return status;
  bool declared = false;
  status = ledger_unit_declared(import->ledger, name, &declared, error);
  if (status != BT_OK)
    return status;
  /* A first log brings its units, but not one laser under several spellings. */
  bool like = false;
  if (!import->new_units && !declared && import->last_unit == 0)
    status = ledger_unit_resembles(import->ledger, name, &like, error);
  if (status != BT_OK)
    return status;
  if (!import->new_units && !declared && (import->last_unit > 0 || like))
    return keep_unknown(import, name, line, error);
  return ledger_unit_add(import->ledger, name, import->entry.number, unit, error);
}

/* The place of that unit's tally; NO_TALLY for an unknown one. The names that a log uses are few
 * and looked up once. */
static bt_status tally_of(bt_import *import, const char *name, int64_t line, size_t *tally,
                          bt_error *error) {
  for (size_t tried = 0; tried < import->names_n; tried++) {
    size_t i = (import->last_name + tried) % import->names_n;
    if (strcmp(import->names[i].name, name) == 0) {
      import->last_name = i;
      *tally = import->names[i].tally;
      return BT_OK;
    }
  }
  int64_t unit = 0;
  size_t at = 0;
  bt_status status = unit_of(import, name, line, &unit, error);
  *tally = NO_TALLY;
  if (status != BT_OK || unit == 0)
    return status;
  while (at < import->tallies && import->tally[at].unit != unit)
    at++;
  if (!bt_grow(&import->tally, &import->tally_capacity, at + 1, sizeof *import->tally) ||
      !bt_grow(&import->names, &import->names_capacity, import->names_n + 1,
               sizeof *import->names) ||
      (import->names[import->names_n].name = bt_copy(name)) == NULL)
    return bt_fail_memory(error);
  if (at == import->tallies)
    import->tally[import->tallies++] = (ledger_tally){.unit = unit};
  import->names[import->names_n].tally = at;
  import->last_name = import->names_n++;
  *tally = at;
  return BT_OK;
}

bt_status bt_import_check(bt_import *import, const bt_check *check, bt_error *error) {
  size_t tally = 0;
  bt_status status = ledger_check_valid(check, error);
  if (status == BT_OK)
    status = tally_of(import, check->unit, check->line, &tally, error);
  if (status == BT_OK && tally != NO_TALLY)
    status = ledger_batch_add(import->batch, check, import->tally, tally, error);
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_event(bt_import *import, const bt_event *event, bt_error *error) {
  size_t at = 0;
  bool known = false, silent = false;
  bt_status status = ledger_event_valid(event, error);
  if (status == BT_OK)
    status = tally_of(import, event->unit, event->line, &at, error);
  if (status == BT_OK && at != NO_TALLY)
    status = ledger_event_put(import->ledger, event, import->tally[at].unit, import->source,
                              import->entry.number, &known, &silent, error);
  if (status == BT_OK && at != NO_TALLY) {
    ledger_tally *tally = &import->tally[at];
    tally->rows++;
    tally->known += known;
    tally->fresh += !known;
    import->removed += silent;
  }
  import->failed = import->failed || status != BT_OK;
  return status;
}

bt_status bt_import_refused_before(bt_import *import, const bt_refusal *refusal, bool *before,
                                   bt_time *first, bt_error *error) {
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
                 refusal->field, refusal->reason, (int64_t)refusal->serious);
  import->failed = import->failed || status != BT_OK;
  return status;
}

static void add_told(bt_told_rows *all, const bt_told_rows *some) {
  int64_t n = all->n + some->n;
  if (some->n > 0 && (all->n == 0 || some->line < all->line))
    *all = *some;
  all->n = n;
}

static bt_status store_tallies(bt_import *import, bt_import_counts *counts, bt_error *error) {
  bt_status status = BT_OK;
  *counts = (bt_import_counts){.rows = import->refused,
                               .refused = import->refused,
                               .superseded = import->superseded,
                               .closed = import->closed,
                               .removed = import->removed};
  for (size_t i = 0; i < import->tallies && status == BT_OK; i++) {
    const ledger_tally *tally = &import->tally[i];
    counts->rows += tally->rows;
    counts->fresh += tally->fresh;
    counts->known += tally->known;
    counts->conflicts += tally->conflicts;
    counts->conflicts_before += tally->held_before;
    add_told(&counts->twins, &tally->twins);
    add_told(&counts->reworded, &tally->reworded);
    status = ledger_put(import->ledger, error,
                        "INSERT INTO main.source_unit (unit, source, rows, fresh, known, "
                        "conflicts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                        "iiiiii", tally->unit, import->source, tally->rows, tally->fresh,
                        tally->known, tally->conflicts);
  }
  return status;
}

/* Rows held back whose conflict this import closed, of the file that it takes the place of. */
static bt_status count_held_again(const bt_import *import, bt_import_counts *counts,
                                  bt_error *error) {
  int64_t again = 0;
  bt_status status = BT_OK;
  if (counts->closed > 0)
    status = ledger_number_of(
        import->ledger, error,
        "SELECT count(*) FROM main.held AS h WHERE h.source = ?1 AND EXISTS (SELECT 1 FROM "
        "main.settled AS s JOIN main.held AS o ON o.unit = s.unit AND o.time = s.time "
        "AND o.source = s.source WHERE s.entry = ?2 AND o.unit = h.unit AND o.time = h.time)",
        &again, "ii", import->source, import->entry.number);
  counts->conflicts_before += again;
  return status;
}

/* The rows that the source brought must be told by now. */
static bt_status count_left_out(bt_import *import, bt_import_counts *counts, bt_error *error) {
  static const char sql[] =
      "SELECT count(*), total(r.serious <> 0) FROM main.refusal AS r JOIN main.source AS n "
      "ON n.number = r.source WHERE r.source = ?1 AND " LEDGER_LEFT_OUT("") " IS NOT NULL";
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(import->ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(import->ledger, error, statement, "i", import->source);
  if (status == BT_OK)
    status = ledger_step(import->ledger, statement, &row, error);
  if (status == BT_OK && row) {
    counts->left_out = sqlite3_column_int64(statement, 0);
    counts->left_out_serious = sqlite3_column_int64(statement, 1);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_import_commit(bt_import *import, bt_import_counts *counts, bt_error *error) {
  bt_ledger *ledger = import->ledger;
  ledger_merged merged = {0, 0};
  bt_status status = BT_OK;
  *counts = (bt_import_counts){0};
  ledger_refused_close(&import->before); /* tables are not dropped beside an open query */
  if (import->failed)
    status = bt_fail(error, BT_USAGE, "a row of this import failed before; nothing was stored");
  if (status == BT_OK && import->unknown)
    status = say_unknown(import, error);
  if (status == BT_OK)
    status = ledger_batch_flush(import->batch, import->tally, error);
  if (status == BT_OK && ledger_batch_staged(import->batch))
    status = ledger_merge(ledger_batch_store(import->batch), import->tally, import->tallies,
                          &merged, error);
  import->superseded += merged.superseded;
  import->removed += merged.removed;
  if (status == BT_OK)
    status = store_tallies(import, counts, error);
  if (status == BT_OK && import->refused > 0)
    status = count_left_out(import, counts, error);
  if (status == BT_OK)
    status = count_held_again(import, counts, error);
  if (status == BT_OK)
    status = ledger_entry_seal_import(ledger, &import->entry, import->fresh, error);
  bool unknown = import->unknown;
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
