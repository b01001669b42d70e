/* Of a baseline: what was left out of it, whether it is fit to be one, and how it compares with the
 * first one and with its own period today. */
#ifndef BEAMTALLY_FINDING_BASELINE_H
#define BEAMTALLY_FINDING_BASELINE_H

#include "beamtally/base.h"

/* Under so many points there is no baseline. */
enum { BT_BASELINE_LEAST_POINTS = 8 };

/* A point left out of a baseline. */
typedef struct bt_exclusion {
  size_t point;
  int pass; /* screening pass, from 1: beyond the limit; 0: a check of it is outside tolerance */
  double z; /* its distance from that pass's centre, in that pass's sigma; 0 for pass 0, and for
               the radius and T², which are screened by their own limit */
} bt_exclusion;

/* The smallest step between distinct readings, against sigma. */
typedef struct bt_resolution {
  double step;  /* 0: fewer than two distinct readings */
  bool coarse;  /* step above sigma: a warning */
  bool useless; /* step above 2 sigma, or sigma 0: no control chart */
} bt_resolution;

typedef struct bt_autocorrelation {
  size_t n;
  double lag1, bound; /* bound 1.96 / sqrt(n) */
  double high;        /* upper 95 % limit of lag1 */
  bool exceeded;      /* |lag1| above its bound, or its upper limit above 0.25: false alarms will
                         be more frequent than the tables say, and no run length is printed */
} bt_autocorrelation;

/* Is a period fit to be a baseline? Tests of its points (levels of its fills where values are
 * moved to the mean fill age). n 0 and p 1 with under 4 of them. For T² of x or y, whichever speaks
 * louder, with each p doubled. */
typedef struct bt_stability {
  size_t n;          /* values that entered */
  double tau;        /* Kendall's tau with time */
  double trend_p;    /* two-sided p of no trend, exact for n up to 40 without ties */
  double step_f;     /* largest F of a step at any date, both sides having 2 values or more */
  size_t step_at;    /* first value after it, an index of the values given; in a segment the point
                        of the study (the first of that level) */
  double step_p;     /* p of that largest F, by its own distribution (tabulated by simulation) */
  bool drifting;     /* either p is under 0.01 */
  double detectable; /* shift of the mean between the period's halves that the step test, as it was
                        done, finds with a probability of 0.8: its power. bt_stability_test gives it
                        in sigma of the values tested; in a study it is in sigma of the chart, also
                        where levels were tested; of T² in sigma of the axis */
} bt_stability;

/* Where the level is today, against the unit's first baseline of this characteristic: the days that
 * were ever frozen first, with the numbers of their newest version (bt_ledger_first_baseline).
 * Freezing other days, earlier ones too, leaves it the first. */
typedef struct bt_from_first {
  bool given;       /* the baseline in force is of other days than the first that measures the same
                       (same derivation) */
  bt_time from, to; /* its period */
  double centre;    /* its centre */
  double shift;     /* mean of the last 8 points, moved to its mean fill age, less its centre */
} bt_from_first;

/* A frozen baseline whose period reads otherwise today: a correction, a late line or event. The
 * limits don't move until somebody freezes again. */
typedef struct bt_refit {
  bool differs;
  bool given; /* there would be a chart: else too few of its points are left, or they are alike */
  size_t n;
  double centre, sigma, lcl, ucl; /* as they would be; of the radius and T² ucl alone is a limit */
  bool adjusted, from_differences; /* the slope of the fill age is used; T² is from differences */
  double slope_per_day, mean_age_days; /* meaningful when adjusted */
} bt_refit;

#endif
