/* Gaps: stretches without a check that are well beyond what the clinic's schedule, or the laser's
 * own rhythm, leaves between two checks.
 *
 * R1 Steps are counted in days of the calendar from one day with a check to the next. A step of
 *    over twice the longest usual one is a gap, of step - 1 days without a check.
 * R2 The longest usual step is what the settings say: `expected_days`, else from the schedule, with
 *    its day of grace. Where they say neither it is the 95 % quantile of the laser's steps in the
 *    time looked at; under 8 of them, that of a laser without a schedule, a week.
 * R3 Looked at is the year up to the last check: what is older is of no daily screen. What is
 *    missing behind the last check is no gap but a check that is not current.
 * R4 Of the days without a check those are counted that the schedule has, where there is one.
 *
 * Twice, the year and the quantile are our own choice, no source. Checked by hand-made logs
 * (tests/unit/study/gaps.c). */
#include "study_room.h"

#include <stdlib.h>

enum { YEAR = 365, ENOUGH = 8, MANY_TIMES = 2 };

static int by_size(const void *a, const void *b) {
  double left = *(const double *)a, right = *(const double *)b;
  return (left > right) - (left < right);
}

/* The days that are stepped over, in *step, as many as `n`: which check each leads to in *to. */
static size_t steps_of(const bt_history *history, double *step, size_t *to) {
  size_t n = 0;
  bt_time since = history->at[history->n - 1] - YEAR * BT_DAY;
  for (size_t i = 1; i < history->n; i++) {
    int64_t days = bt_day_of(history->at[i]) - bt_day_of(history->at[i - 1]);
    if (days == 0 || history->at[i - 1] < since) /* R3 */
      continue;
    step[n] = (double)days;
    to[n++] = i;
  }
  return n;
}

static bool has_rhythm(const bt_settings *settings, const char *unit) {
  const bt_unit_setting *setting = bt_settings_unit(settings, unit);
  return settings->weekdays != 0 || (setting != NULL && setting->expected_days > 0);
}

/* R2; it sorts the steps. */
static double longest_usual(const bt_unit_study *unit, double *step, size_t n) {
  if (has_rhythm(&unit->settings, unit->history.unit) || n < ENOUGH)
    return unit->expected_days;
  qsort(step, n, sizeof *step, by_size);
  return step[(size_t)(0.95 * (double)(n - 1))];
}

/* R4 */
static int64_t scheduled(const bt_settings *settings, bt_time from, bt_time to) {
  int64_t n = 0;
  for (bt_time day = from; day <= to && settings->weekdays != 0; day += BT_DAY)
    n += (settings->weekdays >> bt_weekday_of(day) & 1U) != 0;
  return n;
}

bt_status study_gaps(bt_unit_study *unit, bt_error *error) {
  const bt_history *history = &unit->history;
  if (history->n < 2)
    return BT_OK;
  double *step = bt_new(history->n, sizeof *step);
  size_t *to = bt_new(history->n, sizeof *to), n = 0, room = 0;
  bt_status status = step != NULL && to != NULL ? BT_OK : bt_fail_memory(error);
  double most = 0;
  if (status == BT_OK) {
    n = steps_of(history, step, to);
    most = MANY_TIMES * longest_usual(unit, step, n);
  }
  for (size_t k = 0; k < n && status == BT_OK; k++) {
    int64_t after = bt_day_of(history->at[to[k]]), before = bt_day_of(history->at[to[k] - 1]);
    if (!((double)(after - before) > most)) /* R1 */
      continue;
    if (!bt_grow(&unit->gaps, &room, unit->gaps_n + 1, sizeof *unit->gaps)) {
      status = bt_fail_memory(error);
      break;
    }
    bt_gap *gap = &unit->gaps[unit->gaps_n++];
    *gap = (bt_gap){
        .from = (before + 1) * BT_DAY, .to = (after - 1) * BT_DAY, .days = after - before - 1};
    gap->scheduled = scheduled(&unit->settings, gap->from, gap->to);
  }
  free(step);
  free(to);
  return status;
}
