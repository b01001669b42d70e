/* Signals computed anew from the points of checks.csv and the limits of limits.json, against
 * signals.csv: rules, CUSUM, budgeted limits, failed tolerances, episodes. What judges the points
 * is what judges a study's (src/spc/judge.c), by all rules that the folder's format knows. */
#include "verify_case.h"

#include <stdlib.h>
#include <string.h>

static const bt_told_check *row_of(const verify_chart *of, size_t p) {
  return &of->chart->checks[of->row[p]];
}

/* A baseline as the folder tells it, and the points that it judges. */
static bt_segment segment_of(const verify_chart *of, size_t s) {
  bt_segment its = of->chart->segments[s].of;
  its.from = 0;
  while (its.from < of->n && of->segment[its.from] != (int32_t)s)
    its.from++;
  its.to = its.from;
  while (its.to < of->n && of->segment[its.to] == (int32_t)s)
    its.to++;
  its.phase2 = its.from;
  while (its.phase2 < its.to && of->at[its.phase2] < its.baseline.to + BT_DAY)
    its.phase2++;
  return its;
}

static bt_status find_ranges(verify_chart *of, size_t from, size_t to, bt_error *error) {
  uint8_t *use = bt_new(to - from, 1);
  if (use == NULL)
    return bt_fail_memory(error);
  for (size_t p = from; p < to; p++) {
    bool left_out = row_of(of, p)->in_baseline && !of->used[p];
    use[p - from] = of->judged[p] != 0 && !left_out;
  }
  bt_moving_ranges(of->value + from, use, to - from, of->range + from, of->has_range + from);
  free(use);
  for (size_t p = from; p < to; p++) {
    const bt_told_check *row = row_of(of, p);
    if (row->has_range != (of->has_range[p] != 0) || !verify_same(row->moving_range, of->range[p]))
      return bt_fail(error, BT_DAMAGED,
                     "checks.csv, line %lld: moving_range doesn't follow from the other rows",
                     (long long)row->line);
  }
  return BT_OK;
}

static void mark_tolerance(verify_chart *of) {
  size_t next = 0;
  for (size_t i = 0; i < of->chart->checks_n; i++) {
    const bt_told_check *check = &of->chart->checks[i];
    if (of->point[i] != BT_NONE)
      next = of->point[i] + 1;
    if (!verify_is_outside(check))
      continue;
    size_t p = bt_judge_failed_point(of->at, of->n, next, check->at);
    bt_side side = check->has_low && check->reading < check->low ? BT_LOW : BT_HIGH;
    if (p != BT_NONE)
      of->rules[side][p] |= BT_TOLERANCE_FAILED;
  }
}

static bt_status place_restarts(verify_chart *of, bt_error *error) {
  for (size_t r = 0; r < of->chart->restarts_n; r++) {
    const bt_told_restart *told = &of->chart->restarts[r];
    size_t p = 0;
    while (p < of->n && (of->at[p] != told->at || row_of(of, p)->sequence != told->sequence))
      p++;
    if (p == of->n)
      return bt_fail(error, BT_DAMAGED,
                     "limits.json: a restart of %s is at a point that checks.csv doesn't have",
                     of->chart->key);
    of->cusum.restarts[of->cusum.restarts_n++] = (bt_restart){.point = p, .at = told->at};
  }
  return BT_OK;
}

/* ---- Against signals.csv --------------------------------------------------------------------- */

static bt_status compare(const verify_chart *of, const bt_told_signal *told, size_t p, bt_side side,
                         bt_error *error) {
  bt_rules bits = of->rules[side][p];
  bool centred = of->judged[p] != 0 && !verify_is_vector(of) && !verify_is_radial(of);
  bool summed = centred && of->judged[p] == 1;
  double sum = side == BT_HIGH ? of->cusum.high[p] : of->cusum.low[p];
  const char *column = NULL;
  if (told->rules != bits)
    column = "rules";
  else if (told->strength != bt_rules_strength(bits))
    column = "strength";
  else if (!verify_same(told->value, of->value[p]))
    column = "value";
  else if (told->has_z != centred || !verify_same(told->z, centred ? of->z[p] : 0))
    column = "z";
  else if (told->has_cusum != summed || !verify_same(told->cusum, summed ? sum : 0))
    column = "cusum";
  return column == NULL ? BT_OK
                        : bt_fail(error, BT_DAMAGED,
                                  "signals.csv, line %lld: %s doesn't follow from checks.csv",
                                  (long long)told->line, column);
}

