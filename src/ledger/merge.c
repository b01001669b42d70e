/* The merge: staged rows of one source against what the ledger holds.
 *
 * M1  Rows are compared for each (unit, time), as multisets of contents: readings, those of the
 *     clinic's own characteristics, state, refill, pattern, failed self-tests and meter; remark,
 *     operator and line don't count.
 * M2  Nothing to compare with: all rows are added in file order, with further sequences. Such rows
 *     don't come here: batch.c stores them at once.
 * M3  Incoming contains what must be met: the surplus is added, with further sequences.
 *     Of rows with equal content those whose remark and operator the ledger has are the known ones.
 * M4  What the ledger has contains incoming: nothing is added.
 * M5  Otherwise a conflict: all incoming rows are held back, those not yet held in a conflict that
 *     nobody has settled are stored in `held`.
 * M6  Rows go in sorted by key.
 *
 * What they are compared with:
 * M7  Must be met: rows from logs, typed in or kept by a settlement that stand, and such that were
 *     corrected or withdrawn: a later export still holds the old reading. A record that a
 *     correction moved here from another unit or time as well: there is nothing else here in its
 *     place.
 * M8  May be met: rows that a conflict was settled against, on either side (superseded as settled,
 *     or held back): a later export may hold either. Rows equal to them are known; that they are
 *     missing means nothing. What must be met is met first.
 * M9  Left out: rows whose file was read again in another way, held back ones too.
 * M10 A record that a correction put in the place of another of this unit and time is met in the
 *     place of one that must be and isn't: the log may have been mended as well.
 * M11 A file that came before: a row that holds less than one from a log that stands, and nothing
 *     else, is known; one that holds more takes its place where the file is read in another way.
 * M12 A text that a person had removed from a check of that unit and time is left out, of whatever
 *     row: which text it was nobody can tell any more.
 *
 * Two cursors over the staging table move in step, one by groups and one by rows, so that memory is
 * bounded by the rows of one time. */
#include "compare_private.h"
#include "digest_private.h"
#include "fresh_private.h"
#include "ledger_private.h"
#include "merge_private.h"
#include "own_private.h"
#include "placing_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "store_private.h"
#include "stored_private.h"
#include "tally_private.h"
#include "told_private.h"

#include <stdlib.h>
#include <string.h>

/* M11: the row that was just stored takes the place of that check of its unit and time. */
static bt_status replace(ledger_merge_run *m, const ledger_row *row, int32_t sequence,
                         bt_error *error) {
  const ledger_place old = {row->unit, row->check.time, sequence};
  const ledger_place new = {row->unit, row->check.time, row->check.sequence};
  m->merged.superseded++;
  return ledger_supersede(m->ledger, &old, m->store->with.entry, "read again", &new, error);
}

/* M3, where some of the n rows are known and some new: read once more, with all their words. */
static bt_status keep_words(ledger_merge_run *m, int64_t unit, bt_time time, size_t n,
                            bt_error *error) {
  ledger_contents stored = {0}, incoming = {0};
  ledger_contents *const stored_lists[LEDGER_STANDINGS] = {[LEDGER_MUST_BE_MET] = &stored,
                                                           [LEDGER_MAY_BE_MET] = &stored,
                                                           [LEDGER_MET_INSTEAD] = &stored};
  ledger_contents *const staged_lists[] = {&incoming};
  unsigned char *heard = bt_new(n, 1);
  size_t rows = 0, left = 0;
  bt_status status = heard == NULL ? bt_fail_memory(error) : BT_OK;
  m->with_words = true;
  if (status == BT_OK)
    status =
        ledger_merge_contents(m, m->stored, &m->own_stored, unit, time, stored_lists, &rows, error);
  if (status == BT_OK)
    status =
        ledger_merge_contents(m, m->staged, &m->own_staged, unit, time, staged_lists, &rows, error);
  m->with_words = false;
  if (status == BT_OK)
    status = ledger_compare(&incoming, &stored, heard, &left, error);
  if (status == BT_OK)
    status = ledger_prefer_heard(&m->incoming, heard, m->replaces, m->fate, error);
  free(heard);
  free(stored.digest);
  free(incoming.digest);
  return status;
}

