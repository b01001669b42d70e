/* The threshold of daily looks: its shape, and a year of them by simulation with another generator
 * than the table's. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { YEAR = 250 };

Test(looks, K3_under_ten_values) {
  cr_expect(!bt_look_of(9, 5, YEAR).given && bt_look_of(9, 5, YEAR).threshold == 0);
  cr_expect(!bt_look_of(50, 0, YEAR).given && !bt_look_of(50, 5, 0).given);
  bt_look look = bt_look_of(10, 5, YEAR);
  cr_expect(look.given && look.n == 10 && look.charts == 5 && look.looks_a_year == YEAR);
  cr_expect_float_eq(look.rate, 4e-5, 1e-18);
}

/* At a rate and in the middle of a span of the table, the threshold is the table's own. */
Test(looks, K2_the_table_itself) {
  double n = sqrt(81.0 * 100.0), scale = (8 * n - 15) / (8 * n - 13);
  bt_look look = bt_look_of(90, 1, YEAR);
  cr_expect_float_eq(look.threshold * (n - 2) / n * scale * scale, 17.45, 0.005);
  look = bt_look_of(90, 10, YEAR);
  cr_expect_float_eq(look.threshold * (n - 2) / n * scale * scale, 22.43, 0.005);
}

/* Q of the table is a quantile of a statistic whose scale depends little on n, in spans that each
 * go on from the one before: no entry stands out from those of its column above and below. A tenth
 * of a span more or less is no matter; the simulation moves the entries of the smallest rate by up
 * to 0.15. */
Test(looks, K2_no_entry_stands_out) {
  static const int last[] = {9,  11,  13,  16,  20,  25,  32,  40,  50,  64,
                             80, 100, 128, 160, 200, 256, 320, 400, 500, 640};
  enum { ROWS = sizeof last / sizeof *last - 1 };
  static const double rate[] = {1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5};
  for (size_t column = 0; column < sizeof rate / sizeof *rate; column++) {
    double q[ROWS];
    for (size_t row = 0; row < ROWS; row++) { /* at the value nearest to the middle of the span */
      double n = round(sqrt((last[row] + 1) * last[row + 1] * 1.0)),
             scale = (8 * n - 15) / (8 * n - 13);
      bt_look look = bt_look_of((size_t)n, 1, 0.05 / rate[column]);
      q[row] = look.threshold * (n - 2) / n * scale * scale;
    }
    double falls = q[0] - q[1], rises = q[ROWS - 1] - q[ROWS - 2];
    cr_expect(falls > 0 && falls < 0.6, "rate %g, first rows: %.2f, %.2f", rate[column], q[0],
              q[1]);
    cr_expect(rises > -0.6 && rises < 0.2, "rate %g, last rows: %.2f, %.2f", rate[column],
              q[ROWS - 2], q[ROWS - 1]);
    for (size_t row = 1; row + 1 < ROWS; row++) {
      double out = q[row] - (q[row - 1] + q[row + 1]) / 2;
      cr_expect_lt(fabs(out), 0.4, "rate %g, up to n = %d: %.2f between %.2f and %.2f",
                   rate[column], last[row + 1], q[row], q[row - 1], q[row + 1]);
    }
  }
}

/* More charts and more looks ask for more; no jumps between rows and columns or beyond them. */
Test(looks, monotone_and_smooth) {
  for (double looks = 20; looks < 800; looks *= 1.3) {
    double before = 0;
    for (size_t charts = 1; charts <= 40; charts++) {
      double now = bt_look_of(120, charts, looks).threshold;
      cr_expect(now > before && now < 40);
      cr_expect(charts == 1 || now - before < 2.8 * log((double)charts / ((double)charts - 1)));
      before = now;
    }
  }
  for (size_t n = 10; n < 3000; n++) {
    double now = bt_look_of(n, 5, YEAR).threshold, next = bt_look_of(n + 1, 5, YEAR).threshold;
    cr_expect(fabs(next - now) < 15.0 / (double)n, "n = %zu: %.3f, %.3f", n, now, next);
    cr_expect(now > 20 && now < 30);
  }
}

/* Grows by a value a day; largest likelihood ratio of a step and of a hinge at a value's day. */
typedef struct window {
  size_t n;
  double day[YEAR], sum[YEAR], product[YEAR], value, squares;
} window;

