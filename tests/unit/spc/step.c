/* The step test: a plain loop, and its p and power by simulation with another generator than the
 * table's. */
#include "shapes.h"
#include "spc_step.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

Test(step, S1_a_wild_value_at_an_end_is_no_step) {
  static const double value[] = {9, 1, 2, 1, 2, 1, 2, 1, 2, 1};
  size_t at = 0;
  double f = spc_step_largest(value, 10, &at);
  cr_expect_gt(spc_step_p(f, 10), 0.05, "F %.3f; 9 against the nine others alone has an F of 185",
               f);
  static const double two[] = {9, 9.5, 1, 2, 1, 2, 1, 2, 1, 2};
  f = spc_step_largest(two, 10, &at);
  cr_expect_eq(at, 2);
  cr_expect_lt(spc_step_p(f, 10), 0.001);
}

Test(step, S2_without_scatter_F_is_finite) {
  static const double value[] = {0.1, 0.1, 0.1, 0.3, 0.3, 0.3, 0.3};
  size_t at = 0;
  double f = spc_step_largest(value, 7, &at);
  cr_expect(isfinite(f) && f > 1e10);
  cr_expect_eq(at, 3);
  cr_expect_lt(spc_step_p(f, 7), 1e-9);
  cr_expect_eq(spc_step_p(INFINITY, 7), 0);
}

Test(step, S3_all_alike) {
  static const double value[] = {0.1, 0.1, 0.1, 0.1, 0.1};
  size_t at = 9;
  cr_expect_eq(spc_step_largest(value, 5, &at), 0);
  cr_expect_eq(at, 0);
  cr_expect_eq(spc_step_p(0, 5), 1);
}

/* Four values have one split: the p is that of one F. */
Test(step, four_values_have_one_split) {
  gsl_set_error_handler_off();
  for (double f = 0.5; f < 200; f *= 2)
    cr_expect_float_eq(spc_step_p(f, 4), gsl_cdf_fdist_Q(f, 1, 2), 1e-12);
}

/* F falls, p rises; never above 1, nor above the number of splits times that of one F; n between
 * and beyond the rows too. */
Test(step, p_is_monotone_and_bounded) {
  gsl_set_error_handler_off();
  static const size_t tried[] = {4, 5, 9, 11, 33, 60, 99, 250, 999, 1000, 1001, 5000};
  for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
    double before = 1, n = (double)tried[i];
    for (double f = 0.01; f < 1000; f *= 1.2) {
      double p = spc_step_p(f, tried[i]), one = gsl_cdf_fdist_Q(f, 1, n - 2);
      cr_expect(p <= before && p <= 1, "n = %g, F = %.4g: p %.6g after %.6g", n, f, p, before);
      cr_expect(p >= one * (1 - 1e-9) && p <= (n - 3) * one * (1 + 1e-9),
                "n = %g, F = %.4g: p %.6g", n, f, p);
      before = p;
    }
  }
}

/* The sizes, levels and runs of tests/published/spc/step_table.R. */
static const size_t sizes[] = {4,  5,  6,  7,  8,   10,  12,  16,  20,  25,  32,
                               40, 50, 64, 80, 100, 140, 200, 320, 500, 1000};
enum { SIZES = sizeof sizes / sizeof *sizes };

/* ln m at a level, from the p of an F that alone has this one. */
static double log_m(size_t n, double level) {
  double f = pow(gsl_cdf_tdist_Qinv(level / 2, (double)(n - 2)), 2);
  return log(log1p(-spc_step_p(f, n)) / log1p(-level));
}

/* How far a middle point lies above the line between its neighbours, over ln n. */
static double above_line(const double *y, size_t i) {
  double part = log((double)sizes[i] / (double)sizes[i - 1]) /
                log((double)sizes[i + 1] / (double)sizes[i - 1]);
  return y[i] - (y[i - 1] + part * (y[i + 1] - y[i - 1]));
}

/* m grows smoothly with n, and bends the less the larger n is: no entry of the table stands out
 * from those of its column above and below by more than that and 4 standard errors of the three. */
Test(step, no_entry_of_m_stands_out) {
  static const double level[] = {0.2, 0.1, 0.03, 0.01, 0.003, 0.001, 3e-4, 1e-4};
  gsl_set_error_handler_off();
  for (size_t k = 0; k < sizeof level / sizeof *level; k++) {
    double y[SIZES], error[SIZES];
    for (size_t i = 0; i < SIZES; i++) {
      double runs = sizes[i] <= 64 ? 2e6 : sizes[i] <= 320 ? 6e5 : 3e5;
      y[i] = log_m(sizes[i], level[k]);
      double p = -expm1(exp(y[i]) * log1p(-level[k]));
      error[i] = sqrt(p / (1 - p) / runs) / -log1p(-p);
    }
    for (size_t i = 1; i + 1 < SIZES; i++) {
      double out = above_line(y, i), bend = 0.13 * pow(5 / (double)sizes[i], 1.25);
      double chance = 4 * sqrt(error[i] * error[i] + error[i - 1] * error[i - 1] / 4 +
                               error[i + 1] * error[i + 1] / 4);
      cr_expect(out > -chance && out < bend + chance, "n = %zu, level %g: %.4f, bend %.4f + %.4f",
                sizes[i], level[k], out, bend, chance);
    }
  }
}

/* Nor does the noncentrality of the shift that is found, which falls ever more slowly, by more than
 * that and 2 % of itself: what one run of the script differs from another by. */
