/* Run lengths: a linear solver as second way, properties, bounds. */
#include "beamtally/spc.h"
#include "spc_run_length.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>

static bt_run_length find(const bt_run_chart *chart, double shift) {
  bt_run_length found;
  bt_error error = {0};
  gsl_set_error_handler_off();
  cr_assert_eq(bt_run_length_find(chart, shift, &found, &error), BT_OK, "%s", error.text);
  return found;
}

/* ---- A second way: (I - Q) m = 1 by LU, with a rule of 100 points ---------------------------- */

enum { NODES = 100 };

typedef struct equation {
  double at[NODES], weight[NODES];
  gsl_matrix *left;
  gsl_vector *right, *solved;
} equation;

static void begin(equation *of, size_t n, double from, double to) {
  gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(NODES);
  for (size_t i = 0; i < NODES; i++)
    (void)gsl_integration_glfixed_point(from, to, i, &of->at[i], &of->weight[i], table);
  gsl_integration_glfixed_table_free(table);
  of->left = gsl_matrix_alloc(n, n);
  of->right = gsl_vector_alloc(n);
  of->solved = gsl_vector_alloc(n);
  gsl_matrix_set_identity(of->left);
  gsl_vector_set_all(of->right, 1);
}

static void take_off(equation *of, size_t row, size_t column, double value) {
  gsl_matrix_set(of->left, row, column, gsl_matrix_get(of->left, row, column) - value);
}

static void solve(equation *of) {
  int sign;
  gsl_permutation *order = gsl_permutation_alloc(of->right->size);
  cr_assert_eq(gsl_linalg_LU_decomp(of->left, order, &sign), 0);
  cr_assert_eq(gsl_linalg_LU_solve(of->left, order, of->right, of->solved), 0);
  gsl_permutation_free(order);
}

static void end(equation *of) {
  gsl_matrix_free(of->left);
  gsl_vector_free(of->right);
  gsl_vector_free(of->solved);
}

/* ARL of one side from a start at `from`: state 0, then the points. */
static double one_side(double k, double h, double from, double shift) {
  equation of;
  begin(&of, NODES + 1, 0, h);
  for (size_t s = 0; s <= NODES; s++) {
    double step = k - (s == 0 ? 0 : of.at[s - 1]) - shift;
    take_off(&of, s, 0, gsl_cdf_ugaussian_P(step));
    for (size_t j = 0; j < NODES; j++)
      take_off(&of, s, j + 1, of.weight[j] * gsl_ran_ugaussian_pdf(of.at[j] + step));
  }
  solve(&of);
  double arl = 1 + gsl_vector_get(of.solved, 0) * gsl_cdf_ugaussian_P(k - from - shift);
  for (size_t j = 0; j < NODES; j++)
    arl += gsl_vector_get(of.solved, j + 1) * of.weight[j] *
           gsl_ran_ugaussian_pdf(of.at[j] + k - from - shift);
  end(&of);
  return arl;
}

/* Both sides, by the formula of Lucas and Crosier, Technometrics 24 (1982), for means. */
static double both_sides(double k, double h, double headstart, double shift) {
  double high = one_side(k, h, 0, shift), high_from = one_side(k, h, headstart * h, shift);
  double low = one_side(k, h, 0, -shift), low_from = one_side(k, h, headstart * h, -shift);
  return (high_from * low + low_from * high - high * low) / (high + low);
}

