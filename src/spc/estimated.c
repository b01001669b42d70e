/* What limits estimated from n points make of a run length in control: quantiles of the ARL over
 * baselines.
 *
 * A baseline of n points whose centre lies delta from the mean and whose sigma-hat is w times sigma
 * turns a chart of z = (Z - delta)/w, Z a unit normal, into one whose lines stand w times as far
 * and whose mean is shifted by -delta. Its ARL is conditional on both:
 *   zone rules  the chain with zones w sigma wide
 *   CUSUM       k w and h w
 *   EWMA        limit w
 * Both sides are alike, so the sign of delta makes no difference but for a one-sided CUSUM, which
 * is not asked for. An ARL beyond 1e12 counts as that. Quantiles: baseline_quantiles.c.
 *
 * Source: the definitions; Quesenberry, Journal of Quality Technology 25 (1993), on how many points
 * limits need. Accuracy: 2 % of an ARL for n from 12, 5 % at n = 8. Checked against 200,000
 * simulated baselines of an individuals chart and fewer through the charts' own code
 * (tests/published/spc/estimated.c). */
#include "spc_estimate.h"

#include <math.h>

/* An EWMA that forgets slowly, or whose limits are many of a check's steps apart, takes minutes:
 * 81 run lengths, each the square of the distance many times as long as it remembers. */
static const double least_lambda = 0.05, widest_in_steps = 14;

typedef struct estimated_chart {
  const bt_run_chart *chart;
  const spc_rate_rules *rules;
} estimated_chart;

/* 1/ARL of both sides add up where none has a headstart. */
static double cusum_arl(const estimated_chart *of, double delta, double width) {
  double k = of->chart->k * width, h = of->chart->h * width;
  return 1 / (spc_cusum_rate(of->rules, k, h, delta) + spc_cusum_rate(of->rules, k, h, -delta));
}

static bt_status conditional_arl(double delta, double width, void *parameters, double *arl,
                                 bt_error *error) {
  const estimated_chart *of = parameters;
  const bt_run_chart *chart = of->chart;
  bool direct = chart->method == BT_RUN_OF_CUSUM && chart->headstart == 0 &&
                chart->h * width <= SPC_RATE_HIGHEST;
  if (!direct)
    return spc_run_length_mean(chart, delta, width, arl, error);
  *arl = fmin(cusum_arl(of, delta, width), SPC_LONGEST_ARL);
  return BT_OK;
}

static bt_status check_effort(const bt_run_chart *chart, bt_error *error) {
  if (chart->method != BT_RUN_OF_EWMA)
    return BT_OK;
  double widest = widest_in_steps * sqrt(chart->lambda * (2 - chart->lambda));
  if (chart->lambda < least_lambda)
    return bt_fail(error, BT_USAGE,
                   "what a baseline does to an EWMA is worked out for lambda from %g on; take a "
                   "larger lambda, or leave out --n",
                   least_lambda);
  if (chart->limit > widest)
    return bt_fail(error, BT_USAGE,
                   "what a baseline does to an EWMA of lambda %g is worked out for limits up to "
                   "%.2f; take a smaller limit, or leave out --n",
                   chart->lambda, floor(100 * widest) / 100);
  return BT_OK;
}

bt_status bt_run_length_estimated(const bt_run_chart *chart, size_t n, bt_estimated *found,
                                  bt_error *error) {
  *found = (bt_estimated){.n = n};
  if (n < BT_BASELINE_LEAST_POINTS)
    return bt_fail(error, BT_USAGE, "a baseline has at least %d points", BT_BASELINE_LEAST_POINTS);
  if (chart->method == BT_RUN_OF_CUSUM && chart->one_sided)
    return bt_fail(error, BT_USAGE,
                   "what a baseline does to run lengths is known for both sides of "
                   "a CUSUM together; leave out the one side");
  bt_status status = spc_run_chart_check(chart, 0, error);
  if (status == BT_OK)
    status = check_effort(chart, error);
  if (status != BT_OK)
    return status;
  spc_rate_rules rules = {0};
  status = spc_rate_rules_make(&rules, error);
  if (status == BT_OK) {
    estimated_chart of = {.chart = chart, .rules = &rules};
    status = spc_baseline_quantiles(n, false, conditional_arl, &of, &found->arl_10, &found->arl_50,
                                    &found->arl_90, error);
    found->arl_50 = fmin(found->arl_50, SPC_LONGEST_ARL);
    found->arl_90 = fmin(found->arl_90, SPC_LONGEST_ARL);
  }
  spc_rate_rules_free(&rules);
  return status;
}
