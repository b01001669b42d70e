/* Run lengths against the rules, CUSUM and EWMA that the charts run: seeded noise until the first
 * signal. A mean may differ by 4 of its standard errors, a share by 4 of its own, the spread by 6 %
 * (its standard error is at most 1.2 %). */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_run_length.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { RUNS = 15000, LONGEST = 4096 };

static double z[LONGEST], sum_high[LONGEST], sum_low[LONGEST];
static double average[LONGEST], lower[LONGEST], upper[LONGEST];
static uint8_t judged[LONGEST];
static bt_rules high[LONGEST], low[LONGEST];
static uint32_t run_high[LONGEST], run_low[LONGEST];

/* First signal among the first n points, or 0. */
static size_t first_of_rules(bt_rules rules, size_t n) {
  bt_zone_rules(z, judged, n, high, low);
  for (size_t i = 0; i < n; i++)
    if (((high[i] | low[i]) & rules) != 0)
      return i + 1;
  return 0;
}

static size_t first_of_cusum(const bt_run_chart *chart, size_t n) {
  bt_restart at_start = {0};
  bt_cusum cusum = {.k = chart->k,
                    .h = chart->h,
                    .headstart = chart->headstart,
                    .high = sum_high,
                    .low = sum_low,
                    .run_high = run_high,
                    .run_low = run_low,
                    .restarts = &at_start,
                    .restarts_n = chart->headstart > 0};
  bt_error error;
  cr_assert_eq(bt_cusum_run(z, judged, 0, n, 1, &cusum, &error), BT_OK);
  size_t first = 0;
  for (size_t e = 0; e < cusum.excursions_n && first == 0; e++)
    if (cusum.excursions[e].side == BT_HIGH || !chart->one_sided)
      first = cusum.excursions[e].signal + 1;
  free(cusum.excursions);
  return first;
}

/* The EWMA is only drawn: its first point beyond the exact limits. */
static size_t first_of_ewma(const bt_run_chart *chart, size_t n) {
  bt_individuals limits = bt_individuals_stated(0, 1);
  bt_ewma ewma = {
      .lambda = chart->lambda, .limit = chart->limit, .value = average, .lcl = lower, .ucl = upper};
  bt_ewma_run(z, judged, 0, n, &limits, NULL, 0, &ewma);
  for (size_t i = 0; i < n; i++)
    if (average[i] < lower[i] || average[i] > upper[i])
      return i + 1;
  return 0;
}

/* One run, over as many points as it needs. */
static size_t one_run(const bt_run_chart *chart, double shift, size_t window, uint64_t *seed) {
  for (size_t n = 0;; window *= 2) {
    cr_assert_leq(window, LONGEST);
    for (; n < window; n++)
      z[n] = shift + shape_normal(seed);
    size_t first = chart->method == BT_RUN_OF_RULES   ? first_of_rules(chart->rules, n)
                   : chart->method == BT_RUN_OF_CUSUM ? first_of_cusum(chart, n)
                                                      : first_of_ewma(chart, n);
    if (first > 0)
      return first;
  }
}

static void expect_simulated(const bt_run_chart *chart, double shift, uint64_t seed) {
  bt_run_length of;
  bt_error error = {0};
  double sum = 0, squares = 0;
  cr_assert_eq(bt_run_length_find(chart, shift, &of, &error), BT_OK, "%s", error.text);
  const uint64_t percentiles[] = {of.p5, of.p25, of.p50, of.p75, of.p95};
  size_t window = (size_t)of.p75 + 1, within[5] = {0};
  for (int run = 0; run < RUNS; run++) {
    size_t length = one_run(chart, shift, window, &seed);
    sum += (double)length;
    squares += (double)length * (double)length;
    for (int p = 0; p < 5; p++)
      within[p] += length <= percentiles[p];
  }
  double mean = sum / RUNS, spread = sqrt(squares / RUNS - mean * mean);
  cr_expect_leq(fabs(mean - of.arl), 4 * of.sdrl / sqrt(RUNS), "ARL at %g: %.4f, simulated %.4f",
                shift, of.arl, mean);
  cr_expect_leq(fabs(spread - of.sdrl), 0.06 * of.sdrl, "SDRL at %g: %.4f, simulated %.4f", shift,
                of.sdrl, spread);
  for (int p = 0; p < 5; p++) {
    double share = 0;
    cr_assert_eq(spc_run_length_within(chart, shift, percentiles[p], &share, &error), BT_OK);
    cr_expect_leq(fabs((double)within[p] / RUNS - share), 4 * sqrt(share * (1 - share) / RUNS),
                  "share within %d points at %g: %.4f, simulated %.4f", (int)percentiles[p], shift,
                  share, (double)within[p] / RUNS);
  }
}

