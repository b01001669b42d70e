/* baseline: freezes the period that centre and limits come from. */
#include "cli.h"
#include "help.h"

#include <stdio.h>
#include <stdlib.h>

static bt_status freeze(const cli_context *cli, bt_ledger *ledger, const char *name,
                        bt_baseline *baseline, const char *by, const char *why, bt_error *error) {
  char *unit = NULL;
  int64_t version = 0;
  bt_proposal proposal = {0};
  bt_characteristic characteristic = baseline->characteristic;
  bt_status status = bt_ledger_find_unit(ledger, name, &unit, error);
  if (status == BT_OK)
    status = bt_study_baseline(ledger, unit, characteristic, baseline->from, baseline->to,
                               baseline->screen, false, &proposal, error);
  if (status == BT_OK) {
    *baseline = proposal.baseline;
    proposal.baseline = (bt_baseline){0};
    baseline->by = bt_copy(by);
    baseline->why = bt_copy(why);
    status = baseline->by == NULL || baseline->why == NULL
                 ? bt_fail_memory(error)
                 : bt_ledger_add_baseline(ledger, unit, baseline, proposal.exclusions,
                                          proposal.exclusions_n, cli->now, &version, error);
  }
  if (status == BT_OK && !cli->quiet)
    (void)printf("%s, %s: baseline %lld frozen, %lld points, centre %.6g, sigma %.4g%s\n", unit,
                 bt_characteristic_key(characteristic), (long long)version, (long long)baseline->n,
                 baseline->centre, baseline->sigma,
                 baseline->adjusted ? ", moved to the mean fill age" : "");
  bt_proposal_free(&proposal);
  free(unit);
  return status;
}

cli_exit cli_baseline(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *of = NULL, *from = NULL, *to = NULL, *by = NULL, *why = NULL;
  bt_baseline baseline = {0};
  const cli_option table[] = {
      {"unit", &unit, NULL, 0},
      {"characteristic", &of, NULL, 0},
      {"from", &from, NULL, 0},
      {"to", &to, NULL, 0},
      {"by", &by, NULL, 0},
      {"why", &why, NULL, 0},
      {"screen", NULL, &baseline.screen, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_baseline);
  if (!cli_needs(cli, "unit", unit) || !cli_needs(cli, "characteristic", of) ||
      !cli_needs(cli, "from", from) || !cli_needs(cli, "to", to) || !cli_needs(cli, "by", by) ||
      !cli_needs(cli, "why", why) || !cli_characteristic(of, &baseline.characteristic) ||
      !cli_day("from", from, &baseline.from) || !cli_day("to", to, &baseline.to))
    return CLI_USAGE;
  if (first != argc || baseline.to < baseline.from) {
    cli_say(first != argc ? "baseline takes no further words; see `beamtally baseline --help`"
                          : "--to is before --from");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = freeze(cli, ledger, unit, &baseline, by, why, &error);
  bt_baseline_free(&baseline);
  bt_ledger_close(ledger);
  return status == BT_OK ? CLI_DONE : cli_error(&error);
}
