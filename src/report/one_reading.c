/* An episode that one reading made: the CUSUM keeps what it added for some days, so that days after
 * it signal as well. */
#include "report_episodes.h"

/* Rules of which a point breaks one by itself. */
enum { BY_ITSELF = BT_WE1 | BT_ALARM_LIMIT | BT_TOLERANCE_FAILED };
enum { BY_CUSUM = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM };

/* Nothing of the sum at that point is of before it: a sum below k would have been gone by a next
 * reading at the centre, which takes k off. A restart begins it at its headstart instead. */
static bool begins_there(const bt_study *of, const double *sum, size_t point) {
  size_t before = point;
  while (before > 0 && of->points.segment[before - 1] == of->points.segment[point] &&
         of->judged[before - 1] != 1) /* its sum is written as 0 */
    before--;
  for (size_t i = 0; i < of->cusum.restarts_n; i++)
    if (of->cusum.restarts[i].point >= before && of->cusum.restarts[i].point <= point)
      return of->cusum.headstart <= 0;
  return before == 0 || of->points.segment[before - 1] != of->points.segment[point] ||
         sum[before - 1] < of->cusum.k;
}

bool report_is_one_reading(const bt_study *of, const bt_episode *episode) {
  const bt_rules *rules = of->rules[episode->side];
  const double *sum = episode->side == BT_HIGH ? of->cusum.high : of->cusum.low;
  size_t first = episode->first, after = 0, before = first;
  if (sum == NULL || first >= of->points.n || (rules[first] & BY_ITSELF) == 0 ||
      !begins_there(of, sum, first))
    return false;
  for (size_t p = first + 1; p <= episode->last && p < of->points.n; p++) {
    bool judged = of->judged[p] == 1;
    if ((rules[p] & ~(bt_rules)BY_CUSUM) != 0 || (judged && sum[p] > sum[before]))
      return false;
    before = judged ? p : before;
    after += rules[p] != 0;
  }
  return after > 0;
}
