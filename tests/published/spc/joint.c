/* Zone rules and CUSUM (k 0.5) together: the simulated joint run length against 4 million simulated
 * runs a row by another program. The two rows of WE1 alone were confirmed by a truncated Markov
 * chain (224.008 and 397.844 in control); older published values for the limit of 3.5 sigma (391,
 * Lucas 1982) were not, and are not used.
 *
 * A mean may differ by 4 standard errors of both simulations; that of the listed one is at most a
 * two-thousandth of it. */
#include "../../unit/spc/shapes.h"
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  SHIFTS = 6,
  LONGEST = 1 << 12,
  R1 = BT_WE1,
  R2 = BT_WE2,
  R3 = BT_WE3,
  R4 = BT_WE4,
  R1234 = R1 | R2 | R3 | R4
};

static const double shifts[SHIFTS] = {0, 0.5, 1, 1.5, 2, 3};
static const size_t runs[SHIFTS] = {3000, 6000, 10000, 10000, 10000, 10000};

static const struct {
  bt_rules rules;
  double limit, h, headstart;
  double arl[SHIFTS];
} listed[] = {
    {R1, 0, 5, 0, {224.03, 34.46, 9.836, 5.290, 3.462, 1.808}},
    {R1, 0, 5, 0.5, {208.86, 26.51, 6.254, 3.352, 2.355, 1.539}},
    {R1, 3.5, 5, 0, {397.87, 37.36, 10.268, 5.627, 3.828, 2.169}},
    {R1, 3.5, 5, 0.5, {368.45, 28.31, 6.333, 3.368, 2.361, 1.540}},
    {R1 | R2, 0, 5, 0, {172.90, 32.33, 9.425, 4.960, 3.159, 1.666}},
    {R1 | R2 | R3, 0, 5, 0, {122.10, 28.25, 8.750, 4.690, 3.076, 1.664}},
    {R1234, 0, 4, 0, {77.38, 21.04, 7.555, 4.310, 2.919, 1.650}},
    {R1234, 0, 4.773834, 0, {87.26, 23.59, 8.202, 4.600, 3.054, 1.663}},
    {R1234, 0, 5, 0, {88.66, 24.14, 8.338, 4.652, 3.075, 1.665}},
    {R1234, 0, 5, 0.5, {84.04, 20.09, 6.027, 3.336, 2.353, 1.539}},
};

Test(joint, run_lengths_of_rules_and_cusum) {
  for (size_t r = 0; r < sizeof listed / sizeof *listed; r++)
    for (size_t s = 0; s < SHIFTS; s++) {
      bt_joint_chart chart = {.rules = listed[r].rules,
                              .limit = listed[r].limit,
                              .has_cusum = true,
                              .k = 0.5,
                              .h = listed[r].h,
                              .headstart = listed[r].headstart};
      bt_joint_run found;
      bt_error error = {0};
      cr_assert_eq(
          bt_joint_run_find(&chart, 1, shifts[s], runs[s], 900 + r * SHIFTS + s, &found, &error),
          BT_OK, "%s", error.text);
      double arl = listed[r].arl[s], apart = hypot(found.arl_se, arl / 2000);
      cr_expect_float_eq(found.arl, arl, 4 * apart, "row %zu at %g: %.4f +- %.4f, not %.4f", r,
                         shifts[s], found.arl, found.arl_se, arl);
      cr_expect_lt(found.arl_se, 0.02 * arl);
    }
}

/* Zone rules, CUSUM and EWMA of one series of n points through the charts' own code: the first
 * point at which any of them signals, counted from 1; 0: none. */
static size_t first_of_all(const double *z, size_t n, bool with_ewma) {
  static double sum_high[LONGEST], sum_low[LONGEST], value[LONGEST], lcl[LONGEST], ucl[LONGEST];
  static uint32_t run_high[LONGEST], run_low[LONGEST];
  static uint8_t judged[LONGEST];
  static bt_rules high[LONGEST], low[LONGEST];
  memset(judged, 1, n);
  bt_cusum cusum = {
      .k = 0.5, .h = 5, .high = sum_high, .low = sum_low, .run_high = run_high, .run_low = run_low};
  bt_ewma ewma = {.lambda = 0.2, .limit = 2.962, .value = value, .lcl = lcl, .ucl = ucl};
  bt_individuals chart = bt_individuals_stated(0, 1);
  bt_error error;
  bt_zone_rules(z, judged, n, high, low);
  cr_assert_eq(bt_cusum_run(z, judged, 0, n, 1, &cusum, &error), BT_OK);
  free(cusum.excursions);
  if (with_ewma)
    bt_ewma_run(z, judged, 0, n, &chart, NULL, 0, &ewma);
  for (size_t i = 0; i < n; i++)
    if (((high[i] | low[i]) & BT_ZONE_RULES) != 0 || sum_high[i] > 5 || sum_low[i] > 5 ||
        (with_ewma && (value[i] < lcl[i] || value[i] > ucl[i])))
      return i + 1;
  return 0;
}

