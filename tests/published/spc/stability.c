/* The test of a period: the Nile, and quantiles of the largest F. */
#include "../../unit/spc/shapes.h"
#include "beamtally/spc.h"
#include "nile.h"
#include "spc_step.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Cobb, Biometrika 65 (1978): the flow fell after 1898, the 28th year. Largest F 75.929769 (base
 * R's anova at that split agrees); its p is 4e-13 at most, 97 times that of one F. */
Test(stability, nile_falls_after_1898) {
  gsl_set_error_handler_off();
  uint8_t use[100];
  memset(use, 1, sizeof use);
  bt_stability found;
  bt_error error;
  cr_assert_eq(bt_stability_test(nile, use, 100, &found, &error), BT_OK);
  cr_expect_eq(found.n, 100);
  cr_expect_float_eq(found.step_f, 75.929769, 5e-7);
  cr_expect_float_eq(sqrt(found.step_f), 8.713769, 5e-7, "t");
  cr_expect_eq(found.step_at, 28);
  cr_expect(found.step_p > 0 && found.step_p < 1e-11, "p %.3g", found.step_p);
  cr_expect_float_eq(found.tau, -0.280741334725, 1e-11, "R's cor.test");
  cr_expect(found.drifting);
}

/* Largest F over the splits that leave so many values on either side, by two sums for each. */
static double largest(const double *value, size_t n, size_t side) {
  double total = 0, squares = 0, sum = 0, best = 0;
  for (size_t i = 0; i < n; i++)
    total += value[i] / (double)n;
  for (size_t i = 0; i < n; i++)
    squares += (value[i] - total) * (value[i] - total);
  for (size_t k = 1; k < n; k++) {
    sum += value[k - 1] - total;
    double between = sum * sum / (double)k + sum * sum / (double)(n - k);
    if (k >= side && n - k >= side && between > best)
      best = between;
  }
  return best / (squares - best) * (double)(n - 2);
}

/* Quantiles of the largest F of n values that don't change, one value at least on either side: 5 %
 * and 1 %, from 400,000 runs (+-.03, +-.08). A simulation with another generator comes to them, and
 * so can be trusted where two values are asked for. There our p of the same limits is a little
 * smaller, and the share of the runs beyond them. */
Test(stability, quantiles_of_the_largest_f) {
  static const struct {
    size_t n;
    double five, one;
  } row[] = {{20, 10.74, 16.81},
             {30, 10.23, 15.20},
             {50, 9.98, 14.20},
             {100, 10.00, 13.88},
             {200, 10.17, 13.75}};
  enum { RUNS = 20000 };
  double *any = malloc(RUNS * sizeof *any);
  double value[200];
  cr_assert_not_null(any);
  gsl_set_error_handler_off();
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    uint64_t seed = 40 + r;
    size_t beyond_five = 0, beyond_one = 0;
    for (size_t run = 0; run < RUNS; run++) {
      for (size_t i = 0; i < row[r].n; i++)
        value[i] = shape_normal(&seed);
      any[run] = largest(value, row[r].n, 1);
      double two = largest(value, row[r].n, 2);
      beyond_five += two > row[r].five;
      beyond_one += two > row[r].one;
    }
    gsl_sort(any, 1, RUNS);
    /* Four standard errors of a simulated quantile, whose density is about p/2. */
    cr_expect_float_eq(any[RUNS - RUNS / 20], row[r].five, 0.27, "n = %zu: %.3f", row[r].n,
                       any[RUNS - RUNS / 20]);
    cr_expect_float_eq(any[RUNS - RUNS / 100], row[r].one, 0.75, "n = %zu: %.3f", row[r].n,
                       any[RUNS - RUNS / 100]);
    double p_five = spc_step_p(row[r].five, row[r].n), p_one = spc_step_p(row[r].one, row[r].n);
    cr_expect(p_five < 0.05 && p_five > 0.035, "n = %zu: %.4f", row[r].n, p_five);
    cr_expect(p_one < 0.0105 && p_one > 0.006, "n = %zu: %.4f", row[r].n, p_one);
    double share = (double)beyond_five / RUNS;
    cr_expect_float_eq(share, p_five, 4 * sqrt(p_five / RUNS) + 0.03 * p_five,
                       "n = %zu: share %.4f, p %.4f", row[r].n, share, p_five);
    share = (double)beyond_one / RUNS;
    cr_expect_float_eq(share, p_one, 4 * sqrt(p_one / RUNS) + 0.03 * p_one,
                       "n = %zu: share %.4f, p %.4f", row[r].n, share, p_one);
  }
  free(any);
}
