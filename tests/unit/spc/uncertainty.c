/* Intervals of sigma and of limits from few points: their definition, and how often they hold. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

/* chi-square of 10 degrees of freedom at 0.975 and 0.025: 20.4832, 3.24697 (printed tables). */
Test(uncertainty, is_the_chi_square_interval) {
  bt_individuals chart = {.n = 18, .centre = 5, .sigma = 2, .df = 10};
  bt_uncertainty found = bt_limits_uncertainty(&chart);
  cr_assert(found.given);
  cr_expect_float_eq(found.sigma_low, 2 * sqrt(10 / 20.4832), 1e-5);
  cr_expect_float_eq(found.sigma_high, 2 * sqrt(10 / 3.24697), 1e-5);
  cr_expect_float_eq(found.ucl_low, 5 + 3 * found.sigma_low, 1e-12);
  cr_expect_float_eq(found.ucl_high, 5 + 3 * found.sigma_high, 1e-12);
  cr_expect_float_eq(found.lcl_low, 5 - 3 * found.sigma_high, 1e-12);
  cr_expect_float_eq(found.lcl_high, 5 - 3 * found.sigma_low, 1e-12);
  chart.n = 0;
  cr_expect_not(bt_limits_uncertainty(&chart).given, "both were stated");
  chart = bt_individuals_stated(1, 2);
  cr_expect_not(bt_limits_uncertainty(&chart).given);
  chart = (bt_individuals){.n = 18, .centre = 5, .sigma = 2, .df = 0};
  cr_expect_not(bt_limits_uncertainty(&chart).given, "no degrees of freedom");
  chart = (bt_individuals){.n = 18, .centre = 5, .sigma = 0, .df = 10};
  cr_expect_not(bt_limits_uncertainty(&chart).given, "all points are equal");
}

/* 95 % intervals hold the true sigma in 95 % of the runs, within 1 % and 4 standard errors. */
Test(uncertainty, holds_as_often_as_it_says) {
  static const size_t sizes[] = {8, 12, 20, 29, 60};
  enum { RUNS = 20000 };
  double value[60];
  uint8_t use[60];
  uint64_t seed = 95;
  bt_error error = {0};
  for (size_t i = 0; i < 60; i++)
    use[i] = 1;
  for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
    int holds = 0;
    for (int run = 0; run < RUNS; run++) {
      bt_individuals chart;
      for (size_t i = 0; i < sizes[k]; i++)
        value[i] = shape_normal(&seed);
      cr_assert_eq(bt_individuals_fit(value, use, sizes[k], &chart, &error), BT_OK);
      bt_uncertainty found = bt_limits_uncertainty(&chart);
      holds += found.sigma_low < 1 && found.sigma_high > 1;
    }
    double share = (double)holds / RUNS;
    cr_expect_float_eq(share, 0.95, 0.01 + 4 * sqrt(0.0475 / RUNS), "n = %zu: %.4f", sizes[k],
                       share);
  }
}
