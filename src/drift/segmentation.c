/* One step or several: binary segmentation of values into up to 4 spans of one mean each, in time
 * order. It only tells whether a single date would be half the story; it dates nothing.
 *
 *   each round takes the step, within any span so far, that lowers RSS most, and keeps it when
 *   n ln(RSS before / RSS after) > 13.5, up to 3 times
 *
 * Requirements
 *   M1  Two values at least stand on either side of a step, within its span.
 *   M2  Under 4 values, or all alike: no step.
 *   M3  RSS after is taken as 1e-12 T at least, T the sum of squares about one mean.
 *
 * The penalty: the largest F of a step at any date exceeds 16.81, 15.20, 14.20, 13.88 and 13.75 in
 * 1 % of series of 20, 30, 50, 100 and 200 unchanged normal values (simulated: 400,000 series
 * each); as n ln(1 + F/(n - 2)) these are 13.2, 13.0, 13.0, 13.3 and 13.5. So a series without a
 * step gets one in about 1 % of cases, at a single look, and one step is taken for several as
 * seldom. A ramp gives several: a hinge that fits better than the steps says that it is one.
 * Source: Scott and Knott, Biometrics 30 (1974); Vostrikova (1981). Checked by hand, against
 * the step of change.c, and by that rate (tests/unit/drift/segmentation.c). */
#include "beamtally/drift.h"

#include <math.h>

enum { LEAST_SIDE = 2 };

static const double penalty = 13.5, least_left = 1e-12;

/* Sum of squares about the mean of values [from, to). */
static double squares(const double *value, size_t from, size_t to) {
  double mean = 0, sum = 0;
  for (size_t i = from; i < to; i++) {
    double away = value[i] - mean;
    mean += away / (double)(i - from + 1);
    sum += away * (value[i] - mean);
  }
  return sum;
}

/* The step within [from, to) that lowers RSS most, and by how much; 0: none. */
static double best_step(const double *value, size_t from, size_t to, size_t *at) {
  double n = (double)(to - from), mean = 0, sum = 0, best = 0;
  for (size_t i = from; i < to; i++)
    mean += (value[i] - mean) / (double)(i - from + 1);
  for (size_t k = from + 1; k + LEAST_SIDE <= to; k++) {
    sum += value[k - 1] - mean;
    double before = (double)(k - from), lowered = sum * sum * n / (before * (n - before));
    if (k - from >= LEAST_SIDE && lowered > best) { /* M1 */
      best = lowered;
      *at = k;
    }
  }
  return best;
}

bt_steps bt_steps_find(const double *value, size_t n) {
  bt_steps steps = {0};
  double total = squares(value, 0, n), left = total;
  if (!(total > 0))
    return steps; /* M2 */
  while (steps.n < BT_STEPS_MOST) {
    double most = 0;
    size_t first = 0;
    for (size_t span = 0; span <= steps.n; span++) {
      size_t from = span == 0 ? 0 : steps.first[span - 1];
      size_t to = span == steps.n ? n : steps.first[span], at = 0;
      double lowered = best_step(value, from, to, &at);
      if (lowered > most) {
        most = lowered;
        first = at;
      }
    }
    double after = fmax(left - most, least_left * total); /* M3 */
    if (!((double)n * log(left / after) > penalty))
      break;
    size_t place = steps.n++;
    for (; place > 0 && steps.first[place - 1] > first; place--)
      steps.first[place] = steps.first[place - 1];
    steps.first[place] = first;
    left = after;
  }
  steps.likelihood_ratio = (double)n * log(total / left);
  return steps;
}
