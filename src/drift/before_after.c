/* Before and after an event: do mean and spread differ? Values in their own unit, days in days.
 *
 *   difference = mean after - mean before
 *   se^2 = s_b^2/n_b + s_a^2/n_a,  df = se^4 / (s_b^4/(n_b^2 (n_b-1)) + s_a^4/(n_a^2 (n_a-1)))
 *   interval difference -/+ t(0.975; df) se,  p of no difference by the same t   (Welch)
 *   ratio = s_a^2 / s_b^2, interval ratio / F(0.975; n_a-1, n_b-1) .. ratio / F(0.025; ...)
 *   spread_p: one-way analysis of variance of |value - median of its side|   (Brown and Forsythe)
 *
 * Requirements
 *   B1  Before: the last 20 values at most, of 30 days before the event, on or after the event
 *       before it. After: the first 20 of 30 days from it on, before the next event. A value at the
 *       event's moment comes after it.
 *   B2  As found is the mean of the last 8 before, as left that of the first 8 after.
 *   B3  A comparison needs 2 values on either side. Without scatter on both sides there is no
 *       interval; without it on one, no ratio.
 *
 * The F interval isn't robust against long tails; spread_p is. All are those of a single look.
 * Sources: Welch, Biometrika 34 (1947); Brown and Forsythe, Journal of the American Statistical
 * Association 69 (1974). Checked against base R on published series
 * (tests/published/drift/before_after.c) by hand and by coverage (tests/unit/drift/before_after.c).
 */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 20, RECENT = 8 };

static const double reach_days = 30;

static bt_sample sample_of(const double *value, size_t n) {
  bt_sample sample = {.n = n};
  double squares = 0;
  for (size_t i = 0; i < n; i++) {
    double away = value[i] - sample.mean;
    sample.mean += away / (double)(i + 1);
    squares += away * (value[i] - sample.mean);
  }
  if (n > 1)
    sample.s = sqrt(squares / (double)(n - 1));
  return sample;
}

static void set_difference(const bt_sample *before, const bt_sample *after, bt_comparison *found) {
  double b = before->s * before->s / (double)before->n, a = after->s * after->s / (double)after->n;
  found->difference = found->low = found->high = after->mean - before->mean;
  found->p = 1;
  found->has_interval = a + b > 0;
  if (!found->has_interval)
    return; /* B3 */
  found->se = sqrt(a + b);
  found->df =
      (a + b) * (a + b) / (b * b / (double)(before->n - 1) + a * a / (double)(after->n - 1));
  double half = gsl_cdf_tdist_Pinv(0.975, found->df) * found->se;
  found->low -= half;
  found->high += half;
  found->p = 2 * gsl_cdf_tdist_Q(fabs(found->difference) / found->se, found->df);
}

static void set_ratio(const bt_sample *before, const bt_sample *after, bt_comparison *found) {
  found->has_ratio = before->s > 0 && after->s > 0;
  if (!found->has_ratio)
    return; /* B3 */
  double later = (double)(after->n - 1), earlier = (double)(before->n - 1);
  found->ratio = after->s * after->s / (before->s * before->s);
  found->ratio_low = found->ratio / gsl_cdf_fdist_Pinv(0.975, later, earlier);
  found->ratio_high = found->ratio / gsl_cdf_fdist_Pinv(0.025, later, earlier);
}

/* Puts the distances from the median in place of the values. */
static void from_median(double *value, size_t n) {
  gsl_sort(value, 1, n);
  double median = gsl_stats_median_from_sorted_data(value, 1, n);
  for (size_t i = 0; i < n; i++)
    value[i] = fabs(value[i] - median);
}

static double spread_p(double *before, size_t n, double *after, size_t m) {
  from_median(before, n);
  from_median(after, m);
  bt_sample b = sample_of(before, n), a = sample_of(after, m);
  double df = (double)(n + m - 2),
         mean = (b.mean * (double)n + a.mean * (double)m) / (double)(n + m);
  double between =
      (double)n * (b.mean - mean) * (b.mean - mean) + (double)m * (a.mean - mean) * (a.mean - mean);
  double within = b.s * b.s * (double)(n - 1) + a.s * a.s * (double)(m - 1);
  if (!(within > 0))
    return between > 0 ? 0 : 1;
  return gsl_cdf_fdist_Q(between / (within / df), 1, df);
}

bt_status bt_comparison_find(const double *before, size_t before_n, const double *after,
                             size_t after_n, bt_comparison *found, bt_error *error) {
  *found = (bt_comparison){.before = sample_of(before, before_n),
                           .after = sample_of(after, after_n),
                           .p = 1,
                           .spread_p = 1};
  size_t last = before_n < RECENT ? before_n : RECENT;
  found->as_found = sample_of(before_n > 0 ? before + before_n - last : before, last);
  found->as_left = sample_of(after, after_n < RECENT ? after_n : RECENT);
  if (before_n < 2 || after_n < 2)
    return BT_OK; /* B3 */
  double *copy = bt_new(before_n + after_n, sizeof *copy);
  if (copy == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < before_n; i++)
    copy[i] = before[i];
  for (size_t i = 0; i < after_n; i++)
    copy[before_n + i] = after[i];
  found->given = true;
  set_difference(&found->before, &found->after, found);
  set_ratio(&found->before, &found->after, found);
  found->spread_p = spread_p(copy, before_n, copy + before_n, after_n);
  free(copy);
  return BT_OK;
}

bt_status bt_before_after_find(const double *day, const double *value, size_t n, double event,
                               double not_before, double not_after, bt_comparison *found,
                               bt_error *error) {
  size_t at = 0, from, to;
  while (at < n && day[at] < event)
    at++;
  double earliest = fmax(not_before, event - reach_days);
  for (from = at; from > 0 && at - from < MOST && day[from - 1] >= earliest;)
    from--;
  for (to = at; to < n && to - at < MOST && day[to] <= event + reach_days && day[to] < not_after;)
    to++;
  return bt_comparison_find(value + from, at - from, value + at, to - at, found, error);
}
