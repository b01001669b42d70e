/* Suspected refills: by hand, and the rate of false ones. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { MOST = 250 };

static const bt_slope falling = {.use = BT_AGE_USED, .per_day = -1};

Test(suspected, a_refill_that_nobody_recorded) {
  double value[24], age[24];
  int32_t stretch[24];
  for (size_t i = 0; i < 24; i++) { /* one recorded fill; a refill on its day 10 */
    age[i] = (double)i;
    stretch[i] = 3;
    value[i] = 50 - (double)(i < 10 ? i : i - 10) + 0.3 * (double)(i * i % 5);
  }
  bt_suspected found[24];
  cr_assert_eq(bt_refills_suspect(value, age, stretch, 24, &falling, 1, found), 1);
  cr_expect(found[0].first == 10 && found[0].age_days == 10 && found[0].expected == 10);
  cr_expect_float_eq(found[0].jump, 10, 0.8);
  cr_expect_float_eq(found[0].z, found[0].jump / sqrt(2.0 / 3), 1e-12);

  for (size_t i = 10; i < 24; i++)
    stretch[i] = 4; /* somebody did */
  cr_expect_eq(bt_refills_suspect(value, age, stretch, 24, &falling, 1, found), 0);
}

/* A jump along the ageing isn't one; nor with a slope that isn't used, or no sigma. For a voltage,
 * that climbs, it is a jump down. */
Test(suspected, U3_direction_and_use) {
  double value[12], age[12];
  int32_t stretch[12] = {0};
  bt_suspected found[12];
  for (int sign = -1; sign <= 1; sign += 2) {
    bt_slope slope = falling;
    slope.per_day = sign;
    for (size_t i = 0; i < 12; i++) {
      age[i] = (double)i;
      value[i] = sign * (double)i - (i >= 6 ? sign * 8 : 0);
    }
    cr_assert_eq(bt_refills_suspect(value, age, stretch, 12, &slope, 1, found), 1);
    cr_expect(found[0].first == 6 && found[0].jump == -8 * sign);
    cr_expect_eq(bt_refills_suspect(value, age, stretch, 12, &slope, 0, found), 0);
    slope.use = BT_AGE_NOT_SIGNIFICANT;
    cr_expect_eq(bt_refills_suspect(value, age, stretch, 12, &slope, 1, found), 0);
    slope = falling;
    slope.per_day = sign;
    for (size_t i = 6; i < 12; i++)
      value[i] += sign * 16;
    cr_expect_eq(bt_refills_suspect(value, age, stretch, 12, &slope, 1, found), 0);
  }
  cr_expect_eq(bt_refills_suspect(value, age, stretch, 0, &falling, 1, found), 0);
}

Test(suspected, U2_two_in_one_fill) {
  double value[30], age[30];
  int32_t stretch[30] = {0};
  for (size_t i = 0; i < 30; i++) {
    age[i] = (double)i;
    value[i] = -(double)(i % 10) - 0.2 * (double)(i % 3);
  }
  bt_suspected found[30];
  cr_assert_eq(bt_refills_suspect(value, age, stretch, 30, &falling, 1, found), 2);
  cr_expect(found[0].first == 10 && found[1].first == 20);
}

/* 1,000 years of 250 daily checks in long fills: a false one in under 1 %, up to 4 standard
 * errors. */
Test(suspected, U1_false_ones_are_rare) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 54);
  const int years = 1000;
  int with_any = 0;
  double value[MOST], age[MOST];
  int32_t stretch[MOST];
  for (int year = 0; year < years; year++) {
    for (size_t i = 0; i < MOST; i++) {
      age[i] = (double)(i % 25);
      stretch[i] = (int32_t)(i / 25);
      value[i] = -age[i] + gsl_ran_gaussian(source, 1);
    }
    bt_suspected found[MOST];
    with_any += bt_refills_suspect(value, age, stretch, MOST, &falling, 1, found) > 0;
  }
  gsl_rng_free(source);
  cr_expect_lt((double)with_any / years, 0.01 + 4 * sqrt(0.01 / years), "%d", with_any);
}
