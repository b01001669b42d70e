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

/* Counts the ages of bt_fills_place by the pulse counter instead: pulses since the refill, of which
 * that many (above 0) are a day. known[i] is 0 where the counter was not read, or was reset. */
void bt_fills_age_by_pulses(const bt_history *history, double pulses_a_day, const int32_t *fill,
                            double *age_days, uint8_t *known);

/* Common within-stretch slope: one intercept a stretch, one slope (fixed effects). stretch[i]
 * groups the values; ages only matter within a group. fill[i] is the gas fill that it belongs to,
 * in time order. slope->use tells whether it may be used to move values; mean_age_days and
 * oldest_age_days are taken over values with known[i]. */
bt_status bt_slope_fit(const double *value, const double *age_days, const int32_t *fill,
                       const int32_t *stretch, const uint8_t *known, const uint8_t *use, size_t n,
                       bt_slope *slope, bt_error *error) BT_MUST_CHECK;

/* How old the gas usually gets: *end_days, the age that two fills at least, and one in fifty, reach
 * or pass (0 where no age is known). fill[i] is in time order; ages count where known[i].
 * BT_MEMORY. */
bt_status bt_fill_end_find(const double *age_days, const int32_t *fill, const uint8_t *known,
                           size_t n, double *end_days, bt_error *error) BT_MUST_CHECK;

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

/* The step and the hinge that fit best, and the band of dates of the change, of values in time
 * order. BT_INPUT where a day falls. */
bt_status bt_change_find(const double *day, const double *value, size_t n, bt_change *change,
                         bt_error *error) BT_MUST_CHECK;

/* How many steps the values hold: tells one from several. */
bt_steps bt_steps_find(const double *value, size_t n);

/* The threshold of a look at a window of n values, where so many charts of the unit are looked at
 * so often a year. */
bt_look bt_look_of(size_t n, size_t charts, double looks_a_year);

/* Sets is[i] to 1 where value i stands alone, far from those before and after it, in units of
 * sigma, or of their own spread where that is larger; else to 0. Gives how many do. */
size_t bt_far_values(const double *value, size_t n, double sigma, uint8_t *is);

/* The last values beside the line of the change that was found in them. */
bt_newest bt_newest_of(const double *day, const double *value, size_t n, const bt_change *change);

/* Mean of the last values of a series that didn't change. */
bt_recent bt_recent_mean(const double *value, size_t n, size_t last);

/* ---- When will it matter --------------------------------------------------------------------- */

/* Forecast of the drift that bt_change_find found in the same values. BT_USAGE where the basis has
 * no scatter or rate of checking. */
bt_status bt_forecast_find(const double *day, const double *value, size_t n,
                           const bt_change *change, const bt_forecast_basis *basis,
                           bt_forecast *forecast, bt_error *error) BT_MUST_CHECK;

/* Days that a fill lasts before its mean meets tolerance: level is that at the slope's mean fill
 * age, with its standard error. */
bt_fill_days bt_fill_days_of(double level, double level_se, const bt_slope *slope, bool has_low,
                             double low, bool has_high, double high);

/* What a change of fluence (mJ/cm^2; the peak of a Gaussian spot) is worth in dioptres, with the
 * threshold and its range. */
bt_dioptres bt_dioptres_of(bt_beam beam, double from, double to, double threshold, double low,
                           double high);

/* The days that a change at `earliest` or later may have affected, of checks in time order;
 * outside[i]: outside tolerance. day has room for n; found.days of it are set, each at midnight. */
bt_look_back bt_look_back_find(const bt_time *at, const uint8_t *outside, size_t n,
                               bt_time earliest, const bt_event *events, size_t events_n,
                               bt_time *day);

/* ---- What goes with it ----------------------------------------------------------------------- */

/* Two samples, each in time order. */
bt_status bt_comparison_find(const double *before, size_t before_n, const double *after,
                             size_t after_n, bt_comparison *found, bt_error *error) BT_MUST_CHECK;

