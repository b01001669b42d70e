/* Rows of an import on their way in.
 *
 * D1  Rows gather in a batch of up to 20,000, so that memory is bounded, and leave it in order of
 *     (unit, time, arrival): a table that is filled in order of its key is filled quickly.
 * D2  A row at whose unit and time nothing stands but rows of its own source, is new (M2): it goes
 *     straight into `checks`, with the next sequence there.
 * D3  A row at whose unit and time other records stand is staged: what becomes of it is decided
 *     when all rows of that unit and time are known (merge.c).
 * D4  What stands there of other sources doesn't change within an import: rows of one unit and time
 *     all go one way.
 * D5  Most logs run forward in time, or backward: before and after all that was stored of its unit
 *     when the batch began to leave, nothing can stand, and nothing is asked. */
#include "batch_private.h"
#include "compare_private.h"
#include "digest_private.h"
#include "fresh_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "store_private.h"
#include "stored_private.h"
#include "tally_private.h"
#include "told_private.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

enum { BATCH_ROWS = 20000, BATCH_BYTES = 8 << 20 /* of texts */ };

/* One row, and where its texts and own readings stand in the batch's own room. */
typedef struct batch_row {
  ledger_row row;
  size_t text[BT_FIELD_COUNT]; /* SIZE_MAX: none */
  size_t own;
  size_t tally;
  unsigned char digest[LEDGER_DIGEST_BYTES];
  bool stored;
} batch_row;

/* A row's key beside it: rows are large, and sorting looks at keys many times. */
typedef struct batch_place {
  int64_t unit;
  bt_time time;
  batch_row *row;
} batch_place;

struct ledger_batch {
  ledger_store store;
  sqlite3_stmt *stage, *stage_own, *there, *span;
  batch_place *order;
  size_t order_capacity;
  batch_row *rows;
  size_t n, capacity;
  char *texts;
  size_t texts_n, texts_capacity;
  bt_own_reading *own; /* keys are those of the ledger's list */
  size_t own_n, own_capacity;
  ledger_contents contents; /* of the rows of one unit and time */
  int32_t staged;
};

bt_status ledger_batch_open(bt_ledger *ledger, const ledger_merging *merging, ledger_batch **batch,
                            bt_error *error) {
  const struct {
    size_t at;
    const char *sql;
  } wanted[] = {
      {offsetof(ledger_batch, stage), LEDGER_CHECK_INSERT("temp.staging")},
      {offsetof(ledger_batch, stage_own), LEDGER_OWN_INSERT("temp.staging_own")},
      {offsetof(ledger_batch, there),
       "SELECT source FROM main.checks WHERE unit = ?1 AND time = ?2 ORDER BY sequence"},
      {offsetof(ledger_batch, span), "SELECT (SELECT min(time) FROM main.checks WHERE unit = ?1), "
                                     "(SELECT max(time) FROM main.checks WHERE unit = ?1)"},
  };
  *batch = bt_new(1, sizeof **batch);
  if (*batch == NULL)
    return bt_fail_memory(error);
  bt_status status = ledger_store_open(ledger, merging, &(*batch)->store, error);
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0] && status == BT_OK; i++)
    status = ledger_prepare(ledger, wanted[i].sql,
                            (sqlite3_stmt **)(void *)((char *)*batch + wanted[i].at), error);
  return status;
}

void ledger_batch_close(ledger_batch *batch) {
  if (batch == NULL)
    return;
  ledger_store_close(&batch->store);
  (void)sqlite3_finalize(batch->stage);
  (void)sqlite3_finalize(batch->stage_own);
  (void)sqlite3_finalize(batch->there);
  (void)sqlite3_finalize(batch->span);
  free(batch->rows);
  free(batch->order);
  free(batch->texts);
  free(batch->own);
  free(batch->contents.digest);
  free(batch);
}

ledger_store *ledger_batch_store(ledger_batch *batch) {
  return &batch->store;
}

bool ledger_batch_staged(const ledger_batch *batch) {
  return batch->staged > 0;
}

static int by_key(const void *a, const void *b) {
  const batch_place *x = a, *y = b;
  if (x->unit != y->unit)
    return x->unit < y->unit ? -1 : 1;
  if (x->time != y->time)
    return x->time < y->time ? -1 : 1;
  return x->row < y->row ? -1 : x->row > y->row; /* order of arrival */
}

/* ---- Leaving the batch ----------------------------------------------------------------------- */

/* The texts and own readings of a row, now that the batch's room for them doesn't move. */
static void set_pointers(const ledger_batch *batch, batch_row *row) {
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    row->row.check.text[f] = row->text[f] == SIZE_MAX ? NULL : batch->texts + row->text[f];
  row->row.check.own = row->row.check.own_n == 0 ? NULL : batch->own + row->own;
}

