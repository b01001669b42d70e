/* From when to when a change may have begun, whatever its shape: the dates from which a step, a
 * hinge or a slope that levels off explains the values about as well as the best of them all. Days.
 *
 *   slope from t to e : y = a + b min(max(0, day - t), e - t) + error
 *   LR(t) = the largest n ln(T / RSS) of those that begin at t: a step at once, a slope to any
 *           later e, or the hinge, which goes on
 *   band  = from the first to the last t with LR(t) >= largest of all - 8.5
 *
 * Requirements
 *   C2  Step and hinge alone don't date a slope that has ended: a step does in its middle, weeks
 *       late. Nor does a set of dates measured from the best of its own shape where that shape is
 *       plainly not the values'.
 *   C3  A band that reaches the first date looked at is open: the change may be older than that.
 *       One that reaches the last date looked at goes on to the last day: of a change that is newer
 *       too few values tell.
 *   C6  Where a slope that ended is better than step and hinge by more than 8.5, the date is its
 *       onset, and the change is levelled.
 *
 * Slopes begin and end at a value's day, with one between at least; ends lie each a quarter further
 * than the one before, as the fit hardly depends on them.
 *
 * 8.5 was found by simulation, not from a limit law. Of 500 to 1,000 lasers a case, steps of 1 to
 * 5 sigma and slopes of 0.015 to 0.3 sigma a day after 15, 40 and 150 quiet checks, the band held
 * the true date in 96 to 100 % on the very day on which the change first passed its threshold,
 * chosen because it stands out, in 97 % or more 20 checks later and in 98 % or more 100 checks
 * later; that of slopes that end after 2 to 8 weeks in 97 % or more on each of these days.
 * Measured each from its own best, the union of the step's and the hinge's 95 % sets held it in 87
 * to 99 % on the first day (a step of 5 sigma, seen at once, in 58 to 94 %), where it was up to 1.6
 * times narrower, and was 1.2 to 20 times as wide 100 checks later. Measured from the better of the
 * two, within 10 and 8, the dates held the onset of a slope that ended in 1 to 52 % by then. A loss
 * that quickens without a beginning has no date: its band comes to lie late.
 * Plain loops and shares: tests/unit/drift/change_dates.c; the Nile and R's lm:
 * tests/published/drift/change.c. */
#include "drift_change.h"

#include <math.h>
#include <stdlib.h>

enum { LEAST_SIDE = 2, PARTS = DRIFT_HINGE_PARTS };

static const double bound = 8.5;

/* C1 of change.c. */
static bool may_step(const drift_hinge *of, size_t k) {
  return k >= LEAST_SIDE && k + LEAST_SIDE <= of->n && of->day[k] > of->day[k - 1];
}

double drift_step_ratio(const drift_hinge *of, size_t k) {
  if (!may_step(of, k))
    return 0;
  double sum = of->from[k].value, n = (double)of->n;
  double explained = sum * sum * n / ((double)k * (n - (double)k));
  return drift_likelihood_ratio(of->n, of->total, explained);
}

/* What a slope from the one onset to the other explains. */
static double slope_explains(const drift_hinge *of, const drift_ramp *from, const drift_ramp *to) {
  double lasts = to->onset - from->onset;
  double x = from->x - to->x, xy = from->xy - to->xy;
  double xx = from->xx - to->xx - 2 * lasts * to->x;
  return xy * xy / (xx - x * x / (double)of->n);
}

/* LR of the best slope from the k-th value's day that ends; 0: none does. */
static double slope_ratio(const drift_hinge *of, const drift_ramp *ramp, size_t n, size_t k) {
  double most = 0;
  for (size_t after = 2; (k + after) * PARTS < n; after += 1 + after / 4)
    most = fmax(most, slope_explains(of, &ramp[k * PARTS], &ramp[(k + after) * PARTS]));
  return drift_likelihood_ratio(of->n, of->total, most);
}

typedef struct band {
  double least, from, to;
} band;

static void take(band *in, double day, double ratio) {
  if (ratio < in->least)
    return;
  in->from = fmin(in->from, day);
  in->to = fmax(in->to, day);
}

/* C3 */
static void set_band(const drift_hinge *of, const drift_ramp *ramp, size_t n, const band *in,
                     bt_change *change) {
  size_t k = 0;
  while (k + LEAST_SIDE < of->n && !may_step(of, k))
    k++;
  double first = of->day[k], last = n > 0 ? ramp[n - 1].onset : first;
  change->from = in->from;
  change->open = in->from <= first;
  change->to = in->to >= last ? of->day[of->n - 1] : in->to;
}

bt_status drift_change_dates(const drift_hinge *of, const drift_ramp *ramp, size_t n,
                             bt_change *change, bt_error *error) {
  if (change->kind == BT_CHANGE_NONE)
    return BT_OK;
  size_t days = (n + PARTS - 1) / PARTS;
  double *slope = bt_new(days + 1, sizeof *slope), most = change->likelihood_ratio;
  if (slope == NULL)
    return bt_fail_memory(error);
  for (size_t k = 0; k < days; k++)
    slope[k] = slope_ratio(of, ramp, n, k);
  for (size_t k = 0; k < days; k++)
    if (slope[k] > most) {
      most = slope[k];
      change->levelled = most - bound > change->likelihood_ratio;
      change->day = change->levelled ? ramp[k * PARTS].onset : change->day; /* C6 */
    }
  band in = {.least = most - bound, .from = change->day, .to = change->day};
  for (size_t k = 0; k < of->n; k++)
    if (may_step(of, k))
      take(&in, of->day[k], drift_step_ratio(of, k));
  for (size_t k = 0; k < n; k++)
    take(&in, ramp[k].onset, drift_likelihood_ratio(of->n, of->total, ramp[k].explained));
  for (size_t k = 0; k < days; k++)
    take(&in, ramp[k * PARTS].onset, slope[k]);
  free(slope);
  set_band(of, ramp, n, &in, change);
  return BT_OK;
}
