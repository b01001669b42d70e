/* Why there is no baseline: too few points so far, or enough of them, but with checks outside
 * tolerance, which take no part in one. */
#include "report_sentences.h"

bool report_is_barred(const bt_study *of, size_t *failed, size_t *points) {
  const bt_segment *segment = bt_study_now(of);
  *failed = *points = 0;
  if (segment == NULL || segment->state != BT_CHART_TOO_FEW)
    return false;
  *points = segment->phase2 - segment->from;
  for (size_t e = 0; e < segment->exclusions_n; e++)
    *failed += segment->exclusions[e].pass == 0;
  return *failed > 0 && *points >= BT_BASELINE_LEAST_POINTS;
}

void report_barred_words(size_t failed, size_t points, bt_text *out) {
  if (failed == points)
    bt_text_format(out, "all of its %zu points", points);
  else
    bt_text_format(out, "%zu of its %zu points", failed, points);
  bt_text_add(out, failed == 1 ? " has a check outside tolerance and takes no part"
                               : " have a check outside tolerance and take no part");
}
