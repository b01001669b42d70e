/* Trend of values over time, robustly: the Theil-Sen slope with Kendall's interval, in the values'
 * unit per day.
 *
 *   slope    = median of the N slopes (y_j - y_i)/(x_j - x_i) of all pairs with different x
 *   line     : along that slope, half of the values above it: through the median of
 *              y_i - slope (x_i - x_1)
 *   S        = sum of their signs
 *   interval : k the smallest number of S's parity with P(S >= k) <= 0.025, C = k - 2; from the
 *              ordered slope (N - C)/2 to the ordered slope (N + C)/2 + 1, counted from 1
 *   P        : over all orders of n values, exact up to n = 40 without equal values; else normal,
 *              S less 1 over sqrt(V), V that of Kendall's test with its correction for ties
 *
 * Requirements
 *   T1  No interval where none of 95 % exists: 4 values or fewer, or too many ties.
 *   T2  The confidence printed is 1 - 2 P(S >= k): 95 % or more.
 *   T3  The days never fall. Pairs of one day have no slope; they count as ties of x.
 *   T4  Under two values, or all on one day: nothing is given.
 *
 * Sources: Theil, Indagationes Mathematicae 12 (1950); Sen, Journal of the American Statistical
 * Association 63 (1968); Kendall, Rank Correlation Methods (1948). Checked against base R's
 * cor.test and a worked example (tests/published/drift/levels.c), the test of which the interval is
 * the inverse, and by the interval's coverage (tests/unit/drift/theil_sen.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { MOST_EXACT = 40, MOST_INVERSIONS = MOST_EXACT * (MOST_EXACT - 1) / 2, MOST_VALUES = 5000 };

static const double tail = 0.025;

/* How S is distributed where nothing trends. */
typedef struct null_of_s {
  bool exact;
  size_t n;
  double variance;
} null_of_s;

/* P(S >= s), s >= 0: that of at most (N - s)/2 inversions of a random order. */
static double exact_tail(size_t n, int64_t s) {
  double orders[MOST_INVERSIONS + 1] = {1}, sum = 0;
  int64_t pairs = (int64_t)(n * (n - 1) / 2);
  if (s > pairs)
    return 0;
  size_t most = (size_t)(pairs - s) / 2;
  for (size_t i = 2; i <= n; i++) {
    for (size_t k = 1; k <= most; k++)
      orders[k] += orders[k - 1];
    for (size_t k = most; k >= i; k--)
      orders[k] -= orders[k - i]; /* what is left is the sum over the last i */
  }
  for (size_t k = 0; k <= most; k++)
    sum += orders[k];
  return sum / tgamma((double)n + 1);
}

static double upper_tail(const null_of_s *null, int64_t s) {
  return null->exact ? exact_tail(null->n, s)
                     : gsl_cdf_ugaussian_Q(((double)s - 1) / sqrt(null->variance));
}

/* Sums over groups of t equal numbers, that never fall. */
typedef struct ties {
  double fives, threes, twos; /* of t(t-1)(2t+5), t(t-1)(t-2), t(t-1) */
} ties;

static ties ties_of(const double *sorted, size_t n) {
  ties found = {0};
  for (size_t from = 0, to; from < n; from = to) {
    for (to = from + 1; to < n && sorted[to] == sorted[from];)
      to++;
    double t = (double)(to - from);
    found.fives += t * (t - 1) * (2 * t + 5);
    found.threes += t * (t - 1) * (t - 2);
    found.twos += t * (t - 1);
  }
  return found;
}

static null_of_s null_of(size_t n, const ties *x, const ties *y) {
  double count = (double)n, all = count * (count - 1);
  double variance = (all * (2 * count + 5) - x->fives - y->fives) / 18;
  variance += x->twos * y->twos / (2 * all);
  if (n > 2)
    variance += x->threes * y->threes / (9 * all * (count - 2));
  return (null_of_s){
      .exact = n <= MOST_EXACT && x->twos == 0 && y->twos == 0, .n = n, .variance = variance};
}

/* Slopes of all pairs of different days; S. They are half a million for a thousand values: what is
 * wanted of their order is selected, which takes a tenth of sorting them. */
