/* How sigma = MRbar / d2(2) of n points errs: the law of sigma-hat / sigma.
 *
 * MRbar is the mean of m = n - 1 moving ranges |d_i|, d_i the difference of neighbours: normal,
 * variance 2, correlation -1/2 between neighbours and 0 further apart. Its first three cumulants
 * are exact:
 *   mean      E|d| = 2/sqrt(pi)
 *   variance  [m V + 2 (m-1) C] / m^2                            V, C as in constants.c
 *   third     [m K1 + 6 (m-1) K2 + 6 (m-2) K3] / m^3
 * with the joint cumulants K1 of (|d1|,|d1|,|d1|), K2 of (|d1|,|d1|,|d2|) and K3 of
 * (|d1|,|d2|,|d3|). The law is the gamma distribution, scaled and moved, that has them.
 *
 * Source: moments of products of normal absolute values, Nabeya, Annals of the Institute of
 * Statistical Mathematics 3 (1951) and 4 (1952). Accuracy, by 200,000 simulated baselines: 10 %, 50
 * % and 90 % quantile 0.3 % from n = 8 up; 0.1 % and 99.9 % quantile 1 % from n = 30 up. A chi
 * distribution with the same spread is less skewed: what it gives for points beyond 4 sigma-hat is
 * 14 % off at n = 30, this is 1 % (tests/unit/spc/alarm.c).
 *
 * Screening by the 3-sigma limits, one pass at a time and at most one point in ten, takes away the
 * extremes of a laser that never changed too: about 3 points in 1,000, 1.1 % of sigma, and more of
 * it the smaller sigma-hat came out. No closed form is known; the law is again a gamma
 * distribution, its mean, spread and skewness smooth functions of n fitted to simulated baselines
 * (2,000,000 for n up to 60, 120 million points for the longer ones). Its skewness is the one that
 * gives the rate of points beyond 3 to 4.3 sigma-hat within 1 % for n = 30 to 500, rather than its
 * own third moment: the lower tail matters; the 90 % quantile of a rate over baselines of 30 is 6 %
 * off, of 60 3 %. Under 10 points none may be left out. */
#include "spc_estimate.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

/* E|d1 d2 d3| for three differences in a row: correlations -1/2, -1/2, 0. */
static double product_of_three(void) {
  double root = sqrt(0.5); /* of the determinant */
  double neighbours = asin(-0.5 / sqrt(0.75)), ends = asin(-1.0 / 3);
  return pow(2 * M_2_PI, 1.5) * (root - neighbours + ends / 4);
}

static double third_cumulant(double m) {
  const double mean = M_2_SQRTPI, square = 2;
  const double unit = sqrt(M_2_PI); /* E|u| of a unit normal; E|u|^3 is twice that */
  const double cube = 2 * M_SQRT2 * 2 * unit;
  const double pair = 4 * M_1_PI * (M_SQRT3 / 2 + M_PI / 12); /* E|d1 d2| */
  const double square_pair = 2 * M_SQRT2 * (0.25 * 2 + 0.75) * unit;
  double k1 = cube - 3 * mean * square + 2 * mean * mean * mean;
  double k2 = square_pair - square * mean - 2 * mean * pair + 2 * mean * mean * mean;
  double k3 = product_of_three() - mean * (2 * pair + mean * mean) + 2 * mean * mean * mean;
  return (m * k1 + 6 * (m - 1) * k2 + 6 * (m - 2) * k3) / (m * m * m);
}

enum { LEAST_SCREENED = 10 };

static spc_sigma_ratio law_of(double mean, double spread, double skew) {
  return (spc_sigma_ratio){.mean = mean,
                           .spread = spread,
                           .shape = 4 / (skew * skew),
                           .scale = spread * skew / 2,
                           .least = mean - 2 * spread / skew};
}

static spc_sigma_ratio screened_law(double n) {
  double root = sqrt(n), skew = (27 / (n + 8) - 0.2) / root;
  return law_of(0.98876 + 0.07 / n, (0.98 - 0.4 / (n + 7)) / root, GSL_MAX(skew, 0.05 / root));
}

spc_sigma_ratio spc_sigma_ratio_of(size_t n, bool screened) {
  if (screened && n >= LEAST_SCREENED)
    return screened_law((double)n);
  double spread = sqrt(1 / (2 * bt_moving_range_df(n)));
  double skew = third_cumulant((double)(n - 1)) / gsl_pow_3(M_2_SQRTPI * spread);
  return law_of(1, spread, skew);
}

/* Screening leaves out points on both sides, and what is left is a trimmed mean: of 1.5 % more
 * spread, by the same simulated baselines. */
double spc_centre_spread(size_t n, bool screened) {
  return (screened && n >= LEAST_SCREENED ? 1.015 : 1) / sqrt((double)n);
}

double spc_sigma_ratio_density(const spc_sigma_ratio *law, double ratio) {
  return gsl_ran_gamma_pdf(ratio - law->least, law->shape, law->scale);
}

/* Wilson and Hilferty, Proceedings of the National Academy of Sciences 17 (1931): the cube root of
 * a gamma variable is all but normal. */
double spc_sigma_ratio_quantile(const spc_sigma_ratio *law, double score) {
  double shape = law->shape;
  double ratio =
      law->least + law->scale * shape * gsl_pow_3(1 - 1 / (9 * shape) + score / (3 * sqrt(shape)));
  return GSL_MAX(ratio, 0);
}
