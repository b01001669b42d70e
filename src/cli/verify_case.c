/* verify FOLDER: all that limits.json and signals.csv say, computed anew from checks.csv. */
#include "verify_case.h"

#include <stdlib.h>

static bool make_room(verify_chart *of) {
  size_t n = of->chart->checks_n; /* there are at most as many points */
  of->row = bt_new(n, sizeof *of->row);
  of->at = bt_new(n, sizeof *of->at);
  of->point = bt_new(n, sizeof *of->point);
  of->failed = bt_new(n, 1);
  of->value = bt_new(n, sizeof *of->value);
  of->reading = bt_new(n, sizeof *of->reading);
  of->age = bt_new(n, sizeof *of->age);
  of->has_age = bt_new(n, 1);
  of->target = bt_new(n, sizeof *of->target);
  of->other = bt_new(n, 1);
  of->x = bt_new(n, sizeof *of->x);
  of->y = bt_new(n, sizeof *of->y);
  of->segment = bt_new(n, sizeof *of->segment);
  of->used = bt_new(n, 1);
  of->judged = bt_new(n, 1);
  of->has_range = bt_new(n, 1);
  of->strength = bt_new(n, 1);
  of->z = bt_new(n, sizeof *of->z);
  of->range = bt_new(n, sizeof *of->range);
  of->rules[BT_LOW] = bt_new(n, sizeof(bt_rules));
  of->rules[BT_HIGH] = bt_new(n, sizeof(bt_rules));
  of->cusum = (bt_cusum){.k = of->chart->k,
                         .h = of->chart->h,
                         .headstart = of->chart->headstart,
                         .high = bt_new(n, sizeof(double)),
                         .low = bt_new(n, sizeof(double)),
                         .run_high = bt_new(n, sizeof(uint32_t)),
                         .run_low = bt_new(n, sizeof(uint32_t)),
                         .restarts = bt_new(of->chart->restarts_n, sizeof(bt_restart))};
  return of->row && of->at && of->point && of->failed && of->value && of->reading && of->age &&
         of->has_age && of->target && of->other && of->x && of->y && of->segment && of->used &&
         of->judged && of->has_range && of->strength && of->z && of->range && of->rules[BT_LOW] &&
         of->rules[BT_HIGH] && of->cusum.high && of->cusum.low && of->cusum.run_high &&
         of->cusum.run_low && of->cusum.restarts;
}

static void drop(verify_chart *of) {
  free(of->row);
  free(of->at);
  free(of->point);
  free(of->failed);
  free(of->value);
  free(of->reading);
  free(of->age);
  free(of->has_age);
  free(of->target);
  free(of->other);
  free(of->x);
  free(of->y);
  free(of->segment);
  free(of->used);
  free(of->judged);
  free(of->has_range);
  free(of->strength);
  free(of->z);
  free(of->range);
  free(of->rules[BT_LOW]);
  free(of->rules[BT_HIGH]);
  bt_cusum_free(&of->cusum);
}

static bt_status verify_one(const bt_told_case *told, const bt_told_chart *chart, bt_error *error) {
  verify_chart of = {.told = told, .chart = chart};
  bt_status status = make_room(&of) ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK && (int64_t)chart->checks_n != chart->rows)
    status = bt_fail(error, BT_DAMAGED, "checks.csv has %zu rows of %s, limits.json tells of %lld",
                     chart->checks_n, chart->key, (long long)chart->rows);
  if (status == BT_OK)
    status = verify_points(&of, error);
  if (status == BT_OK)
    status = verify_limits(&of, error);
  if (status == BT_OK)
    status = verify_signals(&of, error);
  drop(&of);
  return status;
}

bt_status verify_case(const bt_told_case *told, size_t *signals, bt_error *error) {
  bt_status status = BT_OK;
  *signals = 0;
  for (size_t c = 0; c < told->charts_n && status == BT_OK; c++) {
    status = verify_one(told, &told->charts[c], error);
    *signals += told->charts[c].signals_n;
  }
  return status;
}
