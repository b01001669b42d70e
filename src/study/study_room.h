/* What the files of the study room share: a unit's readings with each check's place in its gas
 * fill, and the steps from there to a study. */
#ifndef STUDY_ROOM_H
#define STUDY_ROOM_H

#include "beamtally/drift.h"
#include "beamtally/spc.h"
#include "beamtally/study.h"

enum {
  STUDY_SUGGESTED_POINTS = 60, /* a suggested baseline takes the first points of the log */
  STUDY_LEAST_POINTS = 8,      /* under so many there is no baseline */
  STUDY_RESTART_POINTS = 8,    /* so long a restart is "too early to say" */
  STUDY_RECENT_POINTS = 8      /* what "now" is the mean of */
};

/* A repeat within so long of a check outside tolerance or limits is a retest. */
#define STUDY_RETEST_WITHIN BT_HOUR

/* The unit's history with each check's place in the fills; borrowed but for its own arrays. */
typedef struct study_place {
  const bt_history *history;
  const bt_settings *settings;
  const bt_fills *fills;
  bt_time until;
  int32_t *fill, *stretch; /* one a check of the history */
  double *age_days;
  uint8_t *known;
} study_place;

bt_status study_place_make(const bt_history *history, const bt_settings *settings,
                           const bt_fills *fills, bt_time until, study_place *place,
                           bt_error *error) BT_MUST_CHECK;
void study_place_free(study_place *place);

/* Row of the history that each check of a study came from, and its point. */
typedef struct study_rows {
  size_t *row;
  size_t *point; /* BT_NONE: a retest or an as-left reading, in no point */
} study_rows;

/* derive.c: the value of a characteristic in row i of a history; false where it isn't there. */
bool study_derive(const study_place *place, bt_characteristic characteristic, size_t i,
                  double *value);

/* derive.c: a number for how the settings have a characteristic derived; limits that were frozen
 * for one don't hold for another. */
int64_t study_derivation(const study_place *place, bt_characteristic characteristic);

/* checks.c: every check that has the characteristic, judged by tolerance. */
bt_status study_checks(const study_place *place, bt_characteristic characteristic, bt_study *study,
                       study_rows *rows, bt_error *error) BT_MUST_CHECK;

/* points.c: flags retests (a repeat within the hour of a check that `outside` marks) and as-left
 * readings, and groups the others into one point a day. Values are raw. */
bt_status study_points(bt_study *study, study_rows *rows, const study_place *place,
                       const uint8_t *outside, bt_error *error) BT_MUST_CHECK;

/* baseline.c: fits segment->baseline's period over the study's points [segment->from, phase2):
 * slope, screening, centre and sigma. used[i] tells which points entered. */
bt_status study_fit_baseline(const bt_study *study, const study_rows *rows,
                             const study_place *place, bool may_adjust, bt_segment *segment,
                             uint8_t *used, bt_error *error) BT_MUST_CHECK;

/* baseline.c: the stored numbers of a frozen baseline; used[i] as above. */
bt_status study_take_baseline(const bt_study *study, const study_rows *rows,
                              const study_place *place, bt_segment *segment, uint8_t *used,
                              bt_error *error) BT_MUST_CHECK;

/* segments.c: which baselines judge which points; each fitted. */
bt_status study_segments(bt_ledger *ledger, const bt_study_request *request, bt_study *study,
                         const study_rows *rows, const study_place *place, uint8_t *used,
                         bt_error *error) BT_MUST_CHECK;

/* adjust.c: moves points (and single checks) to each segment's mean fill age. */
void study_adjust(bt_study *study, const study_rows *rows);

/* judge.c: charts, rules, CUSUM, EWMA, strengths and episodes over all segments. */
bt_status study_judge(bt_study *study, const study_place *place, const uint8_t *used,
                      bt_error *error) BT_MUST_CHECK;

/* verdict.c */
bt_verdict study_verdict(const bt_study *study);
void study_unit_verdict(bt_unit_study *study);

/* one.c: the study of one characteristic; *made is NULL where the log has none of it. */
bt_status study_one(bt_ledger *ledger, const bt_study_request *request,
                    bt_characteristic characteristic, const study_place *place, bt_study **made,
                    bt_error *error) BT_MUST_CHECK;

#endif
