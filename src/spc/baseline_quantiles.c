/* Quantiles, over baselines of n points, of a figure that depends on how a baseline errs.
 *
 * Its centre lies delta = e s sigma from the mean, s its spread and e a unit normal, and sigma-hat
 * is w times sigma (sigma_ratio.c), independently. The figure must depend on |delta| alone and be
 * smooth in it and w. It is computed for NODES values of |e| and of w's normal score, interpolated
 * by bicubic splines to a lattice of CELLS x CELLS baselines of equal probability, and those are
 * sorted.
 *
 * Accuracy: 2 % of the figure at the 10 % and 90 % quantile of a run length. Checked against
 * simulated baselines (tests/unit/spc/alarm.c, tests/unit/spc/estimated.c). */
#include "spc_estimate.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_spline2d.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { NODES = 9, CELLS = 100 };

/* The lattice's own ends lie a little within these. */
static const double widest_error = 2.85, widest_score = 2.6;

/* The figure's logarithm at the nodes: [score][error]. */
static bt_status compute(size_t n, bool screened, spc_figure figure, void *parameters,
                         double *errors, double *scores, double *logs, bt_error *error) {
  spc_sigma_ratio ratio = spc_sigma_ratio_of(n, screened);
  double spread = spc_centre_spread(n, screened);
  bt_status status = BT_OK;
  for (size_t i = 0; i < NODES; i++) {
    errors[i] = widest_error * (double)i / (NODES - 1);
    scores[i] = widest_score * (2 * (double)i / (NODES - 1) - 1);
  }
  for (size_t i = 0; i < NODES && status == BT_OK; i++)
    for (size_t j = 0; j < NODES && status == BT_OK; j++) {
      double value = 0;
      status = figure(errors[j] * spread, spc_sigma_ratio_quantile(&ratio, scores[i]), parameters,
                      &value, error);
      logs[i * NODES + j] = log(value);
    }
  return status;
}

bt_status spc_baseline_quantiles(size_t n, bool screened, spc_figure figure, void *parameters,
                                 double *low, double *median, double *high, bt_error *error) {
  const size_t all = (size_t)CELLS * CELLS;
  double errors[NODES], scores[NODES], logs[NODES * NODES];
  double *value = bt_new(all, sizeof *value);
  gsl_spline2d *spline = gsl_spline2d_alloc(gsl_interp2d_bicubic, NODES, NODES);
  bt_status status = BT_OK;
  if (value == NULL || spline == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  status = compute(n, screened, figure, parameters, errors, scores, logs, error);
  if (status != BT_OK)
    goto done;
  if (gsl_spline2d_init(spline, errors, scores, logs, NODES, NODES) != 0) {
    status = bt_fail_memory(error);
    goto done;
  }
  for (size_t i = 0; i < CELLS; i++) {
    double score = gsl_cdf_ugaussian_Pinv(((double)i + 0.5) / CELLS);
    for (size_t j = 0; j < CELLS; j++) {
      double size = gsl_cdf_ugaussian_Qinv(((double)j + 0.5) / (2 * CELLS));
      value[i * CELLS + j] = gsl_spline2d_eval(spline, size, score, NULL, NULL);
    }
  }
  gsl_sort(value, 1, all);
  *low = exp(gsl_stats_quantile_from_sorted_data(value, 1, all, 0.1));
  *median = exp(gsl_stats_quantile_from_sorted_data(value, 1, all, 0.5));
  *high = exp(gsl_stats_quantile_from_sorted_data(value, 1, all, 0.9));
done:
  free(value);
  if (spline != NULL)
    gsl_spline2d_free(spline);
  return status;
}
