/* What charts a run length is computed for. The bounds are those that the laws are accurate within
 * (tests/unit/spc/run_length.c), and far beyond what a clinic would draw. */
#include "spc_run_length.h"

#include <math.h>

#define HIGHEST_H      30
#define SMALLEST_SHARE 0.02
#define WIDEST_LIMIT   6

static bt_status check_cusum(const bt_run_chart *chart, bt_error *error) {
  if (!(isfinite(chart->k) && chart->k >= 0))
    return bt_fail(error, BT_USAGE, "k of a CUSUM is 0 or more, in sigma; usual is 0.5");
  if (!(chart->h > 0 && chart->h <= HIGHEST_H))
    return bt_fail(error, BT_USAGE, "h of a CUSUM is above 0 and at most %d, in sigma; usual is 5",
                   HIGHEST_H);
  if (!(chart->headstart >= 0 && chart->headstart < 1))
    return bt_fail(error, BT_USAGE,
                   "a headstart is a fraction of h, from 0 to below 1; usual is 0.5");
  /* Beyond this, one side could signal while the other stands above 0 (run_length_cusum.c). */
  if (!chart->one_sided && chart->headstart * chart->h > chart->h / 2 + chart->k)
    return bt_fail(
        error, BT_USAGE,
        "with a headstart above h/2 + k, here %.3g of h, the two sides hinder each other "
        "and no exact run length is known; take a smaller one, 0.5 is usual",
        0.5 + chart->k / chart->h);
  return BT_OK;
}

static bt_status check_ewma(const bt_run_chart *chart, bt_error *error) {
  if (!(chart->lambda >= SMALLEST_SHARE && chart->lambda <= 1))
    return bt_fail(error, BT_USAGE, "lambda of an EWMA is from %g to 1; usual is 0.2",
                   SMALLEST_SHARE);
  if (!(chart->limit > 0 && chart->limit <= WIDEST_LIMIT))
    return bt_fail(error, BT_USAGE,
                   "the limit of an EWMA is above 0 and at most %d, in its own sigma; usual is 3",
                   WIDEST_LIMIT);
  return BT_OK;
}

bt_status spc_run_chart_check(const bt_run_chart *chart, double shift, bt_error *error) {
  if (!isfinite(shift))
    return bt_fail(error, BT_USAGE, "a shift is a number of sigma, like 1 or -0.5");
  switch (chart->method) {
  case BT_RUN_OF_RULES:
    if ((chart->rules & BT_ZONE_RULES) == 0 || (chart->rules & ~BT_ZONE_RULES) != 0)
      return bt_fail(error, BT_USAGE, "a run length is that of zone rules, at least one");
    return BT_OK;
  case BT_RUN_OF_CUSUM:
    return check_cusum(chart, error);
  default:
    return check_ewma(chart, error);
  }
}

double spc_run_chart_widest(const bt_run_chart *chart) {
  return chart->method == BT_RUN_OF_CUSUM ? HIGHEST_H : WIDEST_LIMIT;
}
