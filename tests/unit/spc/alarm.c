/* Alarm limits: their parts against other computations, edges of the budget, and the rates they
 * give over simulated baselines. */
#include "baselines.h"
#include "shapes.h"
#include "spc_alarm.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { BASELINES = 20000, MOST = 100 };

/* Share of one of five charts, 250 checks a year. */
static bt_alarm_limits solved(bt_alarm_kind kind, size_t n, bool screened) {
  bt_alarm_limits alarms = {.budget_a_year = 1,
                            .charts = 5,
                            .checks_a_year = 250,
                            .n = n,
                            .screened = screened,
                            .share_a_year = 0.2};
  bt_error error = {0};
  cr_assert_eq(bt_alarm_limits_solve(kind, NULL, &alarms, &error), BT_OK, "%s", error.text);
  return alarms;
}

/* A linear solver for the mean against the walk over the whole law. */
Test(alarm, rate_of_one_side_is_that_of_the_run_length) {
  static const double cases[][3] = {{0.5, 1, 0},    {0.5, 5, 0},    {0.5, 8, 0.4}, {0.4, 9.5, -0.1},
                                    {0.7, 12, 0.3}, {0.3, 18, 0.2}, {0.5, 28, 0.9}};
  spc_rate_rules rules;
  bt_error error = {0};
  cr_assert_eq(spc_rate_rules_make(&rules, &error), BT_OK);
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    double k = cases[c][0], h = cases[c][1], shift = cases[c][2];
    bt_run_chart chart = {.method = BT_RUN_OF_CUSUM, .k = k, .h = h, .one_sided = true};
    bt_run_length known;
    cr_assert_eq(bt_run_length_find(&chart, shift, &known, &error), BT_OK, "%s", error.text);
    double rate = spc_cusum_rate(&rules, k, h, shift);
    cr_expect_float_eq(rate * known.arl, 1, 1e-6, "k %g, h %g at %g: %.12g, not %.12g", k, h, shift,
                       1 / rate, known.arl);
  }
  spc_rate_rules_free(&rules);
}

/* sigma-hat of simulated baselines, in sigma, sorted; and their centres' errors. */
static double width[BASELINES], centre[BASELINES];

/* The baseline of `n` points, of more where the screening leaves some out. */
static void draw_baselines(size_t n, bool screened, uint64_t seed) {
  double value[MOST];
  uint8_t use[MOST];
  for (size_t b = 0; b < BASELINES; b++) {
    for (size_t i = 0; i < n; i++)
      value[i] = shape_normal(&seed);
    bt_individuals chart = baseline_of(value, use, n, screened);
    width[b] = chart.sigma;
    centre[b] = chart.centre;
  }
}

/* Quantiles within 4 standard errors and the law's own 0.4 %. */
Test(alarm, sigma_errs_as_its_law_says) {
  static const size_t sizes[] = {8, 30, 60, 100};
  static const double probabilities[] = {0.02, 0.1, 0.5, 0.9, 0.98};
  for (size_t s = 0; s < 4; s++) {
    draw_baselines(sizes[s], false, 400 + s);
    spc_sigma_ratio law = spc_sigma_ratio_of(sizes[s], false);
    double mean = gsl_stats_mean(width, 1, BASELINES), sd = gsl_stats_sd(width, 1, BASELINES);
    double skew = gsl_stats_skew(width, 1, BASELINES);
    cr_expect_float_eq(mean, 1, 4 * law.spread / sqrt(BASELINES));
    cr_expect_float_eq(sd, law.spread, 0.025 * law.spread, "n %zu", sizes[s]);
    cr_expect_float_eq(skew, 2 / sqrt(law.shape), 0.08, "n %zu: skew %g", sizes[s], skew);
    gsl_sort(width, 1, BASELINES);
    for (size_t q = 0; q < 5; q++) {
      double p = probabilities[q], at = spc_sigma_ratio_quantile(&law, gsl_cdf_ugaussian_Pinv(p));
      double error = sqrt(p * (1 - p) / BASELINES) / spc_sigma_ratio_density(&law, at);
      double found = gsl_stats_quantile_from_sorted_data(width, 1, BASELINES, p);
      double own = sizes[s] == 8 && p < 0.1 ? 0.03 : 0.004;
      cr_expect_float_eq(found, at, 4 * error + own * at, "n %zu, %g: %g, not %g", sizes[s], p,
                         found, at);
    }
  }
}

