/* Gas fills, and what a value does inside them. */
#ifndef BEAMTALLY_FINDING_FILLS_H
#define BEAMTALLY_FINDING_FILLS_H

#include "beamtally/base.h"

typedef struct bt_fill {
  bt_time from, to; /* refill that began it; the next one, or the last check */
  bool start_known; /* false: the log begins inside this fill */
} bt_fill;

typedef struct bt_fills {
  size_t n;
  bt_fill *fill;
  double interval_days; /* median of the whole fills' lengths; 0 when there is none */
  bool from_log;        /* ages were read from the log's own column */
  bool from_counter; /* no refill and no age is logged: refills were read off the pulse counter */
} bt_fills;

void bt_fills_free(bt_fills *fills);

/* Why a characteristic is charted raw rather than moved to the mean fill age. */
typedef enum bt_age_use {
  BT_AGE_USED,
  BT_AGE_NOT_ASKED,      /* this characteristic isn't moved, or --series raw */
  BT_AGE_NO_FILLS,       /* under 3 fills in the baseline */
  BT_AGE_FEW_DF,         /* under 10 residual degrees of freedom */
  BT_AGE_NOT_SIGNIFICANT /* b doesn't differ from zero at 95 % */
} bt_age_use;

typedef struct bt_slope {
  bt_age_use use;
  size_t fills, n;  /* gas fills and values that entered */
  size_t stretches; /* fills, split at cleanings and the like: one intercept each */
  double df;        /* n - stretches - 1 */
  double per_day;   /* b, in the characteristic's unit per day of fill age */
  double se;
  double low, high; /* 95 % t interval */
  double t;         /* b / se */
  double mean_age_days, oldest_age_days;
} bt_slope;

/* A jump inside a fill that a refill nobody recorded would make. */
typedef struct bt_suspected {
  size_t first;    /* first value after it */
  double jump, z;  /* in the values' unit; in its standard errors, against the ageing positive */
  double age_days; /* of the fill by then, as recorded */
  double expected; /* jump of a refill at that age */
} bt_suspected;

/* Signs that refills stand otherwise in the log than they were (src/drift/refill_doubt.c). */
typedef struct bt_refill_doubt {
  bool wrong_side; /* readings get better as the gas ages, by `slope`, and rows note refills: their
                      "before" and "after" may be the wrong way round */
  bt_slope slope;
  bool missing;         /* a fill far older than fills get, by ages that no log or counter tells */
  double day, age_days; /* of the oldest reading, where missing */
} bt_refill_doubt;

#endif
