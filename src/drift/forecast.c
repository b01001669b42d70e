/* When will a drift matter? Days on the zero of the values' days; values in their unit.
 *
 *   mean   : m(t) = a + b max(0, t - onset), the hinge; of a gas fill at its oldest usual age A_old
 *            it is m(t) + s (A_old - A), values having been moved to the age A along the slope s
 *   mean_at: the day that mean meets the tolerance limit that b leads to
 *   its set: all days T with n ln(RSS(T) / RSS) <= 3.84, RSS(T) the least over all onsets and
 *            slopes of the lines that meet the limit at T
 *   fail_5, fail_50 : the days by which a raw check outside tolerance has come with a probability
 *            of 5 % and 50 %: checks at an even rate, each at the oldest usual age, normal about
 *            the mean with check_sigma, averaged over onset, a and b
 *
 * Requirements
 *   R1  None below the look's threshold, or where a step explains the values better by more than
 *       the hinge's set allows (3.84), or a slope that ended (C6 of change_dates.c): neither says
 *       anything of what comes.
 *   R2  None where the trend of the levels has the other sign, or isn't given: the two disagree.
 *   R3  None without a limit on the side that the mean moves to; none once the mean is beyond it.
 *   R4  The set begins on the last day at the earliest. Its end is open ("no finite date") where
 *       days a century away belong to it.
 *   R5  A probability that isn't reached within 20 years has no day.
 *   R6  It doesn't forecast what a refill or a cleaning would restore.
 *   R7  step_possible: a step is short of the hinge by 3.84 or less. After a step that nobody
 *       recorded a hinge may pass for a while. In simulation a forecast was given, with this word,
 *       after 19, 4 and under 1 % of steps of 2 sigma that were 20, 40 and 80 values ago, and after
 *       13 to 27 % of those of 1 sigma.
 *   R8  per_day_se, independent of what else is fitted, widens what the average runs over, and the
 *       set: with d the best line's distance from the limit at T, the ratio there is taken as
 *       ratio d^2 / (d^2 + ratio (se (T - onset))^2), as for a normal distance of both variances.
 *
 * The average: onsets spread evenly over those whose likelihood is exp(-6) of the largest or more,
 * weighted with their profile likelihood exp(-LR/2); for each, the errors of the mean and of b are
 * independent normals, at 5 x 5 Gauss-Hermite nodes. sigma is taken as known.
 *
 * Accuracy, by simulation: on a day chosen beforehand the first failure came by fail_5 in 5 % and
 * by fail_50 in 51 %, and the set held the day in 97 %. On the very day that a drift first passes
 * its threshold (chosen because the slope looked steep) 2 to 3 %, 37 to 40 %, and 82 to 86 %: the
 * dates are then rather too early.
 * Sources: this program's design, section 7; profile likelihood: Venzon and Moolgavkar, Applied
 * Statistics 37 (1988). Checked against R's lm with the line through the limit
 * (tests/published/drift/forecast.c), single checks counted one by one, and how often the days come
 * true in simulated laser years (tests/unit/drift/forecast.c). */
#include "beamtally/drift.h"
#include "drift_failures.h"
#include "drift_hinge.h"

#include <gsl/gsl_integration.h>
#include <math.h>
#include <stdlib.h>

static const double bound = 3.841458820694124, widest = 12, century = 36525, horizon = 7305;

enum { ONSETS = 60, NODES = 5, HALVINGS = 60 };

/* The ramps of the onsets, and what a line through the limit is fitted to. */
typedef struct profile {
  const drift_hinge *of;
  size_t n;
  drift_ramp *ramp;
  drift_ramp best;
  double limit;      /* for the mean at the age that the values were moved to, less their mean */
  double last;       /* day */
  double per_day_se; /* R8 */
} profile;

/* How far that onset's likelihood ratio falls short of the best one's. */
static double short_of(const profile *p, const drift_ramp *ramp) {
  size_t n = p->of->n;
  return drift_likelihood_ratio(n, p->of->total, p->best.explained) -
         drift_likelihood_ratio(n, p->of->total, ramp->explained);
}

/* n ln(RSS(T) / RSS), and R8. */
static double meeting_ratio(const profile *p, double day) {
  double n = (double)p->of->n, total = p->of->total, c = p->limit, least = INFINITY;
  for (size_t k = 0; k < p->n; k++) {
    const drift_ramp *ramp = &p->ramp[k];
    double x = day - ramp->onset;
    double product = ramp->xy - c * ramp->x + n * c * x;
    double squares = ramp->xx - 2 * x * ramp->x + n * x * x;
    least = fmin(least, total + n * c * c - product * product / squares);
  }
  double left = fmax(total - p->best.explained, 1e-12 * total);
  double ratio = n * log(fmax(least, left) / left), slope = p->best.xy / p->best.sxx;
  double off = slope * (day - p->best.onset - p->best.x / n) - c;
  double more = p->per_day_se * (day - p->best.onset); /* R8 */
  return more == 0 ? ratio : ratio * off * off / (off * off + ratio * more * more);
}