Test(step, no_detectable_shift_stands_out) {
  for (int tests = 1; tests <= 2; tests++) {
    double y[SIZES];
    for (size_t i = 0; i < SIZES; i++)
      y[i] = spc_step_detectable(sizes[i], tests) * sqrt((double)sizes[i]) / 2;
    for (size_t i = 1; i + 1 < SIZES; i++) {
      double out = above_line(y, i), bend = 1.1 * pow(5 / (double)sizes[i], 2.5);
      cr_expect(fabs(out + bend / 2) < bend / 2 + 0.02 * y[i], "n = %zu, %d: %.3f, bend %.3f",
                sizes[i], tests, out, bend);
    }
  }
}

Test(step, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    if (at.n < SPC_STEP_LEAST)
      continue;
    size_t found_at = 0;
    double found = spc_step_largest(at.value, at.n, &found_at), best = 0, best_within = 1;
    size_t best_at = 0;
    for (size_t k = 2; k + 2 <= at.n; k++) { /* two samples compared, each from its own values */
      double before = 0, after = 0, within = 0, n1 = (double)k, n2 = (double)(at.n - k);
      for (size_t i = 0; i < at.n; i++)
        *(i < k ? &before : &after) += at.value[i] / (i < k ? n1 : n2);
      for (size_t i = 0; i < at.n; i++)
        within += pow(at.value[i] - (i < k ? before : after), 2);
      double f = pow(before - after, 2) / (1 / n1 + 1 / n2) / (within / (n1 + n2 - 2));
      if (within > 1e-9 && f > best * (1 + 1e-9)) {
        best = f;
        best_at = k;
      }
      best_within = fmin(best_within, within);
    }
    if (best_within < 1e-9)
      continue; /* S2, S3 */
    cr_expect_float_eq(found, best, 1e-9 * (1 + best), "%s %zu: %.12g, %.12g", at.name, s, found,
                       best);
    cr_expect(found_at == best_at || found < best * (1 + 1e-6), "%s %zu", at.name, s);
  }
}

/* Runs of n values with a step of `shift` in the middle: how many have a p under each limit. */
static void count_under(size_t n, double shift, size_t runs, uint64_t seed, const double *limit,
                        size_t limits, size_t *under) {
  double *value = malloc(n * sizeof *value);
  cr_assert_not_null(value);
  for (size_t run = 0; run < runs; run++) {
    for (size_t i = 0; i < n; i++)
      value[i] = shape_normal(&seed) + (i < n / 2 ? 0 : shift);
    size_t at = 0;
    double p = spc_step_p(spc_step_largest(value, n, &at), n);
    for (size_t k = 0; k < limits; k++)
      under[k] += p < limit[k];
  }
  free(value);
}

/* The share of runs without a step whose p is under 0.5, 0.2, 0.05, 0.01: that, within 4 standard
 * errors and the stated accuracy (3 % of itself up to 0.2, 0.01 above), at rows of the table and
 * between them. */
Test(step, p_by_simulation) {
  static const double limit[] = {0.5, 0.2, 0.05, 0.01};
  static const struct {
    size_t n, runs;
  } row[] = {{8, 20000}, {14, 20000}, {60, 10000}, {120, 6000}, {400, 2000}, {1000, 1000}};
  gsl_set_error_handler_off();
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    size_t under[4] = {0};
    double runs = (double)row[r].runs;
    count_under(row[r].n, 0, row[r].runs, 500 + r, limit, 4, under);
    for (size_t k = 0; k < 4; k++) {
      double p = limit[k], share = (double)under[k] / runs;
      double stated = p > 0.2 ? 0.01 : 0.03 * p;
      cr_expect_float_eq(share, p, 4 * sqrt(p * (1 - p) / runs) + stated, "n = %zu, p %.2f: %.4f",
                         row[r].n, p, share);
    }
  }
}

/* The detectable shift is found at p < 0.01 in 80 % of the runs: 2 % of the shift is 0.025 of the
 * power. */
Test(step, detectable_shift_by_simulation) {
  static const double limit[] = {0.01};
  static const struct {
    size_t n, runs;
  } row[] = {{8, 6000}, {14, 6000}, {30, 4000}, {60, 3000}, {120, 2000}, {400, 1000}};
  gsl_set_error_handler_off();
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    size_t found = 0;
    double shift = spc_step_detectable(row[r].n, 1);
    count_under(row[r].n, shift, row[r].runs, 900 + r, limit, 1, &found);
    double share = (double)found / (double)row[r].runs;
    cr_expect_float_eq(share, 0.8, 4 * sqrt(0.16 / (double)row[r].runs) + 0.025,
                       "n = %zu, %.3f sigma: %.4f", row[r].n, shift, share);
  }
}

/* The same where each p is doubled: at p < 0.005. */
Test(step, detectable_shift_of_two_tests_by_simulation) {
  static const double limit[] = {0.005};
  static const struct { size_t n, runs; } row[] = {{8, 6000}, {30, 4000}, {60, 3000}, {120, 2000}};
  gsl_set_error_handler_off();
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    size_t found = 0;
    double shift = spc_step_detectable(row[r].n, 2);
    count_under(row[r].n, shift, row[r].runs, 1300 + r, limit, 1, &found);
    double share = (double)found / (double)row[r].runs;
    cr_expect_float_eq(share, 0.8, 4 * sqrt(0.16 / (double)row[r].runs) + 0.025,
                       "n = %zu, %.3f sigma: %.4f", row[r].n, shift, share);
  }
}

/* More values find smaller shifts. */
Test(step, detectable_shift_falls_with_n) {
  for (size_t n = 4; n < 3000; n++) {
    cr_expect_lt(spc_step_detectable(n + 1, 1), spc_step_detectable(n, 1), "n = %zu", n);
    cr_expect_gt(spc_step_detectable(n, 2), spc_step_detectable(n, 1), "n = %zu", n);
  }
}
