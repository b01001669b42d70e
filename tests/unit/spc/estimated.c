/* Run lengths with estimated limits: conditional ones through the charts' own code, quantiles over
 * drawn baselines, and edges. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_estimate.h"

#include <criterion/criterion.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { RUNS = 2500, LONGEST = 1 << 13, BASELINES = 400, LONG_BASELINES = 2000, POINTS = 40 };

static double value[LONGEST], z[LONGEST], high[LONGEST], low[LONGEST], middle[LONGEST];
static uint8_t judged[LONGEST];
static bt_rules rules_high[LONGEST], rules_low[LONGEST];
static uint32_t run_high[LONGEST], run_low[LONGEST];

/* First signal among n points of a chart with that centre and sigma, or 0. */
static size_t first_signal(const bt_run_chart *chart, const bt_individuals *limits, size_t n) {
  bt_error error;
  bt_standardise(value, n, limits, z);
  size_t first = 0;
  if (chart->method == BT_RUN_OF_RULES) {
    bt_zone_rules(z, judged, n, rules_high, rules_low);
    for (size_t i = 0; i < n && first == 0; i++)
      first = ((rules_high[i] | rules_low[i]) & chart->rules) != 0 ? i + 1 : 0;
  } else if (chart->method == BT_RUN_OF_CUSUM) {
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
    cr_assert_eq(bt_cusum_run(z, judged, 0, n, 1, &cusum, &error), BT_OK);
    first = cusum.excursions_n > 0 ? cusum.excursions[0].signal + 1 : 0;
    free(cusum.excursions);
  } else {
    bt_ewma ewma = {
        .lambda = chart->lambda, .limit = chart->limit, .value = middle, .lcl = low, .ucl = high};
    bt_ewma_run(value, judged, 0, n, limits, NULL, 0, &ewma);
    for (size_t i = 0; i < n && first == 0; i++)
      first = middle[i] < low[i] || middle[i] > high[i] ? i + 1 : 0;
  }
  return first;
}

/* A centre that is off by delta and a sigma of `width` are what the charts are given. */
Test(estimated, conditional_run_lengths_through_the_charts) {
  static const struct {
    bt_run_chart chart;
    double delta, width;
  } cases[] = {
      {{.rules = BT_WE1 | BT_WE2}, 0.3, 0.85},
      {{.rules = 15}, 0.1, 1.2},
      {{.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4}, 0.2, 0.9},
      {{.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4, .headstart = 0.5}, 0.25, 0.9},
      {{.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 2.7}, 0.25, 0.95},
  };
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    bt_error error = {0};
    double known = 0, sum = 0, squares = 0;
    cr_assert_eq(
        spc_run_length_mean(&cases[c].chart, cases[c].delta, cases[c].width, &known, &error), BT_OK,
        "%s", error.text);
    uint64_t seed = 500 + c;
    bt_individuals limits = bt_individuals_stated(5 + cases[c].delta * 2, cases[c].width * 2);
    for (int run = 0; run < RUNS; run++) {
      size_t first = 0, n = 0;
      for (size_t window = 64; first == 0; window *= 2) {
        cr_assert_leq(window, LONGEST);
        for (; n < window; n++)
          value[n] = 5 + 2 * shape_normal(&seed);
        first = first_signal(&cases[c].chart, &limits, n);
      }
      sum += (double)first;
      squares += (double)first * (double)first;
    }
    double mean = sum / RUNS, sd = sqrt(squares / RUNS - mean * mean);
    cr_expect_float_eq(mean, known, 4 * sd / sqrt(RUNS), "%zu: %g, simulated %g", c, known, mean);
  }
}

/* Quantiles over drawn baselines, each with the ARL that it gives. Where BEAMTALLY_LONG_TESTS is
 * set, of more baselines, and so within narrower bounds. */
