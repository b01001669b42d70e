/* runlength: what rules and limits cost in control, and how soon they find a shift. */
#include "cli.h"
#include "help.h"

#include "beamtally/emit.h"
#include "beamtally/report.h"
#include "beamtally/spc.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_CHARTS = 3, RUNS = 10000, LEAST_RUNS = 100, MOST_TOGETHER = 100 };

/* Points that a simulation goes through in a second or two. */
#define POINTS_TOGETHER 2e7

/* Runs of the same question give the same answer. */
static const uint64_t seed = 193;

/* The charts that the other commands draw. */
static const double usual_k = 0.5, usual_h = 5, usual_lambda = 0.2, usual_limit = 2.962;

static const double shifts[] = {0.5, 1, 1.5, 2, 3};

/* Where nobody says how often checks are made: 20 a month. */
static const double usual_rate = 20;

typedef struct runlength_options {
  const char *rules, *k, *h, *headstart, *lambda, *limit, *shift, *arl, *rate, *format;
  const char *charts, *n, *budget;
  bool constant_limits;
} runlength_options;

/* What is asked for. */
typedef struct question {
  size_t n;
  bt_run_table table[MOST_CHARTS];
  double shift;    /* 0: those above */
  double arl;      /* 0: nothing to solve */
  double rate;     /* checks a month; 0: none given */
  size_t points;   /* of a baseline; 0: limits are taken as known */
  size_t together; /* charts that are used together; 0: not asked for */
  bool json;
} question;

/* The number of an option, or the usual one where it wasn't given. */
static bool number_or(const char *option, const char *text, double usual, double *number) {
  *number = usual;
  return text == NULL || cli_number(option, text, number);
}

static void refuse_rules(const char *text) {
  bt_text known = {0};
  bt_rule_keys(BT_ZONE_RULES, ", ", &known);
  cli_say("--rules is \"%s\"; the rules that an exact run length is known of are %s: give some of "
          "them, with commas between",
          text, bt_text_get(&known));
  bt_text_free(&known);
}

/* "WE1,WE3" */
static bool read_rules(const char *text, bt_rules *rules) {
  for (const char *at = text;; at++) {
    size_t length = strcspn(at, ",");
    bt_rules rule = bt_rule_named(at, length) & BT_ZONE_RULES;
    if (rule == 0) {
      refuse_rules(text);
      return false;
    }
    *rules |= rule;
    at += length;
    if (*at == '\0')
      return true;
  }
}

static bool read_charts(const runlength_options *options, question *asked) {
  bool cusum = options->k != NULL || options->h != NULL || options->headstart != NULL;
  bool ewma = options->lambda != NULL || options->limit != NULL || options->constant_limits;
  bool none = options->rules == NULL && !cusum && !ewma;
  if (options->rules != NULL || (none && options->arl == NULL)) {
    bt_run_chart *chart = &asked->table[asked->n++].chart;
    chart->method = BT_RUN_OF_RULES;
    if (options->rules == NULL)
      chart->rules = BT_ZONE_RULES;
    else if (!read_rules(options->rules, &chart->rules))
      return false;
  }
  if (cusum || none) {
    bt_run_chart *chart = &asked->table[asked->n++].chart;
    chart->method = BT_RUN_OF_CUSUM;
    if (!number_or("k", options->k, usual_k, &chart->k) ||
        !number_or("h", options->h, usual_h, &chart->h) ||
        !number_or("headstart", options->headstart, 0, &chart->headstart))
      return false;
  }
  if (ewma) {
    bt_run_chart *chart = &asked->table[asked->n++].chart;
    *chart = (bt_run_chart){.method = BT_RUN_OF_EWMA, .constant_limits = options->constant_limits};
    if (!number_or("lambda", options->lambda, usual_lambda, &chart->lambda) ||
        !number_or("limit", options->limit, usual_limit, &chart->limit))
      return false;
  }
  return true;
}

/* A whole number from `least` to `most`. */
static bool read_whole(const char *option, const char *text, size_t least, size_t most,
                       size_t *whole) {
  double number = 0;
  if (text == NULL)
    return true;
  if (!cli_number(option, text, &number))
    return false;
  if (number < (double)least || number > (double)most || number != (double)(size_t)number) {
    cli_say("--%s is %s; it is a whole number from %zu to %zu", option, text, least, most);
    return false;
  }
  *whole = (size_t)number;
  return true;
}