/* What is told of the n rows of one unit and time: which of them say the same as another. */
static bt_status find_twins(ledger_merge_run *m, size_t n, bt_error *error) {
  if (!bt_grow(&m->twin, &m->twin_capacity, n, sizeof *m->twin))
    return bt_fail_memory(error);
  memset(m->twin, 0, n * sizeof *m->twin);
  ledger_contents_sort(&m->kept);
  return n > 1 && m->incoming.n == n ? ledger_twins(&m->incoming, m->twin, error) : BT_OK;
}

/* Stores the row at which m->rows stands, the i-th of its unit and time. */
static bt_status add_row(ledger_merge_run *m, size_t i, bool hold, size_t *next,
                         ledger_tally *tally, bt_error *error) {
  unsigned char digest[LEDGER_DIGEST_BYTES];
  ledger_row row;
  ledger_row_read(m->rows, &row);
  bt_status status = ledger_own_take(&m->own_rows, &row, error);
  if (status != BT_OK)
    return status;
  row.source = m->store->with.source;
  row.check.sequence = (int32_t)(*next)++;
  m->merged.removed += ledger_merge_leave_out(m, &row.check);
  status = ledger_store_row(m->store, &row, hold, digest, error);
  if (status == BT_OK && !hold)
    status = ledger_fresh_add(m->store->with.fresh, &row, digest, true, error);
  if (status == BT_OK && m->replaces[i] >= 0)
    status = replace(m, &row, m->replaces[i], error);
  if (!hold && m->twin[i])
    ledger_tell(&tally->twins, &row.check);
  return status;
}

/* A row that is known is not stored, and with it goes a remark that the ledger doesn't have. Where
 * one was removed (M12), nobody can tell any more whether this is the same: it is counted. */
static void hear_known(ledger_merge_run *m, size_t i, ledger_tally *tally) {
  ledger_row row;
  ledger_row_read(m->rows, &row);
  m->merged.removed += ledger_merge_leave_out(m, &row.check);
  row.check.sequence = 0; /* here it is that of the temporary table */
  if (ledger_texts_differ(&m->kept, m->incoming.digest[i], &row.check))
    ledger_tell(&tally->reworded, &row.check);
}

static bt_status merge_group(ledger_merge_run *m, int64_t unit, bt_time time, size_t n,
                             ledger_tally *tally, bt_error *error) {
  bool hold = false;
  size_t next = 0;
  bt_status status = ledger_merge_find_removed(m, unit, time, error);
  if (status == BT_OK)
    status = ledger_merge_decide(m, unit, time, n, &hold, &next, error);
  size_t added = 0;
  for (size_t i = 0; i < n && !hold && status == BT_OK; i++)
    added += m->fate[i] == LEDGER_ADD;
  if (status == BT_OK && added > 0 && added < n)
    status = keep_words(m, unit, time, n, error);
  if (status == BT_OK && !hold)
    status = find_twins(m, n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bool there = false;
    bool add = m->fate[i] == LEDGER_ADD;
    status = ledger_step(m->ledger, m->rows, &there, error);
    if (status == BT_OK && !there)
      return bt_fail(error, BT_SYSTEM, "%s: the temporary table lost rows; check the disk",
                     m->ledger->path);
    if (status == BT_OK && add)
      status = add_row(m, i, hold, &next, tally, error);
    else if (status == BT_OK && !hold)
      hear_known(m, i, tally);
    tally->conflicts += hold;
    tally->held_before += hold && !add;
    tally->fresh += !hold && add;
    tally->known += !hold && !add;
  }
  tally->rows += (int64_t)n;
  return status;
}

bt_status ledger_merge(ledger_store *store, ledger_tally *tally, size_t tallies,
                       ledger_merged *merged, bt_error *error) {
  bt_ledger *ledger = store->ledger;
  ledger_merge_run m = {.ledger = ledger, .store = store};
  size_t at = 0;
  bt_status status = ledger_merge_open(&m, error);
  while (ledger_next(ledger, m.groups, &status, error)) {
    int64_t unit = sqlite3_column_int64(m.groups, 0);
    for (size_t tried = 0; tally[at].unit != unit && tried < tallies; tried++)
      at = (at + 1) % tallies;
    status = merge_group(&m, unit, sqlite3_column_int64(m.groups, 1),
                         (size_t)sqlite3_column_int64(m.groups, 2), &tally[at], error);
  }
  *merged = m.merged;
  ledger_merge_close(&m);
  return status;
}