Test(estimated, quantiles_over_drawn_baselines) {
  static double arl[LONG_BASELINES];
  static const bt_run_chart charts[] = {{.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5},
                                        {.rules = BT_WE1 | BT_WE4}};
  bt_error error = {0};
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < 2; c++) {
    bool longer = getenv("BEAMTALLY_LONG_TESTS") != NULL;
    size_t baselines = c > 0 ? 200 : longer ? LONG_BASELINES : BASELINES;
    uint64_t seed = 520;
    for (size_t b = 0; b < baselines; b++) {
      bt_individuals fit;
      for (size_t i = 0; i < POINTS; i++)
        value[i] = shape_normal(&seed);
      cr_assert_eq(bt_individuals_fit(value, judged, POINTS, &fit, &error), BT_OK);
      cr_assert_eq(spc_run_length_mean(&charts[c], fit.centre, fit.sigma, &arl[b], &error), BT_OK);
    }
    gsl_sort(arl, 1, baselines);
    bt_estimated found;
    cr_assert_eq(bt_run_length_estimated(&charts[c], POINTS, &found, &error), BT_OK, "%s",
                 error.text);
    cr_expect_eq(found.n, POINTS);
    const double listed[] = {found.arl_10, found.arl_50, found.arl_90}, p[] = {0.1, 0.5, 0.9};
    for (int q = 0; q < 3; q++) {
      /* Between the quantiles of probabilities 4 standard errors to either side. */
      double off = 4 * sqrt(p[q] * (1 - p[q]) / (double)baselines);
      double from = gsl_stats_quantile_from_sorted_data(arl, 1, baselines, p[q] - off);
      double to = gsl_stats_quantile_from_sorted_data(arl, 1, baselines, p[q] + off);
      cr_expect(listed[q] > from && listed[q] < to, "%zu, %g: %g, drawn %g to %g", c, p[q],
                listed[q], from, to);
    }
  }
}

Test(estimated, a_long_baseline_leaves_the_known_run_length) {
  static const bt_run_chart charts[] = {
      {.rules = 15},
      {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5},
      {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4, .headstart = 0.5},
      {.method = BT_RUN_OF_EWMA, .lambda = 0.5, .limit = 2.8}};
  for (size_t c = 0; c < 4; c++) {
    bt_estimated found;
    bt_run_length known;
    bt_error error = {0};
    cr_assert_eq(bt_run_length_estimated(&charts[c], 4000000, &found, &error), BT_OK, "%s",
                 error.text);
    cr_assert_eq(bt_run_length_find(&charts[c], 0, &known, &error), BT_OK);
    cr_expect(found.arl_10 < found.arl_50 && found.arl_50 < found.arl_90);
    cr_expect_float_eq(found.arl_50, known.arl, 2e-3 * known.arl);
    cr_expect_float_eq(found.arl_10, found.arl_90, 0.02 * known.arl);
  }
}

Test(estimated, wrong_questions) {
  static const struct {
    bt_run_chart chart;
    size_t n;
  } wrong[] = {{{.rules = 1}, 7},
               {{.rules = 0}, 60},
               {{.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 5, .one_sided = true}, 60},
               {{.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = -5}, 60},
               {{.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 7}, 60},
               {{.method = BT_RUN_OF_EWMA, .lambda = 0.02, .limit = 6}, 8}, /* else for minutes */
               {{.method = BT_RUN_OF_EWMA, .lambda = 0.049, .limit = 3}, 60},
               {{.method = BT_RUN_OF_EWMA, .lambda = 0.05, .limit = 4.4}, 8}};
  for (size_t w = 0; w < sizeof wrong / sizeof *wrong; w++) {
    bt_estimated found;
    bt_error error = {0};
    cr_expect_eq(bt_run_length_estimated(&wrong[w].chart, wrong[w].n, &found, &error), BT_USAGE,
                 "%zu", w);
    cr_expect_neq(error.text[0], 0);
  }
}

/* Small baselines of wide charts, where an ARL may be beyond any. */
Test(estimated, wide_charts_on_small_baselines) {
  static const bt_run_chart wide[] = {
      {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 12},
      {.method = BT_RUN_OF_CUSUM, .k = 1, .h = 10},
      {.method = BT_RUN_OF_EWMA, .lambda = 1, .limit = 5, .constant_limits = true}};
  for (size_t w = 0; w < sizeof wide / sizeof *wide; w++) {
    bt_estimated found;
    bt_error error = {0};
    cr_assert_eq(bt_run_length_estimated(&wide[w], 8, &found, &error), BT_OK, "%zu: %s", w,
                 error.text);
    cr_expect(found.arl_10 > 1 && found.arl_10 < found.arl_50 && found.arl_50 <= found.arl_90);
    cr_expect_leq(found.arl_90, 1.01e12);
  }
}
