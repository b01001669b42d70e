/* When did values change, and how: a step and a hinge by maximum likelihood, and what the better
 * one says of the last day. Days in days, means in the values' unit, slope per day.
 *
 *   step : y = before up to a date, after from there on    hinge: a line from an onset (hinge.c)
 *   LR   = n ln(T / RSS) of each, T about one mean; the better one is that with the larger LR
 *   rate : all slopes b of the hinge with n ln(RSS(b) / RSS) <= 3.84, RSS(b) the least over all
 *          onsets; of an onset that is b_o -/+ sqrt(b_o^2 - (T - RSS exp(3.84 / n)) / Sxx)
 *   gone : of a hinge b (last day - onset), all that the same bound allows; of a step after -
 * before, by t with n - 3 degrees of freedom
 *
 * Requirements
 *   C1  A step lies before its date: that of the first value after it. Two values at least stand on
 *       either side, and no step parts values of one day.
 *   C4  All values alike, or too few of them for either: kind BT_CHANGE_NONE, LR 0, only the mean.
 *       A kind with LR above 0 is what fits best, not yet a finding: looks.c has the threshold.
 *   C5  now is the better model's mean at the last day with its t interval, n - 3 degrees of
 *       freedom; with no kind it is the mean, n - 1. Given the date: what its choice adds isn't in
 *       it.
 *   C6  How far it has gone hardly depends on the onset, as a later one makes the line steeper: its
 *       interval is not that of the slope times the days.
 *   C2 and C3, of the band of dates: change_dates.c.
 *
 * Checked against the Nile series and R's lm (tests/published/drift/change.c) and plain loops
 * (tests/unit/drift/change.c). */
#include "beamtally/drift.h"
#include "drift_change.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

static const double hinge_bound = 3.841458820694124;

static void fit_step(const drift_hinge *of, bt_step *step) {
  for (size_t k = 1; k < of->n; k++) {
    double ratio = drift_step_ratio(of, k);
    if (ratio > step->likelihood_ratio) {
      step->likelihood_ratio = ratio;
      step->first = k;
      step->given = true;
    }
  }
  if (!step->given)
    return;
  double later = (double)(of->n - step->first), sum = of->from[step->first].value;
  step->day = of->day[step->first];
  step->before = of->mean - sum / (double)step->first;
  step->after = of->mean + sum / later;
}

/* How far a hinge has gone on the last day. */
typedef struct change_gone {
  double by, low, high;
} change_gone;

/* Widens the intervals of the slope and of how far it has gone by what that ramp allows. */
static void widen_rate(const drift_hinge *of, double most_left, const drift_ramp *ramp,
                       bt_hinge *hinge, change_gone *gone) {
  double slope = ramp->xy / ramp->sxx, days = of->day[of->n - 1] - ramp->onset;
  double room = slope * slope - (of->total - most_left) / ramp->sxx;
  if (room < 0)
    return;
  hinge->low = fmin(hinge->low, slope - sqrt(room));
  hinge->high = fmax(hinge->high, slope + sqrt(room));
  gone->low = fmin(gone->low, (slope - sqrt(room)) * days); /* C6 */
  gone->high = fmax(gone->high, (slope + sqrt(room)) * days);
}

static void set_rate(const drift_hinge *of, const drift_ramp *best, const drift_ramp *ramp,
                     size_t n, bt_hinge *hinge, change_gone *gone) {
  double left = fmax(of->total - best->explained, 0) * exp(hinge_bound / (double)of->n);
  hinge->low = hinge->high = hinge->per_day;
  gone->by = gone->low = gone->high = hinge->per_day * (of->day[of->n - 1] - best->onset);
  widen_rate(of, left, best, hinge, gone);
  for (size_t k = 0; k < n; k++)
    widen_rate(of, left, &ramp[k], hinge, gone);
}

static void fit_hinge(const drift_hinge *of, const drift_ramp *ramp, size_t n, bt_hinge *hinge,
                      drift_ramp *best, change_gone *gone) {
  if (n == 0 || !(of->total > 0))
    return;
  *best = drift_hinge_best(of, ramp, n);
  hinge->likelihood_ratio = drift_likelihood_ratio(of->n, of->total, best->explained);
  if (hinge->likelihood_ratio <= 0)
    return;
  hinge->given = true;
  hinge->day = best->onset;
  hinge->per_day = best->xy / best->sxx;
  hinge->before = of->mean - hinge->per_day * best->x / (double)of->n;
  set_rate(of, best, ramp, n, hinge, gone);
}

