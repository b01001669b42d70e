/* Signals that ended as the CUSUM began anew: its sum was past its limit to the last point before
 * an event that restarts it, and the episode has no later point.
 *
 * R1 Of an episode that is past, whose last point signals by the CUSUM.
 * R2 The restart lies between that point and the next one that is judged, by the same baseline.
 * R3 With that next point the sum, had it gone on, would be past its limit still: else the readings
 *    had ended it as well.
 * R4 Other rules have no restart: where one signals at the last point, the readings ended that. */
#include "beamtally/finding.h"

enum { BY_CUSUM = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM };

/* R3. An alarm has a limit of its own. */
static bool goes_on(const bt_study *of, const bt_episode *episode, size_t next) {
  const bt_alarm_limits *alarm = &of->segments[of->points.segment[next]].alarm;
  bt_rules last = of->rules[episode->side][episode->last];
  bool high = episode->side == BT_HIGH;
  double sum = (high ? of->cusum.high : of->cusum.low)[episode->last] - of->cusum.k +
               (high ? of->z[next] : -of->z[next]);
  return ((last & BT_CUSUM_SIGNAL) != 0 && sum > of->cusum.h) ||
         ((last & BT_ALARM_CUSUM) != 0 && alarm->given && sum > alarm->h);
}

const bt_restart *bt_study_ended_by(const bt_study *of, const bt_episode *episode) {
  bt_rules last = of->rules[episode->side][episode->last];
  size_t next = episode->last + 1;
  if (bt_study_is_open(of, episode) || (last & BY_CUSUM) == 0) /* R1 */
    return NULL;
  while (next < of->points.n && of->judged[next] != 1)
    next++;
  if (next == of->points.n || of->points.segment[next] != of->points.segment[episode->last] ||
      !goes_on(of, episode, next))
    return NULL;
  for (size_t r = 0; r < of->cusum.restarts_n; r++) /* R2 */
    if (of->cusum.restarts[r].point > episode->last && of->cusum.restarts[r].point <= next)
      return &of->cusum.restarts[r];
  return NULL;
}

bool bt_study_ended_in_part(const bt_study *of, const bt_episode *episode) {
  return (of->rules[episode->side][episode->last] & ~(unsigned)BY_CUSUM) != 0; /* R4 */
}