/* The same for values about an event: at most 20 and 30 days on each side, between the day of the
 * event before it and that of the next one (-INFINITY and INFINITY where there is none). */
bt_status bt_before_after_find(const double *day, const double *value, size_t n, double event,
                               double not_before, double not_after, bt_comparison *found,
                               bt_error *error) BT_MUST_CHECK;

/* Effect of a covariate on the values. */
bt_status bt_effect_find(const double *day, const double *value, const double *covariate, size_t n,
                         bt_effect *effect, bt_error *error) BT_MUST_CHECK;

/* Jumps that unrecorded refills would make: values not moved to the mean fill age, in time order,
 * of known fill age; sigma of a value about its fill's line. found has room for n; how many of it
 * are set. */
size_t bt_refills_suspect(const double *value, const double *age_days, const int32_t *stretch,
                          size_t n, const bt_slope *slope, double sigma, bt_suspected *found);

/* Whether readings get better as the gas ages: by the slope inside the fills since the change, or
 * that of the baseline. `loss` is the sign of a loss, 0 where none is known. Sets the slope that
 * was asked. */
bool bt_refills_wrong_side(const bt_slope *since, const bt_slope *baseline, int loss,
                           bt_slope *slope);

/* The oldest reading of known fill age, where that is far above the usual length of a fill (0: not
 * known), both in days; else BT_NONE. */
size_t bt_refills_missing(const double *age_days, const uint8_t *known, size_t n,
                          double usual_days);

/* ---- Past forecasts -------------------------------------------------------------------------- */

/* How a past forecast compares with what came, by its forecast, `failed` and `overtaken`; last_day
 * is that of the record's last check. */
bt_past_result bt_past_judge(const bt_past_forecast *past, double last_day);

/* Counts judged ones. */
bt_past_score bt_past_score_of(const bt_past_forecast *past, size_t n);

/* ---- Likely causes --------------------------------------------------------------------------- */

/* What a characteristic did, by its change and its look. */
bt_moved bt_moved_of(const bt_change *change, const bt_look *look);

/* By how much of what it was before, in per cent: in all for a step, a month for a hinge. 0 where
 * that was 0 or below. */
double bt_change_per_cent(const bt_change *change);

/* What of a change, as found in values moved to one fill age, stays over refills, and what the
 * fills lose more; of the values as measured. */
bt_status bt_parts_find(const double *day, const double *value, const double *age_days,
                        const int32_t *fill, const uint8_t *known, size_t n,
                        const bt_change *change, bt_parts *parts, bt_error *error) BT_MUST_CHECK;

/* How the slope inside the fills grows along the change's hinge, of values moved to the mean fill
 * age of the slope `before` it, along that. Of it and below per_day, se and mean_age_days count.
 * BT_MEMORY. */
bt_status bt_fill_growth_find(const double *day, const double *value, const double *age_days,
                              const uint8_t *known, size_t n, const bt_change *change,
                              const bt_slope *before, bt_fill_growth *growth,
                              bt_error *error) BT_MUST_CHECK;

/* The same values moved to the fill age end_days, each along the slope of its day; at_end has room
 * for n. */
void bt_fill_end_values(const double *day, const double *value, const double *age_days,
                        const uint8_t *known, size_t n, const bt_change *change,
                        const bt_fill_growth *growth, const bt_slope *before, double end_days,
                        double *at_end);

/* How far values go along with a change that was found in others, at its date: size of the step, or
 * slope after the onset. */
bt_status bt_along_find(const double *day, const double *value, size_t n, const bt_change *change,
                        bt_effect *effect, bt_error *error) BT_MUST_CHECK;

/* Likely causes, strongest first; how many of `causes` are set. */
size_t bt_causes_find(const bt_evidence *evidence, bt_cause causes[BT_CAUSE_COUNT]);

#endif
