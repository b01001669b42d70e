/* What pages ask of a study: which points, limits, tolerance and sides they show, and which
 * verdicts are failures. No words. */
#ifndef BEAMTALLY_REPORT_STUDY_H
#define BEAMTALLY_REPORT_STUDY_H

#include "beamtally/finding.h"

/* Points [*first, *last) have a time in [from, to). */
void report_between(const bt_series *series, bt_time from, bt_time to, size_t *first, size_t *last);

/* ---- Limits ---------------------------------------------------------------------------------- */

/* A baseline of fewer points has uncertain limits, and notices only. */
enum { REPORT_FEW_POINTS = 30 };

/* True when limits are drawn: a baseline, digits enough, not a covariate. */
bool report_has_limits(const bt_segment *segment);
bool report_has_zones(const bt_study *of, const bt_segment *segment);
/* The radius and T² have one limit, on the high side: neither zones, ranges, CUSUM nor EWMA. */
bool report_has_one_limit(const bt_study *of);
/* The upper limit that judges: the radius has its own, which is not that of an individuals chart;
 * for T² that of the newest phase. */
double report_upper_limit(const bt_study *of, const bt_segment *segment);
/* Where its alarm limits stand, in the characteristic's unit; false where it has none. T² has the
 * high one only. */
bool report_alarm_limits(const bt_study *of, const bt_segment *segment, double *low, double *high);
/* The budgeted h of its CUSUM, in sigma; 0 where it has none. */
double report_alarm_h(const bt_study *of, const bt_segment *segment);
/* A baseline whose readings are all alike has no chart: whether a point after it differs from them;
 * the first that does, BT_NONE where none does or the baseline is another. */
bool report_is_moved(const bt_study *of, const bt_segment *segment, size_t point);
size_t report_first_moved(const bt_study *of);
/* Points of the baseline's period that could not be moved to the mean fill age, as theirs is not
 * known; those left out for their value are not counted again. */
size_t report_without_age(const bt_study *of, const bt_segment *segment);
/* True where tolerance leaves too few of a baseline's points: `failed` of `points` take no part. */
bool report_is_barred(const bt_study *of, size_t *failed, size_t *points);
/* The limits of today are provisional, and the points that they come from drift. */
bool report_is_shaky(const bt_study *of);

/* ---- Tolerance and verdicts ------------------------------------------------------------------ */

/* A room condition is judged by nothing: it has no tolerance, open side or failing morning. */
bool report_is_judged(const bt_study *of);
/* Nobody is asked for a tolerance of T², which has no unit; one that was entered counts. */
bool report_may_have_tolerance(const bt_study *of);
/* Where none is in force: "no tolerance is entered", "the tolerance begins on 1 Jan 2027"; the
 * short form "none entered", "begins 1 Jan 2027". */
void report_no_tolerance(const bt_study *of, bool brief, bt_text *out);
/* A tolerance could be entered and none is; not of an energy demand that never changes, nor of the
 * tracker's offset where it has one the other way, radial or along both x and y. */
bool report_wants_tolerance(const bt_unit_study *unit, const bt_study *of);
const bt_tolerance *report_tolerance(const bt_study *of); /* or NULL */
/* Checks of [from, to) with a tolerance in force, those outside it, and the last of these. */
typedef struct report_tolerance_counts {
  size_t checks, judged, outside, last;
} report_tolerance_counts;
report_tolerance_counts report_count_tolerance(const bt_unit_study *unit, const bt_study *of,
                                               bt_time from, bt_time to);
bool report_is_failing(bt_verdict verdict);
bool report_fails(const bt_study *of);
/* The readings of [from, to) are one value, none of them outside tolerance; false without any. */
bool report_is_one_value(const bt_study *of, bt_time from, bt_time to);

/* ---- Sides, retests and what is old ---------------------------------------------------------- */

/* The newest open episode of that side, or NULL. */
const bt_episode *report_open_on(const bt_study *of, bt_side side);
/* Whether that side holds a signal of the open strength: a notice on the low side doesn't share the
 * alarm of the high one. */
bool report_is_open_side(const bt_study *of, bt_side side);
/* The alarm points of an episode: how many, the first and the last; BT_NONE without any. */
typedef struct report_alarms {
  size_t n, first, last;
} report_alarms;
report_alarms report_alarms_of(const bt_study *of, const bt_episode *episode);
/* The first excursion of the newest run of the CUSUM that signalled in the episode, or NULL. */
const bt_excursion *report_excursion_of(const bt_study *of, const bt_episode *episode);

/* A check and its retests, checks [first, last] of the study: `failed` outside tolerance, else only
 * beyond its limits. The one that this check is of; false where it was not repeated at once. */
typedef struct report_retest {
  size_t first, last;
  bool failed;
} report_retest;
bool report_retest_of(const bt_study *of, size_t check, report_retest *found);
/* The first of them that is outside tolerance: the check itself where it `failed`, else the retest
 * that did; BT_NONE where none is. */
size_t report_failing_check(const bt_study *of, const report_retest *found);

/* Its last reading is of the unit's last check, which is not current and was said to be of then. */
bool report_is_told_current(const bt_unit_study *unit, const bt_study *of);

/* Whether a refill in [from, to) began it; how many did, those that were noted in checks too. */
bool report_began_in(const bt_fill *fill, bt_time from, bt_time to);
size_t report_refills(const bt_unit_study *unit, bt_time from, bt_time to);
/* " (read off ...)" where none is noted and all follow from another column; else "". */
const char *report_refills_from(const bt_unit_study *unit);
/* Whether a correction of a check is of the readings that the characteristic is made of; of a
 * conflict that was settled only where a record was superseded. */
bool report_correction_touches(const bt_unit_study *unit, const bt_study *of,
                               const bt_correction *correction);

#endif
