/* Settling a conflict: a person says which rows of one unit and time are to stand.
 *
 * old: what stands stays. new: what stands but wasn't held back is superseded, what was held back
 * but doesn't stand is added. both: the latter alone. Rows that are equal on both sides stay as
 * they are. Added rows share the texts of the rows held back, and their source says of which log
 * they are; old and new are matched in their order, and any old ones more have the last new one. */
#include "contest_private.h"
#include "digest_private.h"
#include "entry_private.h"
#include "placing_private.h"
#include "sql_private.h"
#include "stored_private.h"
#include "valid_private.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ALL_DIGITS = 2 * LEDGER_DIGEST_BYTES };

typedef struct dispute {
  int64_t unit, source;
  bt_time time;
} dispute;

/* All conflicts by their ids, made once for all that are settled together: `held` has no index by
 * digest. The first row of a conflict gives it its id. */
static const char disputes_sql[] =
    "CREATE TEMP TABLE dispute (id TEXT, unit INTEGER, time INTEGER, source INTEGER, "
    "PRIMARY KEY (id, unit, time, source)) STRICT, WITHOUT ROWID;"
    "INSERT INTO temp.dispute (id, unit, time, source) SELECT lower(hex(h.digest)), h.unit, h.time, "
    "h.source FROM main.held AS h WHERE h.sequence = (SELECT min(f.sequence) FROM main.held AS f "
    "WHERE f.unit = h.unit AND f.time = h.time AND f.source = h.source)";

/* An id has hex digits alone: g comes after all that begin with it. */
static const char id_sql[] = "SELECT unit, time, source, id FROM temp.dispute "
                             "WHERE id >= ?1 AND id < ?1 || 'g' ORDER BY id";

/* The digits in lower case. False for what can't be an id. */
static bool read_digits(const char *id, char *digits) {
  size_t n = strlen(id);
  if (n == 0 || n > ALL_DIGITS)
    return false;
  for (size_t i = 0; i <= n; i++) {
    if (i < n && !isxdigit((unsigned char)id[i]))
      return false;
    digits[i] = (char)tolower((unsigned char)id[i]);
  }
  return true;
}

static bt_status several(sqlite3_stmt *row, const char *id, const char *first, bt_error *error) {
  const char *second = (const char *)sqlite3_column_text(row, 3);
  bool differ = strncmp(first, second, BT_ID_DIGITS) != 0;
  int shown = differ ? BT_ID_DIGITS : ALL_DIGITS;
  return bt_fail(error, BT_USAGE,
                 "\"%s\" may be the conflict %.*s or %.*s, if not another; give more digits", id,
                 shown, first, shown, second);
}

