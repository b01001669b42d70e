/* Where the level is today against the first baseline, so that freezing again and again can't hide
 * a loss: the newest points are moved to the first baseline's mean fill age by its own slope, as
 * they would be had no other followed.
 *
 * R1 The first is the one that was frozen first, whatever days were frozen since: the ledger says
 *    which (bt_ledger_first_baseline).
 * R2 Where its very days are those that judge the newest points, there is nothing to add.
 * R3 A period, centre or sigma given with the request takes the place of all baselines.
 * R4 A voltage that holds another target energy than the first baseline did isn't compared with it,
 *    unless the target crept there (target.c). */
#include "study_room.h"

/* Whether point p holds a target that led on from the first baseline's: R4. */
static bool leads_on(study_followed *followed, const bt_series *points, size_t p, double target) {
  double its = points->target_mj[p];
  bool same = !study_is_other_target(its, target) || study_is_followed(followed, its);
  if (same)
    study_follow(followed, its);
  return same;
}

/* Its numbers as they stand, whatever a fit to today's record would give. */
static void compare(const bt_baseline *first, double target, bt_study *study) {
  const bt_series *points = &study->points;
  bt_slope slope = study_stored_slope(first);
  study_followed followed = {0};
  size_t after = bt_series_from(points, first->to + BT_DAY), n = 0;
  double newest[STUDY_RECENT_POINTS] = {0}, sum = 0;
  for (size_t p = after; p < points->n; p++) {
    double value;
    if (study->judged[p] == 0 || !study_charted(points, p, &slope, &value))
      continue;
    if (leads_on(&followed, points, p, target))
      newest[n++ % STUDY_RECENT_POINTS] = value - first->centre;
    else
      n = 0;
  }
  n = n < STUDY_RECENT_POINTS ? n : STUDY_RECENT_POINTS;
  for (size_t k = 0; k < n; k++)
    sum += newest[k];
  if (n > 0)
    study->from_first = (bt_from_first){.given = true,
                                        .from = first->from,
                                        .to = first->to,
                                        .centre = first->centre,
                                        .shift = sum / (double)n};
}

bt_status study_from_first(bt_ledger *ledger, const bt_study_request *request, bt_study *study,
                           const study_place *place, bt_error *error) {
  const bt_segment *now = bt_study_now(study);
  bt_baseline first;
  if (ledger == NULL || now == NULL || request->has_baseline || request->has_centre ||
      request->has_sigma || /* R3 */
      study->characteristic == BT_TRACKER_RADIAL || study->characteristic == BT_TRACKER_VECTOR)
    return BT_OK;
  bt_status status = bt_ledger_first_baseline(ledger, place->history->unit, study->characteristic,
                                              study_derivation(place, study->characteristic),
                                              request->until, &first, error);
  bool same = first.from == now->baseline.from && first.to == now->baseline.to; /* R2 */
  double target = 0;
  if (status == BT_OK && !same)
    status = study_baseline_target(study, &first, &target, error);
  if (status == BT_OK && first.version > 0 && first.has_centre && !same)
    compare(&first, target, study);
  bt_baseline_free(&first);
  return status;
}
