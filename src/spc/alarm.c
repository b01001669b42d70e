/* Alarm limits: what a chart's share of a unit's budget of false alarms buys.
 *
 * share_a_year false alarms at checks_a_year points are a rate of p = share_a_year / checks_a_year
 * a point. Requirements
 *   B1  A chart of both kinds spends p/2 on a Shewhart limit L and p/2 on a two-sided CUSUM of k
 *       0.5 without headstart; one that has only a CUSUM spends p on it. Both may signal at one
 *       change of fortune, so the rate of the two together is at most their sum.
 *   B2  The rate is the average over baselines of n points (alarm_average.c), centre and sigma
 *       estimated anew: P(beyond L) for the limit, 1/ARL for the CUSUM, begun anew after each
 *       alarm. A clinic's own baseline gives more or less than that: low and high
 *       (alarm_range.c). Screening narrows limits, so those of a screened baseline are wider in
 *       sigma-hat (sigma_ratio.c).
 *   B3  L and h are rounded up to a hundredth of sigma: what a page prints is what is used.
 *   B4  An alarm is never weaker than a notice: L is at least 3 and h at least 5, however few the
 *       checks or large the budget.
 *   B5  share_a_year becomes what the limits give on average after B3 and B4: at most what it was.
 *   B6  No limits from under 30 points.
 *   B7  Where only an h above 20 would keep its part, the CUSUM can't tell a shift from a baseline
 *       that is off: the chart has none (h = 0), and spends all on the limit.
 *
 * The rates are roots in L and h of ln(rate) - ln(p), which falls with them, by the secant's rule.
 * Checked by simulated years through the charts' own code, by
 * solving back and against a dense sum (tests/unit/spc/alarm.c, alarm_years.c). */
#include "spc_alarm.h"

#include <math.h>

#define NOTICE_LIMIT 3.0
#define NOTICE_H     5.0
#define WIDEST_LIMIT 15.0
#define WIDEST_H     20.0
#define GRID         100
#define STRIDE       3.0
#define CLOSE        5e-4

enum { ROUNDS = 40 };

typedef struct search {
  const spc_baselines *baselines;
  double (*rate)(const spc_baselines *, double);
  double wanted;
} search;

static double cusum_rate(const spc_baselines *baselines, double h) {
  return spc_cusum_average(baselines, SPC_ALARM_K, h);
}

static double excess(const search *of, double x) {
  return log(of->rate(of->baselines, x) / of->wanted);
}

/* The smallest hundredth in [least, most] at which the rate is at most the wanted one; 0 where
 * there is none. The excess falls and is bent upwards, so the secant closes in from the left
 * without a bracket. */
static bt_status solve(const search *of, double least, double most, double *found,
                       bt_error *error) {
  double before = least, at = least + STRIDE, more_before = excess(of, before);
  *found = least;
  if (more_before <= 0)
    return BT_OK; /* B4 */
  for (int round = 0; round < ROUNDS; round++) {
    double more = excess(of, at), slope = (more - more_before) / (at - before);
    if (at >= most && more > 0) {
      *found = 0;
      return BT_OK;
    }
    double next = fmin(at - more / slope, most);
    if (!isfinite(next))
      break;
    if (fabs(next - at) < CLOSE) {
      *found = ceil(next * GRID) / GRID; /* B3 */
      return BT_OK;
    }
    before = at;
    more_before = more;
    at = next;
  }
  return bt_fail(error, BT_SYSTEM,
                 "no alarm limit was found for a false-alarm rate of %.3g a check", of->wanted);
}

static bt_status check(const bt_alarm_limits *alarms, bt_error *error) {
  if (!(isfinite(alarms->share_a_year) && alarms->share_a_year > 0))
    return bt_fail(error, BT_USAGE, "a budget of false alarms a year is above 0; usual is 1");
  if (!(isfinite(alarms->checks_a_year) && alarms->checks_a_year > 0))
    return bt_fail(error, BT_USAGE, "a rate of checking is above 0 points a year");
  return BT_OK;
}

/* The Shewhart limit for that rate, and what it gives. */
static bt_status spend_on_limit(const spc_baselines *baselines, double rate,
                                bt_alarm_limits *alarms, double *kept, bt_error *error) {
  search of = {.baselines = baselines, .rate = spc_shewhart_average, .wanted = rate};
  bt_status status = solve(&of, NOTICE_LIMIT, WIDEST_LIMIT, &alarms->limit, error);
  if (status == BT_OK && alarms->limit == 0)
    return bt_fail(error, BT_USAGE,
                   "no limit up to %g sigma keeps a false-alarm rate of %.3g a check with a "
                   "baseline of %zu points; allow more false alarms a year or freeze a longer "
                   "baseline",
                   WIDEST_LIMIT, rate, baselines->n);
  *kept += spc_shewhart_average(baselines, alarms->limit);
  return status;
}

static bt_status spend_on_cusum(const spc_baselines *baselines, double rate,
                                bt_alarm_limits *alarms, double *kept, bt_error *error) {
  search of = {.baselines = baselines, .rate = cusum_rate, .wanted = rate};
  bt_status status = solve(&of, NOTICE_H, WIDEST_H, &alarms->h, error);
  if (status == BT_OK && alarms->h > 0)
    *kept += cusum_rate(baselines, alarms->h);
  return status;
}

static bt_status solve_charts(bt_alarm_kind kind, bt_alarm_limits *alarms, bt_error *error) {
  spc_baselines baselines = {0};
  double rate = alarms->share_a_year / alarms->checks_a_year, kept = 0;
  bool both = kind == BT_ALARM_BOTH;
  bt_status status = spc_baselines_make(alarms->n, alarms->screened, &baselines, error);
  if (status == BT_OK)
    status = spend_on_cusum(&baselines, both ? rate / 2 : rate, alarms, &kept, error); /* B1 */
  if (status == BT_OK && both)
    status =
        spend_on_limit(&baselines, alarms->h > 0 ? rate / 2 : rate, alarms, &kept, error); /* B7 */
  if (status == BT_OK && (alarms->limit > 0 || alarms->h > 0)) {
    alarms->share_a_year = fmin(alarms->share_a_year, kept * alarms->checks_a_year); /* B5 */
    status = spc_alarm_range(&baselines, alarms, error);
    alarms->given = status == BT_OK;
  }
  spc_baselines_free(&baselines);
  return status;
}

bt_status bt_alarm_limits_solve(bt_alarm_kind kind, const bt_vector *vector,
                                bt_alarm_limits *alarms, bt_error *error) {
  alarms->given = false;
  alarms->limit = alarms->h = alarms->t2_limit = alarms->low = alarms->high = 0;
  bt_status status = check(alarms, error);
  if (status != BT_OK || alarms->n < BT_ALARM_LEAST_POINTS) /* B6 */
    return status;
  if (kind != BT_ALARM_ONLY_T2)
    return solve_charts(kind, alarms, error);
  status = spc_alarm_vector(vector, alarms, error);
  alarms->given = status == BT_OK;
  return status;
}