Test(run_length_simulated, zone_rules) {
  static const struct {
    bt_rules rules;
    double shift;
  } cases[] = {{BT_WE2 | BT_WE4, 0.8}, {BT_WE3, -1.2}, {BT_WE1 | BT_WE4, 0.6}, {15, -0.6},
               {BT_WE2 | BT_WE3, 1.7}, {15, 0}};
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++)
    expect_simulated(&(bt_run_chart){.rules = cases[c].rules}, cases[c].shift, 100 + c);
}

/* The last one's sides hold each other up: both start far above 0. */
Test(run_length_simulated, cusum) {
  static const double cases[][4] = {
      {0.3, 3, 0.5, 0.4}, {0.75, 2, 0, 0}, {0.25, 4, 0.25, -0.8}, {0, 3, 0, 0.1}, {0.5, 2, 0.7, 0}};
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    bt_run_chart chart = {
        .method = BT_RUN_OF_CUSUM, .k = cases[c][0], .h = cases[c][1], .headstart = cases[c][2]};
    expect_simulated(&chart, cases[c][3], 200 + c);
  }
}

Test(run_length_simulated, one_side_of_a_cusum) {
  static const double cases[][4] = {{0.5, 3, 0, 0.5}, {0.25, 2.5, 0.5, 0}};
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    bt_run_chart chart = {.method = BT_RUN_OF_CUSUM,
                          .k = cases[c][0],
                          .h = cases[c][1],
                          .headstart = cases[c][2],
                          .one_sided = true};
    expect_simulated(&chart, cases[c][3], 250 + c);
  }
}

static const double ewmas[][3] = {{0.2, 2.5, 0.5}, {0.1, 2, 0}, {0.4, 2.5, -1}};

Test(run_length_simulated, ewma) {
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < sizeof ewmas / sizeof *ewmas; c++) {
    bt_run_chart chart = {.method = BT_RUN_OF_EWMA, .lambda = ewmas[c][0], .limit = ewmas[c][1]};
    expect_simulated(&chart, ewmas[c][2], 300 + c);
  }
}

/* No chart has the constant limits: their definition, written out. */
Test(run_length_simulated, ewma_with_constant_limits) {
  for (size_t c = 0; c < sizeof ewmas / sizeof *ewmas; c++) {
    double lambda = ewmas[c][0], limit = ewmas[c][1], shift = ewmas[c][2];
    bt_run_chart chart = {
        .method = BT_RUN_OF_EWMA, .lambda = lambda, .limit = limit, .constant_limits = true};
    bt_run_length of;
    bt_error error = {0};
    cr_assert_eq(bt_run_length_find(&chart, shift, &of, &error), BT_OK, "%s", error.text);
    uint64_t seed = 310 + c;
    double sum = 0;
    for (int run = 0; run < RUNS; run++) {
      double e = 0;
      do {
        e = lambda * (shift + shape_normal(&seed)) + (1 - lambda) * e;
        sum++;
      } while (fabs(e) <= limit * sqrt(lambda / (2 - lambda)));
    }
    cr_expect_leq(fabs(sum / RUNS - of.arl), 4 * of.sdrl / sqrt(RUNS), "%zu: %.4f, simulated %.4f",
                  c, of.arl, sum / RUNS);
  }
}
