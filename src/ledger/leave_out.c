/* Refused lines that a person leaves out: nobody can mend them, since what stood there was never
 * written, or the log is kept as it is.
 *
 * O1  Nothing is taken out of the record or into it: the refusal stays as it was entered, and the
 *     entry says who left it out, when and why.
 *
 * O2  A log that grows brings its refused lines anew with each import. So the decision holds for
 *     the same line of its later states (LEDGER_LEFT_OUT), and for no other log of that name.
 *
 * O3  A line that is mended in the log all the same is taken as any other then. */
#include "entry_private.h"
#include "refused_private.h"
#include "sql_private.h"
#include "valid_private.h"

static const char known_sql[] =
    "SELECT n.name, r.line, " LEDGER_REFUSAL_STANDS("") ", " LEDGER_LEFT_OUT(
        "") " IS NOT NULL FROM main.refusal AS r JOIN main.source AS n ON n.number = r.source "
            "WHERE r.source = ?1 AND r.number = ?2";

/* BT_NOTFOUND, BT_REFUSED: there is nothing to leave out. */
static bt_status may_leave_out(bt_ledger *ledger, const bt_refused_place *place, bt_error *error) {
  sqlite3_stmt *known = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, known_sql, &known, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, known, "ii", place->source, place->number);
  if (status == BT_OK)
    status = ledger_step(ledger, known, &row, error);
  if (status == BT_OK && !row)
    status = bt_fail(error, BT_NOTFOUND,
                     "the ledger has no such refused line (log %lld, refusal %lld); list them with "
                     "conflicts --refused",
                     (long long)place->source, (long long)place->number);
  else if (status == BT_OK && sqlite3_column_int(known, 2) == 0)
    status = bt_fail(error, BT_REFUSED,
                     "%s, line %lld: refused no more, a later log of that name took its place; "
                     "list what is with conflicts --refused",
                     (const char *)sqlite3_column_text(known, 0),
                     (long long)sqlite3_column_int64(known, 1));
  else if (status == BT_OK && sqlite3_column_int(known, 3) != 0)
    status = bt_fail(
        error, BT_REFUSED,
        "%s, line %lld: left out by decision before; conflicts --refused --all says by "
        "whom and why",
        (const char *)sqlite3_column_text(known, 0), (long long)sqlite3_column_int64(known, 1));
  (void)sqlite3_finalize(known);
  return status;
}

/* All within the transaction. */
static bt_status leave_out(bt_ledger *ledger, const bt_refused_place *lines, size_t n,
                           ledger_entry *entry, bt_error *error) {
  bt_status status = ledger_entry_next(ledger, &entry->number, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    status = may_leave_out(ledger, &lines[i], error);
    if (status == BT_OK)
      status = ledger_put(ledger, error,
                          "INSERT INTO main.left_out (source, number, entry) VALUES (?1, ?2, ?3)",
                          "iii", lines[i].source, lines[i].number, entry->number);
  }
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  return status;
}

bt_status bt_ledger_leave_out(bt_ledger *ledger, const bt_refused_place *lines, size_t n,
                              const char *by, const char *why, bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "omission", .at = now, .by = by, .why = why};
  bt_status status = ledger_asked(by, "who leaves this out (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is left out (--why)", error);
  if (status == BT_OK && n == 0)
    status = bt_fail(error, BT_USAGE,
                     "no refused line is named; list them with conflicts "
                     "--refused");
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = leave_out(ledger, lines, n, &entry, error);
  return ledger_end(ledger, status, error);
}
