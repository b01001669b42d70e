/* Where the level is today against the first baseline, so that freezing again and again can't hide
 * a loss: the newest points are moved to the first baseline's mean fill age by its own slope, as
 * they would be had no other followed.
 *
 * R1 The first is the one that was frozen first, whatever days were frozen since: the ledger says
 *    which (bt_ledger_first_baseline).
 * R2 Where its very days are those that judge the newest points, there is nothing to add.
 * R3 A period, centre or sigma given with the request takes the place of all baselines. */
#include "study_room.h"

/* Its numbers as they stand, whatever a fit to today's record would give. */
static void compare(const bt_baseline *first, bt_study *study) {
  bt_slope slope = study_stored_slope(first);
  size_t after = bt_series_from(&study->points, first->to + BT_DAY), n = 0;
  double sum = 0;
  for (size_t p = study->points.n; p > after && n < STUDY_RECENT_POINTS; p--) {
    double value;
    if (study->judged[p - 1] == 0 || !study_charted(&study->points, p - 1, &slope, &value))
      continue;
    sum += value - first->centre;
    n++;
  }
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
  if (status == BT_OK && first.version > 0 && first.has_centre && !same)
    compare(&first, study);
  bt_baseline_free(&first);
  return status;
}
