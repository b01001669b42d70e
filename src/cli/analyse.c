/* analyse: limits, rules and signals of one characteristic. */
#include "cli.h"
#include "help.h"

#include "beamtally/emit.h"
#include "beamtally/report.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct analyse_options {
  const char *unit, *of, *from, *to, *until, *series, *baseline, *centre, *sigma, *session, *format;
} analyse_options;

/* What an instrument reads is far within these; distances in sigma and limits stay finite. */
static const double farthest = 1e100;

/* "2026-01-08..2026-04-30" */
static bool read_baseline(const char *text, bt_study_request *request) {
  char from[16] = "", to[16] = "";
  const char *dots = strstr(text, "..");
  if (dots != NULL && dots - text < 16 && strlen(dots + 2) < 16) {
    memcpy(from, text, (size_t)(dots - text));
    memcpy(to, dots + 2, strlen(dots + 2));
  }
  request->has_baseline = true;
  if (bt_time_parse(from, &request->baseline_from, NULL) &&
      bt_time_parse(to, &request->baseline_to, NULL) &&
      request->baseline_from <= request->baseline_to)
    return true;
  cli_say("--baseline is \"%s\"; it is a first and last day like 2026-01-08..2026-04-30", text);
  return false;
}

static bool read_request(const cli_context *cli, const analyse_options *options,
                         bt_study_request *request, bt_time *from, bt_time *to) {
  if (!cli_needs(cli, "unit", options->unit) || !cli_needs(cli, "characteristic", options->of))
    return false;
  if ((options->from != NULL && !cli_day("from", options->from, from)) ||
      (options->to != NULL && !cli_end("to", options->to, to)) ||
      (options->until != NULL && !cli_end("until", options->until, &request->until)) ||
      (options->baseline != NULL && !read_baseline(options->baseline, request)))
    return false;
  request->has_centre = options->centre != NULL;
  request->has_sigma = options->sigma != NULL;
  if ((request->has_centre && !cli_number("centre", options->centre, &request->centre)) ||
      (request->has_sigma && !cli_number("sigma", options->sigma, &request->sigma)))
    return false;
  if (request->has_sigma && request->sigma <= 0) {
    cli_say("--sigma is %s; it must be above zero", options->sigma);
    return false;
  }
  if (request->has_sigma && !(request->sigma >= 1 / farthest && request->sigma <= farthest)) {
    cli_say("--sigma is %s; no readings scatter so: it is from %g to %g, in the characteristic's "
            "unit",
            options->sigma, 1 / farthest, farthest);
    return false;
  }
  if (request->has_centre && !(fabs(request->centre) <= farthest)) {
    cli_say("--centre is %s; no reading lies there: it is from %g to %g", options->centre,
            -farthest, farthest);
    return false;
  }
  if (*from >= *to || *from >= request->until) {
    cli_say("there is nothing to show: --from is after the last day asked for");
    return false;
  }
  if (options->series != NULL && strcmp(options->series, "raw") == 0)
    request->series = BT_SERIES_RAW;
  else if (options->series != NULL && strcmp(options->series, "adjusted") != 0) {
    cli_say("--series is \"%s\"; it is raw or adjusted", options->series);
    return false;
  }
  request->every = options->session != NULL && strcmp(options->session, "every") == 0;
  if (options->session != NULL && !request->every && strcmp(options->session, "day") != 0) {
    cli_say("--session is \"%s\"; it is day (one point a day) or every (each check)",
            options->session);
    return false;
  }
  return true;
}

static bt_status print_text(const bt_unit_study *study, bt_time from, bt_time to, bt_error *error) {
  bt_text text = {0};
  bt_status status = bt_report_analysis(study, study->studies[0], from, to, &text, error);
  if (status == BT_OK && !bt_text_ok(&text))
    status = bt_fail_memory(error);
  if (status == BT_OK && !cli_put_seen(bt_text_get(&text), stdout))
    status = bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
  bt_text_free(&text);
  return status;
}

static bt_status print(const bt_unit_study *study, const char *format, bt_time from, bt_time to,
                       bt_error *error) {
  if (strcmp(format, "json") == 0)
    return bt_emit_analysis_json(study, study->studies[0], from, to, stdout, error);
  if (strcmp(format, "csv") == 0)
    return bt_emit_analysis_csv(study->studies[0], from, to, stdout, error);
  return print_text(study, from, to, error);
}

cli_exit cli_analyse(cli_context *cli, int argc, char **argv) {
  analyse_options options = {.format = "text"};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},         {"characteristic", &options.of, NULL, 0},
      {"from", &options.from, NULL, 0},         {"to", &options.to, NULL, 0},
      {"until", &options.until, NULL, 0},       {"series", &options.series, NULL, 0},
      {"baseline", &options.baseline, NULL, 0}, {"centre", &options.centre, NULL, 0},
      {"sigma", &options.sigma, NULL, 0},       {"session", &options.session, NULL, 0},
      {"format", &options.format, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_analyse);
  const char *format = options.format;
  if (first != argc ||
      (strcmp(format, "text") != 0 && strcmp(format, "json") != 0 && strcmp(format, "csv") != 0)) {
    cli_say(first != argc ? "analyse takes no further words; see `beamtally analyse --help`"
                          : "--format is text, json or csv");
    return CLI_USAGE;
  }
  bt_study_request request = {.until = cli_today_ends(cli), .only_one = true};
  bt_time from = INT64_MIN, to = INT64_MAX;
  if (!read_request(cli, &options, &request, &from, &to))
    return CLI_USAGE;

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char *unit = NULL;
  bt_unit_study *study = NULL;
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_find_unit(ledger, options.unit, &unit, &error);
  request.unit = unit;
  if (status == BT_OK)
    status = cli_characteristic(ledger, options.of, &request.characteristic, &error);
  if (status == BT_OK)
    status = bt_study_unit(ledger, &request, &study, &error);
  if (status == BT_OK)
    status = cli_check_span(study, to, &error);
  if (status == BT_OK)
    status = print(study, format, from, to, &error);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (result == CLI_DONE && cli->strict && cli_wants_a_look(study))
    result = CLI_ATTENTION;
  bt_unit_study_free(study);
  free(unit);
  bt_ledger_close(ledger);
  return result;
}
