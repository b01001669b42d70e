/* Before and after, and a covariate's effect, against base R on published series: constants printed
 * by
 *   Rscript tests/published/drift/reference.R     (R 4, packages stats and datasets) */
#include "../spc/nile.h"
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

/* Hours of sleep gained with two drugs: Student, Biometrika 6 (1908), as in R's data set sleep. */
static const double drug_1[] = {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0};
static const double drug_2[] = {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};

static bt_comparison compare(const double *before, size_t n, const double *after, size_t m) {
  gsl_set_error_handler_off();
  bt_comparison found;
  bt_error error = {0};
  cr_assert_eq(bt_comparison_find(before, n, after, m, &found, &error), BT_OK, "%s", error.text);
  cr_assert(found.given && found.has_interval && found.has_ratio);
  return found;
}

/* R's help of t.test: t = -1.8608, df = 17.776, p = 0.07939, -3.3654832 to 0.2054832. Levene's test
 * about the means has p = 0.4413931; about the medians 0.6243743 (another implementation agrees).
 */
Test(before_after, sleep) {
  bt_comparison found = compare(drug_2, 10, drug_1, 10);
  cr_expect_float_eq(found.difference / found.se, -1.86081346749, 1e-10);
  cr_expect_float_eq(found.df, 17.7764735162, 1e-9);
  cr_expect_float_eq(found.p, 0.0793941401874, 1e-11);
  cr_expect_float_eq(found.low, -3.36548323071, 1e-9);
  cr_expect_float_eq(found.high, 0.205483230712, 1e-9);
  cr_expect_float_eq(found.ratio, 0.798342617998, 1e-11);
  cr_expect_float_eq(found.ratio_low, 0.198297013511, 1e-10);
  cr_expect_float_eq(found.ratio_high, 3.21412271637, 1e-9);
  cr_expect_float_eq(found.spread_p, 0.624374285415, 1e-10);
  /* R's var.test of the same ratio: .7427199. */
  cr_expect_float_eq(2 * gsl_cdf_fdist_P(found.ratio, 9, 9), .7427199, 5e-8);
}

Test(before_after, the_Nile) {
  bt_comparison found = compare(nile, 28, nile + 28, 72);
  cr_expect_float_eq(found.before.mean, 1097.75, 1e-9);
  cr_expect_float_eq(found.difference, -247.777777778, 1e-8);
  cr_expect_float_eq(found.se, 29.4464667292, 1e-9);
  cr_expect_float_eq(found.df, 45.9905720957, 1e-8);
  cr_expect_float_eq(found.low, -307.050768955, 1e-8);
  cr_expect_float_eq(found.high, -188.5047866, 1e-7);
  cr_expect_float_eq(found.ratio, 0.854322754516, 1e-11);
  cr_expect_float_eq(found.ratio_low, 0.431470941322, 1e-10);
  cr_expect_float_eq(found.ratio_high, 1.54349175844, 1e-9);
  cr_expect_float_eq(found.spread_p, 0.593137382443, 1e-10);
}

/* Wind and temperature in New York, 1 May to 9 June 1973: R's data set airquality. */
static const double wind[] = {7.4, 8,    12.6, 11.5, 14.3, 14.9, 8.6,  13.8, 20.1, 8.6,
                              6.9, 9.7,  9.2,  10.9, 13.2, 11.5, 12,   18.4, 11.5, 9.7,
                              9.7, 16.6, 9.7,  12,   16.6, 14.9, 8,    12,   14.9, 5.7,
                              7.4, 8.6,  9.7,  16.1, 9.2,  8.6,  14.3, 9.7,  6.9,  13.8};
static const double temperature[] = {67, 72, 74, 62, 56, 66, 65, 59, 61, 69, 74, 69, 66, 68,
                                     58, 64, 66, 57, 68, 62, 59, 73, 61, 61, 57, 58, 57, 67,
                                     81, 79, 76, 78, 74, 67, 84, 85, 79, 82, 87, 90};

Test(covariates, R_lm_of_airquality) {
  gsl_set_error_handler_off();
  double day[40];
  for (size_t i = 0; i < 40; i++)
    day[i] = (double)i + 19000;
  bt_effect effect;
  bt_error error;
  cr_assert_eq(bt_effect_find(day, wind, temperature, 40, &effect, &error), BT_OK);
  cr_assert(effect.given && effect.df == 37);
  cr_expect_float_eq(effect.slope, -0.166899837939, 1e-11);
  cr_expect_float_eq(effect.se, 0.0673669577325, 1e-11);
  cr_expect_float_eq(effect.low, -0.303398259954, 1e-10);
  cr_expect_float_eq(effect.high, -0.0304014159245, 1e-10);
  cr_expect_float_eq(effect.p, 0.0179230804116, 1e-11);
}
