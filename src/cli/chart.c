/* chart: one page with the chart of one characteristic, or a PDF with a page for each of several.
 */
#include "pages.h"

#include "help.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct chart_options {
  const char *unit, *of, *from, *to, *series, *output, *paper;
} chart_options;

/* The characteristics asked for, in that order. */
typedef struct wanted_charts {
  bt_characteristic *of;
  size_t n, room;
} wanted_charts;

static bool format_of(const char *path, bt_format *format) {
  const char *ending = path == NULL ? NULL : strrchr(path, '.');
  if (ending != NULL && strcmp(ending, ".png") == 0)
    *format = BT_FORMAT_PNG;
  else if (ending != NULL && strcmp(ending, ".pdf") == 0)
    *format = BT_FORMAT_PDF;
  else if (ending != NULL && strcmp(ending, ".svg") == 0)
    *format = BT_FORMAT_SVG;
  else {
    cli_say("chart needs -o FILE with the ending .png, .pdf or .svg");
    return false;
  }
  return true;
}

/* Where nobody said what to show: the last day with a check, and six months before it, or since the
 * month in which the log began. Days that have not come, and months before the log began, would be
 * empty and press the rest together. */
static void settle_span(const bt_unit_study *study, bt_time today_ends,
                        const chart_options *options, bt_report_request *page) {
  if (options->to == NULL && study->has_check)
    page->to = (bt_day_of(study->last_check) + 1) * BT_DAY;
  if (page->to > today_ends)
    page->to = today_ends;
  bt_time began = study->has_check ? bt_month_start(study->first_check, 0) : page->from;
  if (options->from == NULL)
    page->from = pages_from(study, page->to);
  else if (page->from < began)
    page->from = began;
}

/* The charts of one unit. */
typedef struct drawn_charts {
  const bt_unit_study *unit;
  const bt_study *const *of;
  size_t n;
} drawn_charts;

static bt_status compose(const void *of, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  const drawn_charts *charts = of;
  return bt_report_charts(charts->unit, charts->of, charts->n, request, measure, document, error);
}

static bt_status draw_charts(const drawn_charts *charts, const bt_report_request *page,
                             bt_format format, const char *path, bt_error *error) {
  bt_draw *draw = NULL;
  bt_document document = {0};
  bt_status status = pages_open_draw(&charts->unit->settings, &draw, error);
  if (status == BT_OK)
    status = pages_compose(draw, page, compose, charts, &document, error);
  if (status == BT_OK)
    status = bt_draw_file(draw, &document, format, path, error);
  if (status == BT_OK)
    pages_say_missing(draw);
  bt_document_free(&document);
  bt_draw_close(draw);
  return status;
}

/* "energy_ratio,tracker_x". */
static bt_status read_wanted(bt_ledger *ledger, const char *list, wanted_charts *wanted,
                             bt_error *error) {
  bt_status status = BT_OK;
  for (const char *at = list, *end; status == BT_OK && at != NULL; at = end) {
    size_t length = strcspn(at, ",");
    char *key = strndup(at, length);
    end = at[length] == ',' ? at + length + 1 : NULL;
    if (key == NULL || !bt_grow(&wanted->of, &wanted->room, wanted->n + 1, sizeof *wanted->of))
      status = bt_fail_memory(error);
    else
      status = cli_characteristic(ledger, key, &wanted->of[wanted->n++], error);
    free(key);
  }
  return status;
}

/* One characteristic; T² with the others of its unit, whose x and y are plotted beside it. */
static bt_status study_for_chart(bt_ledger *ledger, bt_study_request *request,
                                 bt_unit_study **study, bt_error *error) {
  bt_status status = bt_study_unit(ledger, request, study, error);
  if (status != BT_OK || !request->only_one || request->characteristic != BT_TRACKER_VECTOR)
    return status;
  bt_unit_study_free(*study);
  *study = NULL;
  request->only_one = false;
  return bt_study_unit(ledger, request, study, error);
}