static bt_status find_dispute(bt_ledger *ledger, const char *id, dispute *found, bt_error *error) {
  char digits[ALL_DIGITS + 1] = "", first[ALL_DIGITS + 1] = "";
  sqlite3_stmt *statement = NULL;
  bool row = false;
  if (!read_digits(id, digits))
    return bt_fail(error, BT_NOTFOUND,
                   "\"%s\" is no conflict: it has %d digits, 0 to 9 and a to f; list them with "
                   "conflicts",
                   id, (int)BT_ID_DIGITS);
  bt_status status = ledger_prepare(ledger, id_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "t", digits);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && !row)
    status =
        bt_fail(error, BT_NOTFOUND, "no conflict begins with \"%s\"; list them with conflicts", id);
  if (status == BT_OK) {
    *found = (dispute){.unit = sqlite3_column_int64(statement, 0),
                       .time = sqlite3_column_int64(statement, 1),
                       .source = sqlite3_column_int64(statement, 2)};
    strncpy(first, (const char *)sqlite3_column_text(statement, 3), ALL_DIGITS);
    status = ledger_step(ledger, statement, &row, error);
  }
  if (status == BT_OK && row)
    status = several(statement, id, first, error);
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status not_settled(bt_ledger *ledger, const char *id, const dispute *d, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  char day[BT_TIME_TEXT];
  bt_status status = ledger_prepare(
      ledger,
      "SELECT s.kept, e.by, e.at, e.kind = 'settlement' FROM main.settled AS s JOIN main.entry AS e "
      "ON e.number = s.entry WHERE s.unit = ?1 AND s.time = ?2 AND s.source = ?3",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", d->unit, d->time, d->source);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row && sqlite3_column_int(statement, 3) == 0)
    status = bt_fail(error, BT_REFUSED,
                     "the conflict %s was closed when its file was read again in another way (on "
                     "%s by %s): its rows were replaced; look at what conflicts lists now",
                     id, bt_time_day_iso(sqlite3_column_int64(statement, 2), day),
                     (const char *)sqlite3_column_text(statement, 1));
  else if (status == BT_OK && row)
    status = bt_fail(error, BT_REFUSED,
                     "the conflict %s was settled before (%s kept, on %s by %s); correct the check "
                     "if that was wrong",
                     id, (const char *)sqlite3_column_text(statement, 0),
                     bt_time_day_iso(sqlite3_column_int64(statement, 2), day),
                     (const char *)sqlite3_column_text(statement, 1));
  (void)sqlite3_finalize(statement);
  return status;
}

/* The source of the rows that are added: the log that they came from, as this entry kept it. */
static bt_status keep_source(bt_ledger *ledger, int64_t log, int64_t entry, int64_t *number,
                             bt_error *error) {
  bt_status status = ledger_number(ledger, LEDGER_NEXT_NUMBER("source"), number, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.source (number, entry, name, kind, sha256, bytes, "
                        "reading) SELECT ?1, ?2, name, 'kept', sha256, bytes, reading "
                        "FROM main.source WHERE number = ?3",
                        "iii", *number, entry, log);
  return status;
}

/* Adds the rows held back that met none; `added` has room for all and *n says how many. *source is
 * theirs, 0 for none. */
static bt_status add_rows(bt_ledger *ledger, const dispute *d, const ledger_contest *contest,
                          int64_t entry, ledger_place *added, size_t *n, int64_t *source,
                          bt_error *error) {
  bt_status status = BT_OK;
  *n = 0;
  *source = 0;
  for (size_t i = 0; i < contest->held.n && status == BT_OK; i++) {
    const ledger_stored *row = &contest->held.row[i];
    if (contest->held_met[i])
      continue;
    if (*source == 0)
      status = keep_source(ledger, d->source, entry, source, error);
    added[*n].unit = d->unit;
    if (status == BT_OK)
      status = ledger_place_check(ledger, &row->check, entry, row, *source, &added[(*n)++], error);
  }
  return status;
}

static bt_status supersede_rows(bt_ledger *ledger, const dispute *d, const ledger_contest *contest,
                                int64_t entry, const ledger_place *added, size_t n,
                                bt_error *error) {
  bt_status status = BT_OK;
  size_t next = 0;
  for (size_t i = 0; i < contest->standing.n && status == BT_OK; i++) {
    if (contest->standing_met[i])
      continue;
    ledger_place old = {d->unit, d->time, contest->standing.row[i].check.sequence};
    status = ledger_supersede(ledger, &old, entry, "settled",
                              n == 0     ? NULL
                              : next < n ? &added[next]
                                         : &added[n - 1],
                              error);
    next++;
  }
  return status;
}

/* Seals the entry with the digests of the rows that it kept. */
static bt_status seal(bt_ledger *ledger, const ledger_entry *entry, const dispute *d,
                      int64_t source, bt_error *error) {
  char sql[200];
  (void)snprintf(sql, sizeof sql,
                 "SELECT ?1, digest FROM main.checks WHERE unit = %lld AND time = %lld "
                 "AND source = %lld ORDER BY line, sequence",
                 (long long)d->unit, (long long)d->time, (long long)source);
  return ledger_entry_seal(ledger, entry, sql, error);
}

/* All within the transaction. */
static bt_status settle(bt_ledger *ledger, const char *id, bt_keep keep, ledger_entry *entry,
                        bt_error *error) {
  dispute d = {0};
  ledger_contest contest = {.held_met = NULL};
  ledger_place *added = NULL;
  size_t n = 0;
  int64_t source = 0;
  bt_status status = find_dispute(ledger, id, &d, error);
  if (status == BT_OK)
    status = not_settled(ledger, id, &d, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK)
    status = ledger_contest_read(ledger, d.unit, d.time, d.source, LEDGER_NOW, &contest, error);
  if (status == BT_OK && (added = bt_new(contest.held.n, sizeof *added)) == NULL)
    status = bt_fail_memory(error);
  if (status == BT_OK && keep != BT_KEEP_OLD)
    status = add_rows(ledger, &d, &contest, entry->number, added, &n, &source, error);
  if (status == BT_OK && keep == BT_KEEP_NEW)
    status = supersede_rows(ledger, &d, &contest, entry->number, added, n, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.settled (unit, time, source, entry, kept) "
                        "VALUES (?1, ?2, ?3, ?4, ?5)",
                        "iiiit", d.unit, d.time, d.source, entry->number, bt_keep_word(keep));
  if (status == BT_OK)
    status = seal(ledger, entry, &d, source, error);
  ledger_contest_free(&contest);
  free(added);
  return status;
}

bt_status bt_ledger_settle(bt_ledger *ledger, const char *const *ids, size_t n, bt_keep keep,
                           const char *by, const char *why, bt_time now, bt_error *error) {
  bt_status status = ledger_asked(by, "who settles this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why it is settled so (--why)", error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_run(ledger, disputes_sql, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    ledger_entry entry = {.kind = "settlement", .at = now, .by = by, .why = why};
    status = settle(ledger, ids[i], keep, &entry, error);
  }
  if (status == BT_OK)
    status = ledger_run(ledger, "DROP TABLE temp.dispute", error);
  return ledger_end(ledger, status, error);
}
