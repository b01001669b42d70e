/* What a clinic's own baseline makes of alarm limits: the 10 % and the 90 % quantile of the false
 * alarms a year, over baselines of n points.
 *
 * A baseline whose centre lies delta from the mean and whose sigma is w times the true one
 * (alarm_average.c) gives, at each point, Q(L w - delta) + Q(L w + delta) for the limit and the two
 * sides' 1/ARL for the CUSUM; their quantiles: baseline_quantiles.c. Checked against simulated
 * baselines (tests/unit/spc/alarm.c). */
#include "spc_alarm.h"

#include <gsl/gsl_cdf.h>

typedef struct limits_of {
  const spc_baselines *baselines;
  const bt_alarm_limits *alarms;
} limits_of;

/* False alarms a year with this centre and sigma. */
static bt_status rate_of(double delta, double width, void *parameters, double *rate,
                         bt_error *error) {
  (void)error;
  const limits_of *of = parameters;
  double limit = of->alarms->limit * width, k = SPC_ALARM_K * width, h = of->alarms->h * width;
  *rate = 0;
  if (h > 0)
    *rate += spc_cusum_rate(&of->baselines->rules, k, h, delta) +
             spc_cusum_rate(&of->baselines->rules, k, h, -delta);
  if (limit > 0)
    *rate += gsl_cdf_ugaussian_Q(limit - delta) + gsl_cdf_ugaussian_Q(limit + delta);
  *rate *= of->alarms->checks_a_year;
  return BT_OK;
}

bt_status spc_alarm_range(const spc_baselines *baselines, bt_alarm_limits *alarms,
                          bt_error *error) {
  limits_of of = {.baselines = baselines, .alarms = alarms};
  double low = 0, median = 0, high = 0;
  bt_status status = spc_baseline_quantiles(baselines->n, baselines->screened, rate_of, &of, &low,
                                            &median, &high, error);
  alarms->low = low;
  alarms->high = high;
  return status;
}
