/* What the files of the study of drift share. Days are real numbers counted from 1970-01-01. */
#ifndef STUDY_DRIFT_H
#define STUDY_DRIFT_H

#include "study_room.h"

enum {
  DRIFT_MOST_VALUES = 500, /* a window is not looked at further back: that is two years of checks */
  DRIFT_LEAST_FILLS = 3,   /* with a level: under so many a change has no slope of its own */
  DRIFT_LEAST_LEVELS = 5   /* under so many levels have no interval of their trend */
};

/* The unit that drift is looked for in. */
typedef struct drift_unit {
  const bt_unit_study *unit;
  const study_place *place;
  size_t charts;
  double looks_a_year;
  bool with_operator;
} drift_unit;

static inline double drift_day(bt_time time) {
  return (double)time / (double)BT_DAY;
}

/* drift_values.c: all points of the study that are looked at. */
bt_status study_drift_values_make(const drift_unit *of, const bt_study *study, bt_drift *drift,
                                  bt_error *error) BT_MUST_CHECK;
/* Drops those before a day, and the oldest where more than DRIFT_MOST_VALUES are left. */
void study_drift_values_cut(bt_drift_values *values, double from);
/* Which of those left out lie in the window, once that is known. */
void study_drift_left_out(const bt_study *study, bt_drift *drift);

/* drift_events.c: before and after each event, and the window that follows from them. */
bt_status study_drift_events(const drift_unit *of, bt_drift *drift, bt_error *error) BT_MUST_CHECK;
/* Once the change is known: what is left of their effects when its line is taken off. */
bt_status study_drift_beyond(const drift_unit *of, bt_drift *drift, bt_error *error) BT_MUST_CHECK;
/* The same of a change that is told up to the window, while all values are there. */
bt_status study_drift_beyond_before(const drift_unit *of, bt_drift *drift,
                                    bt_error *error) BT_MUST_CHECK;
/* The effect of the last event of that kind inside the window; zeroed where there is none. */
bt_comparison study_drift_about(const drift_unit *of, const bt_drift *drift, bt_event_kind kind);

/* drift_slopes.c: the baseline's slope, of all values; inside the fills, and from fill to fill. */
bt_status study_drift_baseline_slope(bt_drift *drift, const bt_segment *segment,
                                     bt_error *error) BT_MUST_CHECK;
bt_status study_drift_slopes(const drift_unit *of, bt_drift *drift, bt_error *error) BT_MUST_CHECK;

/* drift_ahead.c: forecast, and the days that a fill lasts. */
bt_status study_drift_ahead(bt_drift *drift, bt_error *error) BT_MUST_CHECK;

/* drift_covariates.c */
bt_status study_drift_covariates(const drift_unit *of, bt_drift *drift,
                                 bt_error *error) BT_MUST_CHECK;

/* drift_one.c: all of one characteristic that needs no other one. */
bt_status study_drift_one(const drift_unit *of, const bt_study *study, bt_drift *drift,
                          bt_error *error) BT_MUST_CHECK;
/* Whether a characteristic is looked at for drift, and counts as a chart. */
bool study_drift_looks_at(const bt_unit_study *unit, const bt_study *study);

/* drift_look_back.c: the change of the values from a time on and before a day; `look` is not given,
 * and nothing found, where they are too few. */
bt_status study_drift_change_between(const drift_unit *of, const bt_drift *drift, bt_time from,
                                     double to, bt_look *look, bt_change *change,
                                     bt_error *error) BT_MUST_CHECK;
/* What the event that began the window brought back, of all values; and the days
 * that a change may have affected. */
bt_status study_drift_before(const drift_unit *of, bt_drift *drift, bt_error *error) BT_MUST_CHECK;
bt_status study_drift_look_back(const drift_unit *of, bt_drift *drift,
                                bt_error *error) BT_MUST_CHECK;

/* drift_failed.c: the checks outside tolerance since the change. */
void study_drift_failed(bt_drift *drift);

/* Whether the check of that time is one that was left out as standing alone. */
bool study_drift_is_far(const bt_drift *drift, bt_time at);

/* drift_plate.c: what the depth in the test plate did. */
bt_status study_drift_plate(const drift_unit *of, bt_change *change, bt_moved *moved,
                            bt_error *error) BT_MUST_CHECK;

/* drift_causes.c: what the unit's characteristics support together. */
bt_status study_drift_causes(const drift_unit *of, bt_unit_drift *all,
                             bt_error *error) BT_MUST_CHECK;

/* drift_alone.c: the drift of each characteristic, with nothing yet that they support together. The
 * caller ends it by study_drift_end, after a failure too: that frees place and *made, or with BT_OK
 * keeps in the study what was made. */
bt_status study_drift_begin(const bt_drift_request *request, const bt_unit_study *unit,
                            study_place *place, drift_unit *of, bt_unit_drift **made,
                            bt_error *error) BT_MUST_CHECK;
bt_status study_drift_end(bt_unit_study *study, study_place *place, bt_unit_drift *all,
                          bt_status status) BT_MUST_CHECK;
/* The drift of the unit by itself, into study->drift: no other unit, no forecasts of before. */
bt_status study_drift_alone(bt_unit_study *study, bt_error *error) BT_MUST_CHECK;

/* drift_meters.c: units whose energy stepped with the same meter at the same time. */
bt_status study_drift_meters(bt_ledger *ledger, const bt_unit_study *unit, bt_unit_drift *all,
                             bt_error *error) BT_MUST_CHECK;

/* drift_past.c: the forecasts of month ends that are past. */
bt_status study_drift_past(bt_ledger *ledger, const bt_unit_study *unit, size_t months,
                           bt_unit_drift *all, bt_error *error) BT_MUST_CHECK;

#endif
