/* Ageing of the gas alone: by hand, and the coverage of its interval. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

Test(gas, by_hand) {
  bt_slope within = {.df = 20, .per_day = -0.10, .low = -0.13, .high = -0.07};
  bt_trend levels = {
      .given = true, .has_interval = true, .slope = -0.02, .low = -0.06, .high = -0.01};
  bt_gas_slope gas = bt_gas_slope_of(&within, &levels);
  cr_expect(gas.given && gas.has_interval);
  cr_expect_float_eq(gas.per_day, -0.08, 1e-12);
  cr_expect_float_eq(gas.low, -0.08 - sqrt(0.03 * 0.03 + 0.01 * 0.01), 1e-12);
  cr_expect_float_eq(gas.high, -0.08 + 0.05, 1e-12, "0.03 and 0.04 are legs of a right angle");
}

Test(gas, G1_not_given) {
  bt_slope within = {.df = 20, .per_day = -0.10, .low = -0.13, .high = -0.07};
  bt_trend levels = {.given = true, .slope = -0.02};
  bt_gas_slope gas = bt_gas_slope_of(&within, &levels);
  cr_expect(gas.given && !gas.has_interval && gas.low == gas.per_day);
  levels.given = false;
  cr_expect(!bt_gas_slope_of(&within, &levels).given);
  levels.given = true;
  within.df = 0;
  cr_expect(!bt_gas_slope_of(&within, &levels).given);
}

/* 500 windows of 20 fills of 4 values: gas -0.3 a day inside the fills, optics -0.05 a day over
 * all. The interval holds -0.3 in 95 % or a little more. */
Test(gas, coverage_by_simulation) {
  enum { FILLS = 20, EACH = 4, VALUES = FILLS * EACH };
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 15);
  const int runs = 500;
  int covered = 0;
  double mean = 0;
  for (int run = 0; run < runs; run++) {
    double day[VALUES], value[VALUES], age[VALUES], at[FILLS], of[FILLS];
    int32_t fill[VALUES];
    uint8_t use[VALUES];
    for (size_t i = 0; i < VALUES; i++) {
      age[i] = (double)(i % EACH);
      fill[i] = (int32_t)(i / EACH);
      day[i] = (double)i;
      value[i] = -0.3 * age[i] - 0.05 * day[i] + gsl_ran_gaussian(source, 0.5);
      use[i] = 1;
    }
    bt_slope slope;
    bt_level level[VALUES];
    bt_levels levels;
    bt_trend trend;
    bt_error error;
    cr_assert_eq(bt_slope_fit(value, age, fill, fill, use, use, VALUES, &slope, &error), BT_OK);
    cr_assert_eq(bt_levels_fit(day, value, age, fill, use, use, VALUES, &slope, true, level,
                               &levels, &error),
                 BT_OK);
    for (size_t f = 0; f < levels.n; f++) {
      at[f] = level[f].day;
      of[f] = level[f].value;
    }
    cr_assert_eq(bt_trend_find(at, of, levels.n, &trend, &error), BT_OK);
    bt_gas_slope gas = bt_gas_slope_of(&slope, &trend);
    covered += gas.low <= -0.3 && -0.3 <= gas.high;
    mean += gas.per_day / runs;
  }
  gsl_rng_free(source);
  cr_expect_float_eq(mean, -0.3, 0.012, "mean %.4f", mean);
  double share = (double)covered / runs;
  cr_expect(share > 0.95 - 4 * sqrt(0.95 * 0.05 / runs), "covered %.4f", share);
}
