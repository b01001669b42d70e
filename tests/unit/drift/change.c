/* Changes: edges by hand, plain loops over the definitions, how often the interval holds the rate.
 */
#include "changes.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 250 };

/* LR of a regression on x, by plain sums of squares. */
static double ratio_of(const double *x, const double *y, size_t n) {
  double mean_x = 0, mean_y = 0, sxx = 0, sxy = 0, total = 0, rss = 0;
  for (size_t i = 0; i < n; i++) {
    mean_x += x[i] / (double)n;
    mean_y += y[i] / (double)n;
  }
  for (size_t i = 0; i < n; i++) {
    sxx += (x[i] - mean_x) * (x[i] - mean_x);
    sxy += (x[i] - mean_x) * (y[i] - mean_y);
    total += (y[i] - mean_y) * (y[i] - mean_y);
  }
  if (!(sxx > 0))
    return 0;
  for (size_t i = 0; i < n; i++) {
    double rest = y[i] - mean_y - sxy / sxx * (x[i] - mean_x);
    rss += rest * rest;
  }
  return (double)n * log(total / rss);
}

static double hinge_ratio(const double *day, const double *y, size_t n, double onset) {
  double x[MOST];
  for (size_t i = 0; i < n; i++)
    x[i] = fmax(0, day[i] - onset);
  return ratio_of(x, y, n);
}

/* n ln(RSS of that slope, or of having gone so far by the last day / RSS of a hinge's fit): the
 * least over onsets from `from` to `to`. */
static double bound_ratio(const double *day, const double *y, size_t n, double from, double to,
                          bool is_slope, double bound) {
  double least = INFINITY, best = INFINITY;
  for (double onset = from; onset <= to; onset += 0.01) {
    double mean = 0, mean_y = 0, total = 0, rss = 0;
    double slope = is_slope ? bound : bound / (day[n - 1] - onset);
    for (size_t i = 0; i < n; i++) {
      mean += (y[i] - slope * fmax(0, day[i] - onset)) / (double)n;
      mean_y += y[i] / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
      rss += pow(y[i] - slope * fmax(0, day[i] - onset) - mean, 2);
      total += pow(y[i] - mean_y, 2);
    }
    least = fmin(least, rss);
    best = fmin(best, total * exp(-hinge_ratio(day, y, n, onset) / (double)n));
  }
  return (double)n * log(least / best);
}

Test(change, C4_too_few_or_all_alike) {
  double day[MOST], value[MOST] = {0};
  weekdays(day, MOST);
  for (size_t n = 0; n < MOST; n = 2 * n + 1) {
    bt_change change = change_of(day, value, n);
    cr_expect(change.kind == BT_CHANGE_NONE && change.likelihood_ratio == 0 && change.now == 0);
  }
  for (size_t i = 0; i < MOST; i++)
    value[i] = (double)(i % 3);
  cr_expect_eq(change_of(day, value, 3).kind, BT_CHANGE_NONE);
  bt_change change = change_of(day, value, 4);
  cr_expect(change.step.given && change.step.first == 2 && change.sigma > 0);
  cr_expect_eq(change.now, change.step.given && change.kind == BT_CHANGE_STEP
                               ? change.step.after
                               : change.now_low / 2 + change.now_high / 2);
  double one_day[MOST] = {0};
  cr_expect_eq(change_of(one_day, value, 50).kind, BT_CHANGE_NONE, "all on one day");
}

/* Of two and three values without a change the mean's interval is Student's: t of 0.975 is 12.706
 * and 4.303 at one and two degrees of freedom (printed tables). */
Test(change, C5_interval_of_a_mean_that_stays) {
  gsl_set_error_handler_off();
  static const double day[] = {0, 1, 2}, value[] = {1, 3, 2};
  static const double half[] = {[2] = 12.706, [3] = 4.303 / 1.7320508};
  for (size_t n = 2; n <= 3; n++) {
    bt_change change;
    bt_error error;
    cr_assert_eq(bt_change_find(day, value, n, &change, &error), BT_OK);
    cr_expect(change.kind == BT_CHANGE_NONE && change.now == 2);
    cr_expect_float_eq(change.now - change.now_low, half[n], 0.001, "n = %zu", n);
    cr_expect_float_eq(change.now_high - change.now, half[n], 0.001, "n = %zu", n);
  }
}

