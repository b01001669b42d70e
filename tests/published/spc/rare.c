/* Rare failures: the handbook's repair times. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>

/* NIST/SEMATECH e-Handbook, 8.2.3.4 (numbers from memory, confirmed by computation): repairs at
 * these hours of 1500; here days. Laplace's U is -1.327; of the intervals from the start on
 * R = 33 of 45, and P(R >= 33) = .0363 exactly. */
static const int64_t hour[] = {0, 5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478};

Test(rare, nist_laplace) {
  bt_time at[10];
  for (size_t i = 0; i < 10; i++)
    at[i] = 20 * BT_DAY + hour[i + 1] * BT_DAY;
  bt_rare rare;
  bt_error error;
  gsl_set_error_handler_off();
  cr_assert_eq(bt_rare_find(at, 10, 20 * BT_DAY, 1520 * BT_DAY, &rare, &error), BT_OK);
  cr_expect_float_eq(rare.laplace_u, -1.327, 5e-4);
  cr_expect_eq(rare.open_days, 22);
  cr_expect_float_eq(rare.mean_days, 1473.0 / 9, 1e-12);
  bt_rare_free(&rare);
}

/* A first failure at the start makes the handbook's first interval a gap. Two of the intervals are
 * alike; the handbook's exact distribution is that without ties, so the second one is taken a
 * minute shorter here, which leaves R at 33. */
Test(rare, nist_reverse_arrangements) {
  bt_time at[11];
  bt_rare rare;
  bt_error error;
  gsl_set_error_handler_off();
  for (size_t i = 0; i < 11; i++)
    at[i] = hour[i] * BT_DAY;
  cr_assert_eq(bt_rare_find(at, 11, 0, 1500 * BT_DAY, &rare, &error), BT_OK);
  static const double gap[] = {5, 35, 3, 132, 214, 323, 35, 48, 504, 179};
  cr_assert_eq(rare.gaps_n, 10);
  cr_expect_arr_eq(rare.gap_days, gap, sizeof gap);
  cr_expect_eq(rare.reversals, 33);
  /* With the tie: S = 33 - 11, variance (10 9 25 - 2 9)/18 = 124, Z = 21/sqrt(124). */
  cr_expect_float_eq(rare.trend_p, erfc(21 / sqrt(124) / sqrt(2)), 1e-12);
  bt_rare_free(&rare);

  for (size_t i = 7; i < 11; i++)
    at[i] -= BT_MINUTE;
  cr_assert_eq(bt_rare_find(at, 11, 0, 1500 * BT_DAY, &rare, &error), BT_OK);
  cr_expect_eq(rare.reversals, 33);
  cr_expect_float_eq(rare.trend_p / 2, .0363, 5e-5, "P(R >= 33) = %.6f", rare.trend_p / 2);
  bt_rare_free(&rare);
}

/* P(R >= 31) of 45 is .0779: ten rising gaps, of which two long ones come first. */
Test(rare, reverse_arrangements_31) {
  static const int64_t gap[] = {10, 6, 1, 2, 3, 4, 5, 7, 8, 9};
  bt_time at[11] = {0};
  size_t reversals = 0;
  for (size_t i = 0; i < 10; i++) {
    at[i + 1] = at[i] + gap[i] * BT_DAY;
    for (size_t j = 0; j < i; j++)
      reversals += gap[j] < gap[i];
  }
  bt_rare rare;
  bt_error error;
  gsl_set_error_handler_off();
  cr_assert_eq(bt_rare_find(at, 11, 0, at[10], &rare, &error), BT_OK);
  cr_assert_eq(rare.reversals, reversals);
  cr_assert_eq(rare.reversals, 31, "R = %zu", reversals);
  cr_expect_float_eq(rare.trend_p / 2, .0779, 5e-5, "P(R >= 31) = %.6f", rare.trend_p / 2);
  bt_rare_free(&rare);
}