static bt_status stage(ledger_batch *batch, batch_row *row, bt_error *error) {
  bt_ledger *ledger = batch->store.ledger;
  bool more = false;
  if (batch->staged == INT32_MAX)
    return bt_fail(error, BT_INPUT, "the log has over 2,147,483,647 rows; split it");
  row->row.check.sequence = batch->staged++;
  bool bound = ledger_row_bind(batch->stage, &row->row);
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    bound = sqlite3_bind_text(batch->stage, LEDGER_TEXT + (int)f + 1, row->row.check.text[f], -1,
                              SQLITE_STATIC) == SQLITE_OK &&
            bound;
  if (!bound)
    return ledger_fault(ledger, "importing", error);
  bt_status status = ledger_step(ledger, batch->stage, &more, error);
  if (status == BT_OK && row->row.check.own_n > 0)
    status = ledger_own_put(ledger, batch->stage_own, &row->row, batch->store.with.keys,
                            batch->store.with.entry, error);
  return status;
}

/* *n rows stand at that unit and time; *other: some of another source than this one. */
static bt_status look(ledger_batch *batch, int64_t unit, bt_time time, int64_t *n, bool *other,
                      bt_error *error) {
  bt_ledger *ledger = batch->store.ledger;
  bt_status status = ledger_bind(ledger, error, batch->there, "ii", unit, time);
  while (ledger_next(ledger, batch->there, &status, error)) {
    (*n)++;
    *other = *other || sqlite3_column_int64(batch->there, 0) != batch->store.with.source;
  }
  return status;
}

static bt_status add_content(ledger_contents *contents, const bt_check *check, bt_error *error) {
  if (!bt_grow(&contents->digest, &contents->capacity, contents->n + 1, sizeof contents->digest[0]))
    return bt_fail_memory(error);
  ledger_check_content(check, contents->digest[contents->n++]);
  return BT_OK;
}

/* n rows that were stored beside `before` ones of their own file: those that say the same as one
 * before them. */
static bt_status tell_twins(ledger_batch *batch, const batch_place *rows, size_t n, int64_t before,
                            ledger_tally *tally, bt_error *error) {
  ledger_stored_list earlier = {0};
  bool *twin = NULL;
  bt_status status = BT_OK;
  if (n + (size_t)before < 2)
    return BT_OK;
  batch->contents.n = 0;
  if (before > 0)
    status = ledger_stored_standing(batch->store.ledger, rows[0].unit, rows[0].time, LEDGER_NOW,
                                    &earlier, error);
  for (size_t i = 0; i < earlier.n && status == BT_OK; i++)
    if (earlier.row[i].check.sequence < before)
      status = add_content(&batch->contents, &earlier.row[i].check, error);
  size_t first = batch->contents.n;
  for (size_t i = 0; i < n && status == BT_OK; i++)
    status = add_content(&batch->contents, &rows[i].row->row.check, error);
  if (status == BT_OK && (twin = bt_new(first + n, sizeof *twin)) == NULL)
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = ledger_twins(&batch->contents, twin, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (twin[first + i])
      ledger_tell(&tally->twins, &rows[i].row->row.check);
  free(twin);
  ledger_stored_free(&earlier);
  return status;
}

/* n rows of one unit and time. */
static bt_status send_group(ledger_batch *batch, const batch_place *rows, size_t n,
                            ledger_tally *tally, bt_error *error) {
  int64_t unit = rows[0].unit, next = 0;
  bt_time time = rows[0].time;
  bool other = false;
  bt_status status = BT_OK;
  if (tally->any && time >= tally->oldest && time <= tally->newest) /* D5 */
    status = look(batch, unit, time, &next, &other, error);
  int64_t before = next;
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    batch_row *row = rows[i].row;
    set_pointers(batch, row);
    if (other) { /* D3 */
      status = stage(batch, row, error);
      continue;
    }
    row->row.check.sequence = (int32_t)next++; /* D2 */
    status = ledger_store_row(&batch->store, &row->row, false, row->digest, error);
    row->stored = true;
    tally->rows++;
    tally->fresh++;
  }
  if (status == BT_OK && !other)
    status = tell_twins(batch, rows, n, before, tally, error);
  return status;
}

static void widen(ledger_tally *tally, bt_time time) {
  tally->oldest = tally->any && tally->oldest < time ? tally->oldest : time;
  tally->newest = tally->any && tally->newest > time ? tally->newest : time;
  tally->any = true;
}

