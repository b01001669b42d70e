/* Is a period fit to be a baseline? Two tests of its values in time order, and what they can find.
 *
 *   trend: Kendall's test (kendall.c)       step: largest F over all dates (step.c)
 *   drifting: either p is under 0.01
 *   detectable: the shift of the mean between the halves, in sigma, that the step test finds with a
 *   probability of 0.8: what a period that passes may still hide
 *
 * Requirements
 *   T1  Values that don't take part are left out, the others follow one another.
 *   T2  Under four values there is no test: n is 0 and each p is 1.
 *   T3  step_at is an index of the values as given.
 *   T4  Of two series tested together each p is doubled (Bonferroni), and the power stated is that
 *       of the doubled p.
 *
 * Both tests take the values as independent. Of 100 periods without drift about two are called
 * drifting, since the two tests are made at 1 % each. Checked against the Nile series
 * (tests/published/spc/stability.c), by simulation and a plain loop (tests/unit/spc/stability.c).
 */
#include "beamtally/spc.h"
#include "spc_step.h"

#include <math.h>
#include <stdlib.h>

#define DRIFT_PROBABILITY 0.01

static bt_status run_tests(const double *kept, size_t n, bt_stability *stability, size_t *step_at,
                           bt_error *error) {
  bt_status status = bt_kendall(kept, n, &stability->tau, &stability->trend_p, error);
  if (status != BT_OK)
    return status;
  stability->step_f = spc_step_largest(kept, n, step_at);
  if (!isfinite(stability->step_f))
    return bt_fail(error, BT_INPUT,
                   "the values are too large to look for a step; leave wild readings out of the "
                   "period");
  stability->step_p = spc_step_p(stability->step_f, n);
  stability->detectable = spc_step_detectable(n, 1);
  stability->drifting =
      stability->trend_p < DRIFT_PROBABILITY || stability->step_p < DRIFT_PROBABILITY;
  stability->n = n;
  return BT_OK;
}

/* T4: `drifting` then means that either p of either series, as it was before, is under 0.005. */
bt_status bt_stability_test_two(const double *x, const double *y, const uint8_t *use, size_t n,
                                bt_stability *louder, bt_error *error) {
  bt_stability of_y;
  bt_status status = bt_stability_test(x, use, n, louder, error);
  if (status == BT_OK)
    status = bt_stability_test(y, use, n, &of_y, error);
  if (status != BT_OK)
    return status;
  if (fmin(of_y.trend_p, of_y.step_p) < fmin(louder->trend_p, louder->step_p))
    *louder = of_y;
  louder->trend_p = fmin(1, 2 * louder->trend_p);
  louder->step_p = fmin(1, 2 * louder->step_p);
  louder->drifting = louder->trend_p < DRIFT_PROBABILITY || louder->step_p < DRIFT_PROBABILITY;
  if (louder->n > 0)
    louder->detectable = spc_step_detectable(louder->n, 2);
  return BT_OK;
}

bt_status bt_stability_test(const double *value, const uint8_t *use, size_t n,
                            bt_stability *stability, bt_error *error) {
  *stability = (bt_stability){.trend_p = 1, .step_p = 1};
  double *kept = bt_new(n, sizeof *kept);
  size_t *from = bt_new(n, sizeof *from);
  bt_status status = BT_OK;
  size_t count = 0, step_at = 0;
  if (kept == NULL || from == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue; /* T1 */
    from[count] = i;
    kept[count++] = value[i];
  }
  if (count < SPC_STEP_LEAST)
    goto done; /* T2 */
  status = run_tests(kept, count, stability, &step_at, error);
  if (status == BT_OK)
    stability->step_at = from[step_at]; /* T3 */
done:
  free(from);
  free(kept);
  return status;
}
