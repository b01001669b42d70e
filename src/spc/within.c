/* Within-day spread: chart of the standard deviation s of days with several checks, in the unit of
 * the values.
 *
 *   sigma = mean over days of s / c4(n)         E s = c4(n) sigma for n normal values
 *   limits of s: (c4(n) -/+ 3 sqrt(1 - c4(n)^2)) sigma, the lower one never below 0
 *
 * Requirements
 *   W1  Only days that take part and have two checks or more count, each with the same weight.
 *   W2  A day with over 25 checks counts as one of 25, where c4 differs from 1 by 1 %.
 *   W3  Where there is no such chart, or for a day of a single check, all limits are 0.
 *
 * Source: the definition of c4 (constants.c); Montgomery, Introduction to Statistical Quality
 * Control, chapter 6, charts of x-bar and s with a variable sample size. Checked against its
 * tabled factors B5 and B6 (tests/published/spc/within.c) and a plain loop
 * (tests/unit/spc/within.c). */
#include "beamtally/spc.h"
#include "spc_constants.h"

#include <math.h>

#define MOST_CHECKS 25

static double mean_s(uint32_t checks) {
  return spc_c4(checks < MOST_CHECKS ? (int)checks : MOST_CHECKS); /* W2 */
}

bt_within bt_within_fit(const double *s, const uint32_t *checks, const uint8_t *use, size_t n) {
  bt_within within = {0};
  double sum = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0 || checks[i] < 2)
      continue; /* W1 */
    sum += s[i] / mean_s(checks[i]);
    within.days++;
  }
  if (within.days > 0)
    within.sigma = sum / (double)within.days;
  return within;
}

void bt_within_limits(const bt_within *within, uint32_t checks, double *centre, double *lcl,
                      double *ucl) {
  *centre = *lcl = *ucl = 0;
  if (within->days == 0 || checks < 2)
    return; /* W3 */
  double c4 = mean_s(checks), spread = 3 * sqrt(1 - c4 * c4);
  *centre = c4 * within->sigma;
  *lcl = fmax(0, c4 - spread) * within->sigma;
  *ucl = (c4 + spread) * within->sigma;
}
