/* The newest values beside the line of a change that was fitted to all: whether what is told of the
 * change, and reckoned ahead, still holds for them. Values in their own unit, days in days.
 *
 *   d = mean of (value - line) over the last k,  se = sigma / sqrt(k)
 *   t = d / se against the t distribution of n - 3 degrees of freedom, interval d -/+ t(0.975) se
 *
 * sigma is that of a value about the line, of all n (change.c, C5).
 *
 * Requirements
 *   N1  k is 5. Under 2 k values, without a change or without scatter nothing is given.
 *   N2  The last values took part in the fit, which draws the line to them: the true se is
 *       smaller, sigma sqrt(1/k - h) with their leverage h. Taken as it is, d differs less often
 *       than p says, never more.
 *   N3  They differ at p < 0.001 of a single look: every day is one, and a laser whose drift goes
 *       on as fitted should be told otherwise in few years.
 *
 * 5 and 0.001 are our own choice, no source; the t test of a mean is the common one (Student 1908).
 * Checked by a plain loop, and by how often it claims what is not so (tests/unit/drift/newest.c).
 */
#include "beamtally/drift.h"
#include "drift_change.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

enum { NEWEST = 5 };

static const double differs_p = 0.001;

/* The fitted mean on that day. */
static double line_at(const bt_change *change, double day) {
  double shape = drift_change_shape(change, day);
  return change->kind == BT_CHANGE_STEP
             ? change->step.before + shape * (change->step.after - change->step.before)
             : change->hinge.before + shape * change->hinge.per_day;
}

bt_newest bt_newest_of(const double *day, const double *value, size_t n, const bt_change *change) {
  bt_newest found = {0};
  if (change->kind == BT_CHANGE_NONE || !(change->sigma > 0) || n < (size_t)2 * NEWEST) /* N1 */
    return found;
  found.given = true;
  found.n = NEWEST;
  for (size_t i = n - NEWEST; i < n; i++)
    found.difference += (value[i] - line_at(change, day[i])) / NEWEST;
  double df = (double)n - 3, se = change->sigma / sqrt(NEWEST); /* N2 */
  double half = gsl_cdf_tdist_Pinv(0.975, df) * se;
  found.low = found.difference - half;
  found.high = found.difference + half;
  found.p = 2 * gsl_cdf_tdist_Q(fabs(found.difference) / se, df);
  found.differs = found.p < differs_p; /* N3 */
  return found;
}
