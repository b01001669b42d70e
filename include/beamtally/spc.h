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

/* ---- Individuals and moving range ------------------------------------------------------------ */

/* Centre and sigma of the values that take part; their moving ranges bridge those that don't.
 * BT_INPUT with under two values. */
bt_status bt_individuals_fit(const double *value, const uint8_t *use, size_t n,
                             bt_individuals *chart, bt_error *error) BT_MUST_CHECK;

/* The same chart with a stated centre and sigma (> 0). */
bt_individuals bt_individuals_stated(double centre, double sigma);

/* Effective degrees of freedom of MRbar/d2 from n values: E^2 / (2 Var) of MRbar. */
double bt_moving_range_df(size_t n);

/* How uncertain a fitted chart's sigma and limits are. */
bt_uncertainty bt_limits_uncertainty(const bt_individuals *chart);

/* Moving ranges over values that take part, bridging the others: range[i] = |value i - the value
 * that took part before it|; has_range[i] is 0 for the first one and for those that don't. */
void bt_moving_ranges(const double *value, const uint8_t *use, size_t n, double *range,
                      uint8_t *has_range);

/* z = (value - centre) / sigma; all zero when sigma is 0. */
void bt_standardise(const double *value, size_t n, const bt_individuals *chart, double *z);

/* ---- Rules ----------------------------------------------------------------------------------- */

/* Marks the ZONE rules of BT_RULES on z, each side on its own: high[i] and low[i] get the bits of
 * the rules that point i completes. Points with judged[i] == 0 are stepped over: they
 * neither count nor break a pattern. */
void bt_zone_rules(const double *z, const uint8_t *judged, size_t n, bt_rules *high, bt_rules *low);

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

/* The charted points of one characteristic, and what judging them marks; all borrowed. The marks
 * add to what stands in `rules`, which has the zone rules of Phase II overwritten. */
typedef struct bt_judged {
  bt_characteristic characteristic;
  const double *value;
  const uint8_t *judged; /* 1: by all rules, 2: Phase I, 0: not */
  double *z;
  bt_rules *rules[BT_SIDES];
  bt_cusum *cusum;
} bt_judged;

/* Judges the points of a segment by its chart, the radius and T² by their limit; sets z and the
 * CUSUM of the points that a chart judges. Nothing where the segment has no chart. */
bt_status bt_judge_segment(const bt_judged *of, const bt_segment *segment,
                           bt_error *error) BT_MUST_CHECK;

/* After it: marks what is beyond the segment's alarm limits, where it has them. */
void bt_judge_alarms(const bt_judged *of, const bt_segment *segment);

/* The point that a failed check counts for, of n at those times; `next` is the first one behind the
 * last check that was in a point, this one included. BT_NONE: none. */
size_t bt_judge_failed_point(const bt_time *at, size_t n, size_t next, bt_time check);

/* Last: takes away the rules that aren't `known`, and sets the strength of each point. */
void bt_judge_strengths(const bt_judged *of, size_t n, bt_rules known, uint8_t *strength);

/* Episodes of both sides from the rule bits of each point: signals of one side with fewer than 8
 * quiet judged points between them; a signal counts at a point that isn't judged as well.
 * strength[i] is that of point i. segment[i] is the number of its baseline: episodes of both sides
 * end where it changes, since each is judged by one baseline's limits; NULL: all have one. Owned
 * array. */
bt_status bt_episodes_find(const int32_t *segment, const uint8_t *judged,
                           bt_rules *const rules[BT_SIDES], const uint8_t *strength, size_t n,
                           bt_episode **episodes, size_t *episodes_n,
                           bt_error *error) BT_MUST_CHECK;

/* The charted points of one characteristic, with what judges those of the newest baseline. */
typedef struct bt_jump_basis {
  size_t n, phase2; /* points; the first that all rules judge */
  const double *value, *moving_range;
  const uint8_t *has_range, *judged;
  const bt_rules *rules[BT_SIDES];
  double range_limit; /* upper limit of the moving range */
} bt_jump_basis;

/* Jumps back behind signals (jump.c). Owned array, in time order. */
bt_status bt_jumps_find(const bt_jump_basis *of, bt_jump **jumps, size_t *n,
                        bt_error *error) BT_MUST_CHECK;

/* ---- Run lengths ----------------------------------------------------------------------------- */

/* Mean, standard deviation and percentiles of the number of points to a first signal, when the mean
 * is shifted by `shift` sigma from the first point on. BT_USAGE where the chart is none, or gives
 * a signal less than once in 1e12 points. */
bt_status bt_run_length_find(const bt_run_chart *chart, double shift, bt_run_length *found,
                             bt_error *error) BT_MUST_CHECK;

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

/* ---- The tracker's vector -------------------------------------------------------------------- */

/* Mean, covariance and limits of T² from the pairs that take part, in time order; the covariance
 * pooled, or from successive differences (which a drift in the baseline hardly widens). BT_INPUT
 * with under 8 pairs, or where all pairs lie on one line. */
bt_status bt_vector_fit(const double *x, const double *y, const uint8_t *use, size_t n,
                        bool from_differences, bt_vector *vector, bt_error *error) BT_MUST_CHECK;

