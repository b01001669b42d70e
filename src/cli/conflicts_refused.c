/* conflicts --refused: the lines of logs that were refused, and what became of them. */
#include "conflicts.h"

/* "first refused on 2026-09-01, no more since the log was imported again on 2026-09-03". */
static void add_gone(const bt_refused_line *line, bt_text *out) {
  char first[BT_TIME_TEXT], gone[BT_TIME_TEXT];
  bt_text words = {0};
  bt_text_format(&words, "first refused on %s, no more since the log was imported again on %s",
                 bt_time_day_iso(line->first, first), bt_time_day_iso(line->gone, gone));
  conflicts_add_wrapped(out, "past", bt_text_get(&words));
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

void refused_line_add(const bt_refused_line *line, bt_text *out) {
  bt_text head = {0}, words = {0};
  bt_text_format(&head, "%s, line %lld", line->file, (long long)line->line);
  if (line->column != NULL)
    bt_text_format(&head, ", column \"%s\"", line->column);
  bt_text_add(&words, line->reason);
  unsigned untold = bt_lost_untold(line->lost, line->reason);
  if (untold != 0) {
    bt_text_add(&words, "; the line holds ");
    bt_lost_words(untold, "and", &words);
  }
  (void)cli_plain(out, bt_text_get(&head), SIZE_MAX);
  bt_text_add(out, "\n");
  conflicts_add_wrapped(out, "", bt_text_get(&words));
  if (!line->stands)
    add_gone(line, out);
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

/* Lines that lost something come first. */
static void add_lines(const bt_refused_line *lines, size_t n, bool all, bt_text *out) {
  for (int others = 0; others < 2; others++)
    for (size_t i = 0; i < n; i++) {
      const bt_refused_line *line = &lines[i];
      if ((line->lost != 0) == (others == 0) && (all || (line->stands && !line->left_out)))
        refused_line_add(line, out);
    }
}

/* Those that are shown, and of them those that lost something or are refused no more; and what
 * waits for somebody. */
typedef struct refused_counts {
  size_t n, with_loss, gone, left_out, waiting;
  unsigned lost; /* bt_lost bits of those with a loss */
} refused_counts;

static refused_counts count(const bt_refused_line *lines, size_t n, bool all) {
  refused_counts counts = {0};
  for (size_t i = 0; i < n; i++) {
    const bt_refused_line *line = &lines[i];
    bool waits = line->stands && !line->left_out;
    if (!line->stands && !line->is_last) /* a decision is shown; its line is counted newer */
      continue;
    counts.left_out += line->stands && line->left_out;
    counts.waiting += waits;
    counts.n += all || waits;
    counts.gone += !line->stands;
    counts.with_loss += (all || waits) && line->lost != 0;
    counts.lost |= all || waits ? line->lost : 0;
  }
  return counts;
}

static void add_head(const refused_counts *counts, bool all, bt_text *out) {
  if (counts->n == 0)
    bt_text_add(out, "No refused line is missing.\n");
  else
    bt_text_format(out, "%zu line%s refused.\n", counts->n, counts->n == 1 ? " was" : "s were");
  if (counts->with_loss > 0) {
    bool one = counts->with_loss == 1;
    if (counts->n == 1)
      bt_text_add(out, "It holds ");
    else
      bt_text_format(out, "%zu of them hold%s ", counts->with_loss, one ? "s" : "");
    bt_lost_words(counts->lost, one ? "and" : "or", out);
    if (counts->n > 1)
      bt_text_format(out, ", and stand%s first", one ? "s" : "");
    bt_text_add(out, ".\n");
  }
  if (counts->left_out > 0)
    bt_text_format(out,
                   all ? "%zu of them %s left out by decision.\n"
                       : "%zu more %s left out by decision; --all lists them, too.\n",
                   counts->left_out, counts->left_out == 1 ? "is" : "are");
  if (counts->gone > 0)
    bt_text_format(out,
                   all              ? "%zu of them %s refused no more.\n"
                   : counts->n == 0 ? "%zu %s refused no more; --all lists them.\n"
                                    : "%zu more %s refused no more; --all lists them, too.\n",
                   counts->gone, counts->gone == 1 ? "is" : "are");
}

/* How a log is mended stands here; what else tells of refused lines names this list (and import, of
 * new ones, that the copy keeps the log's name). */
static void add_foot(const refused_counts *counts, bt_text *out) {
  if (counts->waiting > 0)
    bt_text_add(out,
                "\nTo mend a line:  keep the log as it was imported, correct the line in a "
                "copy\nthat has the same name, in another folder, and import the copy, with the "
                "map or\noptions as before; go on with the copy. The line is listed no more "
                "then.\nA line that nobody can mend:  beamtally conflicts --refused "
                "FILE:LINE[-LINE]\n--leave-out --by NAME --why REASON  (it stays on "
                "record)\n");
  if (counts->n > 0)
    bt_text_add(out, "\nWhat the cell held is not kept, since a log may hold what must not stay on "
                     "record;\n`beamtally import --rejects FILE LOG` writes it while the log has "
                     "it.\n");
}

cli_exit conflicts_list_refused(const cli_context *cli, bool all) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  bt_refused_line *lines = NULL;
  size_t n = 0;
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_refused_lines(ledger, &lines, &n, &error);
  bt_ledger_close(ledger);
  refused_counts counts = count(lines, n, all);
  add_head(&counts, all, &out);
  if (counts.n > 0)
    bt_text_add(&out, "\n");
  add_lines(lines, n, all, &out);
  add_foot(&counts, &out);
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  bt_refused_lines_free(lines, n);
  bt_text_free(&out);
  return result == CLI_DONE && cli->strict && counts.waiting > 0 ? CLI_ATTENTION : result;
}
