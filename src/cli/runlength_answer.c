/* What runlength prints: run lengths of charts, by themselves and together, and charts that keep to
 * a budget. */
#include "runlength.h"

#include "beamtally/emit.h"

#include <math.h>
#include <stdio.h>

enum { RUNS = 10000, LEAST_RUNS = 100 };

/* Points that a simulation goes through in a second or two. */
#define POINTS_TOGETHER 2e7

/* Runs of the same question give the same answer. */
static const uint64_t seed = 193;

static const double shifts[] = {0.5, 1, 1.5, 2, 3};

/* Where nobody says how often checks are made: 20 a month. */
static const double usual_rate = 20;

static bt_status add_row(bt_run_table *table, double shift, bt_error *error) {
  return bt_run_length_find(&table->chart, shift, &table->row[table->n++], error);
}

/* Solves what is to be solved, and finds the rows: one in JSON, a table of them as text. */
static bt_status answer_chart(const runlength_question *asked, bt_run_table *table,
                              bt_error *error) {
  bt_status status = BT_OK;
  if (asked->has_arl && (table->chart.method != BT_RUN_OF_RULES || asked->n == 1)) {
    status = bt_run_length_solve(&table->chart, asked->arl, error);
    table->wanted_arl = asked->arl;
  }
  if (status == BT_OK)
    status = add_row(table, 0, error);
  if (status == BT_OK && asked->has_rate)
    status =
        bt_false_signals_find(&table->chart, table->row[0].arl, asked->rate, &table->rate, error);
  if (status == BT_OK && asked->points > 0)
    status = bt_run_length_estimated(&table->chart, asked->points, &table->estimated, error);
  if (asked->json && asked->shift != 0)
    table->n = 0;
  if (status == BT_OK && asked->shift != 0)
    status = add_row(table, asked->shift, error);
  bool whole = !asked->json && !asked->has_shift;
  for (size_t s = 0; whole && s < sizeof shifts / sizeof *shifts && status == BT_OK; s++)
    status = add_row(table, shifts[s], error);
  return status;
}

/* RUNS, or fewer where signals are so rare that they would take minutes: M charts together are as
 * many times sooner to signal, and as many times the work. */
static bt_status runs_together(const runlength_question *asked, size_t *runs, bt_error *error) {
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
static bt_status answer_together(const runlength_question *asked, bt_run_set *set,
                                 bt_error *error) {
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

static bt_status say_answer(const runlength_question *asked, const bt_run_set *set, bt_text *text,
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

cli_exit runlength_answer(runlength_question *asked) {
  bt_error error = {0};
  bt_text text = {0};
  bt_run_set set = {0};
  bt_status status = BT_OK;
  for (size_t i = 0; i < asked->n && status == BT_OK; i++)
    status = answer_chart(asked, &asked->table[i], &error);
  if (status == BT_OK && asked->together > 0)
    status = answer_together(asked, &set, &error);
  if (status == BT_OK)
    status = say_answer(asked, &set, &text, &error);
  cli_exit result = status == BT_OK ? cli_print_text(&text) : cli_error(&error);
  bt_text_free(&text);
  return result;
}

/* Charts that keep to a budget of false signals. */
cli_exit runlength_suggest(const runlength_question *asked) {
  bt_error error = {0};
  bt_text text = {0};
  bt_suggestion suggestions[BT_SUGGESTIONS];
  size_t n = 0;
  bt_budget budget = {.charts = asked->together > 0 ? asked->together : 1,
                      .checks_a_month = asked->has_rate ? asked->rate : usual_rate,
                      .shift = asked->has_shift ? asked->shift : 1,
                      .a_year = asked->budget};
  bt_status status = bt_suggest(&budget, suggestions, &n, &error);
  if (status == BT_OK)
    status = asked->json ? bt_emit_suggestions_json(&budget, suggestions, n, stdout, &error)
                         : bt_report_suggestions(&budget, suggestions, n, &text, &error);
  cli_exit result = status == BT_OK ? cli_print_text(&text) : cli_error(&error);
  bt_text_free(&text);
  return result;
}
