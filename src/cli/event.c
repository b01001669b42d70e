/* event: something done to a laser, typed in by a person. */
#include "cli.h"
#include "help.h"

#include <stdio.h>

cli_exit cli_event(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *at = NULL, *by = NULL, *note = NULL;
  bool new_unit = false;
  const cli_option table[] = {
      {"unit", &unit, NULL, 0},
      {"at", &at, NULL, 0},
      {"by", &by, NULL, 0},
      {"note", &note, NULL, 0},
      {"new-unit", NULL, &new_unit, 0},
  };
  int first;
  bt_event event = {0};
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_event);
  if (!cli_needs(cli, "unit", unit) || !cli_needs(cli, "at", at) || !cli_needs(cli, "by", by) ||
      !cli_moment("at", at, &event.time, &event.has_clock))
    return CLI_USAGE;
  if (argc - first != 1 || !bt_event_kind_of(argv[first], &event.kind)) {
    const char *keys[BT_EVENT_COUNT];
    for (int k = 0; k < BT_EVENT_COUNT; k++)
      keys[k] = bt_event_key((bt_event_kind)k);
    const char *nearest = argc - first == 1 ? cli_nearest(argv[first], keys, BT_EVENT_COUNT) : "";
    if (*nearest != '\0')
      cli_say("there is no kind of event \"%s\"; did you mean \"%s\"?", argv[first], nearest);
    else
      cli_say("event needs one kind: gas_refill, gas_bottle, optics_cleaned, service, "
              "recalibration, moved, meter_changed or other");
    return CLI_USAGE;
  }
  if (event.time >= (bt_day_of(cli->now) + 2) * BT_DAY) {
    cli_say("--at is %s, which is later than tomorrow; an event is noted once it happened", at);
    return CLI_USAGE;
  }
  event.unit = unit;
  event.note = note;

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bool known = false;
  bt_status status = cli_open(cli, new_unit ? BT_LEDGER_CREATE : BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_add_event(ledger, &event, new_unit, by, cli->now, &known, &error);
  bt_ledger_close(ledger);
  if (status != BT_OK)
    return cli_error(&error);
  if (!cli->quiet)
    (void)printf("%s: %s %s\n", unit, bt_event_words(event.kind),
                 known ? "is in the ledger already; nothing added" : "noted");
  return CLI_DONE;
}