Test(run_length, cusum_agrees_with_a_linear_solver) {
  static const double charts[][3] = {{0.5, 5, 0}, {0.5, 5, 0.5},   {0.25, 8, 0.25}, {1, 2.5, 0.5},
                                     {0, 4, 0},   {0.5, 0.3, 0.5}, {0.1, 12, 0.4},  {0.75, 3, 0.6}};
  static const double shifts[] = {0, 0.3, -0.8, 1.5};
  gsl_set_error_handler_off();
  for (size_t c = 0; c < sizeof charts / sizeof *charts; c++)
    for (size_t s = 0; s < 4; s++) {
      double k = charts[c][0], h = charts[c][1], headstart = charts[c][2];
      bt_run_chart chart = {.method = BT_RUN_OF_CUSUM, .k = k, .h = h, .headstart = headstart};
      double other = both_sides(k, h, headstart, shifts[s]), arl = find(&chart, shifts[s]).arl;
      cr_expect_float_eq(arl, other, 1e-9 * other, "k %g h %g headstart %g at %g: %.9g, %.9g", k, h,
                         headstart, shifts[s], arl, other);
      chart.one_sided = true;
      other = one_side(k, h, headstart * h, fabs(shifts[s]));
      arl = find(&chart, fabs(shifts[s])).arl;
      cr_expect_float_eq(arl, other, 1e-9 * other, "one side of k %g h %g: %.9g, %.9g", k, h, arl,
                         other);
    }
}

/* Constant limits, start at 0; in units of E itself. */
static double ewma(double lambda, double limit, double shift) {
  equation of;
  double width = limit * sqrt(lambda / (2 - lambda)), arl = 1;
  begin(&of, NODES, -width, width);
  for (size_t s = 0; s < NODES; s++)
    for (size_t j = 0; j < NODES; j++)
      take_off(&of, s, j,
               of.weight[j] / lambda *
                   gsl_ran_ugaussian_pdf((of.at[j] - (1 - lambda) * of.at[s]) / lambda - shift));
  solve(&of);
  for (size_t j = 0; j < NODES; j++)
    arl += gsl_vector_get(of.solved, j) * of.weight[j] / lambda *
           gsl_ran_ugaussian_pdf(of.at[j] / lambda - shift);
  end(&of);
  return arl;
}

Test(run_length, ewma_agrees_with_a_linear_solver) {
  static const double charts[][2] = {{0.2, 2.962}, {0.05, 2.6}, {0.5, 3.5}, {0.9, 1}, {1, 3}};
  gsl_set_error_handler_off();
  for (size_t c = 0; c < sizeof charts / sizeof *charts; c++)
    for (double shift = -1; shift < 2; shift += 0.7) {
      double lambda = charts[c][0], limit = charts[c][1], other = ewma(lambda, limit, shift);
      bt_run_chart chart = {
          .method = BT_RUN_OF_EWMA, .lambda = lambda, .limit = limit, .constant_limits = true};
      double arl = find(&chart, shift).arl;
      cr_expect_float_eq(arl, other, 1e-9 * other, "lambda %g limit %g at %g: %.9g, %.9g", lambda,
                         limit, shift, arl, other);
    }
}

/* ---- Properties ------------------------------------------------------------------------------ */

Test(run_length, more_rules_never_make_it_longer) {
  static const double shifts[] = {0, 0.4, 1, 2.5};
  double arl[16];
  for (size_t s = 0; s < 4; s++) {
    for (bt_rules rules = 1; rules < 16; rules++)
      arl[rules] = find(&(bt_run_chart){.rules = rules}, shifts[s]).arl;
    for (unsigned few = 1; few < 16; few++)
      for (unsigned more = few + 1; more < 16; more++)
        if ((few & more) == few)
          cr_expect_leq(arl[more], arl[few], "rules %u and %u at %g", more, few, shifts[s]);
  }
}

static const bt_run_chart some[] = {
    {.method = BT_RUN_OF_RULES, .rules = BT_WE1 | BT_WE2},
    {.method = BT_RUN_OF_RULES, .rules = BT_WE3 | BT_WE4},
    {.method = BT_RUN_OF_RULES, .rules = 15},
    {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4},
    {.method = BT_RUN_OF_CUSUM, .k = 0.3, .h = 3, .headstart = 0.5},
    {.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 2.5},
    {.method = BT_RUN_OF_EWMA, .lambda = 0.3, .limit = 2.5, .constant_limits = true},
};

enum { SOME = sizeof some / sizeof *some };

