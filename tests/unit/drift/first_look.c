/* What is said on the very day that a drift or a step first passes its look's threshold: it was
 * chosen because it stands out, so dates and forecasts are a little worse than they say. The head
 * comments of change.c and forecast.c state how much. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 330, QUIET = 100 };

typedef struct tally {
  int seen, dated, forecast, by_50, held, possible;
} tally;

static bt_forecast_basis basis_of(size_t n) {
  return (bt_forecast_basis){.look = bt_look_of(n, 5, 250),
                             .trend = {.given = true, .slope = -1},
                             .has_low = true,
                             .low = -8,
                             .check_sigma = 1,
                             .checks_a_day = 5.0 / 7};
}

/* One laser that drifts from `onset` on: looked at until it is seen, then run until a check fails.
 */
static void one_laser(gsl_rng *source, double per_day, tally *of) {
  double day[MOST], value[MOST], onset = 140 + 10 * gsl_rng_uniform(source);
  bt_change change = {0};
  bt_forecast forecast;
  bt_error error;
  size_t n = 0;
  for (size_t i = 0; i < MOST; i++) {
    day[i] = 7 * (double)(i / 5) + (double)(i % 5);
    value[i] = per_day * fmax(0, day[i] - onset) + gsl_ran_gaussian(source, 1);
  }
  bool seen = false;
  for (n = QUIET + 5; n < MOST && !seen; n += !seen) {
    bt_look look = bt_look_of(n, 5, 250);
    cr_assert_eq(bt_change_find(day, value, n, &change, &error), BT_OK);
    seen = bt_moved_of(&change, &look).changed;
  }
  if (!seen)
    return;
  of->seen++;
  of->dated += change.from <= onset && onset <= change.to;
  bt_forecast_basis basis = basis_of(n);
  cr_assert_eq(bt_forecast_find(day, value, n, &change, &basis, &forecast, &error), BT_OK);
  if (forecast.use != BT_FORECAST_GIVEN)
    return;
  of->forecast++;
  of->possible += forecast.step_possible;
  double at = day[n - 1] + 1, meets = onset - 8 / per_day;
  while (gsl_ran_gaussian(source, 1) + per_day * (at - onset) >= -8)
    at += 1.4;
  of->by_50 += forecast.has_fail_50 && at <= forecast.fail_50;
  of->held += forecast.mean_from <= meets && (!forecast.has_mean_to || meets <= forecast.mean_to);
}

Test(first_look, dates_and_forecasts, .timeout = 600) {
  gsl_set_error_handler_off();
  const int runs = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 600 : 25;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 71);
  tally of = {0};
  for (int run = 0; run < runs; run++)
    one_laser(source, -0.06, &of);
  gsl_rng_free(source);
  double n = of.seen, given = of.forecast;
  cr_assert(n > 0.95 * runs && given > 0.5 * n, "%d seen, %d forecast", of.seen, of.forecast);
  cr_expect(of.dated / n > 0.95 - 4 * sqrt(0.0475 / n), "dated %.3f", of.dated / n);
  cr_expect_float_eq(of.by_50 / given, 0.40, 0.04 + 4 * sqrt(0.24 / given), "by fail_50 %.3f",
                     of.by_50 / given);
  cr_expect(of.held / given > 0.85 - 4 * sqrt(0.13 / given), "in the set %.3f", of.held / given);
  cr_expect(of.possible > 0.5 * given, "a step is as likely at first: %d of %d", of.possible,
            of.forecast);
}

/* Steps that nobody recorded: soon after a forecast comes up seldom and says that a step may be it;
 * 80 days later hardly ever. */
Test(first_look, steps_are_seldom_forecast) {
  gsl_set_error_handler_off();
  const int runs = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 1000 : 100;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 72);
  static const size_t after[] = {20, 80};
  for (size_t k = 0; k < 2; k++) {
    int given = 0, unsaid = 0;
    for (int run = 0; run < runs; run++) {
      double day[MOST], value[MOST];
      bt_change change;
      bt_forecast forecast;
      bt_error error;
      size_t n = 120 + after[k];
      for (size_t i = 0; i < n; i++) {
        day[i] = 7 * (double)(i / 5) + (double)(i % 5);
        value[i] = gsl_ran_gaussian(source, 1) - (i >= 120 ? 2 : 0);
      }
      bt_forecast_basis basis = basis_of(n);
      cr_assert_eq(bt_change_find(day, value, n, &change, &error), BT_OK);
      cr_assert_eq(bt_forecast_find(day, value, n, &change, &basis, &forecast, &error), BT_OK);
      given += forecast.use == BT_FORECAST_GIVEN;
      unsaid += forecast.use == BT_FORECAST_GIVEN && !forecast.step_possible;
    }
    double most = k == 0 ? 0.19 : 0.005;
    cr_expect((double)given / runs < most + 4 * sqrt(most / runs), "%zu after: %d of %d", after[k],
              given, runs);
    cr_expect((double)unsaid / runs < 0.01 + 4 * sqrt(0.01 / runs), "%zu after: %d unsaid",
              after[k], unsaid);
  }
  gsl_rng_free(source);
}
