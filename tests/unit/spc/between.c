/* Variation between days: edges, a plain loop, and the p by simulation. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <float.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

static double find(const double *value, const int32_t *group, const uint8_t *use, size_t n) {
  gsl_set_error_handler_off();
  double p = -1;
  bt_error error = {0};
  cr_assert_eq(bt_between_days(value, group, use, n, &p, &error), BT_OK, "%s", error.text);
  return p;
}

Test(between, B2_nothing_to_compare) {
  static const double value[] = {1, 2, 4, 8};
  static const double alike[] = {0.1, 0.1, 0.1, 0.1};
  static const int32_t one_day[] = {3, 3, 3, 3}, singles[] = {0, 1, 2, 3}, two[] = {0, 0, 1, 1};
  static const uint8_t all[] = {1, 1, 1, 1}, first_day[] = {1, 1, 0, 0}, one_each[] = {1, 0, 1, 0};
  cr_expect_eq(find(value, one_day, all, 4), 1);
  cr_expect_eq(find(value, singles, all, 4), 1);
  cr_expect_eq(find(value, two, first_day, 4), 1);
  cr_expect_eq(find(value, two, one_each, 4), 1);
  cr_expect_eq(find(alike, two, all, 4), 1);
  cr_expect_eq(find(value, two, all, 0), 1);
}

Test(between, B3_days_that_differ_without_scatter) {
  static const double value[] = {0.1, 0.1, 0.3, 0.3, 0.3};
  static const int32_t day[] = {-4, -4, 9, 9, 9};
  static const uint8_t all[] = {1, 1, 1, 1, 1};
  cr_expect_eq(find(value, day, all, 5), 0);
}

/* Means that are the same to the last digit: F 0, p 1. */
Test(between, equal_means) {
  static const double value[] = {1, 3, 2, 2, 0, 4};
  static const int32_t day[] = {0, 0, 1, 1, 2, 2};
  static const uint8_t all[] = {1, 1, 1, 1, 1, 1};
  cr_expect_eq(find(value, day, all, 6), 1);
}

Test(between, values_too_large_are_refused) {
  static const double value[] = {DBL_MAX, -DBL_MAX, 1, 2};
  static const int32_t day[] = {0, 0, 1, 1};
  static const uint8_t all[] = {1, 1, 1, 1};
  double p = 0;
  bt_error error;
  cr_expect_eq(bt_between_days(value, day, all, 4, &p, &error), BT_INPUT);
  cr_expect_eq(p, 1);
}

Test(between, B1_plain_loop_agrees_over_all_shapes) {
  static shape at;
  size_t tested = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    int32_t day[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      day[i] = (int32_t)(i * 2 / 5 + i / 40);
    double p = find(at.value, day, at.use, at.n);
    cr_expect(p >= 0 && p <= 1);
    /* Sums by day number, not by neighbours. */
    long double sum[SHAPE_MOST] = {0}, count[SHAPE_MOST] = {0}, all = 0, n = 0, k = 0;
    long double total = 0, within = 0;
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0) {
        sum[day[i]] += at.value[i];
        count[day[i]]++;
        all += at.value[i];
        n++;
      }
    for (size_t i = 0; i < at.n; i++) {
      k += count[i] > 0;
      if (at.use[i] == 0)
        continue;
      total += powl(at.value[i] - all / n, 2);
      within += powl(at.value[i] - sum[day[i]] / count[day[i]], 2);
    }
    if (k < 2 || n == k || within < 1e-9L || total - within < 1e-9L)
      continue;
    tested++;
    double f = (double)((total - within) / (k - 1) / (within / (n - k)));
    /* P(F > f) by the incomplete beta function. */
    double x = (double)(n - k) / ((double)(n - k) + (double)(k - 1) * f);
    double expected = gsl_cdf_beta_P(x, (double)(n - k) / 2, (double)(k - 1) / 2);
    cr_expect_float_eq(p, expected, 1e-9, "%s %zu: p %.12f, not %.12f", at.name, s, p, expected);
  }
  cr_expect_geq(tested, 60, "%zu", tested);
}

/* Days that don't differ: the p is uniform. Of 5,000 its share under 0.05 and 0.5 is that, within 4
 * standard errors. */
Test(between, p_is_uniform_without_variation_between_days) {
  enum { RUNS = 5000, N = 24 };
  int32_t day[N];
  uint8_t use[N];
  size_t under5 = 0, under50 = 0;
  uint64_t seed = 21;
  for (size_t i = 0; i < N; i++) {
    day[i] = (int32_t)(i * i / 40);
    use[i] = 1;
  }
  for (size_t run = 0; run < RUNS; run++) {
    double value[N];
    for (size_t i = 0; i < N; i++)
      value[i] = shape_normal(&seed);
    double p = find(value, day, use, N);
    under5 += p < 0.05;
    under50 += p < 0.5;
  }
  cr_expect_float_eq((double)under5 / RUNS, 0.05, 4 * sqrt(0.05 * 0.95 / RUNS));
  cr_expect_float_eq((double)under50 / RUNS, 0.5, 4 * sqrt(0.25 / RUNS));
}
