/* Which drift is told first, wherever several are: on the first page, in a case, on the screen.
 *
 * R1 What fails its tolerance comes before all: a last check outside it, then a mean beyond it or
 *    checks that failed since the change.
 * R2 Then what comes to its tolerance, the nearest day first; then a change towards a tolerance
 *    without a day; then a change that no tolerance is entered for; then what did not change.
 * R3 Of equal ones that which stands first in the table. */
#include "report_drift.h"

#include <math.h>

typedef enum drift_class {
  LAST_OUTSIDE, /* R1 */
  FAILING,
  DATED, /* R2 */
  WITH_TOLERANCE,
  WITHOUT_TOLERANCE,
  UNCHANGED
} drift_class;

double report_drift_first_day(const bt_drift *drift) {
  const bt_forecast *of = &drift->forecast;
  if (of->use != BT_FORECAST_GIVEN)
    return HUGE_VAL;
  return of->has_fail_5 ? of->fail_5 : of->has_fail_50 ? of->fail_50 : HUGE_VAL;
}

static bool has_limit_ahead(const bt_drift *drift) {
  const bt_tolerance *tolerance = drift->tolerance;
  return tolerance != NULL && (drift->moved.sign < 0 ? tolerance->has_low : tolerance->has_high);
}

static drift_class class_of(const bt_drift *drift) {
  bool changed = report_drift_is_changed(drift);
  if (bt_study_shown_verdict(drift->study) == BT_VERDICT_OUT_OF_TOLERANCE)
    return LAST_OUTSIDE;
  if (drift->forecast.use == BT_FORECAST_BEYOND || (changed && drift->failed_n > 0))
    return FAILING;
  if (report_drift_first_day(drift) < HUGE_VAL)
    return DATED;
  return !changed ? UNCHANGED : has_limit_ahead(drift) ? WITH_TOLERANCE : WITHOUT_TOLERANCE;
}

int report_drift_order(const bt_drift *a, const bt_drift *b) {
  drift_class first = class_of(a), second = class_of(b);
  if (first != second)
    return first < second ? -1 : 1;
  if (first == DATED) {
    double day = report_drift_first_day(a), other = report_drift_first_day(b);
    if (day < other || day > other)
      return day < other ? -1 : 1;
  }
  return a < b ? -1 : a > b; /* R3: both stand in the unit's array */
}

const bt_drift *report_drift_after(const bt_unit_study *unit, const bt_drift *before) {
  const bt_unit_drift *all = unit->drift;
  const bt_drift *next = NULL;
  for (size_t i = 0; all != NULL && i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    if ((before == NULL || report_drift_order(drift, before) > 0) &&
        (next == NULL || report_drift_order(drift, next) < 0))
      next = drift;
  }
  return next;
}

const char *report_drift_why_first(const bt_drift *drift) {
  switch (class_of(drift)) {
  case LAST_OUTSIDE:
    return "its last check is outside tolerance";
  case FAILING:
    return "it fails its tolerance already";
  case DATED:
    return "it comes to its tolerance first";
  case WITH_TOLERANCE:
    return "it moves towards its tolerance";
  case WITHOUT_TOLERANCE:
  case UNCHANGED:
    break;
  }
  return NULL;
}