/* Zone rules and CUSUM are used together wherever both are asked for. */
static bool read_together(const runlength_options *options, question *asked) {
  bool rules = false, cusum = false;
  for (size_t i = 0; i < asked->n; i++) {
    rules = rules || asked->table[i].chart.method == BT_RUN_OF_RULES;
    cusum = cusum || asked->table[i].chart.method == BT_RUN_OF_CUSUM;
  }
  asked->together = rules && cusum ? 1 : 0;
  if (options->charts != NULL && !rules && !cusum) {
    cli_say("--charts is about zone rules and CUSUM; name some, or leave out --lambda and --limit");
    return false;
  }
  return read_whole("charts", options->charts, 1, MOST_TOGETHER, &asked->together);
}

static bool read_question(const runlength_options *options, question *asked) {
  if (!number_or("shift", options->shift, 0, &asked->shift) ||
      !number_or("arl", options->arl, 0, &asked->arl) ||
      !number_or("checks-per-month", options->rate, 0, &asked->rate))
    return false;
  if (options->arl != NULL && (options->h != NULL || options->limit != NULL)) {
    cli_say("--arl asks for %s to be found; leave out --%s, or --arl",
            options->h != NULL ? "h" : "the limit", options->h != NULL ? "h" : "limit");
    return false;
  }
  if (strcmp(options->format, "text") != 0 && strcmp(options->format, "json") != 0) {
    cli_say("--format is text or json");
    return false;
  }
  asked->json = strcmp(options->format, "json") == 0;
  return read_whole("n", options->n, 8, 100000, &asked->points) && read_charts(options, asked) &&
         read_together(options, asked);
}

static bt_status add_row(bt_run_table *table, double shift, bt_error *error) {
  return bt_run_length_find(&table->chart, shift, &table->row[table->n++], error);
}

/* Solves what is to be solved, and finds the rows: one in JSON, a table of them as text. */
static bt_status answer(const question *asked, const runlength_options *options,
                        bt_run_table *table, bt_error *error) {
  bt_status status = BT_OK;
  if (options->arl != NULL && (table->chart.method != BT_RUN_OF_RULES || asked->n == 1)) {
    status = bt_run_length_solve(&table->chart, asked->arl, error);
    table->wanted_arl = asked->arl;
  }
  if (status == BT_OK)
    status = add_row(table, 0, error);
  if (status == BT_OK && options->rate != NULL)
    status =
        bt_false_signals_find(&table->chart, table->row[0].arl, asked->rate, &table->rate, error);
  if (status == BT_OK && asked->points > 0)
    status = bt_run_length_estimated(&table->chart, asked->points, &table->estimated, error);
  if (asked->json && asked->shift != 0)
    table->n = 0;
  if (status == BT_OK && asked->shift != 0)
    status = add_row(table, asked->shift, error);
  bool whole = !asked->json && options->shift == NULL;
  for (size_t s = 0; whole && s < sizeof shifts / sizeof *shifts && status == BT_OK; s++)
    status = add_row(table, shifts[s], error);
  return status;
}

/* RUNS, or fewer where signals are so rare that they would take minutes: M charts together are as
 * many times sooner to signal, and as many times the work. */
static bt_status runs_together(const question *asked, size_t *runs, bt_error *error) {
  double soonest = INFINITY;
  for (size_t i = 0; i < asked->n; i++) {
    const bt_run_chart *chart = &asked->table[i].chart;
    bt_run_length quiet;
    if (chart->method == BT_RUN_OF_EWMA)
      continue;
    bt_status status = bt_run_length_find(chart, 0, &quiet, error);
    if (status != BT_OK)
      return status;
    soonest = fmin(soonest, quiet.arl);
  }
  *runs = (size_t)fmax(LEAST_RUNS, fmin(RUNS, POINTS_TOGETHER / soonest));
  return BT_OK;
}

/* The charts used together, in control and with the shift that was asked for (or one sigma). */
static bt_status answer_together(const question *asked, bt_run_set *set, bt_error *error) {
  const double looked_at[] = {0, asked->shift != 0 ? asked->shift : 1};
  size_t runs = 0;
  bt_status status = runs_together(asked, &runs, error);
  *set = (bt_run_set){.checks_a_month = asked->rate};
  for (size_t i = 0; i < asked->n; i++) {
    const bt_run_chart *chart = &asked->table[i].chart;
    if (chart->method == BT_RUN_OF_RULES)
      set->chart.rules = chart->rules;
    if (chart->method != BT_RUN_OF_CUSUM)
      continue;
    set->chart.has_cusum = true;
    set->chart.k = chart->k;
    set->chart.h = chart->h;
    set->chart.headstart = chart->headstart;
  }
  for (; set->n < 2 && status == BT_OK; set->n++)
    status = bt_joint_run_find(&set->chart, asked->together, looked_at[set->n], runs, seed,
                               &set->row[set->n], error);
  if (status == BT_OK && asked->rate > 0)
    set->a_year = 12 * asked->rate / set->row[0].arl; /* begun anew after each signal */
  return status;
}

