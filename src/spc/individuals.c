/* Individuals and moving range chart, in the unit of the values.
 *
 *   MR_i = |x_i - x_(i-1)|      centre = mean of x      sigma = MRbar / d2(2), d2(2) = 2/sqrt(pi)
 *   limits = centre -/+ 3 sigma      MR limit = D4(2) MRbar, D4(2) = 1 + 3 sqrt(pi/2 - 1) = 3.26653
 *
 * Requirements
 *   I1  Values that don't take part are bridged: the moving range spans the gap.
 *   I2  d2 and D4 are exact, not the rounded 1.128 and 3.267 of the tables: with those the limits
 *       of the published examples differ in the third decimal.
 *   I3  Sigma may be 0 (all values alike): the limits then lie on the centre and every z is 0.
 *   I4  With a stated centre and sigma: n = 0, df = 0, MRbar = d2 sigma, MR limit = D4 d2 sigma.
 *   I5  The centre of equal values is that very value, without rounding.
 *
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2. Checked against its example and
 * three more (tests/published/spc/individuals.c) and a plain loop (tests/unit/spc/individuals.c).
 */
#include "beamtally/spc.h"
#include "spc_constants.h"

#include <math.h>

static void set_limits(bt_individuals *chart) {
  chart->lcl = chart->centre - 3 * chart->sigma;
  chart->ucl = chart->centre + 3 * chart->sigma;
  chart->mr_ucl = spc_big_d4(2) * chart->mr_centre;
}

bt_status bt_individuals_fit(const double *value, const uint8_t *use, size_t n,
                             bt_individuals *chart, bt_error *error) {
  *chart = (bt_individuals){0};
  size_t count = 0;
  double first = 0, before = 0, distance = 0, ranges = 0;
  for (size_t i = 0; i < n; i++) {
    if (use[i] == 0)
      continue; /* I1 */
    if (count == 0)
      first = before = value[i];
    distance +=
        value[i] - first; /* I5: distances from the first value, not the values, are summed */
    ranges += fabs(value[i] - before);
    before = value[i];
    count++;
  }
  if (count < 2)
    return bt_fail(error, BT_INPUT,
                   "an individuals chart needs at least 2 values, there are %zu; choose a longer "
                   "baseline",
                   count);

  chart->n = count;
  chart->centre = first + distance / (double)count;
  chart->mr_centre = ranges / (double)(count - 1);
  chart->sigma = chart->mr_centre / spc_d2(2); /* I2 */
  chart->df = bt_moving_range_df(count);
  set_limits(chart);
  if (!isfinite(chart->lcl) || !isfinite(chart->ucl) || !isfinite(chart->mr_ucl))
    return bt_fail(error, BT_INPUT,
                   "the values are too large for control limits; leave wild readings out of the "
                   "baseline");
  return BT_OK;
}

bt_individuals bt_individuals_stated(double centre, double sigma) {
  bt_individuals chart = {
      .centre = centre, .sigma = sigma, .mr_centre = spc_d2(2) * sigma}; /* I4 */
  set_limits(&chart);
  return chart;
}

void bt_moving_ranges(const double *value, const uint8_t *use, size_t n, double *range,
                      uint8_t *has_range) {
  double before = 0;
  bool started = false;
  for (size_t i = 0; i < n; i++) {
    bool has = use[i] != 0 && started;
    has_range[i] = has;
    range[i] = has ? fabs(value[i] - before) : 0;
    if (use[i] != 0) { /* I1 */
      before = value[i];
      started = true;
    }
  }
}

void bt_standardise(const double *value, size_t n, const bt_individuals *chart, double *z) {
  double centre = chart->centre, sigma = chart->sigma;
  if (sigma > 0) {
    for (size_t i = 0; i < n; i++)
      z[i] = (value[i] - centre) / sigma;
  } else {
    for (size_t i = 0; i < n; i++)
      z[i] = 0; /* I3 */
  }
}
