/* The individuals chart against published examples. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <string.h>

static bt_individuals fit(const double *value, size_t n) {
  uint8_t use[64];
  memset(use, 1, sizeof use);
  bt_individuals chart;
  bt_error error;
  cr_assert_eq(bt_individuals_fit(value, use, n, &chart, &error), BT_OK);
  cr_assert_eq(chart.n, n);
  return chart;
}

/* NIST/SEMATECH e-Handbook, 6.3.2.2: flowrate. The handbook rounds d2 to 1.128 and D4 to 3.267; the
 * exact constants give limits that differ from the third decimal on. */
Test(individuals, nist_flowrate) {
  static const double flowrate[] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  bt_individuals chart = fit(flowrate, 10);
  cr_expect_float_eq(chart.centre, 50.81, 1e-12);
  cr_expect_float_eq(chart.mr_centre, 1.877778, 5e-7);
  cr_expect_float_eq(chart.sigma, 1.6641372, 5e-8);
  cr_expect_float_eq(chart.ucl, 55.80241, 5e-6);
  cr_expect_float_eq(chart.lcl, 45.81759, 5e-6);
  cr_expect_float_eq(chart.mr_ucl, 6.133821, 5e-7);
  cr_expect_float_eq(chart.df, 5.639, 5e-4);
  /* The handbook's own limits, 55.8041 and 45.8159, from the chart's mean moving range and the
   * rounded constants. */
  cr_expect_float_eq(chart.centre + 3 * chart.mr_centre / 1.128, 55.80409, 5e-6);
  cr_expect_float_eq(chart.centre - 3 * chart.mr_centre / 1.128, 45.81591, 5e-6);
  cr_expect_float_eq(3.267 * chart.mr_centre, 6.134700, 5e-7);
}

/* Montgomery and Runger, Applied Statistics and Probability for Engineers, table 16-3: chemical
 * process concentration. Published with two decimals from d2 = 1.128 and D4 = 3.267. */
Test(individuals, chemical_concentration) {
  static const double concentration[] = {102.0, 94.8,  98.3,  98.4,  102.0, 98.5,  99.0,
                                         97.7,  100.0, 98.1,  101.3, 98.7,  101.1, 98.4,
                                         97.0,  96.7,  100.3, 101.4, 97.2,  101.0};
  bt_individuals chart = fit(concentration, 20);
  cr_expect_float_eq(chart.centre, 99.095, 1e-9);
  cr_expect_float_eq(chart.mr_centre, 2.5895, 5e-5);
  cr_expect_float_eq(chart.ucl, 105.98, 5e-3);
  cr_expect_float_eq(chart.lcl, 92.21, 5e-3);
  cr_expect_float_eq(chart.mr_ucl, 8.46, 5e-3);
}

/* Same text, exercise: hardness. Mean, MRbar and limits as published (60.888 and 45.212, from
 * 1.128); data from memory, confirmed by computation. In control. */
Test(individuals, hardness) {
  static const double hardness[] = {51, 52, 54, 55, 55, 51, 52, 50, 51, 56,
                                    51, 57, 58, 50, 53, 52, 54, 50, 56, 53};
  bt_individuals chart = fit(hardness, 20);
  cr_expect_float_eq(chart.centre, 53.05, 1e-12);
  cr_expect_float_eq(chart.mr_centre, 56.0 / 19, 1e-12);
  cr_expect_float_eq(chart.sigma, 2.613, 1e-3);
  cr_expect_float_eq(chart.ucl, 60.888, 4e-3);
  cr_expect_float_eq(chart.lcl, 45.212, 4e-3);
  cr_expect_float_eq(chart.centre + 3 * chart.mr_centre / 1.128, 60.8887, 5e-5);
  cr_expect_float_eq(chart.centre - 3 * chart.mr_centre / 1.128, 45.2113, 5e-5);
  for (size_t i = 0; i < 20; i++)
    cr_expect(hardness[i] > chart.lcl && hardness[i] < chart.ucl);
}

/* Daily checks of an MR-linac, n = 567, individuals chart with the factors 1.77 and 2.66 of the
 * mean moving range (AAPM annual meeting 2026, abstract): centre, 2-sigma and 3-sigma limits in %.
 * From each row's centre and 2-sigma limits the 3-sigma limits must follow within their rounding:
 * sigma comes from four rounded quarters, so three of them are known to 0.0015. */
Test(individuals, mr_linac_table) {
  static const struct {
    const char *name;
    double centre, low2, high2, low3, high3;
  } row[] = {{"output", 0.543, 0.421, 0.666, 0.359, 0.728},
             {"beam shape", 0.335, 0.239, 0.431, 0.191, 0.479},
             {"axial symmetry", 0.098, -0.131, 0.328, -0.247, 0.444},
             {"transverse symmetry", -0.018, -0.367, 0.331, -0.543, 0.507}};
  for (size_t i = 0; i < 4; i++) {
    bt_individuals chart = bt_individuals_stated(row[i].centre, (row[i].high2 - row[i].low2) / 4);
    cr_expect_float_eq(chart.lcl, row[i].low3, 0.0018, "%s: %.4f", row[i].name, chart.lcl);
    cr_expect_float_eq(chart.ucl, row[i].high3, 0.0018, "%s: %.4f", row[i].name, chart.ucl);
    cr_expect_eq(chart.n, 0);
    cr_expect_eq(chart.df, 0);
  }
  /* Output: MRbar 0.0695, from the 3-sigma limits' width (6 sigma). */
  bt_individuals output = bt_individuals_stated(0.543, (0.728 - 0.359) / 6);
  cr_expect_float_eq(output.mr_centre, 0.0695, 2e-4);
}