/* Mean, spread and skewness of a sigma of screened baselines, as those of unscreened ones above;
 * the skewness is all but gone at 100 values. */
Test(alarm, a_screened_sigma_errs_as_its_law_says) {
  static const size_t sizes[] = {20, 60, 100};
  for (size_t s = 0; s < 3; s++) {
    draw_baselines(sizes[s], true, 450 + s);
    spc_sigma_ratio law = spc_sigma_ratio_of(sizes[s], true);
    double skew = gsl_stats_skew(width, 1, BASELINES);
    cr_expect_float_eq(gsl_stats_mean(width, 1, BASELINES), law.mean,
                       4 * law.spread / sqrt(BASELINES) + 0.002, "n %zu", sizes[s]);
    cr_expect_float_eq(gsl_stats_sd(width, 1, BASELINES), law.spread, 0.03 * law.spread, "n %zu",
                       sizes[s]);
    cr_expect_float_eq(skew, 2 / sqrt(law.shape), 0.08, "n %zu: skew %g, not %g", sizes[s], skew,
                       2 / sqrt(law.shape));
  }
}

/* The sums over baselines against ones that are ten times as dense. */
Test(alarm, averages_agree_with_a_dense_sum) {
  enum { CUTS = 60 };
  static const size_t sizes[] = {30, 60, 250};
  for (size_t s = 0; s < 3; s++) {
    spc_baselines baselines;
    bt_error error;
    cr_assert_eq(spc_baselines_make(sizes[s], false, &baselines, &error), BT_OK);
    double limit = 4, h = 8, shewhart = 0, cusum = 0, mass = 0;
    for (int i = 0; i < CUTS; i++) {
      double w = 1 + baselines.ratio.spread * (-7 + 14 * (i + 0.5) / CUTS);
      if (w <= 0.02)
        continue;
      double density = spc_sigma_ratio_density(&baselines.ratio, w);
      mass += density;
      for (int j = 0; j < CUTS; j++) {
        double e = -8 + 17 * (j + 0.5) / CUTS, delta = e / sqrt((double)sizes[s]);
        double part = density * 17 / CUTS * gsl_ran_ugaussian_pdf(e);
        shewhart += part * 2 * gsl_cdf_ugaussian_Q(limit * w - delta);
        cusum += part * 2 * spc_cusum_rate(&baselines.rules, 0.5 * w, h * w, delta);
      }
    }
    double ratio = spc_shewhart_average(&baselines, limit) * mass / shewhart;
    cr_expect_float_eq(ratio, 1, 2e-3, "n %zu: Shewhart %.6f", sizes[s], ratio);
    ratio = spc_cusum_average(&baselines, 0.5, h) * mass / cusum;
    cr_expect_float_eq(ratio, 1, 2e-3, "n %zu: CUSUM %.6f", sizes[s], ratio);
    spc_baselines_free(&baselines);
  }
}

/* With centre and sigma known all but exactly, L is the normal quantile and h that of an ARL. */
Test(alarm, long_baselines_tend_to_known_limits) {
  bt_alarm_limits alarms = solved(BT_ALARM_BOTH, 1000000, false);
  bt_run_chart chart = {.method = BT_RUN_OF_CUSUM, .k = 0.5};
  bt_error error = {0};
  cr_assert_eq(bt_run_length_solve(&chart, 250 / 0.1, &error), BT_OK, "%s", error.text);
  cr_expect_float_eq(alarms.h, chart.h, 0.01, "h %g, known %g", alarms.h, chart.h);
  cr_expect_float_eq(alarms.limit, gsl_cdf_ugaussian_Qinv(0.1 / 250 / 2), 0.01);
}