/* The same simulation's last row: rules 1-4, h = 5 and the EWMA (0.2, 2.962, exact limits), which
 * signals nothing of its own in the product. Standard error of the listed mean as above. */
Test(joint, with_the_ewma) {
  static const double mean[SHIFTS] = {86.55, 23.12, 7.858, 4.257, 2.784, 1.586};
  static const size_t taken[SHIFTS] = {3000, 6000, 10000, 10000, 10000, 10000};
  for (size_t s = 0; s < SHIFTS; s++) {
    uint64_t seed = 8000 + s;
    double total = 0, squares = 0, n = (double)taken[s];
    for (size_t run = 0; run < taken[s]; run++) {
      static double z[LONGEST];
      size_t made = 0, first = 0;
      for (size_t stretch = s == 0 ? 64 : 16; first == 0; stretch *= 2) {
        cr_assert_leq(stretch, LONGEST);
        for (; made < stretch; made++)
          z[made] = shifts[s] + shape_normal(&seed);
        first = first_of_all(z, made, true);
      }
      total += (double)first;
      squares += (double)first * (double)first;
    }
    double found = total / n, se = sqrt((squares / n - found * found) / n);
    cr_expect_float_eq(found, mean[s], 4 * hypot(se, mean[s] / 2000), "at %g: %.4f +- %.4f",
                       shifts[s], found, se);
    cr_expect_lt(se, 0.02 * mean[s]);
  }
}

/* Joint probability of a false signal within 250 points: .9455 for all rules and h = 5 (the same
 * simulation), less than what the separate probabilities would make of independent charts. */
Test(joint, within_250_points_of_all_rules_and_cusum) {
  enum { SERIES = 20000 };
  uint64_t seed = 250;
  size_t signalled = 0;
  for (size_t run = 0; run < SERIES; run++) {
    double z[250];
    for (size_t i = 0; i < 250; i++)
      z[i] = shape_normal(&seed);
    signalled += first_of_all(z, 250, false) > 0;
  }
  double share = (double)signalled / SERIES;
  cr_expect_float_eq(share, .9455, 4 * sqrt(.9455 * .0545 / SERIES), "%.4f", share);
  cr_expect_lt(share, 1 - (1 - .939267) * (1 - .412349));
  bt_joint_chart chart = {.rules = R1234, .has_cusum = true, .k = 0.5, .h = 5};
  bt_joint_run found;
  bt_error error = {0};
  cr_assert_eq(bt_joint_run_find(&chart, 1, 0, 10000, 77, &found, &error), BT_OK);
  cr_expect(found.p95 > 245 && found.p95 < 272, "%d", (int)found.p95);
}

/* h that brings rules and CUSUM together to an ARL in control (2 million simulated runs each). The
 * ARL of that h, within 4 standard errors; the h itself is known to .005, which is 0.4 % of an ARL.
 */
Test(joint, h_for_a_wanted_arl) {
  static const struct {
    bt_rules rules;
    double limit, arl, h;
  } row[] = {{R1, 0, 300, 5.973},   {R1, 0, 250, 5.290},   {R1, 0, 200, 4.751},
             {R1, 0, 150, 4.240},   {R1, 3.5, 400, 5.007}, {R1, 3.5, 370, 4.914},
             {R1, 3.5, 300, 4.673}, {R1, 3.5, 200, 4.230}, {R1234, 0, 90, 5.42},
             {R1234, 0, 85, 4.523}, {R1234, 0, 80, 4.152}, {R1234, 0, 75, 3.893}};
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    bt_joint_chart chart = {
        .rules = row[r].rules, .limit = row[r].limit, .has_cusum = true, .k = 0.5, .h = row[r].h};
    bt_joint_run found;
    bt_error error = {0};
    cr_assert_eq(bt_joint_run_find(&chart, 1, 0, 4000, 7000 + r, &found, &error), BT_OK, "%s",
                 error.text);
    cr_expect_float_eq(found.arl, row[r].arl, 4 * found.arl_se + 0.004 * row[r].arl,
                       "row %zu: %.2f +- %.2f", r, found.arl, found.arl_se);
  }
}
