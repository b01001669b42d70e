/* The newest values beside the fitted line: a plain loop over the definition, edges, how often they
 * are said to differ where the drift goes on as fitted, and that a fall is seen. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { N = 120, LAST = 5 };

typedef struct made {
  double day[N], value[N];
  bt_change change;
} made;

/* Level up to day 50, then `slope` a day, with scatter 1; the last values `more` off it. */
static void make(gsl_rng *random, double slope, double more, made *of) {
  bt_error error = {0};
  for (size_t i = 0; i < N; i++) {
    of->day[i] = (double)i;
    of->value[i] =
        slope * fmax(0, (double)i - 50) + (i + LAST >= N ? more : 0) + gsl_ran_gaussian(random, 1);
  }
  cr_assert_eq(bt_change_find(of->day, of->value, N, &of->change, &error), BT_OK, "%s", error.text);
}

static gsl_rng *seeded(void) {
  gsl_set_error_handler_off();
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  cr_assert_not_null(random);
  gsl_rng_set(random, 41);
  return random;
}

Test(newest, follows_its_definition) {
  gsl_rng *random = seeded();
  for (int k = 0; k < 20; k++) {
    made of;
    make(random, k % 2 == 0 ? -0.05 : 0, k % 3 - 1, &of);
    const bt_change *change = &of.change;
    double sum = 0;
    for (size_t i = N - LAST; i < N; i++)
      sum += of.value[i] - (change->kind == BT_CHANGE_HINGE
                                ? change->hinge.before +
                                      change->hinge.per_day * fmax(0, of.day[i] - change->hinge.day)
                            : of.day[i] >= change->step.day ? change->step.after
                                                            : change->step.before);
    double difference = sum / LAST, se = change->sigma / sqrt(LAST);
    bt_newest newest = bt_newest_of(of.day, of.value, N, change);
    cr_assert(newest.given);
    cr_expect_eq(newest.n, LAST);
    cr_expect_float_eq(newest.difference, difference, 1e-10);
    cr_expect_float_eq(newest.high - newest.low, 2 * gsl_cdf_tdist_Pinv(0.975, N - 3) * se, 1e-10);
    cr_expect_float_eq(newest.p, 2 * gsl_cdf_tdist_P(-fabs(difference) / se, N - 3), 1e-10);
    cr_expect_eq(newest.differs, newest.p < 0.001);
  }
  gsl_rng_free(random);
}

/* N2: of lasers that go on as fitted it says less often than p that they do not. */
Test(newest, claims_no_more_than_it_says) {
  enum { RUNS = 400 };
  gsl_rng *random = seeded();
  size_t under_5 = 0, differ = 0, seen = 0;
  for (int run = 0; run < RUNS; run++) {
    made of;
    make(random, -0.05, 0, &of);
    bt_newest newest = bt_newest_of(of.day, of.value, N, &of.change);
    under_5 += newest.p < 0.05;
    differ += newest.differs;
    make(random, -0.05, -4, &of);
    newest = bt_newest_of(of.day, of.value, N, &of.change);
    seen += newest.differs && newest.difference < 0;
  }
  cr_expect_leq(under_5, RUNS * 0.05 + 2 * sqrt(RUNS * 0.05), "%zu", under_5);
  cr_expect_gt(under_5, 0, "it can speak at all");
  cr_expect_leq(differ, 2, "%zu", differ);
  cr_expect_geq(seen, RUNS * 0.9, "a fall of 4 sigma: %zu", seen);
  gsl_rng_free(random);
}

Test(newest, is_not_given_without_a_change_or_scatter) {
  double day[N], value[N] = {0};
  bt_change none = {.kind = BT_CHANGE_NONE, .sigma = 1}, exact = {.kind = BT_CHANGE_STEP},
            step = {.kind = BT_CHANGE_STEP, .sigma = 1};
  for (size_t i = 0; i < N; i++)
    day[i] = (double)i;
  cr_expect_not(bt_newest_of(day, value, N, &none).given);
  cr_expect_not(bt_newest_of(day, value, N, &exact).given);
  cr_expect_not(bt_newest_of(day, value, 2 * LAST - 1, &step).given);
  cr_expect(bt_newest_of(day, value, 2 * LAST, &step).given);
}
