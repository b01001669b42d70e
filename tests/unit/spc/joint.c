/* The simulated joint run length where it is known exactly, and what it promises. */
#include "beamtally/spc.h"
#include "spc_run_length.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>

static bt_joint_run simulated(const bt_joint_chart *chart, size_t charts, double shift, size_t runs,
                              uint64_t seed) {
  bt_joint_run found;
  bt_error error = {0};
  cr_assert_eq(bt_joint_run_find(chart, charts, shift, runs, seed, &found, &error), BT_OK, "%s",
               error.text);
  return found;
}

/* Share of runs that end within n points, at a percentile of the exact law. */
static void expect_percentile(const bt_run_chart *chart, double shift, uint64_t found, double p,
                              size_t runs) {
  bt_error error = {0};
  double within = 0, before = 0, off = 4 * sqrt(p * (1 - p) / (double)runs);
  cr_assert_eq(spc_run_length_within(chart, shift, found, &within, &error), BT_OK);
  cr_assert_eq(spc_run_length_within(chart, shift, found - 1, &before, &error), BT_OK);
  cr_expect(within > p - off && before < p + off, "%g: %d points, exact %.4f to %.4f", p,
            (int)found, before, within);
}

Test(joint, J5_one_method_alone_has_its_exact_law) {
  enum { RUNS = 20000 };
  static const struct {
    bt_joint_chart joint;
    bt_run_chart exact;
    double shift;
  } cases[] = {
      {{.rules = 15}, {.rules = 15}, 0.7},
      {{.rules = BT_WE2 | BT_WE4}, {.rules = BT_WE2 | BT_WE4}, -0.9},
      {{.has_cusum = true, .k = 0.5, .h = 4}, {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4}, 1},
      {{.has_cusum = true, .k = 0.5, .h = 4, .headstart = 0.5},
       {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4, .headstart = 0.5},
       0.6},
  };
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    bt_joint_run found = simulated(&cases[c].joint, 1, cases[c].shift, RUNS, 50 + c);
    bt_run_length exact;
    bt_error error = {0};
    cr_assert_eq(bt_run_length_find(&cases[c].exact, cases[c].shift, &exact, &error), BT_OK);
    cr_expect_float_eq(found.arl, exact.arl, 4 * found.arl_se, "%zu: %g, exact %g", c, found.arl,
                       exact.arl);
    cr_expect_float_eq(found.arl_se * sqrt(RUNS), exact.sdrl, 0.06 * exact.sdrl);
    cr_expect_float_eq(found.arl_margin, 1.96 * found.arl_se, 1e-9);
    expect_percentile(&cases[c].exact, cases[c].shift, found.p5, 0.05, RUNS);
    expect_percentile(&cases[c].exact, cases[c].shift, found.p25, 0.25, RUNS);
    expect_percentile(&cases[c].exact, cases[c].shift, found.p50, 0.50, RUNS);
    expect_percentile(&cases[c].exact, cases[c].shift, found.p75, 0.75, RUNS);
    expect_percentile(&cases[c].exact, cases[c].shift, found.p95, 0.95, RUNS);
  }
}

/* With a limit alone the first signal of several charts is geometric. */
Test(joint, J2_J3_charts_with_a_limit_alone) {
  static const double cases[][3] = {/* limit, charts, shift */
                                    {0, 1, 1},
                                    {2, 5, 0},
                                    {2.5, 5, 2},
                                    {2.2, 12, 0},
                                    {3.5, 1, -2}};
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    double limit = cases[c][0] > 0 ? cases[c][0] : 3, shift = cases[c][2];
    bt_joint_chart chart = {.rules = BT_WE1, .limit = cases[c][0]};
    bt_joint_run found = simulated(&chart, (size_t)cases[c][1], shift, 15000, 60 + c);
    double quiet = 1 - gsl_cdf_ugaussian_Q(limit - shift) - gsl_cdf_ugaussian_Q(limit + shift);
    quiet *= pow(1 - 2 * gsl_cdf_ugaussian_Q(limit), cases[c][1] - 1);
    cr_expect_float_eq(found.arl, 1 / (1 - quiet), 4 * found.arl_se, "%zu: %g +- %g, exact %g", c,
                       found.arl, found.arl_se, 1 / (1 - quiet));
  }
}

Test(joint, J1_seeds) {
  bt_joint_chart chart = {.rules = 15, .has_cusum = true, .k = 0.5, .h = 5};
  bt_joint_run one = simulated(&chart, 2, 0.5, 500, 7), same = simulated(&chart, 2, 0.5, 500, 7);
  bt_joint_run other = simulated(&chart, 2, 0.5, 500, 8);
  cr_expect(one.arl == same.arl && one.arl_se == same.arl_se && one.p95 == same.p95);
  cr_expect_neq(one.arl, other.arl);
  cr_expect(one.charts == 2 && one.runs == 500 && one.shift == 0.5);
}

/* Ten million runs are not too many: it is the CUSUM's k that is refused. */
Test(joint, most_runs) {
  const bt_joint_chart chart = {.has_cusum = true, .k = -1, .h = 5};
  bt_joint_run found;
  bt_error error = {0};
  cr_expect_eq(bt_joint_run_find(&chart, 1, 0, 10000000, 1, &found, &error), BT_USAGE);
  cr_expect_null(strstr(error.text, "simulation"), "%s", error.text);
}

Test(joint, wrong_questions) {
  static const struct {
    bt_joint_chart chart;
    size_t charts, runs;
    double shift;
  } wrong[] = {
      {{.rules = 0}, 1, 100, 0},
      {{.rules = 16}, 1, 100, 0},
      {{.rules = 1, .limit = -1}, 1, 100, 0},
      {{.rules = 1, .limit = NAN}, 1, 100, 0},
      {{.has_cusum = true, .k = -1, .h = 5}, 1, 100, 0},
      {{.has_cusum = true, .k = 0.5, .h = 0}, 1, 100, 0},
      {{.has_cusum = true, .k = 0.5, .h = 5, .headstart = 1}, 1, 100, 0},
      {{.rules = 1}, 0, 100, 0},
      {{.rules = 1}, 101, 100, 0},
      {{.rules = 1}, 1, 1, 0},
      {{.rules = 1}, 1, 20000000, 0},
      {{.rules = 1}, 1, 100, INFINITY},
      {{.rules = 1, .limit = 9}, 1, 2, 0}, /* no signal in a million points */
  };
  for (size_t w = 0; w < sizeof wrong / sizeof *wrong; w++) {
    bt_joint_run found;
    bt_error error = {0};
    cr_expect_eq(bt_joint_run_find(&wrong[w].chart, wrong[w].charts, wrong[w].shift, wrong[w].runs,
                                   1, &found, &error),
                 BT_USAGE, "%zu", w);
    cr_expect_neq(error.text[0], 0);
  }
}
