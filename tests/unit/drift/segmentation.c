/* One step or several: by hand, and the rate of false ones. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 120 };

/* Values about the levels of four spans of 30, each 6 sigma from the next where it differs. */
static bt_steps of_levels(const double *level, size_t spans) {
  double value[MOST];
  for (size_t i = 0; i < 30 * spans; i++)
    value[i] = 6 * level[i / 30] + (double)(i * i % 11) / 5 - 1;
  return bt_steps_find(value, 30 * spans);
}

Test(segmentation, finds_each_step) {
  static const double none[] = {1, 1, 1, 1}, one[] = {1, 1, 2, 2}, two[] = {1, 2, 2, 1},
                      three[] = {1, 2, 1, 2};
  cr_expect_eq(of_levels(none, 4).n, 0);
  bt_steps steps = of_levels(one, 4);
  cr_expect(steps.n == 1 && steps.first[0] == 60);
  steps = of_levels(two, 4);
  cr_expect(steps.n == 2 && steps.first[0] == 30 && steps.first[1] == 90);
  steps = of_levels(three, 4);
  cr_expect(steps.n == 3 && steps.first[0] == 30 && steps.first[1] == 60 && steps.first[2] == 90);
}

Test(segmentation, M1_M2_M3_edges) {
  static const double alike[8] = {0}, perfect[] = {1, 1, 1, 1, 3, 3, 3, 3},
                      wild[] = {9, 1, 2, 1, 2, 1, 2, 1, 2, 1};
  cr_expect_eq(bt_steps_find(alike, 8).n, 0);
  for (size_t n = 0; n < 4; n++)
    cr_expect_eq(bt_steps_find(perfect + 2, n).n, 0);
  bt_steps steps = bt_steps_find(perfect, 8);
  cr_expect(steps.n == 1 && steps.first[0] == 4 && isfinite(steps.likelihood_ratio));
  cr_expect_eq(bt_steps_find(wild, 10).n, 0, "one wild value at an end is no step");
}

/* With one step the likelihood ratio is that of the change. */
Test(segmentation, agrees_with_the_change) {
  double day[MOST], value[MOST];
  for (size_t i = 0; i < MOST; i++) {
    day[i] = (double)i;
    value[i] = (double)(i * i % 13) + (i >= 47 ? 9 : 0);
  }
  bt_change change;
  bt_error error;
  cr_assert_eq(bt_change_find(day, value, MOST, &change, &error), BT_OK);
  bt_steps steps = bt_steps_find(value, MOST);
  cr_assert_eq(steps.n, 1);
  cr_expect_eq(steps.first[0], change.step.first);
  cr_expect_float_eq(steps.likelihood_ratio, change.step.likelihood_ratio, 1e-8);
}

/* Unchanged series get a step in 1 %, and those with one step a second in 1 %; up to 2 %. */
Test(segmentation, false_steps_are_rare) {
  const int runs = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 20000 : 3000;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 24);
  for (size_t n = 20; n <= MOST; n += 50) {
    int any = 0, second = 0;
    for (int run = 0; run < runs; run++) {
      double value[MOST];
      for (size_t i = 0; i < n; i++)
        value[i] = gsl_ran_gaussian(source, 1);
      any += bt_steps_find(value, n).n > 0;
      for (size_t i = n / 2; i < n; i++)
        value[i] += 8;
      second += bt_steps_find(value, n).n > 1;
    }
    double share = (double)any / runs, again = (double)second / runs;
    cr_expect(share > 0.004 && share < 0.016, "n = %zu: %.4f", n, share);
    cr_expect_lt(again, 0.02, "n = %zu: %.4f", n, again);
  }
  gsl_rng_free(source);
}
