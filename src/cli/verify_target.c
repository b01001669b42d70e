/* The target energy of a baseline of the high voltage, and the points that held another, from the
 * rows of checks.csv. Written apart from the study room on purpose.
 *
 * R1 The baseline's target is the median of its days' targets (each the mean of the day's checks
 *    that have one), of an even number the lower of the middle two.
 * R2 In its days a point is of another target where its own differs from that by over 1 %. After
 *    them it must also differ by over 1 % from each of the last 8 points that did not count as of
 *    another. What has no target counts as of the baseline's. */
#include "verify_case.h"

#include <math.h>
#include <stdlib.h>

enum { FOLLOWED = 8 };

bool verify_is_other_target(double target, double usual) {
  return target > 0 && usual > 0 && fabs(target - usual) > usual * (0.01 + 1e-9);
}

static int by_size(const void *a, const void *b) {
  const double *one = a, *other = b;
  return (*one > *other) - (*one < *other);
}

/* R1. */
bt_status verify_median_target(const verify_chart *of, const verify_period *its, double *median,
                               bt_error *error) {
  size_t n = 0;
  double *sorted = bt_new(its->end - its->from, sizeof *sorted);
  if (sorted == NULL)
    return bt_fail_memory(error);
  for (size_t p = its->from; p < its->end; p++)
    if (of->target[p] > 0)
      sorted[n++] = of->target[p];
  if (n > 1)
    qsort(sorted, n, sizeof *sorted, by_size);
  *median = n == 0 ? 0 : sorted[(n - 1) / 2];
  free(sorted);
  return BT_OK;
}

/* R2. */
void verify_mark_targets(verify_chart *of, const verify_period *its) {
  double last[FOLLOWED] = {0};
  size_t seen = 0;
  for (size_t p = its->from; p < its->to; p++) {
    bool other = verify_is_other_target(of->target[p], its->told->of.target_mj);
    for (size_t k = 0; other && p >= its->phase2 && k < seen && k < FOLLOWED; k++)
      other = verify_is_other_target(of->target[p], last[k]);
    of->other[p] = other;
    if (!other && of->target[p] > 0)
      last[seen++ % FOLLOWED] = of->target[p];
  }
}
