/* T² of the offset: edges, a plain loop, properties, and the false-alarm rate by simulation. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_alarm.h"

#include <criterion/criterion.h>
#include <float.h>
#include <math.h>
#include <string.h>

/* The second component of a shape's pairs: another order of the same values, and something that
 * moves in every shape. */
static void second_component(const shape *at, double *y) {
  for (size_t i = 0; i < at->n; i++)
    y[i] = 0.5 * at->value[i] + at->value[(i * 7 + 3) % at->n] + (double)(i * 5 % 11);
}

Test(vector, under_eight_pairs_are_refused) {
  static const double x[] = {1, 3, 2, 5, 4, 9, 0, 2}, y[] = {2, 1, 0, 2, 1, 1, 3, 0};
  static const uint8_t seven[] = {1, 1, 1, 1, 0, 1, 1, 1}, all[] = {1, 1, 1, 1, 1, 1, 1, 1};
  bt_vector vector;
  bt_error error = {0};
  cr_expect_eq(bt_vector_fit(x, y, seven, 8, false, &vector, &error), BT_INPUT);
  cr_expect(strstr(error.text, "there are 7") != NULL, "%s", error.text);
  cr_expect_eq(bt_vector_fit(x, y, all, 0, true, &vector, NULL), BT_INPUT);
  double limit = 1;
  cr_expect_eq(spc_vector_limit(&vector, 0.01, &limit, &error), BT_INPUT);
  cr_expect_eq(limit, 0);
  cr_expect_eq(bt_vector_fit(x, y, all, 8, false, &vector, &error), BT_OK);
  cr_expect_eq(vector.n, 8);
}

Test(vector, V4_pairs_on_one_line_are_refused) {
  double x[12], y[12];
  uint8_t use[12];
  bt_vector vector;
  bt_error error;
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 12; i++) {
    x[i] = 0.1 * (double)(i * 5 % 12);
    y[i] = 0.7 - 0.3 * x[i];
  }
  cr_expect_eq(bt_vector_fit(x, y, use, 12, false, &vector, &error), BT_INPUT);
  cr_expect_eq(bt_vector_fit(x, y, use, 12, true, &vector, &error), BT_INPUT);
  for (size_t i = 0; i < 12; i++) /* what rounding can leave, and what it can't */
    y[i] = 0.7 - 0.3 * x[i] + (i % 2 == 0 ? 1e-8 : -1e-8);
  cr_expect_eq(bt_vector_fit(x, y, use, 12, false, &vector, &error), BT_INPUT);
  for (size_t i = 0; i < 12; i++)
    y[i] = 0.7 - 0.3 * x[i] + (i % 2 == 0 ? 1e-5 : -1e-5);
  cr_expect_eq(bt_vector_fit(x, y, use, 12, false, &vector, &error), BT_OK);
  for (size_t i = 0; i < 12; i++)
    y[i] = 0.3; /* an axis that never moves */
  cr_expect_eq(bt_vector_fit(x, y, use, 12, false, &vector, &error), BT_INPUT);
  y[4] = 0.30001;
  cr_expect_eq(bt_vector_fit(x, y, use, 12, false, &vector, &error), BT_OK);
}

Test(vector, values_too_large_are_refused) {
  double x[9] = {DBL_MAX, -DBL_MAX, 1, 2, 3, 4, 5, 6, 7}, y[9] = {1, 2, 1, 3, 1, 2, 5, 2, 1};
  uint8_t use[9];
  bt_vector vector;
  bt_error error;
  memset(use, 1, sizeof use);
  cr_expect_eq(bt_vector_fit(x, y, use, 9, false, &vector, &error), BT_INPUT);
  cr_expect_eq(bt_vector_fit(y, x, use, 9, true, &vector, &error), BT_INPUT);
}

