/* The drift of one unit. */
#ifndef BEAMTALLY_FINDING_DRIFT_H
#define BEAMTALLY_FINDING_DRIFT_H

#include "beamtally/finding/cause.h"
#include "beamtally/finding/change.h"
#include "beamtally/finding/fills.h"
#include "beamtally/finding/forecast.h"
#include "beamtally/finding/study.h"
#include "beamtally/setup.h"

/* Whether a characteristic is looked at for drift. */
typedef enum bt_drift_use {
  BT_DRIFT_LOOKED_AT,
  BT_DRIFT_NO_BASELINE,  /* under 8 points */
  BT_DRIFT_COARSE,       /* readings too coarse for a chart */
  BT_DRIFT_OTHER_TARGET, /* the newest voltages held another target energy than the baseline's */
  BT_DRIFT_FEW           /* under 10 values in the window: no look at it */
} bt_drift_use;

/* What is looked at: points of the window, without misreadings that a retest did not confirm, moved
 * as the newest baseline moves them. Days count from 1970-01-01. In time order. */
typedef struct bt_drift_values {
  size_t n;
  double *day, *raw, *value, *age_days;
  int32_t *fill, *stretch;
  uint8_t *known; /* the fill age is */
  size_t *point;  /* of the study */
  size_t *row;    /* of the history: the point's first check */
  bool cut;       /* older ones of the window are left out, there being too many */
} bt_drift_values;

/* Before and after one event of the history. */
typedef struct bt_event_effect {
  size_t event; /* index of the history's */
  bool differs; /* p < 0.01 of this single look */
  bool moved;   /* and the window of what is looked at began anew with it */
  bt_comparison about;
  bt_comparison beyond; /* the same with the fitted line of a hinge taken off, which by itself makes
                           a difference: of an event after all the dates of its onset; else not
                           given */
} bt_event_effect;

typedef enum bt_covariate {
  BT_COVARIATE_TEMPERATURE, /* per degree */
  BT_COVARIATE_HUMIDITY,    /* per % */
  BT_COVARIATE_TIME_OF_DAY, /* per hour */
  BT_COVARIATE_OPERATOR     /* of that code against all others; only where asked for */
} bt_covariate;

typedef struct bt_covariate_effect {
  bt_covariate of;
  char *code; /* the operator's, owned; else NULL */
  bt_effect effect;
} bt_covariate_effect;

/* How a forecast that was made at the end of a month compares with what came. */
typedef enum bt_past_result {
  BT_PAST_NONE,     /* no forecast was given, or none with both days */
  BT_PAST_OPEN,     /* its 50 % day is ahead of the record's end, and no check failed so far */
  BT_PAST_INSIDE,   /* the first failing check came from its 5 % day to its 50 % day */
  BT_PAST_SOONER,   /* it came before its 5 % day: of true forecasts 1 in 20 */
  BT_PAST_LATER,    /* it came after its 50 % day, or did not yet: of true forecasts half */
  BT_PAST_OVERTAKEN /* an event moved the values before it could be told */
} bt_past_result;

/* What a forecast that was made at the end of a month says, and what came. */
typedef struct bt_past_forecast {
  bt_time until; /* first moment after the month */
  bt_forecast forecast;
  double mean_at_now; /* by the newest forecast; 0 where there is none */
  /* a check outside tolerance, on the forecast's side where there is one, came since; its day */
  bool failed;
  double failed_on;
  bool overtaken;        /* an event after the month moved the values */
  double overtaken_on;   /* day of the first one */
  bt_past_result result; /* of all above */
  bool has_moved;        /* not overtaken, and the newest forecast is of the same side */
  double moved_days;     /* its 50 % day less this one's */
} bt_past_forecast;

/* The past forecasts of one characteristic, counted by how they compare with what came. */
typedef struct bt_past_score {
  size_t given;                             /* all but BT_PAST_NONE */
  size_t inside, sooner, later;             /* the days of these lie inside the record */
  size_t open, overtaken;                   /* counted apart */
  size_t moved;                             /* whose 50 % day can be held against today's */
  double moved_least_days, moved_most_days; /* smallest and greatest moved_days, signed; else 0 */
} bt_past_score;

/* The newest change before the window: an event brought it back, wholly or in part, or did not;
 * another window began with that event all the same. */
typedef struct bt_drift_before {
  size_t event;     /* that one, index of the history's: the window's, or one before; BT_NONE */
  bt_time until;    /* its time */
  bool changed;     /* past its look's threshold, and the event moved the values back */
  bool went_on;     /* past it, and the event did not move them back */
  bt_window window; /* that it was looked for in: from there up to the event */
  bt_look look;
  bt_change change;
  bt_moved moved;
} bt_drift_before;

/* The drift of one characteristic. Where use isn't BT_DRIFT_LOOKED_AT all findings are zero, and
 * neither a forecast nor the days of a fill are given. */
