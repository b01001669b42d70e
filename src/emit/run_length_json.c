/* `runlength --format json`. One run length is the document itself; several stand in "charts". Keys
 * that tell of something not asked for (one side alone, a solved limit, a rate of checking) are
 * left out. */
#include "emit_room.h"

#include <jansson.h>
#include <math.h>

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

/* Steals value. False without memory. */
static bool put(json_t *object, const char *key, json_t *value) {
  return json_object_set_new(object, key, value) == 0;
}

static bool put_number(json_t *object, const char *key, double value) {
  return put(object, key, json_real(value == 0 ? 0 : value)); /* no minus before a zero */
}

/* A mean or a probability to three or six decimals: more is known of the numbers than of a laser.
 */
static bool put_rounded(json_t *object, const char *key, double value, double grid) {
  return put_number(object, key, round(value * grid) / grid);
}

static bool put_chart(json_t *object, const bt_run_chart *chart) {
  switch (chart->method) {
  case BT_RUN_OF_RULES:
    return put(object, "rules", emit_rules(chart->rules));
  case BT_RUN_OF_CUSUM:
    return put_number(object, "k", chart->k) && put_number(object, "h", chart->h) &&
           put_number(object, "headstart", chart->headstart) &&
           (!chart->one_sided || put(object, "sides", json_integer(1)));
  default:
    return put_number(object, "lambda", chart->lambda) &&
           put_number(object, "limit", chart->limit) &&
           put(object, "limits", json_string(chart->constant_limits ? "constant" : "exact"));
  }
}

static bool put_percentiles(json_t *object, const bt_run_length *of) {
  return put(object, "percentiles",
             json_pack("{s:I, s:I, s:I, s:I, s:I}", "5", (json_int_t)of->p5, "25",
                       (json_int_t)of->p25, "50", (json_int_t)of->p50, "75", (json_int_t)of->p75,
                       "95", (json_int_t)of->p95));
}

static bool put_rate(json_t *object, const bt_false_signals *rate) {
  json_t *of = json_object();
  if (put_number(of, "checks_a_month", rate->checks_a_month) &&
      put_rounded(of, "a_year", rate->a_year, 1e6) &&
      put_rounded(of, "within_month", rate->within_month, 1e6) &&
      put_rounded(of, "within_year", rate->within_year, 1e6))
    return put(object, "false_signals", of);
  json_decref(of);
  return false;
}

static bool put_estimated(json_t *object, const bt_estimated *of) {
  json_t *range = json_object();
  if (put(range, "n", json_integer((json_int_t)of->n)) &&
      put_rounded(range, "arl_10", of->arl_10, 1e3) &&
      put_rounded(range, "arl_50", of->arl_50, 1e3) &&
      put_rounded(range, "arl_90", of->arl_90, 1e3))
    return put(object, "estimated", range);
  json_decref(range);
  return false;
}

/* Adds one run length of a chart to the object. */
static bool put_run_length(json_t *object, const bt_run_table *table, const bt_run_length *of) {
  return put_chart(object, &table->chart) &&
         (table->wanted_arl == 0 || put_number(object, "wanted_arl", table->wanted_arl)) &&
         put_number(object, "shift", of->shift) && put_rounded(object, "arl", of->arl, 1e3) &&
         put_rounded(object, "sdrl", of->sdrl, 1e3) && put_percentiles(object, of) &&
         (table->rate.checks_a_month == 0 || put_rate(object, &table->rate)) &&
         (table->estimated.n == 0 || put_estimated(object, &table->estimated));
}

static bool put_charts(json_t *document, const bt_run_table *tables, size_t n) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t t = 0; t < n; t++)
    for (size_t r = 0; r < tables[t].n && made; r++) {
      json_t *object = json_object();
      made = put_run_length(object, &tables[t], &tables[t].row[r]);
      if (made)
        made = json_array_append_new(list, object) == 0;
      else
        json_decref(object);
    }
  if (made)
    return put(document, "charts", list);
  json_decref(list);
  return false;
}