/* Degrees of freedom and both limits of a vector whose n (8 or more) and kind are known, as those
 * of a frozen baseline are. */
void bt_vector_limits(bt_vector *vector);

/* T² of one pair, by a vector that was fitted. */
double bt_vector_t2(const bt_vector *vector, double x, double y);

/* ---- Days with several checks ---------------------------------------------------------------- */

/* Within-day sigma: mean of s/c4(n) of the days that take part and have two checks or more (n up to
 * 25; a day with more counts as 25). */
bt_within bt_within_fit(const double *s, const uint32_t *checks, const uint8_t *use, size_t n);

/* Centre and upper limit of s of a day with so many checks: c4 sigma, (c4 + 3 sqrt(1 - c4²)) sigma;
 * the lower one, never below 0. */
void bt_within_limits(const bt_within *within, uint32_t checks, double *centre, double *lcl,
                      double *ucl);

/* p of the between-day variance being zero: one-way analysis of variance of values in groups
 * (group[i] never falls). 1 where there are under two groups or no group has two values. */
bt_status bt_between_days(const double *value, const int32_t *group, const uint8_t *use, size_t n,
                          double *p, bt_error *error) BT_MUST_CHECK;

/* ---- Alarms within a budget ------------------------------------------------------------------ */

/* What kind of limits a chart's share of the budget is spent on. */
typedef enum bt_alarm_kind {
  BT_ALARM_BOTH,      /* half on a Shewhart limit, half on a CUSUM */
  BT_ALARM_ONLY_T2,   /* all on T²'s limit */
  BT_ALARM_ONLY_CUSUM /* all on a CUSUM */
} bt_alarm_kind;

/* Solves limit, h (k = 0.5, no headstart) or t2_limit so that a chart whose centre and sigma come
 * from n points gives, on average over such baselines, `share_a_year` false alarms at
 * checks_a_year. alarms->budget_a_year, charts, checks_a_year, n, screened and share_a_year are
 * read; the rest is set, and share_a_year becomes what the limits give: a little less, as they are
 * rounded up to a hundredth, or much less where they would be narrower than those of a notice. h
 * stays 0, all spent on the limit, where only one above 20 would do. vector: for T², its fit; NULL
 * else. given stays false with n under 30. */
bt_status bt_alarm_limits_solve(bt_alarm_kind kind, const bt_vector *vector,
                                bt_alarm_limits *alarms, bt_error *error) BT_MUST_CHECK;

/* ---- Is a period fit to be a baseline -------------------------------------------------------- */

/* Kendall's trend test and a step test at any date, of values that take part, in time order. */
bt_status bt_stability_test(const double *value, const uint8_t *use, size_t n,
                            bt_stability *stability, bt_error *error) BT_MUST_CHECK;

/* The same of two series, of which the one that speaks louder is reported, each p doubled, since
 * there were two to choose from; `detectable` is that of the test with its p doubled. */
bt_status bt_stability_test_two(const double *x, const double *y, const uint8_t *use, size_t n,
                                bt_stability *louder, bt_error *error) BT_MUST_CHECK;

/* Kendall's tau (tau-b) and two-sided p against the order of the values: exact for up to 40 values
 * without ties, else normal with the correction for ties and continuity. */
bt_status bt_kendall(const double *value, size_t n, double *tau, double *p,
                     bt_error *error) BT_MUST_CHECK;

/* ---- Capability ------------------------------------------------------------------------------ */

/* Indices with 95 % intervals. capability->n, mean, overall_s, within_sigma and within_df are read;
 * cp, cpk, pp, ppk are set. The tolerance may be one-sided, or NULL: none is given. */
void bt_capability_find(const bt_tolerance *tolerance, bt_capability *capability);

/* ---- Rare failures --------------------------------------------------------------------------- */

/* Days between failures, their limit and trend, for failures at those times (never falling) in a
 * log watched from `from` to `until`. Items are left to the caller. The gaps are owned by *rare. */
bt_status bt_rare_find(const bt_time *failed_at, size_t n, bt_time from, bt_time until,
                       bt_rare *rare, bt_error *error) BT_MUST_CHECK;

/* ---- The charts of a unit together ----------------------------------------------------------- */

/* `charts` independent series, each with the same chart; the first signal of any. */
bt_status bt_joint_run_find(const bt_joint_chart *chart, size_t charts, double shift, size_t runs,
                            uint64_t seed, bt_joint_run *found, bt_error *error) BT_MUST_CHECK;

bt_status bt_run_length_estimated(const bt_run_chart *chart, size_t n, bt_estimated *found,
                                  bt_error *error) BT_MUST_CHECK;

/* Charts that give at most the budget of false signals a year at its rate of checking, divided
 * among its charts (0 is one), the soonest to find its shift first: each subset of the zone rules
 * that keeps it, CUSUMs of k = shift/2 and 0.5 with and without headstart, EWMAs of lambda 0.1, 0.2
 * and 0.4. *n of them; 0 when none keeps it.
 */
bt_status bt_suggest(const bt_budget *budget, bt_suggestion *suggestions, size_t *n,
                     bt_error *error) BT_MUST_CHECK;

#endif
