/* Values that stand alone (src/drift/far.c). */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>

enum { N = 60 };

/* Numbers within 2 of 100, in no order. */
static void make(double *value, size_t n) {
  for (size_t i = 0; i < n; i++)
    value[i] = 100 + (double)(i * 7 % 5) - 2;
}

static size_t far_of(const double *value, size_t n, uint8_t *is) {
  return bt_far_values(value, n, 1, is);
}

Test(far, a_value_alone_is_far_wherever_it_stands) {
  static const size_t places[] = {0, 1, 30, N - 2, N - 1};
  double value[N];
  uint8_t is[N];
  for (size_t p = 0; p < sizeof places / sizeof *places; p++)
    for (int side = -1; side <= 1; side += 2) {
      make(value, N);
      value[places[p]] = 100 + side * 30;
      cr_expect_eq(far_of(value, N, is), 1, "%zu", places[p]);
      cr_expect(is[places[p]]);
    }
  make(value, N);
  value[30] = 1000; /* a decimal point that was lost */
  value[31] = 0;
  cr_expect_eq(far_of(value, N, is), 2, "one on each side");
}

/* Before stand 102, 99, 101, after it 100, 102, 99. All six lie at a median distance of 1.5 from
 * their median: s is 2.2239. Two are 102, and 102 + 6 s is 115.34. */
Test(far, six_times_the_larger_of_both_spreads) {
  double value[N];
  uint8_t is[N];
  make(value, N);
  value[30] = 115.3;
  cr_expect_eq(far_of(value, N, is), 0);
  value[30] = 115.4;
  cr_expect_eq(far_of(value, N, is), 1);
  cr_expect_eq(bt_far_values(value, N, 2.3, is), 0, "of the sigma given");
  cr_expect_eq(bt_far_values(value, N, 0, is), 0, "A3");
}

Test(far, what_lasts_is_not_far) {
  double value[N];
  uint8_t is[N];
  for (size_t length = 1; length <= 30; length++) {
    make(value, N);
    for (size_t i = N - length; i < N; i++)
      value[i] -= 30;
    cr_expect_eq(far_of(value, N, is), length == 1, "a step of %zu values", length);
  }
  for (size_t i = 0; i < N; i++)
    value[i] = 100 - 5 * (double)i;
  cr_expect_eq(far_of(value, N, is), 0, "a steep loss");
  make(value, N);
  for (size_t i = 20; i < 23; i++)
    value[i] += 30;
  cr_expect_eq(far_of(value, N, is), 0, "three in a row are no slip");
}

Test(far, few_values_have_no_far_ones) {
  const double value[] = {100, 500, 100, 101};
  uint8_t is[4];
  cr_expect_eq(bt_far_values(value, 0, 1, is), 0);
  cr_expect_eq(bt_far_values(value, 1, 1, is), 0);
  cr_expect_eq(bt_far_values(value, 2, 1, is), 0, "nobody knows which of two");
  cr_expect_eq(bt_far_values(value, 4, 1, is), 1);
  cr_expect(is[1]);
}

Test(far, hardly_one_of_a_million_normal_values) {
  static double value[1000000];
  static uint8_t is[1000000];
  enum { MANY = sizeof is };
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 20260507);
  for (size_t i = 0; i < MANY; i++)
    value[i] = gsl_ran_gaussian(source, 1);
  gsl_rng_free(source);
  cr_expect_leq(bt_far_values(value, MANY, 1, is), 1);
}