static void expect_order(const bt_run_chart *chart, const bt_run_length *of, size_t c) {
  cr_expect(of->p5 >= 1 && of->p5 <= of->p25 && of->p25 <= of->p50 && of->p50 <= of->p75 &&
                of->p75 <= of->p95,
            "chart %zu at %g", c, of->shift);
  cr_expect_geq(of->arl, 1);
  /* Each percentile is the first point that reaches its probability. */
  double before, at;
  bt_error error;
  cr_assert_eq(spc_run_length_within(chart, of->shift, of->p75 - 1, &before, &error), BT_OK);
  cr_assert_eq(spc_run_length_within(chart, of->shift, of->p75, &at, &error), BT_OK);
  cr_expect(before < 0.75 && at >= 0.75, "chart %zu at %g: %g, %g", c, of->shift, before, at);
}

Test(run_length, falls_with_the_shift_and_has_a_mirror) {
  for (size_t c = 0; c < SOME; c++) {
    double before = INFINITY;
    for (double shift = 0; shift < 4; shift += 0.5) {
      bt_run_length up = find(&some[c], shift), down = find(&some[c], -shift);
      cr_expect_lt(up.arl, before, "chart %zu at %g", c, shift);
      cr_expect_float_eq(up.arl, down.arl, 1e-9 * up.arl, "chart %zu at %g", c, shift);
      cr_expect_float_eq(up.sdrl, down.sdrl, 1e-6 * up.arl, "chart %zu at %g", c, shift);
      cr_expect(up.p5 == down.p5 && up.p50 == down.p50 && up.p95 == down.p95);
      expect_order(&some[c], &up, c);
      before = up.arl;
    }
  }
}

/* Mean and standard deviation from the distribution itself, summed to its end. */
Test(run_length, moments_are_those_of_the_distribution) {
  for (size_t c = 0; c < SOME; c++) {
    bt_run_length of = find(&some[c], 1.5);
    double mean = 0, square = 0, within = 0;
    for (uint64_t n = 0; within < 1 - 1e-12 && n < 400; n++) {
      mean += 1 - within;
      square += (2 * (double)n + 1) * (1 - within);
      bt_error error;
      cr_assert_eq(spc_run_length_within(&some[c], 1.5, n + 1, &within, &error), BT_OK);
    }
    cr_expect_float_eq(of.arl, mean, 1e-8, "chart %zu", c);
    cr_expect_float_eq(of.sdrl, sqrt(square - mean * mean), 1e-6, "chart %zu", c);
  }
}

Test(run_length, a_shift_beyond_all_limits_is_seen_at_once) {
  for (size_t c = 0; c < SOME; c++) {
    bool needs_four = some[c].rules == (BT_WE3 | BT_WE4);
    cr_expect_float_eq(find(&some[c], 1e6).arl, needs_four ? 4 : 1, 1e-12, "chart %zu", c);
    cr_expect_eq(find(&some[c], -1e6).p95, needs_four ? 4 : 1, "chart %zu", c);
  }
}

Test(run_length, what_was_solved_has_the_wanted_arl) {
  static const double wanted[] = {20, 92, 5000, 1e6};
  for (size_t c = 3; c < SOME; c++)
    for (size_t w = 0; w < 4; w++) {
      bt_run_chart chart = some[c];
      bt_error error = {0};
      gsl_set_error_handler_off();
      cr_assert_eq(bt_run_length_solve(&chart, wanted[w], &error), BT_OK, "%s", error.text);
      cr_expect_float_eq(find(&chart, 0).arl, wanted[w], 5e-6 * wanted[w], "chart %zu for %g", c,
                         wanted[w]);
      double width = chart.method == BT_RUN_OF_CUSUM ? chart.h : chart.limit;
      cr_expect_float_eq(width * 1e6, round(width * 1e6), 1e-6, "printed as used");
    }
}

/* ---- Rates and bounds ------------------------------------------------------------------------ */

