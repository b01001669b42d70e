/* conflicts: rows that were held back because the ledger has other readings of that unit and time.
 */
#include "conflicts.h"
#include "help.h"

#include <stdlib.h>
#include <string.h>

typedef struct conflict_options {
  const char *unit, *keep, *by, *why;
  bool all, refused, leave_out;
} conflict_options;

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
      conflicts_add(&conflicts[i], out);
  if (unsettled == 0)
    return;
  bt_text_add(out, "To settle them:  beamtally conflicts ID... --keep old|new|both --by NAME --why "
                   "REASON\n(ID-ID: from the one to the other, as listed)\n");
  for (int keep = BT_KEEP_OLD; keep <= BT_KEEP_BOTH; keep++)
    conflicts_add_keep((bt_keep)keep, out);
}

static cli_exit list(const cli_context *cli, const conflict_options *options) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_conflict *conflicts = NULL;
  size_t n = 0;
  char *unit = NULL;
  bt_text out = {0};
  bt_status status = cli_open_whole(
      cli, &ledger, "no conflicts are listed from a ledger that is not whole", &error);
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

static bool read_keep(const char *text, bt_keep *keep) {
  for (int k = BT_KEEP_OLD; k <= BT_KEEP_BOTH; k++)
    if (strcmp(text, bt_keep_word((bt_keep)k)) == 0) {
      *keep = (bt_keep)k;
      return true;
    }
  cli_say("--keep is \"%s\"; it is old, new or both", text);
  return false;
}

/* --refused: listing, or leaving out those that are named. */
static cli_exit refused(const cli_context *cli, const conflict_options *options, int n,
                        char **words) {
  if (options->keep != NULL || options->unit != NULL)
    cli_say("--refused goes without --keep and --unit: a refused line is of no laser yet");
  else if (n == 0 && !options->leave_out)
    return conflicts_list_refused(cli, options->all);
  else if (n == 0)
    cli_say("--leave-out needs FILE:LINE; `beamtally conflicts --refused` lists them");
  else if (!options->leave_out)
    cli_say("to leave out refused lines by decision, say --leave-out as well; `beamtally conflicts "
            "--refused` without further words lists them");
  else if (cli_needs(cli, "by", options->by) && cli_needs(cli, "why", options->why))
    return conflicts_leave_out(cli, n, words, options->by, options->why);
  return CLI_USAGE;
}

cli_exit cli_conflicts(cli_context *cli, int argc, char **argv) {
  conflict_options options = {0};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},
      {"keep", &options.keep, NULL, 0},
      {"by", &options.by, NULL, 0},
      {"why", &options.why, NULL, 0},
      {"all", NULL, &options.all, 0},
      {"refused", NULL, &options.refused, 0},
      {"leave-out", NULL, &options.leave_out, 0},
  };
  int first;
  bt_keep keep = BT_KEEP_OLD;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_conflicts);
  if (options.refused)
    return refused(cli, &options, argc - first, argv + first);
  if (options.leave_out) {
    cli_say("--leave-out is for refused lines: conflicts --refused FILE:LINE --leave-out");
    return CLI_USAGE;
  }
  if (first == argc && options.keep == NULL)
    return list(cli, &options);
  if (first == argc) {
    cli_say("--keep needs the ID of a conflict; `beamtally conflicts` lists them");
    return CLI_USAGE;
  }
  if (!conflicts_are_named(argc - first, argv + first) || !cli_needs(cli, "keep", options.keep) ||
      !read_keep(options.keep, &keep) || !cli_needs(cli, "by", options.by) ||
      !cli_needs(cli, "why", options.why))
    return CLI_USAGE;
  return conflicts_settle(cli, argc - first, argv + first, keep, options.by, options.why);
}