/* The end of the set between a day inside and one outside it. */
static double edge(const profile *p, double inside, double outside) {
  for (int step = 0; step < HALVINGS; step++) {
    double middle = (inside + outside) / 2;
    if (meeting_ratio(p, middle) <= bound)
      inside = middle;
    else
      outside = middle;
  }
  return inside;
}

/* R4 */
static void set_meeting(const profile *p, double slope, bt_forecast *forecast) {
  double before = -slope * p->best.x / (double)p->of->n; /* from the values' mean */
  forecast->mean_at = p->best.onset + (p->limit - before) / slope;
  forecast->mean_from = p->last;
  if (meeting_ratio(p, p->last) > bound)
    forecast->mean_from = edge(p, forecast->mean_at, p->last);
  double ahead = fmax(forecast->mean_at - p->last, 1);
  while (ahead < century && meeting_ratio(p, forecast->mean_at + ahead) <= bound)
    ahead *= 2;
  forecast->has_mean_to = meeting_ratio(p, forecast->mean_at + ahead) > bound;
  if (forecast->has_mean_to)
    forecast->mean_to = edge(p, forecast->mean_at, forecast->mean_at + ahead);
}

/* One line that the values allow: how far beyond the limit its mean lies on the last day, how fast
 * it moves there, in sigma of a check, and how likely it is. */
typedef struct line {
  double beyond, per_day, weight;
} line;

/* Lines about the onsets of [from, to]. */
static size_t gather_lines(const profile *p, const bt_forecast_basis *basis, double sigma,
                           double from, double to, const gsl_integration_fixed_workspace *hermite,
                           line *lines) {
  const double *node = gsl_integration_fixed_nodes(hermite);
  const double *weight = gsl_integration_fixed_weights(hermite);
  double n = (double)p->of->n, side = p->best.xy < 0 ? -1 : 1, sum = 0;
  size_t count = 0;
  for (int k = 0; k < ONSETS; k++) {
    drift_ramp ramp = drift_hinge_at(p->of, from + (to - from) * (k + 0.5) / ONSETS);
    double likelihood = exp(-short_of(p, &ramp) / 2), slope = ramp.xy / ramp.sxx;
    for (int i = 0; i < NODES; i++)
      for (int j = 0; j < NODES; j++) {
        double b = slope + hypot(sigma / sqrt(ramp.sxx), basis->per_day_se) * node[j];
        double mean = sigma / sqrt(n) * node[i] + b * (p->last - ramp.onset - ramp.x / n);
        lines[count] = (line){.beyond = side * (mean - p->limit) / basis->check_sigma,
                              .per_day = side * b / basis->check_sigma,
                              .weight = likelihood * weight[i] * weight[j]};
        sum += lines[count++].weight;
      }
  }
  for (size_t k = 0; k < count; k++)
    lines[k].weight /= sum;
  return count;
}

/* Probability of no failure within so many days of the last one. */
static double none_within(const line *lines, size_t n, const drift_failures *failures,
                          double checks_a_day, double days) {
  double none = 0;
  for (size_t k = 0; k < n; k++) {
    double mean =
        drift_failures_mean(failures, lines[k].beyond, lines[k].beyond + days * lines[k].per_day);
    none += lines[k].weight * exp(-checks_a_day * days * mean);
  }
  return none;
}

/* R5 */
static bool day_of_failure(const line *lines, size_t n, const drift_failures *failures,
                           double checks_a_day, double probability, double *days) {
  double low = 0, high = horizon;
  if (none_within(lines, n, failures, checks_a_day, high) > 1 - probability)
    return false;
  for (int step = 0; step < HALVINGS; step++) {
    double middle = (low + high) / 2;
    if (none_within(lines, n, failures, checks_a_day, middle) > 1 - probability)
      low = middle;
    else
      high = middle;
  }
  *days = high;
  return true;
}

