/* Level of each gas fill: the fitted value at the baseline's mean fill age, in the characteristic's
 * unit, so that fills can be compared whatever ages they were checked at.
 *
 *   level_f = mean of value_i - b (mean of age_i - A)     over the m values of the fill
 *   se_f^2  = sigma^2 / m + (mean of age_i - A)^2 se_b^2
 *   sigma^2 = RSS / df, RSS the squares of value about level_f + b (age - A) over all fills of the
 *             window with a level; df = sum of (m - 1), less 1 where b was fitted to these values
 *
 *   own slope of the fill: least squares within it, se with m - 2 degrees of freedom
 *
 * Requirements
 *   L1  A fill has a level with 2 values or more that take part and are of known fill age; a fill
 *       whose refill isn't known has none.
 *   L2  Without a slope b, se_b and A are 0: the level is the mean of the fill's values.
 *   L3  Without degrees of freedom sigma and se are 0.
 *   L4  The level stands at the mean day of its values.
 *   L5  A fill of one age has no slope of its own; one of 2 values has a slope without an error.
 *   L6  `use` restricts the values to a window (window.c); of a fill that it cuts only what came
 *       after takes part.
 *
 * Errors of b are common to all levels: differences of levels of fills checked at like ages are
 * known better than the levels. Source: Snedecor and Cochran, Statistical Methods, chapter on
 * analysis of covariance. Checked against R's predict of an lm (tests/published/drift/levels.c), by
 * hand and by simulation (tests/unit/drift/levels.c). */
#include "beamtally/drift.h"

#include <math.h>

/* Sums over the values of one fill, of deviations from its means. */
typedef struct within {
  double sxx, sxy, syy;
} within;

static bool takes_part(const uint8_t *known, const uint8_t *use, size_t i) {
  return use[i] != 0 && known[i] != 0;
}

/* Means of the values [from, to) that take part. */
static bt_level means(const double *day, const double *value, const double *age,
                      const uint8_t *known, const uint8_t *use, size_t from, size_t to) {
  bt_level level = {0};
  for (size_t i = from; i < to; i++) {
    if (!takes_part(known, use, i))
      continue;
    level.n++;
    level.day += (day[i] - level.day) / (double)level.n;
    level.age_days += (age[i] - level.age_days) / (double)level.n;
    level.value += (value[i] - level.value) / (double)level.n;
  }
  return level;
}

static within deviations(const double *value, const double *age, const uint8_t *known,
                         const uint8_t *use, size_t from, size_t to, const bt_level *mean) {
  within of = {0};
  for (size_t i = from; i < to; i++) {
    if (!takes_part(known, use, i))
      continue;
    double x = age[i] - mean->age_days, y = value[i] - mean->value;
    of.sxx += x * x;
    of.sxy += x * y;
    of.syy += y * y;
  }
  return of;
}

/* L5 */
static void set_own_slope(bt_level *level, const within *of) {
  if (!(of->sxx > 0))
    return;
  level->has_slope = true;
  level->slope = of->sxy / of->sxx;
  double rss = fmax(of->syy - level->slope * of->sxy, 0);
  if (level->n > 2)
    level->slope_se = sqrt(rss / (double)(level->n - 2) / of->sxx);
}

bt_status bt_levels_fit(const double *day, const double *value, const double *age_days,
                        const int32_t *fill, const uint8_t *known, const uint8_t *use, size_t n,
                        const bt_slope *slope, bool fitted, bt_level *level, bt_levels *levels,
                        bt_error *error) {
  *levels = (bt_levels){0};
  if (slope != NULL) {
    levels->per_day = slope->per_day;
    levels->at_age_days = slope->mean_age_days;
  }
  double rss = 0, df = fitted && slope != NULL ? -1 : 0;
  for (size_t from = 0, to; from < n; from = to) {
    for (to = from + 1; to < n && fill[to] == fill[from];)
      to++;
    if (to < n && fill[to] < fill[from])
      return bt_fail(error, BT_INPUT, "value %zu is of an earlier gas fill than the one before it",
                     to + 1);
    bt_level mean = means(day, value, age_days, known, use, from, to);
    if (mean.n < 2)
      continue; /* L1 */
    within of = deviations(value, age_days, known, use, from, to, &mean);
    mean.fill = fill[from];
    set_own_slope(&mean, &of);
    mean.value -= levels->per_day * (mean.age_days - levels->at_age_days);
    rss += of.syy - 2 * levels->per_day * of.sxy + levels->per_day * levels->per_day * of.sxx;
    df += (double)(mean.n - 1);
    level[levels->n++] = mean;
  }
  if (df < 1)
    return BT_OK; /* L3 */

  levels->df = df;
  levels->sigma = sqrt(fmax(rss, 0) / df);
  for (size_t f = 0; f < levels->n; f++) {
    double away = level[f].age_days - levels->at_age_days;
    double se_b = slope != NULL ? slope->se : 0;
    level[f].se =
        sqrt(levels->sigma * levels->sigma / (double)level[f].n + away * away * se_b * se_b);
  }
  return BT_OK;
}
