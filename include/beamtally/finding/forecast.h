/* When a drift or the ageing of a fill meets its limit, and what a change of fluence is worth. */
#ifndef BEAMTALLY_FINDING_FORECAST_H
#define BEAMTALLY_FINDING_FORECAST_H

#include "beamtally/finding/change.h"
#include "beamtally/finding/rule.h"
#include "beamtally/setup.h"

/* What a forecast takes besides the values. */
typedef struct bt_forecast_basis {
  bt_look look;   /* of these values */
  bt_trend trend; /* of the levels of the same window */
  bool has_low, has_high;
  double low, high;      /* tolerance in force, or a ceiling */
  double within_per_day; /* slope that the values were moved along; 0: they weren't */
  double mean_age_days, oldest_age_days; /* fill age they were moved to; oldest usual one */
  double per_day_se;   /* of the slope, beside what the values' own scatter makes of it; 0: none */
  double check_sigma;  /* of a single raw check about the mean of its fill age */
  double checks_a_day; /* on average over all days of the week */
} bt_forecast_basis;

typedef enum bt_forecast_use {
  BT_FORECAST_GIVEN,
  BT_FORECAST_NO_DRIFT,     /* the hinge doesn't pass the look's threshold */
  BT_FORECAST_STEP,         /* a step, or a slope that ended, explains the values better */
  BT_FORECAST_SIGNS_DIFFER, /* the levels don't trend to the same side */
  BT_FORECAST_NO_LIMIT,     /* none entered on the side that the mean moves to */
  BT_FORECAST_BEYOND        /* the mean at the oldest usual fill age is beyond the limit already */
} bt_forecast_use;

/* Of a drift that goes on as it did. Days are those of the values; never of what a refill or a
 * cleaning would restore. */
typedef struct bt_forecast {
  bt_forecast_use use;
  bt_side side; /* that the mean moves to, and the limit there */
  double limit;
  bool has_fail_5, has_fail_50; /* false: not within 20 years */
  double fail_5, fail_50; /* a raw check outside tolerance by then has a probability of 5 %, 50 % */
  double mean_at;         /* the mean at the oldest usual fill age meets the limit */
  double mean_from, mean_to; /* 95 % set of mean_at, from the last day on */
  bool has_mean_to;          /* false: no finite date */
  bool step_possible;        /* a step explains the values about as well: then no more is to come */
} bt_forecast;

typedef enum bt_fill_use {
  BT_FILL_GIVEN,
  BT_FILL_NO_SLOPE, /* the within-fill slope doesn't differ from zero */
  BT_FILL_NO_LIMIT, /* none on the side that it leads to */
  BT_FILL_BEYOND    /* a fresh fill is beyond the limit already: 0 days */
} bt_fill_use;

/* Days that a fill lasts before its mean meets tolerance. */
typedef struct bt_fill_days {
  bt_fill_use use;
  double limit;
  double days;
  bool has_high;    /* false: no interval with an end */
  double low, high; /* 95 % interval, Fieller */
} bt_fill_days;

enum { BT_DIOPTRE_ROWS = 3 };

typedef struct bt_dioptre_row {
  double correction;        /* 3, 6, 10 dioptres */
  double change, low, high; /* dioptres; band over the range of the threshold */
} bt_dioptre_row;

/* What a change of fluence is worth: an aid to judge its importance, never a figure to treat by. */
typedef struct bt_dioptres {
  bool given; /* false: no spot model, or a fluence not above the threshold's range */
  bt_beam beam;
  double from, to; /* fluences, mJ/cm^2 */
  double threshold, threshold_low, threshold_high;
  bt_dioptre_row row[BT_DIOPTRE_ROWS];
} bt_dioptres;

#endif
