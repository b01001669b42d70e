/* conflicts --refused FILE:LINE --leave-out: lines that nobody can mend. */
#include "conflicts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHOWN = 8 };

/* What one word names. */
typedef struct line_range {
  const char *file;
  size_t file_length;
  long long first, last;
} line_range;

/* The refused lines of the ledger, and which of them are meant. */
typedef struct leaving {
  bt_refused_line *list;
  size_t list_n;
  bool *taken; /* of the list: it is among them */
  size_t n;
} leaving;

/* "log.csv:17" or "log.csv:17-31"; the file's name may have colons and folders. */
static bool read_range(const char *word, line_range *range) {
  const char *colon = strrchr(word, ':');
  char *end = NULL;
  bool good = colon != NULL && colon > word && strspn(colon + 1, "0123456789") > 0;
  if (good) {
    range->first = range->last = strtoll(colon + 1, &end, 10);
    if (*end == '-' && strspn(end + 1, "0123456789") > 0)
      range->last = strtoll(end + 1, &end, 10);
    good = *end == '\0' && range->first > 0 && range->last >= range->first;
  }
  if (!good) {
    cli_say("\"%s\" is no refused line: say FILE:LINE or FILE:LINE-LINE, as `beamtally conflicts "
            "--refused` lists file and line",
            word);
    return false;
  }
  range->file = word;
  for (const char *at = word; at < colon; at++)
    if (*at == '/')
      range->file = at + 1;
  range->file_length = (size_t)(colon - range->file);
  return true;
}

static bool is_in(const bt_refused_line *line, const line_range *range) {
  return strlen(line->file) == range->file_length &&
         memcmp(line->file, range->file, range->file_length) == 0 && line->line >= range->first &&
         line->line <= range->last;
}

/* Why a word names nothing that could be left out. */
static bt_status none_named(const char *word, const bt_refused_line *left_out, bool mended,
                            bt_error *error) {
  char at[BT_TIME_TEXT];
  if (left_out != NULL)
    return bt_fail(error, BT_REFUSED, "%s: left out before, by %s, %s: %s", word, left_out->by,
                   bt_time_day_iso(left_out->at, at), left_out->why);
  return mended ? bt_fail(error, BT_REFUSED,
                          "%s: refused once, but no more since that log was imported again", word)
                : bt_fail(error, BT_NOTFOUND,
                          "%s: the ledger has no refused line of that log there; `beamtally "
                          "conflicts --refused` lists those that it has",
                          word);
}

static bt_status take_word(leaving *all, const char *word, const line_range *range,
                           bt_error *error) {
  const bt_refused_line *left_out = NULL;
  bool mended = false, found = false;
  for (size_t i = 0; i < all->list_n; i++) {
    const bt_refused_line *line = &all->list[i];
    if (!is_in(line, range))
      continue;
    mended = mended || !line->stands;
    if (line->stands && line->left_out)
      left_out = line;
    if (!line->stands || line->left_out)
      continue;
    found = true;
    all->n += !all->taken[i];
    all->taken[i] = true;
  }
  return found ? BT_OK : none_named(word, left_out, mended, error);
}

static bt_status gather(bt_ledger *ledger, int n, char **words, leaving *all, bt_error *error) {
  bt_status status = bt_ledger_refused_lines(ledger, &all->list, &all->list_n, error);
  if (status == BT_OK && (all->taken = bt_new(all->list_n, sizeof *all->taken)) == NULL)
    status = bt_fail_memory(error);
  for (int i = 0; i < n && status == BT_OK; i++) {
    line_range range = {0};
    status = read_range(words[i], &range) ? take_word(all, words[i], &range, error)
                                          : bt_fail(error, BT_USAGE, "nothing was left out");
  }
  return status;
}

/* Of those that are left out: how many lost something, and what. */
static void add_loss(const leaving *all, bt_text *out) {
  size_t n = 0;
  unsigned lost = 0;
  for (size_t i = 0; i < all->list_n; i++)
    if (all->taken[i]) {
      n += all->list[i].lost != 0;
      lost |= all->list[i].lost;
    }
  if (n == 0)
    return;
  if (all->n == 1)
    bt_text_add(out, "\nIt holds ");
  else
    bt_text_format(out, "\n%zu of these %zu hold%s ", n, all->n, n == 1 ? "s" : "");
  bt_lost_words(lost, n == 1 ? "and" : "or", out);
  bt_text_add(out, ":\nno chart and no count has that, and nothing will point at it any more.\n");
}

static void add_effect(const leaving *all, bt_text *out) {
  size_t shown = 0;
  for (size_t i = 0; i < all->list_n; i++)
    if (all->taken[i] && shown < SHOWN) {
      refused_line_add(&all->list[i], out);
      shown++;
    }
  if (all->n > shown)
    bt_text_format(out, "and %zu more\n", all->n - shown);
  add_loss(all, out);
  bool one = all->n == 1;
  bt_text_format(out,
                 "\n%s on record as refused, with who left %s out and why.\n"
                 "Counts tell %s apart and --all lists %s, also when the log comes again grown.\n"
                 "Mended in the log all the same, %s in as any other line.\n"
                 "This can't be taken back.\n",
                 one ? "It stays" : "They stay", one ? "it" : "them", one ? "it" : "them",
                 one ? "it" : "them", one ? "it goes" : "they go");
}

static bt_status leave_out(bt_ledger *ledger, const leaving *all, const char *by, const char *why,
                           bt_time now, bt_error *error) {
  bt_refused_place *places = bt_new(all->n, sizeof *places);
  size_t n = 0;
  if (places == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < all->list_n; i++)
    if (all->taken[i])
      places[n++] = all->list[i].place;
  bt_status status = bt_ledger_leave_out(ledger, places, n, by, why, now, error);
  free(places);
  return status;
}

cli_exit conflicts_leave_out(const cli_context *cli, int n, char **words, const char *by,
                             const char *why) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text effect = {0};
  leaving all = {.n = 0};
  cli_exit answer = CLI_DONE;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = gather(ledger, n, words, &all, &error);
  if (status == BT_OK) {
    add_effect(&all, &effect);
    answer = cli_print_text(&effect);
    if (answer == CLI_DONE)
      answer = cli_confirm(cli);
  }
  if (status == BT_OK && answer == CLI_DONE)
    status = leave_out(ledger, &all, by, why, cli->now, &error);
  if (status == BT_OK && answer == CLI_DONE && !cli->quiet)
    cli_tell("%zu refused line%s left out by decision\n", all.n, all.n == 1 ? "" : "s");
  bt_text_free(&effect);
  bt_refused_lines_free(all.list, all.list_n);
  free(all.taken);
  bt_ledger_close(ledger);
  return status == BT_OK ? answer : cli_error(&error);
}
