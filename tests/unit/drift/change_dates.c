/* Bands of dates: edges by hand, plain loops over the definition, how often they hold the date. */
#include "changes.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 300 };

/* LR of values that go on a slope from one moment to another, by plain sums of squares. */
static double slope_ratio(const double *day, const double *y, size_t n, double from, double to) {
  double x[MOST], mean_x = 0, mean_y = 0, sxx = 0, sxy = 0, total = 0, rss = 0;
  for (size_t i = 0; i < n; i++) {
    x[i] = fmin(fmax(0, day[i] - from), to - from);
    mean_x += x[i] / (double)n;
    mean_y += y[i] / (double)n;
  }
  for (size_t i = 0; i < n; i++) {
    sxx += (x[i] - mean_x) * (x[i] - mean_x);
    sxy += (x[i] - mean_x) * (y[i] - mean_y);
    total += (y[i] - mean_y) * (y[i] - mean_y);
  }
  for (size_t i = 0; i < n; i++)
    rss += pow(y[i] - mean_y - sxy / sxx * (x[i] - mean_x), 2);
  return (double)n * log(total / rss);
}

/* The definition, of days that all differ: a step is a slope between two values; every end. */
static double ratio_from(const double *day, const double *y, size_t n, size_t k, double *hinge) {
  double most = 0;
  for (size_t end = k + 2; end + 2 < n; end++)
    most = fmax(most, slope_ratio(day, y, n, day[k], day[end]));
  *hinge = slope_ratio(day, y, n, day[k], day[n - 1]);
  return most;
}

static double step_before(const double *day, const double *y, size_t n, size_t k) {
  return slope_ratio(day, y, n, day[k] - 1e-6 * (day[k] - day[k - 1]), day[k]);
}

/* No end is left out that would tell: the band is that of all ends, but for a day of a value. */
Test(change_dates, C2_plain_loops_agree) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 31);
  for (int round = 0; round < 9; round++) {
    size_t n = 30 + 9 * (size_t)round;
    double day[MOST], y[MOST], step[MOST] = {0}, slope[MOST] = {0}, hinge[MOST] = {0}, most = 0;
    weekdays(day, n);
    for (size_t i = 0; i < n; i++)
      y[i] = gsl_ran_gaussian(source, 1) - (i < n / 2 ? 0
                                            : round % 3 == 0
                                                ? 2
                                                : fmin(0.2 * (double)(i - n / 2), round % 3 + 1));
    bt_change change = change_of(day, y, n);
    for (size_t k = 1; k + 2 <= n; k++) {
      step[k] = k >= 2 ? step_before(day, y, n, k) : 0;
      slope[k] = k + 2 < n ? ratio_from(day, y, n, k, &hinge[k]) : 0;
      most = fmax(most, fmax(step[k], fmax(slope[k], hinge[k])));
    }
    most = fmax(most, change.hinge.likelihood_ratio);
    double from = INFINITY, to = -INFINITY;
    for (size_t k = 1; k + 2 <= n; k++)
      if (fmax(step[k], fmax(slope[k], hinge[k])) >= most - 8.5) {
        from = fmin(from, day[k]);
        to = fmax(to, day[k]);
      }
    if (to >= day[n - 3])
      to = day[n - 1]; /* C3 */
    cr_expect(fabs(change.from - from) <= 3 && fabs(change.to - to) <= 3,
              "n = %zu: %.2f to %.2f, by plain loops %.2f to %.2f", n, change.from, change.to, from,
              to);
  }
  gsl_rng_free(source);
}

/* A drift that began before the window: the date is open towards the past. */
Test(change_dates, C3_open_towards_the_past) {
  double day[50], value[50];
  weekdays(day, 50);
  for (size_t i = 0; i < 50; i++)
    value[i] = -0.1 * day[i] + 0.3 * (double)(i * i % 7);
  bt_change change = change_of(day, value, 50);
  cr_expect(change.kind == BT_CHANGE_HINGE && change.open);
  cr_expect_eq(change.from, day[1]);
}

/* Nothing changed, and any date will do: those that are looked at. */
Test(change_dates, C3_no_change) {
  double day[40], value[40];
  weekdays(day, 40);
  for (size_t i = 0; i < 40; i++)
    value[i] = (double)(i * i % 7);
  bt_change change = change_of(day, value, 40);
  cr_expect_lt(change.likelihood_ratio, 8);
  cr_expect(change.from == day[1] && change.to == day[39] && change.open);
}

/* One value far out at the end may be the first of a step, which no shape can say yet. */
Test(change_dates, C3_goes_on_to_the_last_day) {
  double day[60], value[60];
  weekdays(day, 60);
  for (size_t i = 0; i < 60; i++)
    value[i] = 0.2 * (double)(i * i % 7) - (i == 59 ? 9 : 0);
  bt_change change = change_of(day, value, 60);
  cr_expect(change.to == day[59] && !change.open && change.from > day[40]);
}

/* A slope that ended long ago: a step's date lies in its middle, the band and the day at its
 * beginning. */
Test(change_dates, C6_a_slope_that_ended) {
  double day[200], value[200];
  weekdays(day, 200);
  for (size_t i = 0; i < 200; i++)
    value[i] = 0.3 * (double)(i * i % 7) - 0.1 * fmin(fmax(0, day[i] - day[60]), 50);
  bt_change change = change_of(day, value, 200);
  cr_expect(change.levelled && change.kind == BT_CHANGE_STEP);
  cr_expect_float_eq(change.day, day[60], 3);
  cr_expect(change.from <= day[60] && day[60] <= change.to);
  cr_expect(change.step.day > change.to, "a step there explains far less");
  for (size_t i = 0; i < 200; i++)
    value[i] = 0.3 * (double)(i * i % 7) - (i >= 60 ? 5 : 0);
  change = change_of(day, value, 200);
  cr_expect(!change.levelled && change.day == day[60]);
}

/* How often the band holds the true date: 95 % at least on each day, and how wide it is. */
Test(change_dates, the_date_is_held) {
  const int runs = getenv("BEAMTALLY_LONG_TESTS") != NULL ? 4000 : 200;
  static const struct {
    const char *name;
    double a_day, for_days, most_width;
  } shapes[] = {
      {"a step", 1.5, 1, 60}, {"a hinge", 0.05, INFINITY, 50}, {"a slope that ends", 0.07, 28, 70}};
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  gsl_rng_set(source, 32);
  double day[150], value[150];
  weekdays(day, 150);
  for (size_t s = 0; s < sizeof shapes / sizeof *shapes; s++) {
    int held = 0;
    double width = 0;
    for (int run = 0; run < runs; run++) {
      size_t at = 60 + (size_t)run % 30;
      double onset = s == 0 ? day[at] : day[at] + 0.3, begins = s == 0 ? day[at] - 1 : onset;
      for (size_t i = 0; i < 150; i++)
        value[i] = gsl_ran_gaussian(source, 1) -
                   shapes[s].a_day * fmin(fmax(0, day[i] - begins), shapes[s].for_days);
      bt_change change = change_of(day, value, 150);
      held += change.from <= onset && onset <= change.to;
      width += (change.to - change.from) / runs;
    }
    double share = (double)held / runs;
    cr_expect(share > 0.95 - 4 * sqrt(0.95 * 0.05 / runs), "%s: %.4f", shapes[s].name, share);
    cr_expect(width < shapes[s].most_width, "%s: %.1f days", shapes[s].name, width);
  }
  gsl_rng_free(source);
}
