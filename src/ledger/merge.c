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
 * correction moved here from another unit or time as well: there is nothing else here in its place.
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
#include "decisions_private.h"
#include "import_private.h"

#include <stdlib.h>
#include <string.h>

typedef struct merge {
  bt_ledger *ledger;
  ledger_store *store;
  sqlite3_stmt *groups, *rows;                                  /* over all that is staged */
  sqlite3_stmt *staged, *stored, *held;                         /* of one unit and time */
  ledger_own_reader own_rows, own_staged, own_stored, own_held; /* beside those above */
  ledger_contents incoming, must, may, instead, held_open;      /* of one unit and time */
  ledger_contents rest; /* incoming rows that met nothing yet */
  ledger_contents kept; /* contents and remarks of the stored ones */
  bool *twin;           /* of an incoming row: one before it says the same */
  size_t twin_capacity;
  unsigned char *fate, *rest_fate;
  int32_t *replaces; /* M11: sequence of the check whose place a row takes; -1 */
  size_t fate_capacity, rest_capacity, replaces_capacity;
  sqlite3_stmt *removed; /* M12; NULL where nothing was ever removed */
  unsigned left_out;     /* bit f set: text field f of the unit and time at hand */
  bool with_words;       /* contents are read with remark and operator */
  ledger_merged merged;
} merge;

/* How a stored row is compared, as the queries below say it after a row's columns. */
typedef enum ledger_standing {
  MUST_BE_MET,
  MAY_BE_MET,
  LEFT_OUT,
  MET_INSTEAD, /* M10 */
  LEDGER_STANDINGS
} ledger_standing;
enum { STANDING = LEDGER_DIGEST + 1 };

#define STORED_STANDING                                                                            \
  "CASE WHEN EXISTS (SELECT 1 FROM main.superseded AS n WHERE n.new_unit = c.unit "                \
  "AND n.new_time = c.time AND n.new_sequence = c.sequence AND n.kind = 'corrected' "              \
  "AND n.unit = c.unit AND n.time = c.time) THEN 3 "                                               \
  "ELSE (SELECT CASE s.kind WHEN 'settled' THEN 1 WHEN 'read again' THEN 2 ELSE 0 END "            \
  "FROM main.superseded AS s WHERE s.unit = c.unit AND s.time = c.time "                           \
  "AND s.sequence = c.sequence) END"

/* A conflict that nobody has settled is none to be met. */
#define HELD_STANDING                                                                              \
  "coalesce((SELECT CASE WHEN (SELECT e.kind FROM main.entry AS e WHERE e.number = s.entry) "      \
  "IS 'settlement' THEN 1 ELSE 2 END FROM main.settled AS s WHERE s.unit = c.unit "                \
  "AND s.time = c.time AND s.source = c.source), 0)"

/* M12: for each text field, whether one of that unit and time was removed. */
#define REMOVED_TEXT(ID, key)                                                                      \
  ", EXISTS (SELECT 1 FROM main.checks AS c JOIN main.text AS t ON t.number = c." #key             \
  " WHERE c.unit = ?1 AND c.time = ?2 AND t.salt = x'') OR EXISTS (SELECT 1 FROM main.held AS c "  \
  "JOIN main.text AS t ON t.number = c." #key                                                      \
  " WHERE c.unit = ?1 AND c.time = ?2 AND t.salt = x'') OR EXISTS (SELECT 1 FROM main.redaction "  \
  "AS r WHERE r.unit = ?1 AND r.time = ?2 AND r.field = '" #key "')"
#define REMOVED_TEXTS "SELECT 0" BT_TEXTS(REMOVED_TEXT)

#define OF_ONE_TIME " AS c WHERE unit = ?1 AND time = ?2 ORDER BY sequence"

