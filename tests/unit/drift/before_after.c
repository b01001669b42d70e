/* Before and after an event: which values take part, edges, and the interval's coverage. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { MOST = 100 };

static bt_comparison about(const double *day, const double *value, size_t n, double event,
                           double not_before, double not_after) {
  gsl_set_error_handler_off();
  bt_comparison found;
  bt_error error = {0};
  cr_assert_eq(bt_before_after_find(day, value, n, event, not_before, not_after, &found, &error),
               BT_OK, "%s", error.text);
  return found;
}

/* Value i at day i is i itself, so that means tell which took part. */
Test(before_after, B1_B2_which_values) {
  double day[MOST], sparse[MOST];
  for (size_t i = 0; i < MOST; i++) {
    day[i] = (double)i;
    sparse[i] = 2 * (double)i;
  }
  bt_comparison found = about(day, day, MOST, 50, -INFINITY, INFINITY);
  cr_expect(found.before.n == 20 && found.before.mean == 39.5, "30 .. 49");
  cr_expect(found.after.n == 20 && found.after.mean == 59.5, "50 .. 69");
  cr_expect(found.as_found.n == 8 && found.as_found.mean == 45.5, "42 .. 49");
  cr_expect(found.as_left.n == 8 && found.as_left.mean == 53.5, "50 .. 57");
  cr_expect_float_eq(found.difference, 20, 1e-12);

  found = about(sparse, day, MOST, 100, -INFINITY, INFINITY); /* values 35 .. 65 by days */
  cr_expect(found.before.n == 15 && found.before.mean == 42, "35 .. 49");
  cr_expect(found.after.n == 16 && found.after.mean == 57.5, "50 .. 65");

  found = about(day, day, MOST, 50, 45, 53); /* another event on either side */
  cr_expect(found.before.n == 5 && found.before.mean == 47, "45 .. 49");
  cr_expect(found.after.n == 3 && found.after.mean == 51, "50 .. 52");
  cr_expect(found.as_found.n == 5 && found.as_left.n == 3);

  cr_expect(!about(day, day, MOST, 1, -INFINITY, INFINITY).given, "one value before");
  cr_expect(!about(day, day, MOST, 99, -INFINITY, INFINITY).given, "one value after");
  found = about(day, day, 0, 50, -INFINITY, INFINITY);
  cr_expect(!found.given && found.before.n == 0 && found.as_left.n == 0);
}

Test(before_after, B3_without_scatter) {
  static const double day[] = {0, 1, 2, 3, 4, 5}, alike[] = {7, 7, 7, 5, 5, 5},
                      half[] = {7, 7, 7, 5, 6, 5};
  bt_comparison found = about(day, alike, 6, 3, -INFINITY, INFINITY);
  cr_expect(found.given && !found.has_interval && !found.has_ratio && found.difference == -2);
  cr_expect(found.low == -2 && found.high == -2 && found.spread_p == 1);
  found = about(day, half, 6, 3, -INFINITY, INFINITY);
  cr_expect(found.has_interval && !found.has_ratio && found.df == 2);
  cr_expect(found.low < found.difference && found.difference < found.high);
}

/* 3,000 events that move the mean by 1 and double the spread: the interval holds 1 in 95 %, the
 * ratio's holds 4 in 95 %; within 4 standard errors. With one spread its test says so in 5 % or a
 * little less. */
Test(before_after, coverage_by_simulation) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 51);
  const int runs = 3000;
  int covered = 0, ratio_covered = 0, spread = 0;
  double day[40], value[40];
  for (int run = 0; run < runs; run++) {
    for (size_t i = 0; i < 40; i++) {
      day[i] = (double)i;
      value[i] = gsl_ran_gaussian(source, 1);
    }
    spread += about(day, value, 40, 20, -INFINITY, INFINITY).spread_p < 0.05;
    for (size_t i = 20; i < 40; i++)
      value[i] = 1 + 2 * value[i];
    bt_comparison found = about(day, value, 40, 20, -INFINITY, INFINITY);
    covered += found.low <= 1 && 1 <= found.high;
    ratio_covered += found.ratio_low <= 4 && 4 <= found.ratio_high;
  }
  gsl_rng_free(source);
  double error = 4 * sqrt(0.95 * 0.05 / runs);
  cr_expect_float_eq((double)covered / runs, 0.95, error);
  cr_expect_float_eq((double)ratio_covered / runs, 0.95, error);
  cr_expect((double)spread / runs < 0.05 + error && (double)spread / runs > 0.02, "%d", spread);
}
