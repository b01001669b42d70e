/* Days that a fill lasts: by hand, and the interval's coverage. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

static const bt_slope falling = {
    .use = BT_AGE_USED, .df = 40, .per_day = -0.01, .se = 0.001, .mean_age_days = 1.5};

Test(fill_days, by_hand) {
  gsl_set_error_handler_off();
  bt_fill_days found = bt_fill_days_of(1.0, 0, &falling, true, 0.97, true, 1.03);
  cr_assert_eq(found.use, BT_FILL_GIVEN);
  cr_expect(found.limit == 0.97 && found.has_high);
  cr_expect_float_eq(found.days, 4.5, 1e-12);
  double t = 2.0210753903062737; /* of 40 degrees of freedom, 97.5 % */
  cr_expect_float_eq(found.low, 1.5 + 0.03 / (0.01 + t * 0.001), 1e-9, "the level is exact");
  cr_expect_float_eq(found.high, 1.5 + 0.03 / (0.01 - t * 0.001), 1e-9);

  bt_slope rising = falling;
  rising.per_day = 0.01; /* a voltage */
  found = bt_fill_days_of(1.0, 0, &rising, true, 0.97, true, 1.03);
  cr_expect(found.use == BT_FILL_GIVEN && found.limit == 1.03 && fabs(found.days - 4.5) < 1e-12);
}

Test(fill_days, Y1_Y2_Y3_edges) {
  gsl_set_error_handler_off();
  bt_slope unused = falling;
  unused.use = BT_AGE_NOT_SIGNIFICANT;
  cr_expect_eq(bt_fill_days_of(1, 0, &unused, true, 0.97, true, 1.03).use, BT_FILL_NO_SLOPE);
  cr_expect_eq(bt_fill_days_of(1, 0, &falling, false, 0, true, 1.03).use, BT_FILL_NO_LIMIT);
  bt_fill_days found = bt_fill_days_of(0.95, 0.001, &falling, true, 0.97, false, 0);
  cr_expect(found.use == BT_FILL_BEYOND && found.days == 0 && found.low == 0 && found.high == 0);
  found = bt_fill_days_of(0.96, 0.001, &falling, true, 0.97, false, 0);
  cr_expect(found.use == BT_FILL_GIVEN && fabs(found.days - 0.5) < 1e-12, "half a day old");
  bt_slope vague = falling;
  vague.se = 0.006;
  found = bt_fill_days_of(1, 0.001, &vague, true, 0.97, false, 0);
  cr_expect(found.use == BT_FILL_GIVEN && !found.has_high);
}

/* 4,000 slopes and levels that err: the interval holds the true days in 95 %, within 4 standard
 * errors. */
Test(fill_days, coverage_by_simulation) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 53);
  const int runs = 4000;
  int covered = 0;
  for (int run = 0; run < runs; run++) {
    bt_slope slope = falling;
    slope.se = 0.002 * sqrt(gsl_ran_chisq(source, slope.df) / slope.df);
    slope.per_day += gsl_ran_gaussian(source, 0.002);
    double level_se = slope.se; /* of one sigma */
    double level = 1 + gsl_ran_gaussian(source, 0.002);
    bt_fill_days found = bt_fill_days_of(level, level_se, &slope, true, 0.97, false, 0);
    covered += found.low <= 4.5 && (!found.has_high || 4.5 <= found.high);
  }
  gsl_rng_free(source);
  cr_expect_float_eq((double)covered / runs, 0.95, 4 * sqrt(0.05 * 0.95 / runs), "%d", covered);
}
