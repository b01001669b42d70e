/* Rows of the ledger's tables that belong to a case: of its unit and time, or of its sources. Names
 * of people and free texts go in only when asked for. */
#include "evidence.h"
#include "reading.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_COLUMNS = 256, NO_COLUMN = -1 };

typedef struct filter {
  const bt_case *one;
  const bt_table_sink *sink; /* NULL: digests are gathered instead */
  bt_table table;
  bool by_source;
  int unit, first, last, source, digest, sequence; /* columns, or NO_COLUMN */
  int log, line; /* where a check or event came from; both, or line is NO_COLUMN */
  bool keep[MOST_COLUMNS];
  /* for digests */
  const bt_history *history;
  char (*digests)[BT_DIGEST_TEXT];
  size_t digests_n;
} filter;

static bool is_one_of(const char *name, const char *const *names) {
  for (; *names != NULL; names++)
    if (strcmp(name, *names) == 0)
      return true;
  return false;
}

static bool is_told(const bt_case *one, const char *name) {
  static const char *const people[] = {"operator", "by", "beamtally_by", NULL};
  static const char *const texts[] = {"remark", "note", "why", "cause", "action", NULL};
  return (one->with_operator || !is_one_of(name, people)) &&
         (one->with_remarks || !is_one_of(name, texts));
}

static void place(filter *of, const char *name, int at) {
  static const char *const firsts[] = {"date", "first_at", NULL};
  static const char *const sources[] = {"source", "number", NULL};
  if (strcmp(name, "unit") == 0)
    of->unit = at;
  if (is_one_of(name, firsts))
    of->first = of->last = at;
  if (strcmp(name, "last_at") == 0)
    of->last = at;
  if (is_one_of(name, sources) && of->source == NO_COLUMN)
    of->source = at;
  if (strcmp(name, "beamtally_source") == 0)
    of->log = at;
  if (strcmp(name, "beamtally_line") == 0 && of->log != NO_COLUMN)
    of->line = at;
  if (strcmp(name, "beamtally_digest") == 0)
    of->digest = at;
  if (strcmp(name, "beamtally_sequence") == 0)
    of->sequence = at;
}

/* A reading that folders of that format have no column for: the first of that name, since one of
 * the clinic's own may have had it. */
static bool is_later_reading(const bt_case *one, const char *const *names, size_t i) {
  bool is = false;
  for (int r = 0; r < BT_READING_COUNT && !is; r++)
    is = !bt_case_knows_reading(one->format, (bt_reading)r) &&
         strcmp(names[i], bt_reading_key((bt_reading)r)) == 0;
  for (size_t k = 0; k < i && is; k++)
    is = strcmp(names[k], names[i]) != 0;
  return is;
}

/* Who left out a refused line: folders of older formats have no columns for it. */
static bool is_later_decision(const filter *of, const char *name) {
  static const char *const columns[] = {"left_out", "entered_at", "by", "why", NULL};
  return of->table == BT_TABLE_REFUSALS && of->one->format < 4 && is_one_of(name, columns);
}

static bt_status put_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  filter *of = context;
  const char *kept[MOST_COLUMNS];
  size_t kept_n = 0;
  of->unit = of->first = of->last = of->source = of->digest = of->sequence = NO_COLUMN;
  of->log = of->line = NO_COLUMN;
  if (n > MOST_COLUMNS)
    return bt_fail(error, BT_DAMAGED, "a table of %zu columns", n);
  for (size_t i = 0; i < n; i++) {
    place(of, names[i], (int)i);
    of->keep[i] =
        of->one == NULL || (is_told(of->one, names[i]) && !is_later_reading(of->one, names, i) &&
                            !is_later_decision(of, names[i]));
    if (of->keep[i])
      kept[kept_n++] = names[i];
  }
  bool has_place =
      of->by_source ? of->source != NO_COLUMN : of->unit != NO_COLUMN && of->first != NO_COLUMN;
  if (!has_place)
    return bt_fail(error, BT_DAMAGED, "a table has no column to choose its rows by");
  return of->sink == NULL ? BT_OK : of->sink->columns(of->sink->context, kept, kept_n, error);
}

