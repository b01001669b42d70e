/* What estimated limits make of a run length, against simulated baselines.
 *
 * Individuals chart, limits of 3 sigma, MRbar/1.128 of m points: 10 %, 50 % and 90 % quantile of
 * its true ARL in control over up to 200,000 simulated baselines, computed elsewhere. Their own
 * accuracy is some per cent, in the upper quantiles of small m most; 1.128 in place of the exact d2
 * makes 0.2 % of it. */
#include "../../unit/spc/shapes.h"
#include "beamtally/spc.h"
#include "spc_estimate.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

Test(estimated, individuals_chart) {
  static const double listed[][4] = {
      {8, 10, 178, 35726}, {12, 18, 220, 13543},  {20, 33, 269, 5557}, {30, 50, 298, 3334},
      {50, 77, 323, 1972}, {100, 119, 345, 1190}, {300, 192, 359, 720}};
  for (size_t r = 0; r < sizeof listed / sizeof *listed; r++) {
    const double *row = listed[r];
    bt_run_chart chart = {.rules = BT_WE1};
    bt_estimated found;
    bt_error error = {0};
    cr_assert_eq(bt_run_length_estimated(&chart, (size_t)row[0], &found, &error), BT_OK, "%s",
                 error.text);
    double own = row[0] < 12 ? 0.05 : 0.02;
    printf("m %3.0f: %.1f (%g), %.1f (%g), %.1f (%g)\n", row[0], found.arl_10, row[1], found.arl_50,
           row[2], found.arl_90, row[3]);
    cr_expect_float_eq(found.arl_10, row[1], 0.5 + own * row[1]);
    cr_expect_float_eq(found.arl_50, row[2], 0.5 + own * row[2]);
    cr_expect_float_eq(found.arl_90, row[3], 0.5 + own * row[3]);
  }
}

/* The same simulation: share of baselines whose true ARL is under 185, and false alarms in 100
 * points on average over baselines; here over as many drawn baselines as make 20,000 through the
 * chart's own code. Of baselines that may alarm, from 30 points on, the average is known beforehand
 * too (src/spc/alarm_average.c). For m = 100 the list has .40; 800,000 baselines give .3929 +-
 * .0004. Within 4 standard errors and the last printed digit. */
Test(estimated, short_runs_and_false_alarms_of_drawn_baselines) {
  static const double listed[][3] = {{8, .50, 3.11}, {12, .47, 1.90}, {20, .42, 1.09},
                                     {30, .38, .76}, {50, .32, .54},  {100, .23, .393},
                                     {300, .09, .31}};
  enum { BASELINES = 20000, MOST = 300 };
  uint8_t all[MOST];
  memset(all, 1, sizeof all);
  for (size_t r = 0; r < sizeof listed / sizeof *listed; r++) {
    size_t m = (size_t)listed[r][0], drawn = m < 100 ? BASELINES : BASELINES / 4, under = 0;
    uint64_t seed = 3000 + r;
    double sum = 0, squares = 0, n = (double)drawn;
    for (size_t b = 0; b < drawn; b++) {
      double value[MOST];
      bt_individuals chart;
      bt_error error;
      for (size_t i = 0; i < m; i++)
        value[i] = shape_normal(&seed);
      cr_assert_eq(bt_individuals_fit(value, all, m, &chart, &error), BT_OK);
      double rate = gsl_cdf_ugaussian_Q(chart.ucl) + gsl_cdf_ugaussian_P(chart.lcl);
      under += 1 / rate < 185;
      sum += 100 * rate;
      squares += 1e4 * rate * rate;
    }
    double share = (double)under / n, mean = sum / n, se = sqrt((squares / n - mean * mean) / n);
    cr_expect_float_eq(share, listed[r][1], 0.005 + 4 * sqrt(share * (1 - share) / n),
                       "m = %zu: %.4f", m, share);
    cr_expect_float_eq(mean, listed[r][2], 0.005 + 4 * se, "m = %zu: %.4f +- %.4f", m, mean, se);
    spc_baselines baselines = {0};
    bt_error error = {0};
    if (m < BT_ALARM_LEAST_POINTS)
      continue;
    cr_assert_eq(spc_baselines_make(m, false, &baselines, &error), BT_OK);
    double known = 100 * spc_shewhart_average(&baselines, 3);
    cr_expect_float_eq(known, listed[r][2], 0.0051, "m = %zu: %.4f", m, known);
    spc_baselines_free(&baselines);
  }
}