static bt_status prepare_all(merge *m, bt_error *error) {
  int64_t any = 0; /* a ledger in which nothing was superseded asks no row for it */
  int64_t removed = 0;
  bt_status status =
      ledger_number(m->ledger, "SELECT EXISTS (SELECT 1 FROM main.superseded)", &any, error);
  if (status == BT_OK)
    status =
        ledger_number(m->ledger, "SELECT EXISTS (SELECT 1 FROM main.redaction)", &removed, error);
  if (status == BT_OK && removed != 0)
    status = ledger_prepare(m->ledger, REMOVED_TEXTS, &m->removed, error);
  const struct {
    sqlite3_stmt **statement;
    const char *sql;
  } wanted[] = {
      {&m->groups, "SELECT unit, time, count(*) FROM temp.staging GROUP BY unit, time "
                   "ORDER BY unit, time"},
      {&m->rows, "SELECT " LEDGER_CHECK_COLUMNS " FROM temp.staging ORDER BY unit, time, sequence"},
      {&m->staged, "SELECT " LEDGER_CHECK_COLUMNS " FROM temp.staging" OF_ONE_TIME},
      {&m->stored, any == 0 ? "SELECT " LEDGER_CHECK_BODIES " FROM main.checks" OF_ONE_TIME
                            : "SELECT " LEDGER_CHECK_BODIES ", " STORED_STANDING
                              " FROM main.checks" OF_ONE_TIME},
      {&m->held, "SELECT " LEDGER_CHECK_BODIES ", " HELD_STANDING " FROM main.held" OF_ONE_TIME},
  };
  const struct {
    ledger_own_reader *reader;
    const char *table, *where;
  } readers[] = {{&m->own_rows, "temp.staging_own", ""},
                 {&m->own_staged, "temp.staging_own", "WHERE unit = ?1 AND time = ?2"},
                 {&m->own_stored, "main.own_reading", "WHERE unit = ?1 AND time = ?2"},
                 {&m->own_held, "main.held_own", "WHERE unit = ?1 AND time = ?2"}};
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0] && status == BT_OK; i++)
    status = ledger_prepare(m->ledger, wanted[i].sql, wanted[i].statement, error);
  for (size_t i = 0; i < sizeof readers / sizeof readers[0] && status == BT_OK; i++)
    status =
        ledger_own_open(m->ledger, readers[i].table, readers[i].where, readers[i].reader, error);
  return status == BT_OK ? ledger_own_seek(&m->own_rows, 0, 0, error) : status;
}

static void release(merge *m) {
  sqlite3_stmt *const all[] = {m->groups, m->rows, m->staged, m->stored, m->held, m->removed};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    (void)sqlite3_finalize(all[i]);
  ledger_own_close(&m->own_rows);
  ledger_own_close(&m->own_staged);
  ledger_own_close(&m->own_stored);
  ledger_own_close(&m->own_held);
  free(m->incoming.digest);
  free(m->must.digest);
  free(m->may.digest);
  free(m->instead.digest);
  free(m->held_open.digest);
  free(m->rest.digest);
  free(m->kept.digest);
  free(m->twin);
  free(m->fate);
  free(m->rest_fate);
  free(m->replaces);
}

