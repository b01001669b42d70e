/* The EWMA against published examples and run lengths. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>

enum { LONGEST = 1 << 14 };

static double average[LONGEST], lower[LONGEST], upper[LONGEST];
static uint8_t judged[LONGEST];

static bt_ewma make(double lambda, double limit) {
  memset(judged, 1, sizeof judged);
  return (bt_ewma){.lambda = lambda, .limit = limit, .value = average, .lcl = lower, .ucl = upper};
}

/* First point beyond its limits, counted from 1; 0: none. */
static size_t first_out(const double *value, size_t n, const bt_individuals *chart, bt_ewma *ewma) {
  bt_ewma_run(value, judged, 0, n, chart, NULL, 0, ewma);
  for (size_t i = 0; i < n; i++)
    if (ewma->value[i] < ewma->lcl[i] || ewma->value[i] > ewma->ucl[i])
      return i + 1;
  return 0;
}

/* NIST/SEMATECH e-Handbook, 6.3.2.4: lambda 0.3, EWMA_0 50, s 2.0539. Series as published to two
 * decimals (from memory, confirmed by computation). Its limits are the ones that exact limits tend
 * to: 52.5884 as published (confirmed), the lower one corrected by computation from 47.4115 to
 * 47.4116. At the 20th point the exact limits differ from them by 1e-6. */
Test(ewma, nist_example) {
  static const double value[] = {52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
                                 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  static const double series[] = {50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75,
                                  49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05,
                                  49.38, 49.92, 50.73, 51.23, 51.94, 51.99};
  bt_individuals chart = bt_individuals_stated(50, 2.0539);
  bt_ewma ewma = make(0.3, 3);
  cr_expect_eq(first_out(value, 20, &chart, &ewma), 0);
  for (size_t i = 0; i < 20; i++)
    cr_expect_float_eq(ewma.value[i], series[i], 0.005 + 1e-9, "point %zu: %.6f", i + 1,
                       ewma.value[i]);
  cr_expect_float_eq(ewma.ucl[19], 52.588432, 1.5e-6, "%.7f", ewma.ucl[19]);
  cr_expect_float_eq(ewma.lcl[19], 47.411568, 1.5e-6, "%.7f", ewma.lcl[19]);

  double on_target[60];
  for (size_t i = 0; i < 60; i++)
    on_target[i] = 50;
  cr_expect_eq(first_out(on_target, 60, &chart, &ewma), 0);
  cr_expect_float_eq(ewma.ucl[59], 52.588432, 5e-7, "%.7f", ewma.ucl[59]);
  cr_expect_float_eq(ewma.lcl[59], 47.411568, 5e-7, "%.7f", ewma.lcl[59]);
}

/* Montgomery, Introduction to Statistical Quality Control, EWMA of 30 points: lambda 0.1, L 2.7,
 * target 10, sigma 1. Limits of points 1 and 2, and those that they tend to: values from memory,
 * confirmed by computation; so are 10.6468 and 10.6341 beyond the limit. That point 28 is the first
 * one out, as the text of the book is remembered, computation doesn't confirm: it is 29. */
Test(ewma, textbook_thirty_points) {
  static const double value[] = {9.45,  7.99,  9.29,  11.66, 12.16, 10.18, 8.04,  11.46,
                                 9.20,  10.34, 9.03,  11.47, 10.51, 9.40,  10.08, 9.37,
                                 10.62, 10.31, 8.52,  10.84, 10.90, 9.33,  12.29, 11.50,
                                 10.60, 11.08, 10.38, 11.62, 11.31, 10.52};
  bt_individuals chart = bt_individuals_stated(10, 1);
  bt_ewma ewma = make(0.1, 2.7);
  cr_expect_eq(first_out(value, 30, &chart, &ewma), 29);
  cr_expect_float_eq(ewma.ucl[0], 10.27, 1e-12);
  cr_expect_float_eq(ewma.lcl[0], 9.73, 1e-12);
  cr_expect_float_eq(ewma.ucl[1], 10.3632, 5e-5, "%.6f", ewma.ucl[1]);
  cr_expect_float_eq(ewma.value[27], 10.5731, 5e-5, "%.6f", ewma.value[27]);
  cr_expect_float_eq(ewma.value[28], 10.6468, 5e-5, "%.6f", ewma.value[28]);
  cr_expect_float_eq(ewma.value[29], 10.6341, 5e-5, "%.6f", ewma.value[29]);

  static const double on_target[200];
  bt_individuals zero = bt_individuals_stated(0, 1);
  cr_expect_eq(first_out(on_target, 200, &zero, &ewma), 0);
  cr_expect_float_eq(10 + ewma.ucl[199], 10.6194, 5e-5, "%.6f", ewma.ucl[199]);
  cr_expect_float_eq(10 + ewma.lcl[199], 9.381, 5e-4, "%.6f", ewma.lcl[199]);
}

/* Seeded noise until the first point beyond its exact limits. Run lengths of exact limits:
 * computed, two ways, beside Lucas and Saccucci's (Technometrics 32, 1990) of constant ones, which
 * lie 1 % above them in control and 10 % and more at a shift of 1 sigma. A mean may differ by 4 of
 * its standard errors, which must tell exact limits from constant ones at the shift. */
static void expect_run_length(double lambda, double limit, double shift, int runs, double listed) {
  static double value[LONGEST];
  bt_individuals chart = bt_individuals_stated(0, 1);
  bt_ewma ewma = make(lambda, limit);
  double sum = 0, squares = 0;
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  cr_assert(source != NULL);
  gsl_rng_set(source, 20263);
  for (int run = 0; run < runs; run++) {
    size_t made = 0, length = 0;
    for (size_t window = shift > 0 ? 16 : 512; length == 0; window *= 2) {
      cr_assert_leq(window, LONGEST);
      for (; made < window; made++)
        value[made] = shift + gsl_ran_gaussian_ziggurat(source, 1);
      length = first_out(value, made, &chart, &ewma);
    }
    sum += (double)length;
    squares += (double)length * (double)length;
  }
  gsl_rng_free(source);
  double mean = sum / runs;
  double error = sqrt((squares / runs - mean * mean) / (runs - 1));
  cr_expect_lt(error / mean, shift > 0 ? 0.005 : 0.02, "too few runs");
  cr_expect_leq(fabs(mean - listed), 4 * error, "lambda %g at shift %g: ARL %.4f +- %.4f, not %.4f",
                lambda, shift, mean, error, listed);
}

Test(ewma, run_lengths_of_exact_limits) {
  expect_run_length(0.2, 2.962, 0, 5000, 494.386);
  expect_run_length(0.2, 2.962, 1, 40000, 9.554);
  expect_run_length(0.1, 2.814, 0, 5000, 486.429);
  expect_run_length(0.1, 2.814, 1, 40000, 8.157);
}
