/* Length of an offset that is bivariate normal, in the unit of x and y.
 *
 *   P(R <= r) = integral of phi((u - m1)/s1)/s1 [Phi((w - m2)/s2) - Phi((-w - m2)/s2)] du,
 *   |u| <= r, w = sqrt(r^2 - u^2)
 *
 * in the axes (u, v) of the covariance, s1 >= s2, where the two are independent. The substitution
 * u = r sin(angle) keeps the integrand smooth at the ends. With zero mean and s1 = s2 this is the
 * Rayleigh distribution, whose quantile s sqrt(-2 ln(1 - p)) is taken directly; with s1 = s2 alone
 * it is Rice's. The quantile is the root in r, between 0 and |mean| + s1 sqrt(-2 ln(1 - p)), which
 * can't be too small: R <= |mean| + s1 times a standard Rayleigh length.
 *
 * Why not mean + 3 s of the radius: a radius is skewed and never below 0. Accuracy: 8 digits for
 * probabilities up to 0.9999. Source: Rice, Bell System Technical Journal 24 (1945); the general
 * case is the definition. Checked against Rayleigh, Rice and general values computed by two other
 * ways, and by simulation (tests/published/spc/radius.c, tests/unit/spc/radius.c). */
#include "beamtally/spc.h"
#include "spc_radius.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_roots.h>

#define LIMIT_PROBABILITY 0.9973
#define LEAST_PAIRS       8

/* The distribution in its own axes, and what solving needs. */
typedef struct radius_law {
  double m1, m2, s1, s2; /* s1 >= s2 >= 0 */
  double r;              /* of the integral under way */
  double probability;
  int status; /* GSL's, of the last integral that failed */
  gsl_integration_cquad_workspace *space;
} radius_law;

static double between(double low, double high) {
  return gsl_cdf_ugaussian_P(high) - gsl_cdf_ugaussian_P(low);
}

static double density(double angle, void *parameters) {
  const radius_law *law = parameters;
  double u = law->r * sin(angle), w = law->r * cos(angle);
  return gsl_ran_ugaussian_pdf((u - law->m1) / law->s1) / law->s1 * w *
         between((-w - law->m2) / law->s2, (w - law->m2) / law->s2);
}

/* P(R <= r) less the wanted probability. */
static double excess(double r, void *parameters) {
  radius_law *law = parameters;
  law->r = r;
  if (law->s2 == 0) { /* all on a line at v = m2 */
    double half = r * r - law->m2 * law->m2;
    if (half < 0)
      return -law->probability;
    half = sqrt(half);
    return between((-half - law->m1) / law->s1, (half - law->m1) / law->s1) - law->probability;
  }
  /* Beyond 9 s1 from m1 nothing is left; a narrow peak must not be overlooked between nodes. */
  double low = GSL_MAX(-1, (law->m1 - 9 * law->s1) / r);
  double high = GSL_MIN(1, (law->m1 + 9 * law->s1) / r);
  if (low >= high)
    return -law->probability;
  gsl_function function = {.function = density, .params = law};
  double integral = 0;
  int status = gsl_integration_cquad(&function, asin(low), asin(high), 1e-13, 1e-11, law->space,
                                     &integral, NULL, NULL);
  if (status != GSL_SUCCESS)
    law->status = status;
  return integral - law->probability;
}

/* Brings the solver's bracket together. */
static int narrow(gsl_root_fsolver *solver) {
  int status = GSL_CONTINUE;
  for (int round = 0; status == GSL_CONTINUE && round < 200; round++) {
    status = gsl_root_fsolver_iterate(solver);
    if (status == GSL_SUCCESS)
      status = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                      gsl_root_fsolver_x_upper(solver), 0, 1e-12);
  }
  return status;
}

/* The root of `excess` in (0, top]; a status of GSL. */
static int solve(radius_law *law, double top, double *root) {
  int status = GSL_ENOMEM;
  gsl_function function = {.function = excess, .params = law};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  law->space = gsl_integration_cquad_workspace_alloc(200);
  if (solver == NULL || law->space == NULL)
    goto done;
  /* The top is an exact bound: a little above it the sign is certain in spite of rounding. */
  status = gsl_root_fsolver_set(solver, &function, top * 1e-9, top * (1 + 1e-6));
  if (status == GSL_SUCCESS)
    status = narrow(solver);
  if (status == GSL_SUCCESS)
    status = law->status;
  if (status == GSL_SUCCESS)
    *root = gsl_root_fsolver_root(solver);
done:
  if (solver != NULL)
    gsl_root_fsolver_free(solver);
  if (law->space != NULL)
    gsl_integration_cquad_workspace_free(law->space);
  return status;
}