static bt_status say_answer(const question *asked, const bt_run_set *set, bt_text *text,
                            bt_error *error) {
  if (asked->json)
    return asked->together > 0 ? bt_emit_run_set_json(asked->table, asked->n, set, stdout, error)
                               : bt_emit_run_lengths_json(asked->table, asked->n, stdout, error);
  bt_status status = bt_report_run_lengths(asked->table, asked->n, text, error);
  if (status == BT_OK && asked->together > 0) {
    bt_text_add(text, "\n");
    status = bt_report_run_set(set, text, error);
  }
  return status;
}

static cli_exit run_lengths(const runlength_options *options, question *asked) {
  bt_error error = {0};
  bt_text text = {0};
  bt_run_set set = {0};
  bt_status status = BT_OK;
  for (size_t i = 0; i < asked->n && status == BT_OK; i++)
    status = answer(asked, options, &asked->table[i], &error);
  if (status == BT_OK && asked->together > 0)
    status = answer_together(asked, &set, &error);
  if (status == BT_OK)
    status = say_answer(asked, &set, &text, &error);
  cli_exit result = status == BT_OK ? cli_print_text(&text) : cli_error(&error);
  bt_text_free(&text);
  return result;
}

/* Charts that keep to a budget of false signals. */
static cli_exit suggest(const runlength_options *options, const question *asked) {
  bt_error error = {0};
  bt_text text = {0};
  bt_suggestion suggestions[BT_SUGGESTIONS];
  size_t n = 0;
  bt_budget budget = {.charts = asked->together > 0 ? asked->together : 1,
                      .checks_a_month = options->rate != NULL ? asked->rate : usual_rate,
                      .shift = options->shift != NULL ? asked->shift : 1};
  if (!cli_number("budget", options->budget, &budget.a_year))
    return CLI_USAGE;
  bt_status status = bt_suggest(budget.a_year / (double)budget.charts, budget.checks_a_month,
                                budget.shift, suggestions, &n, &error);
  if (status == BT_OK)
    status = asked->json ? bt_emit_suggestions_json(&budget, suggestions, n, stdout, &error)
                         : bt_report_suggestions(&budget, suggestions, n, &text, &error);
  cli_exit result = status == BT_OK ? cli_print_text(&text) : cli_error(&error);
  bt_text_free(&text);
  return result;
}

/* --budget asks which chart; it goes with no chart that is named. */
static bool budget_stands_alone(const runlength_options *options) {
  if (options->rules == NULL && options->k == NULL && options->h == NULL &&
      options->headstart == NULL && options->lambda == NULL && options->limit == NULL &&
      options->arl == NULL && options->n == NULL && !options->constant_limits)
    return true;
  cli_say("--budget looks for charts by itself; it goes with --checks-per-month, --charts and "
          "--shift alone");
  return false;
}

cli_exit cli_runlength(cli_context *cli, int argc, char **argv) {
  runlength_options options = {.format = "text"};
  const cli_option table[] = {
      {"rules", &options.rules, NULL, 0},
      {"k", &options.k, NULL, 0},
      {"h", &options.h, NULL, 0},
      {"headstart", &options.headstart, NULL, 0},
      {"lambda", &options.lambda, NULL, 0},
      {"limit", &options.limit, NULL, 0},
      {"constant-limits", NULL, &options.constant_limits, 0},
      {"shift", &options.shift, NULL, 0},
      {"arl", &options.arl, NULL, 0},
      {"checks-per-month", &options.rate, NULL, 0},
      {"charts", &options.charts, NULL, 0},
      {"n", &options.n, NULL, 0},
      {"budget", &options.budget, NULL, 0},
      {"format", &options.format, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_runlength);
  if (first != argc) {
    cli_say("runlength takes no further words; see `beamtally runlength --help`");
    return CLI_USAGE;
  }
  question asked = {0};
  if (!read_question(&options, &asked) ||
      (options.budget != NULL && !budget_stands_alone(&options)))
    return CLI_USAGE;
  return options.budget != NULL ? suggest(&options, &asked) : run_lengths(&options, &asked);
}
