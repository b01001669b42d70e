/* Resolution: edges by hand and a search over all pairs. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <float.h>
#include <math.h>

static const uint8_t all[] = {1, 1, 1, 1, 1, 1, 1, 1};

static bt_resolution fit(const double *value, size_t n, double sigma) {
  bt_resolution found;
  bt_error error;
  cr_assert_eq(bt_resolution_fit(value, all, n, sigma, &found, &error), BT_OK);
  return found;
}

Test(resolution, coarse_above_one_sigma_useless_above_two) {
  static const double value[] = {1.61, 1.60, 1.62, 1.60, 1.64};
  bt_resolution found = fit(value, 5, 0.02);
  cr_expect_float_eq(found.step, 0.01, 1e-12);
  cr_expect(!found.coarse && !found.useless);
  found = fit(value, 5, 0.01);
  cr_expect(!found.coarse && !found.useless, "a step of one sigma is not above it");
  found = fit(value, 5, 0.0099);
  cr_expect(found.coarse && !found.useless);
  found = fit(value, 5, 0.005);
  cr_expect(found.coarse && !found.useless, "a step of two sigma is not above them");
  found = fit(value, 5, 0.0049);
  cr_expect(found.coarse && found.useless);
}

Test(resolution, all_alike_and_none) {
  static const double value[] = {0.3, 0.3, 0.3};
  bt_resolution found = fit(value, 3, 0);
  cr_expect(found.step == 0 && !found.coarse && found.useless);
  found = fit(value, 0, 1);
  cr_expect(found.step == 0 && !found.coarse && !found.useless);
}

/* Means of equal readings may differ in their last digits: a sigma from these is none. */
Test(resolution, a_sigma_of_rounding_is_none) {
  static const double value[] = {100.3, 100.3, 100.3};
  cr_expect(fit(value, 3, 5e-15).useless);
  cr_expect_not(fit(value, 3, 1e-9).useless, "small, but no rounding");
}

/* 0.1 + 0.2 and 0.3 show the same in any log, though they differ in their last binary digit. */
Test(resolution, rounding_is_no_step) {
  static const double value[] = {0.1 + 0.2, 0.3, 0.4, 0.3};
  cr_assert_neq(value[0], value[1]);
  bt_resolution found = fit(value, 4, 0.1);
  cr_expect_float_eq(found.step, 0.1, 1e-12);
  found = fit(value, 2, 0);
  cr_expect_eq(found.step, 0, "nor where sigma is 0");
}

/* "8 units of the last binary digit of the largest value": no step with 7.5 of them, one with 8.5.
 */
Test(resolution, rounding_is_eight_units_of_the_last_digit) {
  static const double within[] = {1, 1 - 7.5 * DBL_EPSILON}, beyond[] = {1, 1 - 8.5 * DBL_EPSILON};
  cr_expect_eq(fit(within, 2, 1e-7).step, 0);
  cr_expect_eq(fit(beyond, 2, 1e-7).step, 8.5 * DBL_EPSILON);
}

Test(resolution, search_over_all_pairs_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double step = INFINITY;
    for (size_t i = 0; i < at.n; i++)
      for (size_t j = 0; j < i; j++) {
        double gap = fabs(at.value[i] - at.value[j]);
        if (at.use[i] != 0 && at.use[j] != 0 && gap > 1e-9 && gap < step)
          step = gap;
      }
    bt_resolution found;
    bt_error error;
    cr_assert_eq(bt_resolution_fit(at.value, at.use, at.n, 1, &found, &error), BT_OK);
    cr_expect_float_eq(found.step, isinf(step) ? 0 : step, 1e-12, "%s %zu", at.name, s);
  }
}
