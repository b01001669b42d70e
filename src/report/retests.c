/* The month's checks that were repeated at once and of which nothing failed: what failed is told
 * before them (failed.c). */
#include "report_episodes.h"

/* The newest one among the checks before `end`. */
static bool retest_before(const bt_study *of, size_t end, report_retest *found) {
  for (size_t i = end < of->checks.n ? end : of->checks.n; i > 0; i--)
    if ((of->checks.flags[i - 1] & BT_POINT_RETEST) != 0)
      return report_retest_of(of, i - 1, found);
  return false;
}

void report_retests_between(const bt_study *of, bt_time from, bt_time to, size_t most,
                            bt_text *out) {
  report_retest found;
  size_t told = 0, left = 0, end = bt_series_from(&of->checks, to);
  for (; retest_before(of, end, &found) && of->checks.at[found.last] >= from; end = found.first) {
    report_retest failed;
    if (report_failed_of(of, found.first, &failed))
      continue;
    if (told == most) {
      left++;
      continue;
    }
    if (told++ > 0)
      bt_text_add(out, "; ");
    report_retest_words(of, &found, out);
  }
  if (left > 0)
    bt_text_format(out, "; and %zu more this month", left);
}