/* C5: x of the last value, of n with mean x / n and sum of squares sxx, at slope b. */
static void set_now(const drift_hinge *of, double explained, double x_last, double x, double sxx,
                    double slope, bt_change *change) {
  double n = (double)of->n, away = x_last - x / n, df = n - 3;
  change->now = change->now_low = change->now_high = of->mean + slope * away;
  if (df < 1)
    return;
  change->sigma = sqrt(fmax(of->total - explained, 0) / df);
  double half = gsl_cdf_tdist_Pinv(0.975, df) * change->sigma * sqrt(1 / n + away * away / sxx);
  change->now_low -= half;
  change->now_high += half;
}

static void set_unchanged(const drift_hinge *of, bt_change *change) {
  double df = (double)of->n - 1;
  change->now = change->now_low = change->now_high = of->mean;
  if (df < 1)
    return;
  change->sigma = sqrt(of->total / df);
  double half = gsl_cdf_tdist_Pinv(0.975, df) * change->sigma / sqrt((double)of->n);
  change->now_low -= half;
  change->now_high += half;
}

/* C4, C5 */
static void conclude(const drift_hinge *of, const drift_ramp *ramp, const change_gone *gone,
                     bt_change *change) {
  const bt_step *step = &change->step;
  const bt_hinge *hinge = &change->hinge;
  double n = (double)of->n;
  if (!step->given && !hinge->given) {
    set_unchanged(of, change);
    return;
  }
  bool ramps = hinge->given && hinge->likelihood_ratio > step->likelihood_ratio;
  change->kind = ramps ? BT_CHANGE_HINGE : BT_CHANGE_STEP;
  change->day = ramps ? hinge->day : step->day;
  change->likelihood_ratio = ramps ? hinge->likelihood_ratio : step->likelihood_ratio;
  if (ramps) {
    change->gone = gone->by;
    change->gone_low = gone->low;
    change->gone_high = gone->high;
    set_now(of, ramp->explained, of->day[of->n - 1] - ramp->onset, ramp->x, ramp->sxx,
            hinge->per_day, change);
    return;
  }
  double later = n - (double)step->first, sum = of->from[step->first].value;
  double explained = sum * sum * n / ((double)step->first * later);
  double sxx = later * (double)step->first / n;
  set_now(of, explained, 1, later, sxx, step->after - step->before, change);
  change->gone = change->gone_low = change->gone_high = step->after - step->before;
  if (n < 4)
    return;
  double half = gsl_cdf_tdist_Pinv(0.975, n - 3) * change->sigma / sqrt(sxx);
  change->gone_low -= half;
  change->gone_high += half;
}

double drift_change_shape(const bt_change *change, double day) {
  if (change->kind == BT_CHANGE_STEP)
    return day >= change->step.day ? 1 : 0;
  return fmax(day - change->hinge.day, 0);
}

bt_status bt_change_find(const double *day, const double *value, size_t n, bt_change *change,
                         bt_error *error) {
  *change = (bt_change){.n = n};
  for (size_t i = 1; i < n; i++)
    if (day[i] < day[i - 1])
      return bt_fail(error, BT_INPUT,
                     "value %zu is of an earlier day than the one before it; give the values of a "
                     "change in time order",
                     i + 1);
  if (n == 0)
    return BT_OK;
  size_t ramps = 0;
  drift_ramp best = {0}, *ramp = NULL;
  drift_hinge of;
  change_gone gone = {0};
  bt_status status = drift_hinge_make(day, value, n, &of, error);
  if (status == BT_OK && (ramp = drift_hinge_ramps(&of, &ramps)) == NULL)
    status = bt_fail_memory(error);
  if (status == BT_OK) {
    fit_step(&of, &change->step);
    fit_hinge(&of, ramp, ramps, &change->hinge, &best, &gone);
    conclude(&of, &best, &gone, change);
    status = drift_change_dates(&of, ramp, ramps, change, error);
  }
  free(ramp);
  drift_hinge_free(&of);
  return status;
}
