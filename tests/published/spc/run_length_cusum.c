/* The CUSUM's integral equation against published run lengths.
 *
 * ARL: Lucas and Crosier, Technometrics 24 (1982), values from memory, confirmed by computation to
 * their three digits; the four decimals here are computed, by an integral equation and by an
 * extrapolated Markov chain. h for an ARL: Hawkins, values from memory, confirmed by computation to
 * their three digits except 1.61 at k = 1.5, where two computations give 1.604; the six decimals
 * are computed. Probabilities are computed. */
#include "beamtally/spc.h"
#include "spc_run_length.h"

#include <criterion/criterion.h>
#include <math.h>

enum { SHIFTS = 10 };

static const double shifts[SHIFTS] = {0, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4};

static const struct {
  double h, headstart, arl[SHIFTS];
} table[] = {
    {4, 0, {167.6838, 74.2240, 26.6302, 13.2851, 8.3831, 4.7472, 3.3428, 2.6195, 2.1945, 1.7085}},
    {4, 0.5, {148.6956, 62.6982, 20.0640, 8.9680, 5.2869, 2.8620, 2.0144, 1.5858, 1.3254, 1.0670}},
    {5, 0, {465.4435, 139.4937, 37.9961, 17.0483, 10.3760, 5.7472, 4.0089, 3.1137, 2.5733, 2.0126}},
    {5,
     0.5,
     {430.3908, 121.6879, 28.6658, 11.2358, 6.3469, 3.3720, 2.3623, 1.8562, 1.5396, 1.1594}},
};

static double arl_of(const bt_run_chart *chart, double shift) {
  bt_run_length found;
  bt_error error = {0};
  cr_assert_eq(bt_run_length_find(chart, shift, &found, &error), BT_OK, "%s", error.text);
  return found.arl;
}

Test(run_length_cusum, tables_of_lucas_and_crosier) {
  for (size_t r = 0; r < sizeof table / sizeof *table; r++)
    for (int s = 0; s < SHIFTS; s++) {
      bt_run_chart chart = {
          .method = BT_RUN_OF_CUSUM, .k = 0.5, .h = table[r].h, .headstart = table[r].headstart};
      double arl = arl_of(&chart, shifts[s]);
      cr_expect_float_eq(arl, table[r].arl[s], 5.01e-5, "h %g headstart %g at %g: %.5f, not %.4f",
                         table[r].h, table[r].headstart, shifts[s], arl, table[r].arl[s]);
    }
}

Test(run_length_cusum, one_side) {
  bt_run_chart four = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4, .one_sided = true};
  bt_run_chart five = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5, .one_sided = true};
  cr_expect_float_eq(arl_of(&four, 0), 335.3676, 5.01e-5); /* computed; a listed 336 is 2 x 168 */
  cr_expect_float_eq(arl_of(&five, 0), 930.8870, 5.01e-5); /* computed */
}

/* Probability of a false signal within 1, 20, 50, 100, 250 points, k = 0.5; computed, two ways. */
Test(run_length_cusum, false_signals_within) {
  static const uint64_t points[] = {1, 20, 50, 100, 250};
  static const double listed[4][5] = {{.000007, .091944, .244660, .444283, .778696},
                                      {.012419, .197129, .332182, .508674, .804339},
                                      {.000000, .030028, .091382, .185172, .412349},
                                      {.002700, .103708, .160558, .247208, .457089}};
  for (size_t r = 0; r < 4; r++)
    for (size_t i = 0; i < 5; i++) {
      bt_run_chart chart = {
          .method = BT_RUN_OF_CUSUM, .k = 0.5, .h = table[r].h, .headstart = table[r].headstart};
      double probability;
      bt_error error = {0};
      cr_assert_eq(spc_run_length_within(&chart, 0, points[i], &probability, &error), BT_OK);
      cr_expect_float_eq(probability, listed[r][i], 5.01e-7, "h %g headstart %g within %u: %.7f",
                         table[r].h, table[r].headstart, (unsigned)points[i], probability);
    }
}

