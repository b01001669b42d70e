/* Limits of T² of two components, at a false-alarm probability of 0.0027 a point. */
#include "../../unit/spc/shapes.h"
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { MOST = 100 };

/* A fit to m pairs that don't lie on one line: limits depend on m alone. */
static bt_vector fit(size_t m, bool from_differences) {
  double x[MOST], y[MOST];
  uint8_t use[MOST];
  cr_assert(m <= MOST);
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < m; i++) {
    x[i] = (double)(i * 7 % 5);
    y[i] = (double)(i * i % 7);
  }
  bt_vector vector;
  bt_error error = {0};
  cr_assert_eq(bt_vector_fit(x, y, use, m, from_differences, &vector, &error), BT_OK, "%s",
               error.text);
  return vector;
}

/* Pooled covariance: Phase I ((m-1)^2/m) Beta(1, (m-3)/2) and Phase II 2(m+1)(m-1)/(m(m-2)) F(2,
 * m-2), as in Tracy, Young and Mason, Journal of Quality Technology 24 (1992). Covariance from
 * successive differences: Phase I chi-square(2), Phase II ((m+1)/m) 2f/(f-1) F(2, f-1). Values
 * computed by two independent ways; the pooled ones confirmed with base R and by simulation. */
Test(vector, limits_of_both_phases) {
  static const struct {
    size_t m;
    double pooled1, pooled2, differences2;
  } row[] = {{20, 9.0491, 18.5399, 23.0642},
             {30, 9.9447, 15.7540, 18.0185},
             {50, 10.6848, 13.9674, 15.0657},
             {100, 11.2521, 12.8278, 13.3001}};
  for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
    bt_vector pooled = fit(row[i].m, false), differences = fit(row[i].m, true);
    cr_expect_eq(pooled.n, row[i].m);
    cr_expect_float_eq(pooled.phase1_limit, row[i].pooled1, 5e-5, "m = %zu", row[i].m);
    cr_expect_float_eq(pooled.phase2_limit, row[i].pooled2, 5e-5, "m = %zu", row[i].m);
    cr_expect_float_eq(differences.phase1_limit, 11.8290, 5e-5, "m = %zu", row[i].m);
    cr_expect_float_eq(differences.phase2_limit, row[i].differences2, 5e-5, "m = %zu", row[i].m);
    double m = (double)row[i].m;
    cr_expect_float_eq(pooled.df, m - 1, 0);
    cr_expect_float_eq(differences.df, 2 * (m - 1) * (m - 1) / (3 * m - 4), 1e-12);
  }
}

/* Share of a baseline's own pairs beyond its Phase I limit, of 200,000 pairs: exactly .0027 with a
 * pooled covariance; with one from successive differences chi-square(2) gives .0023 at m = 20, 30
 * and 50 and .0025 at 100 (computed, by simulation), a little on the careful side. Within 4
 * standard errors. */
Test(vector, phase_1_rates) {
  static const struct {
    size_t m;
    double differences;
  } row[] = {{20, .0023}, {30, .0023}, {50, .0023}, {100, .0025}};
  enum { PAIRS = 200000 };
  uint8_t use[MOST];
  memset(use, 1, sizeof use);
  for (size_t r = 0; r < sizeof row / sizeof *row; r++)
    for (int differences = 0; differences < 2; differences++) {
      uint64_t seed = 60 + r;
      size_t m = row[r].m, beyond = 0;
      for (size_t made = 0; made + m <= PAIRS; made += m) {
        double x[MOST], y[MOST];
        bt_vector vector;
        bt_error error;
        for (size_t i = 0; i < m; i++) {
          x[i] = shape_normal(&seed);
          y[i] = 3 * shape_normal(&seed) - x[i];
        }
        cr_assert_eq(bt_vector_fit(x, y, use, m, differences, &vector, &error), BT_OK);
        for (size_t i = 0; i < m; i++)
          beyond += bt_vector_t2(&vector, x[i], y[i]) > vector.phase1_limit;
      }
      double share = (double)beyond / (double)(PAIRS / m * m),
             listed = differences ? row[r].differences : .0027;
      cr_expect_float_eq(share, listed, 4 * sqrt(listed / PAIRS) + 5e-5,
                         "m = %zu, differences %d: %.5f", m, differences, share);
    }
}