/* Turns mean and covariance into the covariance's own axes. */
static void turn(double mean_x, double mean_y, double var_x, double var_y, double cov_xy,
                 radius_law *law) {
  double half = (var_x + var_y) / 2, apart = hypot((var_x - var_y) / 2, cov_xy);
  double angle = apart > 0 ? atan2(cov_xy, (var_x - var_y) / 2) / 2 : 0;
  law->m1 = mean_x * cos(angle) + mean_y * sin(angle);
  law->m2 = mean_y * cos(angle) - mean_x * sin(angle);
  law->s1 = sqrt(half + apart);
  law->s2 = sqrt(GSL_MAX(half - apart, 0));
  if (law->s2 < 1e-7 * law->s1)
    law->s2 = 0; /* below what the variances' own rounding leaves of it */
}

bt_status spc_radius_quantile(double mean_x, double mean_y, double var_x, double var_y,
                              double cov_xy, double probability, double *quantile,
                              bt_error *error) {
  *quantile = 0;
  if (!isfinite(mean_x) || !isfinite(mean_y) || !isfinite(var_x) || !isfinite(var_y) ||
      !isfinite(cov_xy) || var_x < 0 || var_y < 0 ||
      fabs(cov_xy) > sqrt(var_x) * sqrt(var_y) * (1 + 1e-12))
    return bt_fail(error, BT_INPUT,
                   "mean and covariance of the offset are not those of a distribution; look for "
                   "wild offsets in the baseline");
  if (!(probability > 0 && probability < 1))
    return bt_fail(error, BT_USAGE, "a quantile needs a probability between 0 and 1, not %g",
                   probability);

  radius_law law = {.probability = probability};
  turn(mean_x, mean_y, var_x, var_y, cov_xy, &law);
  double rayleigh = law.s1 * sqrt(-2 * log1p(-probability));
  double bias = hypot(mean_x, mean_y);
  if (law.s1 == 0 || (bias == 0 && law.s1 == law.s2)) {
    *quantile = bias + rayleigh;
    return BT_OK;
  }

  /* Solved for a distribution of unit size, so that tolerances hold in any unit. */
  double size = bias + rayleigh, root = 0;
  law.m1 /= size, law.m2 /= size, law.s1 /= size, law.s2 /= size;
  int status = solve(&law, 1, &root);
  if (status != GSL_SUCCESS)
    return bt_fail(error, status == GSL_ENOMEM ? BT_MEMORY : BT_SYSTEM,
                   "the limit of the offset's length could not be computed (%s); look for wild "
                   "offsets in the baseline",
                   gsl_strerror(status));
  *quantile = root * size;
  return BT_OK;
}

/* A power of two near the largest offset: divided by it nothing is rounded, and squares of offsets
 * however small don't come to 0. */
static double unit_of(const double *x, const double *y, const uint8_t *use, size_t n) {
  double largest = 0;
  int exponent = 0;
  for (size_t i = 0; i < n; i++)
    if (use[i] != 0)
      largest = fmax(largest, fmax(fabs(x[i]), fabs(y[i])));
  (void)frexp(largest, &exponent);
  return largest > 0 ? ldexp(1, exponent) : 1;
}

bt_status bt_radial_limit_fit(const double *x, const double *y, const uint8_t *use, size_t n,
                              bt_radial_limit *limit, bt_error *error) {
  *limit = (bt_radial_limit){0};
  double unit = unit_of(x, y, use, n);
  double first_x = 0, first_y = 0, sum_x = 0, sum_y = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    if (limit->n++ == 0) {
      first_x = x[i] / unit;
      first_y = y[i] / unit;
    }
    sum_x += x[i] / unit - first_x;
    sum_y += y[i] / unit - first_y;
  }
  if (limit->n < LEAST_PAIRS)
    return bt_fail(error, BT_INPUT,
                   "a limit for the offset's length needs at least %d checks with x and y, there "
                   "are %zu; choose a longer baseline",
                   LEAST_PAIRS, limit->n);

  limit->mean_x = first_x + sum_x / (double)limit->n;
  limit->mean_y = first_y + sum_y / (double)limit->n;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    double dx = x[i] / unit - limit->mean_x, dy = y[i] / unit - limit->mean_y;
    limit->var_x += dx * dx;
    limit->var_y += dy * dy;
    limit->cov_xy += dx * dy;
  }
  double freedom = (double)(limit->n - 1);
  limit->var_x /= freedom;
  limit->var_y /= freedom;
  limit->cov_xy /= freedom;
  bt_status status = spc_radius_quantile(limit->mean_x, limit->mean_y, limit->var_x, limit->var_y,
                                         limit->cov_xy, LIMIT_PROBABILITY, &limit->limit, error);
  limit->mean_x *= unit;
  limit->mean_y *= unit;
  limit->var_x *= unit * unit;
  limit->var_y *= unit * unit;
  limit->cov_xy *= unit * unit;
  limit->limit *= unit;
  return status;
}
