/* Rare failures: edges, a plain loop, and the limit's probability by simulation. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

static bt_rare find(const bt_time *at, size_t n, bt_time from, bt_time until) {
  gsl_set_error_handler_off();
  bt_rare rare;
  bt_error error = {0};
  cr_assert_eq(bt_rare_find(at, n, from, until, &rare, &error), BT_OK, "%s", error.text);
  return rare;
}

Test(rare, none_and_one_failure) {
  static const bt_time at[] = {5 * BT_DAY};
  bt_rare rare = find(at, 0, 0, 10 * BT_DAY);
  cr_expect(rare.failures == 0 && rare.gaps_n == 0 && rare.gap_days == NULL);
  cr_expect(rare.open_days == 0 && rare.laplace_u == 0 && rare.trend_p == 1);
  rare = find(at, 1, 0, 8 * BT_DAY);
  cr_expect(rare.failures == 1 && rare.gaps_n == 0 && rare.gap_days == NULL);
  cr_expect_eq(rare.open_days, 3);
  cr_expect(rare.mean_days == 0 && rare.short_limit == 0 && rare.laplace_u == 0);
  bt_rare_free(&rare);
}

/* F2: each figure from its own number of failures on. */
Test(rare, F2_least_numbers) {
  static const int64_t day[] = {4, 6, 13, 30, 42, 50};
  bt_time at[6];
  for (size_t i = 0; i < 6; i++)
    at[i] = day[i] * BT_DAY;
  for (size_t n = 2; n <= 6; n++) {
    bt_rare rare = find(at, n, 0, 60 * BT_DAY);
    cr_expect_eq(rare.gaps_n, n - 1);
    cr_expect_eq(rare.gap_days[0], 2);
    cr_expect_eq(rare.laplace_u != 0, n >= 3);
    cr_expect_eq(rare.trend_p != 1, n >= 5, "%zu failures: p %g", n, rare.trend_p);
    cr_expect_eq(rare.short_limit > 0, n >= 6);
    cr_expect_eq(rare.items_n, 0);
    bt_rare_free(&rare);
  }
}

/* F1: the time before the first failure is no gap, but part of the time watched. */
Test(rare, F1_watching_began_earlier) {
  static const bt_time at[] = {100 * BT_DAY, 110 * BT_DAY, 112 * BT_DAY};
  bt_rare early = find(at, 3, 0, 120 * BT_DAY), late = find(at, 3, 90 * BT_DAY, 120 * BT_DAY);
  cr_expect_eq(early.mean_days, 6);
  cr_expect_eq(late.mean_days, 6);
  cr_expect_float_eq(early.laplace_u, (322.0 - 180) / (120 * sqrt(0.25)), 1e-12);
  cr_expect_float_eq(late.laplace_u, (52.0 - 45) / (30 * sqrt(0.25)), 1e-12);
  bt_rare_free(&early);
  bt_rare_free(&late);
  late = find(at, 3, 120 * BT_DAY, 120 * BT_DAY);
  cr_expect_eq(late.laplace_u, 0, "nothing watched");
  bt_rare_free(&late);
}

/* F3 and the limit itself: with gaps of 10 days before it, the last is short below 10 k [(1 -
 * .00135)^(-1/k) - 1]. */
Test(rare, F3_short_gap) {
  bt_time at[7] = {0};
  for (size_t i = 1; i < 6; i++)
    at[i] = at[i - 1] + 10 * BT_DAY;
  double limit = 50 * (pow(1 - 0.00135, -0.2) - 1);
  at[6] = at[5] + (bt_time)(limit * (double)BT_DAY) + 1;
  bt_rare rare = find(at, 7, 0, at[6]);
  cr_expect_float_eq(rare.short_limit, limit, 1e-12);
  cr_expect(!rare.last_is_short);
  bt_rare_free(&rare);
  at[6]--;
  rare = find(at, 7, 0, at[6]);
  cr_expect(rare.last_is_short, "gap %.9f, limit %.9f", rare.gap_days[5], rare.short_limit);
  bt_rare_free(&rare);

  static const bt_time together[7] = {0};
  rare = find(together, 7, 0, BT_DAY);
  cr_expect(rare.mean_days == 0 && rare.short_limit == 0 && !rare.last_is_short);
  cr_expect(rare.reversals == 0 && rare.trend_p == 1);
  bt_rare_free(&rare);
}

