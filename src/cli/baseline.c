/* baseline: freezes the period that centre and limits come from. */
#include "baseline.h"
#include "help.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct baseline_options {
  const char *unit, *of, *from, *to, *by, *why;
  bool screen, accept_drift;
  bt_time first_day, last_day;
} baseline_options;

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

/* One characteristic's part of what is frozen. */
typedef struct planned {
  const char *key; /* borrowed from the settings */
  bt_proposal proposal;
  bt_text replaced;
  int64_t same; /* version of the newest one where it is this to the last digit; else 0 */
  open_episodes open;
  int64_t version; /* it got */
} planned;

/* All of what is frozen: each in an entry of its own, all or none. */
typedef struct plan {
  char *unit;
  bt_settings settings;
  bt_characteristic *of;
  planned *part; /* n */
  size_t n, fresh;
  baseline_lines refused;
} plan;

static void plan_free(plan *whole) {
  for (size_t i = 0; whole->part != NULL && i < whole->n; i++) {
    bt_proposal_free(&whole->part[i].proposal);
    bt_text_free(&whole->part[i].replaced);
    free(whole->part[i].open.list);
  }
  bt_text_free(&whole->refused.named);
  free(whole->part);
  free(whole->of);
  free(whole->unit);
  bt_settings_free(&whole->settings);
}

static bt_status plan_part(bt_ledger *ledger, const plan *whole, bt_characteristic of,
                           const baseline_options *options, bt_time until, planned *part,
                           bt_error *error) {
  const bt_baseline *baseline = &part->proposal.baseline;
  bt_status status =
      bt_study_baseline(ledger, whole->unit, of, options->first_day, options->last_day,
                        options->screen, options->accept_drift, &part->proposal, error);
  if (status == BT_OK)
    status = add_replaced(ledger, whole->unit, baseline, &part->replaced, error);
  if (status == BT_OK && !bt_text_ok(&part->replaced))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = find_same(ledger, whole->unit, baseline, &part->same, error);
  if (status == BT_OK && part->same == 0)
    status = baseline_open_episodes(ledger, whole->unit, of, until, &part->open, error);
  return status;
}

/* Of several each refusal is said, and then which could be frozen without them. */
static bt_status refuse_all(const plan *whole, const bool *refused, size_t refused_n,
                            bt_error *error) {
  bt_text others = {0};
  for (size_t i = 0; i < whole->n; i++)
    if (!refused[i])
      bt_text_format(&others, "%s%s", others.length == 0 ? "" : ",", whole->part[i].key);
  bt_status status =
      !bt_text_ok(&others) ? bt_fail_memory(error)
      : others.length == 0
          ? bt_fail(error, BT_REFUSED,
                    "none of the %zu characteristics can be frozen so; nothing "
                    "was stored",
                    whole->n)
          : bt_fail(
                error, BT_REFUSED,
                "%zu of %zu characteristics can't be frozen so, and nothing was stored; for the "
                "others say --characteristic %s",
                refused_n, whole->n, bt_text_get(&others));
  bt_text_free(&others);
  return status;
}

static bt_status plan_parts(bt_ledger *ledger, plan *whole, const baseline_options *options,
                            bt_time until, bt_error *error) {
  bool *refused = bt_new(whole->n, sizeof *refused);
  size_t refused_n = 0;
  whole->part = bt_new(whole->n, sizeof *whole->part);
  bt_status status = refused == NULL || whole->part == NULL ? bt_fail_memory(error) : BT_OK;
  for (size_t i = 0; status == BT_OK && i < whole->n; i++) {
    planned *part = &whole->part[i];
    part->key = bt_settings_quantity(&whole->settings, whole->of[i]).key;
    status = plan_part(ledger, whole, whole->of[i], options, until, part, error);
    whole->fresh += status == BT_OK && part->same == 0;
    if (whole->n > 1 && (status == BT_REFUSED || status == BT_NOTFOUND)) {
      cli_say("%s", error->text);
      refused[i] = true;
      refused_n++;
      status = BT_OK;
    }
  }
  if (status == BT_OK && refused_n > 0)
    status = refuse_all(whole, refused, refused_n, error);
  free(refused);
  return status;
}

