/* What an import did, counted: what each unit's rows came to, and what became of those that were
 * held back or refused. */
#include "import_counts_private.h"
#include "log_units_private.h"
#include "refused_private.h"
#include "sql_private.h"
#include "tally_private.h"

static void add_told(bt_told_rows *all, const bt_told_rows *some) {
  int64_t n = all->n + some->n;
  if (some->n > 0 && (all->n == 0 || some->line < all->line))
    *all = *some;
  all->n = n;
}

static bt_status store_tallies(bt_ledger *ledger, int64_t source, const ledger_log_units *units,
                               bt_import_counts *counts, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < units->tallies && status == BT_OK; i++) {
    const ledger_tally *tally = &units->tally[i];
    counts->rows += tally->rows;
    counts->fresh += tally->fresh;
    counts->known += tally->known;
    counts->conflicts += tally->conflicts;
    counts->conflicts_before += tally->held_before;
    add_told(&counts->twins, &tally->twins);
    add_told(&counts->reworded, &tally->reworded);
    status = ledger_put(ledger, error,
                        "INSERT INTO main.source_unit (unit, source, rows, fresh, known, "
                        "conflicts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                        "iiiiii", tally->unit, source, tally->rows, tally->fresh, tally->known,
                        tally->conflicts);
  }
  return status;
}

/* Rows held back whose conflict this import closed, of the file that it takes the place of. */
static bt_status count_held_again(bt_ledger *ledger, int64_t source, int64_t entry,
                                  bt_import_counts *counts, bt_error *error) {
  int64_t again = 0;
  bt_status status = BT_OK;
  if (counts->closed > 0)
    status = ledger_number_of(
        ledger, error,
        "SELECT count(*) FROM main.held AS h WHERE h.source = ?1 AND EXISTS (SELECT 1 FROM "
        "main.settled AS s JOIN main.held AS o ON o.unit = s.unit AND o.time = s.time "
        "AND o.source = s.source WHERE s.entry = ?2 AND o.unit = h.unit AND o.time = h.time)",
        &again, "ii", source, entry);
  counts->conflicts_before += again;
  return status;
}

/* The rows that the source brought must be told by now. */
static bt_status count_left_out(bt_ledger *ledger, int64_t source, bt_import_counts *counts,
                                bt_error *error) {
  static const char sql[] =
      "SELECT count(*) FROM main.refusal AS r JOIN main.source AS n "
      "ON n.number = r.source WHERE r.source = ?1 AND " LEDGER_LEFT_OUT("") " IS NOT NULL";
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", source);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    counts->left_out = sqlite3_column_int64(statement, 0);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* The rows that the source brought must be told by now. */
static bt_status tell_from_others(bt_ledger *ledger, int64_t source, bt_import_counts *counts,
                                  bt_error *error) {
  static const char sql[] =
      "SELECT EXISTS (SELECT 1 FROM main.source AS m JOIN main.source AS n ON m.number < n.number "
      "AND m.name = n.name WHERE n.number = ?1 "
      "AND EXISTS (SELECT 1 FROM main.refusal AS r WHERE r.source = m.number) "
      "AND NOT " LEDGER_IS_STATE("n", "m") ")";
  int64_t another = 0;
  bt_status status = ledger_number_of(ledger, error, sql, &another, "i", source);
  counts->another_log = another != 0;
  return status;
}

bt_status ledger_count_import(bt_ledger *ledger, int64_t source, int64_t entry,
                              const ledger_log_units *units, bt_import_counts *counts,
                              bt_error *error) {
  bt_status status = store_tallies(ledger, source, units, counts, error);
  if (status == BT_OK && counts->refused > 0)
    status = count_left_out(ledger, source, counts, error);
  if (status == BT_OK && counts->refused > 0)
    status = tell_from_others(ledger, source, counts, error);
  if (status == BT_OK)
    status = count_held_again(ledger, source, entry, counts, error);
  return status;
}
