/* When will it matter: the forecast against the tolerance in force, and the days that a fill lasts.
 *
 * R1 A single check scatters about its mean as the points do about the change's model; where points
 *    are means of several checks of a day, by the spread within a day as well.
 * R2 Checks are of a fill's end (drift_one.c, R7); the rate of checking is that of the window.
 * R3 A fill is taken to lose as those since the change do; where that loss grows (R4), as on the
 * last day. R4 Where the parts of a hinge show that the fills lose more than before, and that this
 * grows with it, the forecast is of the values moved to a fill's end along the slope of their day:
 * along the slope of the baseline a fill's end would look better than it is, and later days much
 * better.
 */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>

/* R1 */
static double check_sigma(const bt_drift *drift, double sigma) {
  const bt_segment *now = bt_study_now(drift->study);
  double variance = sigma * sigma;
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

static bt_slope slope_before(const bt_drift *drift) {
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  return (bt_slope){.per_day = baseline->slope_per_day,
                    .se = baseline->slope_se,
                    .mean_age_days = baseline->mean_age_days};
}

/* R4 */
static bt_status find_growth(bt_drift *drift, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  const bt_part *fills = &drift->parts.fills;
  const bt_slope before = slope_before(drift);
  if (!drift->moved.changed || !fills->shown || !(fills->size * drift->loss > 0))
    return BT_OK;
  bt_status status =
      bt_fill_growth_find(values->day, values->value, values->age_days, values->known, values->n,
                          &drift->change, &before, &drift->growth, error);
  if (!(drift->growth.per_day * drift->loss > 0))
    drift->growth = (bt_fill_growth){0};
  return status;
}

static bt_status forecast(bt_drift *drift, const bt_forecast_basis *basis, const double *value,
                          const bt_change *change, bt_error *error) {
  return basis->check_sigma > 0 ? bt_forecast_find(drift->values.day, value, drift->values.n,
                                                   change, basis, &drift->forecast, error)
                                : BT_OK;
}

/* R4 */
static bt_status forecast_at_end(bt_drift *drift, bt_forecast_basis *basis, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  const bt_slope before = slope_before(drift);
  bt_change change;
  double *at_end = bt_new(values->n, sizeof *at_end);
  if (at_end == NULL)
    return bt_fail_memory(error);
  bt_fill_end_values(values->day, values->value, values->age_days, values->known, values->n,
                     &drift->change, &drift->growth, &before, drift->fill_end_days, at_end);
  bt_status status = bt_change_find(values->day, at_end, values->n, &change, error);
  if (status == BT_OK) {
    basis->within_per_day = 0; /* they are of that age */
    basis->per_day_se = drift->growth.se * (drift->fill_end_days - before.mean_age_days);
    basis->check_sigma = check_sigma(drift, change.sigma);
    drift->oldest_now = change.now;
    status = forecast(drift, basis, at_end, &change, error);
  }
  free(at_end);
  return status;
}

/* R3 */
static bt_slope slope_now(const bt_drift *drift) {
  const bt_slope before = slope_before(drift);
  bt_slope slope = drift->slope;
  slope.mean_age_days = before.mean_age_days;
  if (drift->growth.given) {
    double days = drift->growth.by_now / drift->growth.per_day;
    slope.per_day = drift->growth.now;
    slope.se = hypot(before.se, drift->growth.se * days);
  }
  return slope;
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
                             .check_sigma = check_sigma(drift, drift->change.sigma),
                             .checks_a_day = checks_a_day(values)};
  if (tolerance != NULL) {
    basis.low = tolerance->low;
    basis.high = tolerance->high;
  }
  if (!baseline->adjusted)
    return forecast(drift, &basis, values->value, &drift->change, error);
  basis.within_per_day = baseline->slope_per_day;
  basis.mean_age_days = baseline->mean_age_days;
  basis.oldest_age_days = drift->fill_end_days;
  bt_status status = find_growth(drift, error);
  if (status == BT_OK)
    status = drift->growth.given ? forecast_at_end(drift, &basis, error)
                                 : forecast(drift, &basis, values->value, &drift->change, error);
  if (status != BT_OK)
    return status;
  bt_slope slope = slope_now(drift);
  drift->fill_days = bt_fill_days_of(drift->now, (drift->now_high - drift->now_low) / 3.92, &slope,
                                     basis.has_low, basis.low, basis.has_high, basis.high);
  return BT_OK;
}
