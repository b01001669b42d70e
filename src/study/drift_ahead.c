/* When will it matter: the forecast against the tolerance in force, and the days that a fill lasts.
 *
 * R1 A single check scatters about its mean as the points do about the change's model; where points
 *    are means of several checks of a day, by the spread within a day as well.
 * R2 Checks are of a fill's end (drift_one.c, R7); the rate of checking is that of the window.
 * R3 A fill is taken to lose as those since the change do. */
#include "study_drift.h"

#include <math.h>

/* R1 */
static double check_sigma(const bt_drift *drift) {
  const bt_segment *now = bt_study_now(drift->study);
  double variance = drift->change.sigma * drift->change.sigma;
  if (now->within.days > 0) {
    double checks = 0;
    for (size_t i = 0; i < drift->values.n; i++)
      checks += drift->study->points.checks[drift->values.point[i]];
    double each = checks / (double)drift->values.n;
    variance += now->within.sigma * now->within.sigma * (1 - 1 / each);
  }
  return sqrt(variance);
}

/* R2 */
static double checks_a_day(const bt_drift_values *values) {
  return (double)values->n / (values->day[values->n - 1] - values->day[0] + 1);
}

bt_status study_drift_ahead(bt_drift *drift, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  const bt_tolerance *tolerance = drift->study->tolerance.now;
  drift->tolerance = tolerance;
  bt_forecast_basis basis = {.look = drift->look,
                             .trend = drift->trend,
                             .has_low = tolerance != NULL && tolerance->has_low,
                             .has_high = tolerance != NULL && tolerance->has_high,
                             .check_sigma = check_sigma(drift),
                             .checks_a_day = checks_a_day(values)};
  if (tolerance != NULL) {
    basis.low = tolerance->low;
    basis.high = tolerance->high;
  }
  if (baseline->adjusted) {
    basis.within_per_day = baseline->slope_per_day;
    basis.mean_age_days = baseline->mean_age_days;
    basis.oldest_age_days = drift->fill_end_days;
  }
  bt_status status = BT_OK;
  if (basis.check_sigma > 0)
    status = bt_forecast_find(values->day, values->value, values->n, &drift->change, &basis,
                              &drift->forecast, error);
  if (status != BT_OK || !baseline->adjusted)
    return status;
  bt_slope slope = drift->slope; /* R3 */
  slope.mean_age_days = baseline->mean_age_days;
  drift->fill_days = bt_fill_days_of(drift->now, (drift->now_high - drift->now_low) / 3.92, &slope,
                                     basis.has_low, basis.low, basis.has_high, basis.high);
  return BT_OK;
}
