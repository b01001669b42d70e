/* Kendall's test: edges, all orders counted, and pairs taken one by one. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_permutation.h>
#include <math.h>

static double find(const double *value, size_t n, double *tau) {
  gsl_set_error_handler_off();
  double p = -1;
  bt_error error = {0};
  cr_assert_eq(bt_kendall(value, n, tau, &p, &error), BT_OK, "%s", error.text);
  return p;
}

Test(kendall, K2_nothing_to_test) {
  static const double alike[] = {0.1, 0.1, 0.1, 0.1};
  double tau = 9;
  cr_expect_eq(find(alike, 0, &tau), 1);
  cr_expect_eq(tau, 0);
  cr_expect_eq(find(alike, 1, &tau), 1);
  cr_expect_eq(find(alike, 4, &tau), 1);
  cr_expect_eq(tau, 0);
}

Test(kendall, K3_no_trend_at_all) {
  static const double value[] = {2, 4, 1, 3};
  double tau = 9;
  cr_expect_eq(find(value, 4, &tau), 1);
  cr_expect_eq(tau, 0);
  cr_expect_eq(find(value, 2, &tau), 1, "two values: P(|S| >= 1) is 1");
  cr_expect_eq(tau, 1);
}

Test(kendall, too_many_values_are_refused) {
  double tau = 9, p = 9;
  bt_error error = {0};
  cr_expect_eq(bt_kendall(NULL, (size_t)UINT32_MAX + 1, &tau, &p, &error), BT_INPUT);
  cr_expect(tau == 0 && p == 1);
}

static int sum_of_signs(const double *value, size_t n) {
  int s = 0;
  for (size_t i = 0; i < n; i++)
    for (size_t j = 0; j < i; j++)
      s += value[i] > value[j] ? 1 : value[i] < value[j] ? -1 : 0;
  return s;
}

/* Every order of 2 to 7 values: the p of each is the share of orders whose |S| is as large. */
Test(kendall, exact_p_by_counting_all_orders) {
  for (size_t n = 2; n <= 7; n++) {
    size_t orders[64] = {0}, all = 0;
    gsl_permutation *order = gsl_permutation_calloc(n);
    cr_assert_not_null(order);
    for (int pass = 0; pass < 2; pass++) {
      gsl_permutation_init(order);
      do {
        double value[7], tau = 0;
        for (size_t i = 0; i < n; i++)
          value[i] = (double)gsl_permutation_get(order, i) * 0.25 - 1;
        int s = sum_of_signs(value, n);
        if (pass == 0) {
          for (int k = 0; k <= (s < 0 ? -s : s); k++)
            orders[k]++;
          all++;
          continue;
        }
        double p = find(value, n, &tau);
        cr_expect_float_eq(p, (double)orders[s < 0 ? -s : s] / (double)all, 1e-13,
                           "n = %zu, S = %d: p %.15f", n, s, p);
        cr_expect_float_eq(tau, 2.0 * s / (double)(n * (n - 1)), 1e-15);
      } while (gsl_permutation_next(order) == GSL_SUCCESS);
    }
    gsl_permutation_free(order);
  }
}

/* All forty rising: one order of 40! and its mirror image. */
Test(kendall, smallest_p_of_forty) {
  double value[41], tau = 0;
  for (size_t i = 0; i < 41; i++)
    value[i] = (double)i;
  double p = find(value, 40, &tau);
  cr_expect_float_eq(log(p), log(2) - lgamma(41), 1e-9);
  cr_expect_eq(tau, 1);
  p = find(value, 41, &tau);
  /* Normal: Z = (820 - 1)/sqrt(41 40 87/18). */
  cr_expect_float_eq(p, erfc(819 / sqrt(41 * 40 * 87 / 18.0) / sqrt(2)), 1e-24);
}

/* Pairs taken one by one; ties counted over sorted groups. Where no value has its like and n is 40
 * at most, the exact p lies near the normal one. */
Test(kendall, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double tau = 0, p = find(at.value, at.n, &tau), mirrored[SHAPE_MOST], tau_mirrored = 0;
    int sum = sum_of_signs(at.value, at.n);
    size_t tied = 0;
    double correction = 0, n = (double)at.n;
    for (size_t i = 0; i < at.n; i++) {
      size_t earlier = 0, like = 0;
      for (size_t j = 0; j < at.n; j++) {
        like += at.value[j] == at.value[i];
        earlier += j < i && at.value[j] == at.value[i];
      }
      tied += earlier;
      double t = (double)like;
      if (earlier == 0)
        correction += t * (t - 1) * (2 * t + 5);
    }
    double pairs = n * (n - 1) / 2, untied = pairs - (double)tied;
    if (!(untied > 0)) {
      cr_expect(tau == 0 && p == 1);
      continue;
    }
    cr_expect_float_eq(tau, sum / sqrt(pairs * untied), 1e-12, "%s %zu", at.name, s);
    double variance = (n * (n - 1) * (2 * n + 5) - correction) / 18;
    double z = sum == 0 ? 0 : (fabs((double)sum) - 1) / sqrt(variance);
    double normal = 2 * gsl_cdf_ugaussian_Q(z);
    if (tied > 0 || at.n > 40)
      cr_expect_float_eq(p, normal, 1e-12, "%s %zu", at.name, s);
    else if (at.n >= 5)
      cr_expect_float_eq(p, normal, 0.04, "%s %zu: %.4f, %.4f", at.name, s, p, normal);
    cr_expect(p > 0 && p <= 1);

    for (size_t i = 0; i < at.n; i++)
      mirrored[at.n - 1 - i] = 3 * at.value[i] - 8;
    cr_expect_eq(find(mirrored, at.n, &tau_mirrored), p, "turned in time");
    cr_expect_eq(tau_mirrored, -tau);
  }
}
