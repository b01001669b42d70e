/* status: the daily screen. */
#include "cli.h"
#include "help.h"

#include "beamtally/report.h"

#include <stdlib.h>

/* Of so many lasers drift is looked for whether a chart signals or not. */
enum { FEW_UNITS = 4 };

/* One laser's part of the output. */
typedef struct part {
  int rank;         /* the worst first ... */
  bt_deviation off; /* ... then the farthest off ... */
  size_t order;     /* ... then as the ledger lists them */
  bt_text head, screen;
} part;

static bt_strength worst_signal(const bt_unit_study *study) {
  bt_strength worst = BT_QUIET;
  for (size_t i = 0; i < study->studies_n; i++) {
    bt_strength open = bt_study_open_strength(study->studies[i]);
    worst = open > worst ? open : worst;
  }
  return worst;
}

/* An open alarm comes before a check that is missing or a tolerance that nobody entered, whichever
 * of them the unit's verdict names. */
static int rank_of(const bt_unit_study *study) {
  enum { ALARM = BT_VERDICT_SELFTEST_FAILED + 1, MISSING, NOTICE, OTHERS };
  bt_strength open = worst_signal(study);
  if (study->verdict <= BT_VERDICT_SELFTEST_FAILED)
    return (int)study->verdict;
  if (open == BT_ALARM)
    return ALARM;
  if (study->verdict == BT_VERDICT_NO_CURRENT_CHECK)
    return MISSING;
  return open == BT_NOTICE ? NOTICE : OTHERS + (int)study->verdict;
}

static int worst_first(const void *a, const void *b) {
  const part *x = a, *y = b;
  if (x->rank != y->rank)
    return (x->rank > y->rank) - (x->rank < y->rank);
  int off = bt_deviation_order(x->off, y->off);
  return off != 0 ? off : (x->order > y->order) - (x->order < y->order);
}

static bt_status one_unit(const cli_context *cli, bt_ledger *ledger,
                          const bt_study_request *request, bool few, part *out, bool *look,
                          bt_error *error) {
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, request, &study, error);
  /* In a fleet drift is looked for where a chart signals: its screen has to be quick. */
  bt_drift_request drift = {0};
  if (status == BT_OK && (few || worst_signal(study) != BT_QUIET))
    status = bt_study_drift(ledger, &drift, study, error);
  if (status == BT_OK) {
    out->rank = rank_of(study);
    out->off = bt_unit_deviation(study);
    *look = *look || cli_wants_a_look(study);
    status = bt_report_status_line(study, &out->head, error);
  }
  if (status == BT_OK)
    status = bt_report_status(study, cli->colour, &out->screen, error);
  bt_unit_study_free(study);
  return status;
}

/* All lasers' screens; of one that fails the others are wanted all the same. CLI_FAILED then. */
static cli_exit all_units(const cli_context *cli, bt_ledger *ledger, char *const *names, size_t n,
                          bt_time until, part *parts, bool *look) {
  bt_solved_limits solved = {0};
  cli_exit result = CLI_DONE;
  cli_progress progress = cli_progress_begin(cli, "lasers");
  for (size_t i = 0; i < n; i++) {
    bt_error error = {0};
    bt_study_request request = {.unit = names[i], .until = until, .solved = &solved};
    cli_progress_show(&progress, i, n);
    parts[i].order = i;
    if (one_unit(cli, ledger, &request, n <= FEW_UNITS, &parts[i], look, &error) != BT_OK) {
      cli_progress_clear(&progress);
      bt_text_clear(&parts[i].head);
      bt_text_clear(&parts[i].screen);
      bt_error_prefix(&error, "%s", names[i]);
      (void)cli_error(&error);
      result = CLI_FAILED;
    }
  }
  cli_progress_clear(&progress);
  bt_solved_limits_free(&solved);
  return result;
}

/* Of several lasers first a line each, so that the one that wants a look is seen before its screen
 * has scrolled away. */
static cli_exit print_parts(part *parts, size_t n) {
  bt_text out = {0};
  qsort(parts, n, sizeof *parts, worst_first);
  if (n > 1)
    bt_text_format(&out, "%zu lasers, the worst first\n", n);
  for (size_t i = 0; i < n && n > 1; i++)
    bt_text_add(&out, bt_text_get(&parts[i].head));
  for (size_t i = 0; i < n; i++) {
    bool empty = parts[i].screen.length == 0;
    bt_text_add(&out, out.length > 0 && !empty ? "\n" : "");
    bt_text_add(&out, bt_text_get(&parts[i].screen));
    out.failed |= parts[i].head.failed || parts[i].screen.failed;
  }
  cli_exit result = cli_print_screen(&out);
  bt_text_free(&out);
  return result;
}

cli_exit cli_status(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *until_text = NULL;
  const cli_option table[] = {{"unit", &unit, NULL, 0}, {"until", &until_text, NULL, 0}};
  int first;
  bt_time until = cli_today_ends(cli);
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_status);
  if (first != argc) {
    cli_say("status takes no further words; a unit is named by --unit");
    return CLI_USAGE;
  }
  if (until_text != NULL && !cli_end("until", until_text, &until))
    return CLI_USAGE;

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char **names = NULL;
  part *parts = NULL;
  size_t n = 0;
  bool look = false;
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = cli_units(ledger, unit, &names, &n, &error);
  if (status == BT_OK && (parts = bt_new(n, sizeof *parts)) == NULL)
    status = bt_fail_memory(&error);
  cli_exit result = status == BT_OK && parts != NULL
                        ? all_units(cli, ledger, names, n, until, parts, &look)
                        : cli_error(&error);
  if (parts != NULL && print_parts(parts, n) != CLI_DONE)
    result = CLI_FAILED;
  if (result == CLI_DONE && cli->strict && look)
    result = CLI_ATTENTION;
  for (size_t i = 0; parts != NULL && i < n; i++) {
    bt_text_free(&parts[i].head);
    bt_text_free(&parts[i].screen);
  }
  free(parts);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return result;
}
