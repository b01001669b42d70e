/* The real zone rules and the real CUSUM, driven with seeded normal noise until they signal,
 * against known average run lengths (known mean and sigma, zero state).
 *
 * Zone rules: Champ and Woodall, Technometrics 29 (1987), to four more digits by an exact Markov
 * chain. Two-sided CUSUM: Lucas and Crosier, Technometrics 24 (1982), to four more digits by an
 * integral equation. Joint rows: 4 million simulated runs each, with their own standard error.
 * A mean may differ from its listed value by 4 standard errors, taken from the simulation itself
 * (and the listed value's own); these must be under 2 % at shift 0 and 1 % at shift 1. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CUSUMS = 4, BLOCK = 1 << 15, RULES = 4 };

/* The CUSUMs that run beside the rules: h, headstart as a fraction of h. */
static const double cusum_h[CUSUMS] = {4, 4, 5, 5};
static const double cusum_headstart[CUSUMS] = {0, 0.5, 0, 0.5};

/* A chart: the zone rules and the CUSUM whose first signal counts, with the listed run lengths. */
typedef struct chart {
  const char *name;
  bt_rules rules;
  int cusum;       /* index above, or -1 */
  double arl[2];   /* at shift 0 and 1 */
  double error[2]; /* standard error of the listed value */
} chart;

enum { R1 = BT_WE1, R2 = BT_WE2, R3 = BT_WE3, R4 = BT_WE4, R1234 = R1 | R2 | R3 | R4 };

static const chart charts[] = {
    {"1", R1, -1, {370.3983, 43.8947}, {0}},
    {"1,2", R1 | R2, -1, {225.4384, 20.0050}, {0}},
    {"1,3", R1 | R3, -1, {166.0545, 12.6644}, {0}},
    {"1,4", R1 | R4, -1, {152.7301, 14.5781}, {0}},
    {"1,2,3", R1 | R2 | R3, -1, {132.8928, 10.9514}, {0}},
    {"1,2,4", R1 | R2 | R4, -1, {122.0508, 11.7258}, {0}},
    {"1,3,4", R1 | R3 | R4, -1, {105.7831, 10.1875}, {0}},
    {"1,2,3,4", R1234, -1, {91.7508, 9.2219}, {0}},
    {"h 4", 0, 0, {167.6838, 8.3831}, {0}},
    {"h 4, headstart", 0, 1, {148.6956, 5.2869}, {0}},
    {"h 5", 0, 2, {465.4435, 10.3760}, {0}},
    {"h 5, headstart", 0, 3, {430.3908, 6.3469}, {0}},
    {"1 and h 5", R1, 2, {224.03, 9.836}, {.11, .0025}},
    {"1 and h 5, headstart", R1, 3, {208.86, 6.254}, {.11, .0025}},
    {"1,2 and h 5", R1 | R2, 2, {172.90, 9.425}, {.09, .0025}},
    {"1,2,3 and h 5", R1 | R2 | R3, 2, {122.10, 8.750}, {.06, .0025}},
    {"1,2,3,4 and h 4", R1234, 0, {77.38, 7.555}, {.04, .0025}},
    {"1,2,3,4 and h 5", R1234, 2, {88.66, 8.338}, {.04, .0025}},
    {"1,2,3,4 and h 5, headstart", R1234, 3, {84.04, 6.027}, {.04, .0025}},
};

enum { CHARTS = sizeof charts / sizeof *charts };

/* Noise made in blocks; a run takes what it needs from where the last one stopped. */
typedef struct noise_stream {
  gsl_rng *source;
  double shift;
  size_t used;
  double z[BLOCK];
} noise_stream;

static void fill_noise(noise_stream *noise, size_t from) {
  for (size_t i = from; i < BLOCK; i++)
    noise->z[i] = noise->shift + gsl_ran_gaussian_ziggurat(noise->source, 1);
}

/* At least n values from the run's start on; always the same ones until the run ends. */
static const double *look(noise_stream *noise, size_t n) {
  cr_assert_leq(n, BLOCK, "a run of more than %d points", BLOCK);
  if (noise->used + n > BLOCK) {
    size_t left = BLOCK - noise->used;
    memmove(noise->z, noise->z + noise->used, left * sizeof(double));
    noise->used = 0;
    fill_noise(noise, left);
  }
  return noise->z + noise->used;
}

