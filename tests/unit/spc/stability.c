/* The test of a period: edges, its parts, and its false findings by simulation. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_step.h"

#include <criterion/criterion.h>
#include <float.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

static bt_stability find(const double *value, const uint8_t *use, size_t n) {
  gsl_set_error_handler_off();
  bt_stability found;
  bt_error error = {0};
  cr_assert_eq(bt_stability_test(value, use, n, &found, &error), BT_OK, "%s", error.text);
  return found;
}

Test(stability, T2_under_four_values_there_is_no_test) {
  static const double value[] = {1, 5, 9, 13, 20};
  static const uint8_t three[] = {1, 0, 1, 0, 1}, all[] = {1, 1, 1, 1, 1};
  bt_stability found = find(value, three, 5);
  cr_expect(found.n == 0 && found.trend_p == 1 && found.step_p == 1 && !found.drifting);
  cr_expect(found.detectable == 0 && found.step_f == 0 && found.tau == 0);
  found = find(value, three, 0);
  cr_expect(found.n == 0 && found.trend_p == 1 && found.step_p == 1);
  found = find(value, all, 4);
  cr_expect_eq(found.n, 4);
  cr_expect_eq(found.tau, 1);
  cr_expect_float_eq(found.trend_p, 2.0 / 24, 1e-12);
}

Test(stability, all_alike_do_not_drift) {
  static const double value[] = {0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1};
  static const uint8_t all[] = {1, 1, 1, 1, 1, 1, 1, 1, 1};
  bt_stability found = find(value, all, 9);
  cr_expect_eq(found.n, 9);
  cr_expect(found.trend_p == 1 && found.step_p == 1 && found.step_f == 0 && !found.drifting);
}

/* A slow ramp is a trend; a step in the middle of what wavers is a step. */
Test(stability, a_trend_and_a_step_are_found) {
  double ramp[30], step[30];
  uint8_t use[30];
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 30; i++) {
    double wave = i % 2 == 0 ? 1 : -1;
    ramp[i] = 0.1 * (double)i + wave;
    step[i] = wave + (i < 19 ? 0 : 2.5);
  }
  bt_stability found = find(ramp, use, 30);
  cr_expect(found.drifting && found.trend_p < 0.01);
  found = find(step, use, 30);
  cr_expect(found.drifting && found.step_p < 0.001);
  cr_expect_eq(found.step_at, 19);
}

/* The one that drifts is told, on whichever side it stands; each p is doubled, up to 1. */
Test(stability, T4_of_two_series_the_louder_is_told_with_its_p_doubled) {
  double quiet[30], ramp[30];
  uint8_t use[30];
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 30; i++) {
    double wave = i % 2 == 0 ? 1 : -1;
    quiet[i] = wave;
    ramp[i] = 0.1 * (double)i + wave;
  }
  bt_stability alone = find(ramp, use, 30), louder;
  bt_error error = {0};
  for (int first = 0; first < 2; first++) {
    cr_assert_eq(
        bt_stability_test_two(first ? ramp : quiet, first ? quiet : ramp, use, 30, &louder, &error),
        BT_OK);
    cr_expect(louder.drifting && louder.tau == alone.tau && louder.step_at == alone.step_at);
    cr_expect_float_eq(louder.trend_p, fmin(1, 2 * alone.trend_p), 1e-15);
    cr_expect_float_eq(louder.step_p, fmin(1, 2 * alone.step_p), 1e-15);
  }
  cr_assert_eq(bt_stability_test_two(quiet, quiet, use, 30, &louder, &error), BT_OK);
  cr_expect(!louder.drifting && louder.trend_p <= 1 && louder.step_p <= 1);
  cr_expect_float_eq(louder.detectable, spc_step_detectable(30, 2), 1e-12);
}

Test(stability, values_too_large_are_refused) {
  static const double value[] = {DBL_MAX, 0, -DBL_MAX, 1, 2, 3};
  static const uint8_t all[] = {1, 1, 1, 1, 1, 1};
  bt_stability found;
  bt_error error = {0};
  gsl_set_error_handler_off();
  cr_expect_eq(bt_stability_test(value, all, 6, &found, &error), BT_INPUT);
  cr_expect(strstr(error.text, "too large") != NULL);
}

/* T1, T3: the parts, put together by hand from what takes part. */
Test(stability, parts_agree_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double kept[SHAPE_MOST];
    size_t from[SHAPE_MOST], n = 0;
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0) {
        from[n] = i;
        kept[n++] = at.value[i];
      }
    bt_stability found = find(at.value, at.use, at.n);
    cr_expect_eq(found.n, n < 4 ? 0 : n);
    if (n < 4)
      continue;
    double tau = 0, p = 0;
    size_t step_at = 0;
    bt_error error;
    cr_assert_eq(bt_kendall(kept, n, &tau, &p, &error), BT_OK);
    double f = spc_step_largest(kept, n, &step_at);
    cr_expect(found.tau == tau && found.trend_p == p && found.step_f == f);
    cr_expect_eq(found.step_at, from[step_at]);
    cr_expect_eq(found.step_p, spc_step_p(f, n));
    cr_expect_eq(found.detectable, spc_step_detectable(n, 1));
    cr_expect_eq(found.drifting, p < 0.01 || found.step_p < 0.01);
  }
}

/* Of 4,000 periods of 40 values without drift, 1 % to 2.4 % are called drifting: two tests at 1 %,
 * which often agree. */
Test(stability, false_findings_by_simulation) {
  enum { RUNS = 4000, N = 40 };
  uint8_t use[N];
  uint64_t seed = 8;
  size_t drifting = 0;
  memset(use, 1, sizeof use);
  for (size_t run = 0; run < RUNS; run++) {
    double value[N];
    for (size_t i = 0; i < N; i++)
      value[i] = shape_normal(&seed);
    drifting += find(value, use, N).drifting;
  }
  cr_expect(drifting > RUNS / 100 && drifting < RUNS * 24 / 1000, "%zu of %d", drifting, RUNS);
}
