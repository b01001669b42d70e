/* The drift of a unit: of each characteristic by itself, then what they support together, beside
 * other units and the forecasts of before. */
#include "study_drift.h"

bt_status bt_study_drift(bt_ledger *ledger, const bt_drift_request *request, bt_unit_study *study,
                         bt_error *error) {
  study_place place = {0};
  drift_unit of;
  bt_unit_drift *all;
  bt_status status = study_drift_begin(request, study, &place, &of, &all, error);
  if (status == BT_OK && ledger != NULL)
    status = study_drift_meters(ledger, study, all, error);
  if (status == BT_OK)
    status = study_drift_causes(&of, all, error);
  if (status == BT_OK && ledger != NULL && request->past_months > 0)
    status = study_drift_past(ledger, study, request->past_months, all, error);
  return study_drift_end(study, &place, all, status);
}
