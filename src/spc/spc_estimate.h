/* What the files share that reckon with a baseline of n points: how its sigma errs, and averages
 * over what such baselines may be. */
#ifndef SPC_ESTIMATE_H
#define SPC_ESTIMATE_H

#include "spc_run_length.h"

/* Law of sigma-hat / sigma, sigma-hat = MRbar / d2(2): a gamma distribution that begins at `least`.
 */
typedef struct spc_sigma_ratio {
  double mean, spread; /* spread: standard deviation */
  double shape, scale, least;
} spc_sigma_ratio;

/* n points, 3 or more. screened: what is left of a baseline screened by its 3-sigma limits. */
spc_sigma_ratio spc_sigma_ratio_of(size_t n, bool screened);

/* Standard deviation of the centre's error, in sigma. */
double spc_centre_spread(size_t n, bool screened);

double spc_sigma_ratio_density(const spc_sigma_ratio *law, double ratio);

/* The quantile at the probability that a unit normal value has of lying below `score`. */
double spc_sigma_ratio_quantile(const spc_sigma_ratio *law, double score);

enum { SPC_RATE_RULES = 5 };

/* Gauss and Legendre's rules on [0, 1] that spc_cusum_rate chooses from. */
typedef struct spc_rate_rules {
  spc_nodes of[SPC_RATE_RULES];
} spc_rate_rules;

bt_status spc_rate_rules_make(spc_rate_rules *rules, bt_error *error) BT_MUST_CHECK;
void spc_rate_rules_free(spc_rate_rules *rules);

/* 1/ARL of the high side of a CUSUM that starts at 0, the mean shifted by `shift`, all in sigma. h
 * up to SPC_RATE_HIGHEST. */
#define SPC_RATE_HIGHEST 40
double spc_cusum_rate(const spc_rate_rules *rules, double k, double h, double shift);

/* What baselines of n points may be: values of the centre's error, in its own standard deviation,
 * and of sigma-hat / sigma, each with the weight of its probability. */
typedef struct spc_baselines {
  size_t n;
  bool screened;
  double centre_spread;
  spc_sigma_ratio ratio;
  spc_nodes error, width;
  spc_rate_rules rules;
} spc_baselines;

bt_status spc_baselines_make(size_t n, bool screened, spc_baselines *baselines,
                             bt_error *error) BT_MUST_CHECK;
void spc_baselines_free(spc_baselines *baselines);

/* Mean over baselines of the probability that a point in control lies beyond limit x sigma-hat. */
double spc_shewhart_average(const spc_baselines *baselines, double limit);

/* Mean over baselines of 1/ARL of the two-sided CUSUM, k and h in sigma-hat, no headstart. */
double spc_cusum_average(const spc_baselines *baselines, double k, double h);

/* A figure (above 0) of limits whose centre lies delta >= 0 from the mean and whose sigma is
 * `width` times the true one. */
typedef bt_status (*spc_figure)(double delta, double width, void *parameters, double *value,
                                bt_error *error);

/* Its 10 %, 50 % and 90 % quantile over baselines of n points. */
bt_status spc_baseline_quantiles(size_t n, bool screened, spc_figure figure, void *parameters,
                                 double *low, double *median, double *high,
                                 bt_error *error) BT_MUST_CHECK;

#endif
