/* Radius quantile: edges, properties, simulation; and the limit fitted to offsets. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_radius.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

static double quantile(double mx, double my, double vx, double vy, double cov, double p) {
  gsl_set_error_handler_off();
  double found = 0;
  bt_error error = {0};
  cr_assert_eq(spc_radius_quantile(mx, my, vx, vy, cov, p, &found, &error), BT_OK, "%s",
               error.text);
  return found;
}

Test(radius, without_spread_it_is_the_offset) {
  cr_expect_eq(quantile(3, 4, 0, 0, 0, 0.9973), 5);
  cr_expect_eq(quantile(0, 0, 0, 0, 0, 0.9973), 0);
}

/* All on a line through the origin: the half-normal distribution. */
Test(radius, spread_along_one_line) {
  double z = gsl_cdf_ugaussian_Pinv((1 + 0.9973) / 2);
  cr_expect_float_eq(quantile(0, 0, 4, 0, 0, 0.9973), 2 * z, 1e-9);
  cr_expect_float_eq(quantile(0, 0, 2, 2, 2, 0.9973), 2 * z, 1e-9);
  /* Line at distance 3: R^2 = 9 + (2 z)^2. */
  cr_expect_float_eq(quantile(0, 3, 4, 0, 0, 0.9973), hypot(3, 2 * z), 1e-9);
  /* Nearly so. */
  cr_expect_float_eq(quantile(0, 3, 4, 1e-10, 0, 0.9973), hypot(3, 2 * z), 1e-4);
}

/* Nearly zero bias goes through the integral, zero bias doesn't: the two meet. */
Test(radius, integral_meets_rayleigh) {
  for (double p = 0.05; p < 1; p += 0.09)
    cr_expect_float_eq(quantile(1e-9, 0, 9, 9, 0, p), 3 * sqrt(-2 * log1p(-p)), 1e-8, "p %.2f", p);
}

/* Far from the origin the length is nearly normal along the offset: mean + z s. */
Test(radius, far_offset_is_nearly_normal) {
  double z = gsl_cdf_ugaussian_Pinv(0.9973);
  cr_expect_float_eq(quantile(1e6, 0, 4, 9, 1, 0.9973), 1e6 + 2 * z, 1e-4);
}

Test(radius, turned_mirrored_and_scaled) {
  double of = quantile(20, -10, 90, 40, 25, 0.9973);
  cr_expect_float_eq(quantile(-20, 10, 90, 40, 25, 0.9973), of, 1e-9);
  cr_expect_float_eq(quantile(-10, 20, 40, 90, 25, 0.9973), of, 1e-9);
  cr_expect_float_eq(quantile(20, 10, 90, 40, -25, 0.9973), of, 1e-9);
  cr_expect_float_eq(quantile(20e-6, -10e-6, 90e-12, 40e-12, 25e-12, 0.9973), of * 1e-6, 1e-14);
  /* Turned by 30 degrees. */
  double c = sqrt(0.75), s = 0.5;
  cr_expect_float_eq(quantile(20 * c + 10 * s, 20 * s - 10 * c,
                              90 * c * c - 2 * 25 * c * s + 40 * s * s,
                              90 * s * s + 2 * 25 * c * s + 40 * c * c,
                              (90 - 40) * c * s + 25 * (c * c - s * s), 0.9973),
                     of, 1e-9);
}

/* 200,000 lengths from another generator: the share within the quantile is p, within 4 standard
 * errors of a share. */
Test(radius, simulation_agrees) {
  static const double probability[] = {0.5, 0.95, 0.9973};
  const size_t runs = 200000;
  for (size_t k = 0; k < 3; k++) {
    double p = probability[k], limit = quantile(2, -1, 9, 4, 2, p);
    uint64_t seed = 11 + k;
    size_t within = 0;
    for (size_t i = 0; i < runs; i++) {
      double u = shape_normal(&seed), v = shape_normal(&seed);
      /* Cholesky factor of [[9, 2], [2, 4]]. */
      double x = 2 + 3 * u, y = -1 + u * 2 / 3 + v * sqrt(4 - 4.0 / 9);
      within += hypot(x, y) <= limit;
    }
    double share = (double)within / (double)runs;
    cr_expect_lt(fabs(share - p), 4 * sqrt(p * (1 - p) / (double)runs), "p %.4f: %.5f", p, share);
  }
}

Test(radius, what_is_no_distribution_is_refused) {
  double found;
  bt_error error;
  cr_expect_eq(spc_radius_quantile(0, 0, -1, 1, 0, 0.5, &found, &error), BT_INPUT);
  cr_expect_eq(spc_radius_quantile(0, 0, 1, 1, 1.1, 0.5, &found, &error), BT_INPUT);
  cr_expect_eq(spc_radius_quantile(NAN, 0, 1, 1, 0, 0.5, &found, &error), BT_INPUT);
  cr_expect_eq(spc_radius_quantile(0, 0, 1, 1, 0, 1, &found, &error), BT_USAGE);
  cr_expect_eq(spc_radius_quantile(0, 0, 1, 1, 0, 0, &found, &error), BT_USAGE);
}

Test(radius, limit_of_fitted_offsets) {
  static const double x[] = {1, 3, 2, 5, 4, 99, 0, 2, 3};
  static const double y[] = {-2, 1, 0, 2, -1, 99, 1, 0, 3};
  static const uint8_t use[] = {1, 1, 1, 1, 1, 0, 1, 1, 1};
  gsl_set_error_handler_off();
  bt_radial_limit limit;
  bt_error error = {0};
  cr_assert_eq(bt_radial_limit_fit(x, y, use, 9, &limit, &error), BT_OK);
  cr_expect_eq(limit.n, 8);
  cr_expect_float_eq(limit.mean_x, 2.5, 1e-12);
  cr_expect_float_eq(limit.mean_y, 0.5, 1e-12);
  /* Sums of squares and products about these means: 18, 18, 6. */
  cr_expect_float_eq(limit.var_x, 18.0 / 7, 1e-12);
  cr_expect_float_eq(limit.var_y, 18.0 / 7, 1e-12);
  cr_expect_float_eq(limit.cov_xy, 6.0 / 7, 1e-12);
  cr_expect_eq(limit.limit, quantile(limit.mean_x, limit.mean_y, limit.var_x, limit.var_y,
                                     limit.cov_xy, 0.9973));
  /* The same in units so large that squares of the offsets are below the least number. */
  double tiny_x[9], tiny_y[9], whole = limit.limit;
  for (int i = 0; i < 9; i++) {
    tiny_x[i] = ldexp(x[i], -1000);
    tiny_y[i] = ldexp(y[i], -1000);
  }
  cr_assert_eq(bt_radial_limit_fit(tiny_x, tiny_y, use, 9, &limit, &error), BT_OK);
  cr_expect_float_eq(ldexp(limit.limit, 1000), whole, 1e-12 * whole);
  cr_expect_eq(bt_radial_limit_fit(x, y, use, 8, &limit, &error), BT_INPUT);
  cr_expect(strstr(error.text, "there are 7") != NULL);
}