static bt_status set_failures(const profile *p, const bt_forecast_basis *basis,
                              bt_forecast *forecast, bt_error *error) {
  bt_status status = BT_OK;
  line *lines = bt_new((size_t)ONSETS * NODES * NODES, sizeof *lines);
  drift_failures *failures = bt_new(1, sizeof *failures);
  gsl_integration_fixed_workspace *hermite =
      gsl_integration_fixed_alloc(gsl_integration_fixed_hermite, NODES, 0, 0.5, 0, 0);
  if (lines == NULL || failures == NULL || hermite == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  double from = p->best.onset, to = from, days = 0;
  for (size_t k = 0; k < p->n; k++)
    if (short_of(p, &p->ramp[k]) <= widest) {
      from = fmin(from, p->ramp[k].onset);
      to = fmax(to, p->ramp[k].onset);
    }
  double rss = fmax(p->of->total - p->best.explained, 0);
  double sigma = sqrt(rss / ((double)p->of->n - 3));
  drift_failures_make(failures);
  size_t n = gather_lines(p, basis, sigma, from, to, hermite, lines);
  forecast->has_fail_5 = day_of_failure(lines, n, failures, basis->checks_a_day, 0.05, &days);
  forecast->fail_5 = forecast->has_fail_5 ? p->last + days : 0;
  forecast->has_fail_50 = day_of_failure(lines, n, failures, basis->checks_a_day, 0.5, &days);
  forecast->fail_50 = forecast->has_fail_50 ? p->last + days : 0;
done:
  free(lines);
  free(failures);
  if (hermite != NULL)
    gsl_integration_fixed_free(hermite);
  return status;
}

/* R1 to R3, but for what only the fit tells. */
static bt_forecast_use decide(const bt_change *change, const bt_forecast_basis *basis,
                              bt_forecast *forecast) {
  double slope = change->hinge.per_day;
  if (!change->hinge.given || change->n < 4 || !basis->look.given ||
      !(change->hinge.likelihood_ratio > basis->look.threshold))
    return BT_FORECAST_NO_DRIFT;
  bool ended = change->levelled && change->kind == BT_CHANGE_STEP;
  if (ended || change->step.likelihood_ratio > change->hinge.likelihood_ratio + bound)
    return BT_FORECAST_STEP;
  if (!basis->trend.given || !(basis->trend.slope * slope > 0))
    return BT_FORECAST_SIGNS_DIFFER;
  forecast->step_possible =
      change->step.likelihood_ratio >= change->hinge.likelihood_ratio - bound; /* R7 */
  forecast->side = slope < 0 ? BT_LOW : BT_HIGH;
  if (slope < 0 ? !basis->has_low : !basis->has_high)
    return BT_FORECAST_NO_LIMIT;
  forecast->limit = slope < 0 ? basis->low : basis->high;
  return BT_FORECAST_GIVEN;
}

static bt_status compute(const bt_change *change, const bt_forecast_basis *basis, profile *p,
                         bt_forecast *forecast, bt_error *error) {
  size_t n = 0;
  drift_ramp *ramp = drift_hinge_ramps(p->of, &n);
  p->ramp = bt_new(n + 1, sizeof *p->ramp);
  if (ramp == NULL || p->ramp == NULL) {
    free(ramp);
    return bt_fail_memory(error);
  }
  for (size_t k = 0; k < n; k++)
    if (short_of(p, &ramp[k]) <= widest)
      p->ramp[p->n++] = ramp[k];
  p->ramp[p->n++] = p->best; /* a peak between them */
  free(ramp);
  double slope = change->hinge.per_day;
  double now = slope * (p->last - p->best.onset - p->best.x / (double)p->of->n);
  if (slope < 0 ? now <= p->limit : now >= p->limit) { /* R3 */
    forecast->use = BT_FORECAST_BEYOND;
    return BT_OK;
  }
  set_meeting(p, slope, forecast);
  return set_failures(p, basis, forecast, error);
}

bt_status bt_forecast_find(const double *day, const double *value, size_t n,
                           const bt_change *change, const bt_forecast_basis *basis,
                           bt_forecast *forecast, bt_error *error) {
  *forecast = (bt_forecast){0};
  if (change->n != n)
    return bt_fail(error, BT_USAGE, "the change is not that of these values; find it first");
  forecast->use = decide(change, basis, forecast);
  if (forecast->use != BT_FORECAST_GIVEN)
    return BT_OK;
  if (!(basis->check_sigma > 0) || !(basis->checks_a_day > 0))
    return bt_fail(error, BT_USAGE,
                   "a forecast needs the scatter of a check and the rate of checking, above 0");
  drift_hinge of;
  bt_status status = drift_hinge_make(day, value, n, &of, error);
  profile p = {.of = &of, .last = day[n - 1], .per_day_se = basis->per_day_se};
  if (status == BT_OK) {
    p.best = drift_hinge_at(&of, change->hinge.day);
    double older = basis->oldest_age_days - basis->mean_age_days;
    p.limit = forecast->limit - basis->within_per_day * older - of.mean;
    status = compute(change, basis, &p, forecast, error);
  }
  free(p.ramp);
  drift_hinge_free(&of);
  return status;
}
