/* drift: is it drifting, since when, gas or not, when will it matter, what the data support. */
#include "cli.h"
#include "help.h"

#include "beamtally/emit.h"
#include "beamtally/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct drift_options {
  const char *unit, *of, *until, *format;
  bool with_operator;
} drift_options;

static bt_status print(const bt_unit_study *study, const bt_drift *only, bool json,
                       bt_error *error) {
  if (json)
    return bt_emit_drift_json(study, only, stdout, error);
  bt_text text = {0};
  bt_status status = bt_report_drift(study, only, &text, error);
  if (status == BT_OK && !cli_put_seen(bt_text_get(&text), stdout))
    status = bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
  bt_text_free(&text);
  return status;
}

/* The drift of the characteristic asked for, or NULL for all. */
static bt_status choose(const bt_unit_study *study, const char *key,
                        bt_characteristic characteristic, const bt_drift **only, bt_error *error) {
  char last[BT_TIME_TEXT];
  *only = NULL;
  if (key == NULL)
    return BT_OK;
  *only = bt_unit_drift_of(study->drift, characteristic);
  if (*only != NULL)
    return BT_OK;
  if (bt_unit_study_of(study, characteristic) == NULL)
    return bt_fail(error, BT_NOTFOUND,
                   "the log of \"%s\" has no %s up to %s; see `beamtally status` for what there is",
                   study->history.unit, key, bt_time_day_iso(study->until - 1, last));
  return bt_fail(error, BT_USAGE,
                 "%s is not looked at for drift: %s; `beamtally drift --help` names those that are",
                 key,
                 characteristic == BT_TRACKER_RADIAL || characteristic == BT_TRACKER_VECTOR
                     ? "it follows from tracker_x and tracker_y, which are"
                     : "it is a condition of the room, or follows from what is looked at");
}

static bt_status run(const cli_context *cli, const drift_options *options,
                     bt_study_request *request, bt_unit_study **study, bt_error *error) {
  bt_ledger *ledger = NULL;
  char *unit = NULL;
  bt_characteristic characteristic = BT_CHARACTERISTIC_COUNT;
  const bt_drift *only = NULL;
  bt_drift_request drift = {.with_operator = options->with_operator,
                            .past_months = CLI_PAST_MONTHS};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, error);
  if (status == BT_OK)
    status = bt_ledger_find_unit(ledger, options->unit, &unit, error);
  request->unit = unit;
  if (status == BT_OK && options->of != NULL)
    status = cli_characteristic(ledger, options->of, &characteristic, error);
  if (status == BT_OK)
    status = bt_study_unit(ledger, request, study, error);
  if (status == BT_OK)
    status = bt_study_drift(ledger, &drift, *study, error);
  if (status == BT_OK)
    status = choose(*study, options->of, characteristic, &only, error);
  if (status == BT_OK)
    status = print(*study, only, strcmp(options->format, "json") == 0, error);
  free(unit);
  bt_ledger_close(ledger);
  return status;
}

cli_exit cli_drift(cli_context *cli, int argc, char **argv) {
  drift_options options = {.format = "text"};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},     {"characteristic", &options.of, NULL, 0},
      {"until", &options.until, NULL, 0},   {"with-operator", NULL, &options.with_operator, 0},
      {"format", &options.format, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_drift);
  if (!cli_needs(cli, "unit", options.unit))
    return CLI_USAGE;
  if (first != argc ||
      (strcmp(options.format, "text") != 0 && strcmp(options.format, "json") != 0)) {
    cli_say(first != argc ? "drift takes no further words; see `beamtally drift --help`"
                          : "--format is text or json");
    return CLI_USAGE;
  }
  bt_study_request request = {.until = cli_today_ends(cli)};
  if (options.until != NULL && !cli_end("until", options.until, &request.until))
    return CLI_USAGE;
  bt_error error = {0};
  bt_unit_study *study = NULL;
  cli_exit result =
      run(cli, &options, &request, &study, &error) == BT_OK ? CLI_DONE : cli_error(&error);
  if (result == CLI_DONE && cli->strict && cli_wants_a_look(study))
    result = CLI_ATTENTION;
  bt_unit_study_free(study);
  return result;
}
