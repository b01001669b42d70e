/* Mean number of points to a first signal when the mean drifts by b sigma a point from the start:
 * the charts' own code against 6,000 simulated runs a case by another program. Both means have
 * about the same standard error; they may differ by 4 of both together, and half the last printed
 * digit. */
#include "../../unit/spc/shapes.h"
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHARTS = 6, RUNS = 3000, LONGEST = 1024, LISTED_RUNS = 6000 };

static const struct {
  /* WE1; all four rules; CUSUM k .5, h 4.775; k .25, h 8.01; EWMA .1, 2.701; .05, 2.490 */
  double b, mean[CHARTS];
} listed[] = {
    {0.005, {135, 56.5, 83.8, 75.7, 76.6, 73.1}}, {0.01, {89.5, 42.6, 55.1, 51.1, 51.0, 49.8}},
    {0.02, {57.6, 30.2, 35.3, 34.3, 33.5, 33.4}}, {0.05, {30.5, 18.1, 19.9, 20.6, 19.5, 20.2}},
    {0.1, {18.4, 12.1, 13.0, 14.1, 13.0, 13.8}},  {0.2, {11.0, 8.1, 8.7, 9.7, 8.8, 9.5}}};

static double z[LONGEST], sum_high[LONGEST], sum_low[LONGEST], upper[LONGEST];
static uint8_t judged[LONGEST];
static bt_rules high[LONGEST], low[LONGEST];
static uint32_t run_high[LONGEST], run_low[LONGEST];

static size_t first_of_rules(unsigned rules) {
  size_t i = 0;
  while (i < LONGEST && ((high[i] | low[i]) & rules) == 0)
    i++;
  cr_assert_lt(i, LONGEST);
  return i + 1;
}

static size_t first_of_cusum(double k, double h) {
  bt_cusum cusum = {
      .k = k, .h = h, .high = sum_high, .low = sum_low, .run_high = run_high, .run_low = run_low};
  bt_error error;
  cr_assert_eq(bt_cusum_run(z, judged, 0, LONGEST, 1, &cusum, &error), BT_OK);
  cr_assert_gt(cusum.excursions_n, 0);
  size_t first = cusum.excursions[0].signal + 1;
  free(cusum.excursions);
  return first;
}

/* Constant limits, as all of the listed charts' false-alarm rate of 1 in 370 is theirs. */
static size_t first_of_ewma(double lambda, double limit) {
  bt_ewma ewma = {
      .lambda = lambda, .limit = limit, .value = sum_high, .lcl = sum_low, .ucl = upper};
  bt_individuals chart = bt_individuals_stated(0, 1);
  bt_ewma_run(z, judged, 0, LONGEST, &chart, NULL, 0, &ewma);
  double constant = limit * sqrt(lambda / (2 - lambda));
  size_t i = 0;
  while (i < LONGEST && fabs(sum_high[i]) <= constant)
    i++;
  cr_assert_lt(i, LONGEST);
  return i + 1;
}

Test(linear_drift, points_to_a_first_signal) {
  memset(judged, 1, sizeof judged);
  for (size_t r = 0; r < sizeof listed / sizeof *listed; r++) {
    uint64_t seed = 4000 + r;
    double sum[CHARTS] = {0}, squares[CHARTS] = {0};
    for (int run = 0; run < RUNS; run++) {
      for (size_t i = 0; i < LONGEST; i++)
        z[i] = listed[r].b * (double)(i + 1) + shape_normal(&seed);
      bt_zone_rules(z, judged, LONGEST, high, low);
      const size_t first[CHARTS] = {first_of_rules(BT_WE1),     first_of_rules(15),
                                    first_of_cusum(0.5, 4.775), first_of_cusum(0.25, 8.01),
                                    first_of_ewma(0.1, 2.701),  first_of_ewma(0.05, 2.490)};
      for (int c = 0; c < CHARTS; c++) {
        sum[c] += (double)first[c];
        squares[c] += (double)first[c] * (double)first[c];
      }
    }
    for (int c = 0; c < CHARTS; c++) {
      double mean = sum[c] / RUNS, variance = squares[c] / RUNS - mean * mean;
      double apart = 4 * sqrt(variance / RUNS + variance / LISTED_RUNS);
      double digit = listed[r].mean[c] < 100 ? 0.05 : 0.5;
      cr_expect_leq(fabs(mean - listed[r].mean[c]), apart + digit,
                    "b %g, chart %d: %.2f, not %g (+- %.2f)", listed[r].b, c, mean,
                    listed[r].mean[c], apart);
    }
  }
}
