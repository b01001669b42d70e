/* How uncertain the sigma of few moving ranges is, and the limits with it; in the unit of the
 * values.
 *
 *   sigma sqrt(nu / chi2(0.975, nu)) .. sigma sqrt(nu / chi2(0.025, nu))       95 % interval
 *   limits: centre -/+ 3 times either end
 *
 * nu is the effective degrees of freedom of MRbar/d2 (individuals.c), as though sigma² were a
 * chi-square over them: approximate. Of 95 % intervals so made 94 to 96 % hold the true sigma for
 * n = 8 to 60 normal values (simulated, tests/unit/spc/uncertainty.c). The centre's own
 * uncertainty, sigma / sqrt(n), is left out: it is small beside three times that of sigma. Source:
 * the chi-square interval of a standard deviation, NIST/SEMATECH e-Handbook 7.2.3.1, with the
 * degrees of freedom of Patnaik, Biometrika 37 (1950), for ranges. */
#include "beamtally/spc.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

bt_uncertainty bt_limits_uncertainty(const bt_individuals *chart) {
  double nu = chart->df;
  if (chart->n == 0 || !(nu > 0) || !(chart->sigma > 0))
    return (bt_uncertainty){0};
  double low = chart->sigma * sqrt(nu / gsl_cdf_chisq_Pinv(0.975, nu));
  double high = chart->sigma * sqrt(nu / gsl_cdf_chisq_Pinv(0.025, nu));
  return (bt_uncertainty){
      .given = true,
      .sigma_low = low,
      .sigma_high = high,
      .lcl_low = chart->centre - 3 * high,
      .lcl_high = chart->centre - 3 * low,
      .ucl_low = chart->centre + 3 * low,
      .ucl_high = chart->centre + 3 * high,
  };
}
