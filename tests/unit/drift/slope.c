/* The within-fill slope: edges by hand, ordinary least squares on the full design, simulation. */
#include "beamtally/drift.h"
#include "beamtally/spc.h"
#include "histories.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>

enum { MOST = 60, FILLS_MOST = 12 };

typedef struct data {
  size_t n;
  double value[MOST], age[MOST];
  int32_t stretch[MOST];
  uint8_t known[MOST], use[MOST];
} data;

static bt_slope fit(const data *of) {
  bt_slope slope;
  bt_error error = {0};
  cr_assert_eq(bt_slope_fit(of->value, of->age, of->stretch, of->stretch, of->known, of->use, of->n,
                            &slope, &error),
               BT_OK, "%s", error.text);
  return slope;
}

/* `fills` stretches of `each` values at ages 0, 1, 2 ... with their own levels and that slope. */
static data sawtooth(size_t fills, size_t each, double per_day) {
  data made = {.n = fills * each};
  for (size_t i = 0; i < made.n; i++) {
    made.age[i] = (double)(i % each);
    made.stretch[i] = (int32_t)(i / each);
    made.value[i] = 10 + (double)(i / each) + per_day * made.age[i];
    made.known[i] = made.use[i] = 1;
  }
  return made;
}

Test(slope, S4_a_perfect_sawtooth) {
  data made = sawtooth(5, 4, -0.25);
  bt_slope slope = fit(&made);
  cr_expect_eq(slope.use, BT_AGE_USED);
  cr_expect(slope.fills == 5 && slope.n == 20 && slope.df == 14);
  cr_expect(slope.per_day == -0.25 && slope.se == 0 && slope.t < 0 && isinf(slope.t));
  cr_expect(slope.low == -0.25 && slope.high == -0.25);
  cr_expect(slope.mean_age_days == 1.5 && slope.oldest_age_days == 3);
}

Test(slope, S4_equal_values_have_no_slope) {
  data made = sawtooth(5, 4, 0);
  for (size_t i = 0; i < made.n; i++)
    made.value[i] = 0.1;
  bt_slope slope = fit(&made);
  cr_expect(slope.per_day == 0 && slope.se == 0 && slope.t == 0);
  cr_expect_eq(slope.use, BT_AGE_NOT_SIGNIFICANT);
}

Test(slope, S2_under_three_stretches) {
  data made = sawtooth(2, 8, -0.25);
  cr_expect_eq(fit(&made).use, BT_AGE_NO_FILLS);
  made = sawtooth(3, 8, -0.25);
  cr_expect_eq(fit(&made).use, BT_AGE_USED);
}

Test(slope, S2_under_ten_degrees_of_freedom) {
  data made = sawtooth(4, 3, -0.25); /* 12 - 4 - 1 = 7 */
  cr_expect_eq(fit(&made).use, BT_AGE_FEW_DF);
  made = sawtooth(5, 4, -0.25);
  for (size_t i = 0; i < 4; i++)
    made.use[i * 4] = 0; /* 16 - 5 - 1 = 10 */
  cr_expect_eq(fit(&made).df, 10);
  cr_expect_eq(fit(&made).use, BT_AGE_USED);
  made.use[16] = 0;
  cr_expect_eq(fit(&made).use, BT_AGE_FEW_DF);
}

Test(slope, S1_unknown_ages_count_for_the_slope_alone) {
  data made = sawtooth(5, 4, -0.25);
  for (size_t i = 0; i < 4; i++) {
    made.known[i] = 0;
    made.age[i] += 100; /* counted from anywhere */
  }
  bt_slope slope = fit(&made);
  cr_expect(slope.per_day == -0.25 && slope.n == 20);
  cr_expect(slope.mean_age_days == 1.5 && slope.oldest_age_days == 3);
  memset(made.known, 0, sizeof made.known);
  cr_expect_eq(fit(&made).use, BT_AGE_NO_FILLS);
}

Test(slope, S3_stretches_that_tell_nothing) {
  data made = sawtooth(30, 1, 0); /* one value each */
  bt_slope slope = fit(&made);
  cr_expect(slope.per_day == 0 && slope.se == 0 && slope.t == 0 && slope.df == -1);
  cr_expect_eq(slope.use, BT_AGE_FEW_DF);
  made = sawtooth(5, 4, -0.25); /* one age each */
  for (size_t i = 0; i < made.n; i++)
    made.age[i] = 0.1 * (double)made.stretch[i];
  slope = fit(&made);
  cr_expect(slope.per_day == 0 && slope.se == 0 && slope.df == 14);
  cr_expect_eq(slope.use, BT_AGE_NOT_SIGNIFICANT);
}

Test(slope, none_and_a_value_without_stretch) {
  data made = {.n = 0};
  bt_slope slope = fit(&made);
  cr_expect(slope.n == 0 && slope.use == BT_AGE_NO_FILLS);
  made = sawtooth(3, 8, -0.25);
  made.stretch[4] = -1;
  bt_error error;
  cr_expect_eq(bt_slope_fit(made.value, made.age, made.stretch, made.stretch, made.known, made.use,
                            made.n, &slope, &error),
               BT_INPUT);
  made.use[4] = 0;
  cr_expect_eq(fit(&made).n, 23);
}