static bool belongs(const filter *of, const bt_cell *cells) {
  const bt_case *one = of->one;
  if (of->by_source) {
    for (size_t s = 0; s < one->sources_n; s++)
      if (one->sources[s].number == cells[of->source].integer)
        return true;
    return false;
  }
  const char *unit = cells[of->unit].text;
  return unit != NULL && strcmp(unit, one->unit->history.unit) == 0 &&
         cells[of->last].integer >= one->begins && cells[of->first].integer < one->to;
}

/* What was typed in or corrected by hand has no line, and no row of sources.csv. */
static bool is_typed(const filter *of, const bt_cell *cells) {
  return of->line != NO_COLUMN && cells[of->line].type == BT_CELL_EMPTY;
}

static bt_status put_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  filter *of = context;
  static const bt_cell no_log = {.type = BT_CELL_INTEGER};
  bt_cell kept[MOST_COLUMNS];
  size_t kept_n = 0;
  if (!belongs(of, cells))
    return BT_OK;
  for (size_t i = 0; i < n; i++)
    if (of->keep[i])
      kept[kept_n++] = (int)i == of->log && is_typed(of, cells) ? no_log : cells[i];
  return of->sink->row(of->sink->context, kept, kept_n, error);
}

bt_status evidence_table(bt_ledger *ledger, bt_table table, const bt_case *one, FILE *stream,
                         bt_error *error) {
  bt_table_writer writer;
  bt_error closing = {0};
  bt_table_sink sink = bt_table_writer_open(&writer, stream, false);
  cli_worded worded;
  const bt_table_sink in_words = cli_in_words(&worded, &sink);
  bool words = table == BT_TABLE_SOURCES && one->format > 1;
  filter of = {.one = one,
               .sink = words ? &in_words : &sink,
               .table = table,
               .by_source = table == BT_TABLE_SOURCES || table == BT_TABLE_REFUSALS};
  const bt_table_sink filtered = {.context = &of, .columns = put_columns, .row = put_row};
  bt_status status = bt_ledger_table(ledger, table, &filtered, error);
  bt_status closed = bt_table_writer_close(&writer, status == BT_OK ? error : &closing);
  return status == BT_OK ? closed : status;
}

/* ---- Digests --------------------------------------------------------------------------------- */

/* The table has the unit's checks in the order of the history. */
static bt_status take_digest(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  filter *of = context;
  const bt_history *history = of->history;
  size_t at = of->digests_n;
  (void)n;
  if (cells[of->unit].text == NULL || strcmp(cells[of->unit].text, history->unit) != 0 ||
      at == history->n)
    return BT_OK;
  const char *digest = cells[of->digest].text;
  if (cells[of->first].integer != history->at[at] ||
      cells[of->sequence].integer != history->sequence[at] || digest == NULL ||
      strlen(digest) != BT_DIGEST_TEXT - 1)
    return bt_fail(error, BT_REFUSED,
                   "something was entered into the ledger meanwhile; do it again");
  memcpy(of->digests[at], digest, BT_DIGEST_TEXT);
  of->digests_n++;
  return BT_OK;
}

bt_status evidence_digests(bt_ledger *ledger, const bt_unit_study *study,
                           char (**digest)[BT_DIGEST_TEXT], bt_error *error) {
  filter of = {.history = &study->history,
               .digests = bt_new(study->history.n, sizeof(char[BT_DIGEST_TEXT]))};
  const bt_table_sink sink = {.context = &of, .columns = put_columns, .row = take_digest};
  *digest = of.digests;
  if (of.digests == NULL)
    return bt_fail_memory(error);
  bt_status status = bt_ledger_table(ledger, BT_TABLE_CHECKS, &sink, error);
  if (status == BT_OK && of.digests_n != study->history.n)
    status =
        bt_fail(error, BT_REFUSED, "something was entered into the ledger meanwhile; do it again");
  return status;
}
