/* The drift room: gas fills and what goes on inside them. Pure functions, as in spc. */
#ifndef BEAMTALLY_DRIFT_H
#define BEAMTALLY_DRIFT_H

#include "beamtally/base.h"
#include "beamtally/finding.h"
#include "beamtally/series.h"

/* Gas fills of a unit: from its gas_refill events and the refill flags of its checks; two refills
 * within 6 hours are one, from the later; where there are none, from drops of the logged fill age.
 * The first fill's start is not known unless its age is logged. */
bt_status bt_fills_find(const bt_history *history, bt_fills *fills, bt_error *error) BT_MUST_CHECK;

/* For each check of the history: its fill, its stretch (the fill, split further at a cleaning,
 * service, recalibration or meter change inside it; numbered from 0), and its fill age in days
 * (elapsed time / 24 h) where known. A reading at the time of the refill belongs to the new fill.
 * In a fill whose start is not known the age counts from its first check and known[i] is 0. */
bt_status bt_fills_place(const bt_fills *fills, const bt_history *history, int32_t *fill,
                         int32_t *stretch, double *age_days, uint8_t *known,
                         bt_error *error) BT_MUST_CHECK;

/* Common within-stretch slope: one intercept a stretch, one slope (fixed effects). stretch[i]
 * groups the values; ages only matter within a group. fill[i] is the gas fill that it belongs to,
 * in time order. slope->use tells whether it may be used to move values; mean_age_days and
 * oldest_age_days are taken over values with known[i]. */
bt_status bt_slope_fit(const double *value, const double *age_days, const int32_t *fill,
                       const int32_t *stretch, const uint8_t *known, const uint8_t *use, size_t n,
                       bt_slope *slope, bt_error *error) BT_MUST_CHECK;

/* The same slope by the pulse counter: bt_slope per 1,000 pulses, ages in thousands of pulses.
 * use[i] only where the counter was read; one that falls within a stretch was reset. */
bt_status bt_slope_by_pulses(const double *value, const double *pulses, const int32_t *fill,
                             const int32_t *stretch, const uint8_t *use, size_t n, bt_slope *slope,
                             bt_error *error) BT_MUST_CHECK;

/* ---- Levels of the fills --------------------------------------------------------------------- */

/* The window at `until`: since the last cleaning, service, recalibration, meter or bottle change.
 */
bt_window bt_window_find(const bt_history *history, bt_time until);

/* Levels of the fills with 2 values or more that take part and are of known fill age, moved to the
 * slope's mean fill age; NULL: not moved. fitted: the slope comes from these very values. level has
 * room for n; levels->n of it are set, in time order. BT_INPUT where a fill comes before one of
 * its own values. */
bt_status bt_levels_fit(const double *day, const double *value, const double *age_days,
                        const int32_t *fill, const uint8_t *known, const uint8_t *use, size_t n,
                        const bt_slope *slope, bool fitted, bt_level *level, bt_levels *levels,
                        bt_error *error) BT_MUST_CHECK;

/* Theil-Sen slope of values, of levels say. BT_INPUT with over 5,000 of them, or a day that falls.
 */
bt_status bt_trend_find(const double *day, const double *value, size_t n, bt_trend *trend,
                        bt_error *error) BT_MUST_CHECK;

bt_gas_slope bt_gas_slope_of(const bt_slope *within, const bt_trend *levels);

/* ---- When did it change ---------------------------------------------------------------------- */

/* The step and the hinge that fit best, each with its set of dates, of values in time order.
 * BT_INPUT where a day falls. */
bt_status bt_change_find(const double *day, const double *value, size_t n, bt_change *change,
                         bt_error *error) BT_MUST_CHECK;

/* How many steps the values hold: tells one from several. */
bt_steps bt_steps_find(const double *value, size_t n);

/* The threshold of a look at a window of n values, where so many charts of the unit are looked at
 * so often a year. */
bt_look bt_look_of(size_t n, size_t charts, double looks_a_year);

/* ---- When will it matter --------------------------------------------------------------------- */

/* Forecast of the drift that bt_change_find found in the same values. BT_USAGE where the basis has
 * no scatter or rate of checking. */
bt_status bt_forecast_find(const double *day, const double *value, size_t n,
                           const bt_change *change, const bt_forecast_basis *basis,
                           bt_forecast *forecast, bt_error *error) BT_MUST_CHECK;

#endif
