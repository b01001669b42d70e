/* The spc room: control charts. Pure functions: no I/O, no clock, no globals.
 *
 * Shapes: `n` values in time order; `use[i]` (or judged[i]) tells whether value i takes part. A
 * value that takes part must be finite. Arrays passed as results have room for n and are written
 * whole. GSL's aborting error handler must be off. Exact definitions: the comment at the head of
 * each source file, with its source. */
#ifndef BEAMTALLY_SPC_H
#define BEAMTALLY_SPC_H

#include "beamtally/base.h"
#include "beamtally/finding.h"
#include "beamtally/series.h"

/* ---- Constants of samples of n normal values (n = 2..25) ------------------------------------- */

/* Mean and standard deviation of the range, and mean of the standard deviation, in sigma; D4 = 1 +
 * 3 d3/d2. Computed from their definitions; NAN for an n outside 2..25. */
double bt_d2(int n);
double bt_d3(int n);
double bt_c4(int n);
double bt_big_d4(int n);

/* Effective degrees of freedom of MRbar/d2 from n values: E^2 / (2 Var) of MRbar. */
double bt_moving_range_df(size_t n);

/* ---- Individuals and moving range ------------------------------------------------------------ */

/* Centre and sigma of the values that take part; their moving ranges bridge those that don't.
 * BT_INPUT with under two values. */
bt_status bt_individuals_fit(const double *value, const uint8_t *use, size_t n,
                             bt_individuals *chart, bt_error *error) BT_MUST_CHECK;

/* The same chart with a stated centre and sigma (> 0). */
bt_individuals bt_individuals_stated(double centre, double sigma);

/* Moving ranges over values that take part, bridging the others: range[i] = |value i - the value
 * that took part before it|; has_range[i] is 0 for the first one and for those that don't. */
void bt_moving_ranges(const double *value, const uint8_t *use, size_t n, double *range,
                      uint8_t *has_range);

/* z = (value - centre) / sigma; all zero when sigma is 0. */
void bt_standardise(const double *value, size_t n, const bt_individuals *chart, double *z);

/* ---- Rules ----------------------------------------------------------------------------------- */

/* Marks the four zone rules on z, each side on its own: high[i] and low[i] get the bits BT_WE1 ..
 * BT_WE4 of the rules that point i completes. Points with judged[i] == 0 are stepped over: they
 * neither count nor break a pattern. */
void bt_zone_rules(const double *z, const uint8_t *judged, size_t n, uint8_t *high, uint8_t *low);

/* Two-sided tabular CUSUM over points [from, to) of one segment, with state empty at `from`. Fills
 * cusum->high, low, run_high, run_low there and appends its excursions (those of both sides in
 * order of their signal). cusum->k, h, headstart and restarts are read; restarts whose point lies
 * in [from, to) begin both sides anew at headstart x h. sigma turns sizes into the unit. */
bt_status bt_cusum_run(const double *z, const uint8_t *judged, size_t from, size_t to, double sigma,
                       bt_cusum *cusum, bt_error *error) BT_MUST_CHECK;

/* EWMA of the values of points [from, to) of one segment, from the chart's centre, with its exact
 * limits. ewma->lambda and limit are read; value, lcl and ucl are filled there. It starts anew at
 * those restarts whose point lies in [from, to). */
void bt_ewma_run(const double *value, const uint8_t *judged, size_t from, size_t to,
                 const bt_individuals *chart, const bt_restart *restarts, size_t restarts_n,
                 bt_ewma *ewma);

/* Episodes of both sides from the rule bits of each point: signals of one side with fewer than 8
 * quiet judged points between them; a signal counts at a point that isn't judged as well.
 * strength[i] is that of point i. Owned array. */
bt_status bt_episodes_find(const uint8_t *judged, uint8_t *const rules[BT_SIDES],
                           const uint8_t *strength, size_t n, bt_episode **episodes,
                           size_t *episodes_n, bt_error *error) BT_MUST_CHECK;

/* ---- Run lengths ----------------------------------------------------------------------------- */

/* Mean, standard deviation and percentiles of the number of points to a first signal, when the mean
 * is shifted by `shift` sigma from the first point on. BT_USAGE where the chart is none, or gives
 * a signal less than once in 1e12 points. */
bt_status bt_run_length_find(const bt_run_chart *chart, double shift, bt_run_length *found,
                             bt_error *error) BT_MUST_CHECK;

/* Probability that the first signal comes within so many points. */
bt_status bt_run_length_within(const bt_run_chart *chart, double shift, uint64_t points,
                               double *probability, bt_error *error) BT_MUST_CHECK;

/* Sets h of a CUSUM or the limit of an EWMA to the millionth of sigma at which the ARL in control
 * is nearest to `arl`. */
bt_status bt_run_length_solve(bt_run_chart *chart, double arl, bt_error *error) BT_MUST_CHECK;

/* False signals at a rate of checking; arl is that in control. */
bt_status bt_false_signals_find(const bt_run_chart *chart, double arl, double checks_a_month,
                                bt_false_signals *rate, bt_error *error) BT_MUST_CHECK;

/* ---- Smaller findings ------------------------------------------------------------------------ */

/* Smallest step between distinct values that take part, against sigma. */
bt_status bt_resolution_fit(const double *value, const uint8_t *use, size_t n, double sigma,
                            bt_resolution *resolution, bt_error *error) BT_MUST_CHECK;

/* Lag-1 autocorrelation about the mean, of the values that take part. */
bt_autocorrelation bt_autocorrelation_fit(const double *value, const uint8_t *use, size_t n);

/* Limit of the radius: 99.73 % quantile for the bivariate normal fitted to (x, y). BT_INPUT with
 * under 8 pairs. */
bt_status bt_radial_limit_fit(const double *x, const double *y, const uint8_t *use, size_t n,
                              bt_radial_limit *limit, bt_error *error) BT_MUST_CHECK;

/* Quantile of sqrt(x^2 + y^2) for a bivariate normal: Rayleigh, Rice and the general case. */
bt_status bt_radius_quantile(double mean_x, double mean_y, double var_x, double var_y,
                             double cov_xy, double probability, double *quantile,
                             bt_error *error) BT_MUST_CHECK;

#endif
