/* What follows once all rules are marked: strengths, episodes and what people concluded of them,
 * where the laser is now, capability and the verdict.
 *
 * R1 A rule or the CUSUM is a notice; a failed tolerance or a budgeted limit is an alarm. The EWMA
 *    is only drawn.
 *    An episode is as strong as the rules of its own side.
 * R2 A disposition belongs to the episodes of its characteristic and side that it overlaps in time;
 *    of several the latest entered counts.
 * R3 A rule that an older format of evidence folders doesn't know marks nothing for one, so that
 *    signals, episodes and their ids are those of that time. */
#include "study_room.h"

#include <stdlib.h>
#include <string.h>

/* R1, R3. */
static void grade(bt_study *study, int case_format) {
  bt_judged judged = study_judged(study);
  bt_rules known = case_format == 0 ? (bt_rules)~0U : bt_case_rules(case_format);
  bt_judge_strengths(&judged, study->points.n, known, study->strength);
}

static void find_young_restart(bt_study *study) {
  study->restarted = BT_NONE;
  if (study->cusum.restarts_n == 0)
    return;
  size_t last = study->cusum.restarts_n - 1;
  size_t judged_since = 0;
  for (size_t p = study->cusum.restarts[last].point; p < study->points.n; p++)
    judged_since += study->judged[p] == 1;
  if (judged_since < STUDY_RESTART_POINTS)
    study->restarted = last;
}

/* Where the laser is now: a CUSUM's size is that of its run's beginning. Not for the radius and T²,
 * whose distance from a centre means nothing, nor where the newest points are of another target. */
static void find_recent_shift(bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  if (now == NULL || now->state != BT_CHART_DRAWN || study->characteristic == BT_TRACKER_RADIAL ||
      study->characteristic == BT_TRACKER_VECTOR || bt_study_other_target_from(study) != BT_NONE)
    return;
  double sum = 0;
  for (size_t p = study->points.n; p > now->from && study->recent_n < STUDY_RECENT_POINTS; p--)
    if (study->judged[p - 1] != 0) {
      sum += study->points.value[p - 1] - now->chart.centre;
      study->recent_n++;
    }
  if (study->recent_n > 0)
    study->recent_shift = sum / (double)study->recent_n;
}

/* The study takes its own dispositions out of the unit's list. */
static bt_status take_dispositions(bt_study *study, const study_place *place, bt_error *error) {
  size_t most = place->dispositions_n;
  study->dispositions = bt_new(most, sizeof *study->dispositions);
  study->disposition_used = bt_new(most, sizeof *study->disposition_used);
  if (study->dispositions == NULL || study->disposition_used == NULL)
    return bt_fail_memory(error);
  for (size_t d = 0; d < most; d++) {
    bt_disposition *disposition = &place->dispositions[d];
    if (disposition->characteristic == NULL || /* taken before */
        strcmp(disposition->characteristic, study->quantity.key) != 0)
      continue;
    study->dispositions[study->dispositions_n++] = *disposition;
    *disposition = (bt_disposition){0};
  }
  return BT_OK;
}

/* R2. */
static void match_dispositions(bt_study *study) {
  for (size_t e = 0; e < study->episodes_n; e++) {
    bt_episode *episode = &study->episodes[e];
    episode->disposition = BT_NONE;
    for (size_t d = 0; d < study->dispositions_n; d++) {
      if (!bt_study_concludes(study, episode, d))
        continue;
      episode->disposition = d;
      study->disposition_used[d] = true;
    }
  }
}

/* R1. A point may be an alarm on one side and a notice on the other. */
static void grade_episode(const bt_study *study, bt_episode *episode) {
  bt_rules rules = 0;
  for (size_t p = episode->first; p <= episode->last; p++)
    rules |= study->rules[episode->side][p];
  episode->strength = bt_rules_strength(rules);
}

static bt_status find_episodes(bt_study *study, const study_place *place, bt_error *error) {
  bt_status status =
      bt_episodes_find(study->points.segment, study->judged, study->rules, study->strength,
                       study->points.n, &study->episodes, &study->episodes_n, error);
  if (status == BT_OK)
    status = take_dispositions(study, place, error);
  for (size_t e = 0; e < study->episodes_n && status == BT_OK; e++) {
    bt_episode *episode = &study->episodes[e];
    grade_episode(study, episode);
    status =
        bt_episode_id(place->history->unit, study->quantity.key, study->points.at[episode->first],
                      study->points.sequence[episode->first], episode->id, error);
  }
  if (status == BT_OK)
    match_dispositions(study);
  return status;
}

bt_status study_finish(bt_study *study, const study_place *place, bt_error *error) {
  grade(study, place->case_format);
  find_young_restart(study);
  find_recent_shift(study);
  bt_status status = find_episodes(study, place, error);
  if (status == BT_OK)
    status = study_jumps(study, place, error);
  if (status != BT_OK)
    return status;
  study_capability(study);
  study->verdict = study_verdict(study);
  return BT_OK;
}
