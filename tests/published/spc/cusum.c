/* The tabular CUSUM against published examples. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <math.h>

enum { MOST = 32 };

/* A CUSUM of values about a target, in the values' own unit (sigma 1). */
static void run(const double *value, size_t n, double target, double k, double h, bt_cusum *cusum) {
  double z[MOST];
  uint8_t judged[MOST];
  cr_assert(n <= MOST);
  for (size_t i = 0; i < n; i++) {
    z[i] = value[i] - target;
    judged[i] = 1;
  }
  *cusum = (bt_cusum){.k = k,
                      .h = h,
                      .high = bt_new(n, sizeof(double)),
                      .low = bt_new(n, sizeof(double)),
                      .run_high = bt_new(n, sizeof(uint32_t)),
                      .run_low = bt_new(n, sizeof(uint32_t))};
  bt_error error;
  cr_assert_eq(bt_cusum_run(z, judged, 0, n, 1, cusum, &error), BT_OK);
}

/* NIST/SEMATECH e-Handbook, 6.3.2.3, in data units: target 325, k 0.3175, h 4.1959 (sums of the
 * handbook from memory, confirmed by computation). */
Test(cusum, nist_example_signals_at_groups_14_to_20) {
  static const double mean[] = {324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                                324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                                327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
  static const double high[] = {0,      0,      0,       0,      .0325,   0,      0,
                                0,      0,      0,       0,      0,       3.0075, 4.940,
                                7.4475, 10.630, 11.9875, 14.445, 16.0025, 19.035};
  static const double low[] = {0, .0075, 0, .3325, 0, 0, .5575, .715, .1725, .255, .3125};
  bt_cusum cusum;
  run(mean, 20, 325, 0.3175, 4.1959, &cusum);
  for (size_t i = 0; i < 20; i++) {
    cr_expect_float_eq(cusum.high[i], high[i], 1e-9, "group %zu: %.6f", i + 1, cusum.high[i]);
    cr_expect_float_eq(cusum.low[i], i < 11 ? low[i] : 0, 1e-9, "group %zu: %.6f", i + 1,
                       cusum.low[i]);
    cr_expect_eq(cusum.high[i] > 4.1959, i + 1 >= 14);
  }
  cr_assert_eq(cusum.excursions_n, 1, "no reset: groups 14 to 20 are one stay above h");
  const bt_excursion *first = &cusum.excursions[0];
  cr_expect_eq(first->side, BT_HIGH);
  cr_expect_eq(first->signal + 1, 14);
  cr_expect_eq(first->last + 1, 20);
  cr_expect_eq(cusum.run_high[13], 2);
  cr_expect_eq(first->run_began + 1, 13);
  /* 325 + size is the mean of groups 13 and 14. */
  cr_expect_float_eq(325 + first->size, 327.7875, 1e-9);
  double plain = 0; /* the handbook's column of plain sums ends at 19.075 */
  for (size_t i = 0; i < 20; i++)
    plain += mean[i] - 325;
  cr_expect_float_eq(plain, 19.075, 1e-9);
  bt_cusum_free(&cusum);
}

/* Montgomery and Runger, Applied Statistics and Probability for Engineers, table 16-7: sums S of
 * the chemical process concentration from 99, as printed. With k 0 the tabular sums are how far S
 * has come from its lowest and from its highest value, 0 at the start among them. */
Test(cusum, plain_sums_of_the_chemical_concentration) {
  static const double value[] = {102.0, 94.8, 98.3,  98.4, 102.0, 98.5, 99.0,  97.7,  100.0, 98.1,
                                 101.3, 98.7, 101.1, 98.4, 97.0,  96.7, 100.3, 101.4, 97.2,  101.0};
  static const double sum[] = {3.0, -1.2, -1.9, -2.5, .5, 0,    0,   -1.3, -.3, -1.2,
                               1.1, .8,   2.9,  2.3,  .3, -2.0, -.7, 1.7,  -.1, 1.9};
  bt_cusum cusum;
  run(value, 20, 99, 0, 20, &cusum);
  double lowest = 0, highest = 0;
  for (size_t i = 0; i < 20; i++) {
    lowest = fmin(lowest, sum[i]);
    highest = fmax(highest, sum[i]);
    cr_expect_float_eq(cusum.high[i], sum[i] - lowest, 1e-9, "point %zu", i + 1);
    cr_expect_float_eq(cusum.low[i], highest - sum[i], 1e-9, "point %zu", i + 1);
  }
  cr_expect_eq(cusum.excursions_n, 0);
  bt_cusum_free(&cusum);
}

/* Montgomery, Introduction to Statistical Quality Control, tabular CUSUM of 30 points, target 10,
 * k 0.5, h 5, sigma 1 (data and values from memory, confirmed by computation). */
Test(cusum, textbook_thirty_points) {
  static const double value[] = {9.45,  7.99,  9.29,  11.66, 12.16, 10.18, 8.04,  11.46,
                                 9.20,  10.34, 9.03,  11.47, 10.51, 9.40,  10.08, 9.37,
                                 10.62, 10.31, 8.52,  10.84, 10.90, 9.33,  12.29, 11.50,
                                 10.60, 11.08, 10.38, 11.62, 11.31, 10.52};
  bt_cusum cusum;
  run(value, 30, 10, 0.5, 5, &cusum);
  cr_expect_float_eq(cusum.high[28], 5.28, 1e-9);
  cr_expect_float_eq(cusum.high[29], 5.30, 1e-9);
  cr_expect_eq(cusum.run_high[28], 7);
  cr_assert_eq(cusum.excursions_n, 1);
  cr_expect_eq(cusum.excursions[0].side, BT_HIGH);
  cr_expect_eq(cusum.excursions[0].signal + 1, 29);
  cr_expect_eq(cusum.excursions[0].run_began + 1, 23, "the last point in control is 22");
  cr_expect_eq(cusum.excursions[0].last + 1, 30);
  cr_expect_float_eq(10 + cusum.excursions[0].size, 11.2543, 5e-5);
  bt_cusum_free(&cusum);
}
