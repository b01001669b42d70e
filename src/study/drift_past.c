/* Past forecasts, made again for each month end by what the ledger held dated up to it, and scored
 * against what came. Nothing of them is stored: corrections known today count.
 *
 * R1 The months that ended before the study's last check, at most so many; a month without a check
 *    is left out.
 * R2 What came is the first check outside tolerance after the month's end, on the side that the
 *    forecast is of, and none that stands alone (drift_failed.c R3). That no such check came says
 *    little where the forecast's days lie ahead still.
 * R3 An event that moves the values brings to an end what a forecast before it spoke of; a forecast
 *    that was overtaken so is not held against the newest one either. */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>

/* R2 */
static bool fails(const bt_drift *drift, const bt_past_forecast *past, size_t i) {
  const bt_series *checks = &drift->study->checks;
  bool given = past->forecast.use == BT_FORECAST_GIVEN;
  bool its_side = !given || (past->forecast.side == BT_LOW) == (checks->value[i] < drift->centre);
  return checks->at[i] >= past->until && its_side &&
         (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0 &&
         (checks->flags[i] & BT_POINT_RETEST) == 0 && !study_drift_is_far(drift, checks->at[i]);
}

/* R3 */
static void overtake(const bt_unit_study *unit, const bt_drift *drift, bt_past_forecast *past) {
  for (size_t e = 0; e < drift->events_n && !past->overtaken; e++) {
    const bt_event *event = &unit->history.events[drift->events[e].event];
    if (drift->events[e].moved && event->time >= past->until) {
      past->overtaken = true;
      past->overtaken_on = drift_day(event->time);
    }
  }
}

static void score(const bt_unit_study *unit, const bt_drift *drift, bt_past_forecast *past) {
  const bt_series *checks = &drift->study->checks;
  const bt_forecast *now = &drift->forecast, *then = &past->forecast;
  if (now->use == BT_FORECAST_GIVEN)
    past->mean_at_now = now->mean_at;
  for (size_t i = 0; i < checks->n && !past->failed; i++)
    if (fails(drift, past, i)) {
      past->failed = true;
      past->failed_on = drift_day(checks->at[i]);
    }
  overtake(unit, drift, past);
  past->result = bt_past_judge(past, drift_day(checks->at[checks->n - 1]));
  past->has_moved = past->result != BT_PAST_NONE && !past->overtaken &&
                    now->use == BT_FORECAST_GIVEN && now->has_fail_50 && now->side == then->side;
  if (past->has_moved)
    past->moved_days = floor(now->fail_50) - floor(then->fail_50);
}

static bt_status one_month(bt_ledger *ledger, const bt_unit_study *unit, bt_time until,
                           bt_unit_drift *all, bt_error *error) {
  bt_study_request request = {.unit = unit->history.unit, .until = until};
  bt_unit_study *then = NULL;
  bt_status status = bt_study_unit(ledger, &request, &then, error);
  if (status == BT_OK)
    status = study_drift_alone(then, error);
  for (size_t i = 0; status == BT_OK && i < all->n; i++) {
    bt_drift *now = &all->drift[i];
    const bt_drift *drift = bt_unit_drift_of(then->drift, now->characteristic);
    if (drift == NULL || drift->use != BT_DRIFT_LOOKED_AT)
      continue;
    bt_past_forecast *past = &now->past[now->past_n++];
    *past = (bt_past_forecast){.until = until, .forecast = drift->forecast};
    score(unit, now, past);
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
  for (size_t i = 0; i < all->n; i++)
    all->drift[i].past_score = bt_past_score_of(all->drift[i].past, all->drift[i].past_n);
  return status;
}
