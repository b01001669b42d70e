/* Words. The *level* of a fill is its fitted value at the baseline's mean fill age. A *window* is
 * the time since the last event that may have moved the levels. Days of a method are a real number
 * counted from any zero that the caller chose; they never fall. A *change* is a step or a hinge;
 * the *set* of its date holds every date that is likely enough. A *look* is one day's question
 * whether anything changed. */
#ifndef BEAMTALLY_FINDING_CHANGE_H
#define BEAMTALLY_FINDING_CHANGE_H

#include "beamtally/base.h"

/* A slope a month is one over so many days: a twelfth of 365.25. */
#define BT_DAYS_A_MONTH 30.4375

/* Level of one fill. */
typedef struct bt_level {
  int32_t fill;
  size_t n;         /* its values that took part, 2 or more */
  double day;       /* mean of their days */
  double age_days;  /* mean of their fill ages */
  double value, se; /* level, in the characteristic's unit; se 0 without degrees of freedom */
  bool has_slope;   /* false: all its values are of one age */
  double slope;     /* of this fill alone, per day */
  double slope_se;  /* 0 with 2 values */
} bt_level;

/* What the levels of a window share. */
typedef struct bt_levels {
  size_t n;
  double per_day, at_age_days; /* slope that the values were moved along, and to which fill age */
  double sigma, df;            /* of a value about its fill's line; 0 without degrees of freedom */
} bt_levels;

typedef struct bt_window {
  bt_time from;
  size_t event; /* that began it, an index into the history's events; BT_NONE: the first check */
} bt_window;

/* Theil-Sen slope with Kendall's interval. */
typedef struct bt_trend {
  bool given;        /* false: under two days with values */
  size_t n, pairs;   /* values; pairs of different days */
  double slope;      /* per day */
  int64_t s;         /* rising pairs less falling ones */
  double p;          /* two-sided, of no trend, at a single look */
  bool has_interval; /* false: no interval of 95 % exists, as with 4 values or fewer */
  double low, high;
  double confidence;           /* that the interval has: 0.95 or a little more */
  double from_day, to_day;     /* first and last of them */
  double from_value, to_value; /* of the line on those days */
} bt_trend;

/* Ageing of the gas alone: within-fill slope less the trend of the levels. */
typedef struct bt_gas_slope {
  bool given, has_interval;
  double per_day, low, high; /* 95 % interval */
} bt_gas_slope;

/* A mean that steps. */
typedef struct bt_step {
  bool given;
  double likelihood_ratio; /* n ln(RSS unchanged / RSS) */
  size_t first;            /* first value after it */
  double day;              /* of that value */
  double before, after;    /* means */
} bt_step;

/* A mean that climbs or falls in a straight line from an onset on. */
typedef struct bt_hinge {
  bool given;
  double likelihood_ratio;
  double day;             /* the onset */
  double before, per_day; /* mean up to it, slope from it on */
  double low, high;       /* 95 % interval of per_day, whatever the onset */
} bt_hinge;

typedef enum bt_change_kind { BT_CHANGE_NONE, BT_CHANGE_STEP, BT_CHANGE_HINGE } bt_change_kind;

/* What fits the values of a window best, as found at this look: whether to speak of it is for a
 * look's threshold to say. */
typedef struct bt_change {
  size_t n;
  bt_change_kind kind; /* the better of the two; none: all values alike, or too few */
  bt_step step;
  bt_hinge hinge;
  double likelihood_ratio; /* of the better one */
  double day;              /* its date; where levelled, the onset of the slope that ended */
  double from, to;         /* 95 % band of the date, whatever the shape */
  bool open;               /* the band reaches the first day looked at: it may be earlier */
  bool levelled; /* a slope that ended explains the values clearly better than step and hinge */
  double sigma;  /* of a value about the better one; 0 without degrees of freedom */
  double now, now_low, now_high;    /* its mean on the last day, 95 % interval given the date */
  double gone, gone_low, gone_high; /* that mean less the one before the change; 95 % interval, of a
                                       hinge whatever its onset, of a step given its date */
} bt_change;

enum { BT_STEPS_MOST = 3 };

/* Steps that a window is made of. */
typedef struct bt_steps {
  size_t n;
  size_t first[BT_STEPS_MOST]; /* first value after each, in time order */
  double likelihood_ratio;     /* of all together */
} bt_steps;

/* Under so many values there is no look. */
enum { BT_LOOK_LEAST_VALUES = 10 };

/* What a change's likelihood ratio must pass before it, or anything that follows from it, is spoken
 * of: 5 % a unit and year for all looks together. */
typedef struct bt_look {
  bool given;    /* false: under 10 values */
  size_t n;      /* values of the window */
  size_t charts; /* of the unit that are looked at */
  double looks_a_year;
  double rate;      /* of a first false crossing, a look */
  double threshold; /* of bt_change's likelihood_ratio */
} bt_look;

/* Mean of the last n values, with its 95 % interval. */
typedef struct bt_recent {
  size_t n;
  double mean, low, high;
} bt_recent;

/* The newest values beside the fitted line of a change. */
typedef struct bt_newest {
  bool given;                   /* false: no change, no scatter, or too few values */
  size_t n;                     /* how many they are */
  double difference, low, high; /* their mean distance from the line; 95 % interval */
  double p;                     /* of none, at a single look */
  bool differs;                 /* p < 0.001 */
} bt_newest;

/* What a characteristic did, as its look says. */
typedef struct bt_moved {
  bool looked_at;
  bool changed; /* past its look's threshold; all below is 0 otherwise */
  bt_change_kind kind;
  bool levelled;   /* by a slope that ended: the kind is a step, whose date lies in its middle */
  int sign;        /* +1 it rose, -1 it fell */
  double from, to; /* band of its date */
} bt_moved;

/* One part of a loss. */
typedef struct bt_part {
  double size, low, high; /* 95 % interval, given the dates */
  double ratio; /* likelihood ratio of having it beside the other, against the other alone */
  bool shown;   /* the other alone does not do */
} bt_part;

/* What of a change stays over refills, and what each fill loses more since then. */
typedef struct bt_parts {
  bool given; /* false: no change, or too little to tell them apart */
  size_t n;
  double df;
  bt_part lasting; /* per day for a hinge, in all for a step */
  bt_part fills;   /* per day of fill age */
} bt_parts;

/* How the slope inside the fills grows along a hinge. */
typedef struct bt_fill_growth {
  bool given;
  double per_day; /* of the slope (per day of fill age), a day since the onset */
  double se;
  double by_now;    /* what it has grown by on the last value's day */
  double now;       /* the slope inside the fills on that day */
  double low, high; /* its 95 % interval, given the onset */
} bt_fill_growth;

/* Days that a change may have affected; the days themselves are the caller's array. */
typedef struct bt_look_back {
  size_t last_good; /* check, or BT_NONE */
  size_t days;      /* with a check after it, until `restored` */
  size_t event;     /* restoring event, or BT_NONE */
  size_t restored;  /* first good check after it, or BT_NONE: to the end */
} bt_look_back;

#endif
