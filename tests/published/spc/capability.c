/* Capability indices and their intervals against published and computed values. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

static bt_tolerance between(double low, double high) {
  return (bt_tolerance){.has_low = true, .has_high = true, .low = low, .high = high};
}

/* Cpm about a target T, which the product doesn't give: as the handbook has it, (USL - LSL) / (6
 * sqrt(s^2 + (mean - T)^2)), by which it follows from Pp. */
static double cpm(const bt_capability *found, double target) {
  double off = (found->mean - target) / found->overall_s;
  return found->pp.value / sqrt(1 + off * off);
}

/* NIST/SEMATECH e-Handbook, 7.1.6: limits 8 and 20, mean 16, s 2: Cp 1, Cpk 0.6667 (from memory,
 * confirmed by computation); to the upper limit alone 0.6667, to the lower alone 1.3333. */
Test(capability, nist_example) {
  gsl_set_error_handler_off();
  bt_tolerance tolerance = between(8, 20);
  bt_capability found = {.n = 50, .mean = 16, .overall_s = 2, .within_sigma = 2, .within_df = 49};
  bt_capability_find(&tolerance, &found);
  cr_expect(found.cp.given && found.cpk.given && found.pp.given && found.ppk.given);
  cr_expect_float_eq(found.cp.value, 1, 1e-15);
  cr_expect_float_eq(found.pp.value, 1, 1e-15);
  cr_expect_float_eq(found.cpk.value, 2.0 / 3, 1e-15);
  cr_expect_float_eq(found.ppk.value, 2.0 / 3, 1e-15);
  cr_expect_float_eq(cpm(&found, 14), .7071068, 5e-8);

  tolerance.has_low = false;
  bt_capability_find(&tolerance, &found);
  cr_expect_float_eq(found.ppk.value, 0.6667, 5e-5);
  cr_expect(!found.pp.given && !found.cp.given);
  tolerance.has_low = true;
  tolerance.has_high = false;
  bt_capability_find(&tolerance, &found);
  cr_expect_float_eq(found.ppk.value, 1.3333, 5e-5);
  cr_expect(!found.pp.given && !found.cp.given);
}

/* Chi-square interval, n = 20, index 24/10.5: 1.564945 .. 3.005579 (the upper end is published as
 * 3.01 in Montgomery, Introduction to Statistical Quality Control, chapter 8; the lower one there,
 * 1.57, is 1.565 by computation). */
Test(capability, chi_square_interval) {
  gsl_set_error_handler_off();
  bt_tolerance tolerance = between(0, 6 * 24 / 10.5);
  bt_capability found = {.n = 20, .mean = 3, .overall_s = 1, .within_sigma = 1, .within_df = 19};
  bt_capability_find(&tolerance, &found);
  cr_expect_float_eq(found.pp.value, 24 / 10.5, 1e-14);
  cr_expect_float_eq(found.pp.low, 1.564945, 5e-7);
  cr_expect_float_eq(found.pp.high, 3.005579, 5e-7);
  cr_expect_float_eq(found.cp.low, 1.564945, 5e-7, "the same with 19 degrees of freedom");
  cr_expect_float_eq(found.cp.high, 3.005579, 5e-7);
}

static bt_capability one_sided(double index, size_t n) {
  gsl_set_error_handler_off();
  bt_tolerance tolerance = {.has_high = true, .high = 3 * index};
  bt_capability found = {.n = n, .mean = 0, .overall_s = 1};
  bt_capability_find(&tolerance, &found);
  return found;
}

/* Bissell, Applied Statistics 39 (1990): 95 % interval of an index of 1.33, n = 20, .88 .. 1.78
 * (from memory, confirmed by computation to .882606 .. 1.777394); other n computed. */
Test(capability, bissell_interval) {
  static const struct {
    size_t n;
    double low, high;
  } row[] = {
      {10, .68, 1.98}, {20, .88, 1.78}, {30, .97, 1.69}, {50, 1.05, 1.61}, {100, 1.13, 1.53}};
  for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
    bt_capability found = one_sided(1.33, row[i].n);
    cr_expect_float_eq(found.ppk.low, row[i].low, 5e-3, "n = %zu", row[i].n);
    cr_expect_float_eq(found.ppk.high, row[i].high, 5e-3, "n = %zu", row[i].n);
  }
  bt_capability found = one_sided(1.33, 20);
  cr_expect_float_eq(found.ppk.low, .882606, 5e-7);
  cr_expect_float_eq(found.ppk.high, 1.777394, 5e-7);
}

/* The exact interval of a one-sided index, by the noncentral t distribution (computed, confirmed
 * with R's pt and by simulation): the normal one agrees within 0.006 at n = 20. */
Test(capability, exact_interval_is_near) {
  bt_capability found = one_sided(1.2, 20);
  cr_expect_float_eq(found.ppk.low, .792179, 6e-3);
  cr_expect_float_eq(found.ppk.high, 1.603338, 6e-3);
  found = one_sided(1, 50);
  cr_expect_float_eq(found.ppk.low, .780997, 2e-3);
  cr_expect_float_eq(found.ppk.high, 1.216852, 2e-3);
}

/* NIST/SEMATECH e-Handbook, 6.3.2.2, data of the individuals chart, with a tolerance of 44 .. 58:
 * indices computed with the exact d2. */
Test(capability, individuals_data) {
  static const double value[] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  uint8_t use[10];
  memset(use, 1, sizeof use);
  bt_individuals chart;
  bt_error error;
  gsl_set_error_handler_off();
  cr_assert_eq(bt_individuals_fit(value, use, 10, &chart, &error), BT_OK);
  double squares = 0;
  for (size_t i = 0; i < 10; i++)
    squares += (value[i] - chart.centre) * (value[i] - chart.centre);
  bt_tolerance tolerance = between(44, 58);
  bt_capability found = {.n = 10,
                         .mean = chart.centre,
                         .overall_s = sqrt(squares / 9),
                         .within_sigma = chart.sigma,
                         .within_df = chart.df};
  cr_expect_float_eq(found.overall_s, 2.0338524, 5e-8);
  cr_expect_float_eq(found.within_sigma, 1.6641372, 5e-8);
  bt_capability_find(&tolerance, &found);
  cr_expect_float_eq(found.cp.value, 1.402128, 5e-7);
  cr_expect_float_eq(found.cpk.value, 1.364070, 5e-7);
  cr_expect_float_eq(found.pp.value, 1.147248, 5e-7);
  cr_expect_float_eq(found.ppk.value, 1.116109, 5e-7);
  cr_expect_float_eq(cpm(&found, 51), 1.142275, 5e-7);
}
