/* What estimated limits make of a run length, against simulated baselines.
 *
 * Individuals chart, limits of 3 sigma, MRbar/1.128 of m points: 10 %, 50 % and 90 % quantile of
 * its true ARL in control over up to 200,000 simulated baselines, computed elsewhere. Their own
 * accuracy is some per cent, in the upper quantiles of small m most; 1.128 in place of the exact d2
 * makes 0.2 % of it. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <stdio.h>

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
