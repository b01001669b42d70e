/* Rare failures: the days from one to the next.
 *
 * Failures that come by chance at one rate leave exponential gaps. With m the mean of the k gaps
 * before the last one, last/m is then distributed as F(2, 2k), the uncertainty of m included:
 *
 *   P(last/m < f) = 1 - (1 + f/k)^-k        short_limit = m k [(1 - 0.00135)^(-1/k) - 1]
 *
 * Trend, both with the hypothesis of one rate:
 *   Laplace's U = [sum of (t_i - T/2)] / (T sqrt(r/12)), t_i the time of failure i since watching
 *   began, T the time watched, r failures: standard normal, above 0 where failures come faster;
 *   reverse arrangements R = pairs of gaps of which the later is longer: Kendall's test of the gaps
 *   (kendall.c: exact for up to 40 gaps without ties). Few long gaps first: R small.
 *
 * Requirements
 *   F1  Gaps run from failure to failure: the time before the first one, whose failure before it
 *       nobody saw, is none; nor is the time since the last (open_days).
 *   F2  short_limit needs five gaps, U three failures, the p of a trend four gaps.
 *   F3  Failures at one time leave a gap of 0 days. Where all gaps before the last are 0 there is
 * no limit.
 *
 * Sources: NIST/SEMATECH e-Handbook, 8.2.3.4 (trend tests); the F distribution of a ratio of
 * exponential means: Cox and Lewis, The Statistical Analysis of Series of Events (1966), chapters 2
 * and 3. Checked against the handbook's example (tests/published/spc/rare.c), simulation and a
 * plain loop (tests/unit/spc/rare.c). */
#include "beamtally/spc.h"

#include <math.h>

#define SHORT_PROBABILITY 0.00135
#define LEAST_GAPS        5
#define LEAST_TREND_GAPS  4
#define LEAST_FAILURES    3

static double days_between(bt_time from, bt_time to) {
  return (double)(to - from) / (double)BT_DAY;
}

static double laplace_u(const bt_time *failed_at, size_t n, bt_time from, bt_time until) {
  double watched = days_between(from, until), sum = 0;
  if (n < LEAST_FAILURES || watched <= 0)
    return 0;
  for (size_t i = 0; i < n; i++)
    sum += days_between(from, failed_at[i]) - watched / 2;
  return sum / (watched * sqrt((double)n / 12));
}

static void limit_the_last(bt_rare *rare) {
  size_t before = rare->gaps_n - 1;
  double sum = 0, k = (double)before;
  for (size_t i = 0; i < before; i++)
    sum += rare->gap_days[i];
  rare->short_limit = sum * expm1(-log1p(-SHORT_PROBABILITY) / k); /* m k = sum */
  rare->last_is_short = rare->gap_days[before] < rare->short_limit;
}

bt_status bt_rare_find(const bt_time *failed_at, size_t n, bt_time from, bt_time until,
                       bt_rare *rare, bt_error *error) {
  *rare = (bt_rare){.failures = n, .trend_p = 1};
  if (n == 0)
    return BT_OK;
  rare->open_days = days_between(failed_at[n - 1], until);
  rare->laplace_u = laplace_u(failed_at, n, from, until);
  if (n < 2)
    return BT_OK;

  rare->gaps_n = n - 1; /* F1 */
  rare->gap_days = bt_new(rare->gaps_n, sizeof *rare->gap_days);
  if (rare->gap_days == NULL) {
    *rare = (bt_rare){0};
    return bt_fail_memory(error);
  }
  for (size_t i = 0; i < rare->gaps_n; i++) {
    rare->gap_days[i] = days_between(failed_at[i], failed_at[i + 1]);
    for (size_t j = 0; j < i; j++)
      rare->reversals += rare->gap_days[j] < rare->gap_days[i];
  }
  rare->mean_days = days_between(failed_at[0], failed_at[n - 1]) / (double)rare->gaps_n;
  if (rare->gaps_n >= LEAST_GAPS) /* F2 */
    limit_the_last(rare);
  if (rare->gaps_n < LEAST_TREND_GAPS)
    return BT_OK;
  double tau = 0;
  bt_status status = bt_kendall(rare->gap_days, rare->gaps_n, &tau, &rare->trend_p, error);
  if (status != BT_OK)
    bt_rare_free(rare);
  return status;
}
