/* A covariate's effect: edges, and that a shared trend isn't taken for one. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { MOST = 60 };

static bt_effect effect_of(const double *day, const double *value, const double *covariate,
                           size_t n) {
  gsl_set_error_handler_off();
  bt_effect effect;
  bt_error error = {0};
  cr_assert_eq(bt_effect_find(day, value, covariate, n, &effect, &error), BT_OK, "%s", error.text);
  return effect;
}

Test(covariates, V2_not_given) {
  double day[MOST], value[MOST], other[MOST];
  for (size_t i = 0; i < MOST; i++) {
    day[i] = (double)i;
    value[i] = (double)(i * i % 7);
    other[i] = (double)(i * 3 % 5);
  }
  for (size_t n = 0; n < 13; n++)
    cr_expect(!effect_of(day, value, other, n).given);
  cr_expect(effect_of(day, value, other, 13).given, "10 degrees of freedom");
  for (size_t i = 0; i < MOST; i++)
    other[i] = 20 + 0.3 * day[i];
  cr_expect(!effect_of(day, value, other, MOST).given, "the covariate is the trend");
  for (size_t i = 0; i < MOST; i++)
    other[i] = 21.5;
  cr_expect(!effect_of(day, value, other, MOST).given, "it never moves");
}

Test(covariates, an_effect_beside_a_trend_exactly) {
  double day[MOST], value[MOST], warm[MOST];
  for (size_t i = 0; i < MOST; i++) {
    day[i] = 20000 + 1.4 * (double)i;
    warm[i] = 20 + (double)(i * i % 11) / 4 + 0.01 * (double)i;
    value[i] = 5 - 0.02 * day[i] + 0.5 * warm[i];
  }
  bt_effect effect = effect_of(day, value, warm, MOST);
  cr_expect_float_eq(effect.slope, 0.5, 1e-9);
  cr_expect(effect.given && effect.se < 1e-9 && effect.p < 1e-12);
}

/* In another unit of the covariate the effect is the same, however small its numbers are. */
Test(covariates, another_unit_of_the_covariate) {
  double day[MOST], value[MOST], warm[MOST], small[MOST];
  for (size_t i = 0; i < MOST; i++) {
    day[i] = (double)i;
    warm[i] = 20 + (double)(i * i % 11) / 4;
    small[i] = 1e-6 * warm[i];
    value[i] = 0.5 * warm[i] + (double)(i * 7 % 13);
  }
  bt_effect plain = effect_of(day, value, warm, MOST), other = effect_of(day, value, small, MOST);
  cr_assert(plain.given && other.given);
  cr_expect_float_eq(1e-6 * other.slope, plain.slope, 1e-9);
  cr_expect_float_eq(other.p, plain.p, 1e-9);
}

/* 2,000 lasers that drift in rooms that warm up: an effect is seen in 5 %, within 4 standard
 * errors; without the trend in the regression it would be in all. */
Test(covariates, V1_a_shared_trend_is_no_effect) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 52);
  const int runs = 2000;
  int seen = 0;
  for (int run = 0; run < runs; run++) {
    double day[MOST], value[MOST], warm[MOST];
    for (size_t i = 0; i < MOST; i++) {
      day[i] = 1.4 * (double)i;
      warm[i] = 20 + 0.1 * day[i] + gsl_ran_gaussian(source, 1);
      value[i] = -0.1 * day[i] + gsl_ran_gaussian(source, 1);
    }
    bt_effect effect = effect_of(day, value, warm, MOST);
    seen += effect.p < 0.05;
    cr_expect((effect.p < 0.05) == (effect.low > 0 || effect.high < 0));
  }
  gsl_rng_free(source);
  cr_expect_float_eq((double)seen / runs, 0.05, 4 * sqrt(0.05 * 0.95 / runs), "%d", seen);
}
