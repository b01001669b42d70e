/* Quantiles of the length of a bivariate normal offset, in sigma or micrometres. */
#include "beamtally/spc.h"
#include "spc_radius.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>

static double quantile(double mx, double my, double vx, double vy, double cov, double p) {
  gsl_set_error_handler_off();
  double found = 0;
  bt_error error = {0};
  cr_assert_eq(spc_radius_quantile(mx, my, vx, vy, cov, p, &found, &error), BT_OK, "%s",
               error.text);
  return found;
}

/* Rayleigh distribution: sqrt(-2 ln(1 - p)), 3.4393323 at 0.9973. */
Test(radius, rayleigh) {
  cr_expect_float_eq(quantile(0, 0, 1, 1, 0, 0.9973), 3.4393323, 5e-8);
  cr_expect_float_eq(quantile(0, 0, 1, 1, 0, 0.9973), sqrt(-2 * log(0.0027)), 1e-12);
}

/* Rice distribution, values computed by two independent ways: nu 3, sigma 2; nu 5, sigma 6. */
Test(radius, rice) {
  cr_expect_float_eq(quantile(3, 0, 4, 4, 0, 0.99), 8.0536356, 5e-8);
  cr_expect_float_eq(quantile(0, -3, 4, 4, 0, 0.99), 8.0536356, 5e-8);
  cr_expect_float_eq(quantile(3, 4, 36, 36, 0, 0.9973), 23.280987, 5e-7);
}

/* Mean (2, -1), covariance [[9, 2], [2, 4]]: computed by two independent ways, confirmed by
 * simulation. */
Test(radius, general_normal) {
  cr_expect_float_eq(quantile(2, -1, 9, 4, 2, 0.95), 7.371444, 5e-7);
  cr_expect_float_eq(quantile(2, -1, 9, 4, 2, 0.9973), 10.624782, 5e-7);
}