/* Their charts, in a span that has been settled. */
static bt_status make_pages(const bt_unit_study *study, const wanted_charts *wanted,
                            const bt_report_request *page, bt_format format, const char *path,
                            bt_error *error) {
  if (page->from >= page->to)
    return bt_fail(error, BT_USAGE, "--from is after --to, or after the last check");
  const bt_study **of = bt_new(wanted->n, sizeof(bt_study *));
  bt_status status = of == NULL ? bt_fail_memory(error) : BT_OK;
  for (size_t i = 0; i < wanted->n && status == BT_OK; i++) {
    of[i] = bt_unit_study_of(study, wanted->of[i]);
    if (of[i] == NULL)
      status =
          bt_fail(error, BT_NOTFOUND, "the log of \"%s\" has no %s; leave it out",
                  study->history.unit, bt_settings_quantity(&study->settings, wanted->of[i]).key);
  }
  if (status == BT_OK)
    status = draw_charts(&(drawn_charts){study, of, wanted->n}, page, format, path, error);
  free(of);
  return status;
}

static cli_exit make_chart(const cli_context *cli, const chart_options *options,
                           bt_study_request *request, bt_report_request *page, bt_format format) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char *unit = NULL;
  bt_unit_study *study = NULL;
  wanted_charts wanted = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_find_unit(ledger, options->unit, &unit, &error);
  request->unit = unit;
  if (status == BT_OK)
    status = read_wanted(ledger, options->of, &wanted, &error);
  if (status == BT_OK && wanted.n > 1 && format != BT_FORMAT_PDF)
    status = bt_fail(&error, BT_USAGE, "several charts need several pages: give -o FILE.pdf");
  if (status == BT_OK) {
    request->characteristic = wanted.of[0];
    request->only_one = wanted.n == 1;
  }
  if (status == BT_OK)
    status = study_for_chart(ledger, request, &study, &error);
  if (status == BT_OK)
    status = pages_created(cli, ledger, &page->created, &error);
  if (status == BT_OK)
    status = cli_check_span(study, page->to, &error);
  if (status == BT_OK) {
    settle_span(study, request->until, options, page);
    page->month = page->to - 1;
    status = pages_may_replace(ledger, options->output, format, &error);
  }
  if (status == BT_OK)
    status = make_pages(study, &wanted, page, format, options->output, &error);
  if (status == BT_OK && !cli->quiet)
    cli_tell("%s\n", options->output);
  bt_unit_study_free(study);
  free(wanted.of);
  free(unit);
  bt_ledger_close(ledger);
  return status == BT_OK ? CLI_DONE : cli_error(&error);
}

cli_exit cli_chart(cli_context *cli, int argc, char **argv) {
  chart_options options = {.paper = "a4", .series = "adjusted"};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},     {"characteristic", &options.of, NULL, 0},
      {"from", &options.from, NULL, 0},     {"to", &options.to, NULL, 0},
      {"series", &options.series, NULL, 0}, {"output", &options.output, NULL, 'o'},
      {"paper", &options.paper, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_chart);
  bt_time today_ends = cli_today_ends(cli);
  bt_study_request request = {.until = today_ends};
  bt_report_request page = {.to = today_ends};
  bt_format format;
  if (!cli_needs(cli, "unit", options.unit) || !cli_needs(cli, "characteristic", options.of) ||
      !format_of(options.output, &format) || !pages_paper(options.paper, &page.paper) ||
      (options.from != NULL && !cli_day("from", options.from, &page.from)) ||
      (options.to != NULL && !cli_end("to", options.to, &page.to)))
    return CLI_USAGE;
  bool raw = strcmp(options.series, "raw") == 0;
  if (first != argc || (!raw && strcmp(options.series, "adjusted") != 0)) {
    cli_say(first != argc ? "chart takes no further words; see `beamtally chart --help`"
                          : "--series is raw or adjusted");
    return CLI_USAGE;
  }
  request.series = raw ? BT_SERIES_RAW : BT_SERIES_PRIMARY;
  return make_chart(cli, &options, &request, &page, format);
}
