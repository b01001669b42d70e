/* Suggested charts: each keeps the budget by its own run length, and none that would is missing. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static size_t suggest(double budget, double checks, double shift, bt_suggestion *found) {
  bt_error error = {0};
  size_t n = 99;
  bt_budget asked = {.a_year = budget, .checks_a_month = checks, .shift = shift};
  cr_assert_eq(bt_suggest(&asked, found, &n, &error), BT_OK, "%s", error.text);
  cr_assert_leq(n, BT_SUGGESTIONS);
  return n;
}

static void expect_kept(double budget, double checks, double shift, const bt_suggestion *found,
                        size_t n) {
  bt_error error = {0};
  for (size_t i = 0; i < n; i++) {
    bt_run_length quiet, shifted;
    cr_assert_eq(bt_run_length_find(&found[i].chart, 0, &quiet, &error), BT_OK);
    cr_assert_eq(bt_run_length_find(&found[i].chart, shift, &shifted, &error), BT_OK);
    cr_expect_float_eq(found[i].arl_in_control, quiet.arl, 1e-9 * quiet.arl);
    cr_expect_float_eq(found[i].arl_shifted, shifted.arl, 1e-9 * shifted.arl);
    cr_expect_float_eq(found[i].a_year, 12 * checks / quiet.arl, 1e-9);
    cr_expect_geq(found[i].arl_later, shifted.arl * (1 - 1e-9));
    cr_expect_leq(found[i].a_year, budget, "%zu: %.9g", i, found[i].a_year);
    double width =
        found[i].chart.method == BT_RUN_OF_CUSUM ? found[i].chart.h : found[i].chart.limit;
    cr_expect_float_eq(1e4 * width, round(1e4 * width), 1e-6, "S7: %.10g", width);
    cr_expect(i == 0 || found[i].arl_shifted >= found[i - 1].arl_shifted);
  }
}

static size_t count(const bt_suggestion *found, size_t n, bt_run_method method) {
  size_t of = 0;
  for (size_t i = 0; i < n; i++)
    of += found[i].chart.method == method;
  return of;
}

/* Points from a shift of 1 sigma to its signal, where the chart had run over 60 points without one,
 * through the charts' own code; the mean over runs. */
static double found_later(const bt_run_chart *chart, uint64_t seed) {
  enum { RUN_IN = 60, POINTS = 400, RUNS = 4000 };
  static double z[POINTS], high[POINTS], low[POINTS], middle[POINTS];
  static uint32_t run_high[POINTS], run_low[POINTS];
  uint8_t all[POINTS];
  double sum = 0;
  size_t runs = 0;
  bt_individuals unit = bt_individuals_stated(0, 1);
  memset(all, 1, sizeof all);
  while (runs < RUNS) {
    for (size_t i = 0; i < POINTS; i++)
      z[i] = shape_normal(&seed) + (i >= RUN_IN ? 1 : 0);
    size_t first = 0;
    if (chart->method == BT_RUN_OF_CUSUM) {
      bt_error error;
      bt_restart at_start = {0};
      bt_cusum cusum = {.k = chart->k,
                        .h = chart->h,
                        .headstart = chart->headstart,
                        .high = high,
                        .low = low,
                        .run_high = run_high,
                        .run_low = run_low,
                        .restarts = &at_start,
                        .restarts_n = chart->headstart > 0};
      cr_assert_eq(bt_cusum_run(z, all, 0, POINTS, 1, &cusum, &error), BT_OK);
      cr_assert_gt(cusum.excursions_n, 0);
      first = cusum.excursions[0].signal;
      free(cusum.excursions);
    } else {
      bt_ewma ewma = {
          .lambda = chart->lambda, .limit = chart->limit, .value = middle, .lcl = low, .ucl = high};
      bt_ewma_run(z, all, 0, POINTS, &unit, NULL, 0, &ewma);
      while (first < POINTS && middle[first] >= low[first] && middle[first] <= high[first])
        first++;
      cr_assert_lt(first, POINTS);
    }
    if (first < RUN_IN)
      continue;
    sum += (double)(first - RUN_IN + 1);
    runs++;
  }
  return sum / RUNS;
}

/* What is said of a later shift is never less than it takes, and at most a tenth more; of the shift
 * from the first point on alone it would be two fifths too little. */
