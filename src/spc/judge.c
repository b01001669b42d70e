/* Which rules the points of one baseline break: what a study marks, and what a folder's signals are
 * held to.
 *
 * J1 Phase I is judged by the 3-sigma limit only; Phase II by the zone rules and the CUSUM, with
 *    state empty at its first point.
 * J2 The radius and T² aren't normal: their one rule is the limit of their own distribution. T² has
 *    one for each phase.
 * J3 Alarm limits judge Phase II; what they are of is J1's z and CUSUM, or T².
 * J4 A failed check counts for its point; a retest or an as-left reading for the point before it on
 *    that day, or the next where it is the day's first. A day that has only as-left readings has no
 *    point.
 * J5 A value within a billionth of a limit is on it: of a sigma, or of the limit itself where that
 *    is one of J2.
 *
 * Checked by hand (tests/unit/spc/judge.c) and by an oracle of its own (tests/cli/plain_signals.c).
 */
#include "beamtally/spc.h"
#include "spc_lines.h"

/* J1. */
static void mark_phase1(const bt_judged *of, const bt_segment *segment) {
  for (size_t p = segment->from; p < segment->phase2; p++) {
    if (of->judged[p] == 0)
      continue;
    if (of->z[p] > 3 + SPC_ON_LINE)
      of->rules[BT_HIGH][p] |= BT_WE1;
    if (of->z[p] < -3 - SPC_ON_LINE)
      of->rules[BT_LOW][p] |= BT_WE1;
  }
}

/* J2. */
static void mark_offset(const bt_judged *of, const bt_segment *segment) {
  for (size_t p = segment->from; p < segment->to; p++) {
    double limit = of->characteristic != BT_TRACKER_VECTOR ? segment->radial.limit
                   : p < segment->phase2                   ? segment->vector.phase1_limit
                                                           : segment->vector.phase2_limit;
    if (of->judged[p] != 0 && of->value[p] > limit * (1 + SPC_ON_LINE))
      of->rules[BT_HIGH][p] |= BT_WE1;
  }
}

/* The sums above h. */
static void mark_sums(const bt_judged *of, const bt_segment *segment, double h, bt_rules rule) {
  for (size_t p = segment->phase2; p < segment->to; p++) {
    if (of->judged[p] != 1)
      continue;
    if (of->cusum->high[p] > h + SPC_ON_LINE)
      of->rules[BT_HIGH][p] |= rule;
    if (of->cusum->low[p] > h + SPC_ON_LINE)
      of->rules[BT_LOW][p] |= rule;
  }
}

bt_status bt_judge_segment(const bt_judged *of, const bt_segment *segment, bt_error *error) {
  size_t from = segment->from, phase2 = segment->phase2, to = segment->to;
  if (segment->state != BT_CHART_DRAWN)
    return BT_OK;
  if (of->characteristic == BT_TRACKER_RADIAL || of->characteristic == BT_TRACKER_VECTOR) {
    mark_offset(of, segment);
    return BT_OK;
  }
  bt_standardise(of->value + from, to - from, &segment->chart, of->z + from);
  bt_zone_rules(of->z + phase2, of->judged + phase2, to - phase2, of->rules[BT_HIGH] + phase2,
                of->rules[BT_LOW] + phase2);
  mark_phase1(of, segment);
  bt_status status =
      bt_cusum_run(of->z, of->judged, phase2, to, segment->chart.sigma, of->cusum, error);
  if (status == BT_OK)
    mark_sums(of, segment, of->cusum->h, BT_CUSUM_SIGNAL);
  return status;
}

/* J3. */
void bt_judge_alarms(const bt_judged *of, const bt_segment *segment) {
  const bt_alarm_limits *limits = &segment->alarm;
  if (segment->state != BT_CHART_DRAWN || !limits->given)
    return;
  if (limits->h > 0)
    mark_sums(of, segment, limits->h, BT_ALARM_CUSUM);
  for (size_t p = segment->phase2; p < segment->to; p++) {
    if (of->judged[p] != 1)
      continue;
    if (limits->t2_limit > 0 && of->value[p] > limits->t2_limit * (1 + SPC_ON_LINE))
      of->rules[BT_HIGH][p] |= BT_ALARM_LIMIT;
    if (limits->limit > 0 && of->z[p] > limits->limit + SPC_ON_LINE)
      of->rules[BT_HIGH][p] |= BT_ALARM_LIMIT;
    if (limits->limit > 0 && of->z[p] < -(limits->limit + SPC_ON_LINE))
      of->rules[BT_LOW][p] |= BT_ALARM_LIMIT;
  }
}

/* J4. */
size_t bt_judge_failed_point(const bt_time *at, size_t n, size_t next, bt_time check) {
  int64_t day = bt_day_of(check);
  if (next > 0 && bt_day_of(at[next - 1]) == day)
    return next - 1;
  return next < n && bt_day_of(at[next]) == day ? next : BT_NONE;
}

void bt_judge_strengths(const bt_judged *of, size_t n, bt_rules known, uint8_t *strength) {
  for (size_t p = 0; p < n; p++) {
    of->rules[BT_LOW][p] &= known;
    of->rules[BT_HIGH][p] &= known;
    strength[p] = (uint8_t)bt_rules_strength(of->rules[BT_LOW][p] | of->rules[BT_HIGH][p]);
  }
}
