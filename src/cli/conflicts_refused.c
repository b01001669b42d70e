/* conflicts --refused: the lines of logs that were refused. */
#include "conflicts.h"

#include <stdlib.h>

/* ---- Reading them ---------------------------------------------------------------------------- */

/* Columns of the table, as it names them. */
enum {
  R_SOURCE,
  R_NUMBER,
  R_FILE,
  R_LINE,
  R_COLUMN,
  R_REASON,
  R_SERIOUS,
  R_STANDS,
  R_LEFT_OUT,
  R_AT,
  R_BY,
  R_WHY,
  R_COLUMNS
};

typedef struct refused_reader {
  size_t at[R_COLUMNS];
  refused_lines *all;
} refused_reader;

static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  static const char *const wanted[] = {
      [R_SOURCE] = "source", [R_NUMBER] = "number",   [R_FILE] = "file",
      [R_LINE] = "line",     [R_COLUMN] = "column",   [R_REASON] = "reason",
      [R_STANDS] = "stands", [R_SERIOUS] = "serious", [R_LEFT_OUT] = "left_out",
      [R_AT] = "entered_at", [R_BY] = "by",           [R_WHY] = "why"};
  refused_reader *reader = context;
  (void)error;
  cli_table_places(names, n, wanted, reader->at, R_COLUMNS);
  return BT_OK;
}

static char *text_of(const bt_cell *cell, bool *whole) {
  char *copy = cell->type == BT_CELL_TEXT ? bt_copy(cell->text) : NULL;
  *whole = *whole && (copy != NULL || cell->type != BT_CELL_TEXT);
  return copy;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  const refused_reader *reader = context;
  refused_lines *all = reader->all;
  const bt_cell *of[R_COLUMNS];
  bool whole = true;
  (void)n;
  for (size_t w = 0; w < R_COLUMNS; w++)
    of[w] = &cells[reader->at[w]];
  if (!bt_grow(&all->list, &all->capacity, all->n + 1, sizeof *all->list))
    return bt_fail_memory(error);
  all->list[all->n++] = /* counted even half taken: it is freed */
      (refused_line){.place = {of[R_SOURCE]->integer, of[R_NUMBER]->integer},
                     .line = of[R_LINE]->integer,
                     .file = text_of(of[R_FILE], &whole),
                     .column = text_of(of[R_COLUMN], &whole),
                     .reason = text_of(of[R_REASON], &whole),
                     .serious = of[R_SERIOUS]->integer != 0,
                     .stands = of[R_STANDS]->integer != 0,
                     .left_out = of[R_LEFT_OUT]->type == BT_CELL_INTEGER,
                     .at = of[R_AT]->type == BT_CELL_MOMENT ? of[R_AT]->integer : 0,
                     .by = text_of(of[R_BY], &whole),
                     .why = text_of(of[R_WHY], &whole)};
  return whole ? BT_OK : bt_fail_memory(error);
}

bt_status refused_lines_read(bt_ledger *ledger, refused_lines *all, bt_error *error) {
  refused_reader reader = {.all = all};
  const bt_table_sink sink = {.context = &reader, .columns = take_names, .row = take_row};
  return bt_ledger_table(ledger, BT_TABLE_REFUSALS, &sink, error);
}

void refused_lines_free(refused_lines *all) {
  for (size_t i = 0; i < all->n; i++) {
    free(all->list[i].file);
    free(all->list[i].column);
    free(all->list[i].reason);
    free(all->list[i].by);
    free(all->list[i].why);
  }
  free(all->list);
}

/* ---- Listing them ---------------------------------------------------------------------------- */

void refused_line_add(const refused_line *line, bt_text *out) {
  bt_text head = {0}, words = {0};
  bt_text_format(&head, "%s, line %lld", line->file, (long long)line->line);
  if (line->column != NULL)
    bt_text_format(&head, ", column \"%s\"", line->column);
  bt_text_format(&words, "%s%s", line->reason,
                 line->serious ? "; the line holds a failed self-test, a remark or a refill" : "");
  (void)cli_plain(out, bt_text_get(&head), SIZE_MAX);
  bt_text_add(out, "\n");
  conflicts_add_wrapped(out, "", bt_text_get(&words));
  if (line->left_out) {
    char at[BT_TIME_TEXT];
    bt_text_clear(&words);
    bt_text_format(&words, "by %s, %s: %s", line->by, bt_time_day_iso(line->at, at), line->why);
    conflicts_add_wrapped(out, "left out", bt_text_get(&words));
  }
  out->failed = out->failed || head.failed || words.failed;
  bt_text_free(&head);
  bt_text_free(&words);
}

/* Lines with a failed self-test, a remark or a refill come first. */
static void add_lines(const refused_lines *lines, bool all, bt_text *out) {
  for (int others = 0; others < 2; others++)
    for (size_t i = 0; i < lines->n; i++) {
      const refused_line *line = &lines->list[i];
      if (line->serious == (others == 0) && (all || (line->stands && !line->left_out)))
        refused_line_add(line, out);
    }
}

/* Those that are shown, and of them those that are serious; and what waits for somebody. */
typedef struct refused_counts {
  size_t n, serious, left_out, waiting;
} refused_counts;

static refused_counts count(const refused_lines *lines, bool all) {
  refused_counts counts = {0};
  for (size_t i = 0; i < lines->n; i++) {
    const refused_line *line = &lines->list[i];
    bool waits = line->stands && !line->left_out;
    counts.left_out += line->stands && line->left_out;
    counts.waiting += waits;
    counts.n += all || waits;
    counts.serious += (all || waits) && line->serious;
  }
  return counts;
}

static void add_head(const refused_counts *counts, bool all, bt_text *out) {
  if (counts->n == 0)
    bt_text_add(out, "No refused line is missing.\n");
  else
    bt_text_format(out,
                   "%zu line%s refused. Once mended in a log of the same name that is imported "
                   "again,\nthey are listed no more.\n",
                   counts->n, counts->n == 1 ? " was" : "s were");
  if (counts->serious > 0)
    bt_text_format(
        out, "%zu of them hold%s a failed self-test, a remark or a refill, and stand%s first.\n",
        counts->serious, counts->serious == 1 ? "s" : "", counts->serious == 1 ? "s" : "");
  if (counts->left_out > 0)
    bt_text_format(out,
                   all ? "%zu of them %s left out by decision.\n"
                       : "%zu more %s left out by decision; --all lists them, too.\n",
                   counts->left_out, counts->left_out == 1 ? "is" : "are");
}

cli_exit conflicts_list_refused(const cli_context *cli, bool all) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  refused_lines lines = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = refused_lines_read(ledger, &lines, &error);
  bt_ledger_close(ledger);
  refused_counts counts = count(&lines, all);
  add_head(&counts, all, &out);
  if (counts.n > 0)
    bt_text_add(&out, "\n");
  add_lines(&lines, all, &out);
  if (counts.waiting > 0)
    bt_text_add(&out, "\nA line that nobody can mend:  beamtally conflicts --refused "
                      "FILE:LINE[-LINE]\n--leave-out --by NAME --why REASON  (it stays on "
                      "record)\n");
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  refused_lines_free(&lines);
  bt_text_free(&out);
  return result == CLI_DONE && cli->strict && counts.waiting > 0 ? CLI_ATTENTION : result;
}