Test(alarm, B1_B3_B5_limits_of_one_chart_of_five) {
  static const size_t sizes[] = {30, 60, 100, 200};
  double limit = 100, h = 100;
  for (size_t s = 0; s < 4; s++) {
    bt_alarm_limits alarms = solved(BT_ALARM_BOTH, sizes[s], false);
    printf("n %3zu: L %.2f, h %.2f, %.4f a year on average, %.4f to %.4f\n", sizes[s], alarms.limit,
           alarms.h, alarms.share_a_year, alarms.low, alarms.high);
    cr_expect(alarms.given);
    cr_expect_eq(alarms.t2_limit, 0);
    cr_expect_float_eq(alarms.limit * 100, round(alarms.limit * 100), 1e-9);
    cr_expect_float_eq(alarms.h * 100, round(alarms.h * 100), 1e-9);
    cr_expect(alarms.share_a_year <= 0.2 && alarms.share_a_year > 0.19);
    cr_expect(alarms.low < alarms.share_a_year && alarms.share_a_year < 2 * alarms.high);
    cr_expect(alarms.limit < limit && alarms.h < h, "a longer baseline allows narrower limits");
    limit = alarms.limit;
    h = alarms.h;

    bt_alarm_limits alone = solved(BT_ALARM_ONLY_CUSUM, sizes[s], false);
    cr_expect(alone.limit == 0 && alone.h < alarms.h, "all of the share on one limit");
  }
}

Test(alarm, B4_never_weaker_than_a_notice) {
  bt_alarm_limits alarms = {.checks_a_year = 12, .n = 60, .share_a_year = 1};
  bt_error error = {0};
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_BOTH, NULL, &alarms, &error), BT_OK);
  cr_expect_eq(alarms.limit, 3);
  cr_expect_eq(alarms.h, 5);
  cr_expect_lt(alarms.share_a_year, 0.2, "what these limits give at 12 checks a year");
}

Test(alarm, B7_no_cusum_where_none_keeps_its_part) {
  bt_error error = {0};
  bt_alarm_limits alarms = {.checks_a_year = 1000, .n = 30, .share_a_year = 0.1};
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_BOTH, NULL, &alarms, &error), BT_OK);
  cr_expect(alarms.given && alarms.h == 0 && alarms.limit > 4);
  cr_expect(alarms.share_a_year > 0.095 && alarms.share_a_year <= 0.1, "all of it on the limit: %g",
            alarms.share_a_year);
  cr_expect(alarms.low < 0.1 && alarms.high > 0.1);
  alarms.share_a_year = 0.05;
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_ONLY_CUSUM, NULL, &alarms, &error), BT_OK);
  cr_expect(!alarms.given && alarms.h == 0 && alarms.limit == 0);
}

Test(alarm, B6_and_wrong_budgets) {
  bt_error error = {0};
  bt_alarm_limits alarms = {
      .checks_a_year = 250, .n = 29, .share_a_year = 0.2, .limit = 7, .h = 7, .given = true};
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_BOTH, NULL, &alarms, &error), BT_OK);
  cr_expect(!alarms.given && alarms.limit == 0 && alarms.h == 0 && alarms.high == 0);
  static const double wrong[][2] = {{0, 250}, {-1, 250}, {NAN, 250}, {INFINITY, 250},
                                    {1, 0},   {1, -5},   {1, NAN},   {1e-15, 250}};
  for (size_t w = 0; w < sizeof wrong / sizeof *wrong; w++) {
    alarms = (bt_alarm_limits){.share_a_year = wrong[w][0], .checks_a_year = wrong[w][1], .n = 60};
    cr_expect_eq(bt_alarm_limits_solve(BT_ALARM_BOTH, NULL, &alarms, &error), BT_USAGE, "%zu", w);
    cr_expect(!alarms.given);
  }
}

