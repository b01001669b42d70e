/* The day a drift's mean meets a limit, against R's lm and uniroot: constants printed by
 *   Rscript tests/published/drift/reference.R     (R 4, package stats) */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>

enum { VALUES = 120 };

Test(forecast, R_profile_over_the_onset) {
  gsl_set_error_handler_off();
  double day[VALUES], value[VALUES];
  for (int i = 0; i < VALUES; i++) {
    day[i] = 7 * (i / 5) + i % 5;
    value[i] =
        1 - 0.0003 * fmax(0, day[i] - 80.4) + 0.012 * ((i * i * 7 + 3 * i) % 23 / 23.0 - 0.5);
  }
  bt_change change;
  bt_error error;
  cr_assert_eq(bt_change_find(day, value, VALUES, &change, &error), BT_OK);
  bt_forecast_basis basis = {.look = bt_look_of(VALUES, 5, 250),
                             .trend = {.given = true, .slope = -1},
                             .has_low = true,
                             .low = 0.95,
                             .within_per_day = -0.001,
                             .mean_age_days = 1,
                             .oldest_age_days = 3, /* so that the line meets 0.952 */
                             .check_sigma = 0.004,
                             .checks_a_day = 5.0 / 7};
  bt_forecast forecast;
  cr_assert_eq(bt_forecast_find(day, value, VALUES, &change, &basis, &forecast, &error), BT_OK);
  cr_assert_eq(forecast.use, BT_FORECAST_GIVEN);
  cr_expect(forecast.side == BT_LOW && forecast.limit == 0.95);
  cr_expect_float_eq(change.hinge.day, 79.3650455688, 1e-3);
  cr_expect_float_eq(change.hinge.per_day, -0.000299798756601, 1e-8);
  cr_expect_float_eq(forecast.mean_at, 237.132046912, 1e-3);
  cr_expect(forecast.has_mean_to);
  cr_expect_float_eq(forecast.mean_from, 223.997567005, 0.01);
  cr_expect_float_eq(forecast.mean_to, 250.710826546, 0.01);
}
