/* Constants of samples of n independent normal values, n = 2..25, and the worth of a mean moving
 * range. All are pure numbers, in units of the values' sigma.
 *
 *   P(R <= r) = n * integral of phi(x) [Phi(x + r) - Phi(x)]^(n-1) dx       range R of the sample
 *   d2 = E R            = integral over r > 0 of P(R > r) dr
 *   d3 = sd of R        , E R^2 = integral over r > 0 of 2 r P(R > r) dr
 *   c4 = E s            = sqrt(2 / (n-1)) Gamma(n/2) / Gamma((n-1)/2)
 *   D4 = 1 + 3 d3 / d2
 *
 * n = 2, which every moving range uses, has closed forms: d2 = 2/sqrt(pi), d3 = sqrt(2 - 4/pi).
 * Source: the definitions; Tippett, "On the extreme individuals and the range of samples taken from
 * a normal population", Biometrika 17 (1925). Accuracy: 1e-10. Checked against the closed forms at
 * n = 3, values of an independent quadrature at 5, 10 and 25, and an integration of another form
 * of d2 (tests/published/spc/constants.c). */
#include "beamtally/spc.h"
#include "spc_constants.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#define SMALLEST 2
#define LARGEST  25

/* The range of 25 values exceeds this with a probability below 1e-20. */
#define WIDEST_RANGE 14.0

/* P(R > r). The trapezoidal sum converges geometrically for an analytic integrand that vanishes at
 * both ends: at this step its error is below rounding. */
static double range_exceeds(double r, int n) {
  const double step = 1.0 / 16, end = 9.0;
  double sum = 0;
  for (double x = -end; x <= end; x += step)
    sum += gsl_ran_ugaussian_pdf(x) *
           gsl_pow_int(gsl_cdf_ugaussian_P(x + r) - gsl_cdf_ugaussian_P(x), n - 1);
  return 1 - n * step * sum;
}

/* Integrands over r; the parameter is n. */
static double mean_part(double r, void *n) {
  return range_exceeds(r, *(int *)n);
}

static double square_part(double r, void *n) {
  return 2 * r * range_exceeds(r, *(int *)n);
}

static double integrate(double (*part)(double, void *), int n) {
  gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(64);
  if (table == NULL)
    return NAN;
  gsl_function function = {.function = part, .params = &n};
  double integral = gsl_integration_glfixed(&function, 0, WIDEST_RANGE, table);
  gsl_integration_glfixed_table_free(table);
  return integral;
}

double spc_d2(int n) {
  if (n < SMALLEST || n > LARGEST)
    return NAN;
  return n == 2 ? M_2_SQRTPI : integrate(mean_part, n);
}

double spc_d3(int n) {
  if (n < SMALLEST || n > LARGEST)
    return NAN;
  if (n == 2)
    return sqrt(2 - 4 * M_1_PI);
  double mean = spc_d2(n);
  return sqrt(integrate(square_part, n) - mean * mean);
}

double spc_c4(int n) {
  if (n < SMALLEST || n > LARGEST)
    return NAN;
  return sqrt(2.0 / (n - 1)) * tgamma(n / 2.0) / tgamma((n - 1) / 2.0);
}

double spc_big_d4(int n) {
  return 1 + 3 * spc_d3(n) / spc_d2(n);
}

/* Effective degrees of freedom of sigma = MRbar / d2(2) from n values: those of the chi
 * distribution with the same coefficient of variation, nu = E^2 / (2 Var).
 *
 * With m = n - 1 moving ranges, Var MRbar = (m V + 2 (m-1) C) / m^2. V = 2 - 4/pi. Neighbouring
 * ranges share a value, so their differences are normal with variance 2 and correlation -1/2; with
 * E|uv| = (2/pi) (sqrt(1-r^2) + r asin r) for unit normals (Nabeya 1951) their covariance is
 * C = (4/pi) (sqrt(3)/2 + pi/12 - 1). Ranges further apart are independent. */
double bt_moving_range_df(size_t n) {
  if (n < 2)
    return 0;
  const double mean = M_2_SQRTPI;
  const double variance = 2 - 4 * M_1_PI;
  const double covariance = 4 * M_1_PI * (M_SQRT3 / 2 + M_PI / 12 - 1);
  double m = (double)(n - 1);
  return mean * mean * m * m / (2 * (m * variance + 2 * (m - 1) * covariance));
}