bt_status ledger_batch_flush(ledger_batch *batch, ledger_tally *tally, bt_error *error) {
  bt_status status = BT_OK;
  if (!bt_grow(&batch->order, &batch->order_capacity, batch->n, sizeof *batch->order))
    return bt_fail_memory(error);
  for (size_t i = 0; i < batch->n; i++)
    batch->order[i] =
        (batch_place){batch->rows[i].row.unit, batch->rows[i].row.check.time, &batch->rows[i]};
  if (batch->n > 1)
    qsort(batch->order, batch->n, sizeof *batch->order, by_key);
  for (size_t i = 0, next; i < batch->n && status == BT_OK; i = next) {
    const batch_place *first = &batch->order[i];
    for (next = i + 1; next < batch->n && batch->order[next].unit == first->unit &&
                       batch->order[next].time == first->time;)
      next++;
    status = send_group(batch, first, next - i, &tally[first->row->tally], error);
  }
  /* In the order of lines, in which the entry's digests are hashed. */
  for (size_t i = 0; i < batch->n && status == BT_OK; i++) {
    widen(&tally[batch->rows[i].tally], batch->rows[i].row.check.time);
    if (batch->rows[i].stored)
      status = ledger_fresh_add(batch->store.with.fresh, &batch->rows[i].row, batch->rows[i].digest,
                                false, error);
  }
  batch->n = batch->texts_n = batch->own_n = 0;
  return status;
}

/* ---- Joining it ------------------------------------------------------------------------------ */

/* The span of time that is stored of a unit, asked once an import. */
static bt_status read_span(ledger_batch *batch, ledger_tally *tally, bt_error *error) {
  bool row = false;
  tally->asked = true;
  if (tally->unit > batch->store.with.last_unit)
    return BT_OK;
  bt_status status = ledger_bind(batch->store.ledger, error, batch->span, "i", tally->unit);
  if (status == BT_OK)
    status = ledger_step(batch->store.ledger, batch->span, &row, error);
  if (status != BT_OK)
    return status;
  if (row && sqlite3_column_type(batch->span, 0) != SQLITE_NULL) {
    widen(tally, sqlite3_column_int64(batch->span, 0));
    widen(tally, sqlite3_column_int64(batch->span, 1));
  }
  (void)sqlite3_reset(batch->span);
  return BT_OK;
}

static bool keep_text(ledger_batch *batch, batch_row *row, bt_text_field field) {
  const char *text = row->row.check.text[field];
  row->text[field] = SIZE_MAX;
  if (text == NULL)
    return true;
  size_t length = strlen(text) + 1;
  if (!bt_grow(&batch->texts, &batch->texts_capacity, batch->texts_n + length, 1))
    return false;
  memcpy(batch->texts + batch->texts_n, text, length);
  row->text[field] = batch->texts_n;
  batch->texts_n += length;
  return true;
}

/* Own readings in order of key, as the digest has them. */
static bt_status keep_own(ledger_batch *batch, batch_row *row, bt_error *error) {
  const bt_check *check = &row->row.check;
  bt_status status = BT_OK;
  row->own = batch->own_n;
  if (!bt_grow(&batch->own, &batch->own_capacity, batch->own_n + check->own_n, sizeof *batch->own))
    return bt_fail_memory(error);
  for (size_t i = 0; i < check->own_n && status == BT_OK; i++) {
    const char *key = NULL;
    status = ledger_own_key_kept(batch->store.ledger, batch->store.with.keys, check->own[i].key,
                                 batch->store.with.entry, &key, error);
    batch->own[batch->own_n + i] = (bt_own_reading){.key = key, .value = check->own[i].value};
  }
  if (status == BT_OK)
    ledger_own_sort(batch->own + batch->own_n, check->own_n);
  batch->own_n += check->own_n;
  return status;
}

bt_status ledger_batch_add(ledger_batch *batch, const bt_check *check, ledger_tally *tallies,
                           size_t tally, bt_error *error) {
  bt_status status = tallies[tally].asked ? BT_OK : read_span(batch, &tallies[tally], error);
  if (status != BT_OK)
    return status;
  if (!bt_grow(&batch->rows, &batch->capacity, batch->n + 1, sizeof *batch->rows))
    return bt_fail_memory(error);
  batch_row *row = &batch->rows[batch->n];
  *row = (batch_row){
      .tally = tally,
      .row = {.check = *check, .unit = tallies[tally].unit, .source = batch->store.with.source}};
  bool kept = true;
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    kept = keep_text(batch, row, f) && kept;
  if (!kept)
    return bt_fail_memory(error);
  if (check->own_n > 0)
    status = keep_own(batch, row, error);
  batch->n++;
  if (status == BT_OK && (batch->n == BATCH_ROWS || batch->texts_n > BATCH_BYTES))
    status = ledger_batch_flush(batch, tallies, error);
  return status;
}