static bt_status compare_all(const verify_chart *of, bt_error *error) {
  const bt_told_case *told = of->told;
  size_t next = 0;
  char at[BT_TIME_TEXT];
  for (size_t p = 0; p < of->n; p++)
    for (int side = BT_LOW; side < BT_SIDES; side++) {
      const bt_told_check *row = row_of(of, p);
      if (of->rules[side][p] == 0 || row->at < told->from || row->at >= told->to)
        continue;
      const bt_told_signal *signal = next < of->chart->signals_n ? &of->chart->signals[next] : NULL;
      if (signal == NULL || signal->at != row->at || signal->sequence != row->sequence ||
          signal->side != (bt_side)side)
        return bt_fail(error, BT_DAMAGED,
                       "signals.csv lacks a signal of %s on the %s side at %s, which follows from "
                       "checks.csv",
                       of->chart->key, side == BT_LOW ? "low" : "high",
                       bt_time_iso(row->at, row->has_clock, at));
      bt_status status = compare(of, signal, p, (bt_side)side, error);
      if (status != BT_OK)
        return status;
      next++;
    }
  return next == of->chart->signals_n
             ? BT_OK
             : bt_fail(error, BT_DAMAGED,
                       "signals.csv, line %lld: no such signal follows from checks.csv",
                       (long long)of->chart->signals[next].line);
}

/* An episode that may have begun before the rows do bears a name of its own, which can't be told;
 * none began before its baseline. */
static bool may_have_begun_earlier(const verify_chart *of, const bt_episode *episode) {
  size_t judged = 0;
  if (of->segment[0] != of->segment[episode->first])
    return false;
  for (size_t p = 0; p < episode->first; p++)
    judged += of->judged[p] != 0;
  return of->chart->earlier_checks > 0 && judged < BT_EPISODE_QUIET;
}

static const bt_episode *episode_at(const bt_episode *episodes, size_t n, size_t p, bt_side side) {
  for (size_t e = 0; e < n; e++)
    if (episodes[e].side == side && episodes[e].first <= p && episodes[e].last >= p)
      return &episodes[e];
  return NULL;
}

static bt_status compare_episodes(const verify_chart *of, bt_error *error) {
  bt_episode *episodes = NULL;
  size_t n = 0, p = 0;
  bt_status status = bt_episodes_find(of->segment, of->judged, (bt_rules *const *)of->rules,
                                      of->strength, of->n, &episodes, &n, error);
  for (size_t i = 0; i < of->chart->signals_n && status == BT_OK; i++) {
    const bt_told_signal *signal = &of->chart->signals[i];
    char id[BT_ID_DIGITS + 1];
    while (of->at[p] != signal->at || row_of(of, p)->sequence != signal->sequence)
      p++;
    const bt_episode *episode = episode_at(episodes, n, p, signal->side);
    if (episode == NULL || may_have_begun_earlier(of, episode))
      continue;
    const bt_told_check *first = row_of(of, episode->first);
    status = bt_episode_id(of->told->unit, of->chart->key, first->at, first->sequence, id, error);
    if (status == BT_OK && strcmp(id, signal->episode) != 0)
      status = bt_fail(error, BT_DAMAGED,
                       "signals.csv, line %lld: the episode is %s, not %s as it follows from "
                       "checks.csv",
                       (long long)signal->line, signal->episode, id);
  }
  free(episodes);
  return status;
}

static bt_status judge(verify_chart *of, const bt_judged *judged, bt_error *error) {
  bt_status status = place_restarts(of, error);
  for (size_t s = 0; s < of->chart->segments_n && status == BT_OK; s++) {
    bt_segment its = segment_of(of, s);
    if (its.state == BT_CHART_DRAWN && !verify_is_vector(of) && !verify_is_radial(of))
      status = find_ranges(of, its.from, its.to, error);
    if (status == BT_OK)
      status = bt_judge_segment(judged, &its, error);
    if (status == BT_OK)
      bt_judge_alarms(judged, &its);
  }
  if (status != BT_OK)
    return status;
  mark_tolerance(of);
  bt_judge_strengths(judged, of->n, bt_case_rules(of->told->format), of->strength);
  return BT_OK;
}

bt_status verify_signals(verify_chart *of, bt_error *error) {
  bt_judged judged = {.characteristic = of->chart->characteristic,
                      .value = of->value,
                      .judged = of->judged,
                      .z = of->z,
                      .rules = {of->rules[BT_LOW], of->rules[BT_HIGH]},
                      .cusum = &of->cusum};
  bt_status status = judge(of, &judged, error);
  if (status == BT_OK)
    status = compare_all(of, error);
  return status == BT_OK ? compare_episodes(of, error) : status;
}