Test(run_length, false_signals_at_a_rate_of_checking) {
  bt_run_chart chart = {.rules = 15};
  bt_false_signals rate;
  bt_error error = {0};
  cr_assert_eq(bt_false_signals_find(&chart, find(&chart, 0).arl, 20, &rate, &error), BT_OK);
  cr_expect_float_eq(rate.a_year, 240 / 91.7508, 1e-5);
  cr_expect_float_eq(rate.within_month, .173934, 6e-7); /* computed, two ways: within 20 points */
  cr_expect_gt(rate.within_year, .92);
  cr_expect_lt(rate.within_year, .939267); /* within 250 */
  cr_expect_eq(bt_false_signals_find(&chart, 92, 0, &rate, &error), BT_USAGE);
  cr_expect_eq(bt_false_signals_find(&chart, 92, NAN, &rate, &error), BT_USAGE);
}

static void expect_refused(bt_run_chart chart, double shift, const char *word) {
  bt_run_length found;
  bt_error error = {0};
  gsl_set_error_handler_off();
  cr_expect_eq(bt_run_length_find(&chart, shift, &found, &error), BT_USAGE, "%s", word);
  cr_expect(strstr(error.text, word) != NULL, "\"%s\" says nothing of \"%s\"", error.text, word);
}

Test(run_length, what_is_no_chart_is_refused) {
  bt_run_chart cusum = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5};
  bt_run_chart ewma_chart = {.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 3};
  expect_refused((bt_run_chart){.rules = 0}, 0, "at least one");
  expect_refused((bt_run_chart){.rules = BT_CUSUM_SIGNAL}, 0, "zone rules");
  expect_refused((bt_run_chart){.rules = 1}, NAN, "shift");
  cusum.k = -1;
  expect_refused(cusum, 0, "k of a CUSUM");
  cusum.k = 0.5, cusum.h = 0;
  expect_refused(cusum, 0, "h of a CUSUM");
  cusum.h = NAN;
  expect_refused(cusum, 0, "h of a CUSUM");
  cusum.h = 5, cusum.headstart = 1;
  expect_refused(cusum, 0, "headstart");
  cusum.headstart = 0.61;
  expect_refused(cusum, 0, "hinder each other");
  cusum.headstart = 0, cusum.h = 30.1;
  expect_refused(cusum, 0, "at most 30");
  cusum.k = 1, cusum.h = 30;
  expect_refused(cusum, 0, "less than once");
  ewma_chart.lambda = 0.01;
  expect_refused(ewma_chart, 0, "lambda");
  ewma_chart.lambda = 0.2, ewma_chart.limit = 7;
  expect_refused(ewma_chart, 0, "limit");
}

Test(run_length, what_cannot_be_solved_is_refused) {
  bt_run_chart rules = {.rules = 1}, cusum = {.method = BT_RUN_OF_CUSUM, .k = 0.5};
  bt_error error = {0};
  gsl_set_error_handler_off();
  cr_expect_eq(bt_run_length_solve(&rules, 370, &error), BT_USAGE);
  cr_expect_eq(bt_run_length_solve(&cusum, 1, &error), BT_USAGE);
  cr_expect_eq(bt_run_length_solve(&cusum, NAN, &error), BT_USAGE);
  cr_expect_eq(bt_run_length_solve(&cusum, 1e7, &error), BT_USAGE);
  /* With h at 0 a CUSUM of k = 0.5 has 1 / (2 (1 - Phi(0.5))) = 1.62. */
  cr_expect_eq(bt_run_length_solve(&cusum, 1.6, &error), BT_USAGE);
  cr_expect(strstr(error.text, "narrowest") != NULL, "%s", error.text);
  cr_expect_eq(bt_run_length_solve(&cusum, 1.63, &error), BT_OK);
  cusum.k = 0;
  cr_expect_eq(bt_run_length_solve(&cusum, 1e5, &error), BT_USAGE);
  cr_expect(strstr(error.text, "larger k") != NULL, "%s", error.text);
}
