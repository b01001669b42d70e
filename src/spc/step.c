/* Step test: is there a date at which the mean of n values changes? F and p are pure numbers.
 *
 *   F = max over 2 <= k <= n - 2 of F_k       F_k = (n - 2) B_k / (T - B_k)
 *   B_k = n S_k^2 / (k (n - k)),  S_k = sum of the first k (x - mean),  T = sum of (x - mean)^2
 *
 * Each F_k alone is the F(1, n-2) of comparing two groups; the date was searched for, so the usual
 * p of the largest one, p1, is far too small. Its own is written as p = 1 - (1 - p1)^m, where m
 * says how many independent splits the search amounts to. m changes slowly with n and p1: its
 * logarithm is interpolated between the values below, over the logarithms of n and p1.
 *
 * Requirements
 *   S1  Two values at least stand on either side: one wild value at an end is no step.
 *   S2  F stays finite where a step leaves no scatter at all: T - B is taken as 1e-12 T at least.
 *   S3  All values alike: F is 0 and p is 1.
 *   S4  m is 1 at least and at most the number of splits, n - 3 (Bonferroni). Past the table's
 *       smallest p1 it goes on as between the last two columns; past n = 1000 as between the last
 *       two rows, which keeps p on the careful side.
 *
 * Accuracy of p for n = 4 to 1000: 0.01 above 0.2, 3 % of itself from there down to 0.01 (where
 * `drifting` is decided), 20 % at 0.001. The smallest shift that is found: 2 %, for a step in the
 * middle.
 * Sources: Hawkins, Journal of the American Statistical Association 72 (1977), for the test;
 * Worsley, same journal 74 (1979), for its p. The table is simulated by
 * tests/published/spc/step_table.R. Checked against the Nile series and, by simulation of another
 * generator, against published quantiles and this table (tests/published/spc/stability.c,
 * tests/unit/spc/step.c). */
#include "spc_step.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#define LEAST_SIDE    2
#define LEAST_SCATTER 1e-12

enum { LEVELS = 8 };

/* p1 of the columns of m. */
static const double level[LEVELS] = {0.2, 0.1, 0.03, 0.01, 0.003, 0.001, 3e-4, 1e-4};

/* Rows of step_table.R: n, m at each level, and the noncentrality sqrt(n)/2 d of the shift d that
 * is found with a probability of 0.8 at p < 0.01, and at p < 0.005 (this column with fewer runs, as
 * told there). */
static const struct step_row {
  size_t n;
  double m[LEVELS];
  double noncentrality[2];
} table[] = {
    {4, {0.999, 1.002, 1.002, 1.002, 1.002, 0.988, 1.018, 1.060}, {12.684, 17.833}},
    {5, {1.816, 1.920, 2.022, 2.013, 1.996, 1.999, 2.014, 1.950}, {9.560, 12.134}},
    {6, {2.470, 2.623, 2.937, 3.022, 3.000, 2.983, 3.019, 3.000}, {7.841, 9.383}},
    {7, {3.040, 3.197, 3.623, 3.899, 3.977, 3.938, 3.878, 4.039}, {7.029, 8.204}},
    {8, {3.560, 3.704, 4.214, 4.638, 4.955, 4.981, 4.963, 5.106}, {6.402, 7.328}},
    {10, {4.446, 4.555, 5.178, 5.828, 6.403, 6.732, 6.901, 7.037}, {5.719, 6.391}},
    {12, {5.176, 5.270, 5.969, 6.755, 7.503, 8.050, 8.468, 8.588}, {5.308, 5.880}},
    {16, {6.337, 6.409, 7.211, 8.216, 9.293, 10.187, 11.144, 11.982}, {4.914, 5.380}},
    {20, {7.255, 7.316, 8.239, 9.407, 10.669, 11.812, 13.055, 13.889}, {4.673, 5.066}},
    {25, {8.143, 8.210, 9.224, 10.570, 12.115, 13.544, 15.013, 15.852}, {4.529, 4.902}},
    {32, {9.168, 9.223, 10.392, 11.935, 13.779, 15.521, 17.476, 18.977}, {4.433, 4.750}},
    {40, {10.072, 10.151, 11.469, 13.189, 15.370, 17.210, 19.046, 20.976}, {4.351, 4.647}},
    {50, {10.990, 11.084, 12.580, 14.535, 16.865, 18.992, 21.228, 23.552}, {4.295, 4.570}},
    {64, {12.020, 12.114, 13.728, 15.912, 18.565, 20.976, 23.613, 25.937}, {4.248, 4.511}},
    {80, {12.992, 13.079, 14.815, 17.230, 20.234, 23.083, 26.120, 28.589}, {4.223, 4.477}},
    {100, {13.866, 14.003, 15.939, 18.598, 21.845, 24.839, 28.271, 30.077}, {4.222, 4.427}},
    {140, {15.317, 15.479, 17.696, 20.732, 24.493, 28.085, 32.085, 34.408}, {4.190, 4.400}},
    {200, {16.935, 17.090, 19.615, 23.099, 27.494, 31.939, 36.589, 41.266}, {4.186, 4.404}},
    {320, {18.960, 19.138, 22.059, 26.007, 30.980, 35.960, 41.602, 45.618}, {4.192, 4.417}},
    {500, {20.783, 21.074, 24.396, 28.797, 34.466, 40.448, 48.026, 54.512}, {4.207, 4.432}},
    {1000, {24.137, 24.330, 28.186, 33.543, 40.794, 48.361, 56.727, 64.605}, {4.231, 4.449}},
};

