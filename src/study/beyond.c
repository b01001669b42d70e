/* Checks beyond the limits, so that a repeat within 60 minutes is their retest (points.c).
 *
 * R1 A check's limits are its segment's: centre ± 3 sigma; for the radius and T² the limit that
 *    their points have.
 * R2 Where most points of the baseline are means of several checks, a single check scatters more
 *    than they do. Of their variance sigma² the part s²/m is that of a mean of m checks with the
 *    within-day sigma s; so a single check has sigma² + s² (1 - 1/m), m the checks a point of the
 *    baseline. By the narrower limits of the means, checks that are nothing but single would be
 *    followed by retests, and what they made of the day's mean would signal.
 * R3 A check whose fill age isn't known, or that held another target energy, is beyond no limit.
 * R4 Where most points of the baseline have a check within 60 minutes of the one before, repeats
 *    are the day's routine, and limits make no retests: only a failed tolerance does. Else the
 *    checks' own values would choose which of them are averaged. Of three a morning, independent
 * and with nothing changed, the first one beyond its limits would stand for its day alone, as a
 * point of 1.7 times the scatter of the others: with R2 it would be an alarm once in 400 days,
 * beyond any budget; in the radius and T² it would double the baseline's variances. */
#include "study_room.h"

#include <math.h>

/* R2. */
static double single_sigma(const bt_study *study, const bt_segment *segment, const uint8_t *used) {
  const bt_series *points = &study->points;
  size_t from = segment->from, n = segment->phase2 - from, taken = 0, several = 0;
  double checks = 0;
  for (size_t p = from; p < from + n; p++)
    if (used[p]) {
      taken++;
      several += points->checks[p] > 1;
      checks += points->checks[p];
    }
  if (2 * several <= taken)
    return segment->chart.sigma;
  bt_within within = bt_within_fit(points->within_s + from, points->checks + from, used + from, n);
  double m = checks / (double)taken;
  return hypot(segment->chart.sigma, within.sigma * sqrt(1 - 1 / m));
}

/* R4. */
static bool repeats_are_routine(const bt_study *study, const study_rows *rows,
                                const bt_segment *segment, const uint8_t *used) {
  const bt_series *checks = &study->checks;
  size_t taken = 0, repeated = 0, last = BT_NONE;
  for (size_t p = segment->from; p < segment->phase2; p++)
    taken += used[p];
  for (size_t i = 1; i < checks->n; i++) {
    size_t p = rows->point[i];
    bool has_repeat = p != BT_NONE && p == rows->point[i - 1] && p != last && p >= segment->from &&
                      p < segment->phase2 && used[p] &&
                      checks->at[i] - checks->at[i - 1] <= STUDY_RETEST_WITHIN;
    if (has_repeat)
      last = p;
    repeated += has_repeat;
  }
  return 2 * repeated > taken;
}

static bool beyond(const bt_study *study, const bt_segment *segment, double sigma, size_t i) {
  double value = study->checks.value[i];
  if (study->characteristic == BT_TRACKER_RADIAL)
    return value > segment->radial.limit * (1 + STUDY_ON_LIMIT);
  if (study->characteristic == BT_TRACKER_VECTOR)
    return value > study_vector_limit(segment, study->checks.at[i]) * (1 + STUDY_ON_LIMIT);
  bool comparable =
      (study->checks.flags[i] & (BT_POINT_UNKNOWN_AGE | BT_POINT_OTHER_TARGET)) == 0; /* R3 */
  return comparable && fabs(value - segment->chart.centre) > (3 + STUDY_ON_LIMIT) * sigma;
}

static bool concerns(study_part part, const bt_segment *segment, bt_time at) {
  bool in_period = at < segment->baseline.to + BT_DAY;
  return part == STUDY_ALL_CHECKS || in_period == (part == STUDY_IN_PERIODS);
}

bt_status study_mark_beyond(bt_study *study, const study_rows *rows, const uint8_t *used,
                            study_part part, uint8_t *outside, bt_error *error) {
  bool of_offset =
      study->characteristic == BT_TRACKER_VECTOR || study->characteristic == BT_TRACKER_RADIAL;
  bt_status status = of_offset ? BT_OK : study_spread(study, rows, error);
  if (status != BT_OK)
    return status;
  for (size_t s = 0; s < study->segments_n; s++) {
    const bt_segment *segment = &study->segments[s];
    if (segment->state != BT_CHART_DRAWN || repeats_are_routine(study, rows, segment, used))
      continue;
    double sigma = of_offset ? 0 : single_sigma(study, segment, used);
    for (size_t i = 0; i < study->checks.n; i++)
      if (study->checks.segment[i] == (int32_t)s && concerns(part, segment, study->checks.at[i]))
        outside[i] = outside[i] || beyond(study, segment, sigma, i);
  }
  return BT_OK;
}