/* What is frozen has n, kind, means and covariance: the rest follows as from a fit. */
Test(vector, limits_of_a_frozen_vector) {
  static const double x[] = {1, 3, 2, 5, 4, 9, 0, 2, 6}, y[] = {2, 1, 0, 2, 1, 1, 3, 0, 1};
  static const uint8_t use[] = {1, 1, 1, 1, 1, 1, 1, 1, 1};
  for (int differences = 0; differences < 2; differences++) {
    bt_vector fitted;
    bt_error error;
    cr_assert_eq(bt_vector_fit(x, y, use, 9, differences, &fitted, &error), BT_OK);
    bt_vector frozen = {.n = 9, .from_differences = differences};
    bt_vector_limits(&frozen);
    cr_expect(frozen.df == fitted.df && frozen.df > 0);
    cr_expect(frozen.phase1_limit == fitted.phase1_limit && frozen.phase1_limit > 0);
    cr_expect(frozen.phase2_limit == fitted.phase2_limit && frozen.phase2_limit > 0);
  }
}

Test(vector, a_limit_needs_a_probability) {
  bt_vector vector = {.n = 20, .df = 19};
  double limit;
  bt_error error;
  cr_expect_eq(spc_vector_limit(&vector, 0, &limit, &error), BT_USAGE);
  cr_expect_eq(spc_vector_limit(&vector, 1, &limit, &error), BT_USAGE);
  cr_expect_eq(spc_vector_limit(&vector, NAN, &limit, &error), BT_USAGE);
  double before = INFINITY;
  for (double p = 1e-7; p < 1; p *= 3) {
    cr_assert_eq(spc_vector_limit(&vector, p, &limit, &error), BT_OK);
    cr_expect(limit > 0 && limit < before, "p %g: %g", p, limit);
    before = limit;
  }
}

Test(vector, V1_plain_loop_agrees_over_all_shapes) {
  static shape at;
  size_t fitted = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double y[SHAPE_MOST];
    long double kx[SHAPE_MOST], ky[SHAPE_MOST], mean_x = 0, mean_y = 0;
    size_t n = 0;
    second_component(&at, y);
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0) {
        kx[n] = at.value[i];
        ky[n++] = y[i];
      }
    for (size_t i = 0; i < n; i++) {
      mean_x += kx[i] / n;
      mean_y += ky[i] / n;
    }
    for (int differences = 0; differences < 2; differences++) {
      long double xx = 0, yy = 0, xy = 0;
      for (size_t i = 0; i < n; i++) {
        if (differences && i == 0)
          continue;
        long double dx = differences ? kx[i] - kx[i - 1] : kx[i] - mean_x;
        long double dy = differences ? ky[i] - ky[i - 1] : ky[i] - mean_y;
        long double divisor = (n - 1) * (differences ? 2.0L : 1.0L);
        xx += dx * dx / divisor;
        yy += dy * dy / divisor;
        xy += dx * dy / divisor;
      }
      bt_vector vector;
      bt_error error;
      bool flat = !(xx * yy - xy * xy > 1e-9L);
      bt_status status = bt_vector_fit(at.value, y, at.use, at.n, differences, &vector, &error);
      cr_assert_eq(status, n < 8 || flat ? BT_INPUT : BT_OK, "%s %zu: %s", at.name, s, error.text);
      if (status != BT_OK)
        continue;
      fitted++;
      cr_expect_float_eq(vector.mean_x, (double)mean_x, 1e-12);
      cr_expect_float_eq(vector.mean_y, (double)mean_y, 1e-12);
      cr_expect_float_eq(vector.var_x, (double)xx, 1e-11);
      cr_expect_float_eq(vector.var_y, (double)yy, 1e-11);
      cr_expect_float_eq(vector.cov_xy, (double)xy, 1e-11);
      for (size_t i = 0; i < at.n; i++) {
        long double dx = at.value[i] - mean_x, dy = y[i] - mean_y, det = xx * yy - xy * xy;
        double plain = (double)((dx * dx * yy - 2 * dx * dy * xy + dy * dy * xx) / det);
        double found = bt_vector_t2(&vector, at.value[i], y[i]);
        cr_expect_float_eq(found, plain, 1e-9 * (1 + plain), "%s %zu, pair %zu", at.name, s, i);
      }
    }
  }
  cr_expect_geq(fitted, 100, "%zu", fitted);
}

