/* Hotelling T² of an offset (x, y), p = 2: a pure number; means in the unit of x and y, covariances
 * in its square.
 *
 *   T² = d' S^-1 d,  d = (x, y) - mean          m pairs, d_i and v_i = (x, y)_(i+1) - (x, y)_i
 *   pooled            S = sum d d' / (m - 1)            degrees of freedom m - 1
 *   from differences  S = sum v v' / (2 (m - 1))        f = 2 (m-1)^2 / (3m - 4)
 *
 *   limits at a false-alarm probability a point   Phase I                          Phase II
 *   pooled            ((m-1)^2/m) Beta(1, (m-3)/2)     2 (m+1)(m-1)/(m (m-2)) F(2, m-2)
 *   from differences  chi-square(2)                    ((m+1)/m) 2f/(f-1) F(2, f-1)
 *
 * Requirements
 *   V1  Pairs that don't take part are bridged by the differences.
 *   V2  Phase I and Phase II have limits of their own: a pair of the baseline took part in mean and
 *       covariance, a new one didn't.
 *   V3  A covariance from successive differences is hardly widened by a drift in the baseline.
 *   V4  Pairs on one line (1 - r^2 under 1e-12, which rounding alone can leave) have no T².
 *
 * With two components all quantiles have closed forms: of Beta(1, b) it is 1 - a^(1/b), of F(2, n)
 * (n/2)(a^(-2/n) - 1), of chi-square(2) -2 ln a. The pooled limits are exact for normal pairs.
 * Those from differences are approximate: at 0.0027, Phase I gives .0023 to .0025 for m = 20 to
 * 100; the beta distribution with f, which some texts have there, gives .0015 down to .0002 and
 * isn't used. Sources: Tracy, Young and Mason, Journal of Quality Technology 24 (1992) for the
 * pooled limits; Holmes and Mergen, Quality Engineering 5 (1993) for the differences; f: Scholz and
 * Tosch, ASA Proceedings of Business and Economics (1994). Checked against computed values and
 * simulation (tests/published/spc/vector.c) and a plain loop (tests/unit/spc/vector.c). */
#include "beamtally/spc.h"
#include "spc_alarm.h"

#include <math.h>

#define CHART_PROBABILITY 0.0027
#define LEAST_PAIRS       8
#define ON_ONE_LINE       1e-12

/* Sums of squares and products. */
typedef struct vector_products {
  double xx, yy, xy;
} vector_products;

static void add_product(vector_products *products, double dx, double dy) {
  products->xx += dx * dx;
  products->yy += dy * dy;
  products->xy += dx * dy;
}

/* Count and means; distances from the first pair, not the values, are summed. */
static void find_means(const double *x, const double *y, const uint8_t *use, size_t n,
                       bt_vector *vector) {
  double first_x = 0, first_y = 0, sum_x = 0, sum_y = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue;
    if (vector->n++ == 0) {
      first_x = x[i];
      first_y = y[i];
    }
    sum_x += x[i] - first_x;
    sum_y += y[i] - first_y;
  }
  if (vector->n > 0) {
    vector->mean_x = first_x + sum_x / (double)vector->n;
    vector->mean_y = first_y + sum_y / (double)vector->n;
  }
}

static vector_products about_means(const double *x, const double *y, const uint8_t *use, size_t n,
                                   const bt_vector *vector) {
  vector_products products = {0};
  for (size_t i = 0; i < n; i++)
    if (use[i] != 0)
      add_product(&products, x[i] - vector->mean_x, y[i] - vector->mean_y);
  return products;
}

static vector_products of_differences(const double *x, const double *y, const uint8_t *use,
                                      size_t n) {
  vector_products products = {0};
  size_t before = BT_NONE;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue; /* V1 */
    if (before != BT_NONE)
      add_product(&products, x[i] - x[before], y[i] - y[before]);
    before = i;
  }
  return products;
}