typedef struct bt_drift {
  bt_characteristic characteristic;
  const bt_study *study; /* borrowed from the unit's */
  bt_drift_use use;
  int loss; /* sign of a loss: -1 energy, fluence; +1 voltage; 0 none is known */
  bt_drift_values values;
  bt_time
      looked_from;  /* begin of the days looked at: the window's, or later where values are cut */
  size_t misread;   /* points of these days left out: outside tolerance, not in the retest; */
  size_t of_no_age; /* ... of unknown fill age, or one that the baseline does not know; */
  size_t off_baseline;  /* ... left out by the screening of a baseline; of the voltage also of
                           another  target energy */
  size_t far_n;         /* points left out: alone, far from those before and after */
  size_t *far;          /* which points of the study, in time order */
  size_t far_before;    /* so many of them lie before the days looked at */
  bt_window window;     /* since the last event that moved the values */
  double centre, sigma; /* of the newest baseline */

  bt_change change;
  bt_look look;
  bt_moved moved;
  bt_newest newest;       /* beside its line; not given where nothing changed */
  bt_drift_before before; /* the window's event */
  bt_steps steps;
  double now, now_low, now_high; /* level, at the baseline's mean fill age; 95 % interval. Where
                                    nothing changed that of the last 8 values */
  double from_first;             /* level less the first baseline's centre */
  double gone_per_cent;          /* the change's `gone`, of the mean before it; 0 of no loss */
  size_t failed_n, first_failed; /* checks outside tolerance since the first of the change's dates,
                                    on the side that it moved to, no retests; the first of them,
                                    index into the study's checks */
  double last_day;               /* that the level now is of */
  double fill_end_days;          /* how old the gas usually gets; 0 where values are not moved */
  double oldest_now;             /* the level moved to that fill age, along the slope now */

  double since; /* day from which slopes and levels are taken: of the change where there is one with
                   enough after it, else of the window */
  size_t fills_before, fills_since; /* of known fill age: before the change or in the baseline,
                                       whichever are more; since the change. Where nothing changed
                                       in the baseline, and in the window */
  bool fills_tell;         /* 3 or more of each. False: nothing is said of fills, and all of the
                              slopes and parts below are zero */
  bt_slope baseline_slope; /* df 0 where it is not known any more */
  bt_slope slope;          /* inside the fills since then, per day */
  bt_slope pulses_slope;   /* per 1,000 pulses; n 0 without a counter */
  bt_gas_slope gas;
  bt_parts parts;
  bt_fill_growth growth; /* given where the parts show that the fills lose more, of a hinge */
  bt_levels levels;      /* of all fills of the window */
  bt_level *level;
  bt_trend trend;      /* of those since then */
  bool trend_of_fills; /* of levels; false: of values, the fills being too few */

  bt_forecast forecast;
  const bt_tolerance *tolerance; /* that it is held against; borrowed, NULL: none */
  bt_fill_days fill_days;
  size_t suspected_n;
  bt_suspected *suspected; /* `first` is an index of the values */
  bt_refill_doubt refill_doubt;

  size_t events_n;
  bt_event_effect *events; /* of the whole log, refills left out; in time order */
  size_t covariates_n;
  bt_covariate_effect *covariates;

  size_t causes_n;
  bt_cause causes[BT_CAUSE_COUNT];
  bt_look_back look_back; /* of the study's checks, for the change, else that before; days 0:
                             nothing changed */
  bt_time *look_back_day;
  bt_dioptres dioptres; /* of a fluence, from the baseline's centre to the level now */
  bool has_notice, has_alarm;
  bt_time notice_at, alarm_at; /* first of the open episode of the side that it moved to */
  size_t past_n;
  bt_past_forecast *past; /* by month, oldest first; where asked for */
  bt_past_score past_score;
} bt_drift;

/* A unit that has the same meter and whose energy stepped at the same time. */
typedef struct bt_meter_unit {
  char *unit, *meter; /* owned */
  double from, to;    /* set of the dates of its step */
} bt_meter_unit;

typedef struct bt_unit_drift {
  size_t n;
  bt_drift *drift; /* of each characteristic asked for, in the order of the studies */
  size_t charts;   /* that are looked at */
  double looks_a_year;
  bt_evidence evidence; /* of the unit; `own` and what follows it stand with each drift */
  bt_change plate; /* of the depth a pulse in the test plate, µm, where evidence.plate is of that;
                      kind none where it was not looked at */
  double plate_per_cent; /* where it changed: of the depth before, in all for a step, a month (of
                            BT_DAYS_A_MONTH) for a hinge; 0 where that was 0 */
  size_t meters_n;
  bt_meter_unit *meters;
  bt_time read_on; /* the day of the reading, where later than the study's `until`: what was not
                      measured by then is missed */
} bt_unit_drift;

void bt_unit_drift_free(bt_unit_drift *drift);

/* The drift of that characteristic, or NULL. Borrowed. */
const bt_drift *bt_unit_drift_of(const bt_unit_drift *drift, bt_characteristic characteristic);

#endif