static uint8_t judged[BLOCK];
static bt_rules high[BLOCK], low[BLOCK];
static double sum_high[BLOCK], sum_low[BLOCK];
static uint32_t run_high[BLOCK], run_low[BLOCK];

/* Points until the first signal of each rule, up to and with the first of rule 1; SIZE_MAX: none.
 */
static void run_rules(noise_stream *noise, size_t window, size_t first[RULES]) {
  for (;; window *= 2) {
    for (size_t r = 0; r < RULES; r++)
      first[r] = SIZE_MAX;
    bt_zone_rules(look(noise, window), judged, window, high, low);
    for (size_t i = 0; i < window; i++) {
      unsigned rules = high[i] | low[i];
      for (size_t r = 0; r < RULES && rules != 0; r++)
        if ((rules >> r & 1) != 0 && first[r] == SIZE_MAX)
          first[r] = i + 1;
      if (first[0] != SIZE_MAX)
        return;
    }
  }
}

/* Points until the first signal of a CUSUM. */
static size_t run_cusum(noise_stream *noise, size_t window, bt_cusum *cusum) {
  for (;; window *= 2) {
    bt_error error;
    cusum->excursions_n = 0;
    cr_assert_eq(bt_cusum_run(look(noise, window), judged, 0, window, 1, cusum, &error), BT_OK);
    if (cusum->excursions_n > 0)
      return cusum->excursions[0].signal + 1;
  }
}

/* Sums of the run lengths and their squares. */
typedef struct totals {
  double sum, squares;
} totals;

/* One run of all charts over the same noise. */
static void run_once(noise_stream *noise, size_t window, bt_cusum *cusum, totals *total) {
  size_t rule[RULES], signal[CUSUMS], longest;
  run_rules(noise, window, rule);
  longest = rule[0];
  for (size_t c = 0; c < CUSUMS; c++) {
    signal[c] = run_cusum(noise, window, &cusum[c]);
    longest = signal[c] > longest ? signal[c] : longest;
  }
  for (size_t c = 0; c < CHARTS; c++) {
    size_t length = charts[c].cusum < 0 ? SIZE_MAX : signal[charts[c].cusum];
    for (size_t r = 0; r < RULES; r++)
      if ((charts[c].rules >> r & 1) != 0 && rule[r] < length)
        length = rule[r];
    total[c].sum += (double)length;
    total[c].squares += (double)length * (double)length;
  }
  noise->used += longest;
}

static void expect_run_lengths(int shift, size_t runs, size_t window, unsigned long seed) {
  static noise_stream noise;
  static bt_restart at_start;
  bt_cusum cusum[CUSUMS];
  totals total[CHARTS] = {0};
  gsl_set_error_handler_off();
  noise.source = gsl_rng_alloc(gsl_rng_taus2);
  cr_assert(noise.source != NULL);
  gsl_rng_set(noise.source, seed);
  noise.shift = shift;
  fill_noise(&noise, 0);
  memset(judged, 1, sizeof judged);
  for (size_t c = 0; c < CUSUMS; c++)
    cusum[c] = (bt_cusum){.k = 0.5,
                          .h = cusum_h[c],
                          .headstart = cusum_headstart[c],
                          .high = sum_high,
                          .low = sum_low,
                          .run_high = run_high,
                          .run_low = run_low,
                          .restarts = &at_start,
                          .restarts_n = cusum_headstart[c] > 0};

  for (size_t run = 0; run < runs; run++)
    run_once(&noise, window, cusum, total);

  for (size_t c = 0; c < CHARTS; c++) {
    double n = (double)runs, mean = total[c].sum / n;
    double own = sqrt((total[c].squares / n - mean * mean) / (n - 1));
    double error = hypot(own, charts[c].error[shift]);
    double listed = charts[c].arl[shift];
    cr_expect_lt(own / mean, shift == 0 ? 0.02 : 0.01, "%s: too few runs", charts[c].name);
    cr_expect_leq(fabs(mean - listed), 4 * error, "%s at shift %d: ARL %.4f +- %.4f, not %.4f",
                  charts[c].name, shift, mean, error, listed);
  }
  for (size_t c = 0; c < CUSUMS; c++)
    free(cusum[c].excursions);
  gsl_rng_free(noise.source);
}

Test(run_lengths, in_control) {
  expect_run_lengths(0, 8000, 256, 20261);
}

Test(run_lengths, shifted_by_one_sigma) {
  expect_run_lengths(1, 40000, 16, 20262);
}
