/* The two parts of a loss, the last values, and values that go along with another's change. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { N = 150, FROM = 90 };

static double day[N], value[N], age[N];
static int32_t fill[N];
static uint8_t known[N];

/* A check a day, a refill every third; loss of 1 a day inside the fills, noise of `noise`. */
static bt_parts parts_of(double lasting, double fills, double noise, bt_change_kind kind) {
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 5);
  for (int i = 0; i < N; i++) {
    day[i] = 20000 + i;
    age[i] = i % 3;
    fill[i] = i / 3;
    known[i] = 1;
    double after = i >= FROM ? 1 : 0;
    double x = kind == BT_CHANGE_STEP ? after : fmax(i - FROM, 0);
    value[i] = 50 - age[i] + lasting * x + fills * age[i] * after + gsl_ran_gaussian(source, noise);
  }
  gsl_rng_free(source);
  bt_change change = {.n = N,
                      .kind = kind,
                      .step = {.given = true, .day = 20000 + FROM},
                      .hinge = {.given = true, .day = 20000 + FROM}};
  bt_parts parts;
  bt_error error;
  cr_assert_eq(bt_parts_find(day, value, age, fill, known, N, &change, &parts, &error), BT_OK);
  return parts;
}

Test(parts, each_is_told_and_both_together) {
  for (int kind = BT_CHANGE_STEP; kind <= BT_CHANGE_HINGE; kind++) {
    double size = kind == BT_CHANGE_STEP ? -2 : -0.06;
    bt_parts both = parts_of(size, -1.5, 0.5, (bt_change_kind)kind);
    cr_assert(both.given && both.lasting.shown && both.fills.shown);
    cr_expect(both.lasting.low <= size && size <= both.lasting.high, "%g", both.lasting.size);
    cr_expect(both.fills.low <= -1.5 && -1.5 <= both.fills.high, "%g", both.fills.size);
    bt_parts one = parts_of(size, 0, 0.5, (bt_change_kind)kind);
    cr_expect(one.given && one.lasting.shown && !one.fills.shown);
    one = parts_of(0, -1.5, 0.5, (bt_change_kind)kind);
    cr_expect(one.given && !one.lasting.shown && one.fills.shown);
    one = parts_of(0, 0, 0.5, (bt_change_kind)kind);
    cr_expect(one.given && !one.lasting.shown && !one.fills.shown);
  }
}

/* Nearly without noise the sizes are exact. */
Test(parts, sizes) {
  bt_parts parts = parts_of(-0.04, -0.7, 1e-7, BT_CHANGE_HINGE);
  cr_assert(parts.given);
  cr_expect_float_eq(parts.lasting.size, -0.04, 1e-6);
  cr_expect_float_eq(parts.fills.size, -0.7, 1e-6);
  cr_expect_eq(parts.n, N);
  cr_expect_eq(parts.df, N - 4);
}

Test(parts, P2_not_given) {
  bt_error error;
  bt_parts parts = parts_of(0, 0, 1, BT_CHANGE_STEP);
  bt_change change = {.n = N, .kind = BT_CHANGE_NONE};
  cr_assert_eq(bt_parts_find(day, value, age, fill, known, N, &change, &parts, &error), BT_OK);
  cr_expect(!parts.given);
  change = (bt_change){.n = N, .kind = BT_CHANGE_STEP, .step = {.given = true, .day = 20090}};
  cr_assert_eq(bt_parts_find(day, value, age, fill, known, 13, &change, &parts, &error), BT_OK);
  cr_expect(!parts.given, "under 10 degrees of freedom");
  for (int i = 0; i < N; i++)
    age[i] = 1;
  cr_assert_eq(bt_parts_find(day, value, age, fill, known, N, &change, &parts, &error), BT_OK);
  cr_expect(!parts.given, "one age");
}

/* 1, 2, 3, 4, 6: the last two have a mean of 5; s^2 = 3.7, t(0.975; 4) = 2.776445. */
Test(recent, by_hand) {
  static const double values[] = {1, 2, 3, 4, 6};
  bt_recent recent = bt_recent_mean(values, 5, 2);
  cr_expect_eq(recent.n, 2);
  cr_expect_float_eq(recent.mean, 5, 1e-12);
  cr_expect_float_eq(recent.high - recent.mean, 2.776445 * sqrt(3.7 / 2), 1e-5);
  cr_expect_float_eq(recent.mean - recent.low, recent.high - recent.mean, 1e-12);
  recent = bt_recent_mean(values, 1, 8);
  cr_expect(recent.n == 1 && recent.low == 1 && recent.high == 1);
}

Test(along, a_step_and_a_slope) {
  gsl_set_error_handler_off();
  bt_error error;
  bt_effect effect;
  bt_change change = {
      .kind = BT_CHANGE_STEP, .step = {.day = 20}, .hinge = {.given = true, .day = 20}};
  for (int i = 0; i < 40; i++) {
    day[i] = i;
    value[i] = (i >= 20 ? -3 : 0) + (i % 2 == 0 ? 0.1 : -0.1);
  }
  cr_assert_eq(bt_along_find(day, value, 40, &change, &effect, &error), BT_OK);
  cr_assert(effect.given);
  cr_expect_float_eq(effect.slope, -3, 1e-12);
  cr_expect_lt(effect.p, 1e-9);
  change.kind = BT_CHANGE_HINGE;
  change.hinge.day = 20;
  for (int i = 0; i < 40; i++)
    value[i] = -0.5 * fmax(i - 20, 0);
  cr_assert_eq(bt_along_find(day, value, 40, &change, &effect, &error), BT_OK);
  cr_expect_float_eq(effect.slope, -0.5, 1e-12);
}