/* Random stretches, ages and values. */
static data random_data(gsl_rng *source, double per_day) {
  data made = {.n = MOST};
  int32_t stretch = 0;
  for (size_t i = 0; i < made.n; i++) {
    if (i > 0 && stretch + 1 < FILLS_MOST && gsl_rng_uniform(source) < 0.2)
      stretch++;
    made.stretch[i] = stretch;
    made.age[i] = 5 * gsl_rng_uniform(source);
    made.known[i] = 1;
    made.use[i] = gsl_rng_uniform(source) < 0.9;
    made.value[i] = stretch + per_day * made.age[i] + gsl_ran_gaussian(source, 0.5);
  }
  return made;
}

/* Slope and its standard error by least squares on one column a used stretch and one of ages. */
static void full_design(const data *of, double *per_day, double *se) {
  int32_t column[FILLS_MOST];
  size_t columns = 0, rows = 0;
  memset(column, -1, sizeof column);
  for (size_t i = 0; i < of->n; i++)
    if (of->use[i] != 0) {
      rows++;
      if (column[of->stretch[i]] < 0)
        column[of->stretch[i]] = (int32_t)columns++;
    }
  size_t p = columns + 1;
  gsl_matrix *x = gsl_matrix_calloc(rows, p), *cov = gsl_matrix_alloc(p, p);
  gsl_vector *y = gsl_vector_alloc(rows), *c = gsl_vector_alloc(p);
  gsl_multifit_linear_workspace *space = gsl_multifit_linear_alloc(rows, p);
  for (size_t i = 0, row = 0; i < of->n; i++) {
    if (of->use[i] == 0)
      continue;
    gsl_matrix_set(x, row, (size_t)column[of->stretch[i]], 1);
    gsl_matrix_set(x, row, columns, of->age[i]);
    gsl_vector_set(y, row++, of->value[i]);
  }
  double rss;
  cr_assert_eq(gsl_multifit_linear(x, y, c, cov, &rss, space), GSL_SUCCESS);
  *per_day = gsl_vector_get(c, columns);
  *se = sqrt(gsl_matrix_get(cov, columns, columns)); /* already times rss / df */
  gsl_multifit_linear_free(space);
  gsl_matrix_free(x);
  gsl_matrix_free(cov);
  gsl_vector_free(y);
  gsl_vector_free(c);
}

Test(slope, full_design_by_least_squares_agrees) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 3);
  for (int round = 0; round < 50; round++) {
    data made = random_data(source, -0.1 * round);
    bt_slope slope = fit(&made);
    double per_day, se;
    full_design(&made, &per_day, &se);
    cr_expect_float_eq(slope.per_day, per_day, 1e-10);
    cr_expect_float_eq(slope.se, se, 1e-10);
  }
  gsl_rng_free(source);
}

/* Values and ages from another zero and in another unit give the same slope in that unit. */
Test(slope, shift_and_scale) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 4);
  data made = random_data(source, -0.2), other = made;
  for (size_t i = 0; i < made.n; i++) {
    other.value[i] = -8 * made.value[i] + 3;
    other.age[i] = made.age[i] + 7 * made.stretch[i]; /* only differences within a stretch matter */
  }
  bt_slope of = fit(&made), changed = fit(&other);
  cr_expect_float_eq(changed.per_day, -8 * of.per_day, 1e-12);
  cr_expect_float_eq(changed.se, 8 * of.se, 1e-12);
  cr_expect_float_eq(changed.low, -8 * of.high, 1e-12);
  gsl_rng_free(source);
}

/* 4,000 baselines: the 95 % interval holds the true slope in 95 % of them, and where there is no
 * slope 5 % are taken for one; both within 4 standard errors of a share. */
Test(slope, coverage_and_level_by_simulation) {
  const int runs = 4000;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 5);
  int covered = 0, used = 0;
  for (int run = 0; run < runs; run++) {
    data made = random_data(source, -0.3);
    bt_slope slope = fit(&made);
    covered += slope.low <= -0.3 && -0.3 <= slope.high;
    made = random_data(source, 0);
    slope = fit(&made);
    cr_assert(slope.use == BT_AGE_USED || slope.use == BT_AGE_NOT_SIGNIFICANT);
    used += slope.use == BT_AGE_USED;
  }
  double error = 4 * sqrt(0.95 * 0.05 / runs);
  cr_expect_float_eq((double)covered / runs, 0.95, error, "covered %.4f", (double)covered / runs);
  cr_expect_float_eq((double)used / runs, 0.05, error, "used %.4f", (double)used / runs);
  gsl_rng_free(source);
}

/* Three stretches of one gas fill are one fill: its decline may be drift, not ageing. */
Test(slope, S2_stretches_of_one_fill_are_one_fill) {
  data made = sawtooth(3, 10, -0.5);
  int32_t one_fill[64] = {0};
  bt_slope slope;
  bt_error error;
  cr_assert_leq(made.n, 64);
  cr_assert_eq(bt_slope_fit(made.value, made.age, one_fill, made.stretch, made.known, made.use,
                            made.n, &slope, &error),
               BT_OK);
  cr_expect(slope.fills == 1 && slope.stretches == 3 && slope.df == 26);
  cr_expect_eq(slope.use, BT_AGE_NO_FILLS);
}
