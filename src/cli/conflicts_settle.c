/* conflicts ID... --keep: settling those that a person names. */
#include "conflicts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { SHOWN = 8 };

/* The conflicts of the ledger, and which of them are meant. */
typedef struct settling {
  bt_conflict *list;
  size_t list_n;
  const char **ids; /* of those that are meant, borrowed; room for all words and all of the list */
  size_t n;
  bool *taken; /* of the list: it is among them */
} settling;

static bool is_id(const char *text, size_t length) {
  size_t digits = strspn(text, "0123456789abcdefABCDEF");
  if (digits == length && digits > 0 && digits <= BT_ID_DIGITS)
    return true;
  cli_say("\"%.*s\" is no conflict's ID: that is up to %d hex digits, as `beamtally conflicts` "
          "lists them, or two with a hyphen between",
          (int)length, text, BT_ID_DIGITS);
  return false;
}

bool conflicts_are_named(int n, char **words) {
  for (int i = 0; i < n; i++) {
    size_t first = strcspn(words[i], "-");
    const char *end = words[i] + first;
    if (!is_id(words[i], first) || (*end == '-' && !is_id(end + 1, strlen(end + 1))))
      return false;
  }
  return true;
}

/* How many open conflicts begin with those digits; *at is the last of them. */
static size_t find(const settling *all, const char *digits, size_t length, size_t *at) {
  size_t found = 0;
  for (size_t i = 0; i < all->list_n; i++)
    if (!all->list[i].settled && strncasecmp(all->list[i].id, digits, length) == 0) {
      *at = i;
      found++;
    }
  return found;
}

static bt_status find_end(const settling *all, const char *digits, size_t length, size_t *at,
                          bt_error *error) {
  size_t found = find(all, digits, length, at);
  if (found == 0)
    return bt_fail(error, BT_NOTFOUND,
                   "no conflict that is to be settled begins with \"%.*s\"; list them with "
                   "conflicts",
                   (int)length, digits);
  return found == 1
             ? BT_OK
             : bt_fail(error, BT_USAGE, "\"%.*s\" may be one of %zu conflicts; give more digits",
                       (int)length, digits, found);
}

static void take(settling *all, size_t at) {
  if (!all->list[at].settled && !all->taken[at])
    all->ids[all->n++] = all->list[at].id;
  all->taken[at] = true;
}

/* What one word names, each conflict once. */
static bt_status take_word(settling *all, const char *word, bt_error *error) {
  size_t length = strcspn(word, "-"), from = 0, to = 0;
  if (word[length] == '\0') {
    if (find(all, word, length, &from) == 1)
      take(all, from);
    else
      all->ids[all->n++] = word; /* the ledger says what is wrong with it */
    return BT_OK;
  }
  const char *end = word + length + 1;
  bt_status status = find_end(all, word, length, &from, error);
  if (status == BT_OK)
    status = find_end(all, end, strlen(end), &to, error);
  if (status == BT_OK && to < from)
    status = bt_fail(error, BT_USAGE, "%s stands before %.*s in the list: say %s-%.*s", end,
                     (int)length, word, end, (int)length, word);
  for (size_t i = from; i <= to && status == BT_OK; i++)
    take(all, i);
  return status;
}

static bt_status gather(bt_ledger *ledger, int n, char **words, settling *all, bt_error *error) {
  bt_status status = bt_ledger_conflicts(ledger, NULL, &all->list, &all->list_n, error);
  if (status == BT_OK && ((all->ids = bt_new(all->list_n + (size_t)n, sizeof *all->ids)) == NULL ||
                          (all->taken = bt_new(all->list_n, sizeof *all->taken)) == NULL))
    status = bt_fail_memory(error);
  for (int i = 0; i < n && status == BT_OK; i++)
    status = take_word(all, words[i], error);
  return status;
}

static void add_effect(const settling *all, bt_keep keep, bt_text *effect) {
  size_t shown = 0, taken = 0;
  for (size_t i = 0; i < all->list_n; i++)
    if (all->taken[i] && taken++ < SHOWN) {
      conflicts_add(&all->list[i], effect);
      shown++;
    }
  if (taken > shown)
    bt_text_format(effect, "and %zu more of the list\n\n", taken - shown);
  if (taken > 1)
    bt_text_format(effect, "Of each of these %zu:\n", taken);
  conflicts_add_keep(keep, effect);
}

cli_exit conflicts_settle(const cli_context *cli, int n, char **words, bt_keep keep, const char *by,
                          const char *why) {
  static const char *const done[] = {
      [BT_KEEP_OLD] = "what stands goes on standing, the rows that came were not taken",
      [BT_KEEP_NEW] = "the rows that came took the place of what stood, which is superseded",
      [BT_KEEP_BOTH] = "what stands stays, each row that came and differs was added as a check"};
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text effect = {0};
  settling all = {.n = 0};
  cli_exit answer = CLI_DONE;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = gather(ledger, n, words, &all, &error);
  if (status == BT_OK) {
    add_effect(&all, keep, &effect);
    answer = cli_confirm_effect(cli, &effect);
  }
  if (status == BT_OK && answer == CLI_DONE)
    status = bt_ledger_settle(ledger, all.ids, all.n, keep, by, why, cli->now, &error);
  if (status == BT_OK && answer == CLI_DONE && !cli->quiet && n == 1 && all.n == 1)
    cli_tell("%s: settled, %s\n", words[0], done[keep]);
  else if (status == BT_OK && answer == CLI_DONE && !cli->quiet)
    cli_tell("%zu conflict%s settled, of each: %s\n", all.n, all.n == 1 ? "" : "s", done[keep]);
  bt_text_free(&effect);
  bt_conflicts_free(all.list, all.list_n);
  free(all.ids);
  free(all.taken);
  bt_ledger_close(ledger);
  return status == BT_OK ? answer : cli_error(&error);
}