/* Columns: ARL 370 and 500, without headstart and with half of h. */
Test(run_length_cusum, h_for_a_wanted_arl) {
  static const struct {
    double k, h[4];
  } listed[] = {
      {0.25, {8.008289, 8.585058, 8.285395, 8.834907}},
      {0.5, {4.773834, 5.070704, 4.855953, 5.143321}},
      {0.75, {3.338973, 3.538425, 3.378089, 3.572776}},
      {1, {2.516260, 2.665058, 2.538305, 2.684572}},
      {1.25, {1.986224, 2.105356, 1.999229, 2.116929}},
      {1.5, {1.604099, 1.707979, 1.612071, 1.715070}},
  };
  for (size_t r = 0; r < sizeof listed / sizeof *listed; r++)
    for (int c = 0; c < 4; c++) {
      bt_run_chart chart = {
          .method = BT_RUN_OF_CUSUM, .k = listed[r].k, .headstart = c < 2 ? 0 : 0.5};
      bt_error error = {0};
      cr_assert_eq(bt_run_length_solve(&chart, c % 2 == 0 ? 370 : 500, &error), BT_OK, "%s",
                   error.text);
      cr_expect_float_eq(chart.h, listed[r].h[c], 1e-7, "k %g, column %d: %.6f, not %.6f",
                         listed[r].k, c, chart.h, listed[r].h[c]);
    }
}

/* The same with the ARL of three sigma; computed. */
Test(run_length_cusum, h_for_the_arl_of_three_sigma) {
  static const double listed[][2] = {{0.25, 8.010339}, {0.5, 4.774893}, {1, 2.516791}};
  for (size_t r = 0; r < 3; r++) {
    bt_run_chart chart = {.method = BT_RUN_OF_CUSUM, .k = listed[r][0]};
    bt_error error = {0};
    cr_assert_eq(bt_run_length_solve(&chart, 370.3983, &error), BT_OK);
    cr_expect_float_eq(chart.h, listed[r][1], 1e-7, "k %g: %.6f", chart.k, chart.h);
  }
}

/* Siegmund, Sequential Analysis (1985): one side (exp(-2 d b) + 2 d b - 1)/(2 d^2), b = h + 1.166,
 * d the drift of the sum; 938.2 for h = 5 in control is published (value from memory, confirmed by
 * computation), the others are computed. Within 1 % of the integral equation, and so no substitute
 * for it. */
static double siegmund(double h, double drift) {
  double b = h + 1.166;
  return (exp(-2 * drift * b) + 2 * drift * b - 1) / (2 * drift * drift);
}

Test(run_length_cusum, siegmund_is_near) {
  bt_run_chart four = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4}, five = four;
  five.h = 5;
  double shifted = 1 / (1 / siegmund(5, 0.5) + 1 / siegmund(5, -1.5));
  cr_expect_float_eq(siegmund(5, -0.5), 938.222, 5.01e-4);
  cr_expect_float_eq(siegmund(5, -0.5) / 2, 469.1112, 5.01e-5);
  cr_expect_float_eq(siegmund(4, -0.5) / 2, 169.0466, 5.01e-5);
  cr_expect_float_eq(shifted, 10.3362, 5.01e-5);
  cr_expect_float_eq(arl_of(&five, 0) / 469.1112, 1, 0.01);
  cr_expect_float_eq(arl_of(&four, 0) / 169.0466, 1, 0.01);
  cr_expect_float_eq(arl_of(&five, 1) / shifted, 1, 0.01);
}

/* Brook and Evans, Biometrika 59 (1972): the sum in `cells` states, the lowest half as wide; mean
 * of one side in control by elimination. */
static double brook_evans(double k, double h, int cells) {
  static double a[201][202];
  double width = 2 * h / (2 * cells - 1);
  cr_assert(cells <= 201);
  for (int i = 0; i < cells; i++) {
    for (int j = 0; j < cells; j++) {
      double high = (j - i + 0.5) * width + k, low = high - width;
      double p = erfc(-high / sqrt(2)) / 2 - (j > 0 ? erfc(-low / sqrt(2)) / 2 : 0);
      a[i][j] = (i == j) - p;
    }
    a[i][cells] = 1;
  }
  for (int c = 0; c < cells; c++) /* diagonally dominant: no pivots */
    for (int i = 0; i < cells; i++) {
      double share = i == c ? 0 : a[i][c] / a[c][c];
      for (int j = c; j <= cells && share != 0; j++)
        a[i][j] -= share * a[c][j];
    }
  return a[0][cells] / a[0][0];
}

/* 928.6 with 50 states (computed), and the integral equation's value as they grow: the error falls
 * as 1/m^2, so of two it is taken out. */
Test(run_length_cusum, chain_of_brook_and_evans) {
  double fifty = brook_evans(0.5, 5, 50), coarse = brook_evans(0.5, 5, 100);
  double fine = brook_evans(0.5, 5, 200);
  bt_run_chart one = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5, .one_sided = true};
  cr_expect_float_eq(fifty, 928.6, 0.05, "%.4f", fifty);
  cr_expect_float_eq(fine + (fine - coarse) / 3, arl_of(&one, 0), 0.03, "%.4f",
                     fine + (fine - coarse) / 3);
}
