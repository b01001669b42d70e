/* Conflicts: the rows that one source had held back of one unit and time, against what stands
 * there. A conflict has no row of its own; it is named by the digest of its first row. */
#include "contest_private.h"
#include "differences_private.h"
#include "digest_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

void ledger_contest_free(ledger_contest *contest) {
  ledger_stored_free(&contest->standing);
  ledger_stored_free(&contest->held);
  free(contest->standing_met);
  free(contest->held_met);
  *contest = (ledger_contest){.held_met = NULL};
}

static bt_status read_held(bt_ledger *ledger, int64_t unit, bt_time time, int64_t source,
                           ledger_stored_list *list, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(
      ledger, LEDGER_STORED_HELD "AND c.source = ?3 ORDER BY c.sequence", &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", unit, time, source);
  if (status == BT_OK)
    status = ledger_stored_read(ledger, statement, true, list, error);
  (void)sqlite3_finalize(statement);
  return status;
}

/* Pairs equal rows, each with one at most. */
static void pair(ledger_contest *contest) {
  unsigned char mine[LEDGER_DIGEST_BYTES], its[LEDGER_DIGEST_BYTES];
  for (size_t h = 0; h < contest->held.n; h++) {
    ledger_check_content(&contest->held.row[h].check, its);
    for (size_t s = 0; s < contest->standing.n && !contest->held_met[h]; s++) {
      if (contest->standing_met[s])
        continue;
      ledger_check_content(&contest->standing.row[s].check, mine);
      contest->held_met[h] = contest->standing_met[s] = memcmp(mine, its, sizeof mine) == 0;
    }
  }
}

bt_status ledger_contest_read(bt_ledger *ledger, int64_t unit, bt_time time, int64_t source,
                              int64_t before, ledger_contest *contest, bt_error *error) {
  *contest = (ledger_contest){.held_met = NULL};
  bt_status status = ledger_stored_standing(ledger, unit, time, before, &contest->standing, error);
  if (status == BT_OK)
    status = read_held(ledger, unit, time, source, &contest->held, error);
  if (status != BT_OK)
    return status;
  contest->standing_met = bt_new(contest->standing.n, sizeof *contest->standing_met);
  contest->held_met = bt_new(contest->held.n, sizeof *contest->held_met);
  if (contest->standing_met == NULL || contest->held_met == NULL)
    return bt_fail_memory(error);
  pair(contest);
  return BT_OK;
}

/* ---- The list -------------------------------------------------------------------------------- */

static const char conflicts_sql[] =
    "SELECT h.unit, h.time, h.source, max(h.has_clock), count(*), "
    "(SELECT f.digest FROM main.held AS f WHERE f.unit = h.unit AND f.time = h.time "
    "AND f.source = h.source ORDER BY f.sequence LIMIT 1), "
    "n.name, s.kept, e.by, e.why, e.at, coalesce(s.entry, ?2), e.kind IS NOT 'settlement' "
    "FROM main.held AS h JOIN main.source AS n ON n.number = h.source "
    "LEFT JOIN main.settled AS s ON s.unit = h.unit AND s.time = h.time AND s.source = h.source "
    "LEFT JOIN main.entry AS e ON e.number = s.entry WHERE ?1 = 0 OR h.unit = ?1 "
    "GROUP BY h.unit, h.time, h.source ORDER BY h.unit, h.time, h.source";

enum {
  C_UNIT,
  C_TIME,
  C_SOURCE,
  C_HAS_CLOCK,
  C_ROWS,
  C_DIGEST,
  C_NAME,
  C_KEPT,
  C_BY,
  C_WHY,
  C_AT,
  C_BEFORE,
  C_REPLACED
};

/* The rows of a list that met none of the other. */
static const bt_check **unmet(const ledger_stored_list *list, const bool *met, size_t *n) {
  const bt_check **rows = bt_new(list->n, sizeof(bt_check *));
  *n = 0;
  for (size_t i = 0; rows != NULL && i < list->n; i++)
    if (!met[i])
      rows[(*n)++] = &list->row[i].check;
  return rows;
}

static bt_status say_contest(const ledger_contest *contest, bt_conflict *conflict,
                             bt_error *error) {
  size_t stored_n = 0, held_n = 0;
  bt_text stored = {0}, held = {0};
  const bt_check **ours = unmet(&contest->standing, contest->standing_met, &stored_n);
  const bt_check **theirs = unmet(&contest->held, contest->held_met, &held_n);
  if (ours != NULL && theirs != NULL) {
    ledger_say_rows(ours, stored_n, theirs, held_n, &stored);
    ledger_say_rows(theirs, held_n, ours, stored_n, &held);
  }
  free(ours);
  free(theirs);
  conflict->stored = bt_text_take(&stored);
  conflict->held = bt_text_take(&held);
  return ours == NULL || theirs == NULL || conflict->stored == NULL || conflict->held == NULL
             ? bt_fail_memory(error)
             : BT_OK;
}

/* What the row itself holds. */
static bt_status take_conflict(sqlite3_stmt *row, bt_conflict *conflict, bt_error *error) {
  const char *kept = (const char *)sqlite3_column_text(row, C_KEPT);
  *conflict = (bt_conflict){.time = sqlite3_column_int64(row, C_TIME),
                            .has_clock = sqlite3_column_int(row, C_HAS_CLOCK) != 0,
                            .settled = kept != NULL,
                            .settled_at = sqlite3_column_int64(row, C_AT),
                            .held_n = sqlite3_column_int64(row, C_ROWS)};
  if (sqlite3_column_bytes(row, C_DIGEST) == LEDGER_DIGEST_BYTES)
    (void)sodium_bin2hex(conflict->id, sizeof conflict->id, sqlite3_column_blob(row, C_DIGEST),
                         BT_ID_DIGITS / 2);
  conflict->source = bt_copy((const char *)sqlite3_column_text(row, C_NAME));
  bool taken = conflict->source != NULL;
  if (kept != NULL) {
    while (conflict->kept < BT_KEEP_BOTH && strcmp(kept, bt_keep_word(conflict->kept)) != 0)
      conflict->kept++;
    conflict->replaced = sqlite3_column_int(row, C_REPLACED) != 0;
    conflict->by = bt_copy((const char *)sqlite3_column_text(row, C_BY));
    conflict->why = bt_copy((const char *)sqlite3_column_text(row, C_WHY));
    taken = taken && conflict->by != NULL && conflict->why != NULL;
  }
  return taken ? BT_OK : bt_fail_memory(error);
}

static bt_status read_conflict(bt_ledger *ledger, sqlite3_stmt *row, bt_conflict *conflict,
                               bt_error *error) {
  ledger_contest contest = {.held_met = NULL};
  int64_t unit = sqlite3_column_int64(row, C_UNIT);
  bt_status status = take_conflict(row, conflict, error);
  if (status == BT_OK)
    status = ledger_unit_name(ledger, unit, &conflict->unit, error);
  if (status == BT_OK)
    status = ledger_contest_read(ledger, unit, conflict->time, sqlite3_column_int64(row, C_SOURCE),
                                 sqlite3_column_int64(row, C_BEFORE), &contest, error);
  if (status == BT_OK)
    status = say_contest(&contest, conflict, error);
  ledger_contest_free(&contest);
  return status;
}

bt_status bt_ledger_conflicts(bt_ledger *ledger, const char *unit, bt_conflict **conflicts,
                              size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  int64_t number = 0;
  *conflicts = NULL;
  *n = 0;
  bt_status status = unit == NULL ? BT_OK : ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, conflicts_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", number, LEDGER_NOW);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(conflicts, &capacity, *n + 1, sizeof **conflicts))
      status = bt_fail_memory(error);
    else
      status = read_conflict(ledger, statement, &(*conflicts)[(*n)++], error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_conflicts_free(*conflicts, *n);
    *conflicts = NULL;
    *n = 0;
  }
  return status;
}
