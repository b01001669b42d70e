/* Steps of what to do next, each in a file of its own. Each appends its sentence, or nothing where
 * it is not needed; a failure stays with the text. */
#ifndef REPORT_NEXT_H
#define REPORT_NEXT_H

#include "report_drift.h"

/* Open signals of that verdict, alarm or notice: where nobody has concluded anything of them, or
 * the drift goes on all the same; with what was concluded. */
void report_signal_step(const bt_unit_study *unit, bt_verdict verdict, bool brief, bt_text *out);
/* Concluded ones that ask for no more than to look whether what was done has helped; where the day
 * of a forecast has passed no next check is waited for. */
void report_concluded_step(const bt_unit_study *unit, bt_text *out);
/* Whether all that is open was concluded, an alarm among it, and the level goes on changing past
 * its threshold as of the last check. */
bool report_goes_on(const bt_unit_study *unit, const bt_study *of);
/* "Fluence and Pulse-energy ratio" of those with that verdict that still ask, many counted where it
 * is `brief`; how many. */
size_t report_add_flagged(const bt_unit_study *unit, bt_verdict verdict, bool brief, bt_text *out);

/* A forecast's day has passed, or the mean lies beyond its limit: measure, and tell. */
void report_measure_step(const bt_unit_study *unit, bool brief, bt_text *out);
/* Whether that step asks for a check. */
bool report_asks_to_measure(const bt_unit_study *unit);
/* Whether a forecast's day of that study has passed. */
bool report_asks_to_measure_of(const bt_unit_study *unit, const bt_study *of);
/* ": agree on a visit before 18 Jan 2027 (the 1-in-20 day of Fluence)": the nearest day of the
 * forecasts that are given; nothing where none is. */
void report_visit_clause(const bt_unit_study *unit, bt_text *out);
/* The last check is of longer ago than one is expected within; nothing where a step above asks for
 * a check. */
void report_current_step(const bt_unit_study *unit, bool brief, bt_text *out);
/* The newest checks are of gas whose age is not known, or beyond what the limits know. */
void report_gas_age_step(const bt_unit_study *unit, bool brief, bt_text *out);
/* What drifts without an open alarm. */
void report_drift_step(const bt_unit_study *unit, bt_text *out);
/* What changed with the meter at `since` or later, which the log cannot tell from the laser. */
void report_meter_step(const bt_unit_study *unit, bt_time since, bool brief, bt_text *out);
/* What is lost for good, and may be lost in the meter alone. */
void report_second_meter_step(const bt_unit_study *unit, bool brief, bt_text *out);

/* Readings of `since` or later that stand alone, far from those around them. */
void report_far_step(const bt_unit_study *unit, bt_time since, bt_text *out);

/* A self-test that failed in the last month and passed since; a check of it that failed although
 * the last one did not, the newest, with how many others. */
void report_selftest_step(const bt_unit_study *unit, bool brief, bt_text *out);
void report_retest_step(const bt_unit_study *unit, bool brief, bt_text *out);

/* Alarms that ended at `since` or later and of which nobody has written what they were; whether a
 * study has one. */
void report_ended_step(const bt_unit_study *unit, bt_time since, bool brief, bt_text *out);
bool report_asks_what_it_was(const bt_study *of, bt_time since);
/* Open episodes of which nobody has. */
void report_resolve_step(const bt_unit_study *unit, bool brief, bt_text *out);

/* Limits from a period that somebody suggested, not froze: those whose period itself drifts, or
 * those whose period does not. */
void report_baseline_steps(const bt_unit_study *unit, bool drifting, bt_text *out);

#endif