static double look_at(window *of, double day, double value) {
  of->day[of->n] = day;
  of->sum[of->n] = of->value;
  of->product[of->n] = 0;
  for (size_t k = 0; k < of->n; k++)
    of->product[k] += (day - of->day[k]) * value;
  of->n++;
  of->value += value;
  of->squares += value * value;
  double n = (double)of->n, best = 0, x = 0, xx = 0;
  for (size_t k = of->n - 1; k-- > 1;) {
    /* onset at k: one more day of distance for each of the later values */
    double gap = of->day[k + 1] - of->day[k], later = n - 1 - (double)k;
    xx += 2 * gap * x + later * gap * gap;
    x += later * gap;
    double sxy = of->product[k] - x * of->value / n;
    if (k + 3 <= of->n)
      best = fmax(best, sxy * sxy / (xx - x * x / n));
    double step = of->sum[k] - (double)k / n * of->value;
    if (k >= 2)
      best = fmax(best, step * step * n / ((double)k * (n - (double)k)));
  }
  double total = of->squares - of->value * of->value / n;
  return of->n >= 4 ? -n * log1p(-best / total) : 0;
}

/* The program's own largest ratio is that of the plain window, or a little more where the onset
 * lies between values. */
Test(looks, statistic_is_that_of_the_table) {
  gsl_rng *source = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(source, 31);
  window of = {0};
  double value[YEAR], more = 0;
  for (size_t i = 0; i < 120; i++) {
    value[i] = gsl_ran_gaussian(source, 1);
    double plain = look_at(&of, 7 * (double)(i / 5) + (double)(i % 5), value[i]);
    bt_change change;
    bt_error error;
    if (i < 9 || i % 5 != 0)
      continue;
    cr_assert_eq(bt_change_find(of.day, value, of.n, &change, &error), BT_OK);
    cr_expect(change.likelihood_ratio > plain - 1e-8, "n = %zu", of.n);
    cr_expect(change.likelihood_ratio < plain + 0.5, "n = %zu: %.4f, %.4f", of.n,
              change.likelihood_ratio, plain);
    more += (change.likelihood_ratio - plain) / 23;
  }
  gsl_rng_free(source);
  cr_expect_lt(more, 0.1, "on average %.4f more", more);
}

/* Share of years with a crossing on any of `charts` charts, of windows of `length` values. */
static double share_of_years(int years, size_t length, size_t charts, gsl_rng *source) {
  int crossed_years = 0;
  window *of = malloc(sizeof *of);
  cr_assert_not_null(of);
  double threshold[YEAR + 1];
  for (size_t n = 0; n <= YEAR; n++)
    threshold[n] = bt_look_of(n, charts, YEAR).given ? bt_look_of(n, charts, YEAR).threshold : 1e9;
  for (int year = 0; year < years; year++) {
    bool crossed = false;
    for (size_t chart = 0; chart < charts && !crossed; chart++)
      for (size_t look = 0; look < YEAR && !crossed; look++) {
        if (look % length == 0)
          *of = (window){0};
        double day = 7 * (double)(look / 5) + (double)(look % 5);
        crossed = look_at(of, day, gsl_ran_gaussian(source, 1)) > threshold[of->n];
      }
    crossed_years += crossed;
  }
  free(of);
  return (double)crossed_years / years;
}

/* 5 % of years, with one window and with several: fewer by the looks at under 10 values. Within 4
 * standard errors. */
Test(looks, K1_five_percent_of_years, .timeout = 600) {
  gsl_set_error_handler_off();
  bool longer = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  int years = longer ? 20000 : 800;
  gsl_rng *source = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(source, 32);
  double error = 4 * sqrt(0.05 * 0.95 / years);
  static const size_t lengths[] = {YEAR, 50};
  for (size_t k = 0; k < 2; k++) {
    double share = share_of_years(years, lengths[k], 1, source);
    double expected = 0.05 * (1 - 9.0 / (double)lengths[k]);
    cr_expect_float_eq(share, expected, error, "windows of %zu: %.4f", lengths[k], share);
  }
  if (longer) {
    double share = share_of_years(years / 4, YEAR, 5, source);
    cr_expect_float_eq(share, 0.049, 2 * error, "five charts: %.4f", share);
  }
  gsl_rng_free(source);
}
