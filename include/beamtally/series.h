/* Times, values, fill ages and flags: what the ledger hands out and what the mathematics reads.
 *
 * Shapes: arrays of one struct have one length, n, and are in time order; `at` never falls.
 * Ownership: a value owns its arrays; its free function accepts NULL and a zeroed value. */
#ifndef BEAMTALLY_SERIES_H
#define BEAMTALLY_SERIES_H

#include "beamtally/base.h"
#include "beamtally/record.h"
#include "beamtally/setup.h"

/* ---- A unit's history, as the ledger holds it ------------------------------------------------ */

/* The checks of one unit, column by column. */
typedef struct bt_history {
  char *unit; /* the unit's name as first written */
  size_t n;
  bt_time *at;
  int32_t *sequence;
  int64_t *source; /* number of the source in the ledger; 0: typed in by hand */
  int64_t *line;
  uint32_t *present;                 /* as in bt_check */
  double *reading[BT_READING_COUNT]; /* 0 where absent */
  uint8_t *state;                    /* bt_state */
  uint8_t *refill;                   /* bt_refill */
  uint8_t *has_clock;
  char **text[BT_FIELD_COUNT]; /* NULL array when no check has the field; entries NULL likewise */
  size_t own_n; /* characteristics of the clinic's own that some check has, in order of key */
  char **own_key;
  double **own_value; /* [own][check]; 0 where absent */
  uint8_t **own_present;
  int64_t superseded; /* checks that were corrected or withdrawn, and so are not here */

  size_t events_n;
  bt_event *events; /* in time order; their texts belong to the history */
} bt_history;

void bt_history_free(bt_history *history);

/* ---- One charted characteristic -------------------------------------------------------------- */

enum {
  BT_POINT_RETEST = 1,      /* within 60 minutes of a check outside tolerance or limits */
  BT_POINT_UNKNOWN_AGE = 2, /* its fill's refill is not known: judged by tolerance only */
  BT_POINT_TOO_OLD = 4,     /* its fill is older than the baseline knows: not judged by rules */
  BT_POINT_AS_LEFT = 8,     /* read after an adjustment: the as-found reading is charted */
  BT_POINT_SCREENED = 16,   /* left out of the baseline, with its cause */
  BT_POINT_OUT_OF_TOLERANCE = 32,
  BT_POINT_HAS_AGE = 64,       /* fill_age_days holds a value */
  BT_POINT_NO_CLOCK = 128,     /* its log has no time of day: `at` is the day */
  BT_POINT_OTHER_TARGET = 256, /* a voltage that held another target energy than its baseline's,
                                  and one that its targets didn't creep to: judged by tolerance
                                  only */
  /* What keeps a point from the rules: it is none of what the baseline's limits are of. */
  BT_POINT_NOT_BY_RULES = BT_POINT_UNKNOWN_AGE | BT_POINT_TOO_OLD | BT_POINT_OTHER_TARGET
};

/* Points in time order. For the series of checks every check with the characteristic is there; for
 * the charted series one point a day, the mean of that day's independent checks. */
typedef struct bt_series {
  size_t n;
  bt_time *at; /* a day's point stands at its first check's time */
  int32_t *sequence;
  int64_t *source, *line; /* of the check; of the day's first check in the charted series */
  double *within_s;       /* standard deviation of the point's checks; 0 for a single one */
  double *raw;            /* as measured or derived, in the characteristic's unit */
  double *value;          /* as charted: adjusted to the baseline's mean fill age, or raw */
  double *fill_age_days;  /* 0 where not known: see the flag */
  double *target_mj;      /* of the high voltage: the target energy that it held, mean of the checks
                             that have one; 0 where none has, and for all else */
  int32_t *fill;          /* number of the gas fill, from 0: checks of one fill share it */
  int32_t *segment;       /* baseline it is judged by, index of bt_study.segments; -1: none */
  uint32_t *checks;       /* independent checks that the point is the mean of */
  uint16_t *flags;
} bt_series;

/* A series of n zeroed points; false without memory. */
bool bt_series_new(bt_series *series, size_t n) BT_MUST_CHECK;
void bt_series_free(bt_series *series);

/* The first point at or after that moment; n where there is none. */
size_t bt_series_from(const bt_series *series, bt_time moment);

/* Days that the step from one of the points [first, last) to the next may take without being a gap:
 * *days, in which a check is expected, or more where they come more seldom. False without memory.
 */
bool bt_series_longest_step(const bt_series *points, size_t first, size_t last,
                            double *days) BT_MUST_CHECK;

#endif