/* The T² of the pairs that a pooled covariance comes from add up to 2 (m - 1), exactly. */
Test(vector, pooled_t2_add_up) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double y[SHAPE_MOST], sum = 0;
    bt_vector vector;
    bt_error error;
    second_component(&at, y);
    if (bt_vector_fit(at.value, y, at.use, at.n, false, &vector, &error) != BT_OK)
      continue;
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0)
        sum += bt_vector_t2(&vector, at.value[i], y[i]);
    double m = (double)vector.n;
    cr_expect_float_eq(sum, 2 * (m - 1), 1e-8 * m, "%s %zu: %.9f", at.name, s, sum);
  }
}

/* T² does not depend on the unit, the zero or the direction of the axes. */
Test(vector, turned_and_moved_axes) {
  double x[30], y[30], u[30], v[30];
  uint8_t use[30];
  uint64_t seed = 5;
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 30; i++) {
    x[i] = 12 + 3 * shape_normal(&seed);
    y[i] = -5 + 0.4 * x[i] + 2 * shape_normal(&seed);
    u[i] = 1000 * (0.8 * x[i] + 0.6 * y[i]) + 4000;
    v[i] = 0.25 * (0.8 * y[i] - 0.6 * x[i]) - 70;
  }
  for (int differences = 0; differences < 2; differences++) {
    bt_vector of_xy, of_uv;
    bt_error error;
    cr_assert_eq(bt_vector_fit(x, y, use, 30, differences, &of_xy, &error), BT_OK);
    cr_assert_eq(bt_vector_fit(u, v, use, 30, differences, &of_uv, &error), BT_OK);
    for (size_t i = 0; i < 30; i++)
      cr_expect_float_eq(bt_vector_t2(&of_uv, u[i], v[i]), bt_vector_t2(&of_xy, x[i], y[i]), 1e-8);
  }
}

/* V3: a step in the middle of the baseline widens a pooled covariance, hardly one of differences.
 */
Test(vector, V3_differences_are_hardly_widened_by_a_step) {
  double x[60], y[60];
  uint8_t use[60];
  uint64_t seed = 9;
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 60; i++) {
    x[i] = shape_normal(&seed) + (i < 30 ? 0 : 4);
    y[i] = shape_normal(&seed);
  }
  bt_vector pooled, differences;
  bt_error error;
  cr_assert_eq(bt_vector_fit(x, y, use, 60, false, &pooled, &error), BT_OK);
  cr_assert_eq(bt_vector_fit(x, y, use, 60, true, &differences, &error), BT_OK);
  cr_expect_gt(pooled.var_x, 4);
  cr_expect_lt(differences.var_x, 1.8);
}

/* Share of points beyond both limits, over 4,000 baselines of 20 pairs, at 0.05: exact for a pooled
 * covariance, within 4 standard errors; from differences within a tenth of itself more. */
Test(vector, false_alarm_rate_by_simulation) {
  enum { M = 20, RUNS = 4000, NEW = 20 };
  uint8_t use[M];
  memset(use, 1, sizeof use);
  for (int differences = 0; differences < 2; differences++) {
    uint64_t seed = 17;
    size_t beyond = 0;
    for (size_t run = 0; run < RUNS; run++) {
      double x[M], y[M], limit = 0;
      bt_vector vector;
      bt_error error;
      for (size_t i = 0; i < M; i++) {
        x[i] = shape_normal(&seed);
        y[i] = 0.5 * x[i] + shape_normal(&seed);
      }
      cr_assert_eq(bt_vector_fit(x, y, use, M, differences, &vector, &error), BT_OK);
      cr_assert_eq(spc_vector_limit(&vector, 0.05, &limit, &error), BT_OK);
      for (size_t i = 0; i < NEW; i++) {
        double new_x = shape_normal(&seed);
        double new_y = 0.5 * new_x + shape_normal(&seed);
        beyond += bt_vector_t2(&vector, new_x, new_y) > limit;
      }
    }
    /* Points of one baseline share its limits: their share varies about twice as much as that of
     * independent points. */
    double share = (double)beyond / (RUNS * NEW);
    double error_of_share = 2 * sqrt(0.05 * 0.95 / (RUNS * NEW));
    cr_expect_float_eq(share, 0.05, 4 * error_of_share + (differences ? 0.005 : 0), "%.5f", share);
  }
}
