/* What a baseline that is frozen, or would be, is told as. */
#include "baseline.h"

static void add_exclusions(const bt_proposal *proposal, bt_text *out) {
  for (size_t i = 0; i < proposal->exclusions_n; i++) {
    const bt_baseline_exclusion *left = &proposal->exclusions[i];
    char at[BT_TIME_TEXT];
    bt_text_format(out, "  left out: %s, ", bt_time_iso(left->at, true, at));
    if (left->pass == 0)
      bt_text_add(out, "a check of it is outside tolerance\n");
    else if (proposal->baseline.characteristic == BT_TRACKER_VECTOR ||
             proposal->baseline.characteristic == BT_TRACKER_RADIAL)
      bt_text_format(out, "beyond the limit in pass %d\n", left->pass);
    else
      bt_text_format(out, "%.2f sigma from the centre in pass %d\n", left->z, left->pass);
  }
}

static void add_tests(const bt_proposal *proposal, bt_text *out) {
  const bt_stability *tests = &proposal->stability;
  if (tests->n == 0) {
    bt_text_add(out, "  too few values to test for drift\n");
    return;
  }
  bt_text_format(out,
                 "  tests for drift, %zu values: trend p %.2g (Kendall's tau %.2f), step p %.2g\n",
                 tests->n, tests->trend_p, tests->tau, tests->step_p);
  if (tests->detectable > 0)
    bt_text_format(
        out, "  a shift of %.1f sigma between the period's halves would be found in 80 of 100\n",
        tests->detectable);
  if (proposal->baseline.drift_accepted)
    bt_text_add(out, "  the period drifts, and was accepted all the same\n");
}

void baseline_describe(const bt_proposal *proposal, const char *unit, const char *key,
                       const char *what, const bt_text *replaced, bt_text *out) {
  const bt_baseline *baseline = &proposal->baseline;
  (void)cli_plain(out, unit, SIZE_MAX);
  bt_text_format(out, ", %s: %s, %lld points, ", key, what, (long long)baseline->n);
  if (baseline->characteristic == BT_TRACKER_VECTOR)
    bt_text_format(out, "mean x %.6g, mean y %.6g", baseline->mean_x, baseline->mean_y);
  else if (baseline->characteristic == BT_TRACKER_RADIAL)
    bt_text_format(out, "centre %.6g, limit %.6g (99.73 %%)", baseline->centre,
                   baseline->radial_limit);
  else
    bt_text_format(out, "centre %.6g, sigma %.4g", baseline->centre, baseline->sigma);
  bt_text_add(out, baseline->adjusted ? ", moved to the mean fill age\n" : "\n");
  bt_text_add(out, bt_text_get(replaced));
  add_exclusions(proposal, out);
  if (proposal->screen_stopped)
    bt_text_add(out,
                "  screening stopped: a further pass would have left out more than 10 % of the "
                "period, so what lies beyond the limits is in the baseline\n");
  add_tests(proposal, out);
  if (baseline->n < BT_ALARM_LEAST_POINTS)
    bt_text_format(
        out,
        "  under %d points: this chart has no alarm limits now and gives notices only; a "
        "longer period gives it alarms\n",
        (int)BT_ALARM_LEAST_POINTS);
}
