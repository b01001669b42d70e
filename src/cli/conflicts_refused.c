/* conflicts --refused: the lines of logs that were refused. */
#include "conflicts.h"

#include <string.h>

/* Columns of the table, as it names them. */
enum { R_FILE, R_LINE, R_COLUMN, R_REASON, R_STANDS, R_SERIOUS, R_COLUMNS };

typedef struct refused_list {
  size_t at[R_COLUMNS];
  bool all;
  size_t n, serious_n;
  bt_text serious, others; /* lines with a failed self-test, a remark or a refill come first */
} refused_list;

static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  static const char *const wanted[] = {"file", "line", "column", "reason", "stands", "serious"};
  refused_list *list = context;
  (void)error;
  for (size_t w = 0; w < R_COLUMNS; w++)
    for (size_t i = 0; i < n; i++)
      if (strcmp(names[i], wanted[w]) == 0)
        list->at[w] = i;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  refused_list *list = context;
  bt_text line = {0}, words = {0};
  (void)n;
  if (!list->all && cells[list->at[R_STANDS]].integer == 0)
    return BT_OK;
  bool serious = cells[list->at[R_SERIOUS]].integer != 0;
  bt_text *out = serious ? &list->serious : &list->others;
  list->n++;
  list->serious_n += serious;
  bt_text_format(&line, "%s, line %lld", cells[list->at[R_FILE]].text,
                 (long long)cells[list->at[R_LINE]].integer);
  if (cells[list->at[R_COLUMN]].type == BT_CELL_TEXT)
    bt_text_format(&line, ", column \"%s\"", cells[list->at[R_COLUMN]].text);
  bt_text_format(&words, "%s%s", cells[list->at[R_REASON]].text,
                 serious ? "; the line holds a failed self-test, a remark or a refill" : "");
  (void)cli_plain(out, bt_text_get(&line), SIZE_MAX);
  bt_text_add(out, "\n");
  conflicts_add_wrapped(out, "", bt_text_get(&words));
  out->failed = out->failed || line.failed || words.failed;
  bt_text_free(&line);
  bt_text_free(&words);
  return out->failed ? bt_fail_memory(error) : BT_OK;
}

cli_exit conflicts_list_refused(const cli_context *cli, bool all) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  refused_list list = {.all = all};
  const bt_table_sink sink = {.context = &list, .columns = take_names, .row = take_row};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_table(ledger, BT_TABLE_REFUSALS, &sink, &error);
  bt_ledger_close(ledger);
  if (list.n == 0)
    bt_text_add(&out, "No refused line is missing.\n");
  else
    bt_text_format(&out,
                   "%zu line%s refused. Once mended in a log of the same name that is imported "
                   "again,\nthey are listed no more.\n",
                   list.n, list.n == 1 ? " was" : "s were");
  if (list.serious_n > 0)
    bt_text_format(
        &out, "%zu of them hold%s a failed self-test, a remark or a refill, and stand%s first.\n",
        list.serious_n, list.serious_n == 1 ? "s" : "", list.serious_n == 1 ? "s" : "");
  if (list.n > 0)
    bt_text_format(&out, "\n%s%s", bt_text_get(&list.serious), bt_text_get(&list.others));
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  bt_text_free(&list.serious);
  bt_text_free(&list.others);
  bt_text_free(&out);
  return result == CLI_DONE && cli->strict && list.n > 0 ? CLI_ATTENTION : result;
}
