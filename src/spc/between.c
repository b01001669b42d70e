/* Is there variation between days? One-way analysis of variance of values in groups, a pure
 * probability.
 *
 *   F = [sum of n_g (mean_g - mean)^2 / (k - 1)] / [sum of (x - mean_g)^2 / (N - k)]
 *   p = P(F(k-1, N-k) > F)          k groups of n_g values, N in all; the groups' sizes may differ
 *
 * Requirements
 *   B1  Values that don't take part are left out; a group without any is none.
 *   B2  p is 1 where there are under two groups, no group has two values, or all values are alike.
 *   B3  p is 0 where the groups differ and no value differs from its own group's mean.
 *
 * Under the hypothesis that days share one mean, F has this distribution exactly for normal values
 * of one variance. Source: Fisher, Statistical Methods for Research Workers (1925), chapter VII.
 * Checked against base R's lm and anova (tests/published/spc/between_reference.R) and a plain loop
 * (tests/unit/spc/between.c). */
#include "beamtally/spc.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* What the values come to, read twice: for the mean of all, then for the sums of squares. */
typedef struct between_sums {
  size_t n, groups;
  double mean;
  double within, between; /* sums of squares */
} between_sums;

/* The end of the group that begins at `from`, and its count and mean (0 where none takes part).
 * Distances from its first value are summed, so that equal values have that very mean. */
static size_t group_mean(const double *value, const int32_t *group, const uint8_t *use, size_t from,
                         size_t n, size_t *count, double *mean) {
  double first = 0, distance = 0;
  size_t i = from;
  *count = 0;
  for (; i < n && group[i] == group[from]; i++) {
    if (use[i] == 0)
      continue; /* B1 */
    if ((*count)++ == 0)
      first = value[i];
    distance += value[i] - first;
  }
  *mean = *count > 0 ? first + distance / (double)*count : 0;
  return i;
}

static between_sums sum_up(const double *value, const int32_t *group, const uint8_t *use,
                           size_t n) {
  between_sums sums = {0};
  double first = 0, distance = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    if (sums.n++ == 0)
      first = value[i];
    distance += value[i] - first;
  }
  if (sums.n > 0)
    sums.mean = first + distance / (double)sums.n;

  for (size_t from = 0, to = 0; from < n; from = to) {
    size_t count = 0;
    double mean = 0;
    to = group_mean(value, group, use, from, n, &count, &mean);
    if (count == 0)
      continue;
    sums.groups++;
    sums.between += (double)count * (mean - sums.mean) * (mean - sums.mean);
    for (size_t i = from; i < to; i++)
      if (use[i] != 0)
        sums.within += (value[i] - mean) * (value[i] - mean);
  }
  return sums;
}

bt_status bt_between_days(const double *value, const int32_t *group, const uint8_t *use, size_t n,
                          double *p, bt_error *error) {
  *p = 1;
  between_sums sums = sum_up(value, group, use, n);
  if (!isfinite(sums.between) || !isfinite(sums.within))
    return bt_fail(error, BT_INPUT,
                   "the values are too large to compare days; leave wild readings out of the "
                   "baseline");
  if (sums.groups < 2 || sums.n == sums.groups || sums.between == 0)
    return BT_OK; /* B2 */
  if (sums.within == 0) {
    *p = 0; /* B3 */
    return BT_OK;
  }
  double between_df = (double)(sums.groups - 1), within_df = (double)(sums.n - sums.groups);
  *p = gsl_cdf_fdist_Q((sums.between / between_df) / (sums.within / within_df), between_df,
                       within_df);
  return BT_OK;
}
