/* Lag-1 autocorrelation: edges and a plain loop. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>

Test(autocorrelation, none_one_and_all_alike) {
  static const double value[] = {0.1, 0.1, 0.1, 0.1};
  static const uint8_t all[] = {1, 1, 1, 1};
  bt_autocorrelation found = bt_autocorrelation_fit(value, all, 0);
  cr_expect(found.n == 0 && found.lag1 == 0 && found.bound == 0 && !found.exceeded);
  found = bt_autocorrelation_fit(value, all, 1);
  cr_expect(found.n == 1 && found.lag1 == 0);
  found = bt_autocorrelation_fit(value, all, 4);
  cr_expect_eq(found.lag1, 0);
  cr_expect_float_eq(found.bound, 0.98, 1e-15);
  cr_expect(found.exceeded, "four values don't rule out 0.25");
}

/* 400 values that alternate: r1 = -(n-1)/n, beyond the bound 0.098. */
Test(autocorrelation, alternating_values_exceed_the_bound) {
  double value[400];
  uint8_t use[400];
  for (size_t i = 0; i < 400; i++) {
    value[i] = i % 2 == 0 ? 3 : 5;
    use[i] = 1;
  }
  bt_autocorrelation found = bt_autocorrelation_fit(value, use, 400);
  cr_expect_float_eq(found.lag1, -399.0 / 400, 1e-12);
  cr_expect(found.exceeded);
}

Test(autocorrelation, independent_values_do_not) {
  double value[2000];
  uint8_t use[2000];
  uint64_t seed = 7;
  for (size_t i = 0; i < 2000; i++) {
    value[i] = shape_normal(&seed);
    use[i] = 1;
  }
  bt_autocorrelation found = bt_autocorrelation_fit(value, use, 2000);
  cr_expect(!found.exceeded, "r1 %.4f", found.lag1);
}

Test(autocorrelation, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    long double kept[SHAPE_MOST], mean = 0, products = 0, squares = 0;
    size_t n = 0;
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0)
        kept[n++] = at.value[i];
    for (size_t i = 0; i < n; i++)
      mean += kept[i] / n;
    for (size_t i = 0; i < n; i++) {
      squares += (kept[i] - mean) * (kept[i] - mean);
      if (i + 1 < n)
        products += (kept[i] - mean) * (kept[i + 1] - mean);
    }
    bt_autocorrelation found = bt_autocorrelation_fit(at.value, at.use, at.n);
    cr_expect_eq(found.n, n);
    cr_expect_float_eq(found.lag1, squares > 1e-12L ? (double)(products / squares) : 0, 1e-12);
    double bound = n > 0 ? 1.96 / sqrt((double)n) : 0;
    cr_expect_float_eq(found.high, found.lag1 + bound, 1e-12);
    cr_expect_eq(found.exceeded, fabs(found.lag1) > bound || found.lag1 + bound > 0.25,
                 "%s %zu: r1 %.4f", at.name, s, found.lag1);
  }
}
