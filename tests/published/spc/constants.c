/* Constants of normal samples against published tables and an independent quadrature. */
#include "beamtally/spc.h"
#include "spc_constants.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

/* Values computed with 25 digits by an independent quadrature; they agree with the three decimals
 * of the tables in Montgomery, Introduction to Statistical Quality Control, appendix VI (table
 * values from memory, confirmed by computation). */
Test(constants, listed_values) {
  static const struct {
    int n;
    double d2, d3, c4;
  } listed[] = {{5, 2.3259289473, 0.8640819411, 0.9399856030},
                {10, 3.0775054617, 0.7970506735, 0.9726592741},
                {25, 3.9306292195, 0.7084407659, 0.9896403756}};
  for (size_t i = 0; i < sizeof listed / sizeof *listed; i++) {
    cr_expect_float_eq(spc_d2(listed[i].n), listed[i].d2, 1e-10);
    cr_expect_float_eq(spc_d3(listed[i].n), listed[i].d3, 1e-10);
    cr_expect_float_eq(spc_c4(listed[i].n), listed[i].c4, 1e-10);
  }
}

/* Montgomery, Introduction to Statistical Quality Control, appendix VI, n = 2 to 25: d2, d3 and D4
 * with three decimals, c4 with four, and A2 = 3/(d2 sqrt(n)) as derived from them (values from
 * memory, confirmed by computation, except d3 at n = 19, remembered as .734 and computed as .7335).
 * The book's D4 come from rounded d2 and d3. */
Test(constants, tables_of_the_textbook) {
  static const struct {
    double d2, d3, c4, big_d4, a2;
  } row[] = {{1.128, .853, .7979, 3.267, 1.880}, {1.693, .888, .8862, 2.574, 1.023},
             {2.059, .880, .9213, 2.282, .729},  {2.326, .864, .9400, 2.114, .577},
             {2.534, .848, .9515, 2.004, .483},  {2.704, .833, .9594, 1.924, .419},
             {2.847, .820, .9650, 1.864, .373},  {2.970, .808, .9693, 1.816, .337},
             {3.078, .797, .9727, 1.777, .308},  {3.173, .787, .9754, 1.744, .285},
             {3.258, .778, .9776, 1.717, .266},  {3.336, .770, .9794, 1.693, .249},
             {3.407, .763, .9810, 1.672, .235},  {3.472, .756, .9823, 1.653, .223},
             {3.532, .750, .9835, 1.637, .212},  {3.588, .744, .9845, 1.622, .203},
             {3.640, .739, .9854, 1.608, .194},  {3.689, .733, .9862, 1.597, .187},
             {3.735, .729, .9869, 1.585, .180},  {3.778, .724, .9876, 1.575, .173},
             {3.819, .720, .9882, 1.566, .167},  {3.858, .716, .9887, 1.557, .162},
             {3.895, .712, .9892, 1.548, .157},  {3.931, .708, .9896, 1.541, .153}};
  for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
    int n = (int)i + 2;
    cr_expect_float_eq(spc_d2(n), row[i].d2, 5.1e-4, "d2(%d) = %.5f", n, spc_d2(n));
    cr_expect_float_eq(spc_d3(n), row[i].d3, 5.1e-4, "d3(%d) = %.5f", n, spc_d3(n));
    cr_expect_float_eq(spc_c4(n), row[i].c4, 5.1e-5, "c4(%d) = %.6f", n, spc_c4(n));
    cr_expect_float_eq(spc_big_d4(n), row[i].big_d4, 1.2e-3, "D4(%d) = %.5f", n, spc_big_d4(n));
    double a2 = 3 / (spc_d2(n) * sqrt(n));
    cr_expect_float_eq(a2, row[i].a2, 6e-4, "A2(%d) = %.5f", n, a2);
  }
  cr_expect_float_eq(3 / spc_d2(2), 2.66, 5e-3, "E2, the factor of the individuals chart");
  cr_expect_float_eq(2 / spc_d2(2), 1.77, 5e-3, "the same for two sigma");
}

/* Closed forms: the range of two normal values is |N(0, 2)|; of three, Tippett (1925). */
Test(constants, closed_forms) {
  cr_expect_float_eq(spc_d2(2), 2 / sqrt(M_PI), 1e-15);
  cr_expect_float_eq(spc_d2(2), 1.1283791671, 1e-10);
  cr_expect_float_eq(spc_d3(2), 0.8525024664, 1e-10);
  cr_expect_float_eq(spc_c4(2), sqrt(2 / M_PI), 1e-14);
  cr_expect_float_eq(spc_big_d4(2), 1 + 3 * sqrt(M_PI / 2 - 1), 1e-14);
  cr_expect_float_eq(spc_big_d4(2), 3.2665319193, 1e-10);
  cr_expect_float_eq(spc_d2(3), 3 / sqrt(M_PI), 1e-12);
  cr_expect_float_eq(spc_d3(3), 0.8883680040, 1e-10);
  cr_expect_float_eq(spc_c4(3), sqrt(M_PI) / 2, 1e-14);
}

/* d2 in its other form: the integral over x of 1 - (1 - Phi)^n - Phi^n (Tippett 1925), for every n;
 * at n = 2 this checks the closed form that the moving ranges use. */
Test(constants, tippett_integral_agrees_for_every_n) {
  for (int n = 2; n <= 25; n++) {
    double sum = 0;
    for (double x = -9; x <= 9; x += 1.0 / 64) {
      double p = gsl_cdf_ugaussian_P(x), q = gsl_cdf_ugaussian_Q(x);
      sum += 1 - gsl_pow_int(q, n) - gsl_pow_int(p, n);
    }
    cr_expect_float_eq(spc_d2(n), sum / 64, 1e-11, "d2(%d) = %.15g, not %.15g", n, spc_d2(n),
                       sum / 64);
  }
}

Test(constants, outside_2_to_25_there_is_none) {
  cr_expect(isnan(spc_d2(1)) && isnan(spc_d3(1)) && isnan(spc_c4(1)) && isnan(spc_big_d4(1)));
  cr_expect(isnan(spc_d2(26)) && isnan(spc_d3(26)) && isnan(spc_c4(26)) && isnan(spc_big_d4(26)));
}

/* Computed from the exact variance of the mean moving range; confirmed by simulation at n = 20. */
Test(constants, degrees_of_freedom_of_the_mean_moving_range) {
  static const struct {
    size_t n;
    double df;
  } listed[] = {{10, 5.639}, {20, 11.685}, {25, 14.710}, {30, 17.734}, {50, 29.833}, {100, 60.083}};
  for (size_t i = 0; i < sizeof listed / sizeof *listed; i++)
    cr_expect_float_eq(bt_moving_range_df(listed[i].n), listed[i].df, 5e-4, "n = %zu: %.6f",
                       listed[i].n, bt_moving_range_df(listed[i].n));
  cr_expect_eq(bt_moving_range_df(0), 0);
  cr_expect_eq(bt_moving_range_df(1), 0);
  /* One moving range: E^2 / (2 Var) = (4/pi) / (2 (2 - 4/pi)). */
  cr_expect_float_eq(bt_moving_range_df(2), 1 / (M_PI - 2), 1e-14);
}
