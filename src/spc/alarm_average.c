/* How often limits signal on average over the baselines that they may come from.
 *
 * A baseline of n points has its centre delta = s error sigma from the mean, s about 1/sqrt(n) and
 * error a unit normal, and sigma-hat = w sigma (sigma_ratio.c); of normal values the two are
 * independent. With such limits a point z = (Z - delta)/w, Z a unit normal, so
 *   Shewhart  P(|Z - delta| > L w); over delta that is 2 Q(L w / sqrt(1 + s²)), over w a sum;
 *   CUSUM     1/ARL of one with k w and h w under a shift of -delta (and of +delta, the low side):
 *             its mean over delta and w is a sum over both, twice that of one side.
 * The CUSUM's mean is that of baselines far off: they signal by the dozen, most others never. So
 * the sum over `error` leans to that side.
 *
 * Source: the definitions; Jensen, Jones-Farmer, Champ and Woodall, Journal of Quality Technology
 * 38 (2006), on what estimation does to run lengths. Accuracy: the sums, 0.2 % of the rate for n
 * from 30 to 2000; the law of w, 1 %. Checked by simulated baselines (tests/unit/spc/alarm.c). */
#include "spc_estimate.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>

enum { ERRORS = 16, WIDTHS = 12 };

/* The integrands' weight lies within these, in standard deviations. */
static const double error_from = -3, error_to = 7, width_from = -6, width_to = 4;
static const double least_width = 0.02;

static bt_status weigh(spc_baselines *made, bt_error *error) {
  bt_status status = spc_nodes_of_size(error_from, error_to, ERRORS, &made->error, error);
  if (status != BT_OK)
    return status;
  for (size_t i = 0; i < ERRORS; i++)
    made->error.weight[i] *= gsl_ran_ugaussian_pdf(made->error.at[i]);

  double from = made->ratio.mean + width_from * made->ratio.spread,
         to = made->ratio.mean + width_to * made->ratio.spread;
  double mass = 0;
  status = spc_nodes_of_size(fmax(from, least_width), to, WIDTHS, &made->width, error);
  if (status != BT_OK)
    return status;
  for (size_t i = 0; i < WIDTHS; i++)
    mass += made->width.weight[i] *= spc_sigma_ratio_density(&made->ratio, made->width.at[i]);
  for (size_t i = 0; i < WIDTHS; i++)
    made->width.weight[i] /= mass;
  return BT_OK;
}

bt_status spc_baselines_make(size_t n, bool screened, spc_baselines *baselines, bt_error *error) {
  *baselines = (spc_baselines){.n = n,
                               .screened = screened,
                               .centre_spread = spc_centre_spread(n, screened),
                               .ratio = spc_sigma_ratio_of(n, screened)};
  bt_status status = weigh(baselines, error);
  if (status == BT_OK)
    status = spc_rate_rules_make(&baselines->rules, error);
  return status;
}

void spc_baselines_free(spc_baselines *baselines) {
  spc_nodes_free(&baselines->error);
  spc_nodes_free(&baselines->width);
  spc_rate_rules_free(&baselines->rules);
}

double spc_shewhart_average(const spc_baselines *baselines, double limit) {
  const spc_nodes *width = &baselines->width;
  double spread = hypot(1, baselines->centre_spread), average = 0;
  for (size_t i = 0; i < width->n; i++)
    average += width->weight[i] * 2 * gsl_cdf_ugaussian_Q(limit * width->at[i] / spread);
  return average;
}

double spc_cusum_average(const spc_baselines *baselines, double k, double h) {
  const spc_nodes *width = &baselines->width, *error = &baselines->error;
  double sd = baselines->centre_spread, average = 0;
  for (size_t i = 0; i < width->n; i++)
    for (size_t j = 0; j < error->n; j++)
      average +=
          2 * width->weight[i] * error->weight[j] *
          spc_cusum_rate(&baselines->rules, k * width->at[i], h * width->at[i], sd * error->at[j]);
  return average;
}
