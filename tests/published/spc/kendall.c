/* Kendall's test against base R, whose script stands beside this file (kendall_reference.R). */
#include "beamtally/spc.h"
#include "nile.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>

static void expect(const double *value, size_t n, double tau, double p) {
  gsl_set_error_handler_off();
  double found_tau = 9, found_p = 9;
  bt_error error = {0};
  cr_assert_eq(bt_kendall(value, n, &found_tau, &found_p, &error), BT_OK, "%s", error.text);
  cr_expect_float_eq(found_tau, tau, 1e-12, "n = %zu: tau %.15g", n, found_tau);
  cr_expect_float_eq(found_p, p, 1e-10 * p, "n = %zu: p %.15g", n, found_p);
}

/* NIST/SEMATECH e-Handbook, 6.4.3.3 (data from memory): S 41 of 45 pairs; exact p from R's
 * cor.test. */
Test(kendall, forecast_example) {
  static const double value[] = {6.4, 5.6, 7.8, 8.8, 11.0, 11.6, 16.7, 15.3, 21.6, 22.4};
  expect(value, 10, 41.0 / 45, 2.9761904762e-05);
}

/* S = 18 of 28 pairs, exact p .0311508 (two computations, R agrees); the normal law with
 * continuity, variance 8 7 21/18, would say .0354479, and of the ten values above, variance 10 9
 * 25/18 = 125, Z = 3.578: it is not used for so few. */
Test(kendall, eight_values) {
  static const double value[] = {2.1, 1.9, 2.6, 2.2, 3.1, 2.4, 3.0, 3.6};
  expect(value, 8, 18.0 / 28, 0.0311507936508);
  cr_expect_float_eq(erfc(17 / sqrt(8 * 7 * 21 / 18.0) / sqrt(2)), .0354479, 5e-8);
  cr_expect_float_eq(40 / sqrt(10 * 9 * 25 / 18.0), 3.578, 5e-4);
  expect((const double[]){3, 2, 1}, 3, -1, 1.0 / 3);
}

/* Orders without ties: exact up to 40 values, beyond normal with continuity. R's cor.test. */
Test(kendall, exact_up_to_forty_then_normal) {
  static const struct {
    size_t n, prime;
    double tau, p;
  } row[] = {{40, 41, 0.210256410256, 0.0571887640193},
             {41, 43, 0.0634146341463, 0.56676058697},
             {100, 101, 0.376161616162, 2.98566334813e-08}};
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    double value[100];
    for (size_t i = 1; i <= row[r].n; i++) {
      double moved = i > row[r].n / 2 ? (double)row[r].prime / 4 : 0;
      value[i - 1] = (double)(17 * i % row[r].prime) + moved;
    }
    expect(value, row[r].n, row[r].tau, row[r].p);
  }
}

/* With ties: normal with their correction and continuity, tau-b. R's cor.test. */
Test(kendall, ties) {
  static const double few[] = {1, 1, 2, 3, 3, 3, 2, 4, 5, 5};
  expect(few, 10, 0.787726361443, 0.00326429914643);
  double levels[60];
  for (size_t i = 1; i <= 60; i++)
    levels[i - 1] = (double)(7 * i % 5 + i / 20);
  expect(levels, 60, 0.328886882739, 0.000529606695792);
  expect(nile, 100, -0.280741334725, 3.65826292166e-05);
}
