/* Verdicts, worst first (finding/study.h). A characteristic's verdict is its own; the unit's is the
 * worst that concerns it: room conditions don't count, and a tolerance missing for one
 * characteristic does not hide what the others show. */
#include "study_room.h"

bt_verdict study_verdict(const bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  if (study->tolerance.last_is_outside)
    return BT_VERDICT_OUT_OF_TOLERANCE;
  if (bt_characteristic_is_covariate(study->characteristic))
    return BT_VERDICT_NO_SIGNAL;
  bool can_have_tolerance = study->characteristic != BT_TRACKER_VECTOR;
  if (study->tolerance.now == NULL && can_have_tolerance)
    return BT_VERDICT_NO_TOLERANCE;
  bt_strength open = bt_study_open_strength(study);
  if (open != BT_QUIET)
    return open == BT_ALARM ? BT_VERDICT_ALARM : BT_VERDICT_NOTICE;
  if (now == NULL || now->state != BT_CHART_DRAWN || bt_study_other_target_from(study) != BT_NONE)
    return BT_VERDICT_NO_BASELINE;
  return BT_VERDICT_NO_SIGNAL;
}

/* What a characteristic adds to the unit's verdict when its missing tolerance is looked through. */
static bt_verdict beneath(const bt_study *study) {
  if (study->verdict != BT_VERDICT_NO_TOLERANCE)
    return study->verdict;
  bt_strength open = bt_study_open_strength(study);
  return open == BT_ALARM    ? BT_VERDICT_ALARM
         : open == BT_NOTICE ? BT_VERDICT_NOTICE
                             : BT_VERDICT_NO_SIGNAL;
}

void study_unit_verdict(bt_unit_study *unit) {
  bt_verdict worst = BT_VERDICT_NO_SIGNAL;
  size_t judged = 0, with_tolerance = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *study = unit->studies[i];
    if (bt_characteristic_is_covariate(study->characteristic))
      continue;
    judged++;
    with_tolerance += study->tolerance.now != NULL;
    bt_verdict verdict = beneath(study);
    if (verdict < worst)
      worst = verdict;
  }
  if (judged == 0)
    worst = BT_VERDICT_NO_BASELINE;
  if (judged > 0 && with_tolerance == 0 && worst > BT_VERDICT_NO_TOLERANCE)
    worst = BT_VERDICT_NO_TOLERANCE;
  if (!unit->current && worst > BT_VERDICT_NO_CURRENT_CHECK)
    worst = BT_VERDICT_NO_CURRENT_CHECK;
  if (unit->selftest.last_failed && worst > BT_VERDICT_SELFTEST_FAILED)
    worst = BT_VERDICT_SELFTEST_FAILED;
  unit->verdict = worst;
}
