/* Constants, limits, intervals and whole laws of run lengths against an independent computation in
 * base R: charts_reference.R beside this file writes the numbers. */
#include "charts_reference.h"
#include "spc_constants.h"
#include "spc_radius.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#define ROWS(table) (sizeof(table) / sizeof *(table))

/* R's ptukey is good to about 1e-9 (Copenhaver and Holland 1988, as its help says). */
Test(charts_reference, constants) {
  for (size_t r = 0; r < ROWS(constants_reference); r++) {
    int n = (int)constants_reference[r].n;
    cr_expect_float_eq(spc_d2(n), constants_reference[r].d2, 1e-7, "d2(%d) = %.12g", n, spc_d2(n));
    cr_expect_float_eq(spc_d3(n), constants_reference[r].d3, 1e-6, "d3(%d) = %.12g", n, spc_d3(n));
    cr_expect_float_eq(spc_c4(n), constants_reference[r].c4, 1e-11, "c4(%d) = %.12g", n, spc_c4(n));
  }
}

static void expect_near(double found, double wanted, const char *what, size_t row) {
  cr_expect_leq(fabs(found - wanted), 1e-8 * (1 + fabs(wanted)), "%s, row %zu: %.12g, R %.12g",
                what, row, found, wanted);
}

Test(charts_reference, t2_limits) {
  gsl_set_error_handler_off();
  for (size_t r = 0; r < ROWS(t2_reference); r++) {
    size_t m = (size_t)t2_reference[r].m;
    double x[100], y[100];
    uint8_t use[100];
    cr_assert_leq(m, 100);
    memset(use, 1, sizeof use);
    for (size_t i = 0; i < m; i++) {
      x[i] = (double)(i * 7 % 5);
      y[i] = (double)(i * i % 7);
    }
    for (int differences = 0; differences < 2; differences++) {
      bt_vector vector;
      bt_error error = {0};
      cr_assert_eq(bt_vector_fit(x, y, use, m, differences, &vector, &error), BT_OK, "%s",
                   error.text);
      expect_near(vector.phase1_limit,
                  differences ? t2_reference[r].differences1 : t2_reference[r].pooled1, "phase I",
                  r);
      expect_near(vector.phase2_limit,
                  differences ? t2_reference[r].differences2 : t2_reference[r].pooled2, "phase II",
                  r);
    }
  }
}

Test(charts_reference, radius_quantiles) {
  gsl_set_error_handler_off();
  for (size_t r = 0; r < ROWS(radius_reference); r++) {
    double found = 0;
    bt_error error = {0};
    cr_assert_eq(spc_radius_quantile(radius_reference[r].mean_x, radius_reference[r].mean_y,
                                     radius_reference[r].var_x, radius_reference[r].var_y,
                                     radius_reference[r].cov_xy, radius_reference[r].probability,
                                     &found, &error),
                 BT_OK, "%s", error.text);
    expect_near(found, radius_reference[r].quantile, "radius", r);
  }
}

Test(charts_reference, intervals_of_capability) {
  gsl_set_error_handler_off();
  for (size_t r = 0; r < ROWS(capability_reference); r++) {
    bt_tolerance tolerance = {.has_low = true,
                              .has_high = true,
                              .low = capability_reference[r].low,
                              .high = capability_reference[r].high};
    bt_capability found = {.n = (size_t)capability_reference[r].n,
                           .mean = capability_reference[r].mean,
                           .overall_s = capability_reference[r].s,
                           .within_sigma = capability_reference[r].sigma,
                           .within_df = capability_reference[r].df};
    bt_capability_find(&tolerance, &found);
    expect_near(found.pp.low, capability_reference[r].pp_low, "Pp low", r);
    expect_near(found.pp.high, capability_reference[r].pp_high, "Pp high", r);
    expect_near(found.ppk.low, capability_reference[r].ppk_low, "Ppk low", r);
    expect_near(found.ppk.high, capability_reference[r].ppk_high, "Ppk high", r);
    expect_near(found.cp.low, capability_reference[r].cp_low, "Cp low", r);
    expect_near(found.cp.high, capability_reference[r].cp_high, "Cp high", r);
    expect_near(found.cpk.low, capability_reference[r].cpk_low, "Cpk low", r);
    expect_near(found.cpk.high, capability_reference[r].cpk_high, "Cpk high", r);
  }
}

/* Mean, spread and percentiles: rules, one side of a CUSUM, EWMA with constant and exact limits. */
Test(charts_reference, laws_of_run_lengths) {
  cr_assert_eq(ROWS(law_reference), 24);
  for (size_t r = 0; r < ROWS(law_reference); r++) {
    bt_run_length found;
    bt_error error = {0};
    cr_assert_eq(
        bt_run_length_find(&law_reference[r].chart, law_reference[r].shift, &found, &error), BT_OK,
        "%s", error.text);
    expect_near(found.arl, law_reference[r].arl, "mean", r);
    expect_near(found.sdrl, law_reference[r].sdrl, "spread", r);
    const uint64_t percentile[] = {found.p5, found.p25, found.p50, found.p75, found.p95};
    for (int k = 0; k < 5; k++)
      cr_expect_eq(percentile[k], law_reference[r].p[k], "row %zu, percentile %d: %u, R %u", r, k,
                   (unsigned)percentile[k], law_reference[r].p[k]);
  }
}
