/* Hinges: values whose mean stays up to an onset, then climbs or falls in a straight line. Days in
 * days, slope in the values' unit per day.
 *
 *   y_i = a + b x_i + error,  x_i = max(0, day_i - onset)
 *   explained = (sum of x_i (y_i - mean))^2 / sum of (x_i - mean of x)^2
 *   LR = n ln(T / (T - explained)),  T = sum of (y_i - mean)^2
 *
 * Requirements
 *   H1  The onset is any moment, not only that of a value: two values have come by then, and
 *       values of two days follow it.
 *   H2  Sums of the later values are kept for each value, so that an onset costs a search.
 *
 * The likelihood is smooth between values but may have several peaks: it is looked at on each
 * value's day and at 3 points between, and the best of these is refined by golden section on both
 * sides. Source: Hinkley, Biometrika 56 (1969) and Journal of the American Statistical Association
 * 66 (1971), two-phase regression. Checked against plain loops over the definition
 * (tests/unit/drift/change.c) and R's lm (tests/published/drift/change.c). */
#include "drift_hinge.h"

#include <math.h>
#include <stdlib.h>

enum { GOLDEN_STEPS = 40 };

static const double least_left = 1e-12;

double drift_likelihood_ratio(size_t n, double total, double explained) {
  if (!(total > 0))
    return 0;
  return -(double)n * log(fmax(1 - explained / total, least_left));
}

/* H1 */
static void set_reach(drift_hinge *hinge) {
  const double *day = hinge->day;
  hinge->first = 1;
  hinge->last = 0;
  size_t at = hinge->n;
  for (int falls = 0; falls < 2; falls++) { /* before the last day, and before the one before it */
    if (at == 0)
      return;
    double of = day[at - 1];
    while (at > 0 && day[at - 1] == of)
      at--;
  }
  if (at < 2)
    return;
  hinge->first = day[1];
  hinge->last = day[at - 1];
}

bt_status drift_hinge_make(const double *day, const double *value, size_t n, drift_hinge *hinge,
                           bt_error *error) {
  *hinge = (drift_hinge){.n = n, .day = day, .from = bt_new(n + 1, sizeof *hinge->from)};
  if (hinge->from == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++)
    hinge->mean += (value[i] - hinge->mean) / (double)(i + 1);
  for (size_t i = n; i > 0; i--) {
    double x = day[i - 1] - day[0], y = value[i - 1] - hinge->mean;
    drift_sums sums = hinge->from[i];
    sums.count++;
    sums.day += x;
    sums.days2 += x * x;
    sums.value += y;
    sums.product += x * y;
    hinge->from[i - 1] = sums;
    hinge->total += y * y;
  }
  set_reach(hinge);
  return BT_OK;
}

void drift_hinge_free(drift_hinge *hinge) {
  if (hinge == NULL)
    return;
  free(hinge->from);
  *hinge = (drift_hinge){0};
}

/* First value after the moment. */
static size_t after(const drift_hinge *hinge, double moment) {
  size_t low = 0, high = hinge->n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (hinge->day[middle] > moment)
      high = middle;
    else
      low = middle + 1;
  }
  return low;
}

drift_ramp drift_hinge_at(const drift_hinge *hinge, double onset) {
  const drift_sums *sums = &hinge->from[after(hinge, onset)]; /* H2 */
  double at = onset - hinge->day[0];
  drift_ramp ramp = {.onset = onset,
                     .x = sums->day - sums->count * at,
                     .xx = sums->days2 - 2 * at * sums->day + sums->count * at * at,
                     .xy = sums->product - at * sums->value};
  ramp.sxx = ramp.xx - ramp.x * ramp.x / (double)hinge->n;
  ramp.explained = ramp.xy * ramp.xy / ramp.sxx;
  return ramp;
}

drift_ramp *drift_hinge_ramps(const drift_hinge *hinge, size_t *n) {
  enum { PARTS = DRIFT_HINGE_PARTS };
  *n = 0;
  drift_ramp *ramp = bt_new(PARTS * hinge->n + 1, sizeof *ramp);
  if (ramp == NULL || hinge->last < hinge->first)
    return ramp;
  const double *day = hinge->day;
  for (size_t i = 1; i + 1 < hinge->n && day[i] < hinge->last; i++)
    for (int part = 0; part < PARTS && day[i + 1] > day[i]; part++)
      ramp[(*n)++] = drift_hinge_at(hinge, day[i] + (day[i + 1] - day[i]) * part / PARTS);
  ramp[(*n)++] = drift_hinge_at(hinge, hinge->last);
  return ramp;
}

/* Golden section between two onsets next to one another. */
static drift_ramp refine(const drift_hinge *hinge, double low, double high) {
  const double golden = (sqrt(5) - 1) / 2;
  drift_ramp left = drift_hinge_at(hinge, high - golden * (high - low));
  drift_ramp right = drift_hinge_at(hinge, low + golden * (high - low));
  for (int step = 0; step < GOLDEN_STEPS; step++)
    if (left.explained >= right.explained) {
      high = right.onset;
      right = left;
      left = drift_hinge_at(hinge, high - golden * (high - low));
    } else {
      low = left.onset;
      left = right;
      right = drift_hinge_at(hinge, low + golden * (high - low));
    }
  return left.explained >= right.explained ? left : right;
}

drift_ramp drift_hinge_best(const drift_hinge *hinge, const drift_ramp *ramp, size_t n) {
  size_t at = 0;
  for (size_t k = 1; k < n; k++)
    if (ramp[k].explained > ramp[at].explained)
      at = k;
  drift_ramp best = ramp[at];
  for (int side = 0; side < 2; side++) {
    if (side == 0 ? at == 0 : at + 1 == n)
      continue;
    drift_ramp between = side == 0 ? refine(hinge, ramp[at - 1].onset, ramp[at].onset)
                                   : refine(hinge, ramp[at].onset, ramp[at + 1].onset);
    if (between.explained > best.explained)
      best = between;
  }
  return best;
}
