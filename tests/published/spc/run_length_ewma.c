/* The EWMA's integral equation against published run lengths, constant and exact limits. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>

static double arl_of(double lambda, double limit, bool constant, double shift) {
  bt_run_chart chart = {
      .method = BT_RUN_OF_EWMA, .lambda = lambda, .limit = limit, .constant_limits = constant};
  bt_run_length found;
  bt_error error = {0};
  cr_assert_eq(bt_run_length_find(&chart, shift, &found, &error), BT_OK, "%s", error.text);
  return found.arl;
}

/* Constant limits of 3 sigma, in control. Crowder, Technometrics 29 (1987): 397.46, 502.90, 842.15,
 * 374.50, values from memory, confirmed by computation to five digits; lambda 0.05 is computed. */
Test(run_length_ewma, constant_limits_of_three_sigma) {
  static const double listed[][2] = {
      {0.75, 374.5015}, {0.5, 397.4608}, {0.25, 502.8952}, {0.1, 842.1498}, {0.05, 1379.348}};
  for (size_t r = 0; r < 5; r++)
    cr_expect_float_eq(arl_of(listed[r][0], 3, true, 0), listed[r][1], r == 4 ? 5.01e-4 : 5.01e-5,
                       "lambda %g", listed[r][0]);
}

/* Lucas and Saccucci, Technometrics 32 (1990), list 500 for both charts with constant limits;
 * values from memory, confirmed by computation to their digits. The decimals, and the columns of
 * exact limits, are computed: a chart with exact limits must not be said to have 500. */
Test(run_length_ewma, constant_and_exact_limits) {
  static const struct {
    double lambda, limit, constant[2], exact[2]; /* at shift 0 and 1 */
  } listed[] = {{0.2, 2.962, {499.735, 10.542}, {494.386, 9.554}},
                {0.1, 2.814, {499.580, 10.331}, {486.429, 8.157}}};
  for (size_t r = 0; r < 2; r++)
    for (int shift = 0; shift < 2; shift++) {
      cr_expect_float_eq(arl_of(listed[r].lambda, listed[r].limit, true, shift),
                         listed[r].constant[shift], 5.01e-4, "lambda %g at %d", listed[r].lambda,
                         shift);
      cr_expect_float_eq(arl_of(listed[r].lambda, listed[r].limit, false, shift),
                         listed[r].exact[shift], 5.01e-4, "lambda %g at %d, exact",
                         listed[r].lambda, shift);
    }
}

/* With lambda 1 it is the individuals chart: the ARL of WE1 (Champ and Woodall, 1987). */
Test(run_length_ewma, of_the_newest_point_alone_is_the_first_rule) {
  cr_expect_float_eq(arl_of(1, 3, true, 0), 370.3983, 5.01e-5);
  cr_expect_float_eq(arl_of(1, 3, false, 1), 43.8947, 5.01e-5);
}

static void expect_limit(double lambda, bool constant, double arl, double listed) {
  bt_run_chart chart = {.method = BT_RUN_OF_EWMA, .lambda = lambda, .constant_limits = constant};
  bt_error error = {0};
  cr_assert_eq(bt_run_length_solve(&chart, arl, &error), BT_OK, "%s", error.text);
  cr_expect_float_eq(chart.limit, listed, 1e-7, "lambda %g, ARL %g: %.6f, not %.6f", lambda, arl,
                     chart.limit, listed);
}

/* Limits for ARL 370 and 500; computed, two ways. */
Test(run_length_ewma, limit_for_a_wanted_arl) {
  static const double constant[][3] = {{0.05, 2.489686, 2.615055}, {0.1, 2.701046, 2.814310},
                                       {0.2, 2.858961, 2.962178},  {0.25, 2.897657, 2.998108},
                                       {0.3, 2.924654, 3.023025},  {0.4, 2.958576, 3.054030}};
  static const double exact[][3] = {{0.1, 2.714208, 2.823874},
                                    {0.2, 2.863877, 2.965761},
                                    {0.4, 2.960174, 3.055206},
                                    {0.05, 2.522615, 2.639124}};
  for (size_t r = 0; r < 6; r++)
    for (int c = 0; c < 2; c++)
      expect_limit(constant[r][0], true, c == 0 ? 370 : 500, constant[r][1 + c]);
  for (size_t r = 0; r < 4; r++)
    for (int c = 0; c < 2; c++)
      expect_limit(exact[r][0], false, c == 0 ? 370 : 500, exact[r][1 + c]);
}
