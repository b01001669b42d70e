/* The growth of the slope inside the fills, values moved to a fill's end along the slope of their
 * day, and whether forecasts of such lasers come true. */
#include "beamtally/drift.h"
#include "drift_change.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { N = 240, FROM = 140, FILL = 6 };

static const double old_slope = -0.3, mean_age = 2.5;
static const bt_slope before = {.per_day = -0.3, .se = 0.01, .mean_age_days = 2.5};

static double day[N], value[N], age[N];
static uint8_t known[N];
static bt_error error;

/* A check a day, a refill every sixth; from FROM on each fill loses more, by `growth` a day of age
 * and day. Moved along the slope of before. */
static void make(gsl_rng *source, double growth, double lasting, double noise) {
  for (int i = 0; i < N; i++) {
    double x = fmax(i - FROM, 0);
    day[i] = 20000 + i;
    age[i] = i % FILL;
    known[i] = 1;
    double raw = 50 + (old_slope + growth * x) * age[i] + lasting * x;
    value[i] = raw - old_slope * (age[i] - mean_age) + gsl_ran_gaussian(source, noise);
  }
}

static bt_change hinge_at(double onset) {
  return (bt_change){.n = N, .kind = BT_CHANGE_HINGE, .hinge = {.given = true, .day = onset}};
}

static bt_fill_growth growth_of(const bt_change *change) {
  bt_fill_growth growth;
  cr_assert_eq(bt_fill_growth_find(day, value, age, known, N, change, &before, &growth, &error),
               BT_OK);
  return growth;
}

/* Nearly without noise the growth is exact, with a lasting loss beside it or without, and the
 * values at a fill's end are those of a line. */
Test(fill_growth, sizes) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  for (int beside = 0; beside < 2; beside++) {
    double lasting = beside ? -0.02 : 0, end = 5, at_end[N];
    make(source, -0.01, lasting, 1e-9);
    bt_change change = hinge_at(20000 + FROM);
    bt_fill_growth growth = growth_of(&change);
    cr_assert(growth.given);
    cr_expect_float_eq(growth.per_day, -0.01, 1e-8);
    cr_expect_float_eq(growth.by_now, -0.01 * (N - 1 - FROM), 1e-6);
    cr_expect_float_eq(growth.now, old_slope + growth.by_now, 1e-9);
    cr_expect_float_eq(growth.high - growth.low, 2 * 1.970 * before.se, 1e-4, "t(0.975; 237)");
    bt_fill_end_values(day, value, age, known, N, &change, &growth, &before, end, at_end);
    for (int i = 0; i < N; i++) {
      double x = fmax(i - FROM, 0);
      cr_assert_float_eq(at_end[i], 50 + old_slope * end + x * (lasting - 0.01 * end), 1e-6, "%d",
                         i);
    }
  }
  gsl_rng_free(source);
}

/* By the normal equations in plain loops. */
Test(fill_growth, is_least_squares) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  make(source, -0.008, -0.01, 1);
  bt_change change = hinge_at(20000 + FROM);
  for (int i = 0; i < N; i += 7)
    known[i] = 0;
  bt_fill_growth growth = growth_of(&change);
  double a[3][4] = {{0}}, inverse = 0, rss = 0, solution[3], n = 0;
  for (int i = 0; i < N; i++) {
    double x = fmax(i - FROM, 0), row[4] = {1, x, x * (age[i] - mean_age), value[i]};
    for (int r = 0; r < 3 && known[i]; r++)
      for (int k = 0; k < 4; k++)
        a[r][k] += row[r] * row[k];
    n += known[i];
  }
  for (int r = 0; r < 3; r++) /* Gauss; the last pivot's inverse is that entry of the inverse */
    for (int below = r + 1; below < 3; below++) {
      double times = a[below][r] / a[r][r];
      for (int k = r; k < 4; k++)
        a[below][k] -= times * a[r][k];
    }
  for (int r = 2; r >= 0; r--) {
    solution[r] = a[r][3];
    for (int k = r + 1; k < 3; k++)
      solution[r] -= a[r][k] * solution[k];
    solution[r] /= a[r][r];
  }
  inverse = 1 / a[2][2];
  for (int i = 0; i < N; i++) {
    double x = fmax(i - FROM, 0);
    double left = value[i] - solution[0] - solution[1] * x - solution[2] * x * (age[i] - mean_age);
    rss += known[i] ? left * left : 0;
  }
  cr_expect_float_eq(growth.per_day, solution[2], 1e-9);
  cr_expect_float_eq(growth.se, sqrt(rss / (n - 3) * inverse), 1e-9);
  gsl_rng_free(source);
}

