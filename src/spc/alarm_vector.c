/* The alarm limit of T²: its Phase II limit at the chart's whole share (spc_vector_limit), which
 * already is an average over baselines of n pairs; and what one's own baseline makes of it.
 *
 * In units in which pairs are unit normal, a baseline's mean m errs as N(0, I/n), and its
 * covariance S as a Wishart matrix of the fit's degrees of freedom, divided by them (Bartlett's
 * decomposition; approximate for successive differences). With those a pair in control lies outside
 * (x - m)' S^-1 (x - m) <= c with a probability that is, in polar coordinates about m,
 *   mean over directions u of  exp(-(|m|² - a²)/2) [exp(-s²/2) - a sqrt(2 pi) Q(s)],
 *   a = m'u,  s = a + sqrt(c / u' S^-1 u)
 * low and high are quantiles of it over seeded baselines. Screening by the Phase I limit takes
 * 1.7 % of S and 7 % of its degrees of freedom; a limit for screened baselines is
 * 1.0185 + 0.3/n + 0.65 (ln p)²/n² times as wide, p the rate a point: fitted to 15,000 simulated
 * baselines each of 30, 60, 120 and 300 pairs at p = 0.0027, 0.0008 and 0.0004, within 0.4 % of the
 * limit for pooled S, and up to 2 % too wide for one of successive differences. As with other
 * charts (alarm.c) the limit is rounded up to a hundredth, and is never below that of the notices.
 *
 * Source: the definitions; Bartlett, Proceedings of the Royal Society of Edinburgh 53 (1933).
 * Accuracy: 5 % of the rate. Checked against simulated baselines through bt_vector_fit
 * (tests/unit/spc/alarm.c). */
#include "spc_alarm.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <stdlib.h>

#define GRID               100
#define NOTICE_PROBABILITY 0.0027 /* of phase2_limit */
#define SCREENED_VARIANCE  0.983
#define SCREENED_DF        0.93

enum { BASELINES = 1500, DIRECTIONS = 24, SEED = 193 };

/* A baseline's errors: mean, and S = A A' with A lower triangular. */
typedef struct baseline {
  double mean_x, mean_y;
  double a11, a21, a22;
} baseline;

static baseline draw(const bt_vector *vector, bool screened, gsl_rng *random) {
  double f = vector->df * (screened ? SCREENED_DF : 1), sd = 1 / sqrt((double)vector->n);
  double size = screened ? sqrt(SCREENED_VARIANCE) : 1;
  baseline drawn = {.mean_x = sd * gsl_ran_gaussian_ziggurat(random, 1),
                    .mean_y = sd * gsl_ran_gaussian_ziggurat(random, 1)};
  drawn.a11 = size * sqrt(gsl_ran_chisq(random, f) / f);
  drawn.a21 = size * gsl_ran_gaussian_ziggurat(random, 1) / sqrt(f);
  drawn.a22 = size * sqrt(gsl_ran_chisq(random, f - 1) / f);
  return drawn;
}

static double outside(const baseline *of, double limit) {
  double sum = 0;
  for (int i = 0; i < DIRECTIONS; i++) {
    double angle = 2 * M_PI * i / DIRECTIONS, x = cos(angle), y = sin(angle);
    double first = x / of->a11, second = (y - of->a21 * first) / of->a22;
    double a = of->mean_x * x + of->mean_y * y, across = of->mean_x * y - of->mean_y * x;
    double s = a + sqrt(limit) / hypot(first, second);
    sum += exp(-across * across / 2) *
           (exp(-s * s / 2) - a * M_SQRT2 * M_SQRTPI * gsl_cdf_ugaussian_Q(s));
  }
  return sum / DIRECTIONS;
}

static bt_status find_range(const bt_vector *vector, bt_alarm_limits *alarms, bt_error *error) {
  double *rate = bt_new(BASELINES, sizeof *rate);
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  bt_status status = BT_OK;
  if (rate == NULL || random == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  gsl_rng_set(random, SEED);
  for (size_t i = 0; i < BASELINES; i++) {
    baseline drawn = draw(vector, alarms->screened, random);
    rate[i] = alarms->checks_a_year * outside(&drawn, alarms->t2_limit);
  }
  gsl_sort(rate, 1, BASELINES);
  alarms->low = gsl_stats_quantile_from_sorted_data(rate, 1, BASELINES, 0.1);
  alarms->high = gsl_stats_quantile_from_sorted_data(rate, 1, BASELINES, 0.9);
done:
  free(rate);
  if (random != NULL)
    gsl_rng_free(random);
  return status;
}

static double widened(double n, double probability) {
  double scale = log(probability) / n;
  return 1.0185 + 0.3 / n + 0.65 * scale * scale;
}

bt_status spc_alarm_vector(const bt_vector *vector, bt_alarm_limits *alarms, bt_error *error) {
  double probability = GSL_MIN(alarms->share_a_year / alarms->checks_a_year, NOTICE_PROBABILITY),
         limit = 0;
  bt_status status = spc_vector_limit(vector, probability, &limit, error);
  if (status != BT_OK)
    return status;
  if (alarms->screened)
    limit *= widened((double)vector->n, probability);
  alarms->t2_limit = ceil(limit * GRID) / GRID;
  alarms->share_a_year = probability * alarms->checks_a_year;
  return find_range(vector, alarms, error);
}