/* Upper quantiles at probability a. */
static double upper_f2(double a, double n) {
  return n / 2 * expm1(-2 / n * log(a));
}

static double phase1_limit(const bt_vector *vector, double a) {
  double m = (double)vector->n;
  if (vector->from_differences)
    return -2 * log(a);
  return (m - 1) * (m - 1) / m * -expm1(2 / (m - 3) * log(a));
}

static double phase2_limit(const bt_vector *vector, double a) {
  double m = (double)vector->n, f = vector->df;
  if (vector->from_differences)
    return (m + 1) / m * 2 * f / (f - 1) * upper_f2(a, f - 1);
  return 2 * (m + 1) * (m - 1) / (m * (m - 2)) * upper_f2(a, m - 2);
}

void bt_vector_limits(bt_vector *vector) {
  double m = (double)vector->n;
  vector->df = vector->from_differences ? 2 * (m - 1) * (m - 1) / (3 * m - 4) : m - 1;
  vector->phase1_limit = phase1_limit(vector, CHART_PROBABILITY); /* V2 */
  vector->phase2_limit = phase2_limit(vector, CHART_PROBABILITY);
}

bt_status bt_vector_fit(const double *x, const double *y, const uint8_t *use, size_t n,
                        bool from_differences, bt_vector *vector, bt_error *error) {
  *vector = (bt_vector){.from_differences = from_differences};
  find_means(x, y, use, n, vector);
  if (vector->n < LEAST_PAIRS)
    return bt_fail(
        error, BT_INPUT,
        "T² of the offset needs at least %d checks with x and y, there are %zu; choose a "
        "longer baseline",
        LEAST_PAIRS, vector->n);

  double m = (double)vector->n;
  vector_products products =
      from_differences ? of_differences(x, y, use, n) : about_means(x, y, use, n, vector);
  double divisor = from_differences ? 2 * (m - 1) : m - 1; /* V3 */
  vector->var_x = products.xx / divisor;
  vector->var_y = products.yy / divisor;
  vector->cov_xy = products.xy / divisor;
  if (!isfinite(vector->mean_x) || !isfinite(vector->mean_y) || !isfinite(vector->var_x) ||
      !isfinite(vector->var_y) || !isfinite(vector->cov_xy))
    return bt_fail(error, BT_INPUT,
                   "the offsets are too large for T²; leave wild readings out of the baseline");
  double r = vector->cov_xy / (sqrt(vector->var_x) * sqrt(vector->var_y));
  if (!(1 - r * r > ON_ONE_LINE)) /* V4; r is no number where an axis never moved */
    return bt_fail(error, BT_INPUT,
                   "all offsets of the baseline lie on one line, so there is no T²; choose a "
                   "longer baseline, or log x and y with more digits");
  bt_vector_limits(vector);
  return BT_OK;
}

/* In units of each axis' sigma and with the part of v that u explains taken out, T² is a sum of two
 * squares: it never comes out negative. */
double bt_vector_t2(const bt_vector *vector, double x, double y) {
  double sigma_x = sqrt(vector->var_x), sigma_y = sqrt(vector->var_y);
  double r = vector->cov_xy / (sigma_x * sigma_y);
  double u = (x - vector->mean_x) / sigma_x, v = (y - vector->mean_y) / sigma_y;
  double rest = v - r * u;
  return u * u + rest * rest / (1 - r * r);
}

bt_status spc_vector_limit(const bt_vector *vector, double probability, double *limit,
                           bt_error *error) {
  *limit = 0;
  if (!(probability > 0 && probability < 1))
    return bt_fail(error, BT_USAGE, "a limit of T² needs a probability between 0 and 1, not %g",
                   probability);
  if (vector->n < LEAST_PAIRS)
    return bt_fail(error, BT_INPUT,
                   "a limit of T² needs at least %d checks with x and y, there are %zu; choose a "
                   "longer baseline",
                   LEAST_PAIRS, vector->n);
  *limit = phase2_limit(vector, probability);
  return BT_OK;
}
