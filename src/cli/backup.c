/* backup: a verified copy of the ledger under a name of its own. */
#include "cli.h"
#include "help.h"
#include "new_file.h"

#include <stdio.h>
#include <string.h>

static bt_status back_up(const cli_context *cli, bt_ledger *ledger, const char *path,
                         bt_verification *found, bt_error *error) {
  cli_new_file file;
  /* To SQLite such a name is an address: it would be refused as a ledger. */
  if (path[0] == ':' || strncmp(path, "file:", 5) == 0)
    return bt_fail(error, BT_USAGE,
                   "\"%s\" can't be the name of a ledger; give the backup another name", path);
  bt_status status = cli_new_file_open(&file, path, error);
  if (status != BT_OK)
    return status;
  status = bt_ledger_copy(ledger, file.temporary, found, error);
  if (status != BT_OK)
    bt_error_prefix(error, "%s was not made", path);
  if (status == BT_OK)
    status = cli_new_file_keep(&file, error);
  cli_new_file_close(&file);
  if (status == BT_OK && !cli->quiet)
    cli_tell("%s: %lld entr%s, %lld check%s, %lld event%s, verified\n", path,
             (long long)found->entries, found->entries == 1 ? "y" : "ies", (long long)found->checks,
             found->checks == 1 ? "" : "s", (long long)found->events,
             found->events == 1 ? "" : "s");
  return status;
}

cli_exit cli_backup(cli_context *cli, int argc, char **argv) {
  int first;
  if (!cli_options(cli, argc, argv, NULL, 0, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_backup);
  if (argc - first != 1 || argv[first][0] == '\0') {
    cli_say("backup needs one FILE to write to; see `beamtally backup --help`");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_verification found;
  bt_status status = cli_open_unheld(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = back_up(cli, ledger, argv[first], &found, &error);
  bt_ledger_close(ledger);
  return status == BT_OK ? CLI_DONE : cli_error(&error);
}
