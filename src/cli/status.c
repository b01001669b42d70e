/* status: the daily screen. */
#include "cli.h"
#include "help.h"

#include "beamtally/report.h"

/* Of so many lasers drift is looked for whether a chart signals or not. */
enum { FEW_UNITS = 4 };

static bool signals(const bt_unit_study *study) {
  for (size_t i = 0; i < study->studies_n; i++)
    if (bt_study_open_strength(study->studies[i]) != BT_QUIET)
      return true;
  return false;
}

static bt_status one_unit(const cli_context *cli, bt_ledger *ledger,
                          const bt_study_request *request, bool few, bt_text *screen, bool *look,
                          bt_error *error) {
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, request, &study, error);
  /* In a fleet drift is looked for where a chart signals: its screen has to be quick. */
  bt_drift_request drift = {0};
  if (status == BT_OK && (few || signals(study)))
    status = bt_study_drift(ledger, &drift, study, error);
  if (status == BT_OK) {
    *look = *look || cli_wants_a_look(study);
    status = bt_report_status(study, cli->colour, screen, error);
  }
  bt_unit_study_free(study);
  return status;
}

cli_exit cli_status(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *until_text = NULL;
  const cli_option table[] = {{"unit", &unit, NULL, 0}, {"until", &until_text, NULL, 0}};
  int first;
  bt_time until = (bt_day_of(cli->now) + 1) * BT_DAY;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_status);
  if (first != argc) {
    cli_say("status takes no further words; a unit is named by --unit");
    return CLI_USAGE;
  }
  if (until_text != NULL && !cli_end("until", until_text, &until))
    return CLI_USAGE;

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text screen = {0};
  char **names = NULL;
  size_t n = 0;
  bool look = false;
  bt_solved_limits solved = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = cli_units(ledger, unit, &names, &n, &error);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  cli_progress progress = cli_progress_begin(cli, "lasers");
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    cli_progress_show(&progress, i, n);
    size_t before = screen.length;
    if (before > 0)
      bt_text_add(&screen, "\n");
    bt_study_request request = {.unit = names[i], .until = until, .solved = &solved};
    if (one_unit(cli, ledger, &request, n <= FEW_UNITS, &screen, &look, &error) != BT_OK) {
      /* The other units' screens are wanted all the same. */
      cli_progress_clear(&progress);
      bt_error_prefix(&error, "%s", names[i]);
      (void)cli_error(&error);
      result = CLI_FAILED;
    }
  }
  cli_progress_clear(&progress);
  if (!bt_text_ok(&screen)) {
    status = bt_fail_memory(&error);
    result = cli_error(&error);
  } else if (cli_print(bt_text_get(&screen)) != CLI_DONE) {
    result = CLI_FAILED;
  }
  if (result == CLI_DONE && cli->strict && look)
    result = CLI_ATTENTION;
  bt_solved_limits_free(&solved);
  bt_text_free(&screen);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return result;
}