enum { ROWS = sizeof table / sizeof *table };

double spc_step_largest(const double *value, size_t n, size_t *at) {
  double distance = 0, total = 0, sum = 0, best = 0;
  *at = 0;
  for (size_t i = 0; i < n; i++)
    distance += value[i] - value[0];
  double mean = value[0] + distance / (double)n;
  for (size_t i = 0; i < n; i++)
    total += (value[i] - mean) * (value[i] - mean);
  if (total == 0)
    return 0; /* S3 */

  for (size_t k = 1; k + LEAST_SIDE <= n; k++) {
    sum += value[k - 1] - mean;
    double explained = sum * sum * ((double)n / ((double)k * (double)(n - k)));
    if (k >= LEAST_SIDE && explained > best) { /* S1 */
      best = explained;
      *at = k;
    }
  }
  return (double)(n - 2) * best / fmax(total - best, LEAST_SCATTER * total); /* S2 */
}

/* The row from which to interpolate to n, and how far n is towards the next: above 1 past the last
 * one. */
static size_t row_before(size_t n, double *part) {
  size_t row = 0;
  while (row + 2 < ROWS && table[row + 1].n <= n)
    row++;
  double from = log((double)table[row].n), to = log((double)table[row + 1].n);
  *part = (log((double)n) - from) / (to - from);
  return row;
}

/* ln m at a column. */
static double log_m(size_t row, double part, size_t column) {
  double from = log(table[row].m[column]), to = log(table[row + 1].m[column]);
  return from + part * (to - from);
}

double spc_step_p(double f, size_t n) {
  if (!(f > 0) || n < SPC_STEP_LEAST)
    return 1; /* S3 */
  double p1 = 2 * gsl_cdf_tdist_Q(sqrt(f), (double)(n - 2));
  if (p1 == 0)
    return 0;
  double part = 0;
  size_t row = row_before(n, &part), column = 0;
  while (column + 2 < LEVELS && level[column + 1] >= p1)
    column++;
  double from = log_m(row, part, column), to = log_m(row, part, column + 1);
  double towards = log(p1 / level[column]) / log(level[column + 1] / level[column]);
  double m = exp(from + fmax(towards, 0) * (to - from));
  m = fmin(fmax(m, 1), (double)(n - 3)); /* S4 */
  return p1 < 1 ? -expm1(m * log1p(-p1)) : 1;
}

double spc_step_detectable(size_t n, int tests) {
  double part = 0;
  size_t row = row_before(n, &part), column = tests > 1;
  double from = table[row].noncentrality[column], to = table[row + 1].noncentrality[column];
  return 2 * (from + fmin(part, 1) * (to - from)) / sqrt((double)n);
}
