/* conflicts: rows that were held back because the ledger has other readings of that unit and time;
 * and settling one. */
#include "cli.h"
#include "help.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { LINE = 80, INDENT = 11 };

typedef struct conflict_options {
  const char *unit, *keep, *by, *why;
  bool all, refused;
} conflict_options;

/* "  stands   energy_mj 1.61, pattern pass", continued under its first word. */
static void add_wrapped(bt_text *out, const char *label, const char *words) {
  bt_text plain = {0};
  size_t used = INDENT;
  (void)cli_plain(&plain, words, SIZE_MAX);
  bt_text_format(out, "  %-*s", INDENT - 2, label);
  for (const char *at = bt_text_get(&plain); *at != '\0'; at += strspn(at, " ")) {
    size_t bytes = strcspn(at, " ");
    if (used > INDENT && used + 1 + bytes > LINE) {
      bt_text_format(out, "\n%*s", INDENT, "");
      used = INDENT;
    }
    bt_text_add(out, used > INDENT ? " " : "");
    bt_text_add_bytes(out, at, bytes);
    used += bytes + 1;
    at += bytes;
  }
  bt_text_add(out, "\n");
  out->failed = out->failed || !bt_text_ok(&plain);
  bt_text_free(&plain);
}

static const char nothing[] = "(nothing: withdrawn, moved or read again since)";
static const char nothing_else[] = "(nothing else than stands)";

static const char *or_words(const char *words, const char *else_words) {
  return words[0] == '\0' ? else_words : words;
}

static void add_conflict(const bt_conflict *conflict, bt_text *out) {
  bt_text words = {0};
  bt_text_format(out, "%s  ", conflict->id);
  cli_describe_place(out, conflict->unit, conflict->time, conflict->has_clock);
  bt_text_add(out, ", from ");
  (void)cli_plain(out, conflict->source, LINE);
  if (conflict->held_n > 1)
    bt_text_format(out, ", %lld rows", (long long)conflict->held_n);
  bt_text_add(out, "\n");
  bool same = conflict->stored[0] == '\0' && conflict->held[0] == '\0';
  add_wrapped(out, "stands", or_words(conflict->stored, same ? "(the same by now)" : nothing));
  add_wrapped(out, "came", or_words(conflict->held, same ? "(the same as stands)" : nothing_else));
  if (conflict->settled) {
    char at[BT_TIME_TEXT];
    bt_text_format(&words,
                   conflict->replaced ? "replaced, its file was read again%s, by %s, %s: %s"
                                      : "%s kept, by %s, %s: %s",
                   conflict->replaced ? "" : bt_keep_word(conflict->kept), conflict->by,
                   bt_time_day_iso(conflict->settled_at, at), conflict->why);
    add_wrapped(out, "settled", bt_text_get(&words));
  }
  bt_text_add(out, "\n");
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

static const char how[] =
    "To settle one:  beamtally conflicts ID --keep old|new|both --by NAME --why REASON\n"
    "  old   what stands goes on standing\n"
    "  new   the rows that came take its place; it is kept, superseded\n"
    "  both  rows that came and that it lacks are added to it\n";

static void add_all(const bt_conflict *conflicts, size_t n, bool all, bt_text *out) {
  size_t unsettled = 0;
  for (size_t i = 0; i < n; i++)
    unsettled += !conflicts[i].settled;
  if (unsettled == 0)
    bt_text_add(out, "No conflict waits to be settled.\n");
  else
    bt_text_format(out, "%zu conflict%s to be settled.\n", unsettled,
                   unsettled == 1 ? " is" : "s are");
  if (unsettled > 0 || (all && n > 0))
    bt_text_add(out, "\n");
  for (size_t i = 0; i < n; i++)
    if (all || !conflicts[i].settled)
      add_conflict(&conflicts[i], out);
  if (unsettled > 0)
    bt_text_add(out, how);
}

static cli_exit list(const cli_context *cli, const conflict_options *options) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_conflict *conflicts = NULL;
  size_t n = 0;
  char *unit = NULL;
  bt_text out = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK && options->unit != NULL)
    status = bt_ledger_find_unit(ledger, options->unit, &unit, &error);
  if (status == BT_OK)
    status = bt_ledger_conflicts(ledger, unit, &conflicts, &n, &error);
  if (status == BT_OK)
    add_all(conflicts, n, options->all, &out);
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  for (size_t i = 0; i < n && cli->strict && result == CLI_DONE; i++)
    if (!conflicts[i].settled)
      result = CLI_ATTENTION;
  bt_text_free(&out);
  bt_conflicts_free(conflicts, n);
  free(unit);
  bt_ledger_close(ledger);
  return result;
}

/* ---- Refused lines ----------------------------------------------------------------------------
 */

/* Columns of the table, as it names them. */
enum { R_FILE, R_LINE, R_COLUMN, R_REASON, R_STANDS, R_SERIOUS, R_COLUMNS };