Test(fill_growth, not_given) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  make(source, -0.01, 0, 1);
  bt_change step = {.n = N, .kind = BT_CHANGE_STEP, .step = {.given = true, .day = 20000 + FROM}};
  cr_expect_not(growth_of(&step).given, "a step");
  bt_change change = hinge_at(20000 + FROM);
  for (int i = 0; i < N; i++)
    known[i] = i % 20 == 0;
  cr_expect_not(growth_of(&change).given, "too few ages");
  for (int i = 0; i < N; i++) {
    known[i] = 1;
    age[i] = mean_age;
  }
  cr_expect_not(growth_of(&change).given, "all of one age");
  gsl_rng_free(source);
}

/* The day of the first check outside the limit after the last value: a check a day, each of them at
 * a fill's end, as forecasts take them to be. */
static double first_failure(gsl_rng *source, double growth, double low, double noise) {
  for (int i = N;; i++) {
    if (50 + (old_slope + growth * (i - FROM)) * (FILL - 1) + gsl_ran_gaussian(source, noise) < low)
      return 20000 + i;
  }
}

/* Of lasers whose fills lose more and more: few first failures come by the 1-in-20 day, half by the
 * 1-in-2 day, and the set holds the day of the mean. Along the slope of before nearly all of them
 * come before the 1-in-20 day. */
Test(fill_growth, forecasts_come_true) {
  enum { LASERS = 100 };
  gsl_set_error_handler_off();
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  int by_5 = 0, by_50 = 0, held = 0, along_the_old = 0;
  for (int laser = 0; laser < LASERS; laser++) {
    double growth = -0.008, noise = 0.5, end = 5, low = 43, at_end[N];
    make(source, growth, 0, noise);
    bt_change change, then;
    cr_assert_eq(bt_change_find(day, value, N, &change, &error), BT_OK);
    bt_fill_growth found = growth_of(&change);
    cr_assert(found.given);
    bt_fill_end_values(day, value, age, known, N, &change, &found, &before, end, at_end);
    cr_assert_eq(bt_change_find(day, at_end, N, &then, &error), BT_OK);
    bt_forecast_basis basis = {.look = {.given = true},
                               .trend = {.given = true, .slope = -1},
                               .has_low = true,
                               .low = low,
                               .per_day_se = found.se * (end - mean_age),
                               .check_sigma = then.sigma,
                               .checks_a_day = 1};
    bt_forecast forecast, old;
    cr_assert_eq(bt_forecast_find(day, at_end, N, &then, &basis, &forecast, &error), BT_OK);
    basis.within_per_day = old_slope;
    basis.mean_age_days = mean_age;
    basis.oldest_age_days = end;
    basis.per_day_se = 0;
    basis.check_sigma = change.sigma;
    cr_assert_eq(bt_forecast_find(day, value, N, &change, &basis, &old, &error), BT_OK);
    cr_assert(forecast.use == BT_FORECAST_GIVEN && old.use == BT_FORECAST_GIVEN);
    double meets = 20000 + FROM + (low - 50 - old_slope * end) / (growth * end);
    double fails = first_failure(source, growth, low, noise);
    by_5 += fails <= forecast.fail_5;
    by_50 += fails <= forecast.fail_50;
    held += forecast.mean_from <= meets && (!forecast.has_mean_to || meets <= forecast.mean_to);
    along_the_old += fails <= old.fail_5;
  }
  cr_expect_leq(by_5, LASERS / 8, "%d", by_5);
  cr_expect(by_50 >= LASERS / 3 && by_50 <= 2 * LASERS / 3, "%d", by_50);
  cr_expect_geq(held, 3 * LASERS / 4, "%d", held);
  cr_expect_geq(along_the_old, 9 * LASERS / 10, "%d", along_the_old);
  gsl_rng_free(source);
}