/* What the limits give on each of 20,000 simulated baselines, sorted. */
static double rate[BASELINES];

static double simulate_rates(const bt_alarm_limits *alarms) {
  spc_rate_rules rules;
  bt_error error;
  double sum = 0;
  cr_assert_eq(spc_rate_rules_make(&rules, &error), BT_OK);
  draw_baselines(alarms->n, alarms->screened, 410);
  for (size_t b = 0; b < BASELINES; b++) {
    double w = width[b], line = alarms->limit * w, k = 0.5 * w, h = alarms->h * w;
    rate[b] = gsl_cdf_ugaussian_Q(line - centre[b]) + gsl_cdf_ugaussian_Q(line + centre[b]) +
              spc_cusum_rate(&rules, k, h, centre[b]) + spc_cusum_rate(&rules, k, h, -centre[b]);
    rate[b] *= alarms->checks_a_year;
    sum += rate[b];
  }
  spc_rate_rules_free(&rules);
  gsl_sort(rate, 1, BASELINES);
  return sum / BASELINES;
}

static void average_and_range(const bt_alarm_limits *alarms, double accuracy) {
  double mean = simulate_rates(alarms), error = gsl_stats_sd(rate, 1, BASELINES);
  double low = gsl_stats_quantile_from_sorted_data(rate, 1, BASELINES, 0.1);
  double high = gsl_stats_quantile_from_sorted_data(rate, 1, BASELINES, 0.9);
  error *= 4 / sqrt(BASELINES);
  printf("a year: %.4f +- %.4f (computed %.4f), %.4f to %.4f (computed %.4f to %.4f)\n", mean,
         error, alarms->share_a_year, low, high, alarms->low, alarms->high);
  cr_expect_float_eq(mean, alarms->share_a_year, error + 0.01 * alarms->share_a_year);
  cr_expect_float_eq(low, alarms->low, 0.05 * low);
  cr_expect_float_eq(high, alarms->high, accuracy * high);
}

Test(alarm, B2_average_and_range_over_simulated_baselines) {
  bt_alarm_limits alarms = solved(BT_ALARM_BOTH, 60, false);
  average_and_range(&alarms, 0.05);
}

/* The share is the same, so the limits are wider. */
Test(alarm, B2_average_and_range_over_screened_baselines) {
  static const size_t sizes[] = {30, 60, 100};
  for (size_t s = 0; s < 3; s++) {
    bt_alarm_limits alarms = solved(BT_ALARM_BOTH, sizes[s], true);
    bt_alarm_limits unscreened = solved(BT_ALARM_BOTH, sizes[s], false);
    cr_expect(alarms.limit > unscreened.limit && alarms.h > unscreened.h);
    average_and_range(&alarms, sizes[s] == 30 ? 0.08 : 0.05);
  }
}

/* Share of unit normal pairs, x = 3 + 2 u and y = x/2 + v, beyond the limit: a fine sum. */
static double share_beyond(const bt_vector *vector, double limit) {
  enum { CUTS = 80 };
  static double density[CUTS];
  const double edge = 7, step = 2 * edge / CUTS;
  double sum = 0;
  for (int i = 0; i < CUTS && density[0] == 0; i++)
    density[CUTS - 1 - i] = step * gsl_ran_ugaussian_pdf(step * (i + 0.5) - edge);
  for (int i = 0; i < CUTS; i++)
    for (int j = 0; j < CUTS; j++) {
      double x = 3 + 2 * (step * (i + 0.5) - edge), y = x / 2 + step * (j + 0.5) - edge;
      if (bt_vector_t2(vector, x, y) > limit)
        sum += density[i] * density[j];
    }
  return sum;
}

enum { FITS = 1000, PAIRS = 60 };

