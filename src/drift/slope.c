/* Common slope of a characteristic against fill age within stretches of gas fills (analysis of
 * covariance with fixed effects), in the characteristic's unit per day.
 *
 *   x_gi = a_g + b age_gi + error      one intercept a_g a stretch g, one slope b for all
 *   b = Sxy / Sxx,  sums over all values of products of deviations from their stretch's means
 *   se = sqrt(RSS / df / Sxx),  df = n - stretches - 1,  interval b -/+ t(0.975; df) se
 *
 * Requirements
 *   S1  Only differences of age within a stretch matter: values of unknown fill age count for the
 *       slope, but not for the mean and oldest age.
 *   S2  `use`, in this order: under 3 gas fills, or no value of known age: BT_AGE_NO_FILLS;
 *       under 10 degrees of freedom: BT_AGE_FEW_DF; |t| not beyond t(0.975; df):
 *       BT_AGE_NOT_SIGNIFICANT; else BT_AGE_USED. Stretches of one fill are one fill: a drift
 *       inside it must not pass for ageing.
 *   S3  A stretch of one value, or of one age, counts with its intercept; it tells nothing of b.
 *       Where no stretch tells anything, b, se and t are 0.
 *   S4  Without degrees of freedom se and t are 0 and the interval is b alone; with a perfect
 *       fit se is 0 and t infinite, or 0 where b is 0.
 *
 * The slope is gas ageing plus what else is lost meanwhile. Source: Snedecor and Cochran,
 * Statistical Methods, chapter on analysis of covariance. Checked against R's lm
 * (tests/published/drift/slope.c), by the coverage of its interval and by plain loops
 * (tests/unit/drift/slope.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#define LEAST_FILLS 3
#define LEAST_DF    10

/* One stretch: its first values, and the means as distances from them, so that a stretch of one age
 * has deviations of exactly 0. */
typedef struct group {
  size_t n;
  double first_age, first_value;
  double age, value;
} group;

/* Gathers the groups' means, and the mean and oldest of the known ages. Gives how many are known.
 */
static size_t gather(const double *value, const double *age, const int32_t *fill,
                     const int32_t *stretch, const uint8_t *known, const uint8_t *use, size_t n,
                     group *groups, bt_slope *slope) {
  double ages = 0;
  size_t aged = 0;
  int32_t last_fill = -1;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    group *of = &groups[stretch[i]];
    if (of->n++ == 0) {
      of->first_age = age[i];
      of->first_value = value[i];
      slope->stretches++;
    }
    slope->fills += slope->n == 0 || fill[i] != last_fill;
    last_fill = fill[i];
    of->age += age[i] - of->first_age;
    of->value += value[i] - of->first_value;
    slope->n++;
    if (known[i] != 0) { /* S1 */
      ages += age[i];
      slope->oldest_age_days = fmax(slope->oldest_age_days, age[i]);
      aged++;
    }
  }
  if (aged > 0)
    slope->mean_age_days = ages / (double)aged;
  return aged;
}

/* Deviations of a value from its group's means. */
static inline double age_from_mean(const group *of, double age) {
  return age - of->first_age - of->age;
}

static inline double value_from_mean(const group *of, double value) {
  return value - of->first_value - of->value;
}

/* b, its standard error, t and interval. The residuals are summed anew: a difference of large sums
 * would lose them. */
static void fit(const double *value, const double *age, const int32_t *stretch, const uint8_t *use,
                size_t n, const group *groups, bt_slope *slope) {
  double sxx = 0, sxy = 0, rss = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    const group *of = &groups[stretch[i]];
    double x = age_from_mean(of, age[i]);
    sxx += x * x;
    sxy += x * value_from_mean(of, value[i]);
  }
  if (!(sxx > 0))
    return; /* S3 */
  slope->per_day = slope->low = slope->high = sxy / sxx;
  if (slope->df < 1)
    return; /* S4 */

  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    const group *of = &groups[stretch[i]];
    double residual = value_from_mean(of, value[i]) - slope->per_day * age_from_mean(of, age[i]);
    rss += residual * residual;
  }
  slope->se = sqrt(rss / slope->df / sxx);
  double half = gsl_cdf_tdist_Pinv(0.975, slope->df) * slope->se;
  slope->low = slope->per_day - half;
  slope->high = slope->per_day + half;
  if (slope->se > 0)
    slope->t = slope->per_day / slope->se;
  else
    slope->t = slope->per_day == 0 ? 0 : copysign(INFINITY, slope->per_day); /* S4 */
}

/* S2 */
static bt_age_use decide(const bt_slope *slope, size_t aged) {
  if (slope->fills < LEAST_FILLS || aged == 0)
    return BT_AGE_NO_FILLS;
  if (slope->df < LEAST_DF)
    return BT_AGE_FEW_DF;
  return fabs(slope->t) > gsl_cdf_tdist_Pinv(0.975, slope->df) ? BT_AGE_USED
                                                               : BT_AGE_NOT_SIGNIFICANT;
}

bt_status bt_slope_fit(const double *value, const double *age_days, const int32_t *fill,
                       const int32_t *stretch, const uint8_t *known, const uint8_t *use, size_t n,
                       bt_slope *slope, bt_error *error) {
  *slope = (bt_slope){0};
  int32_t last = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] != 0 && stretch[i] < 0)
      return bt_fail(error, BT_INPUT,
                     "value %zu belongs to no stretch of a gas fill; leave it out of the slope",
                     i + 1);
    if (use[i] != 0 && stretch[i] > last)
      last = stretch[i];
  }
  group *groups = bt_new((size_t)last + 1, sizeof *groups);
  if (groups == NULL)
    return bt_fail_memory(error);

  size_t aged = gather(value, age_days, fill, stretch, known, use, n, groups, slope);
  for (int32_t g = 0; g <= last; g++) {
    if (groups[g].n == 0)
      continue;
    groups[g].age /= (double)groups[g].n;
    groups[g].value /= (double)groups[g].n;
  }
  slope->df = (double)slope->n - (double)slope->stretches - 1;
  fit(value, age_days, stretch, use, n, groups, slope);
  slope->use = decide(slope, aged);
  free(groups);
  return BT_OK;
}
