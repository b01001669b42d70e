/* Capability indices against a tolerance from `low` to `high`: pure numbers.
 *
 *   Cp  = (high - low) / (6 sigma)                 Pp  the same with s
 *   Cpk = min(high - mean, mean - low) / (3 sigma) Ppk the same with s
 *   sigma: within (moving ranges of the baseline), nu = within_df; s: overall, nu = n - 1
 *
 *   95 % interval of Cp, Pp:    index times sqrt(chi2(nu; .025)/nu) .. sqrt(chi2(nu; .975)/nu)
 *   of Cpk, Ppk, C:             C -/+ 1.960 sqrt(1/(9n) + C^2/(2 nu))
 *
 * Requirements
 *   Q1  A one-sided tolerance has only Cpk and Ppk, from its one limit.
 *   Q2  An index is given only where its sigma is above 0 and was estimated (nu above 0): a sigma
 *       that somebody stated has no interval.
 *   Q3  A mean outside the tolerance makes Cpk and Ppk negative; they are given as they are.
 *   Q4  Where days have several readings, which are alike, intervals count days.
 *
 * The interval of Pp is exact for independent normal values. That of Cp is approximate, since MRbar
 * is only nearly a multiple of a chi: nu is its effective number of degrees of freedom, n - 1 would
 * be too many. The one of Cpk and Ppk is the normal approximation, a little too narrow for n under
 * about 30. In Cpk, n is that of the mean's readings. Sources: NIST/SEMATECH e-Handbook, 7.1.6;
 * Bissell, Applied Statistics 39 (1990), for the variance. Checked against both
 * (tests/published/spc/capability.c) and a plain evaluation and coverage by simulation
 * (tests/unit/spc/capability.c). */
#include "beamtally/spc.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#define TAIL 0.025 /* either end of a 95 % interval */

/* The width of the tolerance in sigma. */
static bt_index width_index(const bt_tolerance *tolerance, double sigma, double nu) {
  if (!tolerance->has_low || !tolerance->has_high) /* Q1 */
    return (bt_index){0};
  double index = (tolerance->high - tolerance->low) / (6 * sigma);
  return (bt_index){.given = true,
                    .value = index,
                    .low = index * sqrt(gsl_cdf_chisq_Pinv(TAIL, nu) / nu),
                    .high = index * sqrt(gsl_cdf_chisq_Qinv(TAIL, nu) / nu)};
}

/* The room to the nearer limit in sigma. */
static bt_index nearer_index(const bt_tolerance *tolerance, double mean, double sigma, double n,
                             double nu) {
  double room = INFINITY;
  if (tolerance->has_low)
    room = fmin(room, mean - tolerance->low);
  if (tolerance->has_high)
    room = fmin(room, tolerance->high - mean);
  double index = room / (3 * sigma); /* Q3 */
  double half = gsl_cdf_ugaussian_Qinv(TAIL) * sqrt(1 / (9 * n) + index * index / (2 * nu));
  return (bt_index){.given = true, .value = index, .low = index - half, .high = index + half};
}

void bt_capability_find(const bt_tolerance *tolerance, bt_capability *capability) {
  const bt_index none = {0};
  capability->cp = capability->cpk = capability->pp = capability->ppk = none;
  if (tolerance == NULL || (!tolerance->has_low && !tolerance->has_high) || capability->n == 0)
    return;
  bool alike = capability->days > 0 && capability->days < capability->n; /* Q4 */
  double n = (double)(alike ? capability->days : capability->n), mean = capability->mean;
  double within = capability->within_sigma, within_df = capability->within_df;
  if (within > 0 && within_df > 0) { /* Q2 */
    capability->cp = width_index(tolerance, within, within_df);
    capability->cpk = nearer_index(tolerance, mean, within, n, within_df);
  }
  if (capability->overall_s > 0 && n > 1) {
    capability->pp = width_index(tolerance, capability->overall_s, n - 1);
    capability->ppk = nearer_index(tolerance, mean, capability->overall_s, n, n - 1);
  }
}