/* The vector of the pairs that are left when none lies beyond the Phase I limit. */
static bt_vector fit_pairs(const double *x, const double *y, bool differences, bool screened) {
  uint8_t use[PAIRS];
  bt_vector vector;
  bt_error error = {0};
  size_t left_out = 0, beyond = 0;
  for (size_t i = 0; i < PAIRS; i++)
    use[i] = 1;
  do {
    uint8_t out[PAIRS] = {0};
    cr_assert_eq(bt_vector_fit(x, y, use, PAIRS, differences, &vector, &error), BT_OK);
    beyond = 0;
    for (size_t i = 0; i < PAIRS && screened; i++)
      beyond += out[i] = use[i] && bt_vector_t2(&vector, x[i], y[i]) > vector.phase1_limit;
    if (10 * (left_out + beyond) > PAIRS)
      break;
    left_out += beyond;
    for (size_t i = 0; i < PAIRS; i++)
      use[i] = use[i] && !out[i];
  } while (beyond > 0);
  return vector;
}

/* T²: the rate over simulated baselines. From successive differences its limit is approximate, and
 * wider than need be where they are screened. */
Test(alarm, of_T2_over_simulated_baselines) {
  double x[PAIRS], y[PAIRS];
  bt_error error = {0};
  uint64_t seed = 420;
  for (int kind = 0; kind < 4; kind++) {
    bool differences = kind % 2 == 1, screened = kind / 2 == 1;
    bt_alarm_limits alarms = {
        .checks_a_year = 250, .n = PAIRS, .screened = screened, .share_a_year = 0.2};
    for (size_t f = 0; f < FITS; f++) {
      for (size_t i = 0; i < PAIRS; i++) {
        x[i] = 3 + 2 * shape_normal(&seed);
        y[i] = x[i] / 2 + shape_normal(&seed);
      }
      bt_vector vector = fit_pairs(x, y, differences, screened);
      if (f == 0) {
        cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_ONLY_T2, &vector, &alarms, &error), BT_OK);
        cr_expect(alarms.given && alarms.limit == 0 && alarms.h == 0);
        cr_expect_float_eq(alarms.share_a_year, 0.2, 1e-12);
        double exact = 0;
        cr_assert_eq(spc_vector_limit(&vector, 0.2 / 250, &exact, &error), BT_OK);
        cr_expect(alarms.t2_limit >= exact &&
                  alarms.t2_limit < (screened ? 1.05 * exact : exact + 0.01));
      }
      rate[f] = 250 * share_beyond(&vector, alarms.t2_limit);
    }
    double mean = gsl_stats_mean(rate, 1, FITS), sd = gsl_stats_sd(rate, 1, FITS);
    gsl_sort(rate, 1, FITS);
    double low = gsl_stats_quantile_from_sorted_data(rate, 1, FITS, 0.1);
    double high = gsl_stats_quantile_from_sorted_data(rate, 1, FITS, 0.9);
    printf("T²: %.4f a year, %.4f to %.4f (computed %.4f to %.4f), limit %.2f\n", mean, low, high,
           alarms.low, alarms.high, alarms.t2_limit);
    cr_expect_float_eq(mean, 0.2, 4 * sd / sqrt(FITS) + (differences ? 0.02 : 0));
    cr_expect_float_eq(low, alarms.low, 0.15 * low);
    cr_expect_float_eq(high, alarms.high, 0.15 * high);
  }
}

Test(alarm, B4_of_T2) {
  bt_vector vector = {.n = 60, .df = 59, .var_x = 1, .var_y = 1};
  bt_error error = {0};
  cr_assert_eq(spc_vector_limit(&vector, 0.0027, &vector.phase2_limit, &error), BT_OK);
  bt_alarm_limits alarms = {.checks_a_year = 20, .n = 60, .share_a_year = 1};
  cr_assert_eq(bt_alarm_limits_solve(BT_ALARM_ONLY_T2, &vector, &alarms, &error), BT_OK);
  cr_expect_float_eq(alarms.t2_limit, vector.phase2_limit, 0.01);
  cr_expect_float_eq(alarms.share_a_year, 20 * 0.0027, 1e-12);
}
