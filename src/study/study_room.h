/* What the files of the study room share: a unit's readings with each check's place in its gas
 * fill, and the steps from there to a study. */
#ifndef STUDY_ROOM_H
#define STUDY_ROOM_H

#include "beamtally/drift.h"
#include "beamtally/spc.h"
#include "beamtally/study.h"

enum {
  STUDY_SUGGESTED_POINTS = 60, /* a suggested baseline takes the first points of the log */
  STUDY_RESTART_POINTS = 8,    /* so long a restart is "too early to say" */
  STUDY_RECENT_POINTS = 8      /* what "now" is the mean of */
};

/* A repeat within so long of a check outside tolerance or limits is a retest. */
#define STUDY_RETEST_WITHIN BT_HOUR

/* A distance from a limit, as a share of it, within which a value is on it and so not beyond. */
#define STUDY_ON_LIMIT 1e-9

/* The unit's history with each check's place in the fills; borrowed but for its own arrays. */
typedef struct study_place {
  const bt_history *history;
  const bt_settings *settings;
  const bt_unit_setting *setting; /* of the unit, or NULL */
  const bt_fills *fills;
  bt_time until;
  bt_disposition *dispositions; /* of the unit; each is moved to the study that it concerns */
  size_t dispositions_n;
  int32_t *fill, *stretch; /* one a check of the history */
  double *age_days;
  uint8_t *known;
  size_t *own;     /* where the history has each of the settings' own characteristics, or BT_NONE */
  int case_format; /* as in the request */
  bool demand_is_setting; /* the log has no target energy, but what was set to reach the fluence */
} study_place;

bt_status study_place_make(const bt_history *history, const bt_settings *settings,
                           const bt_fills *fills, bt_time until, study_place *place,
                           bt_error *error) BT_MUST_CHECK;
void study_place_free(study_place *place);

/* Row of the history that each check of a study came from, and its point. */
typedef struct study_rows {
  size_t *row;
  size_t *point;   /* BT_NONE: a retest or an as-left reading, in no point */
  uint8_t *failed; /* outside tolerance; for T², whose values have none: x, y or the radius is */
} study_rows;

/* derive.c: the value of a characteristic in row i of a history; false where it isn't there. That
 * of T² is 0 until there is a vector to count it from. */
bool study_derive(const study_place *place, bt_characteristic characteristic, size_t i,
                  double *value);

/* derive.c: a number for how the settings have a characteristic derived; limits that were frozen
 * for one don't hold for another. */
int64_t study_derivation(const study_place *place, bt_characteristic characteristic);

/* checks.c: every check that has the characteristic, judged by tolerance. */
bt_status study_checks(const study_place *place, bt_characteristic characteristic, bt_study *study,
                       study_rows *rows, bt_error *error) BT_MUST_CHECK;

/* points.c: flags retests (a repeat within the hour of a check that `outside` marks) and as-left
 * readings; whether that changed any flag. */
bool study_set_aside(bt_study *study, const study_rows *rows, const study_place *place,
                     const uint8_t *outside);

/* points.c: groups the other checks into one point a day, or one a check. Values are raw. */
bt_status study_points(bt_study *study, study_rows *rows, const study_place *place,
                       bt_error *error) BT_MUST_CHECK;

/* checks.c: the checks [*first, end) that lie in the points [from, to) and between them. */
size_t study_checks_of(const bt_study *study, const study_rows *rows, size_t from, size_t to,
                       size_t *first);

/* baseline.c: fits segment->baseline's period over the study's points [segment->from, phase2):
 * slope, screening, centre and sigma. used[i] tells which points entered. */
