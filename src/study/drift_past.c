/* Past forecasts, made again for each month end by what the ledger held dated up to it, and scored
 * against what came. Nothing of them is stored: corrections known today count.
 *
 * R1 The months that ended before the study's last check, at most so many; a month without a check
 *    is left out.
 * R2 What came is the first check outside tolerance after the month's end; that no such check came
 *    says little where the forecast's days lie ahead still. */
#include "study_drift.h"

#include <stdlib.h>

/* R2 */
static void score(const bt_drift *drift, bt_past_forecast *past) {
  const bt_series *checks = &drift->study->checks;
  if (drift->forecast.use == BT_FORECAST_GIVEN)
    past->mean_at_now = drift->forecast.mean_at;
  for (size_t i = 0; i < checks->n && !past->failed; i++)
    if (checks->at[i] >= past->until && (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0 &&
        (checks->flags[i] & BT_POINT_RETEST) == 0) {
      past->failed = true;
      past->failed_on = drift_day(checks->at[i]);
    }
}

static bt_status one_month(bt_ledger *ledger, const bt_unit_study *unit, bt_time until,
                           bt_unit_drift *all, bt_error *error) {
  bt_study_request request = {.unit = unit->history.unit, .until = until};
  bt_drift_request plain = {0};
  bt_unit_study *then = NULL;
  bt_status status = bt_study_unit(ledger, &request, &then, error);
  if (status == BT_OK)
    status = bt_study_drift(NULL, &plain, then, error);
  for (size_t i = 0; status == BT_OK && i < all->n; i++) {
    bt_drift *now = &all->drift[i];
    const bt_drift *drift = bt_unit_drift_of(then->drift, now->characteristic);
    if (drift == NULL || drift->use != BT_DRIFT_LOOKED_AT)
      continue;
    bt_past_forecast *past = &now->past[now->past_n++];
    *past = (bt_past_forecast){.until = until, .forecast = drift->forecast};
    score(now, past);
  }
  bt_unit_study_free(then);
  return status;
}

bt_status study_drift_past(bt_ledger *ledger, const bt_unit_study *unit, size_t months,
                           bt_unit_drift *all, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < all->n; i++)
    if ((all->drift[i].past = bt_new(months, sizeof *all->drift[i].past)) == NULL)
      return bt_fail_memory(error);
  if (!unit->has_check)
    return BT_OK;
  for (size_t back = months; back > 0 && status == BT_OK; back--) {
    bt_time until = bt_month_start(unit->last_check, 1 - (int)back);
    if (until > unit->first_check && until <= unit->last_check)
      status = one_month(ledger, unit, until, all, error); /* R1 */
  }
  return status;
}