Test(change, a_day_that_falls) {
  static const double day[] = {0, 1, 0.5, 3}, value[] = {1, 2, 3, 4};
  bt_change change;
  bt_error error;
  cr_expect_eq(bt_change_find(day, value, 4, &change, &error), BT_INPUT);
}

Test(change, a_step_and_a_ramp_without_scatter) {
  double day[60], value[60];
  weekdays(day, 60);
  for (size_t i = 0; i < 60; i++)
    value[i] = i < 35 ? 5 : 4;
  bt_change change = change_of(day, value, 60);
  cr_expect(change.kind == BT_CHANGE_STEP && change.step.first == 35 &&
            isfinite(change.likelihood_ratio));
  cr_expect(change.from == day[35] && change.to == day[35] && !change.open);
  cr_expect_float_eq(change.step.before, 5, 1e-12);
  cr_expect_float_eq(change.now, 4, 1e-12);
  cr_expect_float_eq(change.now_low, 4, 1e-6);
  cr_expect_float_eq(change.gone, -1, 1e-12);
  cr_expect(change.gone_low <= -1 && change.gone_low > -1 - 1e-6);

  double onset = day[30] + 0.37; /* between two values */
  for (size_t i = 0; i < 60; i++)
    value[i] = 5 - 0.02 * fmax(0, day[i] - onset);
  change = change_of(day, value, 60);
  cr_expect_eq(change.kind, BT_CHANGE_HINGE);
  cr_expect_float_eq(change.day, onset, 1e-4);
  cr_expect_float_eq(change.hinge.per_day, -0.02, 1e-6);
  cr_expect_float_eq(change.hinge.before, 5, 1e-6);
  cr_expect_float_eq(change.now, value[59], 1e-6);
  cr_expect_float_eq(change.gone, value[59] - 5, 1e-6);
  cr_expect(change.from <= change.day && change.to >= change.day);
}

/* Random days (some alike), values with a ramp or a step: largest ratios and rates by plain loops.
 */
Test(change, plain_loops_agree) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  size_t hinges = 0;
  gsl_rng_set(source, 21);
  for (int round = 0; round < 12; round++) {
    size_t n = 8 + 6 * (size_t)round;
    double day[MOST], value[MOST], x[MOST];
    for (size_t i = 0; i < n; i++) {
      day[i] = (i > 0 ? day[i - 1] : 700) + (double)gsl_rng_uniform_int(source, 4) / 2;
      double more = i <= n / 2 ? 0 : round % 2 == 0 ? 0.5 * round : (day[i] - day[n / 2]) / 8;
      value[i] = 30 + gsl_ran_gaussian(source, 1) + more;
    }
    day[n - 1] = day[n - 2] + 1;
    bt_change change = change_of(day, value, n);
    double best = 0, best_hinge = 0;
    for (size_t k = 2; k + 2 <= n; k++) {
      for (size_t i = 0; i < n; i++)
        x[i] = i >= k;
      if (day[k] > day[k - 1])
        best = fmax(best, ratio_of(x, value, n));
    }
    cr_expect_float_eq(change.step.likelihood_ratio, best, 1e-8, "n = %zu", n);
    size_t last = n - 1;
    for (int falls = 0; falls < 2; falls++) {
      double of = day[last];
      while (day[last] == of)
        last--;
    }
    for (double onset = day[1]; onset <= day[last]; onset += 0.01) {
      double ratio = hinge_ratio(day, value, n, onset);
      best_hinge = fmax(best_hinge, ratio);
    }
    const bt_hinge *hinge = &change.hinge;
    const double end[] = {hinge->low, hinge->high};
    cr_expect(hinge->low < hinge->per_day && hinge->per_day < hinge->high);
    for (int side = 0; side < 2; side++)
      cr_expect_float_eq(bound_ratio(day, value, n, day[1], day[last], true, end[side]), 3.8415,
                         0.05, "n = %zu, %g", n, end[side]);
    const double gone[] = {change.gone_low, change.gone_high};
    for (int side = 0; side < 2 && change.kind == BT_CHANGE_HINGE; side++)
      cr_expect_float_eq(bound_ratio(day, value, n, day[1], day[last], false, gone[side]), 3.8415,
                         0.05, "n = %zu, gone %g", n, gone[side]);
    hinges += change.kind == BT_CHANGE_HINGE;
    cr_expect(best_hinge <= change.hinge.likelihood_ratio + 1e-9, "n = %zu", n);
    cr_expect_float_eq(best_hinge, change.hinge.likelihood_ratio, 0.01, "n = %zu", n);
    cr_expect_float_eq(hinge_ratio(day, value, n, change.hinge.day), change.hinge.likelihood_ratio,
                       1e-7);
  }
  cr_expect_gt(hinges, 2);
  gsl_rng_free(source);
}

