/* One laser from end to end: a refill every three days, gas that ages inside the fills, and optics
 * that lose from day 300 on. What the methods say together. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { CHECKS = 340, BASELINE = 100 };

static const double sigma = 0.0042, gas = -0.0011, optics = -0.00016, onset = 300;

typedef struct laser {
  double day[CHECKS], raw[CHECKS], age[CHECKS], adjusted[CHECKS];
  int32_t fill[CHECKS];
  uint8_t known[CHECKS], use[CHECKS];
} laser;

static void run_laser(laser *of) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 61);
  for (size_t i = 0; i < CHECKS; i++) {
    of->day[i] = 7 * (double)(i / 5) + (double)(i % 5) + 0.33; /* at 8 o'clock */
    of->fill[i] = (int32_t)(of->day[i] / 3);
    of->age[i] = of->day[i] - 3 * of->fill[i];
    of->known[i] = 1;
    of->raw[i] = 1 + gas * of->age[i] + optics * fmax(0, of->day[i] - onset) +
                 gsl_ran_gaussian(source, sigma);
  }
  gsl_rng_free(source);
}

static bt_slope slope_of(laser *of, size_t from, size_t to) {
  bt_slope slope;
  bt_error error;
  for (size_t i = 0; i < CHECKS; i++)
    of->use[i] = i >= from && i < to;
  cr_assert_eq(bt_slope_fit(of->raw, of->age, of->fill, of->fill, of->known, of->use, CHECKS,
                            &slope, &error),
               BT_OK);
  return slope;
}

/* Values of the first look past its threshold; 0: none. */
static size_t first_seen(const laser *of, bt_change *change) {
  bt_error error;
  for (size_t n = 10; n <= CHECKS; n += 5) {
    bt_look look = bt_look_of(n, 5, 250);
    cr_assert_eq(bt_change_find(of->day, of->adjusted, n, change, &error), BT_OK);
    if (bt_moved_of(change, &look).changed)
      return n;
  }
  return 0;
}

static bt_trend trend_of(laser *of, size_t from, size_t to, const bt_slope *slope) {
  bt_level level[CHECKS];
  bt_levels levels;
  bt_trend trend;
  bt_error error;
  double day[CHECKS], value[CHECKS];
  for (size_t i = 0; i < CHECKS; i++)
    of->use[i] = i >= from && i < to;
  cr_assert_eq(bt_levels_fit(of->day, of->raw, of->age, of->fill, of->known, of->use, CHECKS, slope,
                             false, level, &levels, &error),
               BT_OK);
  for (size_t f = 0; f < levels.n; f++) {
    day[f] = level[f].day;
    value[f] = level[f].value;
  }
  cr_assert_eq(bt_trend_find(day, value, levels.n, &trend, &error), BT_OK);
  return trend;
}

Test(story, a_year_of_one_laser) {
  gsl_set_error_handler_off();
  static laser of;
  run_laser(&of);
  bt_slope slope = slope_of(&of, 0, BASELINE);
  cr_assert_eq(slope.use, BT_AGE_USED);
  for (size_t i = 0; i < CHECKS; i++)
    of.adjusted[i] = of.raw[i] - slope.per_day * (of.age[i] - slope.mean_age_days);

  bt_change change;
  size_t seen = first_seen(&of, &change);
  cr_assert(seen > 0 && of.day[seen - 1] > onset, "seen with %zu values", seen);
  cr_expect(of.day[seen - 1] < onset + 120, "seen on day %.0f", of.day[seen - 1]);
  cr_expect(change.from <= onset && onset <= change.to, "%.0f .. %.0f", change.from, change.to);

  bt_error error;
  cr_assert_eq(bt_change_find(of.day, of.adjusted, CHECKS, &change, &error), BT_OK);
  cr_expect_eq(change.kind, BT_CHANGE_HINGE);
  cr_expect_float_eq(change.hinge.per_day, optics, 0.00006);
  cr_expect(change.from <= onset && onset <= change.to);
  size_t from = 0;
  while (of.day[from] < change.day)
    from++;
  bt_trend trend = trend_of(&of, from, CHECKS, &slope);
  cr_assert(trend.has_interval);
  cr_expect(trend.low <= optics && optics <= trend.high && trend.high < 0);
  bt_slope within = slope_of(&of, from, CHECKS);
  bt_gas_slope alone = bt_gas_slope_of(&within, &trend);
  cr_expect(alone.low <= gas && gas <= alone.high && alone.per_day > within.per_day);

  bt_look look = bt_look_of(CHECKS, 5, 250);
  bt_forecast_basis basis = {.look = look,
                             .trend = trend,
                             .has_low = true,
                             .low = 0.95,
                             .has_high = true,
                             .high = 1.03,
                             .within_per_day = slope.per_day,
                             .mean_age_days = slope.mean_age_days,
                             .oldest_age_days = slope.oldest_age_days,
                             .check_sigma = sigma,
                             .checks_a_day = 5.0 / 7};
  bt_forecast forecast;
  cr_assert_eq(bt_forecast_find(of.day, of.adjusted, CHECKS, &change, &basis, &forecast, &error),
               BT_OK);
  cr_assert_eq(forecast.use, BT_FORECAST_GIVEN);
  double meets = onset + (0.95 - 1 - gas * slope.oldest_age_days) / optics;
  cr_expect(forecast.mean_from <= meets && meets <= forecast.mean_to, "%.0f in %.0f .. %.0f", meets,
            forecast.mean_from, forecast.mean_to);
  cr_expect(forecast.fail_5 < forecast.fail_50 && forecast.fail_50 < forecast.mean_to);

  bt_evidence evidence = {.energy = bt_moved_of(&change, &look),
                          .own = bt_moved_of(&change, &look),
                          .loss = -1,
                          .baseline_slope = slope,
                          .window_slope = within,
                          .levels = trend};
  bt_cause causes[BT_CAUSE_COUNT];
  cr_assert_eq(bt_causes_find(&evidence, causes), 1);
  cr_expect_eq(causes[0].kind, BT_CAUSE_NOT_RESTORED_BY_REFILL);
  cr_expect_eq(causes[0].strength, BT_CAUSE_STRONG);
}
