/* baseline: freezes the period that centre and limits come from. */
#include "cli.h"
#include "help.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct baseline_options {
  const char *unit, *of, *from, *to, *by, *why;
  bool screen, accept_drift;
  bt_time first_day, last_day;
} baseline_options;

static void add_exclusions(const bt_proposal *proposal, bt_text *out) {
  for (size_t i = 0; i < proposal->exclusions_n; i++) {
    const bt_baseline_exclusion *left = &proposal->exclusions[i];
    char at[BT_TIME_TEXT];
    bt_text_format(out, "  left out: %s, ", bt_time_iso(left->at, true, at));
    if (left->pass == 0)
      bt_text_add(out, "a check of it is outside tolerance\n");
    else if (proposal->baseline.characteristic == BT_TRACKER_VECTOR ||
             proposal->baseline.characteristic == BT_TRACKER_RADIAL)
      bt_text_format(out, "beyond the limit in pass %d\n", left->pass);
    else
      bt_text_format(out, "%.2f sigma from the centre in pass %d\n", left->z, left->pass);
  }
}

static void add_tests(const bt_proposal *proposal, bt_text *out) {
  const bt_stability *tests = &proposal->stability;
  if (tests->n == 0) {
    bt_text_add(out, "  too few values to test for drift\n");
    return;
  }
  bt_text_format(out,
                 "  tests for drift, %zu values: trend p %.2g (Kendall's tau %.2f), step p %.2g\n",
                 tests->n, tests->trend_p, tests->tau, tests->step_p);
  if (tests->detectable > 0)
    bt_text_format(
        out, "  a shift of %.1f sigma between the period's halves would be found in 80 of 100\n",
        tests->detectable);
  if (proposal->baseline.drift_accepted)
    bt_text_add(out, "  the period drifts, and was accepted all the same\n");
}

static bool same_numbers(const bt_baseline *a, const bt_baseline *b) {
  return a->from == b->from && a->to == b->to && a->n == b->n && a->screen == b->screen &&
         a->drift_accepted == b->drift_accepted && a->adjusted == b->adjusted &&
         a->derivation == b->derivation && a->fills == b->fills && a->centre == b->centre &&
         a->sigma == b->sigma && a->slope_per_day == b->slope_per_day &&
         a->mean_age_days == b->mean_age_days && a->radial_limit == b->radial_limit &&
         a->mean_x == b->mean_x && a->mean_y == b->mean_y && a->var_x == b->var_x &&
         a->var_y == b->var_y && a->cov_xy == b->cov_xy;
}

/* *version of the baseline that was frozen last, where it is this one; else 0. */
static bt_status find_same(bt_ledger *ledger, const char *unit, const bt_baseline *baseline,
                           int64_t *version, bt_error *error) {
  bt_baseline *frozen = NULL;
  size_t n = 0, last = 0;
  bt_status status =
      bt_ledger_baselines(ledger, unit, baseline->characteristic, INT64_MAX, &frozen, &n, error);
  for (size_t b = 1; b < n; b++)
    if (frozen[b].version > frozen[last].version)
      last = b;
  *version = n > 0 && same_numbers(&frozen[last], baseline) ? frozen[last].version : 0;
  for (size_t b = 0; b < n; b++)
    bt_baseline_free(&frozen[b]);
  free(frozen);
  return status;
}

/* A baseline judges from its first day on: frozen baselines that begin on that day or later judge
 * nothing once this one is frozen. */
static bt_status add_replaced(bt_ledger *ledger, const char *unit, const bt_baseline *baseline,
                              bt_text *out, bt_error *error) {
  bt_baseline *frozen = NULL;
  size_t n = 0;
  bt_status status =
      bt_ledger_baselines(ledger, unit, baseline->characteristic, INT64_MAX, &frozen, &n, error);
  for (size_t b = 0; b < n; b++) {
    char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
    if (frozen[b].from >= baseline->from && frozen[b].derivation == baseline->derivation)
      bt_text_format(out,
                     "  takes the place of baseline %lld (%s to %s, %lld points), which begins no "
                     "earlier\n",
                     (long long)frozen[b].version, bt_time_day_iso(frozen[b].from, from),
                     bt_time_day_iso(frozen[b].to, to), (long long)frozen[b].n);
    bt_baseline_free(&frozen[b]);
  }
  free(frozen);
  return status;
}

