/* Were the past forecasts any good: each is held against what came, then they are counted.
 *
 * Requirements
 *   P1  A forecast names the days by which a failing check has a probability of 5 % and of 50 %. Of
 *       forecasts that are right, 1 in 20 thus sees the first failing check before the one day, and
 *       half of them after the other: neither alone makes a forecast wrong.
 *   P2  It is told once the first failing check is there, or the record has gone past the 50 % day;
 *       until then it is open. Days are compared as calendar days, both ends included.
 *   P3  Where an event moved the values before that, it is told by nobody any more: what it spoke
 *       of was brought to an end. A check that failed on the event's day was found before it.
 *   P4  A forecast without both days names nothing that can come true.
 *
 * Source: this program's design, section 9; the meaning of a quantile. Checked by hand-written
 * histories (tests/unit/drift/past.c). */
#include "beamtally/drift.h"

#include <math.h>

bt_past_result bt_past_judge(const bt_past_forecast *past, double last_day) {
  const bt_forecast *of = &past->forecast;
  if (of->use != BT_FORECAST_GIVEN || !of->has_fail_5 || !of->has_fail_50)
    return BT_PAST_NONE; /* P4 */
  double five = floor(of->fail_5), fifty = floor(of->fail_50), came = floor(past->failed_on),
         event = floor(past->overtaken_on);
  bool failed = past->failed && !(past->overtaken && event < came);
  bool told = failed || (floor(last_day) > fifty && !(past->overtaken && event <= fifty));
  if (!told)
    return past->overtaken ? BT_PAST_OVERTAKEN : BT_PAST_OPEN; /* P2, P3 */
  if (failed && came < five)
    return BT_PAST_SOONER;
  return failed && came <= fifty ? BT_PAST_INSIDE : BT_PAST_LATER;
}

bt_past_score bt_past_score_of(const bt_past_forecast *past, size_t n) {
  bt_past_score score = {0};
  for (size_t i = 0; i < n; i++) {
    bt_past_result result = past[i].result;
    score.given += result != BT_PAST_NONE;
    score.inside += result == BT_PAST_INSIDE;
    score.sooner += result == BT_PAST_SOONER;
    score.later += result == BT_PAST_LATER;
    score.open += result == BT_PAST_OPEN;
    score.overtaken += result == BT_PAST_OVERTAKEN;
    if (!past[i].has_moved)
      continue;
    double days = past[i].moved_days;
    bool first = score.moved++ == 0;
    score.moved_least_days = first ? days : fmin(score.moved_least_days, days);
    score.moved_most_days = first ? days : fmax(score.moved_most_days, days);
  }
  return score;
}