/* Another zero of days and values, other units, and a mirrored sign change nothing but that. */
Test(change, shift_and_scale) {
  double day[80], value[80], other_day[80], other[80];
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 22);
  weekdays(day, 80);
  for (size_t i = 0; i < 80; i++) {
    value[i] = gsl_ran_gaussian(source, 1) - 0.1 * fmax(0, day[i] - 60);
    other_day[i] = day[i] + 20000;
    other[i] = 1000 - 8 * value[i];
  }
  gsl_rng_free(source);
  bt_change a = change_of(day, value, 80), b = change_of(other_day, other, 80);
  cr_expect_eq(a.kind, b.kind);
  cr_expect_float_eq(a.likelihood_ratio, b.likelihood_ratio, 1e-7);
  cr_expect_float_eq(a.hinge.day + 20000, b.hinge.day, 1e-3);
  cr_expect_float_eq(a.from + 20000, b.from, 1e-4);
  cr_expect_float_eq(a.to + 20000, b.to, 1e-4);
  cr_expect_float_eq(-8 * a.hinge.per_day, b.hinge.per_day, 1e-5);
  cr_expect_float_eq(1000 - 8 * a.now_high, b.now_low, 1e-4);
}

/* How often the intervals of the rate and of how far it has gone hold them: about 95 %, never under
 * by more than 4 standard errors less 1.5 % for a ramp of 0.05 sigma a day. */
Test(change, the_rate_is_held) {
  const int runs = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 4000 : 300;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 23);
  double day[150], value[150];
  weekdays(day, 150);
  int held = 0, gone_held = 0, hinges = 0;
  for (int run = 0; run < runs; run++) {
    double onset = day[60 + (size_t)run % 30] + 0.3;
    for (size_t i = 0; i < 150; i++)
      value[i] = gsl_ran_gaussian(source, 1) - 0.05 * fmax(0, day[i] - onset);
    bt_change change = change_of(day, value, 150);
    held += change.hinge.low <= -0.05 && -0.05 <= change.hinge.high;
    double gone = -0.05 * (day[149] - onset);
    hinges += change.kind == BT_CHANGE_HINGE;
    gone_held +=
        change.kind == BT_CHANGE_HINGE && change.gone_low <= gone && gone <= change.gone_high;
  }
  gsl_rng_free(source);
  double least = 0.935 - 4 * sqrt(0.95 * 0.05 / runs), most = 0.985 + 4 * sqrt(0.95 * 0.05 / runs);
  double share = (double)held / runs;
  cr_expect(share > least && share < most, "rate: %.4f", share);
  cr_expect_gt(hinges, runs * 9 / 10);
  share = (double)gone_held / hinges;
  cr_expect(share > least && share < most, "gone: %.4f", share);
}
