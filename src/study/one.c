/* The study of one characteristic, from its checks to its rules. What needs the unit's other charts
 * follows in alarm.c and finish.c.
 *
 * R1 Whether a repeat is a retest depends on the limits, and the limits on which checks are
 *    retests. So points and baselines are made twice: first with retests after failed tolerances
 *    only, then with those after checks beyond the limits that this gave, where there are any.
 *    In a frozen baseline's own period these limits are those of the period fitted anew, as when it
 *    was frozen, and not the stored ones, which came after the retests: else a period would read
 *    otherwise than it was frozen though nothing was entered since.
 * R2 Without a vector to count it from there is no T², and so no study of it. */
#include "study_room.h"

#include <stdlib.h>

static void drop_segments(bt_study *study) {
  for (size_t s = 0; s < study->segments_n; s++) {
    bt_baseline_free(&study->segments[s].baseline);
    free(study->segments[s].exclusions);
  }
  free(study->segments);
  study->segments = NULL;
  study->segments_n = 0;
}

static bt_status points_and_segments(bt_ledger *ledger, const bt_study_request *request,
                                     const study_place *place, bool anew, bt_study *study,
                                     study_rows *rows, uint8_t *used, bt_error *error) {
  drop_segments(study);
  bt_status status = study_points(study, rows, place, error);
  if (status == BT_OK) {
    for (size_t p = 0; p < study->points.n; p++)
      used[p] = 0;
    status = study_segments(ledger, request, anew, study, rows, place, used, error);
  }
  return status == BT_OK ? study_adjust(study, rows, place, error) : status;
}

/* R2. */
static bool lacks_vector(const bt_study *study) {
  return study->characteristic == BT_TRACKER_VECTOR &&
         (study->segments_n == 0 || study->segments[0].vector.n == 0);
}

static bool has_frozen(const bt_study *study) {
  bool has = false;
  for (size_t s = 0; s < study->segments_n; s++)
    has = has || study->segments[s].baseline.version > 0;
  return has;
}

/* R1. */
static bt_status settle(bt_ledger *ledger, const bt_study_request *request,
                        const study_place *place, bt_study *study, study_rows *rows,
                        uint8_t *outside, uint8_t *used, bt_error *error) {
  for (size_t i = 0; i < study->checks.n; i++)
    outside[i] = rows->failed[i];
  (void)study_set_aside(study, rows, place, outside);
  bt_status status = points_and_segments(ledger, request, place, false, study, rows, used, error);
  if (status != BT_OK || lacks_vector(study))
    return status;
  bool frozen = has_frozen(study);
  status = study_mark_beyond(study, rows, used, frozen ? STUDY_AFTER_PERIODS : STUDY_ALL_CHECKS,
                             outside, error);
  if (status == BT_OK && frozen)
    status = points_and_segments(ledger, request, place, true, study, rows, used, error);
  if (status == BT_OK && frozen)
    status = study_mark_beyond(study, rows, used, STUDY_IN_PERIODS, outside, error);
  if (status == BT_OK && (study_set_aside(study, rows, place, outside) || frozen))
    status = points_and_segments(ledger, request, place, false, study, rows, used, error);
  return status;
}

bt_status study_one(bt_ledger *ledger, const bt_study_request *request,
                    bt_characteristic characteristic, const study_place *place, bool counted,
                    bt_study **made, bt_error *error) {
  *made = NULL;
  study_rows rows = {0};
  uint8_t *outside = NULL, *used = NULL;
  bt_status status = BT_OK;
  bt_study *study = bt_new(1, sizeof *study);
  if (study == NULL)
    return bt_fail_memory(error);
  study->every = request->every;
  status = study_checks(place, characteristic, study, &rows, error);
  if (status != BT_OK || study->checks.n == 0)
    goto done;

  size_t n = study->checks.n;
  outside = bt_new(n, 1);
  used = bt_new(n, 1); /* there are at most as many points as checks */
  if (outside == NULL || used == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  status = settle(ledger, request, place, study, &rows, outside, used, error);
  if (status != BT_OK || lacks_vector(study))
    goto done;
  if (status == BT_OK && !counted)
    status = study_refit(study, &rows, place, used, error);
  if (status == BT_OK && !counted)
    status = study_within(study, &rows, used, error);
  if (status == BT_OK)
    status = study_judge(study, &rows, place, used, error);
  if (status == BT_OK && !counted)
    status = study_from_first(ledger, request, study, place, error);
  if (status != BT_OK || lacks_vector(study))
    goto done;
  *made = study;
  study = NULL;
done:
  bt_study_free(study);
  free(rows.row);
  free(rows.point);
  free(rows.failed);
  free(outside);
  free(used);
  return status;
}