/* M12: which texts of that unit and time must not come back. */
static bt_status find_removed(merge *m, int64_t unit, bt_time time, bt_error *error) {
  bool row = false;
  m->left_out = 0;
  if (m->removed == NULL || unit > m->store->with.last_unit)
    return BT_OK;
  bt_status status = ledger_bind(m->ledger, error, m->removed, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_step(m->ledger, m->removed, &row, error);
  for (int f = 0; status == BT_OK && row && f < BT_FIELD_COUNT; f++)
    if (sqlite3_column_int(m->removed, f + 1) != 0)
      m->left_out |= 1U << f;
  (void)sqlite3_reset(m->removed);
  return status;
}

/* How many texts of a staged row are left out. */
static int leave_out(const merge *m, bt_check *check) {
  int n = 0;
  for (int f = 0; m->left_out != 0 && f < BT_FIELD_COUNT; f++)
    if ((m->left_out >> f & 1U) != 0 && check->text[f] != NULL) {
      check->text[f] = NULL;
      n++;
    }
  return n;
}

/* Contents of the rows that a statement gives for one unit and time, each appended to the list of
 * its standing; *n is how many rows there were. */
static bt_status read_contents(merge *m, sqlite3_stmt *statement, ledger_own_reader *own,
                               int64_t unit, bt_time time, ledger_contents *const lists[],
                               size_t *n, bt_error *error) {
  *n = 0;
  bt_status status = ledger_bind(m->ledger, error, statement, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_own_seek(own, unit, time, error);
  while (ledger_next(m->ledger, statement, &status, error)) {
    ledger_row read;
    ledger_row_read(statement, &read);
    status = ledger_own_take(own, &read, error);
    if (status != BT_OK)
      break;
    (*n)++;
    if (statement == m->staged)
      (void)leave_out(m, &read.check);
    int standing =
        sqlite3_column_count(statement) > STANDING ? sqlite3_column_int(statement, STANDING) : 0;
    if (standing == LEFT_OUT)
      continue;
    ledger_contents *list = lists[standing];
    if (!bt_grow(&list->digest, &list->capacity, list->n + 1, sizeof list->digest[0]))
      return bt_fail_memory(error);
    unsigned char *content = list->digest[list->n++];
    ledger_check_content(&read.check, content);
    if (m->with_words)
      ledger_check_words(&read.check, content);
    else if (statement == m->stored)
      status = ledger_texts_keep(&m->kept, content, &read.check, error);
  }
  return status;
}

/* Rows that met nothing, and take nothing's place. */
static size_t unmet(const merge *m, size_t n) {
  size_t found = 0;
  for (size_t i = 0; i < n; i++)
    found += m->fate[i] == LEDGER_ADD && m->replaces[i] < 0;
  return found;
}

/* Incoming rows that met nothing yet may meet these, at most *most of them; *most is what is left
 * of that. */
static bt_status meet(merge *m, size_t n, ledger_contents *these, size_t *most, bt_error *error) {
  size_t left = 0;
  m->rest.n = 0;
  if (these->n == 0)
    return BT_OK;
  if (!bt_grow(&m->rest.digest, &m->rest.capacity, n, sizeof m->rest.digest[0]) ||
      !bt_grow(&m->rest_fate, &m->rest_capacity, n, 1))
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++)
    if (m->fate[i] == LEDGER_ADD)
      memcpy(m->rest.digest[m->rest.n++], m->incoming.digest[i], LEDGER_DIGEST_BYTES);
  bt_status status = ledger_compare(&m->rest, these, m->rest_fate, &left, error);
  for (size_t i = 0, r = 0; i < n && status == BT_OK; i++) {
    if (m->fate[i] != LEDGER_ADD)
      continue;
    bool met = m->rest_fate[r++] == LEDGER_KNOWN && *most > 0;
    if (met)
      m->fate[i] = LEDGER_KNOWN;
    *most -= met;
  }
  return status;
}

/* M11. *left: how many that must be met are not. */
static bt_status meet_wider(merge *m, int64_t unit, bt_time time, size_t n, size_t *left,
                            bt_error *error) {
  ledger_widening w = {.taken = NULL};
  bool row = true;
  bt_status status = ledger_widening_read(m->ledger, unit, time, &w, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (m->fate[i] == LEDGER_KNOWN)
      ledger_widening_take(&w, m->incoming.digest[i]);
  if (status == BT_OK)
    status = ledger_bind(m->ledger, error, m->staged, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_own_seek(&m->own_staged, unit, time, error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    ledger_row read;
    status = ledger_step(m->ledger, m->staged, &row, error);
    if (status != BT_OK || !row)
      break;
    ledger_row_read(m->staged, &read);
    status = ledger_own_take(&m->own_staged, &read, error);
    (void)leave_out(m, &read.check);
    if (status != BT_OK || m->fate[i] != LEDGER_ADD || *left == 0)
      continue;
    bool known = false;
    int32_t sequence = ledger_widening_meet(&w, &read.check, m->store->with.again, &known);
    if (sequence < 0)
      continue;
    (*left)--;
    if (known)
      m->fate[i] = LEDGER_KNOWN;
    else
      m->replaces[i] = sequence;
  }
  (void)sqlite3_reset(m->staged);
  ledger_widening_free(&w);
  return status;
}

/* Decides the fate of the n rows of one unit and time (M2 to M5). *hold: it is a conflict, and
 * what is ADDed goes to `held`. *next is the sequence of the first row stored. */
static bt_status decide(merge *m, int64_t unit, bt_time time, size_t n, bool *hold, size_t *next,
                        bt_error *error) {
  ledger_contents *const stored[LEDGER_STANDINGS] = {
      [MUST_BE_MET] = &m->must, [MAY_BE_MET] = &m->may, [MET_INSTEAD] = &m->instead};
  ledger_contents *const held[] = {&m->held_open, &m->may};
  ledger_contents *const staged[] = {&m->incoming};
  bt_status status = BT_OK;
  size_t left = 0, any = SIZE_MAX, held_n = 0, staged_n = 0;
  *hold = false;
  *next = 0;
  m->must.n = m->may.n = m->instead.n = m->held_open.n = m->incoming.n = m->kept.n = 0;
  if (!bt_grow(&m->fate, &m->fate_capacity, n, 1) ||
      !bt_grow(&m->replaces, &m->replaces_capacity, n, sizeof *m->replaces))
    return bt_fail_memory(error);
  memset(m->fate, LEDGER_ADD, n);
  for (size_t i = 0; i < n; i++)
    m->replaces[i] = -1;
  if (unit <= m->store->with.last_unit)
    status = read_contents(m, m->stored, &m->own_stored, unit, time, stored, next, error);
  if (status != BT_OK || *next == 0) /* what was held back was so for the sake of a stored row */
    return status;

  status = read_contents(m, m->staged, &m->own_staged, unit, time, staged, &staged_n, error);
  if (status == BT_OK)
    status = ledger_compare(&m->incoming, &m->must, m->fate, &left, error);
  if (status != BT_OK || unmet(m, n) == 0)
    return status;
  status = read_contents(m, m->held, &m->own_held, unit, time, held, &held_n, error);
  if (status == BT_OK)
    status = meet(m, n, &m->may, &any, error); /* M8 */
  if (status == BT_OK)
    status = meet(m, n, &m->instead, &left, error); /* M10 */
  if (status == BT_OK && m->store->with.seen && left > 0 && unmet(m, n) > 0)
    status = meet_wider(m, unit, time, n, &left, error); /* M11 */
  *hold = status == BT_OK && left > 0 && unmet(m, n) > 0;
  if (!*hold)
    return status;
  for (size_t i = 0; i < n; i++)
    m->replaces[i] = -1;
  *next = held_n;
  return ledger_compare(&m->incoming, &m->held_open, m->fate, &left, error);
}

/* M11: the row that was just stored takes the place of that check of its unit and time. */
static bt_status replace(merge *m, const ledger_row *row, int32_t sequence, bt_error *error) {
  const ledger_place old = {row->unit, row->check.time, sequence};
  const ledger_place new = {row->unit, row->check.time, row->check.sequence};
  m->merged.superseded++;
  return ledger_supersede(m->ledger, &old, m->store->with.entry, "read again", &new, error);
}

/* M3, where some of the n rows are known and some new: read once more, with all their words. */
static bt_status keep_words(merge *m, int64_t unit, bt_time time, size_t n, bt_error *error) {
  ledger_contents stored = {0}, incoming = {0};
  ledger_contents *const stored_lists[LEDGER_STANDINGS] = {
      [MUST_BE_MET] = &stored, [MAY_BE_MET] = &stored, [MET_INSTEAD] = &stored};
  ledger_contents *const staged_lists[] = {&incoming};
  unsigned char *heard = bt_new(n, 1);
  size_t rows = 0, left = 0;
  bt_status status = heard == NULL ? bt_fail_memory(error) : BT_OK;
  m->with_words = true;
  if (status == BT_OK)
    status = read_contents(m, m->stored, &m->own_stored, unit, time, stored_lists, &rows, error);
  if (status == BT_OK)
    status = read_contents(m, m->staged, &m->own_staged, unit, time, staged_lists, &rows, error);
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
static bt_status find_twins(merge *m, size_t n, bt_error *error) {
  if (!bt_grow(&m->twin, &m->twin_capacity, n, sizeof *m->twin))
    return bt_fail_memory(error);
  memset(m->twin, 0, n * sizeof *m->twin);
  ledger_contents_sort(&m->kept);
  return n > 1 && m->incoming.n == n ? ledger_twins(&m->incoming, m->twin, error) : BT_OK;
}

/* Stores the row at which m->rows stands, the i-th of its unit and time. */
static bt_status add_row(merge *m, size_t i, bool hold, size_t *next, ledger_tally *tally,
                         bt_error *error) {
  unsigned char digest[LEDGER_DIGEST_BYTES];
  ledger_row row;
  ledger_row_read(m->rows, &row);
  bt_status status = ledger_own_take(&m->own_rows, &row, error);
  if (status != BT_OK)
    return status;
  row.source = m->store->with.source;
  row.check.sequence = (int32_t)(*next)++;
  m->merged.removed += leave_out(m, &row.check);
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
static void hear_known(merge *m, size_t i, ledger_tally *tally) {
  ledger_row row;
  ledger_row_read(m->rows, &row);
  m->merged.removed += leave_out(m, &row.check);
  row.check.sequence = 0; /* here it is that of the temporary table */
  if (ledger_texts_differ(&m->kept, m->incoming.digest[i], &row.check))
    ledger_tell(&tally->reworded, &row.check);
}

static bt_status merge_group(merge *m, int64_t unit, bt_time time, size_t n, ledger_tally *tally,
                             bt_error *error) {
  bool hold = false;
  size_t next = 0;
  bt_status status = find_removed(m, unit, time, error);
  if (status == BT_OK)
    status = decide(m, unit, time, n, &hold, &next, error);
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
    tally->fresh += !hold && add;
    tally->known += !hold && !add;
  }
  tally->rows += (int64_t)n;
  return status;
}

bt_status ledger_merge(ledger_store *store, ledger_tally *tally, size_t tallies,
                       ledger_merged *merged, bt_error *error) {
  bt_ledger *ledger = store->ledger;
  merge m = {.ledger = ledger, .store = store};
  size_t at = 0;
  bt_status status = prepare_all(&m, error);
  while (ledger_next(ledger, m.groups, &status, error)) {
    int64_t unit = sqlite3_column_int64(m.groups, 0);
    for (size_t tried = 0; tally[at].unit != unit && tried < tallies; tried++)
      at = (at + 1) % tallies;
    status = merge_group(&m, unit, sqlite3_column_int64(m.groups, 1),
                         (size_t)sqlite3_column_int64(m.groups, 2), &tally[at], error);
  }
  *merged = m.merged;
  release(&m);
  return status;
}