typedef struct refused_list {
  size_t at[R_COLUMNS];
  bool all;
  size_t n, serious_n;
  bt_text serious, others; /* lines with a failed self-test or a remark come first */
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
                 serious ? "; the line holds a failed self-test or a remark" : "");
  (void)cli_plain(out, bt_text_get(&line), SIZE_MAX);
  bt_text_add(out, "\n");
  add_wrapped(out, "", bt_text_get(&words));
  out->failed = out->failed || line.failed || words.failed;
  bt_text_free(&line);
  bt_text_free(&words);
  return out->failed ? bt_fail_memory(error) : BT_OK;
}

static cli_exit list_refused(const cli_context *cli, bool all) {
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
    bt_text_format(&out, "%zu of them hold%s a failed self-test or a remark, and stand%s first.\n",
                   list.serious_n, list.serious_n == 1 ? "s" : "", list.serious_n == 1 ? "s" : "");
  if (list.n > 0)
    bt_text_format(&out, "\n%s%s", bt_text_get(&list.serious), bt_text_get(&list.others));
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  bt_text_free(&list.serious);
  bt_text_free(&list.others);
  bt_text_free(&out);
  return result == CLI_DONE && cli->strict && list.n > 0 ? CLI_ATTENTION : result;
}

/* Where one open conflict has those digits: what it says, and what becomes of it. */
static bt_status add_settling(bt_ledger *ledger, const char *id, bt_keep keep, bt_text *effect,
                              bt_error *error) {
  static const char *const will[] = {
      [BT_KEEP_OLD] = "What stands goes on standing; the rows that came are not taken.\n",
      [BT_KEEP_NEW] = "The rows that came take the place of what stands, which is superseded.\n",
      [BT_KEEP_BOTH] = "The rows that came are added to what stands; all of them count.\n"};
  bt_conflict *conflicts = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_conflicts(ledger, NULL, &conflicts, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (!conflicts[i].settled && strncasecmp(conflicts[i].id, id, strlen(id)) == 0)
      add_conflict(&conflicts[i], effect);
  bt_text_add(effect, will[keep]);
  bt_conflicts_free(conflicts, n);
  return status;
}

static cli_exit settle(const cli_context *cli, const char *id, bt_keep keep, const char *by,
                       const char *why) {
  static const char *const done[] = {[BT_KEEP_OLD] = "what stands goes on standing",
                                     [BT_KEEP_NEW] = "the rows that came took its place",
                                     [BT_KEEP_BOTH] = "the rows that came were added to it"};
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text effect = {0};
  cli_exit answer = CLI_DONE;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = add_settling(ledger, id, keep, &effect, &error);
  if (status == BT_OK)
    answer = cli_confirm_effect(cli, &effect);
  if (status == BT_OK && answer == CLI_DONE)
    status = bt_ledger_settle(ledger, id, keep, by, why, cli->now, &error);
  bt_text_free(&effect);
  bt_ledger_close(ledger);
  if (status != BT_OK)
    return cli_error(&error);
  if (answer != CLI_DONE)
    return answer;
  if (!cli->quiet)
    (void)printf("%s: settled, %s\n", id, done[keep]);
  return CLI_DONE;
}

static bool read_keep(const char *text, bt_keep *keep) {
  for (int k = BT_KEEP_OLD; k <= BT_KEEP_BOTH; k++)
    if (strcmp(text, bt_keep_word((bt_keep)k)) == 0) {
      *keep = (bt_keep)k;
      return true;
    }
  cli_say("--keep is \"%s\"; it is old, new or both", text);
  return false;
}

static bool is_id(const char *text) {
  size_t digits = strspn(text, "0123456789abcdefABCDEF");
  if (digits > 0 && digits <= BT_ID_DIGITS && text[digits] == '\0')
    return true;
  cli_say("\"%s\" is no conflict's ID: that is up to %d hex digits, as `beamtally conflicts` lists "
          "them",
          text, BT_ID_DIGITS);
  return false;
}

cli_exit cli_conflicts(cli_context *cli, int argc, char **argv) {
  conflict_options options = {0};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0}, {"keep", &options.keep, NULL, 0},
      {"by", &options.by, NULL, 0},     {"why", &options.why, NULL, 0},
      {"all", NULL, &options.all, 0},   {"refused", NULL, &options.refused, 0},
  };
  int first;
  bt_keep keep = BT_KEEP_OLD;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_conflicts);
  if (argc - first > 1) {
    cli_say("conflicts settles one ID at a time; see `beamtally conflicts --help`");
    return CLI_USAGE;
  }
  if (first == argc && options.keep == NULL && options.refused)
    return list_refused(cli, options.all);
  if (first == argc && options.keep == NULL)
    return list(cli, &options);
  if (first == argc) {
    cli_say("--keep needs the ID of a conflict; `beamtally conflicts` lists them");
    return CLI_USAGE;
  }
  if (!is_id(argv[first]) || !cli_needs(cli, "keep", options.keep) ||
      !read_keep(options.keep, &keep) || !cli_needs(cli, "by", options.by) ||
      !cli_needs(cli, "why", options.why))
    return CLI_USAGE;
  return settle(cli, argv[first], keep, options.by, options.why);
}
