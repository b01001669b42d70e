/* Kendall's test of a trend: rank correlation of values with their order. Tau is a pure number
 * within -1 .. 1, p a two-sided probability.
 *
 *   S = sum over i < j of sign(x_j - x_i)      tau = S / sqrt(N (N - T)),  N = n(n-1)/2 pairs,
 *                                              T = pairs of equal values (tau-b)
 *   up to 40 values without ties: p = 2 P(S >= |S|) over all orders, at most 1
 *   else: Z = (|S| - 1) / sqrt(V),  V = [n(n-1)(2n+5) - sum of t(t-1)(2t+5)] / 18 over groups of t
 *         equal values, p = 2 Q(Z)
 *
 * Requirements
 *   K1  Values are equal where they are the same number.
 *   K2  Under two values, or all alike: tau 0 and p 1.
 *   K3  S = 0 has p 1.
 *
 * The exact distribution is that of the number of inversions of a random order: adding an i-th
 * value makes 0 .. i-1 new ones, each in as many orders. Orders are counted, not their chances: the
 * smallest counts, which the smallest p come from, are whole numbers without rounding. Source:
 * Kendall, Rank Correlation Methods (1948); Mann, Econometrica 13 (1945). Checked against base R's
 * cor.test (tests/published/spc/kendall_reference.R), counts over all orders and pairs taken one by
 * one (tests/unit/spc/kendall.c). */
#include "beamtally/spc.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

enum { MOST_EXACT = 40, MOST_INVERSIONS = MOST_EXACT * (MOST_EXACT - 1) / 2 };

/* P(S >= s) for n values in random order, s >= 0: at most (N - s)/2 inversions. */
static double upper_tail(size_t n, int64_t s) {
  double orders[MOST_INVERSIONS + 1] = {1}; /* of so many inversions */
  size_t most = (n * (n - 1) / 2 - (size_t)s) / 2;
  for (size_t i = 2; i <= n; i++) {
    for (size_t k = 1; k <= most; k++)
      orders[k] += orders[k - 1];
    for (size_t k = most; k >= i; k--)
      orders[k] -= orders[k - i]; /* what is left is the sum over the last i */
  }
  double sum = 0;
  for (size_t k = 0; k <= most; k++)
    sum += orders[k];
  return sum / tgamma((double)n + 1);
}

bt_status bt_kendall(const double *value, size_t n, double *tau, double *p, bt_error *error) {
  *tau = 0;
  *p = 1;
  if (n > UINT32_MAX)
    return bt_fail(error, BT_INPUT, "%zu values are too many for a test of trend", n);
  int64_t s = 0;
  double ties = 0, tied_pairs = 0; /* sums over groups of t(t-1)(2t+5), of t(t-1)/2 */
  for (size_t i = 0; i < n; i++) {
    double alike = 1; /* K1: values equal to this one, itself too */
    for (size_t j = 0; j < n; j++) {
      if (j > i)
        s += (value[j] > value[i]) - (value[j] < value[i]);
      alike += j != i && value[j] == value[i];
    }
    ties += (alike - 1) * (2 * alike + 5); /* t members of a group give this each */
    tied_pairs += (alike - 1) / 2;
  }
  double count = (double)n, pairs = count * (count - 1) / 2;
  if (n < 2 || tied_pairs >= pairs)
    return BT_OK; /* K2 */

  *tau = (double)s / sqrt(pairs * (pairs - tied_pairs));
  if (s == 0)
    return BT_OK; /* K3 */
  int64_t size = s < 0 ? -s : s;
  if (n <= MOST_EXACT && tied_pairs == 0) {
    *p = fmin(1, 2 * upper_tail(n, size));
    return BT_OK;
  }
  double variance = (count * (count - 1) * (2 * count + 5) - ties) / 18;
  *p = 2 * gsl_cdf_ugaussian_Q(((double)size - 1) / sqrt(variance));
  return BT_OK;
}