static void take_slopes(const double *day, const double *value, size_t n, double *slope,
                        bt_trend *trend) {
  for (size_t i = 0; i < n; i++)
    for (size_t j = i + 1; j < n; j++) {
      if (!(day[j] > day[i]))
        continue; /* T3 */
      slope[trend->pairs++] = (value[j] - value[i]) / (day[j] - day[i]);
      trend->s += (value[j] > value[i]) - (value[j] < value[i]);
    }
}

/* Quickselect leaves no larger slopes before the one it found and no smaller ones after it: the
 * lower of two middle slopes is the largest before the upper one. */
static double select_median(double *slope, size_t n) {
  double upper = gsl_stats_select(slope, 1, n, n / 2);
  if (n % 2 == 1)
    return upper;
  return (gsl_stats_max(slope, 1, n / 2) + upper) / 2;
}

/* Smallest k of the number of pairs' parity with P(S >= k) <= tail; above it where there is none.
 */
static int64_t bound_of(const null_of_s *null, int64_t pairs) {
  int64_t k = pairs;
  if (!null->exact) {
    k = (int64_t)ceil(gsl_cdf_ugaussian_Qinv(tail) * sqrt(null->variance) + 1);
    return k + (pairs - k) % 2 * (k < pairs ? 1 : -1);
  }
  if (upper_tail(null, k) > tail)
    return pairs + 2;
  while (upper_tail(null, k - 2) <= tail)
    k -= 2;
  return k;
}

/* Once the median was selected, each end is sought in its own half. */
static void set_interval(double *slope, const null_of_s *null, bt_trend *trend) {
  int64_t pairs = (int64_t)trend->pairs, k = bound_of(null, pairs), c = k - 2;
  if (k > pairs || c < 0)
    return; /* T1 */
  trend->has_interval = true;
  size_t middle = trend->pairs / 2, high = (size_t)((pairs + c) / 2);
  trend->high = gsl_stats_select(slope + middle, 1, trend->pairs - middle, high - middle);
  trend->low = gsl_stats_select(slope, 1, middle + 1, (size_t)((pairs - c) / 2 - 1));
  trend->confidence = 1 - 2 * upper_tail(null, k); /* T2 */
}

/* The line's ends; `left` has room for n. */
static void set_line(const double *day, const double *value, size_t n, double *left,
                     bt_trend *trend) {
  for (size_t i = 0; i < n; i++)
    left[i] = value[i] - trend->slope * (day[i] - day[0]);
  gsl_sort(left, 1, n);
  trend->from_day = day[0];
  trend->to_day = day[n - 1];
  trend->from_value = gsl_stats_median_from_sorted_data(left, 1, n);
  trend->to_value = trend->from_value + trend->slope * (trend->to_day - trend->from_day);
}

bt_status bt_trend_find(const double *day, const double *value, size_t n, bt_trend *trend,
                        bt_error *error) {
  *trend = (bt_trend){.n = n, .p = 1};
  if (n > MOST_VALUES)
    return bt_fail(error, BT_INPUT, "%zu values are too many for a robust trend; give at most %d",
                   n, MOST_VALUES);
  for (size_t i = 1; i < n; i++)
    if (day[i] < day[i - 1])
      return bt_fail(error, BT_INPUT,
                     "value %zu of a trend is of an earlier day than the one "
                     "before it; give them in time order",
                     i + 1);
  double *slope = bt_new(n * (n > 0 ? n - 1 : 0) / 2, sizeof *slope);
  double *sorted = bt_new(n, sizeof *sorted);
  if (slope == NULL || sorted == NULL) {
    free(slope);
    free(sorted);
    return bt_fail_memory(error);
  }
  take_slopes(day, value, n, slope, trend);
  if (trend->pairs > 0) { /* T4 */
    for (size_t i = 0; i < n; i++)
      sorted[i] = value[i];
    gsl_sort(sorted, 1, n);
    ties of_day = ties_of(day, n), of_value = ties_of(sorted, n);
    null_of_s null = null_of(n, &of_day, &of_value);
    trend->given = true;
    trend->slope = select_median(slope, trend->pairs);
    int64_t size = trend->s < 0 ? -trend->s : trend->s;
    trend->p = size == 0 ? 1 : fmin(1, 2 * upper_tail(&null, size));
    if (null.variance > 0)
      set_interval(slope, &null, trend);
    set_line(day, value, n, sorted, trend);
  }
  free(slope);
  free(sorted);
  return BT_OK;
}