Test(suggest, S6_a_shift_that_comes_later) {
  bt_suggestion found[BT_SUGGESTIONS];
  size_t n = suggest(1, 20, 1, found), checked = 0;
  for (size_t i = 0; i < n; i++) {
    if (found[i].chart.method == BT_RUN_OF_RULES)
      continue;
    double later = found_later(&found[i].chart, 600 + i);
    cr_expect(later < found[i].arl_later * 1.02 && later > found[i].arl_later * 0.88,
              "%zu: %.2f, said %.2f and %.2f from the first point on", i, later, found[i].arl_later,
              found[i].arl_shifted);
    checked++;
  }
  cr_expect_eq(checked, 5);
  cr_expect_gt(found[0].arl_later, 1.5 * found[0].arl_shifted);
}

/* 20 checks a month, 1 a year: an ARL of 240. WE1 has 370.40, any two rules with WE1 less than 240
 * (225.44 and below: Champ and Woodall, 1987). */
Test(suggest, S1_S2_S3_one_false_signal_a_year) {
  bt_suggestion found[BT_SUGGESTIONS];
  size_t n = suggest(1, 20, 1.5, found), rules = 0;
  expect_kept(1, 20, 1.5, found, n);
  bt_error error = {0};
  for (uint8_t r = 1; r <= 15; r++) {
    bt_run_length known;
    cr_assert_eq(bt_run_length_find(&(bt_run_chart){.rules = r}, 0, &known, &error), BT_OK);
    rules += known.arl >= 240;
  }
  cr_expect_geq(rules, 1);
  cr_expect_eq(count(found, n, BT_RUN_OF_CUSUM), 4, "k 0.75 and 0.5, with and without headstart");
  cr_expect_eq(count(found, n, BT_RUN_OF_EWMA), 3);
  cr_expect_eq(count(found, n, BT_RUN_OF_RULES), rules);
  for (size_t i = 0; i < n; i++)
    if (found[i].chart.method != BT_RUN_OF_RULES)
      cr_expect(found[i].arl_in_control >= 240 && found[i].arl_in_control < 240.1,
                "limits are rounded outwards: %.6f", found[i].arl_in_control);
  n = suggest(1, 20, -1, found);
  expect_kept(1, 20, -1, found, n);
  cr_expect_eq(count(found, n, BT_RUN_OF_CUSUM), 2, "both k are 0.5");
}

Test(suggest, S4_S5_ends_of_the_budget) {
  bt_suggestion found[BT_SUGGESTIONS];
  size_t n = suggest(50, 20, 2, found);
  cr_expect_eq(count(found, n, BT_RUN_OF_RULES), 15, "a large budget is kept by each set of rules");
  expect_kept(50, 20, 2, found, n);
  n = suggest(0.01, 100000, 1, found);
  expect_kept(0.01, 100000, 1, found, n);
  cr_expect_eq(n, 0, "an ARL of 120 million is beyond all");
  n = suggest(1e6, 1, 1, found);
  expect_kept(1e6, 1, 1, found, n);
}

/* Five charts that share a budget are each one with a fifth of it. */
Test(suggest, charts_that_share_a_budget) {
  bt_suggestion together[BT_SUGGESTIONS], alone[BT_SUGGESTIONS];
  bt_budget asked = {.a_year = 2, .charts = 5, .checks_a_month = 20, .shift = 1};
  bt_error error = {0};
  size_t n = 0, n_alone = suggest(0.4, 20, 1, alone);
  cr_assert_eq(bt_suggest(&asked, together, &n, &error), BT_OK, "%s", error.text);
  cr_assert(n > 0 && n == n_alone);
  for (size_t i = 0; i < n; i++) {
    cr_expect_eq(together[i].a_year, alone[i].a_year);
    cr_expect_float_eq(together[i].together_a_year, 5 * alone[i].a_year, 1e-12);
    cr_expect_eq(alone[i].together_a_year, alone[i].a_year);
  }
}

Test(suggest, wrong_questions) {
  static const double wrong[][3] = {{0, 20, 1},       {-1, 20, 1}, {NAN, 20, 1}, {1, 0, 1},
                                    {1, NAN, 1},      {1, 1e7, 1}, {1, 20, 0},   {1, 20, 11},
                                    {INFINITY, 1, 1}, {1, 20, NAN}};
  for (size_t w = 0; w < sizeof wrong / sizeof *wrong; w++) {
    bt_suggestion found[BT_SUGGESTIONS];
    size_t n = 5;
    bt_error error = {0};
    bt_budget asked = {.a_year = wrong[w][0], .checks_a_month = wrong[w][1], .shift = wrong[w][2]};
    cr_expect_eq(bt_suggest(&asked, found, &n, &error), BT_USAGE, "%zu", w);
    cr_expect(n == 0 && error.text[0] != 0);
  }
}
