/* Lag-1 autocorrelation, a pure number.
 *
 *   r1 = sum over i of (x_i - m)(x_(i+1) - m) / sum over i of (x_i - m)^2,   m the mean of all x
 *   bound = 1.96 / sqrt(n)      upper 95 % limit = r1 + 1.96 / sqrt(n)
 *
 * Values that don't take part are left out, their neighbours then follow one another. r1 is 0 for
 * fewer than two values or where all are alike. The bound is that of independent normal values in
 * large samples and leaves out the bias of -1/n; the limit is the upper end of the two-sided
 * interval with the same standard error, which (1 - r1^2)/n would make smaller: on the careful
 * side. Control limits from moving ranges promise too few false alarms where values follow one
 * another: `exceeded` is set where r1 is beyond its bound, or where 0.25 isn't ruled out.
 *
 * Source: Box and Jenkins, Time Series Analysis (1970), 2.1.5 and 2.1.6. Checked against the Nile
 * series and a plain loop. */
#include "beamtally/spc.h"

#include <math.h>

#define NORMAL_95 1.96 /* two-sided, the rounding that the field prints */
#define TOLERABLE 0.25 /* at 0.25 false alarms come three times as often */

bt_autocorrelation bt_autocorrelation_fit(const double *value, const uint8_t *use, size_t n) {
  bt_autocorrelation found = {0};
  double first = 0, distance = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    if (found.n++ == 0)
      first = value[i];
    distance += value[i] - first;
  }
  if (found.n == 0)
    return found;

  double mean = first + distance / (double)found.n;
  double squares = 0, products = 0, before = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    double deviation = value[i] - mean;
    products += before * deviation; /* `before` is 0 for the first value */
    squares += deviation * deviation;
    before = deviation;
  }
  found.lag1 = squares > 0 ? products / squares : 0;
  found.bound = NORMAL_95 / sqrt((double)found.n);
  found.high = found.lag1 + found.bound;
  found.exceeded = fabs(found.lag1) > found.bound || found.high > TOLERABLE;
  return found;
}