static bt_status make_plan(bt_ledger *ledger, const baseline_options *options, bt_time until,
                           plan *whole, bt_error *error) {
  bt_status status = bt_ledger_find_unit(ledger, options->unit, &whole->unit, error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &whole->settings, error);
  if (status == BT_OK)
    status =
        baseline_characteristics(ledger, whole->unit, options->of, &whole->of, &whole->n, error);
  if (status == BT_OK)
    status = plan_parts(ledger, whole, options, until, error);
  return status == BT_OK ? baseline_refused(ledger, whole->unit, options->first_day,
                                            options->last_day, &whole->refused, error)
                         : status;
}

/* Shows what would be frozen, and asks. */
static cli_exit ask(const cli_context *cli, const plan *whole, const baseline_options *options) {
  bt_text effect = {0};
  char to[BT_TIME_TEXT];
  for (size_t i = 0; i < whole->n; i++)
    if (whole->part[i].same == 0)
      baseline_describe(&whole->part[i].proposal, whole->unit, whole->part[i].key, "a new baseline",
                        &whole->part[i].replaced, &effect);
  baseline_describe_refused(&whole->refused, false, &effect);
  bt_text_format(&effect,
                 "Limits of the points after %s will be taken from %s, until another is frozen. "
                 "Earlier\nbaselines stay on record.\n",
                 bt_time_day_iso(options->last_day, to), whole->fresh == 1 ? "it" : "these");
  cli_exit answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  return answer;
}

static bt_status store(bt_ledger *ledger, plan *whole, const baseline_options *options, bt_time now,
                       bt_error *error) {
  bt_new_baseline *entries = bt_new(whole->fresh, sizeof *entries);
  size_t n = 0;
  bt_status status = entries == NULL ? bt_fail_memory(error) : BT_OK;
  for (size_t i = 0; status == BT_OK && i < whole->n; i++) {
    bt_proposal *proposal = &whole->part[i].proposal;
    if (whole->part[i].same != 0)
      continue;
    proposal->baseline.by = bt_copy(options->by);
    proposal->baseline.why = bt_copy(options->why);
    if (proposal->baseline.by == NULL || proposal->baseline.why == NULL)
      status = bt_fail_memory(error);
    entries[n++] = (bt_new_baseline){.baseline = &proposal->baseline,
                                     .exclusions = proposal->exclusions,
                                     .exclusions_n = proposal->exclusions_n};
  }
  if (status == BT_OK)
    status = bt_ledger_add_baselines(ledger, whole->unit, entries, n, now, error);
  for (size_t i = 0, e = 0; status == BT_OK && i < whole->n; i++)
    if (whole->part[i].same == 0)
      whole->part[i].version = entries[e++].version;
  free(entries);
  return status;
}

/* What was frozen, and what became of the episodes that were open. */
static bt_status tell(bt_ledger *ledger, const plan *whole, bt_time until, bt_text *out,
                      bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; status == BT_OK && i < whole->n; i++) {
    const planned *part = &whole->part[i];
    char what[48];
    (void)snprintf(what, sizeof what, "baseline %lld frozen", (long long)part->version);
    if (part->same == 0) {
      baseline_describe(&part->proposal, whole->unit, part->key, what, &part->replaced, out);
      status = baseline_describe_episodes(ledger, whole->unit, whole->of[i], until, &part->open,
                                          out, error);
    } else {
      (void)cli_plain(out, whole->unit, SIZE_MAX);
      bt_text_format(out,
                     ", %s: nothing new: baseline %lld is this one to the last digit; nothing was "
                     "stored\n",
                     part->key, (long long)part->same);
    }
  }
  baseline_describe_refused(&whole->refused, true, out);
  if (status != BT_OK)
    bt_error_prefix(error, "%s",
                    whole->fresh == 1 ? "the baseline was frozen, but what it does to "
                                        "open episodes can't be told"
                                      : "the baselines were frozen, but what they do "
                                        "to open episodes can't be told");
  return status;
}

static bt_status freeze(const cli_context *cli, bt_ledger *ledger, const baseline_options *options,
                        bt_text *out, cli_exit *answer, bt_error *error) {
  plan whole = {0};
  bt_time until = cli_today_ends(cli);
  bt_status status = make_plan(ledger, options, until, &whole, error);
  if (status == BT_OK && whole.fresh > 0)
    *answer = ask(cli, &whole, options);
  if (status == BT_OK && whole.fresh > 0 && *answer == CLI_DONE)
    status = store(ledger, &whole, options, cli->now, error);
  if (status == BT_OK && *answer == CLI_DONE)
    status = tell(ledger, &whole, until, out, error);
  plan_free(&whole);
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
    return cli_print_help(help_baseline);
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
