/* An episode that one reading made: the CUSUM keeps what it added for some days, so that days after
 * it signal as well. */
#include "report_episodes.h"

/* Rules of which a point breaks one by itself. */
enum { BY_ITSELF = BT_WE1 | BT_ALARM_LIMIT | BT_TOLERANCE_FAILED };
enum { BY_CUSUM = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM };

bool report_is_one_reading(const bt_study *of, const bt_episode *episode) {
  const bt_rules *rules = of->rules[episode->side];
  const double *sum = episode->side == BT_HIGH ? of->cusum.high : of->cusum.low;
  size_t first = episode->first, after = 0;
  if (sum == NULL || (rules[first] & BY_ITSELF) == 0)
    return false;
  for (size_t p = first + 1; p <= episode->last; p++) {
    if ((rules[p] & ~(bt_rules)BY_CUSUM) != 0 || sum[p] > sum[first])
      return false;
    after += rules[p] != 0;
  }
  return after > 0;
}
