/* Change dates: the Nile series as published, and R's lm, optimize and uniroot, constants printed
 * by
 *   Rscript tests/published/drift/reference.R     (R 4, packages stats and datasets) */
#include "../spc/nile.h"
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>

static bt_change change_of(const double *day, const double *value, size_t n) {
  bt_change change;
  bt_error error = {0};
  cr_assert_eq(bt_change_find(day, value, n, &change, &error), BT_OK, "%s", error.text);
  return change;
}

/* Cobb, Biometrika 65 (1978): a step after 1898, value 28; means 1097.75 and 849.97. LR 57.368412
 * is n ln(1 + F/(n - 2)) of its F of 75.929769 (base R's anova). */
Test(change, the_Nile) {
  double year[100];
  for (size_t i = 0; i < 100; i++)
    year[i] = 1871 + (double)i;
  bt_change change = change_of(year, nile, 100);
  cr_expect_eq(change.kind, BT_CHANGE_STEP);
  cr_expect(change.step.first == 28 && change.day == 1899);
  cr_expect_float_eq(change.step.before, 1097.75, 1e-9);
  cr_expect_float_eq(change.step.after, 849.9722, 0.00005);
  cr_expect_float_eq(change.step.likelihood_ratio, 57.368412, 5e-7);
  cr_expect_float_eq(change.step.likelihood_ratio, 57.3684115086, 1e-9);
  cr_expect_float_eq(change.step.likelihood_ratio, 100 * log1p(75.929769 / 98), 5e-7);
  cr_expect_eq(change.hinge.day, 1872, "a line since before the series began");
  cr_expect_float_eq(change.hinge.likelihood_ratio, 24.3855722436, 1e-9);
  cr_expect(change.from == 1892 && change.to == 1900 && !change.open && !change.levelled);
  /* sigma at n - 2 degrees of freedom is 127.673739; the date costs one more. */
  cr_expect_float_eq(change.sigma * sqrt(97.0 / 98), 127.673739, 5e-7);
  cr_expect_float_eq(change.now, 849.9722, 0.00005);
  double half = gsl_cdf_tdist_Pinv(0.975, 97) * change.sigma / sqrt(72);
  cr_expect_float_eq(change.now_high, change.now + half, 1e-9);
  cr_expect_eq(bt_steps_find(nile, 100).n, 1);
  cr_expect_eq(bt_steps_find(nile, 100).first[0], 28);
}

static const double airmiles[] = {412,   480,   683,   1052,  1385,  1418,  1634,  2178,
                                  3362,  5948,  6109,  5981,  6753,  8003,  10566, 12528,
                                  14760, 16769, 19819, 22362, 25340, 25343, 29269, 30514};

Test(change, R_hinge_of_airmiles) {
  double year[24];
  for (size_t i = 0; i < 24; i++)
    year[i] = 1937 + (double)i;
  bt_change change = change_of(year, airmiles, 24);
  cr_expect_eq(change.kind, BT_CHANGE_HINGE);
  cr_expect_float_eq(change.hinge.day, 1945.53688496, 1e-4);
  cr_expect_float_eq(change.hinge.likelihood_ratio, 95.353759526, 1e-8);
  cr_expect(change.from == 1943.75 && change.to == 1947.75 && !change.open && !change.levelled);
  cr_expect_float_eq(change.hinge.before, 1400.44406354, 0.01);
  cr_expect_float_eq(change.hinge.per_day, 1956.79990863, 0.01);
  cr_expect_float_eq(change.now, 29701.8662556, 0.1);
  cr_expect_float_eq(change.now_low, 28350.6698935, 0.1);
  cr_expect_float_eq(change.now_high, 31053.0626176, 0.1);
}

static const double speed[] = {4,  4,  7,  7,  8,  9,  10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13,
                               13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16, 17, 17, 17, 18, 18, 18,
                               18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25};
static const double dist[] = {2,  10, 4,  22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28,  26, 34,
                              34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40, 32, 40, 50, 42,  56, 76,
                              84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85};

/* Several values of one day. */
Test(change, R_hinge_of_cars) {
  bt_change change = change_of(speed, dist, 50);
  cr_expect_eq(change.kind, BT_CHANGE_HINGE);
  cr_expect_float_eq(change.hinge.day, 7.59373953425, 1e-4);
  cr_expect_float_eq(change.hinge.likelihood_ratio, 53.3977386767, 1e-8);
  cr_expect(change.from == 4 && change.to == 13.5 && change.open && !change.levelled);
  cr_expect_float_eq(change.hinge.before, 9.49999975667, 0.01);
  cr_expect_float_eq(change.now_low, 73.0982456757, 0.01);
  cr_expect_float_eq(change.now_high, 92.0715988745, 0.01);
}
