/* Refused lines among the checks that a baseline is frozen from: mended and imported later, the
 * same days read otherwise. A refused line has no date that counts; it stands in its log between
 * checks that have. */
#include "baseline.h"

enum { MOST_LINES = 4 }; /* that are named */

typedef struct lines {
  const bt_history *history;
  bt_time from, to; /* first moment of the first and of the last day */
  size_t n;
  bt_text named;
} lines;

/* Whether that line stands beside a check of the period: the day of the check next before it in its
 * log, or behind it, or one between these. */
static bool is_among(const lines *in, int64_t source, int64_t line) {
  const bt_history *history = in->history;
  size_t before = BT_NONE, after = BT_NONE;
  for (size_t i = 0; i < history->n; i++) {
    if (history->source[i] != source)
      continue;
    if (history->line[i] < line && (before == BT_NONE || history->line[i] > history->line[before]))
      before = i;
    if (history->line[i] > line && (after == BT_NONE || history->line[i] < history->line[after]))
      after = i;
  }
  if (before == BT_NONE && after == BT_NONE)
    return false;
  bt_time one = history->at[before == BT_NONE ? after : before],
          other = history->at[after == BT_NONE ? before : after];
  bt_time first = one < other ? one : other, last = one < other ? other : one;
  return first < in->to + BT_DAY && last >= in->from;
}

static void add_line(lines *in, const bt_refused_line *line) {
  if (in->n++ >= MOST_LINES)
    return;
  bt_text_add(&in->named, in->n == 1 ? "" : "; ");
  (void)cli_plain(&in->named, line->file, SIZE_MAX);
  bt_text_format(&in->named, ", line %lld", (long long)line->line);
}

bt_status baseline_refused(bt_ledger *ledger, const char *unit, bt_time from, bt_time to,
                           baseline_lines *found, bt_error *error) {
  bt_history history = {0};
  bt_refused_line *refused = NULL;
  size_t n = 0;
  lines in = {.history = &history, .from = from, .to = to};
  bt_status status = bt_ledger_history(ledger, unit, INT64_MAX, &history, error);
  if (status == BT_OK)
    status = bt_ledger_refused_lines(ledger, &refused, &n, error);
  for (size_t i = 0; status == BT_OK && i < n; i++) {
    const bt_refused_line *line = &refused[i]; /* left out: nobody will mend it */
    if (line->stands && !line->left_out && is_among(&in, line->place.source, line->line))
      add_line(&in, line);
  }
  if (status == BT_OK && in.n > MOST_LINES)
    bt_text_format(&in.named, "; and %zu more", in.n - MOST_LINES);
  bt_refused_lines_free(refused, n);
  bt_history_free(&history);
  found->n = in.n;
  found->named = in.named;
  if (status == BT_OK && !bt_text_ok(&found->named))
    status = bt_fail_memory(error);
  return status;
}

void baseline_describe_refused(const baseline_lines *found, bool frozen, bt_text *out) {
  if (found->n == 0)
    return;
  bt_text_format(out,
                 "%zu line%s of the log among the checks of these days %s refused, and %s not in "
                 "it:\n  %s\n",
                 found->n, found->n == 1 ? "" : "s", found->n == 1 ? "was" : "were",
                 found->n == 1 ? "is" : "are", bt_text_get(&found->named));
  bt_text_add(out, "`beamtally conflicts --refused` says why, and how to mend them. ");
  bt_text_add(out, frozen ? "Once mended the same days read otherwise: then freeze them again.\n"
                          : "Do so first, or go on: once mended, the same days read otherwise.\n");
}