static void add_frozen(const bt_proposal *proposal, const char *unit, const char *key,
                       const char *what, const bt_text *replaced, bt_text *out) {
  const bt_baseline *baseline = &proposal->baseline;
  (void)cli_plain(out, unit, SIZE_MAX);
  bt_text_format(out, ", %s: %s, %lld points, ", key, what, (long long)baseline->n);
  if (baseline->characteristic == BT_TRACKER_VECTOR)
    bt_text_format(out, "mean x %.6g, mean y %.6g", baseline->mean_x, baseline->mean_y);
  else if (baseline->characteristic == BT_TRACKER_RADIAL)
    bt_text_format(out, "centre %.6g, limit %.6g (99.73 %%)", baseline->centre,
                   baseline->radial_limit);
  else
    bt_text_format(out, "centre %.6g, sigma %.4g", baseline->centre, baseline->sigma);
  bt_text_add(out, baseline->adjusted ? ", moved to the mean fill age\n" : "\n");
  bt_text_add(out, bt_text_get(replaced));
  add_exclusions(proposal, out);
  if (proposal->screen_stopped)
    bt_text_add(out,
                "  screening stopped: a further pass would have left out more than 10 % of the "
                "period, so what lies beyond the limits is in the baseline\n");
  add_tests(proposal, out);
  if (baseline->n < BT_ALARM_LEAST_POINTS)
    bt_text_format(
        out,
        "  under %d points: this chart has no alarm limits now and gives notices only; a "
        "longer period gives it alarms\n",
        (int)BT_ALARM_LEAST_POINTS);
}

/* Shows what would be frozen, and asks. */
static cli_exit ask(const cli_context *cli, const bt_proposal *proposal, const char *unit,
                    const baseline_options *options, const bt_text *replaced) {
  bt_text effect = {0};
  char to[BT_TIME_TEXT];
  add_frozen(proposal, unit, options->of, "a new baseline", replaced, &effect);
  bt_text_format(&effect,
                 "Limits of the points after %s will be taken from it, until another is frozen. "
                 "Earlier\nbaselines stay on record.\n",
                 bt_time_day_iso(options->last_day, to));
  cli_exit answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  return answer;
}

static bt_status freeze(const cli_context *cli, bt_ledger *ledger, const baseline_options *options,
                        bt_text *out, cli_exit *answer, bt_error *error) {
  char *unit = NULL;
  int64_t version = 0, same = 0;
  bt_proposal proposal = {0};
  bt_text replaced = {0};
  bt_characteristic characteristic = BT_ENERGY_RATIO;
  bt_status status = bt_ledger_find_unit(ledger, options->unit, &unit, error);
  if (status == BT_OK)
    status = cli_characteristic(ledger, options->of, &characteristic, error);
  if (status == BT_OK)
    status = bt_study_baseline(ledger, unit, characteristic, options->first_day, options->last_day,
                               options->screen, options->accept_drift, &proposal, error);
  if (status == BT_OK)
    status = add_replaced(ledger, unit, &proposal.baseline, &replaced, error);
  if (status == BT_OK && !bt_text_ok(&replaced))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = find_same(ledger, unit, &proposal.baseline, &same, error);
  if (status == BT_OK && same == 0)
    *answer = ask(cli, &proposal, unit, options, &replaced);
  if (status == BT_OK && same == 0 && *answer == CLI_DONE) {
    proposal.baseline.by = bt_copy(options->by);
    proposal.baseline.why = bt_copy(options->why);
    status = proposal.baseline.by == NULL || proposal.baseline.why == NULL
                 ? bt_fail_memory(error)
                 : bt_ledger_add_baseline(ledger, unit, &proposal.baseline, proposal.exclusions,
                                          proposal.exclusions_n, cli->now, &version, error);
  }
  if (status == BT_OK && same != 0) {
    (void)cli_plain(out, unit, SIZE_MAX);
    bt_text_format(out,
                   ", %s: nothing new: baseline %lld is this one to the last digit; nothing was "
                   "stored\n",
                   options->of, (long long)same);
  }
  if (status == BT_OK && same == 0 && *answer == CLI_DONE) {
    char what[48];
    (void)snprintf(what, sizeof what, "baseline %lld frozen", (long long)version);
    add_frozen(&proposal, unit, options->of, what, &replaced, out);
  }
  bt_proposal_free(&proposal);
  bt_text_free(&replaced);
  free(unit);
  return status;
}

cli_exit cli_baseline(cli_context *cli, int argc, char **argv) {
  baseline_options options = {0};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},     {"characteristic", &options.of, NULL, 0},
      {"from", &options.from, NULL, 0},     {"to", &options.to, NULL, 0},
      {"by", &options.by, NULL, 0},         {"why", &options.why, NULL, 0},
      {"screen", NULL, &options.screen, 0}, {"accept-drift", NULL, &options.accept_drift, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_baseline);
  if (!cli_needs(cli, "unit", options.unit) || !cli_needs(cli, "characteristic", options.of) ||
      !cli_needs(cli, "from", options.from) || !cli_needs(cli, "to", options.to) ||
      !cli_needs(cli, "by", options.by) || !cli_needs(cli, "why", options.why) ||
      !cli_day("from", options.from, &options.first_day) ||
      !cli_day("to", options.to, &options.last_day))
    return CLI_USAGE;
  if (first != argc || options.last_day < options.first_day) {
    cli_say(first != argc ? "baseline takes no further words; see `beamtally baseline --help`"
                          : "--to is before --from");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  cli_exit answer = CLI_DONE;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = freeze(cli, ledger, &options, &out, &answer, &error);
  bt_ledger_close(ledger);
  cli_exit result = status != BT_OK      ? cli_error(&error)
                    : answer != CLI_DONE ? answer
                    : cli->quiet         ? CLI_DONE
                                         : cli_print_text(&out);
  bt_text_free(&out);
  return result;
}