bt_status study_fit_baseline(const bt_study *study, const study_rows *rows,
                             const study_place *place, bool may_adjust, bt_segment *segment,
                             uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* target.c: the target energy of a baseline of the high voltage, in mJ, from all points of its days
 * (0: none is logged); whether a target is another than that; the points of a segment's period that
 * are of another; the flags of points and checks, whose segments are known. */
bt_status study_baseline_target(const bt_study *study, const bt_baseline *baseline, double *target,
                                bt_error *error) BT_MUST_CHECK;
bool study_is_other_target(double target, double usual);
void study_leave_out_other_target(const bt_study *study, const bt_segment *segment, uint8_t *used);
void study_flag_targets(bt_study *study, const study_rows *rows);

/* target.c: the last targets that were followed; zeroed, none was. */
enum { STUDY_FOLLOWED_POINTS = 8 };
typedef struct study_followed {
  size_t n; /* in all */
  double last[STUDY_FOLLOWED_POINTS];
} study_followed;
bool study_is_followed(const study_followed *of, double target);
void study_follow(study_followed *of, double target);

/* frozen.c: the stored numbers of a frozen baseline; used[i] as above. */
bt_status study_take_baseline(const bt_study *study, const study_rows *rows, bt_segment *segment,
                              uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* frozen.c: the within-fill slope that a frozen baseline moves its points by. */
bt_slope study_stored_slope(const bt_baseline *stored);

/* period.c: empties the exclusions of a segment and makes room for them; leaves out the points of
 * its period that hold a failed check, or those that were left out when it was frozen; value of
 * point p as a slope would chart it, false when its age isn't known; readings against sigma; what a
 * freeze stores. */
bt_status study_begin_period(bt_segment *segment, bt_error *error) BT_MUST_CHECK;
void study_leave_out_failed(const bt_study *study, const study_rows *rows, bt_segment *segment,
                            uint8_t *used);
void study_leave_out_stored(const bt_study *study, bt_segment *segment, uint8_t *used);
bool study_charted(const bt_series *points, size_t p, const bt_slope *slope, double *value);
bt_status study_fit_readings(const bt_study *study, const study_rows *rows, const uint8_t *used,
                             bt_segment *segment, bt_error *error) BT_MUST_CHECK;
void study_describe_baseline(bt_segment *segment, int64_t derivation);

/* offsets.c: the mean offset of each point, and that of a row of the history. */
typedef struct study_offsets {
  double *x, *y;
} study_offsets;

double study_offset_x(const study_place *place, size_t row);
double study_offset_y(const study_place *place, size_t row);
bool study_offsets_make(const bt_study *study, const study_rows *rows, const study_place *place,
                        study_offsets *of);
void study_offsets_free(study_offsets *of);

/* radius.c: points as the length of their mean offset; fit of a period. */
bt_status study_radius_values(bt_study *study, const study_rows *rows, const study_place *place,
                              bt_error *error) BT_MUST_CHECK;
bt_status study_fit_radius(const bt_study *study, const study_rows *rows, const study_place *place,
                           bt_segment *segment, uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* radius.c: whether readings of either axis are too coarse for a chart of the offset's length or
 * T²; the coarser one's resolution. */
bt_status study_fit_axes(const study_offsets *of, const bt_study *study, const study_rows *rows,
                         const study_place *place, const uint8_t *used, bt_segment *segment,
                         bt_error *error) BT_MUST_CHECK;

/* vector.c: the same for T², and its values: of points by their segment's vector, of checks too. */
bt_status study_fit_vector(const bt_study *study, const study_rows *rows, const study_place *place,
                           bt_segment *segment, uint8_t *used, bt_error *error) BT_MUST_CHECK;
bt_status study_take_vector(const bt_study *study, const study_rows *rows, const study_place *place,
                            bt_segment *segment, uint8_t *used, bt_error *error) BT_MUST_CHECK;
bt_status study_vector_values(bt_study *study, const study_rows *rows, const study_place *place,
                              bt_error *error) BT_MUST_CHECK;
double study_vector_limit(const bt_segment *segment, bt_time at);

/* segments.c: which baselines judge which points; each fitted, frozen ones only where they are to
 * be anew. */
bt_status study_segments(bt_ledger *ledger, const bt_study_request *request, bool anew,
                         bt_study *study, const study_rows *rows, const study_place *place,
                         uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* Whether the charted series is moved to the mean fill age where there is one. */
static inline bool study_may_adjust(bt_characteristic characteristic) {
  return bt_characteristic_gas(characteristic) != BT_GAS_NONE;
}

/* adjust.c: moves points (and single checks) to each segment's mean fill age. */
bt_status study_adjust(bt_study *study, const study_rows *rows, const study_place *place,
                       bt_error *error) BT_MUST_CHECK;

/* within.c: the standard deviation of each point's checks, into points.within_s (0 before). */
bt_status study_spread(bt_study *study, const study_rows *rows, bt_error *error) BT_MUST_CHECK;

/* Checks in the days of their segment's baseline, after them, or both. */
typedef enum study_part { STUDY_ALL_CHECKS, STUDY_IN_PERIODS, STUDY_AFTER_PERIODS } study_part;

/* beyond.c: sets outside[i] of each check of that part beyond its limits, by points and segments
 * made before; used[p] entered their baselines. Fills points.within_s. */
bt_status study_mark_beyond(bt_study *study, const study_rows *rows, const uint8_t *used,
                            study_part part, uint8_t *outside, bt_error *error) BT_MUST_CHECK;

/* within.c: within-day spread of each point, its chart, and whether days differ from each other;
 * BT_REFUSED where each check is to be a point though they do. */
bt_status study_within(bt_study *study, const study_rows *rows, const uint8_t *used,
                       bt_error *error) BT_MUST_CHECK;

/* stability.c: tests a segment's period for drift, by its own fit; used[i] entered. */
bt_status study_stability(const bt_study *study, const study_rows *rows, const bt_segment *segment,
                          const uint8_t *used, bt_stability *stability,
                          bt_error *error) BT_MUST_CHECK;

/* refit.c: stability of each segment, and what frozen ones would be on today's record; used[i]
 * entered those that aren't frozen. */
bt_status study_refit(bt_study *study, const study_rows *rows, const study_place *place,
                      const uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* restarts.c: where the CUSUM begins anew; after say what is judged. */
bt_status study_restarts(bt_study *study, const study_place *place, bt_error *error) BT_MUST_CHECK;

/* judge.c: charts, rules, CUSUM, EWMA and failed tolerances over all segments. */
bt_status study_judge(bt_study *study, const study_rows *rows, const study_place *place,
                      const uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* judge.c: the study's points, for the functions of spc that judge them; borrowed. */
bt_judged study_judged(bt_study *study);

/* alarm.c: shares the unit's budget of false alarms among its alarming charts, solves the limits of
 * each segment and marks what is beyond them. `counted` are studies that only count as charts;
 * `solved` may be NULL. */
bt_status study_alarms(bt_unit_study *unit, bt_study *const *counted, size_t counted_n,
                       bt_solved_limits *solved, bt_error *error) BT_MUST_CHECK;

/* solved.c: bt_alarm_limits_solve, but what is known is not solved again. */
bt_status study_solve_limits(bt_solved_limits *known, bt_alarm_kind kind, const bt_vector *vector,
                             bt_alarm_limits *limits, bt_error *error) BT_MUST_CHECK;

/* alarm.c: whether the unit's budget concerns a characteristic at all. */
bool study_may_alarm(bt_characteristic characteristic);

/* finish.c: strengths, episodes with their dispositions, capability and verdict, once all rules are
 * marked. */
/* jumps.c: where the values went back, away from signals, and no event is recorded. */
bt_status study_jumps(bt_study *study, const study_place *place, bt_error *error) BT_MUST_CHECK;

bt_status study_finish(bt_study *study, const study_place *place, bt_error *error) BT_MUST_CHECK;

/* capability.c */
void study_capability(bt_study *study);

/* first.c: once the points are judged. */
bt_status study_from_first(bt_ledger *ledger, const bt_study_request *request, bt_study *study,
                           const study_place *place, bt_error *error) BT_MUST_CHECK;

/* selftest.c */
bt_status study_selftest(const bt_history *history, bt_time until, bt_selftest *selftest,
                         bt_error *error) BT_MUST_CHECK;

/* verdict.c */
bt_verdict study_verdict(const bt_study *study);
void study_unit_verdict(bt_unit_study *study);

/* gaps.c: long stretches without a check; once it is known how often one is expected. */
bt_status study_gaps(bt_unit_study *unit, bt_error *error) BT_MUST_CHECK;

/* one_event.c: rows of one time and kind become the first of them, with all notes. */
bt_status study_one_event(bt_history *history, bt_error *error) BT_MUST_CHECK;

/* unit.c: studies the unit's history and settings, which are in place; without a ledger none of its
 * baselines is frozen and nothing was concluded. */
bt_status study_judge_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study *unit,
                           bt_error *error) BT_MUST_CHECK;

/* one.c: the study of one characteristic, up to its own rules; *made is NULL where the log has none
 * of it. `counted`: nobody reads it, it only counts as a chart. */
bt_status study_one(bt_ledger *ledger, const bt_study_request *request,
                    bt_characteristic characteristic, const study_place *place, bool counted,
                    bt_study **made, bt_error *error) BT_MUST_CHECK;

#endif