/* One run length of a set of charts; the standard error is that of its simulation. */
static json_t *joint_run(const bt_run_set *set, const bt_joint_run *run) {
  const bt_joint_chart *chart = &set->chart;
  const bt_run_chart cusum = {
      .method = BT_RUN_OF_CUSUM, .k = chart->k, .h = chart->h, .headstart = chart->headstart};
  const bt_run_length of = {
      .p5 = run->p5, .p25 = run->p25, .p50 = run->p50, .p75 = run->p75, .p95 = run->p95};
  json_t *object = json_object();
  if (put(object, "rules", emit_rules(chart->rules)) &&
      (!chart->has_cusum || put_chart(object, &cusum)) &&
      put(object, "charts", json_integer((json_int_t)run->charts)) &&
      put(object, "runs", json_integer((json_int_t)run->runs)) &&
      put_number(object, "shift", run->shift) && put_rounded(object, "arl", run->arl, 1e3) &&
      put_rounded(object, "arl_standard_error", run->arl_se, 1e3) && put_percentiles(object, &of) &&
      (set->checks_a_month == 0 || run->shift != 0 ||
       put_rounded(object, "a_year", set->a_year, 1e6)))
    return object;
  json_decref(object);
  return NULL;
}

static bool put_set(json_t *document, const bt_run_set *set) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t r = 0; r < set->n && made; r++)
    made = json_array_append_new(list, joint_run(set, &set->row[r])) == 0;
  if (made)
    return put(document, "together", list);
  json_decref(list);
  return false;
}

static bool put_suggestions(json_t *document, const bt_suggestion *suggestions, size_t n) {
  json_t *list = json_array();
  bool made = list != NULL;
  for (size_t i = 0; i < n && made; i++) {
    const bt_suggestion *of = &suggestions[i];
    json_t *object = json_object();
    made = put_chart(object, &of->chart) && put_rounded(object, "arl", of->arl_in_control, 1e3) &&
           put_rounded(object, "a_year", of->a_year, 1e6) &&
           put_rounded(object, "arl_shifted", of->arl_shifted, 1e3) &&
           put_rounded(object, "days_shifted", of->days_shifted, 1e3) &&
           put_rounded(object, "arl_shifted_later", of->arl_later, 1e3);
    if (made)
      made = json_array_append_new(list, object) == 0;
    else
      json_decref(object);
  }
  if (made)
    return put(document, "suggestions", list);
  json_decref(list);
  return false;
}

/* Writes the document, which was made or not, and frees it. */
static bt_status finish(json_t *document, bool made, FILE *stream, bt_error *error) {
  bt_status status = BT_OK;
  if (!made)
    status = bt_fail_memory(error);
  else if (json_dumpf(document, stream, NUMBER_FLAGS) != 0 || fputc('\n', stream) == EOF ||
           fflush(stream) != 0)
    status = bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
  json_decref(document);
  return status;
}

bt_status bt_emit_run_lengths_json(const bt_run_table *tables, size_t n, FILE *stream,
                                   bt_error *error) {
  json_t *document = json_object();
  bool made = put(document, "format", json_integer(FORMAT_VERSION));
  if (made)
    made = n == 1 && tables[0].n == 1 ? put_run_length(document, &tables[0], &tables[0].row[0])
                                      : put_charts(document, tables, n);
  return finish(document, made, stream, error);
}

bt_status bt_emit_run_set_json(const bt_run_table *tables, size_t n, const bt_run_set *set,
                               FILE *stream, bt_error *error) {
  json_t *document = json_object();
  bool made = put(document, "format", json_integer(FORMAT_VERSION)) &&
              put_charts(document, tables, n) && put_set(document, set);
  return finish(document, made, stream, error);
}

bt_status bt_emit_suggestions_json(const bt_budget *budget, const bt_suggestion *suggestions,
                                   size_t n, FILE *stream, bt_error *error) {
  json_t *document = json_object();
  bool made = put(document, "format", json_integer(FORMAT_VERSION)) &&
              put_number(document, "budget_a_year", budget->a_year) &&
              put_number(document, "charts_together", (double)budget->charts) &&
              put_number(document, "checks_a_month", budget->checks_a_month) &&
              put_number(document, "shift", budget->shift) &&
              put_suggestions(document, suggestions, n);
  return finish(document, made, stream, error);
}
