/* runlength: what rules and limits cost in control, and how soon they find a shift. */
#include "runlength.h"

#include "help.h"

#include <string.h>

enum { MOST_TOGETHER = 100 };

/* The charts that the other commands draw. */
static const double usual_k = 0.5, usual_h = 5, usual_lambda = 0.2, usual_limit = 2.962;

typedef struct runlength_options {
  const char *rules, *k, *h, *headstart, *lambda, *limit, *shift, *arl, *rate, *format;
  const char *charts, *n, *budget;
  bool constant_limits;
} runlength_options;

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

static bool read_charts(const runlength_options *options, runlength_question *asked) {
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
static bool read_together(const runlength_options *options, runlength_question *asked) {
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

static bool read_question(const runlength_options *options, runlength_question *asked) {
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
  asked->has_shift = options->shift != NULL;
  asked->has_arl = options->arl != NULL;
  asked->has_rate = options->rate != NULL;
  asked->has_budget = options->budget != NULL;
  return read_whole("n", options->n, 8, 100000, &asked->points) && read_charts(options, asked) &&
         read_together(options, asked);
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
  runlength_question asked = {0};
  if (!read_question(&options, &asked) ||
      (asked.has_budget &&
       (!budget_stands_alone(&options) || !cli_number("budget", options.budget, &asked.budget))))
    return CLI_USAGE;
  return asked.has_budget ? runlength_suggest(&asked) : runlength_answer(&asked);
}