/* Failures that come faster: U above 0 and R below half of the pairs; turned in time the reverse.
 */
Test(rare, faster_and_slower) {
  bt_time faster[13], slower[13];
  for (int64_t i = 0; i < 13; i++) {
    faster[i] = (144 - (12 - i) * (12 - i)) * BT_DAY;
    slower[i] = i * i * BT_DAY;
  }
  bt_rare of_faster = find(faster, 13, 0, 144 * BT_DAY);
  bt_rare of_slower = find(slower, 13, 0, 144 * BT_DAY);
  cr_expect_gt(of_faster.laplace_u, 1);
  cr_expect_float_eq(of_slower.laplace_u, -of_faster.laplace_u, 1e-12);
  cr_expect_eq(of_faster.reversals, 0);
  cr_expect_eq(of_slower.reversals, 66);
  /* One order of 12! and its mirror image. */
  cr_expect_float_eq(log(of_faster.trend_p), log(2) - lgamma(13), 1e-12);
  cr_expect_eq(of_slower.trend_p, of_faster.trend_p);
  bt_rare_free(&of_faster);
  bt_rare_free(&of_slower);
}

Test(rare, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    bt_time when[SHAPE_MOST], clock = 1000;
    for (size_t i = 0; i < at.n; i++)
      when[i] = clock += at.use[i] == 0 ? 0 : (bt_time)(fabs(at.value[i]) * 40000);
    bt_time until = clock + 7 * BT_HOUR;
    bt_rare rare = find(when, at.n, 0, until);
    double sum = 0, before = 0;
    size_t reversals = 0;
    for (size_t i = 0; i < at.n; i++) {
      sum += ((double)when[i] / (double)until - 0.5) / sqrt((double)at.n / 12);
      for (size_t j = 1; j < i; j++)
        reversals += when[j] - when[j - 1] < when[i] - when[i - 1];
      if (i > 0 && i + 1 < at.n)
        before += (double)(when[i] - when[i - 1]) / 86400;
    }
    cr_expect_eq(rare.failures, at.n);
    cr_expect_eq(rare.gaps_n, at.n > 0 ? at.n - 1 : 0);
    cr_expect_eq(rare.reversals, reversals);
    cr_expect_float_eq(rare.open_days, at.n > 0 ? 7.0 / 24 : 0, 1e-12);
    cr_expect_float_eq(rare.laplace_u, at.n >= 3 ? sum : 0, 1e-9);
    double last = 0;
    if (at.n >= 2) {
      last = (double)(when[at.n - 1] - when[at.n - 2]) / 86400;
      cr_expect_float_eq(rare.mean_days * (double)rare.gaps_n, before + last, 1e-9);
      cr_expect_eq(rare.gap_days[rare.gaps_n - 1], last);
    }
    if (at.n >= 6) { /* P(F(2, 2k) < limit/mean) = 0.00135 */
      double k = (double)(at.n - 2), ratio = before > 0 ? rare.short_limit / (before / k) : 0;
      double chance = gsl_cdf_fdist_P(ratio, 2, 2 * k);
      cr_expect_float_eq(chance, before > 0 ? 0.00135 : 0, 1e-9, "%s %zu", at.name, s);
      cr_expect_eq(rare.last_is_short, last < rare.short_limit);
    }
    bt_rare_free(&rare);
  }
}

/* 100,000 logs of seven failures by chance: the last gap is short in 0.135 % of them, within 4
 * standard errors, although the mean comes from five gaps only. */
Test(rare, short_gaps_are_as_frequent_as_promised) {
  enum { RUNS = 100000 };
  uint64_t seed = 77;
  size_t short_n = 0;
  for (size_t run = 0; run < RUNS; run++) {
    bt_time at[7] = {0};
    for (size_t i = 1; i < 7; i++)
      at[i] = at[i - 1] + (bt_time)(-log(1 - shape_uniform(&seed)) * 1e9);
    bt_rare rare = find(at, 7, 0, at[6]);
    short_n += rare.last_is_short;
    bt_rare_free(&rare);
  }
  double share = (double)short_n / RUNS;
  cr_expect_float_eq(share, 0.00135, 4 * sqrt(0.00135 / RUNS), "%.6f", share);
}
