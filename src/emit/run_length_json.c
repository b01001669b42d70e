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

static json_t *rules(uint8_t bits) {
  json_t *list = json_array();
  bool made = true;
  for (unsigned bit = BT_WE1; bit <= BT_WE4 && made; bit *= 2)
    if ((bits & bit) != 0)
      made = json_array_append_new(list, json_string(emit_rule(bit))) == 0;
  if (made)
    return list;
  json_decref(list);
  return NULL;
}

static bool put_chart(json_t *object, const bt_run_chart *chart) {
  switch (chart->method) {
  case BT_RUN_OF_RULES:
    return put(object, "rules", rules(chart->rules));
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

/* Adds one run length of a chart to the object. */
static bool put_run_length(json_t *object, const bt_run_table *table, const bt_run_length *of) {
  return put_chart(object, &table->chart) &&
         (table->wanted_arl == 0 || put_number(object, "wanted_arl", table->wanted_arl)) &&
         put_number(object, "shift", of->shift) && put_rounded(object, "arl", of->arl, 1e3) &&
         put_rounded(object, "sdrl", of->sdrl, 1e3) && put_percentiles(object, of) &&
         (table->rate.checks_a_month == 0 || put_rate(object, &table->rate));
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

bt_status bt_emit_run_lengths_json(const bt_run_table *tables, size_t n, FILE *stream,
                                   bt_error *error) {
  json_t *document = json_object();
  bool made = put(document, "format", json_integer(FORMAT_VERSION));
  if (made)
    made = n == 1 && tables[0].n == 1 ? put_run_length(document, &tables[0], &tables[0].row[0])
                                      : put_charts(document, tables, n);
  bt_status status = BT_OK;
  if (!made)
    status = bt_fail_memory(error);
  else if (json_dumpf(document, stream, NUMBER_FLAGS) != 0 || fputc('\n', stream) == EOF ||
           fflush(stream) != 0)
    status = bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
  json_decref(document);
  return status;
}
